"""Gates and judge never drift apart: what a gate refuses in any story is written past it, and an audit finds it.

Every story is told once more, and every act of `test_every_gate.py`. Where an act is refused, the history so far is
copied, the act is done with the gates open (`past_gates.py`), and the judge in hindsight must name one of its events by
the same trouble, or the books by RW505. What stays unfound stands here with its reason; so does a gate of these rooms
that no story comes to. A gate that is added and told nowhere fails this test.
"""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import stories.office
import stories.service  # noqa: F401
from past_gates import Breaker, sites
from stories.conftest import Begin

HERE = Path(__file__).parent
OTHERS = (
    "test_bending",
    "test_every_gate",
    "test_insides",
    "test_outside_work",
    "test_two_roles",
    "test_verbs",
)
TOLD = ("gates.py", "station_gates.py", "hold_points.py", "quality/", "service/", "serials/shipping.py",
        "serials/evidence.py",
        "metal/sawing.py",
        "metal/counting.py", "metal/receiving.py", "metal/origins.py", "metal/storage.py", "metal/labelling.py",
        "metal/examining.py", "metal/plates.py", "stations/assembling.py",
        "stations/making.py")  # fmt: skip
DEFINITION = "only the frozen definition knows: asked before a release, and printed on the dossier"
REPORT = "what a report is made of is worked out again at its release, not from events"
SLIP = "a slip of the person who acts, that lets nothing pass and takes nothing away"
SHAPE = "which outline covers which is asked of a library of shapes; an audit does without one, and adds up the areas"
UNKNOWN = "the verb has nothing to write: the thing is not there"
ELSEWHERE = "found at the event that is read so or rests on it, not at the correction: test_amending.py"
DATED = "an older program took any day of a document: whoever reads the dossier sees it"
LAYOUT = "the layout of the event refuses it as well"

#: the beginning of a site's name -> why the judge does not find it
NOT_FOUND = {
    "engineering/reporting.py": REPORT,
    "quality/nonconforming.py is_written": DATED,
    "gates.py stock_may_be_issued RW503": UNKNOWN, "metal/counting.py _there RW503": UNKNOWN,
    "metal/counting.py piece_may_be_scrapped RW503": UNKNOWN, "metal/insides.py _known RW512": UNKNOWN,
    "quality/amending.py may_be_amended RW503": UNKNOWN, "quality/amending.py _stands": ELSEWHERE,
    "quality/nonconforming.py may_be_lifted RW503": UNKNOWN, "quality/nonconforming.py may_be_raised RW503": UNKNOWN,
    "quality/red_lining.py _of_piece RW503": UNKNOWN,
    "metal/drawn.py substitute.decide RW520": LAYOUT, "metal/labelling.py may_be_labelled RW503": UNKNOWN,
    "metal/storage.py may_be_stated RW517 f'the row": LAYOUT,
    "metal/labelling.py read_piece_label.decide": UNKNOWN, "metal/examining.py may_be_decided RW503": UNKNOWN,
    "metal/receiving.py _paper_is_there": "a file that is gone is found by the audit of the files, whatever names it",
    "metal/counting.py _its_unit RW517 'neither": LAYOUT, "stations/assembling.py return_lot.decide RW503": UNKNOWN,
    "metal/sawing.py _balanced RW517 'the remnant": LAYOUT,
    "metal/plates.py _remnants_sound RW517 f'remnant": LAYOUT, "metal/plates.py _shape_sound": SHAPE,
    "office/contracts.py clause.decide": SLIP, "office/ordering.py ask.decide RW517 f'{unknown": SLIP,
    "office/ordering.py ask.decide RW517 'neither": SLIP,
    "office/lines.py line_may_stand RW517 'no document": LAYOUT, "office/lines.py _not_there": LAYOUT,
    "metal/saw_plans.py _order_with_serials": SLIP, "office/lines.py line_of": UNKNOWN, "office/lines.py _whole": SLIP,
    "serials/evidence.py may_be_given RW517 'its paper": LAYOUT,
    "serials/evidence.py may_be_owed RW517 f\"no {": LAYOUT,
    "office/quoting.py _not_complete": LAYOUT, "office/spent.py": SLIP, "quality/noting.py": SLIP,
    "serials/recalling.py record_recall.decide RW517 'no reason": SLIP, "stations/first_articles.py _one_of": SLIP,
    "stations/making.py step.decide RW517 f'{done.name} of no": SLIP,
    "stations/making.py step.decide RW519 f": DEFINITION,
    "stations/passports.py points_gate": DEFINITION,
    "service/coming_back.py may_come_back RW517 f'hours": LAYOUT, "service/putting_back.py _margins": DEFINITION,
}  # fmt: skip
#: the beginning of a site's name -> why no act here comes to it
NOT_TOLD = {
    "gates.py done_before": "test_late_entry.py, the judge with it",
    "metal/receiving.py enter_certificate.decide RW503": UNKNOWN,
    "metal/receiving.py open_lot.decide RW503": UNKNOWN, "metal/examining.py may_be_examined RW503": UNKNOWN,
    "serials/shipping.py fits RW517 f'{new} was made": "the judge asks the same function",
    "serials/shipping.py fits RW515": "what was done on the old one is asked before, and measured with it",
    "gates.py question_open RW513 f'the definition": "tests of work: test_gates.py, tests/faces/cli",
    "gates.py revision_is_referenced RW514 f'revision": "a serial's revision is frozen; tests of work: test_gates.py",
    "gates.py stock_may_be_accepted RW503": UNKNOWN,
    "gates.py piece_complete": "a serial is released in the tests of the release law",
    "gates.py _measured RW515 f'{name} of {about} does not pass": "tests of work: test_go_no_go.py",
    "metal/counting.py _some RW517 f'nothing": "nothing left is scrapped, which is refused before",
    "metal/receiving.py quarantine.decide RW503": UNKNOWN,
    "metal/origins.py may_be_entered RW503": UNKNOWN, "metal/storage.py may_be_stated RW503": UNKNOWN,
    "quality/nonconforming.py may_be_decided RW503": UNKNOWN,
    "quality/noting.py": SLIP, "quality/correcting.py": SLIP,
    "service/effectivity.py": "a look, no act",
    "serials/shipping.py replacement": "a look, no act", "serials/shipping.py replace_piece.decide": UNKNOWN,
    "serials/shipping.py fits RW510": "pieces come from stock with a heat or lot",
    "station_gates.py piece_may_be_worked_on RW503": UNKNOWN, "station_gates.py not_its_maker RW503": UNKNOWN,
}  # fmt: skip


def tellings() -> Iterator[Callable[[Begin], None]]:
    """Every story that begins at a stage and needs nothing else, and every case of the tests that tell one gate."""
    for path in sorted([*HERE.parent.glob("stories/test_*.py"), *(HERE / f"{name}.py" for name in OTHERS)]):
        module = importlib.import_module(f"{path.parent.name}.{path.stem}")
        for name, told in sorted(vars(module).items()):
            asked = [*inspect.signature(told).parameters] if name.startswith("test_") else []
            if asked == ["begin"]:
                yield told
            elif asked == ["begin", "case"]:
                yield from (partial(told, case=case) for case in getattr(module, "CASES", ()))


def test_what_the_gates_refuse_the_judge_finds(begin: Begin, tmp_path: Path) -> None:
    every = sites("papers/", "keeping/", "engineering/frozen", "serials/tracing")
    breaker = Breaker(tmp_path, every)
    with breaker.open():
        for told in tellings():
            told(begin)
    missed = {site: what for site, what in breaker.found.items() if what != "found"}
    unheard = [one.name for one in every if one.file.startswith(TOLD) and one.name not in breaker.found]
    told_of = [f"{site}: {what}" for site, what in missed.items() if not site.startswith((*NOT_FOUND,))]
    untold = [site for site in unheard if not site.startswith((*NOT_TOLD,))]
    old = [start for start in NOT_FOUND if not any(site.startswith(start) for site in missed)]
    old += [start for start in NOT_TOLD if not any(site.startswith(start) for site in unheard)]
    print(*told_of, "untold:", *untold, "excuses that nothing needs:", *old, sep="\n")
    assert (told_of, untold, old) == ([], [], [])
    assert len(breaker.found) - len(missed) >= 110

"""A section for each kind of check: one example worked in full, and the least results of the kind.

The kinds are those of the margins themselves, in the order in which the checks give them: a new check has its section
without a word here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rackwright.design import Design
from rackwright.formulas.cards import cards
from rackwright.papers.table import Block, Facts, Items, Section, Table, Text
from rackwright.strength.margin import Margin
from rackwright.strength.vibration.answer import NOT_ASSESSED
from rackwright.work.papers.margins import FACTOR_NOTE, worked_margin
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.report.results import Kind, results_table
from rackwright.work.papers.vibration import not_assessed
from rackwright.work.papers.words import VARIANT_NOTE, mark_note, ms

__all__ = ["cards_table", "example_of", "families", "family_sections", "kinds_of"]

Cards = tuple[str, ...]
MOST = 6  # results of a kind beside its worked example


def families(design: Design) -> dict[str, list[Margin]]:
    """Margins by kind of check, in the order of their first appearance."""
    found: dict[str, list[Margin]] = {}
    for margin in design.strength.margins:
        found.setdefault(margin.mode, []).append(margin)
    for margin in design.vibration.margins:
        found.setdefault(margin.mode, [])
    return found


def example_of(margins: Sequence[Margin]) -> Margin:
    """The least margin of a kind; where none could be given, the first that is missing."""
    given = [margin for margin in margins if margin.margin is not None]
    return min(given, key=lambda m: (m.margin or 0.0, m.id)) if given else margins[0]


def kinds_of(design: Design) -> dict[str, Kind]:
    """Of every kind of check its margins under the load cases and in vibration."""
    shaken: dict[str, list[Margin]] = {}
    for margin in design.vibration.margins:
        shaken.setdefault(margin.mode, []).append(margin)
    return {mode: (margins, shaken.get(mode, [])) for mode, margins in families(design).items()}


def family_sections(issue: Issue) -> Iterator[Section]:
    found = kinds_of(issue.design)
    if not found:
        yield Section(
            "Checks, kind by kind", (Text("There are no margins: the basis or the orientation is missing."),)
        )
        return
    yield Section("Checks, kind by kind", tuple(_intro(issue, found)), new_page=True)
    shown: dict[Cards, str] = {}
    for mode, kind in found.items():
        yield Section(f"{mode[:1].upper()}{mode[1:]}", tuple(_family(issue, mode, kind, shown)), level=2)


def _intro(issue: Issue, found: Mapping[str, Kind]) -> Iterator[Block]:
    yield Text(
        "In each of the following sections: the least margin of one kind worked with every step that led to it, then "
        f"the {MOST} least of that kind, under the load cases and in vibration; every other stands in the appendix. "
        "Formulas are printed from the cards whose functions computed them; values are in SI, as the functions take "
        "them, with US units beside. Applied loads are the frame's answer in the case named."
    )
    yield Text(f"In their tables: {VARIANT_NOTE} {mark_note(issue.design.strength.margins)} {FACTOR_NOTE}")
    rows = []
    for mode, (margins, shaken) in found.items():
        every = margins or shaken
        given = [m.margin for m in every if m.margin is not None]
        doubt = sum("U" in issue.mark(m) for m in every)
        levels = ", ".join(dict.fromkeys(m.level for m in every))
        rows.append((mode, levels if margins else f"{levels}, in vibration alone", str(len(every)),
                     str(len(every) - len(given)) if len(given) < len(every) else "none",
                     ms(min(given)) if given else "missing", str(doubt) if doubt else "none"))  # fmt: skip
    yield Table(
        "",
        ("kind of check", "level", "results", "missing", "least M.S.", "unconfirmed"),
        tuple(rows),
        align="llrrrr",
        widths=(4, 2.4, 1, 1, 1, 1.2),
    )


def _family(issue: Issue, mode: str, kind: Kind, shown: dict[Cards, str]) -> Iterator[Block]:
    """`shown` are the ways to a margin that were worked before, by their cards, and the kind where."""
    margins, shaken = kind
    if not margins:
        yield Text("No load case is judged by this check: no limit case is given. In vibration it is.")
    every = margins or shaken
    example = example_of(every)
    before = shown.setdefault(tuple(name for name, _ in example.steps), mode)
    if margins or (example.margin is not None and before == mode):
        negative = sum(m.margin is not None and m.margin < 0 for m in every)
        counted = f"{len(every)}" + (f", {negative} negative" if negative else "")
        facts, *steps = worked_margin(example).blocks
        assert isinstance(facts, Facts)
        yield Facts((("Results", counted), ("Worked here", example.id), *facts.rows))
        yield from steps
    elif example.margin is not None:
        yield Text(f"By the same formulas, step by step, as {before}.")
    if margins or any(one.margin is not None for one in shaken):
        rows = len({one.id for one in (*margins, *shaken)})
        title = (
            "All results of this kind" if rows <= MOST else f"The {MOST} least of {rows}; all in the appendix"
        )
        yield results_table(issue, title, kind, MOST)
    gone = [one for one in shaken if one.margin is None]
    if gone:
        yield Items(tuple(not_assessed(gone)))
    if not shaken:
        yield Text(f"In vibration: {_unshaken(issue.design, every)}.")


def _unshaken(design: Design, margins: Sequence[Margin]) -> str:
    """Why a check says nothing of vibration."""
    if all(one.level == "assembly" for one in margins):
        return "does not apply, it is judged once, when the joint is tightened"
    why = design.vibration.why_no_margins
    return f"{NOT_ASSESSED}, {why or 'this check is not carried through the modes: see what was not checked'}"


def cards_table(design: Design) -> Table:
    """Every formula card that a step of a margin used."""
    every = (*design.strength.margins, *design.vibration.margins)
    used = dict.fromkeys(name for margin in every for name, _ in margin.steps)
    known = cards()
    return Table(
        "Formula cards used",
        ("card", "what", "source", "how known"),
        tuple((name, known[name].title, known[name].source, known[name].how_known) for name in sorted(used)),
        align="illl",
        widths=(1.8, 2, 3.4, 1.2),
    )

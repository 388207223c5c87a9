"""A hold point stops the work until an inspector who did not make it has signed; what is done anew is signed anew."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_shop as small
from histories import act
from rackwright.papers.table import Table
from rackwright.record import Record
from rackwright.record.fold import Fold
from rackwright.trouble import Stopped
from rackwright.work.hold_points import points_asked
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.counting import Unusable, scrap_piece
from rackwright.work.papers.hold_points import hold_point_blocks, signed_points
from rackwright.work.quality.holding import hold
from rackwright.work.stations.signing_off import Point, sign_off
from stories.conftest import Begin

WEIGHT = f"{small.design().bare.mass / 0.45359237:.2f} lb"
POST, BLOCK = "SN-1/post.front-left", "SN-1/block.top.front-left"


def test_the_next_step_waits_for_the_signature_of_an_inspector_who_did_not_make_it(begin: Begin) -> None:
    day = begin("made, held").play("""
        assembler does pretreat on post.front-left of SN-1                             -> RW555
        inspector signs inspect_metal of post.front-left of SN-1                       -> RW515
        inspector measures all before coat of post.front-left of SN-1
        stores signs inspect_metal of post.front-left of SN-1                          -> RW516
        sawyer signs inspect_metal of post.front-left of SN-1                          -> RW516
        inspector signs inspect_metal of post.front-left of SN-1
        inspector signs inspect_metal of post.front-left of SN-1                       -> RW517
        assembler does pretreat on post.front-left of SN-1
        assembler does coat on post.front-left of SN-1 with lot PX-61
        inspector signs bake of post.front-left of SN-1                                -> RW518
    """)
    what = f"hold point inspect_metal of {POST} is not signed off: every characteristic before coat within limits"
    assert day.why("assembler does pretreat") == what
    assert day.why("sawyer signs") == f"C. Vint made {POST}"
    assert day.audit() == []


def test_a_red_line_takes_what_was_signed_after_the_step_that_it_undoes(begin: Begin) -> None:
    day = begin("inspected, held")
    before = set(day.state.hold_points[POST])
    assert before == {"fit_up", "inspect_metal", "bake", "inspect_film"}
    day.play("""
        lead red-lines post.front-left of SN-1 as RL-1, anew drill
        assembler draws 60 of F-1 for SN-1
        inspector signs inspect_metal of post.front-left of SN-1                       -> RW550
        assembler does drill on post.front-left of SN-1
        assembler assembles SN-1                                                       -> RW555
        inspector signs inspect_film of post.front-left of SN-1                        -> RW555
        inspector signs inspect_metal of post.front-left of SN-1
        inspector signs bake of post.front-left of SN-1
        inspector signs inspect_film of post.front-left of SN-1
        assembler assembles SN-1
    """)
    assert day.audit() == []


def test_a_measurement_anew_asks_its_hold_point_anew(begin: Begin) -> None:
    day = begin("inspected, held").play("lead red-lines post.front-left of SN-1 as RL-1; measure length")
    assert set(day.state.hold_points[POST]) == {"fit_up"}
    assert set(day.state.hold_points["SN-1/post.front-right"]) > {"inspect_metal"}


def test_a_rack_is_measured_weighed_and_released_only_as_signed_off(begin: Begin) -> None:
    day = begin("inspected, held").play(f"""
        assembler draws 60 of F-1 for SN-1
        assembler assembles SN-1
        inspector measures the whole rack SN-1                                         -> RW555
        inspector measures the points of SN-1                                          -> RW555
        inspector signs assemble of the rack of SN-1
        inspector signs inspect of the rack of SN-1                                    -> RW515
        inspector measures the whole rack SN-1
        inspector weighs SN-1: {WEIGHT}                                              -> RW555
        inspector signs inspect of the rack of SN-1
        inspector weighs SN-1: {WEIGHT}
        lead red-lines rack of SN-1 as RL-1; measure height
        inspector signs inspect of the rack of SN-1                                    -> RW550
        inspector measures the whole rack SN-1
        inspector releases SN-1                                                        -> RW555
        inspector signs inspect of the rack of SN-1
        inspector releases SN-1
    """)
    assert day.why("inspector releases").startswith("hold point inspect of SN-1 is not signed off")
    assert day.audit() == []


def test_an_assembly_with_a_joint_forgotten_is_not_signed_off(begin: Begin) -> None:
    day = begin("inspected, held").play("""
        assembler draws 60 of F-1 for SN-1
        assembler assembles SN-1, joint joint.post.front-left.low.1 left out
        inspector signs assemble of the rack of SN-1                                   -> RW521
    """)
    assert day.audit() == []


def test_paper_says_who_signed_and_what_is_not(begin: Begin) -> None:
    day = begin("made, held")
    assert points_asked(day.state, "SN-1")[:2] == ("bend", "mill")
    assert signed_points(day.state, "SN-1")["fit_up"] == ("E. Lund", small.DAY)
    assert "inspect_metal" not in signed_points(day.state, "SN-1")
    (table,) = hold_point_blocks(day.state, "SN-1")
    assert isinstance(table, Table)
    rows = {row[0]: row for row in table.rows}
    assert rows["mill"][2:5] == ("8 of 8 pieces", "E. Lund", small.DAY)
    assert rows["inspect metal"][3] == rows["assemble"][3] == "NOT SIGNED OFF"
    assert [*hold_point_blocks(begin("made").state, "SN-1")] == [], "an older revision asks none"


def _signs(point: str, pieces: tuple[str, ...] = (), who: str = "inspector") -> Callable[[Record], object]:
    return lambda record: sign_off(small.station(record, who), point, [Point("SN-1", pieces)])


def _scrapped(record: Record) -> object:
    lead = small.station(record, "lead")
    scrap_piece(lead, BLOCK, "dropped", Unusable("sawn through", small.PEOPLE["inspector"]))
    return _signs("inspect_metal", (BLOCK,))(record)


def _on_hold(about: str, then: Callable[[Record], object]) -> Callable[[Record], object]:
    def act(record: Record) -> object:
        key = "pieces" if "/" in about else "serials"
        hold(small.station(record, "lead"), "H-1", "in doubt", **{key: [about]})
        return then(record)

    return act


#: name -> stage, code, act
CASES: dict[str, tuple[str, str, Callable[[Record], object]]] = {
    "no such point": ("made, held", "RW517", _signs("drill", (POST,))),
    "a point of pieces, of none": ("made, held", "RW517", _signs("bake")),
    "a point of the rack, of pieces": ("made, held", "RW517", _signs("assemble", (POST,))),
    "a piece twice": ("made, held", "RW517", _signs("inspect_metal", (POST, POST))),
    "no such piece": ("made, held", "RW503", _signs("inspect_metal", ("SN-1/none",))),
    "what is scrapped": ("made, held", "RW517", _scrapped),
    "a point of other pieces": ("made, held", "RW517", _signs("mill", (POST,))),
    "of a revision that has none": ("made", "RW517", _signs("fit_up", (POST,))),
    "before its step": ("ordered, held", "RW503", _signs("fit_up", (POST,))),
    "a bake before the bake": ("made, held", "RW517", _signs("bake", (POST,))),
    "a held piece": ("made, held", "RW517", _on_hold(POST, _signs("inspect_metal", (POST,)))),
    "again": ("made, held", "RW517", _signs("fit_up", (POST,))),
    "the rack of another revision": ("assembled", "RW517", _signs("assemble")),
    "a rack that lies in pieces": ("made, held", "RW518", _signs("assemble")),
    "a rack by its assembler": ("assembled, held", "RW516", _signs("inspect", who="assembler")),
    "a rack that is not there": (
        "made, held",
        "RW503",
        lambda r: sign_off(small.station(r, "inspector"), "assemble", [Point("SN-9", ())]),
    ),
    "a rack again": ("assembled, held", "RW517", _signs("inspect")),
    "a released rack": ("released, held", "RW517", _signs("inspect")),
}


@pytest.mark.parametrize("case", CASES)
def test_what_is_not_signed(begin: Begin, case: str) -> None:
    stage, code, act = CASES[case]
    day = begin(stage)
    with pytest.raises(Stopped) as stopped:
        act(day.record)
    assert [trouble.code for trouble in stopped.value.troubles] == [code]


# --- the law -------------------------------------------------------------------------------------

WHAT = st.one_of(
    st.tuples(st.just("step"), st.sampled_from(("drill", "coat", "bake"))),
    st.tuples(st.just("reading"), st.sampled_from(("length", "film"))),
    st.tuples(st.just("sign"), st.sampled_from(("fit_up", "bake"))),
    st.tuples(st.just("undo step"), st.sampled_from(("drill", "coat", "bake"))),
    st.tuples(st.just("undo reading"), st.sampled_from(("length", "film"))),
)


@given(st.lists(WHAT, max_size=14))
def test_a_sign_off_stands_as_long_as_what_was_before_it_stands(said: list[tuple[str, str]]) -> None:
    """Told once by the fold, once by looking at the whole history: it falls when a step that was done before it is
    done again or undone, or a characteristic measured before it is to be measured anew."""
    fold = Fold()
    for seq, (type, body) in enumerate((*MADE, *map(_event, enumerate(said))), start=1):
        fold.lay(replace(act(seq, type, body), seq=seq))
    found = {point: one.seq - len(MADE) - 1 for point, one in fold.hold_points.get("P-1", {}).items()}
    last = {point: n for n, (what, point) in enumerate(said) if what == "sign"}
    assert found == {point: n for point, n in last.items() if not _fallen(said, n)}


MADE: tuple[tuple[str, dict[str, Any]], ...] = (
    ("receive", {"stock_id": "F-1", "form": "lot", "stock_spec": "AMS-4911", "lot": "L-1", "quantity": 9}),
    ("piece", {"piece": "P-1", "stock_id": "F-1"}),
)


def _event(numbered: tuple[int, tuple[str, str]]) -> tuple[str, dict[str, Any]]:
    number, (what, name) = numbered
    red = {
        "red_line": f"RL-{number}",
        "revision": "A",
        "text": "x",
        "document": "ECO",
        "decided_by": "Q",
        "pieces": ["P-1"],
    }
    return {
        "step": (name, {"pieces": ["P-1"]}),
        "reading": ("measure", {"piece": "P-1", "characteristic": name, "value": "1 in", "gauge": "G", "within": True,
                                "guard": {"r": "0"}}),
        "sign": ("hold_point", {"point": name, "pieces": ["P-1"]}),
        "undo step": ("red_line", red | {"steps": [name]}),
        "undo reading": ("red_line", red | {"characteristics": [name]}),
    }[what]  # fmt: skip


def _fallen(said: list[tuple[str, str]], signed: int) -> bool:
    undone = {"step": "step", "undo step": "step", "undo reading": "reading"}
    return any(what in undone and (undone[what], name) in said[:signed] for what, name in said[signed + 1 :])


def test_a_sign_off_before_everything_was_measured_is_found_in_hindsight(begin: Begin) -> None:
    """By what the revision was frozen with; one that was frozen before that was kept is not asked."""
    day = begin("inspected, held")
    events = list(day.record.events())
    (gone, *_) = [one for one in events if one.type == "measure" and one.body["piece"] == POST]
    forged = [one for one in events if one.seq != gone.seq]
    (found,) = in_hindsight(forged)
    assert found.code == "RW515"
    assert found.found.endswith(
        f"should have been refused: {gone.body['characteristic']} of {POST} is not measured"
    )
    values = {name: value for name, value in next(one.body["values"] for one in events if one.type == "freeze").items()
              if name not in ("measured_by", "joints")}  # fmt: skip
    older = [
        replace(one, body={**one.body, "values": values}) if one.type == "freeze" else one for one in forged
    ]
    assert not [one for one in in_hindsight(older) if "is not measured" in one.found]

"""The gates of a rack that is back, one by one, on states written down by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rackwright.record.service import Carried, Service, Work
from rackwright.record.state import Nonconformance
from rackwright.trouble import Refusal
from rackwright.work.service import standing_gates as gates
from states import AFTER, BEFORE, TODAY, code, heard, piece, rack, revision, shop, words

HOLE = "the hole in shelf upper at 3.0 in, 2.0 in"


def work(name: str, by: str = "Ada", cleared: int = 0, kind: str = "repair") -> Work:
    return Work(name, kind, "", "", "", "", "", (), "", by, "", 30, cleared=cleared)


def kept(*works: Work, **more: Any) -> Service:
    return replace(Service("SN-1", works=works), **more)


def raised(**more: Any) -> Nonconformance:
    return replace(Nonconformance("N-1", "a dent", (), ("SN-1",), (), 21), **more)


def test_all_the_work_since_it_was_put_back_is_named_once() -> None:
    def ask(named: list[str], *works: Work) -> Refusal | None:
        return gates.all_works_named(shop(service={"SN-1": kept(*works)}), "SN-1", named)

    old, one, two = work("W-0", cleared=9), work("W-1"), work("W-2")
    assert words(ask([], old)) == "no work on SN-1 is recorded since it came back"
    assert words(ask(["W-0"], old)) == "no work on SN-1 is recorded since it came back"
    assert (
        words(gates.all_works_named(shop(), "SN-1", [])) == "no work on SN-1 is recorded since it came back"
    )
    assert ask(["W-2", heard("W-1")], old, one, two) is None
    assert words(ask([], one)) == "nothing is named, the work on SN-1 is W-1"
    for named in (["W-1"], ["W-1", "W-1"], ["W-1", "W-2", "W-2"], ["W-0", "W-1", "W-2"], ["W-1", "W-3"]):
        assert (
            words(ask(named, old, one, two)) == f"{', '.join(named)} is named, the work on SN-1 is W-1, W-2"
        )


def test_another_than_who_worked_on_it_puts_it_back() -> None:
    bolts = {"j.1": {"by": "Bo"}, "j.2": {"by": heard("Cy")}}
    state = shop(service={"SN-1": kept(work("W-0", "Old", cleared=9), work("W-1"), work("W-2", "Di"))},
                 serials={"SN-1": rack(joints=bolts)})  # fmt: skip

    def ask(person: str) -> Refusal | None:
        return gates.work_of_another(state, "SN-1", heard(person))

    assert [code(ask(person)) for person in ("Ada", "Di", "Bo", "Cy")] == ["RW516"] * 4
    assert [ask(person) for person in ("Old", "Aaron", "Bob", "Zoe")] == [None] * 4
    assert words(ask("Di")) == "Di did repair W-2 on SN-1"
    assert words(ask("Cy")) == "Cy tightened joints of SN-1"
    assert gates.work_of_another(shop(), "SN-1", "Ada") is None


@pytest.mark.parametrize(("more", "found"), [
    ({}, True), ({"decided_seq": 22}, False), ({"serials": ("SN-2",)}, False),
    ({"serials": (), "pieces": ("q", "p")}, True), ({"serials": (), "pieces": ("q",)}, False),
    ({"serials": ("SN-2",), "pieces": ("p",)}, True),
])  # fmt: skip
def test_nothing_of_it_is_undecided(more: dict[str, Any], found: bool) -> None:
    others = {"N-0": raised(decided_seq=22), "N-1": raised(**more)}
    answer = gates.nothing_undecided(shop(serials={"SN-1": rack()}, nonconformances=others), "SN-1")
    assert (code(answer), not found or words(answer)) == (
        "RW520" if found else "",
        not found or "N-1 on SN-1 is not decided: a dent",
    )
    assert gates.nothing_undecided(shop(nonconformances={"N-1": raised(serials=("SN-2",))}), "SN-1") is None
    assert code(gates.nothing_undecided(shop(nonconformances={"N-1": raised()}), "SN-1")) == "RW520"


def test_what_was_taken_apart_is_tightened_and_what_was_undone_is_done() -> None:
    def ask(**more: Any) -> str:
        answer = gates.nothing_is_left(shop(service={"SN-1": kept(**more)}), "SN-1")
        return f"{answer.code} {answer.where.field} {answer.found}" if answer else ""

    assert ask() == ""
    assert gates.nothing_is_left(shop(), "SN-1") is None
    loose = "of SN-1 was taken apart and is not tightened since"
    assert ask(loose=("j.1",)) == f"RW521 j.1 joint j.1 {loose}"
    assert ask(loose=("j.1", "j.2")) == f"RW521 j.1 joint j.1 and 1 more {loose}"
    assert ask(loose=("j.1", "j.2", "j.3", "j.4")) == f"RW521 j.1 joint j.1 and 3 more {loose}"
    one, two = ("SN-1", "height"), ("SN-1/post", "drill")
    assert ask(left=(one,)) == "RW550 SN-1 height of SN-1 is not done anew"
    assert ask(left=(two, one)) == "RW550 SN-1/post drill of SN-1/post is not done anew (and 1 more)"
    assert ask(left=(two, one, one)).endswith("not done anew (and 2 more)")
    assert ask(left=(one,), loose=("j.1",)).startswith("RW521")


@pytest.mark.parametrize(("state", "by", "day", "found"), [
    ("shipped", "customer", TODAY, ""), ("shipped", "customer", BEFORE, ""), ("back", "shop", TODAY, ""),
    ("shipped", "customer", AFTER, "is after today"), ("back", "customer", TODAY, "only a rack that is shipped"),
    ("shipped", "shop", TODAY, "was shipped to"), ("released", "customer", TODAY, "SN-1 is released"),
    ("shipped", "a stranger", TODAY, "swapped by 'a stranger'"), ("", "customer", TODAY, "is not in the record"),
])  # fmt: skip
def test_a_box_is_swapped_by_who_has_the_rack(state: str, by: str, day: str, found: str) -> None:
    serials = {"SN-1": rack(state=heard(state))} if state else {}
    answer = gates.may_be_swapped(shop(serials=serials), "SN-1", by, day, TODAY)
    assert (answer is None) == (not found)
    assert answer is None or found in f"{answer.found}; {answer.do}"


def carried(*open_holes: str) -> dict[str, dict[str, Carried]]:
    box = Carried("radio", "customer", "", TODAY, False, "", "", "", (), "", (), 30, open_holes=open_holes)
    return {"SN-1": {"radio": box}}


REPAIR = raised(decision=heard("repair"))


@pytest.mark.parametrize(("before", "left", "holes", "about", "found"), [
    ((), (), "", "", ""), ((), (HOLE,), "", "", "nothing says what becomes of them"), ((), (HOLE,), "open", "", ""),
    ((), (), "open", "", "radio leaves no hole"), ((), (), "filled", "N-1", "radio leaves no hole"),
    ((HOLE,), (), "open", "", ""), ((HOLE,), (), "", "", ""), ((HOLE,), (), "filled", "N-1", ""),
    ((), (HOLE,), "filled", "N-1", ""), ((), (HOLE,), "filled", "", "filled by no repair"),
    ((), (HOLE,), "filled", "N-2", "filled by no repair"),
])  # fmt: skip
def test_what_becomes_of_the_holes_is_said(
    before: tuple[str, ...], left: tuple[str, ...], holes: str, about: str, found: str
) -> None:
    state = shop(carried=carried(*before), serials={"SN-1": rack()}, nonconformances={"N-1": REPAIR})
    answer = gates.holes_answered(state, "SN-1", "radio", left, heard(holes), about)
    assert (answer is None) == (not found)
    assert answer is None or found in answer.found
    if not before:
        none = replace(state, carried={})
        assert code(gates.holes_answered(none, "SN-1", "radio", left, heard(holes), about)) == code(answer)


def test_the_first_hole_that_nothing_answers_is_named() -> None:
    state = shop(carried=carried(), serials={"SN-1": rack()}, nonconformances={"N-1": raised()})
    two = [HOLE, HOLE.replace("upper", "lower")]
    assert words(gates.holes_answered(state, "SN-1", "radio", two, "", "")).startswith(
        f"radio leaves {HOLE}, and"
    )
    assert words(gates.holes_answered(state, "SN-1", "radio", two, "filled", "N-1")).startswith(
        f"{HOLE}: filled by no"
    )


PANEL, OTHER, POST = "SN-1/panel.upper", "SN-1/panel.lower", "SN-1/post.front-left"
FROZEN = {"A": revision(values={"metal": {"panel.upper": ["P", "S"], "panel.lower": ["P", "S"]}})}


@pytest.mark.parametrize(("more", "filled"), [
    ({}, True), ({"decision": "rework"}, False), ({"decision": "use_as_is"}, False), ({"decision": "none"}, False),
    ({"serials": ("SN-2",)}, False), ({"serials": (), "pieces": (PANEL,)}, True),
    ({"serials": (), "pieces": (POST, PANEL)}, True), ({"serials": (), "pieces": (OTHER,)}, False),
    ({"serials": (), "pieces": (POST,)}, False), ({"serials": (), "pieces": ("SN-1/panel.upper.2",)}, True),
    ({"serials": (), "pieces": ("SN-2/panel.upper",)}, False),
])  # fmt: skip
def test_holes_are_filled_by_a_repair_of_the_rack_or_of_their_panel(
    more: dict[str, Any], filled: bool
) -> None:
    made = (PANEL, OTHER, POST, "SN-1/panel.upper.2")
    state = shop(serials={"SN-1": rack(pieces=made)}, revisions=FROZEN, pieces={name: piece(name) for name in made},
                 nonconformances={"N-1": replace(REPAIR, **more)})  # fmt: skip
    answer = gates.holes_answered(state, "SN-1", "radio", [HOLE], "filled", "N-1")
    assert (code(answer), answer is None) == ("" if filled else "RW520", filled)
    if answer is not None:
        assert (answer.where.field, answer.found) == (
            "N-1",
            f"{HOLE}: filled by no repair of it that the holder accepted",
        )
    two = gates.holes_answered(
        state, "SN-1", "radio", [HOLE, HOLE.replace("upper", "lower")], "filled", "N-1"
    )
    assert (two is None) == (filled and not more.get("pieces"))

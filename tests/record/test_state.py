"""The nouns of a state: what they say of themselves, what a state answers, and that nothing unsaid is made up."""

from __future__ import annotations

from dataclasses import MISSING, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from rackwright.record import events, events_metal, metal, office, schema, service, state
from rackwright.record import layouts as steps_of_layout
from rackwright.record.event_type import EventType
from rackwright.record.indexed import Indexed
from rackwright.record.metal import (
    PieceTable,
    SawPlan,
    StockTable,
    Substitution,
    TestBend,
    holding,
    paper_of,
    slip_of,
)
from rackwright.record.office import Answer, Clause, Line, Order, Question
from rackwright.record.service import Carried, Service, Work, holes_open
from rackwright.record.state import Nonconformance, Person, Report, SerialTable, State
from states import heard, hold, measured, piece, rack, red_line, shop, stock

KINDS = [
    kind
    for module in (metal, office, service, state)
    for kind in vars(module).values()
    if isinstance(kind, type) and kind.__module__ == module.__name__ and not issubclass(kind, Indexed)
]

#: what a thing is where nobody said otherwise
STATED = {
    ("Order", "weight"): 1,
    ("Action", "state"): "open",
    ("Measurement", "r"): "0",
    ("Serial", "line"): "1",
}


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_what_is_not_stated_of_a_thing_is_nothing(kind: Any) -> None:
    assert is_dataclass(kind)
    for field in fields(kind):
        if field.default is not MISSING:
            wanted = STATED.get((kind.__name__, field.name))
            assert field.default == wanted if wanted is not None else not field.default, field.name
        elif field.default_factory is not MISSING:
            assert len(field.default_factory()) == 0, field.name
    assert kind.__dataclass_params__.frozen


def test_a_test_bend_is_no_test() -> None:
    assert not TestBend.__test__


# --- persons, reports, stock -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("secrets", "signs"),
    [({}, False), ({"code": "x"}, False), ({"pin": "x"}, True), ({"password": "x"}, True),
     ({"pin": "x", "password": "y"}, True)],
)  # fmt: skip
def test_who_has_a_pin_or_a_password_signs(secrets: dict[str, str], signs: bool) -> None:
    assert Person("Ada", (), True, "", 1, secrets=secrets).signs == signs


def test_a_lead_is_who_has_the_role_and_a_report_is_named_with_its_revision() -> None:
    assert Person("Ada", ("saw", "lead"), True, "", 1).lead
    assert not Person("Ada", ("saw",), True, "", 1).lead
    assert report("A", "A", 1).name == "SR revision A"


def report(revision: str, of: str, seq: int, number: str = "SR") -> Report:
    return Report(number, revision, heard(of), "", "", "", (), "Ada", "", seq)


def test_the_report_of_a_revision_is_the_newest_prepared_of_it() -> None:
    every = {
        "SR-1": (report("A", "rev B", 5), report("B", "rev B", 9, "SR-1"), report("C", "rev A", 12)),
        "SR-2": (report("A", "rev B", 7), report("B", "rev C", 20)),
    }
    found = {
        revision: State(reports=every).report_of(revision)
        for revision in ("rev A", "rev B", "rev C", "rev D")
    }
    assert {name: one and one.seq for name, one in found.items()} == {
        "rev A": 12, "rev B": 9, "rev C": 20, "rev D": None}  # fmt: skip


def plan(name: str, line: str, seq: int) -> SawPlan:
    return SawPlan(name, "PO-1", "", "", "", "Ada", seq, line)


@pytest.mark.parametrize(
    ("plans", "hold"),
    [
        ([], []),
        ([plan("1", "", 1)], ["1"]),
        ([plan("1", "1", 1)], ["1"]),
        ([plan("1", "", 1), plan("2", "", 2)], ["2"]),
        ([plan("1", "1", 1), plan("2", "2", 2)], ["1", "2"]),
        ([plan("1", "1", 1), plan("2", "2", 2), plan("3", "1", 3)], ["2", "3"]),
        ([plan("1", "", 1), plan("2", "1", 2)], ["2"]),
        ([plan("1", "", 1), plan("2", "1", 2), plan("3", "2", 3)], ["2", "3"]),
    ],
)
def test_the_last_plan_of_each_line_holds(plans: list[SawPlan], hold: list[str]) -> None:
    assert [one.plan for one in holding(plans)] == hold


def test_a_paper_is_its_number_and_whose_it_is() -> None:
    assert paper_of({"number": "C-1", "mill": "M"}) == ("C-1", "M")
    assert slip_of({"slip": "S-1", "distributor": "D"}) == ("S-1", "D")
    assert paper_of({}) == slip_of({}) == ("", "")


BAR = stock(
    state="accepted", label="L-1", planned=("p",), certificate={"number": "C-1"}, origin={"slip": "S-1"}
)


@pytest.mark.parametrize(
    "condition", ["received", "quarantined", "accepted", "issued", "sent_out", "cut", "scrapped"]
)
def test_stock_bears_its_label_while_it_is_there_and_its_pieces_while_it_is_out(condition: str) -> None:
    keys = [*StockTable.borne(replace(BAR, state=heard(condition)))]
    assert (("label", "L-1") in keys) == (condition not in ("cut", "scrapped"))
    assert (("planned", "p") in keys) == (condition == "issued")
    assert keys[-2:] == [("certificate", "C-1", ""), ("slip", "S-1", "")]


def test_stock_is_found_as_a_lot_by_its_number_and_id_and_by_no_paper_that_it_has_not() -> None:
    bare = stock("F-1", lot="L-9", state="received")
    assert [*StockTable.borne(bare)] == [("lot", "L-9"), ("lot", "F-1")]
    assert [*PieceTable.borne(piece(serial="SN-1"))] == [("serial", "SN-1")]
    assert [*SerialTable.borne(rack(order="PO-1"))] == [("order", "PO-1")]


def test_a_piece_was_as_hot_in_a_bake_that_did_not_count() -> None:
    assert piece(bakes=(("b1", 5), ("b2", 8)), tried=(("b0", 3), ("b1", 4), ("b0", 6))).heated == (
        ("b1", 5), ("b2", 8), ("b0", 6))  # fmt: skip
    let = tuple(Substitution(names, "", "", "", "", "Ada", 1) for names in (("p", "q"), (), ("r",)))
    assert stock(let=let).instead == ("p", "q", "r")


# --- what the office asks --------------------------------------------------------------------------


def order(*lines: Line, seq: int = 1000) -> Order:
    return Order("PO-1", "x", seq, {line.line: line for line in lines})


def line(name: str = "1", quantity: int = 2, due: str = "", seq: int = 0, **more: Any) -> Line:
    return Line(name, "v", quantity, due, seq or int("1000"), **more)


def test_an_order_is_its_standing_lines() -> None:
    many = order(line(), line("2", 3, "2031-06-02"), line("3", 4, "2031-06-01"),
                 line("4", 9, "2031-01-01", withdrawn=True))  # fmt: skip
    assert [one.line for one in many.standing] == ["1", "2", "3"]
    assert (many.quantity, many.due) == (9, "2031-06-01")
    assert (order(line()).due, order().quantity, order().due) == ("", 0, "")


def test_an_order_was_amended_last_by_the_last_event_of_a_line_after_its_own() -> None:
    assert order(line()).amended_seq == 0
    assert order(line(), line("2", seq=2000), line("3", seq=1500)).amended_seq == 2000
    assert order(line(), line("2", seq=900)).amended_seq == 900


@pytest.mark.parametrize(
    ("lines", "name"), [(("1",), "PO-1"), (("1", "2"), "PO-1 line 2"), (("1", "2", "3"), "PO-1 line 2")]
)
def test_a_line_has_its_name_beside_others(lines: tuple[str, ...], name: str) -> None:
    assert order(*map(line, lines)).named("2") == name


def test_an_order_without_lines_is_named_alone() -> None:
    assert order().named("2") == "PO-1"


def question(**more: Any) -> Question:
    plain = Question("Q-1", "?", "customer", "", ("release",), "", "", 1)
    return replace(plain, **more)


def answer(text: str, reason: str = "") -> Answer:
    return Answer(text, "LTR", "Ada", "2031-05-04T13:00:00Z", 2, reason)


@pytest.mark.parametrize(
    ("assumed", "answers", "told"),
    [
        ("", (), ""),
        ("40 lb", (), "taken meanwhile: 40 lb"),
        ("40 lb", (answer("yes."),), "yes.; LTR"),
        ("", (answer("yes."), answer("no", "they looked again")),
         "(1) yes; LTR (Ada, 2031-05-04). (2) no; LTR (Ada, 2031-05-04: they looked again)."),
        ("", (answer("a"), answer("b", "x"), answer("c", "y")),
         "(1) a; LTR (Ada, 2031-05-04). (2) b; LTR (Ada, 2031-05-04: x). (3) c; LTR (Ada, 2031-05-04: y)."),
    ],
)  # fmt: skip
def test_a_question_tells_every_answer_or_what_is_taken_meanwhile(
    assumed: str, answers: tuple[Answer, ...], told: str
) -> None:
    asked = question(assumed=assumed, answers=answers)
    assert (asked.told, asked.open) == (told, not answers)


@pytest.mark.parametrize(
    ("of", "asked", "covers"),
    [
        ({}, ("PO-1", "v", "1"), True),
        ({"order": "PO-1"}, ("PO-1", "v"), True),
        ({"order": "PO-1"}, ("PO-2", "v"), False),
        ({"variation": "v"}, ("PO-1", "v"), True),
        ({"variation": "v"}, ("PO-1", "w"), False),
        ({"order": "PO-1", "variation": "v"}, ("PO-2", "v"), False),
        ({"order": "PO-1", "line": "2"}, ("PO-1", "v", "2"), True),
        ({"order": "PO-1", "line": "2"}, ("PO-1", "v", "1"), False),
        ({"order": "PO-1", "line": "2"}, ("PO-1", "v"), True),
        ({"order": "PO-1", "line": "2"}, ("PO-2", "v", "2"), False),
        ({"order": "PO-1", "variation": "w", "line": "2"}, ("PO-1", "v", "2"), False),
        ({"order": "PO-1"}, ("PO-1", "v", "2"), True),
    ],
)
def test_a_question_is_asked_of_what_it_names(
    of: dict[str, str], asked: tuple[str, ...], covers: bool
) -> None:
    assert question(**{name: heard(text) for name, text in of.items()}).covers(*asked) == covers


def test_open_questions_block_what_they_name_there_where_they_are_asked() -> None:
    every = {
        "a": question(question="a", order="PO-1"),
        "b": question(question="b", answers=(answer("yes"),)),
        "c": question(question="c", blocks=("quote", "release")),
        "d": question(question="d", blocks=("quote",)),
        "e": question(question="e", order="PO-1", line="2"),
        "f": question(question="f", variation="w"),
    }

    def names(what: str, **more: str) -> str:
        return "".join(one.question for one in State(questions=every).blocking(heard(what), **more))

    assert names("release", order="PO-1", variation="v") == "ace"
    assert names("release", order="PO-1", variation="v", line="1") == "ac"
    assert names("release", order="PO-2", variation="w") == "cf"
    assert names("quote") == "cd"
    assert names("sign_out", order="PO-1") == ""


@pytest.mark.parametrize(
    ("of", "field", "asked", "found"),
    [
        ({}, "Q-1", ("PO-1", "v"), True),
        ({"field": "mass"}, "mass", ("PO-1", "v"), True),
        ({"field": "mass"}, "area", ("PO-1", "v"), False),
        ({"answers": ()}, "Q-1", ("PO-1", "v"), False),
        ({"answers": (), "scoped": True}, "Q-1", ("PO-1", "v"), False),
        ({"order": "PO-2"}, "Q-1", ("PO-1", "v"), True),
        ({"order": "PO-2", "scoped": True}, "Q-1", ("PO-1", "v"), False),
        ({"order": "PO-1", "scoped": True}, "Q-1", ("PO-1", "v"), True),
        ({"order": "PO-1", "line": "2", "scoped": True}, "Q-1", ("PO-1", "v", "2"), True),
        ({"order": "PO-1", "line": "2", "scoped": True}, "Q-1", ("PO-1", "v", "1"), False),
    ],
)
def test_a_definition_is_answered_by_what_was_asked_of_such_racks(
    of: dict[str, Any], field: str, asked: tuple[str, ...], found: bool
) -> None:
    one = question(**{"answers": (answer("yes"),), **of})
    assert State(questions={"Q-1": one}).answered(heard(field), *asked) == found


@pytest.mark.parametrize(("withdrawn", "met", "open"), [(False, 0, True), (True, 0, False), (False, 9, False),
                                                        (True, 9, False)])  # fmt: skip
def test_a_clause_is_open_until_it_is_met_or_withdrawn(withdrawn: bool, met: int, open: bool) -> None:
    assert Clause("PO-1", "7", "", "", "", "", withdrawn, 1, met_seq=met).open is open


def test_what_was_decided_or_lifted_is_open_no_more() -> None:
    found = Nonconformance("N-1", "", (), (), (), 1)
    assert (found.open, replace(found, decided_seq=4).open) == (True, False)
    assert (hold().open, hold(lifted_seq=4).open) == (True, False)
    line = red_line(("p", "drill"), readings=(("SN-1", "points"),))
    assert line.left == (("p", "drill"), ("SN-1", "points"))
    assert replace(line, lifted_seq=40).left == ()


# --- what a state answers --------------------------------------------------------------------------


@pytest.mark.parametrize("on", ["piece", "serial", "stock_id", "heat"])
def test_an_open_hold_is_on_each_thing_that_it_names(on: str) -> None:
    of = {"pieces": ("p",), "serials": ("s",), "stock_ids": ("t",), "heats": ("h",)}
    other = {"stock_id": "stock_ids"}.get(on, f"{on}s")
    held = {
        "1": hold(hold="1", **of),
        "2": hold(hold="2", **{other: ("x",)}),
        "3": hold(hold="3", lifted_seq=9, **of),
    }

    def names(**of: str) -> list[str]:
        return [one.hold for one in State(holds=held).held(**of)]

    assert names(**{on: {"piece": "p", "serial": "s", "stock_id": "t", "heat": "h"}[on]}) == ["1"]
    assert names(**{on: "x"}) == ["2"]
    assert names(**{on: "y"}) == names() == []
    assert names(**dict.fromkeys(("piece", "serial", "stock_id", "heat"), "x")) == ["2"]


def test_readings_are_of_a_piece_or_of_a_rack() -> None:
    every = (measured(piece="p", seq=1), measured(piece="", serial="SN-1", seq=2), measured(piece="q", seq=3))
    seqs = {
        name: [one.seq for one in State(measurements=every).measured(heard(name))]
        for name in ("p", "SN-1", "r")
    }
    assert seqs == {"p": [1], "SN-1": [2], "r": []}


RACKS = shop(serials={
    name: rack(serial=name, order=of, line=line, state=condition) for name, of, line, condition in (
        ("SN-1", "PO-1", "2", "planned"), ("SN-2", "PO-1", "1", "released"), ("SN-3", "PO-1", "2", "cancelled"),
        ("SN-4", "PO-1", "2", "scrapped"), ("SN-5", "PO-2", "2", "shipped"), ("SN-6", "PO-1", "2", "back"),
    )
})  # fmt: skip


def test_racks_of_an_order_are_those_to_be_made_or_made() -> None:
    assert [one.serial for one in RACKS.racks("PO-1")] == ["SN-1", "SN-2", "SN-6"]
    assert [one.serial for one in RACKS.racks("PO-1", heard("2"))] == ["SN-1", "SN-6"]
    assert [one.serial for one in RACKS.racks("PO-2", "2")] == ["SN-5"]
    assert RACKS.racks("PO-2", "1") == RACKS.racks("PO-3") == ()


def test_the_lines_of_racks_and_their_pieces_are_told_once() -> None:
    assert RACKS.lines_of(["SN-1/upright/1", "SN-6", "SN-2/x"]) == ["2", "1"]
    assert RACKS.lines_of(["SN-9", "SN-2"]) == ["1"]
    assert RACKS.lines_of(["SN-9"]) == RACKS.lines_of([]) == [""]


# --- after the release -----------------------------------------------------------------------------


def test_work_is_open_until_the_rack_goes_back_to_service() -> None:
    works = tuple(Work(name, "repair", "", "", "", "", "", (), "", "Ada", "", 1, cleared=seq)
                  for name, seq in (("W-1", 9), ("W-2", 0)))  # fmt: skip
    assert [one.work for one in Service("SN-1", works=works).open_works] == ["W-2"]


def test_holes_are_open_where_a_box_was_until_it_comes_back() -> None:
    before = Carried(
        "radio", "shop", "", "", False, "", "", "", (), "", (), 1, open_holes=("shelf 2", "shelf 1")
    )
    assert holes_open(before, ["shelf 3", "shelf 1"], heard("shelf 2")) == ("shelf 1", "shelf 3")
    assert holes_open(before, [], "shelf 9") == ("shelf 2", "shelf 1")
    assert holes_open(None, ["shelf 3"], "") == ("shelf 3",)


# --- the tables ------------------------------------------------------------------------------------


def test_every_column_of_a_record_is_written_but_what_is_corrected() -> None:
    tables = (schema.event, schema.head, schema.mention)
    assert [column.name for table in tables for column in table.c if column.nullable] == ["corrects"]
    assert [[column.name for column in table.primary_key] for table in tables] == [
        ["seq"], ["size"], ["kind", "name", "seq"]]  # fmt: skip
    assert [column.name for column in schema.head.c if column.unique] == ["act_id"], "an act is recorded once"


def test_the_number_of_the_layout_is_the_last_to_which_there_is_a_way() -> None:
    (folder,) = steps_of_layout.__path__
    steps = [int(path.stem.removeprefix("layout_")) for path in Path(folder).glob("versions/layout_*.py")]
    assert sorted(steps) == [*range(1, schema.VERSION + 1)]


def test_an_event_that_is_not_recorded_yet_has_no_place() -> None:
    event = events.new_event("scrap", {}, act_id="a", at="", by="Ada")
    assert (event.seq, event.v, event.station, event.corrects) == (0, 2, "", None)


def test_a_body_of_each_older_version_is_brought_to_the_newest() -> None:
    steps = {(type, v) for type, kind in events.EVENTS.items() for v in range(1, kind.v)}
    assert set(events.UPGRADES) == steps
    assert EventType("x", {}).v == 1
    assert {type: events.newest(type) for type in ("scrap", "cut", "of none")} == {
        "scrap": 2,
        "cut": 1,
        "of none": 1,
    }
    assert {type for type, kind in events_metal.METAL.items() if kind.v > 1} == {"scrap", "measure"}

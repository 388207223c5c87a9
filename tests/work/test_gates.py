"""The gates one by one, on states written down here: each answers no for its own reason, with its code, and else none.

Verbs and stories pass these gates too; here every limit has both its sides.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from rackwright.record import Person, State, Stock
from rackwright.record.office import Answer, Clause, Quote, Review
from rackwright.record.state import (
    Gauge,
    Measurement,
    Nonconformance,
    Order,
    Piece,
    Question,
    Revision,
)
from rackwright.trouble import Refusal
from rackwright.work import gates
from rackwright.work.people.scopes import in_scope
from states import (
    AFTER,
    BEFORE,
    SIGNED,
    TODAY,
    code,
    heard,
    hold,
    measured,
    piece,
    rack,
    revision,
    shop,
    stock,
    words,
)


def clause(name: str = "C-1", before: str = "sign_out", **more: Any) -> Clause:
    return replace(Clause("PO-1", name, "text", "Ada", "PO-1 page 2", before, False, 7), **more)


def quote(order: str = "PO-1", agreed: bool = True, seq: int = 8) -> Quote:
    return Quote(
        "Q-1", "A", order, "x", "1 USD", "", "", "", agreed, 1, {}, {}, "Ada", 6, seq if agreed else 0
    )


def review(seq: int) -> Review:
    return Review("PO-1", "CR-1", (), "", "", "", "Ada", "", seq)


def test_a_refusal_is_about_something_and_on_no_line() -> None:
    answer = gates.order_known(State(), "PO-1")
    assert answer is not None
    assert (answer.code, answer.where.file, answer.where.line, answer.where.field) == (
        "RW503",
        "the record",
        0,
        "PO-1",
    )
    assert gates.order_known(State(orders={"PO-1": Order("PO-1", "x", 1, {})}), "PO-1") is None
    assert code(gates.serial_known(State(), "SN-1")) == "RW503"
    assert gates.serial_known(shop(serials={"SN-1": rack()}), "SN-1") is None
    assert gates.first(None, answer, None) is answer
    assert gates.first(None) is None


def test_a_clock_may_be_a_day_behind_and_no_second_more() -> None:
    latest = f"{TODAY}T12:00:00Z"
    assert gates.clock_lost(latest, f"{BEFORE}T12:00:00Z") is None
    assert code(gates.clock_lost(latest, f"{BEFORE}T11:59:59Z")) == "RW526"
    assert gates.clock_lost("", "1970-01-01T00:00:00Z") is None


PERSON = Person("Ada", ("sawyer",), True, "", 1)


@pytest.mark.parametrize(("known", "step", "found"), [
    (PERSON, "cut", ""), (replace(PERSON, active=False), "", "not a person of this shop"),
    (replace(PERSON, roles=("lead",)), "", "does not hold the role sawyer"),
    (replace(PERSON, until=BEFORE), "", "ended on"), (replace(PERSON, until=TODAY), "", ""),
    (replace(PERSON, until=AFTER), "", ""), (replace(PERSON, scopes=("cut", "mill")), "cut", ""),
    (replace(PERSON, scopes=("mill",)), "cut", "covers mill, not cut"), (replace(PERSON, scopes=("mill",)), "", ""),
])  # fmt: skip
def test_a_person_has_the_role_a_credential_in_force_and_the_step(
    known: Person, step: str, found: str
) -> None:
    state = State(persons={"Ada": known})
    answer = gates.person_may(state, "Ada", "sawyer", TODAY)
    answer = answer or (in_scope(state, "Ada", step, of_route=True) if step else None)
    assert (code(answer) == "RW516", found in answer.found if answer else "") == (
        bool(found),
        bool(found) or "",
    )
    assert code(gates.person_may(State(), "Ada", "sawyer", TODAY)) == "RW516"


@pytest.mark.parametrize(("frozen", "allowed", "found"), [
    (None, True, "is not frozen"), (revision(), True, "no design-approval reference"), (SIGNED, False, ""),
    (SIGNED, True, ""), (revision(at_risk_by="Ada"), True, ""),
    (revision(at_risk_by="Ada"), False, "no design-approval reference"),
])  # fmt: skip
def test_metal_may_go_at_risk_and_a_rack_may_not(frozen: Revision | None, allowed: bool, found: str) -> None:
    state = State(revisions={"A": frozen} if frozen else {})
    answer = gates.revision_is_referenced(state, "A", at_risk_allowed=allowed)
    assert (code(answer), found in answer.found if answer else True) == ("RW514" if found else "", True)


@pytest.mark.parametrize(("done", "found"), [
    ("2031-05-04", ""), ("2031-05-03", ""), ("2031-05-05", "RW517"), ("2031-05-04T14:30Z", ""),
    ("2031-05-04T14:31Z", "RW517"), ("2031-05-04T14:30:15Z", ""), ("2031-05-04T14:30:16Z", "RW517"),
    ("2031-05-04T14:30", "RW517"), ("2031-05-04T14:30:15", "RW517"), ("2031-5-4", "RW517"), ("yesterday", "RW517"),
    ("", "RW517"), ("2031-05-03 ", "RW517"),
])  # fmt: skip
def test_what_is_entered_late_was_done_before(done: str, found: str) -> None:
    answer = gates.done_before(done, "2031-05-04T14:30:15Z")
    assert code(answer) == found
    assert not found or words(answer) == f"done at {done!r}, entered at 2031-05-04T14:30:15Z"


CLEAR = Answer("clear", "mail", "Ada Quill", "2031-05-04T08:00:00Z", 6)


def test_an_open_question_blocks_what_it_names_until_it_is_answered() -> None:
    asked = Question("Q-7", "which finish?", "customer", "", ("sign_out",), "PO-1", "", 5)
    state = State(questions={"Q-7": asked})
    assert "Q-7 is open (customer)" in words(gates.question_open(state, "sign_out", "PO-1", "A"))
    assert gates.question_open(state, "release", "PO-1", "A") is None
    assert gates.question_open(state, "sign_out", "PO-2", "A") is None
    answered = replace(asked, answers=(CLEAR,))
    assert gates.question_open(State(questions={"Q-7": answered}), "sign_out", "PO-1", "A") is None


def test_a_question_of_a_variation_blocks_the_racks_of_it() -> None:
    asked = Question("Q-8", "which paint?", "customer", "", ("release",), "", "alpine", 5, scoped=True)
    frozen = {
        "A": revision(variation="alpine"),
        "B": revision(variation="coast"),
        "C": revision(variation="PO-1"),
    }
    state = State(questions={"Q-8": asked}, revisions=frozen)
    found = {name: code(gates.question_open(state, "release", "PO-1", name)) for name in "ABC"}
    assert found == {"A": "RW513", "B": "", "C": ""}
    older = replace(state, questions={"Q-8": replace(asked, scoped=False)})
    assert gates.question_open(older, "release", "PO-1", "A") is None
    lined = replace(state, questions={"Q-8": replace(asked, line="2")})
    assert [code(gates.question_open(lined, "release", "PO-1", "A", line)) for line in ("1", "2", "")] == [
        "",
        "RW513",
        "RW513",
    ]


def test_what_the_definition_leaves_open_blocks_until_it_is_answered() -> None:
    left = revision(values={"questions": {"finish": ["release"], "tail": ["sign_out"]}})
    state = State(revisions={"A": left})
    assert "leaves tail open" in words(gates.question_open(state, "sign_out", "PO-1", "A"))
    assert "leaves finish open" in words(gates.question_open(state, "release", "PO-1", "A"))
    assert gates.question_open(state, "quote", "PO-1", "A") is None
    assert gates.question_open(state, "sign_out", "PO-1", "B") is None
    asked = Question("tail", "which?", "customer", "", (), "PO-1", "", 5)
    held = replace(state, questions={"tail": asked})
    assert "leaves tail open" in words(gates.question_open(held, "sign_out", "PO-1", "A"))
    done = replace(state, questions={"tail": replace(asked, answers=(CLEAR,))})
    assert gates.question_open(done, "sign_out", "PO-1", "A") is None


def test_the_agreed_quote_is_the_last_of_this_order_that_was_agreed() -> None:
    others = {"Q-0": (quote("PO-0", seq=30),), "Q-9": (quote("PO-9", seq=31),)}
    rows = {"Q-1": (quote(seq=8), quote(agreed=False)), "Q-2": (quote(seq=12), quote(seq=11)), **others}
    assert gates.agreed_quote(State(quotes=rows), "PO-1") == quote(seq=12)
    assert gates.agreed_quote(State(quotes=rows), "PO-3") is None


@pytest.mark.parametrize(("seq", "found"), [
    (0, "clause, quote or line of event 8, and no contract review"), (9, ""),
    (8, "clause, quote or line of event 8, after its review of event 8"),
    (7, "clause, quote or line of event 8, after its review of event 7"),
])  # fmt: skip
def test_a_contract_is_reviewed_after_all_of_it_came(seq: int, found: str) -> None:
    reviews = {"PO-1": review(seq)} if seq else {}
    state = State(quotes={"Q-1": (quote(),)}, clauses={"PO-1": {"C-1": clause(met_seq=9)}}, reviews=reviews)
    for answer in (gates.contract_reviewed(state, "PO-1"), gates.contract_allows(state, "release", "PO-1")):
        assert (code(answer), found in answer.found if answer else True) == ("RW548" if found else "", True)
    assert gates.contract_reviewed(State(reviews=reviews), "PO-1") is None
    later = replace(state, clauses={"PO-1": {"C-1": clause(seq=11)}}, reviews={"PO-1": review(9)})
    assert "of event 11" in words(gates.contract_reviewed(later, "PO-1"))


def test_a_clause_holds_up_what_it_names_and_nothing_else() -> None:
    state = State(clauses={"PO-1": {"C-1": clause(before="release")}})
    assert "clause C-1 of PO-1" in words(gates.clauses_met(state, "release", "PO-1"))
    assert [gates.clauses_met(state, what, "PO-1") for what in ("quote", "sign_out", "ship")] == [None] * 3
    for better in (clause(before="release", met_seq=9), clause(before="release", withdrawn=True)):
        assert gates.clauses_met(State(clauses={"PO-1": {"C-1": better}}), "release", "PO-1") is None


@pytest.mark.parametrize(("there", "good", "found"), [
    (None, True, "RW503"), (stock(state="received"), True, ""), (stock(state="quarantined"), True, ""),
    (stock(state="accepted"), True, "RW517"), (stock(state="received"), False, "RW510"),
])  # fmt: skip
def test_stock_is_accepted_once_by_a_good_certificate(there: Stock | None, good: bool, found: str) -> None:
    checks = [("Ftu", "42 ksi", "45 ksi", True), ("Fty", "35 ksi", "34 ksi", good)]
    answer = gates.stock_may_be_accepted(shop(stock={"T-1": there} if there else {}), "T-1", checks)
    assert code(answer) == found
    assert found != "RW510" or "heat H-1: Fty is 34 ksi, required 35 ksi" in words(answer)


def test_stock_is_issued_while_it_is_there_and_everything_else_allows_it() -> None:
    sound = shop(stock={"T-1": stock(state=heard("accepted"))}, revisions={"A": SIGNED})

    def ask(state: State, today: str = TODAY) -> str:
        return code(gates.stock_may_be_issued(state, "T-1", "PO-1", "A", today))

    assert ask(sound) == ""
    assert ask(State()) == "RW503"
    gone = replace(sound, stock={"T-1": stock(state="issued", job="PO-2")})
    assert ask(gone) == "RW511"
    assert "is issued to PO-2" in words(gates.stock_may_be_issued(gone, "T-1", "PO-1", "A"))
    for day, found in ((BEFORE, "RW511"), (TODAY, ""), (AFTER, "")):
        aged = replace(sound, stock={"T-1": stock(measured={gates.LAST_DAY: day})})
        assert (ask(aged), ask(aged, "")) == (found, "")
    for on in ({"stock_ids": ("T-1",)}, {"heats": ("H-1",)}):
        assert ask(replace(sound, holds={"H-9": hold(**on)})) == "RW517"
    assert ask(replace(sound, revisions={"A": revision()})) == "RW514"
    assert ask(replace(sound, clauses={"PO-1": {"C-1": clause()}})) == "RW548"
    asked = Question("Q-7", "which?", "customer", "", ("sign_out",), "PO-1", "", 5)
    assert ask(replace(sound, questions={"Q-7": asked})) == "RW513"


@pytest.mark.parametrize(
    ("printed", "found"), [("extruded bar", ""), ("drawn tube", "RW511"), ("", "RW511"), (None, "")]
)
def test_the_form_on_the_certificate_is_that_of_the_row(printed: str | None, found: str) -> None:
    values = {} if printed is None else {"form": printed}
    bar = stock(certificate={"number": "C-1", "values": values})
    proven = replace(SIGNED, values={"rows": {"6061-T6": {"Ftu": "extruded bar"}}})
    state = shop(stock={"T-1": bar}, revisions={"A": proven})
    answer = gates.stock_may_be_issued(state, "T-1", "PO-1", "A")
    assert code(answer) == found
    assert not found or f"certificate says {printed or 'none printed'!r}" in words(answer)
    other = replace(state, revisions={"A": SIGNED})
    assert gates.stock_may_be_issued(other, "T-1", "PO-1", "A") is None


def test_stock_is_cut_for_whom_and_what_it_was_issued() -> None:
    bar = stock(state=heard("issued"), job="PO-10", planned=("p", "q"))

    def ask(there: Stock | None, order: str = "PO-10", pieces: str = "pq", **more: Any) -> str:
        state = shop(stock={"T-1": there} if there else {}, **more)
        return code(gates.stock_may_be_cut(state, "T-1", heard(order), iter(pieces)))

    assert ask(bar) == ""
    assert [ask(None), ask(stock(job="PO-10")), ask(bar, "PO-2"), ask(bar, "PO-1")] == ["RW511"] * 4
    assert ask(replace(bar, state="scrapped")) == "RW511"
    assert [ask(bar, pieces="px"), ask(bar, pieces="pp")] == ["RW517"] * 2
    assert ask(bar, holds={"H-9": hold(heats=("H-1",))}) == "RW517"
    assert ask(bar, holds={"H-9": hold(heats=("H-2",), pieces=("z",))}) == ""
    for state, found in (("made", "RW517"), ("assembled", "RW517"), ("scrapped", ""), ("replaced", "")):
        there = shop(stock={"T-1": bar}, pieces={"p": piece(state=heard(state))})
        assert code(gates.stock_may_be_cut(there, "T-1", "PO-10", ["p"])) == found


def test_a_lot_is_used_while_one_of_its_boxes_is_good() -> None:
    def ask(*boxes: Stock, **more: Any) -> Refusal | None:
        state = shop(stock={box.stock_id: box for box in boxes}, **more)
        return gates.lot_may_be_used(state, "L-1", TODAY)

    good, late = stock("B-1", lot="L-1"), stock("B-2", lot="L-1", measured={gates.LAST_DAY: BEFORE})
    waiting = stock("B-3", "received", lot="L-1")
    assert code(ask(stock(lot="L-2"))) == "RW503"
    assert "is received" in words(ask(waiting))
    assert "is quarantined" in words(ask(stock("B-4", "quarantined", lot="L-1"), waiting))
    assert [ask(good), ask(late, good), ask(waiting, good), ask(stock("L-1"))] == [None] * 4
    assert "B-2, lot L-1, was to be used by" in words(ask(late, waiting))
    assert "B-2, lot" in words(ask(late, replace(late, stock_id="B-5")))
    assert code(ask(good, holds={"H-9": hold(heats=("L-1",))})) == "RW517"


@pytest.mark.parametrize(("on", "asked"), [
    ({"pieces": ("p",)}, {"piece": "p"}), ({"pieces": ("p",)}, {"serial": "SN-1"}),
    ({"serials": ("SN-1",)}, {"piece": "p"}), ({"serials": ("SN-1",)}, {"serial": "SN-1"}),
    ({"stock_ids": ("T-1",)}, {"piece": "p"}), ({"stock_ids": ("T-1",)}, {"serial": "SN-1"}),
    ({"stock_ids": ("T-1",)}, {"stock_id": "T-1"}), ({"heats": ("H-1",)}, {"piece": "p"}),
    ({"heats": ("H-1",)}, {"stock_id": "T-1"}), ({"heats": ("H-1",)}, {"heat": "H-1"}),
    ({"heats": ("L-9",)}, {"stock_id": "T-1"}), ({"heats": ("L-8",)}, {"piece": "p"}),
    ({"heats": ("L-1",)}, {"serial": "SN-1"}),
])  # fmt: skip
def test_a_hold_lies_on_what_a_thing_is_made_of(on: dict[str, Any], asked: dict[str, str]) -> None:
    state = shop(stock={"T-1": stock(lot="L-9")}, pieces={"p": piece(lot="L-8")}, serials={"SN-1": rack()})
    answer = gates.not_held(replace(state, holds={"H-9": hold(**on)}), **asked)
    assert answer is not None
    assert (answer.code, answer.where.field, "H-9 by Ada: a dent" in answer.found) == (
        "RW517",
        *asked.values(),
        True,
    )
    assert gates.not_held(replace(state, holds={"H-9": hold(**on, lifted_seq=6)}), **asked) is None
    elsewhere = hold(pieces=("z",), serials=("SN-2",), stock_ids=("T-2",), heats=("H-2",))
    assert gates.not_held(replace(state, holds={"H-9": elsewhere}), **asked) is None


def gauge(due: str, state: str = "in_use") -> Gauge:
    return Gauge("LB", "caliper", due, state, "", "", 1)


@pytest.mark.parametrize(("known", "found"), [
    (None, "RW503"), (gauge(TODAY), ""), (gauge(AFTER), ""), (gauge(BEFORE), "RW512"), (gauge(AFTER, "bad"), "RW512"),
    (gauge(AFTER, "aged"), "RW512"), (gauge(AFTER, "withdrawn"), "RW512"), (gauge(AFTER, heard("in_use")), ""),
])  # fmt: skip
def test_a_gauge_measures_to_the_end_of_its_last_day(known: Gauge | None, found: str) -> None:
    assert code(gates.gauge_may_measure(State(gauges={"LB": known} if known else {}), "LB", TODAY)) == found


def test_limits_belong_to_what_is_within_them() -> None:
    low, high, least = Fraction(1), Fraction(2), Fraction(1, 10**12)
    inside = [gates.within(value, low, high) for value in (low - least, low, high, high + least)]
    assert inside == [False, True, True, False]
    assert gates.within(-high, None, low)
    assert gates.within(high, low, None)
    assert not gates.within(high, None, low)
    assert not gates.within(low, high, None)


def test_a_piece_is_complete_when_made_of_a_heat_measured_and_free() -> None:
    def ask(made: Piece | None, *readings: Measurement, **more: Any) -> Refusal | None:
        state = shop(pieces={"p": made} if made else {}, measurements=readings, **more)
        return gates.piece_complete(state, "p", ["length", "angle"])

    both = measured(), measured("angle")
    assert ask(piece(), *both) is None
    for gone in (None, piece(state="scrapped"), piece(state="replaced")):
        assert "p is not made" in words(ask(gone, *both))
    assert code(ask(piece(heat=""), *both)) == "RW510"
    assert ask(piece(heat="", lot="L-1"), *both) is None
    assert ask(piece(lot="L-1"), *both) is None
    assert "angle of p is not measured" in words(ask(piece(), measured()))
    assert "length of p is 40 in, outside 39 in to 41 in" in words(
        ask(piece(), measured(within=False), both[1])
    )
    assert "outside no limit to no limit" in words(
        ask(piece(), measured(within=False, lower="", upper=""), both[1])
    )
    for word in ("yes", "no"):
        assert "GO/NO-GO" in words(ask(piece(), measured(within=False, value=word), both[1]))
    assert ask(piece(), measured(within=False), *both) is None  # the last time counts
    assert code(ask(piece(), *both, measured(within=False, seq=21))) == "RW515"
    assert code(ask(piece(), *both, holds={"H-9": hold(pieces=("p",))})) == "RW517"
    assert "not measured" in words(ask(piece(seq=20), *both))  # of one that was scrapped under this id
    assert "not measured" in words(ask(piece(seq=25), *both))
    assert ask(piece(seq=19), *both) is None


def test_a_rack_is_complete_when_measured() -> None:
    reading = measured("mass", piece="", serial="SN-1")
    state = shop(serials={"SN-1": rack()}, measurements=(reading,))
    assert gates.rack_complete(state, "SN-1", ["mass"]) is None
    assert code(gates.rack_complete(state, "SN-1", ["mass", "width"])) == "RW515"


@pytest.mark.parametrize(("more", "accepted"), [
    ({}, True), ({"document": ""}, False), ({"characteristic": "angle"}, False),
    ({"characteristic": "width"}, False), ({"characteristic": heard("length")}, True), ({"decided_seq": 20}, False),
    ({"decided_seq": 1020}, True), ({"decided_seq": 19}, False),
    ({"decision": heard("repair"), "decided_seq": 19}, True),
    ({"decision": "rework"}, False), ({"decision": ""}, False), ({"decision": "scrap", "document": ""}, False),
    ({"pieces": (), "serials": ("p",)}, True), ({"pieces": ("q",)}, False), ({"seq": 10}, False), ({"seq": 11}, True),
])  # fmt: skip
def test_only_a_decided_nonconformance_of_just_this_accepts_it(more: dict[str, Any], accepted: bool) -> None:
    raised = Nonconformance(
        "N-1", "short", ("p",), (), (), 21, "length", heard("use_as_is"), "", "MRB-1", "Ada", 22
    )
    state = shop(pieces={"p": piece()}, nonconformances={"N-1": replace(raised, **more)},
                  measurements=(measured(within=False),))  # fmt: skip
    assert gates.accepted_as_is(state, "p", "length", 20) is accepted
    assert (gates.piece_complete(state, "p", ["length"]) is None) is accepted


@pytest.mark.parametrize(("entered", "found"), [("Ada", "RW516"), ("Aaron", ""), ("Zoe", ""), ("", "")])
def test_who_entered_a_certificate_does_not_confirm_it(entered: str, found: str) -> None:
    state = shop(stock={"T-1": stock(state="received", entered_by=heard(entered))})
    assert code(gates.not_who_entered(state, "Ada", "T-1")) == found


@pytest.mark.parametrize(("at_risk", "found"), [("", "RW514"), ("Ada", "")])
def test_metal_is_issued_at_risk_by_a_named_person_and_not_without(at_risk: str, found: str) -> None:
    state = shop(stock={"T-1": stock()}, revisions={"A": revision(at_risk_by=at_risk)},
                  orders={"PO-1": Order("PO-1", "x", 2, {})}, reviews={"PO-1": review(9)})  # fmt: skip
    assert code(gates.stock_may_be_issued(state, "T-1", "PO-1", "A", TODAY)) == found


def test_names_of_a_record_are_compared_by_what_they_say() -> None:
    agreed = State(quotes={"Q-1": (quote(order=heard("PO-1")),)})
    assert gates.agreed_quote(agreed, "PO-1") is not None
    waiting = State(clauses={"PO-1": {"C-1": clause(before=heard("release"))}})
    assert code(gates.clauses_met(waiting, "release", "PO-1")) == "RW548"
    assert code(gates.clauses_met(waiting, "ship", "PO-1")) == ""


@pytest.mark.parametrize(("by", "found"), [("Ada", "RW516"), ("Aaron", ""), ("Zoe", "")])
def test_who_assembled_a_rack_is_found_whatever_stands_beside(by: str, found: str) -> None:
    bolted = rack(joints={"i": {"by": "Cy"}, "j": {"by": heard(by)}})
    assert code(gates.not_the_assembler(shop(serials={"SN-1": bolted}), "Ada", "SN-1")) == found
    assert code(gates.not_the_assembler(State(), "Ada", "SN-1")) == ""


@pytest.mark.parametrize(("more", "found"), [
    ({}, "T-1, heat H-1: "), ({"lot": "L-1"}, "T-1, heat H-1: "), ({"heat": ""}, "T-1, heat unknown: "),
    ({"heat": "", "lot": "L-1"}, "T-1, lot L-1: "),
])  # fmt: skip
def test_a_refused_certificate_names_the_heat_or_lot_of_the_metal(more: dict[str, str], found: str) -> None:
    state = shop(stock={"T-1": stock(state="received", **more)})
    bad = [("Ftu", "42 ksi", "41 ksi", False)]
    assert words(gates.stock_may_be_accepted(state, "T-1", bad)).startswith(found)


def test_who_entered_what_is_said() -> None:
    said = {"entered_by": "Ada", "origin_by": ("Cy", "Di")}
    state = shop(stock={"T-1": stock(state="received", **said)})
    assert (
        words(gates.not_who_entered(state, heard("Ada"), "T-1"))
        == "Ada entered the values of T-1's certificate"
    )
    for person in "Cy", "Di":
        assert (
            words(gates.not_who_entered(state, person, "T-1"))
            == f"{person} entered the papers beside T-1's certificate"
        )
    for other in "Aaron", "Zoe":  # whoever entered them, they are others' papers
        beside = shop(stock={"T-1": stock(entered_by=other, origin_by=("Cy",))})
        assert "the papers beside" in words(gates.not_who_entered(beside, "Cy", "T-1"))
    assert gates.not_who_entered(state, "Bo", "T-1") is None
    assert gates.not_who_entered(state, "Ada", "T-2") is None


def test_what_nobody_can_tell_is_measured_by_a_better_gauge_and_what_is_bad_is_raised() -> None:
    def do(**more: Any) -> str:
        state = shop(pieces={"p": piece()}, measurements=(measured(within=False, **more),))
        answer = gates.piece_complete(state, "p", ["length"])
        assert answer is not None
        return answer.do

    assert do(undecided=True) == gates.BETTER
    assert do() == do(value="yes") == "raise a nonconformance and have it dispositioned"

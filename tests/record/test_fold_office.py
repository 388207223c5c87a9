"""What events of the office and on people come to, field by field; and the latest time of anything done."""

from __future__ import annotations

from typing import Any

import pytest

from folded import ADA, BAR, ORDER, RACK, Said, at, came_to, cut
from histories import act
from rackwright.record import Known, Person, project
from rackwright.record.fold_people import WRONG_SECRET
from rackwright.record.office import (
    Action,
    Clause,
    Evidence,
    FirstArticle,
    Hours,
    Installed,
    Invoice,
    Owed,
    Quote,
    Recall,
    RedLine,
    Review,
)
from states import heard


def quote(name: str, revision: str, **more: Any) -> Said:
    return "quote", {"quote": name, "revision": revision, "customer": "x", "price": "9 USD", **more}


def test_a_quote_is_agreed_in_one_revision() -> None:
    said = quote("Q-1", "B", order="PO-9", low="8 USD", high="10 USD", until="2031-06-01", racks=2, hours={"saw": "1"},
                 costs={"stock": "2"})  # fmt: skip
    state = came_to(quote("Q-1", "A"), said, quote("Q-1", "C"), quote("Q-2", "B", agreed=True))
    plain, full, _ = state.quotes["Q-1"]
    assert plain == Quote("Q-1", "A", "", "x", "9 USD", "", "", "", False, 0, {}, {}, ADA, 1)
    assert full == Quote("Q-1", "B", "PO-9", "x", "9 USD", "8 USD", "10 USD", "2031-06-01", False, 2, {"saw": "1"},
                         {"stock": "2"}, ADA, 2)  # fmt: skip
    assert state.quotes["Q-2"][0].agreed
    agree: Said = ("agree", {"quote": "Q-1", "revision": "".join("B"), "order": "PO-1"})
    rows = came_to(quote("Q-1", "A"), said, quote("Q-1", "C"), agree).quotes["Q-1"]
    assert [(row.agreed, row.order, row.agreed_seq) for row in rows] == [
        (False, "", 0), (True, "PO-1", 4), (False, "", 0)]  # fmt: skip
    lost = came_to(agree)
    assert (lost.odd, lost.quotes) == (((1, "agree: quote 'Q-1' is not known"),), {"Q-1": ()})


def test_what_is_owed_stands_by_its_order_or_revision_and_evidence_by_its_name() -> None:
    row: dict[str, Any] = {"evidence": "burns", "kind": "fire", "text": "t", "document": "D-1", "each": "lot"}
    more = {"of": ["powder"], "process": "p", "reading": "r", "stated": "s", "not_owed": "why"}
    state = came_to(
        ("evidence_owed", {**row, "order": "PO-1"}), ("evidence_owed", {**row, "evidence": "load", "order": "PO-1"}),
        ("evidence_owed", {**row, "revision": "A", **more}), ("evidence_owed", {**row, "order": "PO-1", "text": "u"}),
    )  # fmt: skip
    assert state.owed == {
        "PO-1": {"burns": Owed("burns", "fire", "u", "D-1", "lot", ADA, 4),
                 "load": Owed("load", "fire", "t", "D-1", "lot", ADA, 2)},
        "A": {"burns": Owed("burns", "fire", "t", "D-1", "lot", ADA, 3, ("powder",), "p", "r", "s", "why")},
    }  # fmt: skip
    paper: dict[str, Any] = {"evidence": "burns", "document": "FT-1", "date": "2031-01-02", "tested_by": "a house",
                             "passed": False, "file": "ab" * 32}  # fmt: skip
    given = came_to(("evidence", {**paper, "found": "it burnt", "lots": ["L"]}),
                    ("evidence", {**paper, "revision": "A", "serials": ["S"], "passed": True}))  # fmt: skip
    assert given.evidence == {"burns": (
        Evidence("burns", "FT-1", "2031-01-02", "a house", False, "it burnt", "ab" * 32, "", ("L",), (), ADA, 1),
        Evidence("burns", "FT-1", "2031-01-02", "a house", True, "", "ab" * 32, "A", (), ("S",), ADA, 2),
    )}  # fmt: skip


def test_a_clause_is_met_by_its_document_and_a_contract_reviewed() -> None:
    first: Said = (
        "clause",
        {"order": "PO-1", "clause": "C-1", "text": "t", "met_by": "Bo", "document": "p. 2"},
    )
    other: Said = ("clause", {**first[1], "clause": "C-2", "before": "ship", "withdrawn": True})
    met: Said = ("clause_met", {"order": "PO-1", "clause": "C-1", "document": "CoC"})
    state = came_to(first, other, met)
    assert state.clauses == {"PO-1": {
        "C-1": Clause("PO-1", "C-1", "t", "Bo", "p. 2", "", False, 1, "CoC", 3),
        "C-2": Clause("PO-1", "C-2", "t", "Bo", "p. 2", "ship", True, 2)}}  # fmt: skip
    assert came_to(other, met).odd == ((2, "clause_met: clause 'C-1' is not known"),)
    said: dict[str, Any] = {"order": "PO-1", "document": "CR-1", "clauses": ["C-1"]}
    assert came_to(("contract_review", said)).reviews == {
        "PO-1": Review("PO-1", "CR-1", ("C-1",), "", "", "", ADA, at(1), 1)
    }
    full = {**said, "quote": "Q-1", "quote_revision": "B", "remarks": "ok"}
    assert came_to(("contract_review", full)).reviews["PO-1"] == Review("PO-1", "CR-1", ("C-1",), "Q-1", "B", "ok", ADA,
                                                                        at(1), 1)  # fmt: skip


def test_hours_and_invoices_are_kept_in_order() -> None:
    state = came_to(("hours", {"order": "PO-1", "operation": "saw", "hours": "1.5"}),
                    ("hours", {"order": "PO-1", "operation": "mill", "hours": "2", "serials": ["SN-1"]}),
                    ("invoice", {"order": "PO-1", "kind": "material", "amount": "9 USD", "document": "I-1"}),
                    ("invoice", {"order": "PO-1", "kind": "outside", "amount": "8 USD", "document": "I-2",
                                 "supplier": "S"}))  # fmt: skip
    assert state.hours == (
        Hours("PO-1", "saw", "1.5", (), ADA, 1),
        Hours("PO-1", "mill", "2", ("SN-1",), ADA, 2),
    )
    assert state.invoices == (
        Invoice("PO-1", "material", "9 USD", "I-1", "", 3),
        Invoice("PO-1", "outside", "8 USD", "I-2", "S", 4),
    )


def test_an_action_is_done_and_looked_at() -> None:
    day = "2031-06-01"
    begun: Said = (
        "corrective_action",
        {"action": "A-1", "cause": "c", "text": "t", "owner": "Bo", "due": day},
    )
    done: Said = ("action_done", {"action": "A-1", "text": "x"})
    assert came_to(begun).actions == {"A-1": Action("A-1", "c", "t", "Bo", day, (), 1)}
    for effective, word in ((True, "effective"), (False, "open again")):
        seen: Said = ("action_verified", {"action": "A-1", "effective": effective, "found": "f"})
        assert came_to(begun, done, seen).actions["A-1"] == Action("A-1", "c", "t", "Bo", day, (), 1, word, ADA, 2,
                                                                   ADA, 3, "f")  # fmt: skip
        assert came_to(seen).odd == ((1, "action_verified: action 'A-1' is not known"),)
    assert came_to(begun, done).actions["A-1"].state == "done"
    assert came_to(done).odd == ((1, "action_done: action 'A-1' is not known"),)


def test_a_red_line_is_struck_off_by_what_is_done_anew_of_just_that() -> None:
    said = {"red_line": "RL-1", "revision": "A", "text": "t", "document": "D", "decided_by": "Bo", "pieces": ["p"],
            "serials": ["SN-1"], "steps": ["drill", "coat"], "characteristics": ["high"]}  # fmt: skip
    red: Said = ("red_line", said)
    bare: Said = ("red_line", {key: said[key] for key in list(said)[:5]})
    begun = came_to(ORDER, RACK, BAR, cut(), red).red_lines["RL-1"]
    steps, readings = (("p", "drill"), ("p", "coat")), (("p", "high"), ("SN-1", "high"))
    assert begun == RedLine("RL-1", "A", "t", "D", "Bo", ("p",), ("SN-1",), steps, readings, ADA, 5)
    assert begun.left == (*steps, *readings)
    assert came_to(bare).red_lines["RL-1"] == RedLine("RL-1", "A", "t", "D", "Bo", (), (), (), (), ADA, 1)

    def left(*after: Said) -> tuple[tuple[str, str], ...]:
        state = came_to(ORDER, RACK, BAR, cut(), red, *after)
        assert state.odd == ()
        return state.red_lines["RL-1"].left

    high = {"characteristic": "high", "gauge": "G"}
    whole: Said = (
        "measure",
        {**high, "guard": {"r": "0"}, "serial": "SN-1", "value": "1 in", "within": False},
    )
    piece: Said = ("gauge_check", {**high, "piece": "p", "serial": "SN-1", "asked": "GO", "passed": True})
    assert left(("drill", {"pieces": ["p"]})) == (("p", "coat"), *readings)
    assert left(("operation", {"step": "deburr", "pieces": ["p"]})) == (*steps, *readings)
    assert left(whole) == (*steps, ("p", "high"))
    assert left(piece) == (*steps, ("SN-1", "high"))
    assert left(("measure", {**whole[1], "characteristic": "drill", "piece": "p"})) == (*steps, *readings)
    out: Said = ("send_out", {"supplier": "S", "process": "coat", "pieces": ["p"]})
    assert left(out) == (*steps, *readings)
    assert left(out, ("receive_back", {"supplier": "S", "process": "coat", "pieces": ["p"]})) == (
        steps[0],
        *readings,
    )
    lift: Said = ("red_line_lifted", {"red_line": "RL-1", "reason": "so"})
    lifted = came_to(ORDER, RACK, BAR, cut(), red, lift).red_lines["RL-1"]
    assert (lifted.left, lifted.steps, lifted.lifted_by, lifted.lifted_seq, lifted.reason) == (
        (),
        steps,
        ADA,
        6,
        "so",
    )
    assert came_to(lift).odd == ((1, "red_line_lifted: red line 'RL-1' is not known"),)


@pytest.mark.parametrize("steps", [("bend", "coat"), ("coat", "bend")])
@pytest.mark.parametrize("done", ["bend", "coat"])
def test_a_red_line_asks_for_the_other_step_whatever_their_order(steps: tuple[str, ...], done: str) -> None:
    red: Said = ("red_line", {"red_line": "RL-1", "revision": "A", "text": "t", "document": "D", "decided_by": "Bo",
                              "pieces": ["p"], "steps": steps})  # fmt: skip
    state = came_to(BAR, cut(), red, (done, {"pieces": ["p"]}))
    assert state.red_lines["RL-1"].left == tuple(("p", step) for step in steps if step != done)


def test_a_rack_s_first_article_its_aircraft_and_a_recall() -> None:
    first: Said = ("first_article", {"serial": "SN-1", "kind": "full", "field_list": "f", "reason": "new"})
    there: Said = ("installed", {"serial": "SN-1", "aircraft": "MSN-4", "document": "mail"})
    state = came_to(ORDER, RACK, first, there)
    assert state.first_articles == {"SN-1": FirstArticle("SN-1", "full", "f", "new", "", ADA, 3)}
    assert state.installed == {"SN-1": Installed("MSN-4", "mail", "", 4)}
    lost = came_to(first, there)
    assert (lost.first_articles, lost.installed) == ({}, {})
    assert [seq for seq, _ in lost.odd] == [1, 2]
    said = {"recall": "R-1", "kind": "heat", "about": "H-1", "reason": "r", "serials": ["SN-1"],
            "letters": [{"to": "x", "serials": ["SN-1"], "file": "aa"}]}  # fmt: skip
    assert came_to(("recall", said)).recalls == {
        "R-1": Recall("R-1", "heat", "H-1", "r", ("SN-1",), (("x", "aa"),), ADA, at(1), 1)
    }


@pytest.mark.parametrize(("line", "said", "state"), [
    ("1", {"line": "1", "withdrawn": True}, "cancelled"), ("1", {"line": "1", "without": ["SN-1"]}, "cancelled"),
    ("1", {"line": "1"}, "planned"), ("1", {"line": "1", "without": ["SN-2"]}, "planned"),
    ("1", {"line": "2", "withdrawn": True}, "planned"), ("2", {"line": "1", "withdrawn": True}, "planned"),
    ("10", {"line": "10", "withdrawn": True}, "cancelled"),
])  # fmt: skip
def test_a_rack_whose_line_is_withdrawn_or_that_is_named_is_not_made(
    line: str, said: dict[str, Any], state: str
) -> None:
    rack = ("serial", {**RACK[1], "line": line})
    change = {
        "order": "PO-1",
        "variation": "v",
        "quantity": 1,
        "document": "D",
        **said,
        "line": heard(said["line"]),
    }
    other: Said = ("order", {**ORDER[1], "order": "PO-2"})
    racks = came_to(ORDER, other, rack, ("serial", {**RACK[1], "serial": "SN-7", "order": "PO-2"}),
                    ("order_line", change)).serials  # fmt: skip
    assert (racks["SN-1"].state, racks["SN-7"].state) == (state, "planned")


@pytest.mark.parametrize("after", ["back", "released", "shipped"])
def test_a_rack_that_is_made_stays_what_it_is_when_its_line_is_withdrawn(after: str) -> None:
    come: Said = ("come_back", {"serial": "SN-1", "from": "x", "document": "D", "reason": "r", "condition": "c",
                                "day": "2031-05-04"})  # fmt: skip
    said: dict[str, tuple[Said, ...]] = {
        "released": (("release", {"serial": "SN-1", "revision": "A", "margins": []}),),
        "shipped": (("ship", {"serials": ["SN-1"], "to": "x"}),), "back": (come,),
    }  # fmt: skip
    drop: Said = ("order_line", {"order": "PO-1", "line": "1", "variation": "v", "quantity": 0, "document": "D",
                                 "withdrawn": True})  # fmt: skip
    assert came_to(ORDER, RACK, *said[after], drop).serials["SN-1"].state == after


# --- people --------------------------------------------------------------------------------------

ADA_IS: Said = ("person", {"person": ADA, "roles": ["saw"]})
WRONG: Said = (
    "refusal",
    {"act": "cut", "code": "".join(WRONG_SECRET), "found": "f", "do": "d", "about": ADA},
)


def secret(kind: str, verifier: str) -> Said:
    return "secret", {"person": ADA, "kind": kind, "verifier": verifier}


def test_a_new_secret_uses_up_the_code_it_was_set_with() -> None:
    code: Said = ("code", {"person": ADA, "verifier": "cc", "until": "2031-05-09"})
    assert came_to(ADA_IS).persons == {ADA: Person(ADA, ("saw",), True, "", 1)}
    given = came_to(ADA_IS, code).persons[ADA]
    assert (given.secrets, given.code_until, given.signs) == ({"code": "cc"}, "2031-05-09", False)
    both = came_to(ADA_IS, secret("pin", "pp"), code, secret("password", "ww"))
    assert (both.persons[ADA].secrets, both.persons[ADA].code_until) == ({"pin": "pp", "password": "ww"}, "")
    assert came_to(ADA_IS, secret("pin", "pp"), ADA_IS).persons[ADA].secrets == {"pin": "pp"}
    gone: Said = (
        "person",
        {**ADA_IS[1], "active": False, "until": "2031-06-01", "credential": "c", "scopes": ["cut"]},
    )
    assert came_to(gone).persons[ADA] == Person(ADA, ("saw",), False, "2031-06-01", 1, "c", ("cut",))
    assert came_to(secret("pin", "pp")).odd == ((1, f"secret: person {ADA!r} is not known"),)


def test_wrong_secrets_are_counted_until_a_signed_act_or_a_new_one() -> None:
    def wrong(*said: Said, **more: Any) -> tuple[int, str]:
        person = came_to(ADA_IS, *said, **more).persons[ADA]
        return person.wrong, person.wrong_at

    assert [wrong(*[WRONG] * times) for times in (0, 1, 2, 3)] == [
        (0, ""),
        (1, at(2)),
        (2, at(3)),
        (3, at(4)),
    ]
    for code in ("RW000", "RW999"):
        assert wrong((WRONG[0], {**WRONG[1], "code": code})) == (0, "")
    assert came_to((WRONG[0], {**WRONG[1], "about": "nobody"})).persons == {}
    assert wrong(WRONG, WRONG, secret("pin", "pp")) == (0, "")
    signed = Known("0.1.0", "", (), {}, signed=ADA)
    assert wrong(WRONG, WRONG, BAR) == (2, at(3))
    assert wrong(WRONG, WRONG, BAR, known=signed) == (0, "")
    assert wrong(WRONG, WRONG, BAR, known=signed, by="Bo") == (2, at(3))


def test_the_latest_time_is_of_anything_done_and_a_clock_is_vouched_for() -> None:
    def latest(*types: str) -> str:
        bodies = {"clock": {"reason": "r"}, "refusal": WRONG[1], "receive": BAR[1]}
        events = [
            act(60 - seq, type, bodies[type]).at_seq(seq) for seq, type in enumerate(types, 1)
        ]  # earlier each time
        return project(events).latest

    assert latest("receive") == latest("receive", "receive") == at(59)
    assert latest("refusal") == ""
    assert latest("refusal", "receive", "refusal") == at(58)
    assert latest("receive", "receive", "clock") == at(57)
    assert latest("receive", "clock", "receive") == at(58)
    assert project([act(seq, *BAR).at_seq(seq) for seq in (1, 2)]).latest == at(2)
    aside = ("quarantine", {"stock_id": "T-1", "reason": "r"})  # types on both sides of "clock" and "refusal"
    for first, then in ((BAR, ("accept", {"stock_id": "T-1", "checks": []})), (BAR, aside)):
        assert project([act(9, *first).at_seq(1), act(5, *then).at_seq(2)]).latest == at(9)
    for type, body in (aside, ("ship", {"serials": [], "to": "x"})):
        assert project([act(5, *BAR).at_seq(1), act(9, type, body).at_seq(2)]).latest == at(9)


def test_a_piece_of_no_length_is_made_and_goes_to_its_own_rack() -> None:
    piece: Said = ("piece", {"stock_id": "T-1", "piece": "n", "serial": "SN-2"})
    racks = [("serial", {"serial": f"SN-{n}", "order": "PO-1", "revision": "A"}) for n in (1, 2, 3)]
    state = came_to(ORDER, BAR, cut(), piece, *racks)
    assert state.pieces["n"].length_nm == 0
    assert {name: rack.pieces for name, rack in state.serials.items()} == {
        "SN-1": ("p",),
        "SN-2": ("n",),
        "SN-3": (),
    }

"""What each type of event comes to, noun by noun, on histories of a few events written down here.

Stories and verbs go through the fold too; here stands every field of a noun, with what it is where an event leaves it
out, and what is odd.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from folded import ADA, BAR, ORDER, RACK, Said, at, came_to, cut
from rackwright.record import Known
from rackwright.record.metal import TestBend
from rackwright.record.office import (
    Answer,
    Line,
    Order,
    Question,
)
from rackwright.record.state import (
    Absence,
    Gauge,
    Hold,
    Measurement,
    Nonconformance,
    Report,
    Supplier,
)
from rackwright.seal import Head

# --- pieces and racks ----------------------------------------------------------------------------

MADE = (ORDER, RACK, BAR, cut())


def test_who_worked_on_a_piece_and_in_which_lots() -> None:
    mill: Said = ("mill", {"pieces": ["p"], "serials": ["SN-1"], "lots": ["L-7"]})
    own: Said = ("operation", {"pieces": ["p"], "step": "deburr"})
    state = came_to(*MADE, mill, own, by="Bram Oole")
    assert (state.pieces["p"].makers, state.pieces["p"].done) == ((ADA, "Bram Oole"), ("mill", "deburr"))
    assert state.serials["SN-1"].lots == ("L-7",)
    assert came_to(*MADE, ("mill", {"pieces": ["z"]})).odd == ((5, "mill: piece 'z' is not known"),)


def test_a_rack_is_assembled_measured_weighed_released_and_shipped() -> None:
    steps: list[Said] = [
        (
            "assemble",
            {"serial": "SN-1", "pieces": ["p"], "lots": ["L-7"], "values": {"b1": {"torque": "3 N*m"}}},
        ),
        ("assemble", {"serial": "SN-1", "pieces": [], "values": {"b2": {"torque": "4 N*m"}}}),
        ("weigh", {"serial": "SN-1", "within": True, "readings": {"a": "1 lb"}, "gauge": "SC-1"}),
        ("passport", {"serial": "SN-1", "points": {"a": ["1", "2", "3"]}}),
        ("release", {"serial": "SN-1", "revision": "B", "margins": [{"check": "x"}], "pieces": ["p", "r"]}),
        ("ship", {"serials": ["SN-1"], "to": "hangar 4"}),
    ]
    state = came_to(*MADE, *steps)
    rack, made = state.serials["SN-1"], state.pieces["p"]
    assert (made.state, made.serial, made.done, made.makers) == ("assembled", "SN-1", ("assemble",), (ADA,))
    assert rack.joints == {"b1": {"torque": "3 N*m", "by": ADA}, "b2": {"torque": "4 N*m", "by": ADA}}
    assert (rack.lots, rack.pieces, rack.weighed) == (("L-7",), ("p", "r"), True)
    assert rack.weighing == {"readings": {"a": "1 lb"}, "gauge": "SC-1", "seq": 7}
    assert (rack.points, rack.points_seq) == ({"a": ["1", "2", "3"]}, 8)
    assert (rack.state, rack.revision, rack.released_seq, rack.margins) == (
        "shipped",
        "B",
        9,
        ({"check": "x"},),
    )
    assert (rack.shipped_to, state.odd) == ("hangar 4", ())
    assert came_to(*MADE, ("weigh", {"serial": "SN-1", "within": False})).serials["SN-1"].weighed is False
    for type, body in steps:
        lost = came_to(BAR, cut(), (type, body))
        assert (3, f"{type}: serial 'SN-1' is not known") in lost.odd
    early = came_to(BAR, cut(), ORDER, RACK)
    assert early.serials["SN-1"].pieces == ("p",)  # made before the rack had its number


def test_a_piece_is_replaced_in_a_rack_by_another() -> None:
    new: Said = ("piece", {"stock_id": "T-1", "piece": "n"})
    swap: Said = ("replace", {"serial": "SN-1", "old": "p", "new": "n", "reason": "bent"})
    state = came_to(*MADE, new, swap)
    assert (state.pieces["p"].state, state.pieces["p"].reason) == ("replaced", "bent")
    assert (state.pieces["n"].state, state.pieces["n"].serial, state.pieces["n"].job) == (
        "assembled",
        "SN-1",
        "",
    )
    assert state.serials["SN-1"].pieces == ("n",)
    assert came_to(*MADE, swap).odd == ((5, "replace: piece 'n' is not known"),)
    assert came_to(*MADE, swap).pieces["p"].state == "made"
    again: Said = ("piece", {"stock_id": "T-1", "piece": "p", "serial": "SN-1"})
    assert came_to(*MADE, new, swap, again).odd == ()


def test_what_is_sent_out_is_away_until_it_comes_back() -> None:
    out: Said = ("send_out", {"pieces": ["p"], "stock_ids": ["T-1"], "supplier": "S-1", "process": "anodize"})

    def home(**lot: str) -> Said:
        return "receive_back", {"pieces": ["p"], "stock_ids": ["T-1"], "process": "anodize", **lot}

    state = came_to(*MADE, out)
    away = state.pieces["p"]
    assert (away.state, away.at_supplier, away.for_process, away.sent_at) == (
        "sent_out",
        "S-1",
        "anodize",
        "2031-05-04",
    )
    assert state.stock["T-1"].state == "sent_out"
    state = came_to(*MADE, out, home(lot="X-1"), out, home(), out, home(lot="X-2"))
    there = state.pieces["p"]
    assert (there.state, there.at_supplier, there.for_process, there.sent_at) == ("made", "", "", "")
    assert (there.outside_lots, there.done) == (("X-1", "X-2"), ("anodize",) * 3)
    assert [(process, number) for process, number, _ in there.outside_papers] == [("anodize", "")] * 3
    paper: Said = ("receive_back", {**home()[1], "certificate": {"number": "C-1"}})
    assert came_to(*MADE, out, paper).pieces["p"].outside_papers == (("anodize", "C-1", len(MADE) + 2),)
    assert state.stock["T-1"].state == "received"
    lost = came_to(BAR, ("send_out", {"pieces": ["z"], "stock_ids": ["Z"], "supplier": "S", "process": "x"}))
    assert [words for _, words in lost.odd] == [
        "send_out: piece 'z' is not known",
        "send_out: stock 'Z' is not known",
    ]


def test_a_measurement_knows_its_gauge_s_due_date_of_then() -> None:
    said: dict[str, Any] = {
        "characteristic": "length",
        "value": "1 in",
        "gauge": "LB",
        "within": True,
        "guard": {"r": "0"},
    }
    due = Known("0.1.0", "", (), {"LB": "2031-12-31"})
    full = {**said, "piece": "p", "serial": "SN-1", "nominal": "1 in", "lower": "0 in", "upper": "2 in"}
    assert came_to(("measure", full), known=due).measurements == (
        Measurement(
            "p", "SN-1", "length", "1 in", "1 in", "0 in", "2 in", True, "LB", "2031-12-31", ADA, at(1), 1
        ),
    )
    guard = {"r": "0.5", "uncertainty": "0.2 in", "lower": "0.1 in", "upper": "1.9 in", "undecided": True}
    (banded,) = came_to(("measure", full | {"within": False, "guard": guard}), known=due).measurements
    assert (banded.r, banded.accept_lower, banded.accept_upper, banded.undecided) == (
        "0.5",
        "0.1 in",
        "1.9 in",
        True,
    )
    assert came_to(("measure", said)).measurements == (
        Measurement("", "", "length", "1 in", "", "", "", True, "LB", "", ADA, at(1), 1),
    )
    for passed, word in ((True, "yes"), (False, "no")):
        check = {"characteristic": "angle", "gauge": "LB", "asked": "GO", "passed": passed}
        assert came_to(("gauge_check", check), known=due).measurements == (
            Measurement("", "", "angle", word, "GO", "", "", passed, "LB", "2031-12-31", ADA, at(1), 1),
        )


def test_a_test_bend_is_kept_with_what_it_cost() -> None:
    said = {"bend": "TB-1", "heat": "H-1", "file": "aa", "K": "0.44", "cracked": False, "cut": ["x"]}
    assert came_to(("test_bend", said)).test_bends == {
        "TB-1": TestBend("TB-1", "H-1", "aa", "0.44", False, ("x",), ADA, at(1), 1)
    }


# --- the shop, the order, and what went wrong ----------------------------------------------------


def test_the_shop_and_its_means() -> None:
    state = came_to(("found", {"shop": "x", "demo": True, "key_id": "aa"}),
                    ("gauge", {"gauge": "LB", "kind": "caliper", "due": "2031-12-31"}),
                    ("gauge", {"gauge": "CA", "kind": "arm", "due": "2032-01-01", "state": "withdrawn",
                               "uncertainty": "1 um"}),
                    ("supplier", {"supplier": "S-1", "scope": ["coat"], "until": "2032-02-02"}),
                    ("away", {"what": "saw", "first": "2031-06-01", "last": "2031-06-03", "reason": "belt"}),
                    ("signatures", {"required": True, "reason": "x"}))  # fmt: skip
    assert (state.shop, state.demo, state.key_id, state.signatures) == ("x", True, "aa", True)
    assert came_to(("found", {"shop": "x", "demo": False})).key_id == ""
    day = "2031-05-04"
    assert state.gauges == {"LB": Gauge("LB", "caliper", "2031-12-31", "in_use", "", "", 2, day),
                            "CA": Gauge("CA", "arm", "2032-01-01", "withdrawn", "1 um", "", 3, day)}  # fmt: skip
    assert state.suppliers == {"S-1": Supplier("S-1", ("coat",), "2032-02-02", 4)}
    assert state.absences == (Absence("saw", "2031-06-01", "2031-06-03", "belt", ADA, 5),)
    gauge: Said = ("gauge", {"gauge": "LB", "kind": "caliper", "due": "2031-12-31"})
    for since, found in (({"since": "2031-05-01"}, "2031-05-01"), ({}, "2031-05-04")):
        bad = came_to(gauge, ("gauge_bad", {"gauge": "LB", "reason": "dropped", **since})).gauges["LB"]
        assert (bad.state, bad.bad_since) == ("bad", found)


def test_the_order_and_what_is_known_about_it() -> None:
    full: Said = ("order", {**ORDER[1], "due": "2031-09-01", "serials": ["SN-1"], "weight": 3, "document": "mail",
                            "aircraft_serials": ["MSN-4"]})  # fmt: skip
    first = Line("1", "v", 2, "", 1)
    assert came_to(ORDER).orders == {"PO-1": Order("PO-1", "x", 1, {"1": first})}
    whole = replace(first, due="2031-09-01", aircraft_serials=("MSN-4",), document="mail")
    assert came_to(full).orders == {"PO-1": Order("PO-1", "x", 1, {"1": whole}, 3, "mail")}
    asked: Said = ("question", {"question": "Q-1", "text": "?", "owner": "customer", "blocks": ["release"]})
    answer: Said = ("answer", {"question": "Q-1", "answer": "yes", "document": "LTR"})
    assert came_to(asked).questions == {"Q-1": Question("Q-1", "?", "customer", "", ("release",), "", "", 1)}
    answered = came_to(asked, answer).questions["Q-1"]
    assert answered.answers == (Answer("yes", "LTR", ADA, at(2), 2),)
    assert (answered.open, answered.told) == (False, "yes; LTR")
    assert came_to(asked).questions["Q-1"].open
    assert came_to(answer).odd == ((1, "answer: question 'Q-1' is not known"),)


def test_a_second_answer_stands_after_the_first() -> None:
    asked: Said = ("question", {"question": "Q-1", "text": "?", "owner": "customer", "blocks": ["release"]})
    answers: list[Said] = [
        ("answer", {"question": "Q-1", "answer": "yes", "document": "LTR"}),
        ("answer", {"question": "Q-1", "answer": "no", "document": "LTR-2", "reason": "they looked again"}),
    ]
    told = came_to(asked, *answers).questions["Q-1"]
    assert [(one.answer, one.document, one.seq, one.reason) for one in told.answers] == [
        ("yes", "LTR", 2, ""), ("no", "LTR-2", 3, "they looked again")]  # fmt: skip
    day = "2031-05-04"
    assert told.told == f"(1) yes; LTR ({ADA}, {day}). (2) no; LTR-2 ({ADA}, {day}: they looked again)."


def test_lines_of_an_order_come_change_and_go_and_their_racks_with_them() -> None:
    def line(**said: object) -> Said:
        return "order_line", {
            "line": "2",
            "order": "PO-1",
            "variation": "w",
            "quantity": 3,
            "document": "B",
            **said,
        }

    def serial(name: str, **of: str) -> Said:
        return "serial", {"serial": name, "order": "PO-1", "revision": "A", **of}

    racks = [serial("SN-1"), serial("SN-2", line="2"), serial("SN-3", line="2")]
    order = came_to(ORDER, line(due="2031-08-01", price="10 USD", aircraft_serials=["7"])).orders["PO-1"]
    assert order.lines["2"] == Line("2", "w", 3, "2031-08-01", 2, ("7",), "B", "10 USD")
    assert (order.quantity, order.due, order.amended_seq, order.named("2")) == (
        5,
        "2031-08-01",
        2,
        "PO-1 line 2",
    )
    assert came_to(ORDER).orders["PO-1"].amended_seq == 0
    assert came_to(ORDER).orders["PO-1"].named("1") == "PO-1"
    fewer = came_to(ORDER, line(), *racks, line(quantity=1, without=["SN-3", "SN-1"]))
    assert {one.serial: (one.line, one.state) for one in fewer.serials.values()} == {
        "SN-1": ("1", "planned"), "SN-2": ("2", "planned"), "SN-3": ("2", "cancelled")}  # fmt: skip
    assert [one.serial for one in fewer.racks("PO-1")] == ["SN-1", "SN-2"]
    assert [one.serial for one in fewer.racks("PO-1", "2")] == ["SN-2"]
    gone = came_to(ORDER, line(), *racks, line(withdrawn=True, reason="no longer needed"))
    assert [one.serial for one in gone.racks("PO-1")] == ["SN-1"]
    assert [one.line for one in gone.orders["PO-1"].standing] == ["1"]
    assert gone.orders["PO-1"].quantity == 2
    assert came_to(line()).odd == ((1, "order_line: order 'PO-1' is not known"),)


FROZEN: Said = ("freeze", {"revision": "A", "texts": [{"name": "rack.toml", "file": "aa"}]})


def test_a_frozen_revision_and_what_is_said_of_it() -> None:
    said: list[Said] = [
        ("approval_reference", {"revision": "A", "reference": "D-1"}),
        ("approval_reference", {"revision": "A", "reference": "D-2", "holder": "h", "document": "d",
                                "date": "2031-01-01"}),
        ("at_risk", {"revision": "A", "reason": "hurry"}),
        ("without_report", {"revision": "A", "reason": "spare", "document": "memo"}),
    ]  # fmt: skip
    found = came_to(FROZEN, *said).revisions["A"]
    assert (found.texts, found.order, found.values, found.seq) == ({"rack.toml": "aa"}, "", {}, 1)
    assert [(one.reference, one.holder, one.document, one.date, one.by, one.seq) for one in found.approvals] == [
        ("D-1", "", "", "", ADA, 2), ("D-2", "h", "d", "2031-01-01", ADA, 3)]  # fmt: skip
    assert (found.at_risk_by, found.at_risk_reason) == (ADA, "hurry")
    assert (found.without_report_by, found.without_report_reason, found.without_report_document,
            found.without_report_seq) == (ADA, "spare", "memo", 5)  # fmt: skip
    for type, body in said:
        assert came_to((type, body)).odd == ((1, f"{type}: revision 'A' is not known"),)


def test_a_report_is_signed_for_its_very_bytes() -> None:
    def report(revision: str, file: str) -> Said:
        return "report", {"report": "SR-1", "revision": revision, "of": "A", "inputs": "ii", "file": file,
                          "results": "rr", "reasons": [{"code": "RW1", "found": "x"}]}  # fmt: skip

    def sign(act: str, revision: str, file: str) -> Said:
        return act, {"report": "SR-1", "revision": revision, "file": file}

    rows = [report(*row) for row in (("A", "aa"), ("B", "bb"), ("C", "cc"))]
    plain = came_to(*rows).reports["SR-1"]
    assert plain[1] == Report("SR-1", "B", "A", "ii", "bb", "rr", (("RW1", "x"),), ADA, at(2), 2)
    state = came_to(*rows, sign("report_checked", "B", "bb"), sign("report_released", "B", "bb"))
    signed = [
        (row.checked_by, row.checked_seq, row.released_by, row.released_seq) for row in state.reports["SR-1"]
    ]
    assert signed == [("", 0, "", 0), (ADA, 4, ADA, 5), ("", 0, "", 0)]
    for other in (("B", "aa"), ("A", "bb"), ("A", "a"), ("Z", "zz"), ("A", "ab")):
        state = came_to(*rows, sign("report_checked", *other))
        words = f"report_checked: report SR-1 revision {other[0]} of these bytes is not known"
        assert (state.odd, state.reports["SR-1"]) == (((4, words),), plain)
    row = came_to(("row_confirmed", {"row": "r", "kind": "k", "row_hash": "hh", "document": "d"})).confirmed[
        "r"
    ]
    assert (row.row, row.row_hash, row.document, row.by, row.seq) == ("r", "hh", "d", ADA, 1)


def test_what_went_wrong_and_what_was_decided() -> None:
    raised: Said = ("nonconformance", {"nonconformance": "N-1", "text": "short", "pieces": ["p"], "serials": ["s"],
                                       "stock_ids": ["t"], "characteristic": "length"})  # fmt: skip
    decided: Said = ("disposition", {"nonconformance": "N-1", "decision": "repair", "reason": "r", "document": "d",
                                     "cause": "c"})  # fmt: skip
    assert came_to(raised).nonconformances == {
        "N-1": Nonconformance("N-1", "short", ("p",), ("s",), ("t",), 1, "length")
    }
    found = came_to(raised, decided).nonconformances["N-1"]
    assert found == Nonconformance(
        "N-1", "short", ("p",), ("s",), ("t",), 1, "length", "repair", "r", "d", ADA, 2, "c"
    )
    assert came_to(decided).odd == ((1, "disposition: nonconformance 'N-1' is not known"),)
    hold: Said = ("hold", {"hold": "H-9", "reason": "dent", "pieces": ["p"], "serials": ["s"], "stock_ids": ["t"],
                           "heats": ["h"]})  # fmt: skip
    lift: Said = ("lift", {"hold": "H-9", "reason": "ok"})
    assert came_to(hold).holds == {"H-9": Hold("H-9", "dent", ADA, ("p",), ("s",), ("t",), ("h",), 1)}
    lifted = came_to(hold, lift).holds["H-9"]
    assert (lifted.lifted_seq, lifted.open) == (2, False)
    assert came_to(lift).odd == ((1, "lift: hold 'H-9' is not known"),)


def test_heads_that_left_are_kept_with_their_paper() -> None:
    state = came_to(("dossier", {"serial": "SN-1", "size": 4, "root": "aa"}),
                    ("head", {"head": {"size": 5, "root": "bb"}, "paper": "traveler"}),
                    ("head", {"head": {"size": 6, "root": "cc"}}),
                    ("head", {"head": {"size": "7", "root": "dd"}}),
                    ("head", {"head": {"size": 7, "root": 8}}))  # fmt: skip
    assert state.heads == (
        (Head(4, "aa"), "dossier SN-1"),
        (Head(5, "bb"), "traveler"),
        (Head(6, "cc"), "a signed head"),
    )

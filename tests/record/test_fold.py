"""What each type of event comes to, noun by noun, on histories of a few events written down here.

Stories and verbs go through the fold too; here stands every field of a noun, with what it is where an event leaves it
out, and what is odd.
"""

from __future__ import annotations

from typing import Any

import pytest

from histories import act
from rackwright.record import Known, State, project
from rackwright.record.metal import Inside, Piece, SawPlan, Stock, TestBend
from rackwright.record.office import (
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

ADA = "Ada Quill"
Said = tuple[str, dict[str, Any]]


def at(seq: int) -> str:
    return f"2031-05-04T00:{seq:02}:00Z"


def came_to(*said: Said, **more: Any) -> State:
    """The state of a history in which event 1 says the first, and so on; `more` is of the last."""
    last = len(said)
    return project([
        act(seq, type, body, **(more if seq == last else {})).at_seq(seq) for seq, (type, body) in enumerate(said, 1)
    ])  # fmt: skip


BAR: Said = ("receive", {"stock_id": "T-1", "form": "bar", "stock_spec": "6061-T6", "heat": "H-1", "length_nm": 100,
                         "section": "SQ", "length_uncertainty_nm": 3, "place": "rack 2"})  # fmt: skip
LOT: Said = ("receive", {"stock_id": "F-1", "form": "rivets", "stock_spec": "S", "lot": "L-1", "quantity": 5})
PLATE: Said = ("receive", {"stock_id": "P-1", "form": "plate", "stock_spec": "S", "heat": "H-2",
                           "outline": [[10, 10], [14, 10], [14, 15], [10, 15]]})  # fmt: skip
ORDER: Said = ("order", {"order": "PO-1", "customer": "x", "variation": "v", "quantity": 2})
RACK: Said = ("serial", {"serial": "SN-1", "order": "PO-1", "revision": "A"})


def cut(**more: Any) -> Said:
    return "cut", {"stock_id": "T-1", "job": "PO-1", "pieces": [{"piece": "p", "length_nm": 60, "serial": "SN-1"}],
                   "kerf_nm": 2, "trim_nm": 3, "scrap_nm": 35, **more}  # fmt: skip


def profile_cut(**more: Any) -> Said:
    return "profile_cut", {"stock_id": "P-1", "job": "PO-1", "pieces": [{"piece": "q", "area_nm2": "3"}],
                           "kerf_nm2": "1", "skeleton_nm2": "4", "remnants": [
                               {"stock_id": "P-1-R", "outline": [[1, 1], [5, 1], [5, 4], [1, 4]], "label": "L-9"}],
                           **more}  # fmt: skip


# --- stock ---------------------------------------------------------------------------------------


def test_what_is_received_is_as_it_was_written() -> None:
    state = came_to(BAR, LOT, PLATE)
    assert state.stock["T-1"] == Stock("T-1", "bar", "SQ", "6061-T6", "H-1", "", 100, 100, 3, 0, "received", None,
                                       "rack 2", "", "", 1)  # fmt: skip
    assert state.stock["F-1"] == Stock(
        "F-1", "rivets", "", "S", "", "L-1", 0, 0, 0, 5, "received", None, "", "", "", 2
    )
    assert state.stock["P-1"] == Stock("P-1", "plate", "", "S", "H-2", "", 0, 0, 0, 0, "received", None, "", "", "", 3,
                                       outline=((0, 0), (4, 0), (4, 5), (0, 5)), area_nm2=20)  # fmt: skip


@pytest.mark.parametrize("lost", ["kerf_nm", "trim_nm", "scrap_nm"])
@pytest.mark.parametrize("by", [1, -1])
def test_a_bar_is_its_parts_to_the_nanometre(lost: str, by: int) -> None:
    whole = came_to(BAR, cut())
    assert (whole.odd, whole.stock["T-1"].length_nm, whole.stock["T-1"].state) == ((), 0, "cut")
    body = cut()[1]
    words = f"cut: T-1 was 100 nm long, its parts are {100 + by} nm: difference {by} nm"
    assert came_to(BAR, cut(**{lost: body[lost] + by})).odd == ((2, words),)


def test_a_cut_makes_pieces_and_a_remnant_of_the_same_metal() -> None:
    rest = {"stock_id": "T-1-R", "length_nm": 30, "label": "L-9"}
    issued: Said = ("issue", {"stock_id": "T-1", "job": "PO-1", "revision": "A", "pieces": ["p"]})
    counted: Said = ("count", {"stock_id": "T-1", "length_nm": 99})
    state = came_to(ORDER, RACK, BAR, issued, counted, cut(scrap_nm=5, remnant=rest))
    assert state.odd == ()
    assert state.pieces == {"p": Piece("p", "T-1", "H-1", "", "SN-1", "PO-1", "A", 60, "made", (ADA,), 6)}
    assert state.serials["SN-1"].pieces == ("p",)
    bar = state.stock["T-1"]
    assert (bar.job, bar.revision, bar.planned, bar.counted_nm) == ("PO-1", "A", ("p",), 99)
    assert state.stock["T-1-R"] == Stock("T-1-R", "bar", "SQ", "6061-T6", "H-1", "", 30, 30, 3, 0, "accepted", None,
                                         "rack 2", "L-9", "T-1", 6)  # fmt: skip
    moved = came_to(BAR, cut(scrap_nm=5, remnant={**rest, "place": "rack 9"}))
    assert moved.stock["T-1-R"].place == "rack 9"


@pytest.mark.parametrize(("change", "by"), [
    ({"kerf_nm2": "2"}, 1), ({"kerf_nm2": "0"}, -1), ({"skeleton_nm2": "5"}, 1), ({"skeleton_nm2": "1"}, -3),
    ({"pieces": [{"piece": "q", "area_nm2": "4"}]}, 1), ({"pieces": []}, -3), ({"remnants": []}, -12),
])  # fmt: skip
def test_a_plate_is_its_parts_to_the_square_nanometre(change: dict[str, Any], by: int) -> None:
    words = f"profile_cut: P-1 had 20 nm², its parts are {20 + by} nm²: difference {by} nm²"
    assert came_to(PLATE, profile_cut(**change)).odd == ((2, words),)


def test_a_plate_becomes_blanks_and_a_remnant() -> None:
    state = came_to(ORDER, RACK, PLATE, profile_cut())
    assert state.odd == ()
    assert state.pieces == {
        "q": Piece("q", "P-1", "H-2", "", "", "PO-1", "", 0, "made", (ADA,), 4, area_nm2=3)
    }
    assert (state.stock["P-1"].state, state.stock["P-1"].area_nm2) == ("cut", 0)
    assert state.stock["P-1-R"] == Stock(
        "P-1-R", "plate", "", "S", "H-2", "", 0, 0, 0, 0, "accepted", None, "", "L-9", "P-1", 4,
        outline=((0, 0), (4, 0), (4, 3), (0, 3)), area_nm2=12)  # fmt: skip


def lot_of(*said: Said) -> tuple[Stock, State]:
    state = came_to(ORDER, RACK, LOT, *said)
    return state.stock["F-1"], state


def issue(quantity: int, **more: Any) -> Said:
    return "issue", {"stock_id": "F-1", "job": "PO-1", "revision": "A", "quantity": quantity, **more}


def back(quantity: int) -> Said:
    return "return", {"stock_id": "F-1", "job": "PO-1", "quantity": quantity}


def test_a_lot_gives_of_itself_and_takes_back_and_never_more_than_there_was() -> None:
    lot, state = lot_of(issue(2), issue(1, serials=["SN-1"]))
    assert (lot.quantity, lot.drawn, lot.state, state.odd) == (2, {"PO-1": 3}, "received", ())
    assert state.serials["SN-1"].lots == ("L-1",)
    lot, state = lot_of(issue(2, pieces=["a", "b"]))
    assert (lot.quantity, lot.drawn, state.odd) == (3, {}, ())
    assert lot_of(issue(5))[1].odd == ()
    assert lot_of(issue(6))[1].odd == ((4, "issue: 6 taken from F-1, which had 5"),)
    lot, state = lot_of(issue(3), back(1))
    assert (lot.quantity, lot.drawn, state.odd) == (3, {"PO-1": 2}, ())
    assert lot_of(issue(3), back(3))[1].odd == ()
    lot, state = lot_of(issue(1), back(3))
    assert state.odd == ((5, "return: 2 more of F-1 came back from PO-1 than were drawn"),)
    lot, state = lot_of(back(1))
    assert state.odd == ((4, "return: 1 more of F-1 came back from PO-1 than were drawn"),)


def test_a_lot_without_a_number_goes_into_a_rack_by_its_id() -> None:
    plain = ("receive", {"stock_id": "F-2", "form": "rivets", "stock_spec": "S", "quantity": 5})
    out: Said = (
        "issue",
        {"stock_id": "F-2", "job": "PO-1", "revision": "A", "quantity": 1, "serials": ["SN-1"]},
    )
    assert came_to(ORDER, RACK, plain, out).serials["SN-1"].lots == ("F-2",)


def scrap(**more: Any) -> Said:
    return "scrap", {"reason": "bent", **more}


@pytest.mark.parametrize(("said", "left", "state", "odd"), [
    ({}, 0, "scrapped", 0), ({"length_nm": 100}, 0, "scrapped", 0), ({"length_nm": 99}, 1, "received", 0),
    ({"length_nm": 98}, 2, "received", 0), ({"length_nm": 101}, -1, "scrapped", 1),
    ({"length_nm": 110}, -10, "scrapped", 1),
])  # fmt: skip
def test_of_a_bar_no_more_is_scrapped_than_there_was(
    said: dict[str, int], left: int, state: str, odd: int
) -> None:
    found = came_to(BAR, scrap(stock_id="T-1", **said))
    bar = found.stock["T-1"]
    assert (bar.length_nm, bar.state, bar.reason, bar.quantity) == (left, state, "bent", 0)
    assert found.odd == ((2, "scrap: more of T-1 was scrapped than there was"),) * odd


@pytest.mark.parametrize(("said", "left", "state", "odd"), [
    ({}, 0, "scrapped", 0), ({"quantity": 4}, 1, "received", 0), ({"quantity": 3}, 2, "received", 0),
    ({"quantity": 6}, -1, "scrapped", 1),
])  # fmt: skip
def test_of_a_lot_no_more_is_scrapped_than_there_was(
    said: dict[str, int], left: int, state: str, odd: int
) -> None:
    found = came_to(LOT, scrap(stock_id="F-1", **said))
    lot = found.stock["F-1"]
    assert (lot.quantity, lot.state, lot.length_nm, len(found.odd)) == (left, state, 0, odd)
    again = came_to(LOT, scrap(stock_id="F-1"), ("return", {"stock_id": "F-1", "job": "PO-1", "quantity": 2}))
    assert (again.stock["F-1"].state, again.stock["F-1"].quantity) == ("received", 2)


def test_a_plate_goes_whole_and_a_piece_by_its_name() -> None:
    state = came_to(PLATE, scrap(stock_id="P-1"))
    assert (state.stock["P-1"].state, state.stock["P-1"].area_nm2, state.stock["P-1"].reason) == (
        "scrapped",
        0,
        "bent",
    )
    state = came_to(BAR, cut(), scrap(piece="p"))
    assert (state.pieces["p"].state, state.pieces["p"].reason, state.stock["T-1"].state) == (
        "scrapped",
        "bent",
        "cut",
    )
    again: Said = ("piece", {"stock_id": "T-1", "piece": "p", "serial": "SN-1", "job": "PO-1"})
    assert came_to(BAR, cut(), scrap(piece="p"), again).odd == ()
    assert came_to(BAR, cut(), again).odd == ((3, "piece: piece 'p' was made before, in event 2"),)


def test_stock_is_accepted_put_aside_labelled_issued_and_returned() -> None:
    accepted: Said = ("accept", {"stock_id": "T-1", "checks": [], "certificate": {"number": "C-1"}})
    aside: Said = ("quarantine", {"stock_id": "T-1", "reason": "no stamp"})
    label: Said = ("label", {"stock_id": "T-1", "label": "L-4"})
    bar = came_to(BAR, aside).stock["T-1"]
    assert (bar.state, bar.reason) == ("quarantined", "no stamp")
    bar = came_to(BAR, aside, accepted, label, ("label", {"piece": "p", "label": "L-5"})).stock["T-1"]
    assert (bar.state, bar.reason, bar.certificate, bar.label) == ("accepted", "", {"number": "C-1"}, "L-4")
    plain: Said = ("accept", {"stock_id": "T-1", "checks": []})
    assert came_to(BAR, accepted, plain).stock["T-1"].certificate == {"number": "C-1"}
    out: Said = ("issue", {"stock_id": "T-1", "job": "PO-1", "revision": "A"})
    bar = came_to(BAR, out).stock["T-1"]
    assert (bar.state, bar.job, bar.revision, bar.planned) == ("issued", "PO-1", "A", ())
    bar = came_to(BAR, out, ("return", {"stock_id": "T-1", "job": "PO-1"})).stock["T-1"]
    assert (bar.state, bar.job, bar.revision, bar.planned) == ("accepted", "", "", ())


def test_insides_and_plans_are_kept_in_order() -> None:
    def inside(width: int) -> Said:
        return "inside", {"stock_id": "T-1", "widths": [{"width_nm": width}, {"width_nm": 8}], "corner_nm": 1,
                          "gauge": "LB", "uncertainty_nm": 2}  # fmt: skip

    assert came_to(BAR, inside(7), inside(9)).stock["T-1"].insides == (
        Inside((7, 8), 1, "LB", 2, ADA, 2),
        Inside((9, 8), 1, "LB", 2, ADA, 3),
    )

    def plan(name: str, order: str) -> Said:
        return "saw_plan", {"plan": name, "order": order, "file": "aa", "sheet": "bb", "inputs": "cc"}

    plans = came_to(plan("SP-1", "PO-1"), plan("SP-2", "PO-2"), plan("SP-3", "PO-1")).saw_plans
    assert {order: [row.seq for row in rows] for order, rows in plans.items()} == {
        "PO-1": [1, 3],
        "PO-2": [2],
    }
    assert plans["PO-2"] == (SawPlan("SP-2", "PO-2", "aa", "bb", "cc", ADA, 2),)


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
        ("weigh", {"serial": "SN-1", "within": True}),
        ("passport", {"serial": "SN-1", "points": {"a": ["1", "2", "3"]}}),
        ("release", {"serial": "SN-1", "revision": "B", "margins": [{"check": "x"}], "pieces": ["p", "r"]}),
        ("ship", {"serials": ["SN-1"], "to": "hangar 4"}),
    ]
    state = came_to(*MADE, *steps)
    rack, made = state.serials["SN-1"], state.pieces["p"]
    assert (made.state, made.serial, made.done, made.makers) == ("assembled", "SN-1", ("assemble",), (ADA,))
    assert rack.joints == {"b1": {"torque": "3 N*m", "by": ADA}, "b2": {"torque": "4 N*m", "by": ADA}}
    assert (rack.lots, rack.pieces, rack.weighed) == (("L-7",), ("p", "r"), True)
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
    assert state.stock["T-1"].state == "received"
    lost = came_to(BAR, ("send_out", {"pieces": ["z"], "stock_ids": ["Z"], "supplier": "S", "process": "x"}))
    assert [words for _, words in lost.odd] == [
        "send_out: piece 'z' is not known",
        "send_out: stock 'Z' is not known",
    ]


def test_a_measurement_knows_its_gauge_s_due_date_of_then() -> None:
    said: dict[str, Any] = {"characteristic": "length", "value": "1 in", "gauge": "LB", "within": True}
    due = Known("0.1.0", "", (), {"LB": "2031-12-31"})
    full = {**said, "piece": "p", "serial": "SN-1", "nominal": "1 in", "lower": "0 in", "upper": "2 in"}
    assert came_to(("measure", full), known=due).measurements == (
        Measurement(
            "p", "SN-1", "length", "1 in", "1 in", "0 in", "2 in", True, "LB", "2031-12-31", ADA, at(1), 1
        ),
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
    assert state.gauges == {"LB": Gauge("LB", "caliper", "2031-12-31", "in_use", "", "", 2),
                            "CA": Gauge("CA", "arm", "2032-01-01", "withdrawn", "1 um", "", 3)}  # fmt: skip
    assert state.suppliers == {"S-1": Supplier("S-1", ("coat",), "2032-02-02", 4)}
    assert state.absences == (Absence("saw", "2031-06-01", "2031-06-03", "belt", ADA, 5),)
    gauge: Said = ("gauge", {"gauge": "LB", "kind": "caliper", "due": "2031-12-31"})
    for since, found in (({"since": "2031-05-01"}, "2031-05-01"), ({}, "2031-05-04")):
        bad = came_to(gauge, ("gauge_bad", {"gauge": "LB", "reason": "dropped", **since})).gauges["LB"]
        assert (bad.state, bad.bad_since) == ("bad", found)


def test_the_order_and_what_is_known_about_it() -> None:
    full: Said = ("order", {**ORDER[1], "due": "2031-09-01", "serials": ["SN-1"], "weight": 3, "document": "mail",
                            "aircraft_serials": ["MSN-4"]})  # fmt: skip
    assert came_to(ORDER).orders == {"PO-1": Order("PO-1", "x", "v", 2, "", (), 1)}
    assert came_to(full).orders == {
        "PO-1": Order("PO-1", "x", "v", 2, "2031-09-01", ("SN-1",), 1, 3, ("MSN-4",), "mail")
    }
    asked: Said = ("question", {"question": "Q-1", "text": "?", "owner": "customer", "blocks": ["release"]})
    answer: Said = ("answer", {"question": "Q-1", "answer": "yes", "document": "LTR"})
    assert came_to(asked).questions == {"Q-1": Question("Q-1", "?", "customer", "", ("release",), "", "", 1)}
    answered = came_to(asked, answer).questions["Q-1"]
    assert (answered.answer, answered.document, answered.answered_seq, answered.open) == (
        "yes",
        "LTR",
        2,
        False,
    )
    assert came_to(asked).questions["Q-1"].open
    assert came_to(answer).odd == ((1, "answer: question 'Q-1' is not known"),)


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

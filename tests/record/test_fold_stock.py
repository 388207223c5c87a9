"""What events on stock come to, field by field, and what of them is odd."""

from __future__ import annotations

from typing import Any

import pytest

from folded import ADA, BAR, LOT, ORDER, PLATE, RACK, Said, came_to, cut, profile_cut
from rackwright.record import State
from rackwright.record.metal import Inside, Piece, SawPlan, Stock, Substitution


def test_what_is_received_is_as_it_was_written() -> None:
    state = came_to(BAR, LOT, PLATE)
    assert state.stock["T-1"] == Stock("T-1", "bar", "SQ", "6061-T6", "H-1", "", 100, 100, 3, 0, "received", None,
                                       "rack 2", "", "", 1, entered_by=ADA)  # fmt: skip
    assert state.stock["F-1"] == Stock("F-1", "rivets", "", "S", "", "L-1", 0, 0, 0, 5, "received", None, "", "", "", 2,
                                       entered_by=ADA)  # fmt: skip
    outline = ((0, 0), (4, 0), (4, 5), (0, 5))
    assert state.stock["P-1"] == Stock("P-1", "plate", "", "S", "H-2", "", 0, 0, 0, 0, "received", None, "", "", "", 3,
                                       outline=outline, area_nm2=20, entered_by=ADA)  # fmt: skip


def test_a_certificate_that_comes_later_is_entered_by_whom_and_an_opened_lot_ages_faster() -> None:
    paper: Said = ("certificate", {"stock_id": "T-1", "certificate": {"number": "C-1"}})
    bar = came_to(BAR, paper, by="Bram Oole").stock["T-1"]
    assert (bar.certificate, bar.entered_by, bar.state) == ({"number": "C-1"}, "Bram Oole", "received")

    def last_day(until: str, printed: str = "") -> str:
        measured = {"measured": {"last day of use": printed}} if printed else {}
        lot = came_to((LOT[0], {**LOT[1], **measured}), ("opened", {"stock_id": "F-1", "until": until}))
        return str(lot.stock["F-1"].measured["last day of use"])

    assert last_day("2031-06-01") == last_day("2031-06-01", "2031-07-01") == "2031-06-01"
    assert last_day("2031-06-01", "2031-05-01") == "2031-05-01"
    seen = {"stock_id": "T-1", "marking": "as ordered"}
    assert came_to(BAR, ("examine", seen)).stock["T-1"].examined == seen


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
                                         "rack 2", "L-9", "T-1", 6, entered_by=ADA)  # fmt: skip
    moved = came_to(BAR, cut(scrap_nm=5, remnant={**rest, "place": "rack 9"}))
    assert moved.stock["T-1-R"].place == "rack 9"


def test_parts_that_add_up_to_a_whole_bar_or_plate_are_not_odd_at_full_size() -> None:
    """Lengths and areas as shops have them."""
    bar: Said = ("receive", {**BAR[1], "length_nm": 3_657_600_000})
    sawn = cut(pieces=[{"piece": "p", "length_nm": 3_000_000_000}], kerf_nm=600_000_000, trim_nm=57_000_000,
               scrap_nm=600_000)  # fmt: skip
    assert came_to(bar, sawn).odd == ()
    side = 1_000_000_000
    plate: Said = (
        "receive",
        {**PLATE[1], "outline": [[0, 0], [side, 0], [side, side], [0, side]]},
    )
    routed = profile_cut(pieces=[{"piece": "q", "area_nm2": str(side * side - 12 - 5)}])
    assert came_to(plate, routed).odd == ()


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
        outline=((0, 0), (4, 0), (4, 3), (0, 3)), area_nm2=12, entered_by=ADA)  # fmt: skip


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
    lot, state = lot_of(issue(3), issue(1), back(2))
    assert (lot.quantity, lot.drawn) == (3, {"PO-1": 2})
    lot, state = lot_of(issue(1), issue(1), back(1))
    assert (lot.quantity, lot.drawn) == (4, {"PO-1": 1})
    lot, state = lot_of(issue(2), back(1))
    assert lot.quantity == 4
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


@pytest.mark.parametrize(("there", "after"), [
    (scrap(stock_id="F-1"), "received"), (("quarantine", {"stock_id": "F-1", "reason": "r"}), "quarantined"),
    (("accept", {"stock_id": "F-1", "checks": []}), "accepted"),
    (("send_out", {"supplier": "S", "process": "p", "stock_ids": ["F-1"]}), "sent_out"),
])  # fmt: skip
def test_what_comes_back_to_a_lot_that_was_scrapped_is_judged_anew(there: Said, after: str) -> None:
    assert lot_of(issue(2), there, back(1))[0].state == after


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


def stored(within: bool, lowest: str = "18 degF") -> Said:
    return "storage", {"stock_id": "F-1", "lowest": lowest, "highest": "20 degF", "least": "-10 degF",
                       "most": "10 degF", "since": "2031-01-01", "until": "2031-02-01", "document": "D-1",
                       "within": within}  # fmt: skip


ACCEPTED: Said = ("accept", {"stock_id": "F-1", "checks": []})
OUT: Said = ("send_out", {"supplier": "S", "process": "p", "stock_ids": ["F-1"]})
LET: Said = ("storage_decided", {"stock_id": "F-1", "use": True, "reason": "tested", "document": "D-2"})


@pytest.mark.parametrize(("before", "within", "state"), [
    ((), True, "received"), ((), False, "quarantined"),
    ((ACCEPTED,), True, "accepted"), ((ACCEPTED,), False, "quarantined"),
    ((OUT,), False, "sent_out"), ((scrap(stock_id="F-1"),), False, "scrapped"),
])  # fmt: skip
def test_what_was_stored_out_of_its_range_is_put_aside_where_it_lies(
    before: tuple[Said, ...], within: bool, state: str
) -> None:
    lot = came_to(LOT, *before, stored(within)).stock["F-1"]
    assert (lot.state, lot.stored) == (state, stored(within)[1])
    if state == "quarantined":
        assert lot.reason == "stored at 18 degF to 20 degF, its range is -10 degF to 10 degF"


def test_a_good_month_undoes_no_bad_one_and_a_decision_stands_beside_it() -> None:
    good, bad, worse = stored(True), stored(False), stored(False, "30 degF")
    assert came_to(LOT, good, stored(True, "0 degF")).stock["F-1"].stored["lowest"] == "0 degF"
    assert came_to(LOT, good, bad).stock["F-1"].stored == bad[1]
    assert came_to(LOT, bad, good).stock["F-1"].stored == bad[1]
    assert came_to(LOT, bad, worse).stock["F-1"].stored == worse[1]
    decided = {"use": True, "decided_by": ADA, "why": "tested", "decided": "D-2"}
    assert came_to(LOT, bad, LET).stock["F-1"].stored == {**bad[1], **decided}
    assert came_to(LOT, bad, LET, worse).stock["F-1"].stored == worse[1]


@pytest.mark.parametrize("said", [stored(True), stored(False), LET, OUT])
def test_stock_that_is_not_known_is_odd_once(said: Said) -> None:
    found = came_to(said)
    assert (found.odd, found.stock) == (((1, f"{said[0]}: stock 'F-1' is not known"),), {})


def test_a_reading_is_decided_by_itself_and_papers_are_gathered() -> None:
    def decided(reading: str, use: bool) -> Said:
        return "reading_decided", {"stock_id": "T-1", "reading": reading, "value": "80 HRB", "use": use, "reason": "r",
                                   "document": "D-1"}  # fmt: skip

    said = {"value": "80 HRB", "document": "D-1", "by": ADA}
    assert came_to(BAR, decided("hardness", False), decided("wall", False), decided("wall", True)).stock[
        "T-1"
    ].decided == {"hardness": {**said, "use": False}, "wall": {**said, "use": True}}
    first: Said = ("origin", {"stock_id": "T-1", "distributor": "D", "slip": "1"})
    second: Said = ("origin", {"stock_id": "T-1", "slip": "2", "purchase_order": "PO-7"})
    bar = came_to(BAR, first, second, by="Bo").stock["T-1"]
    assert bar.origin == {"distributor": "D", "slip": "2", "purchase_order": "PO-7"}
    assert bar.origin_by == (ADA, "Bo")


def test_a_substitution_is_of_the_bar_and_not_of_its_remnant() -> None:
    let: Said = ("substitute", {"stock_id": "T-1", "revision": "A", "pieces": ["p"], "reason": "none left",
                                "document": "D", "signer": "Q", "date": "2031-05-01"})  # fmt: skip
    rest = {"stock_id": "T-1-R", "length_nm": 30, "label": "L-9"}
    state = came_to(BAR, let, cut(scrap_nm=5, remnant=rest))
    assert state.stock["T-1"].let == (Substitution(("p",), "none left", "D", "Q", "2031-05-01", ADA, 2),)
    assert state.stock["T-1-R"].let == ()


def test_pieces_read_off_a_bar_wait_until_its_cut_is_booked_and_stock_is_labelled_by_its_own_id() -> None:
    read: Said = ("label", {"stock_id": "T-1", "piece": "p", "label": "L-5"})
    assert came_to(BAR, read, read).stock["T-1"].off == ("p",)
    assert came_to(BAR, read, cut()).stock["T-1"].off == ()
    assert came_to(BAR, read, ("return", {"stock_id": "T-1", "job": "PO-1"})).stock["T-1"].off == ()
    assert came_to(BAR, read).stock["T-1"].label == ""
    lost: Said = ("label", {"stock_id": "T-9", "piece": "p", "label": "L-5"})
    assert came_to(BAR, ("stock_label", {"stock_id": "T-1", "label": "L-6"})).stock["T-1"].label == "L-6"
    assert came_to(lost).odd == ((1, "label: stock 'T-9' is not known"),)


def test_the_day_a_remnant_came_off_is_kept_where_that_of_its_stock_is() -> None:
    rest = {"stock_id": "T-1-R", "length_nm": 30, "label": "L-9"}
    came: Said = ("receive", {**BAR[1], "came": "2031-04-01"})
    late = {"late": {"done": "2031-05-02", "paper": "aa"}}
    state = came_to(came, cut(scrap_nm=5, remnant=rest, **late))
    assert (state.stock["T-1"].came, state.stock["T-1-R"].came) == ("2031-04-01", "2031-05-02")
    assert state.pieces["p"].made_on == "2031-05-02"
    plate: Said = ("receive", {**PLATE[1], "came": "2031-04-01"})
    assert came_to(plate, profile_cut()).stock["P-1-R"].came == "2031-05-04"

"""Gates that no story tells of, each by the act that it refuses. `test_gates_in_hindsight.py` tells them once more."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

import small_shop as small
from rackwright.record import Record, area_of
from rackwright.trouble import Stopped
from rackwright.work.metal.counting import Unusable, count, scrap_stock
from rackwright.work.metal.labelling import read_piece_label
from rackwright.work.metal.plates import PlateVisit, Remnant, profile_cut
from rackwright.work.metal.receiving import accept, quarantine, receive_bar, receive_item
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, return_stock
from rackwright.work.office.ordering import Approval, answer, ask, freeze, order, record_approval, serials
from rackwright.work.people.founding import add_person
from rackwright.work.quality.correcting import correct
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import Acceptance, dispose, raise_nonconformance, release_hold
from rackwright.work.quality.noting import gauge_is_bad, go_on_at_risk, go_without_report
from rackwright.work.quality.red_lining import Change, red_line
from rackwright.work.serials.releasing import release
from rackwright.work.serials.shipping import Mended, replace_piece, ship
from rackwright.work.stations.assembling import assemble, draw_lot, return_lot
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, step
from rackwright.work.stations.weighing import weigh
from stories.conftest import Begin

POST, OTHER = "SN-1/post.front-left", "SN-2/post.front-left"
REV, LEAD = small.revision(), "lead"
SEEN = Unusable("sawn through", small.PEOPLE["inspector"])
Do = Callable[[Record], Any]
MENDED = Mended("W-1", "a holder", small.DAY, (), "kept", "cage")


def at(record: Record, who: str, day: str = small.DAY) -> Any:
    return small.station(record, who, day)


def visit(stock: str, *pieces: str, remnant: str = "", label: str = "") -> Visit:
    made = tuple(CutPiece(piece, "SN-1", small.nm("10 in")) for piece in pieces)
    rest = small.nm("240 in") - len(made) * small.nm("10 in")
    return Visit(stock, made, 0, 0, rest, remnant, label, "saw")


def _narrow(r: Record) -> Any:
    add_person(at(r, LEAD), "J. Narrow", ["assembly"], scopes=["drill"])
    return step(at(r, "J. Narrow"), Step("pretreat"), [POST], ["SN-1"])


def _bad_gauge(r: Record) -> Any:
    gauge_is_bad(at(r, "inspector"), "LB-2", "bent")
    return measure(
        at(r, "inspector"), "SN-1", {small.characteristic("post.front-left", "length"): "44 in"}, "LB-2"
    )


def _cut_twice(r: Record) -> Any:
    issue(at(r, "sawyer"), "T-05", "PO-1", REV, ["SN-1/x"], ["SN-1"])
    return cut(at(r, "sawyer"), "PO-1", visit("T-05", "SN-1/x", "SN-1/x"))


def _cut_anew(r: Record) -> Any:
    issue(at(r, "sawyer"), "T-05", "PO-1", REV, [POST], ["SN-1"])
    return cut(at(r, "sawyer"), "PO-1", visit("T-05", POST))


def _cut_other(r: Record) -> Any:
    issue(at(r, "sawyer"), "T-05", "PO-1", REV, ["SN-1/x"], ["SN-1"])
    return cut(at(r, "sawyer"), "PO-1", visit("T-05", "SN-1/y"))


def _label_of_another(r: Record) -> Any:
    issue(at(r, "sawyer"), "T-05", "PO-1", REV, ["SN-1/x"], ["SN-1"])
    return cut(at(r, "sawyer"), "PO-1", visit("T-05", "SN-1/x", remnant="T-05-R", label="label T-01-R"))


def _one_of_two_off(r: Record) -> Any:
    issue(at(r, "sawyer"), "T-05", "PO-1", REV, ["SN-1/x", "SN-1/y"], ["SN-1"])
    for piece in ("SN-1/x", "SN-1/y"):
        read_piece_label(at(r, "sawyer"), piece, piece)
    return cut(at(r, "sawyer"), "PO-1", visit("T-05", "SN-1/x"))


def _bar_on_the_table(r: Record) -> Any:
    issue(at(r, "sawyer"), "T-05", "PO-1", REV, ["SN-1/x"], ["SN-1"])
    return profile_cut(at(r, "machinist"), "PO-1", PlateVisit("T-05", (), 0, 0, (), "jet"))


def _plate(*rests: tuple[str, str, tuple[int, int, int, int]], more: int = 0) -> Do:
    """A plate 36 in by 12 in with these remnants: id, label, and its sides' places in inches."""

    def do(r: Record) -> Any:
        receive_item(at(r, "stores"), small.plate("P-9", "36 in", "12 in", "K9921"))
        accept(at(r, "inspector"), small.shop(), "P-9")
        issue(at(r, "machinist"), "P-9", "PO-1", REV, ["SN-1/x"], ["SN-1"])
        inch = small.nm("1 in")
        made = tuple(Remnant(id, tuple((x * inch, y * inch) for x, y in ((a, b), (c, b), (c, d), (a, d))), label)
                     for id, label, (a, b, c, d) in rests)  # fmt: skip
        left = 36 * 12 * inch**2 - sum(area_of(one.outline) for one in made) + more
        return profile_cut(at(r, "machinist"), "PO-1", PlateVisit("P-9", (), 0, left, made, "jet"))

    return do


def _lot_of_nothing(r: Record) -> Any:
    scrap_stock(at(r, "stores"), "X-2", "all dry", SEEN)
    return scrap_stock(at(r, "stores"), "X-2", "again", SEEN)


def _raise(r: Record, name: str = "NC-1", pieces: tuple[str, ...] = (POST,)) -> Any:
    return raise_nonconformance(at(r, "inspector"), name, "torn", pieces, "length", {})


def _raise_twice(r: Record) -> Any:
    _raise(r)
    return _raise(r)


def _raise_on_scrap(r: Record) -> Any:
    _raise(r)
    dispose(at(r, LEAD), "NC-1", "scrap", "torn through", None, {}, unusable=SEEN)
    return _raise(r, "NC-2")


def _red_line(change: Change) -> Do:
    return lambda r: red_line(at(r, LEAD), "RL-1", change, [POST], steps=["drill"])


def _decide(what: str, accepted: Acceptance | None = None) -> Do:
    def do(r: Record) -> Any:
        _raise(r)
        return dispose(at(r, LEAD), "NC-1", what, "so", accepted, {}, unusable=SEEN)

    return do


def _hold_twice(r: Record) -> Any:
    hold(at(r, LEAD), "H-1", "doubt", pieces=[POST])
    return hold(at(r, LEAD), "H-1", "doubt", pieces=[OTHER])


def _lift_silently(r: Record) -> Any:
    hold(at(r, LEAD), "H-1", "doubt", pieces=[POST])
    return release_hold(at(r, LEAD), "H-1", " ")


def _half_assembled(r: Record) -> Any:
    draw_lot(at(r, "assembler"), "F-1", "PO-1", REV, 60, ["SN-1"])
    pieces = [piece for piece in small.all_pieces("SN-1") if piece != POST]
    assemble(at(r, "assembler"), "SN-1", pieces, small.joints(), "J-47", small.coated_pieces("SN-1"))
    return weigh(at(r, "inspector"), "SN-1", small.weighing(small.design().bare.mass), "SC-1")


def _assemble(serial: str, *pieces: str, coated: bool = True) -> Do:
    def do(r: Record) -> Any:
        return assemble(at(r, "assembler"), serial, pieces, (), "J-47", pieces if coated else ())

    return do


def _replaced(r: Record, old: str, new: str) -> Any:
    return replace_piece(at(r, LEAD), "SN-1", old, new, "bent", "REP-1", MENDED)


def _not_baked(r: Record) -> Any:
    for done in (Step("pretreat"), Step("coat", lots=("PX-61",))):
        step(at(r, "assembler"), done, [POST], ["SN-1"])
    return _assemble("SN-1", POST)(r)


CASES: dict[str, tuple[str, str, Do]] = {
    "a scope that does not cover the step": ("made", "RW516", _narrow),
    "a step on nothing": ("made", "RW517", lambda r: step(at(r, "assembler"), Step("deburr"), [], ["SN-1"])),
    "a step on a piece named twice": ("made", "RW517", lambda r: step(
        at(r, "assembler"), Step("deburr"), [POST, POST], ["SN-1"])),
    "accepted twice": ("stocked", "RW517", lambda r: accept(at(r, "inspector"), small.shop(), "T-01")),
    "a bar that was not issued": ("made", "RW511", lambda r: cut(at(r, "sawyer"), "PO-1", visit("T-05", "SN-1/x"))),
    "a bar issued for another piece": ("made", "RW517", _cut_other),
    "a piece named twice": ("made", "RW517", _cut_twice),
    "a piece that is there": ("made", "RW517", _cut_anew),
    "a label that another remnant carries": ("made", "RW517", _label_of_another),
    "a piece that came off and is not booked": ("made", "RW517", _one_of_two_off),
    "a bar on the table": ("made", "RW517", _bar_on_the_table),
    "a remnant named as a bar": ("made", "RW517", _plate(("T-05", "L-1", (0, 0, 9, 9)))),
    "two remnants of one label": ("made", "RW517", _plate(
        ("P-9-R", "L-1", (0, 0, 9, 9)), ("P-9-Q", "L-1", (9, 0, 18, 9)))),
    "a remnant turned over": ("made", "RW517", _plate(("P-9-R", "L-1", (9, 0, 0, 9)))),
    "a remnant beyond its plate": ("made", "RW517", _plate(("P-9-R", "L-1", (30, 0, 39, 9)))),
    "remnants that overlap": ("made", "RW517", _plate(("P-9-R", "L-1", (0, 0, 9, 9)), ("P-9-Q", "L-2", (8, 0, 18, 9)))),
    "a plate that does not balance": ("made", "RW517", _plate(("P-9-R", "L-1", (0, 0, 9, 9)), more=1)),
    "a bad gauge": ("made", "RW512", _bad_gauge),
    "a lot of which nothing is left": ("made", "RW511", _lot_of_nothing),
    "a bar counted both ways": ("stocked", "RW517", lambda r: count(at(r, "stores"), "T-01")),
    "received twice": ("stocked", "RW517", lambda r: receive_bar(at(r, "stores"), small.bar("T-01"), 0)),
    "set aside while it is out": ("made", "RW517", lambda r: quarantine(at(r, "stores"), "T-01", "doubt")),
    "a lot issued as if it were a bar": ("made", "RW511", lambda r: issue(
        at(r, "sawyer"), "F-1", "PO-1", REV, ["SN-1/x"], ["SN-1"])),
    "returned and not issued": ("made", "RW511", lambda r: return_stock(at(r, "sawyer"), "T-05", "PO-1")),
    "more than there is": ("made", "RW511", lambda r: make_from(
        at(r, "machinist"), "M-1", "PO-1", REV, [CutPiece("SN-1/x", "SN-1", 0)], taken=99)),
    "more bolts than there are": ("made", "RW511", lambda r: draw_lot(
        at(r, "assembler"), "F-1", "PO-1", REV, 999, ["SN-1"])),
    "a lot that is not there": ("made", "RW503", lambda r: return_lot(at(r, "assembler"), "F-9", "PO-1", 1)),
    "an order twice": ("ordered", "RW517", lambda r: order(
        at(r, LEAD), "PO-1", "x", small.design(), 1, "2026-04-01", "CT-9")),
    "a question twice": ("ordered", "RW517", lambda r: [
        ask(at(r, LEAD), "Q1", "?", "x", "2026-04-01", ["release"], "PO-1") for _ in (1, 2)]),
    "an answer to nothing": ("ordered", "RW503", lambda r: answer(at(r, LEAD), "Q9", "yes", "MAIL-1")),
    "frozen twice": ("ordered", "RW517", lambda r: freeze(
        at(r, LEAD), small.design(), {"definition": small.text().encode()}, "PO-1")),
    "an approval of nothing": ("ordered", "RW514", lambda r: record_approval(
        at(r, LEAD), "Z", Approval("D", "H", "D", small.DAY))),
    "an approval that is still to be written": ("ordered", "RW517", lambda r: record_approval(
        at(r, LEAD), REV, Approval("D", "H", "D", "2026-03-12"))),
    "used as it is by a document still to be written": ("made", "RW517", _decide(
        "use_as_is", Acceptance("D", "S", "2026-03-12"))),
    "serials of nothing frozen": ("stocked", "RW514", lambda r: [
        order(at(r, LEAD), "PO-1", "x", small.design(), 1, "2026-04-01", "CT-1"),
        serials(at(r, LEAD), "PO-1", REV, ["SN-9"])]),
    "a serial that another order has": ("ordered", "RW517", lambda r: [
        order(at(r, LEAD), "PO-2", "x", small.design(), 1, "2026-04-01", "CT-1"),
        serials(at(r, LEAD), "PO-2", REV, ["SN-1"])]),
    "an action that does nothing": ("made", "RW517", lambda r: correct(
        at(r, LEAD), "CA-1", "clamp", " ", "E. Lund", "2026-05-01")),
    "an action about nothing raised": ("made", "RW503", lambda r: correct(
        at(r, LEAD), "CA-1", "clamp", "a stop", "E. Lund", "2026-05-01", ["NC-9"])),
    "a hold twice": ("made", "RW517", _hold_twice),
    "a hold on nothing": ("made", "RW517", lambda r: hold(at(r, LEAD), "H-1", "doubt")),
    "a hold on what is not there": ("made", "RW503", lambda r: hold(at(r, LEAD), "H-1", "doubt", pieces=["SN-1/no"])),
    "a hold that is not open": ("made", "RW503", lambda r: release_hold(at(r, LEAD), "H-9", "so")),
    "a hold lifted without a reason": ("made", "RW517", _lift_silently),
    "raised on nothing": ("made", "RW517", lambda r: _raise(r, pieces=())),
    "raised on what is not there": ("made", "RW503", lambda r: _raise(r, pieces=("SN-1/no",))),
    "raised twice": ("made", "RW517", _raise_twice),
    "raised on scrap": ("made", "RW517", _raise_on_scrap),
    "no decision": ("made", "RW517", _decide("perhaps")),
    "used as it is by nobody's leave": ("made", "RW520", _decide("use_as_is", Acceptance("D", "", small.DAY))),
    "at risk of nothing frozen": ("founded", "RW514", lambda r: go_on_at_risk(at(r, LEAD), "Z", "so")),
    "without a report of nothing": ("founded", "RW514", lambda r: go_without_report(at(r, "engineer"), "Z", "so")),
    "a red line of nothing frozen": ("made", "RW514", _red_line(Change("Z", "t", "D", "x"))),
    "a red line that says nothing": ("made", "RW517", _red_line(Change(REV, " ", "D", "x"))),
    "released twice": ("released", "RW517", lambda r: release(
        at(r, "inspector"), "SN-1", small.design(), small.shop())),
    "shipped twice in one go": ("released", "RW517", lambda r: ship(at(r, LEAD), ["SN-1", "SN-1"], "x", "DN-1")),
    "nothing shipped": ("released", "RW517", lambda r: ship(at(r, LEAD), [], "x", "DN-1")),
    "replaced by what stands in a rack": ("assembled", "RW517", lambda r: _replaced(r, POST, OTHER)),
    "weighed with a post beside it": ("inspected", "RW522", _half_assembled),
    "a piece of another rack": ("inspected", "RW517", _assemble("SN-1", OTHER)),
    "a piece that was not made": ("inspected", "RW517", _assemble("SN-1", "SN-1/no", coated=False)),
    "a piece not baked": ("made", "RW518", _not_baked),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_the_act_is_refused(begin: Begin, case: str) -> None:
    stage, code, do = CASES[case]
    with pytest.raises(Stopped) as caught:
        do(begin(stage).record)
    assert [trouble.code for trouble in caught.value.troubles] == [code]

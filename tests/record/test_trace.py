"""Where a heat, a lot or a gauge went, and what goes on a rack's dossier, of states and events written down by hand."""

from __future__ import annotations

from typing import Any

import pytest

from histories import act
from rackwright.record import Event, Refs, State, Stock
from rackwright.record.office import Order, Question
from rackwright.record.state import Piece, Serial
from rackwright.record.trace import Went, events_of_serial, where_gauge_went, where_heat_went
from states import heard, measured, piece, rack, shop, stock


def by_id(*rows: Stock | Piece | Serial) -> dict[str, Any]:
    """Rows of one table by their ids."""
    names = {Stock: "stock_id", Piece: "piece", Serial: "serial"}
    return {getattr(row, names[type(row)]): row for row in rows}


SHOP = shop(
    stock=by_id(
        stock("T-2", heat="H-1"), stock("T-1", heat="H-1"), stock("T-3", heat="H-2"),
        stock("F-1", heat="", lot="L-9"),
        stock("T-0", heat="H-0"),
    ),
    pieces=by_id(
        piece("q", heat="H-1", serial="SN-2"), piece("p", heat="H-1", serial="SN-1"),
        piece("r", heat="H-1", serial=""), piece("s", heat="H-2", lot="L-9", serial="SN-3"),
        piece("t", heat="H-2", outside_lots=("B-1", "B-2"), serial="SN-4"),
        piece("o", heat="H-0", serial=""),
    ),
    serials=by_id(rack(serial="SN-5", lots=("L-1", "L-9")), rack(serial="SN-1"), rack(serial="SN-0", lots=("L-9",))),
)  # fmt: skip


@pytest.mark.parametrize(
    ("name", "went"),
    [
        ("H-1", Went(("T-1", "T-2"), ("p", "q", "r"), ("SN-1", "SN-2"))),
        ("L-9", Went(("F-1",), ("s",), ("SN-0", "SN-3", "SN-5"))),
        ("B-2", Went((), ("t",), ("SN-4",))),
        ("L-1", Went((), (), ("SN-1", "SN-5"))),
        ("H-9", Went((), (), ())),
    ],
)
def test_a_heat_or_lot_is_in_stock_pieces_and_racks(name: str, went: Went) -> None:
    assert where_heat_went(SHOP, heard(name)) == went


def test_a_gauge_is_in_doubt_for_what_it_passed_and_for_nothing_else() -> None:
    state = shop(
        pieces=by_id(
            piece("p", serial="SN-2"), piece("q", serial=""), piece("r", serial="SN-3"), piece("x", serial="SN-9"),
        ),
        measurements=(
            measured(gauge="G-1", piece="r"), measured(gauge="G-1", piece="p"), measured(gauge="G-1", piece="q"),
            measured(gauge="G-1", piece="gone"), measured(gauge="G-1", piece="", serial="SN-1"),
            measured(gauge="G-1", piece="x", within=False), measured(gauge="G-0", piece="x"),
            measured(gauge="G-2", piece="x"), measured(gauge="G-1", piece="", serial="SN-9", within=False),
        ),
    )  # fmt: skip
    went = Went((), ("gone", "p", "q", "r"), ("SN-1", "SN-2", "SN-3"))
    assert where_gauge_went(state, heard("G-1")) == went
    assert where_gauge_went(state, "G-9") == Went((), (), ())


# --- a rack's dossier ------------------------------------------------------------------------------

RACK = shop(
    serials=by_id(rack(serial="SN-1", order=heard("PO-1"), revision="rev A", pieces=("p",), lots=("L-1", "L-3")),
                   rack(serial="SN-0")),
    pieces=by_id(
        piece("p", serial="SN-1", heat="H-1"), piece("q", serial="SN-1", heat="", lot="L-2"),
        piece("y", serial="SN-1", lot="L-3"), piece("z", serial="SN-0", heat="H-0"),
        piece("zz", serial="SN-2", heat="H-2", lot="L-5"),
    ),
    measurements=(
        measured(gauge="G-1", piece="p"), measured(gauge="G-2", piece="", serial="SN-1"),
        measured(gauge="G-0", piece="z"), measured(gauge="G-3", piece="", serial="SN-2"),
    ),
    questions={name: Question(name, "", "", "", (), order, "", 1) for name, order in
               (("mine", "PO-1"), ("theirs", "PO-0"), ("theirs too", "PO-2"))},
    orders={"PO-1": Order("PO-1", "", 1, {})},
)  # fmt: skip


def event(type: str = "hold", body: dict[str, Any] | None = None, seq: int = 1, **refs: list[str]) -> Event:
    body = {name: heard(text) if isinstance(text, str) else text for name, text in (body or {}).items()}
    return act(1, heard(type), body, refs=Refs.of(**refs)).at_seq(seq)


def belongs(event: Event, state: State = RACK, serial: str = "SN-1") -> bool:
    return events_of_serial([event], state, heard(serial)) == (event,)


@pytest.mark.parametrize(
    ("refs", "own"),
    [
        ({"serials": ["SN-1"]}, True), ({"serials": ["SN-0", "SN-1"]}, True), ({"serials": ["SN-2"]}, False),
        ({"pieces": ["p"]}, True), ({"pieces": ["q", "z"]}, True), ({"pieces": ["z"]}, False),
        ({"heats": ["H-1"]}, True), ({"heats": ["H-0"]}, False), ({"heats": ["H-2"]}, False),
        ({"lots": ["L-1"]}, True), ({"lots": ["L-2"]}, True), ({"lots": ["L-3"]}, True), ({"lots": ["L-5"]}, False),
        ({"gauges": ["G-1"]}, True), ({"gauges": ["G-2"]}, True), ({"gauges": ["G-0"]}, False),
        ({"gauges": ["G-3"]}, False), ({}, False), ({"files": ["ab" * 32]}, False),
        # what is of other racks' pieces stays with these, whatever metal they share
        ({"heats": ["H-1"], "pieces": ["z"]}, False), ({"gauges": ["G-1"], "serials": ["SN-0"]}, False),
        ({"lots": ["L-1"], "serials": ["SN-0"]}, False), ({"heats": ["H-1"], "pieces": ["p", "z"]}, True),
    ],
)  # fmt: skip
def test_a_rack_has_the_events_of_its_own_pieces_metal_and_gauges(
    refs: dict[str, list[str]], own: bool
) -> None:
    assert belongs(event(**refs)) == own


@pytest.mark.parametrize(
    ("type", "body", "refs", "own"),
    [
        ("order", {"order": "PO-1"}, {}, True),
        ("order", {"order": "PO-0"}, {}, False),
        ("order", {"order": "PO-2"}, {}, False),
        ("freeze", {"revision": "rev A"}, {}, True),
        ("freeze", {"revision": "rev B"}, {}, False),
        ("freeze", {"revision": ""}, {}, False),
        ("freeze", {"revision": "rev A", "order": "PO-0"}, {}, True),
        ("issue", {"revision": "rev A"}, {"pieces": ["z"]}, False),
        ("serial", {"order": "PO-1", "revision": "rev A"}, {"serials": ["SN-0"]}, False),
        ("answer", {"question": "mine"}, {}, True),
        ("answer", {"question": "theirs"}, {}, False),
        ("answer", {"question": "theirs too"}, {}, False),
        ("accept", {"question": "mine"}, {}, False),
        ("zone", {"question": "mine"}, {}, False),
        ("order", {"order": "PO-1", "price": "9.00 USD"}, {}, False),
        ("order", {"order": "PO-1", "price": ""}, {}, False),
        ("quote", {"order": "PO-1"}, {}, False),
        ("agree", {"order": "PO-1", "revision": "rev A"}, {}, False),
        ("hours", {}, {"serials": ["SN-1"]}, False),
        ("invoice", {"order": "PO-1"}, {}, False),
    ],
)
def test_a_rack_has_the_papers_of_its_order_and_revision_and_no_price(
    type: str, body: dict[str, Any], refs: dict[str, list[str]], own: bool
) -> None:
    assert belongs(event(type, body, **refs)) == own


def test_a_number_that_is_no_rack_has_the_events_that_name_it() -> None:
    assert belongs(event(serials=["SN-9"]), serial="SN-9")
    for other in (
        event(),
        event("order", {"order": ""}),
        event("freeze", {"revision": ""}),
        event(lots=["L-1"]),
    ):
        assert not belongs(other, serial="SN-9")
    assert belongs(event(pieces=["zz"]), serial="SN-2"), "a piece may be of a rack before it has its number"


def test_what_stays_in_the_shop_keeps_nothing_else_back() -> None:
    events = [event("quote", {"order": "PO-1"}, seq=1), event(serials=["SN-1"], seq=2), event("hours", seq=3),
              event(pieces=["p"], seq=4)]  # fmt: skip
    assert [one.seq for one in events_of_serial(events, RACK, "SN-1")] == [2, 4]


def test_a_correction_goes_where_what_it_corrects_goes() -> None:
    def fix(seq: int, of: int) -> Event:
        return act(1, "correction", {"reason": "misread"}, corrects=of).at_seq(seq)

    events = [event(serials=["SN-1"], seq=1), event(serials=["SN-0"], seq=2), fix(3, 1), fix(4, 2), fix(5, 3)]
    assert [one.seq for one in events_of_serial(events, RACK, "SN-1")] == [1, 3, 5]

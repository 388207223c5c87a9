"""The indexed tables against a look through all of their rows, after any history of changes."""

from __future__ import annotations

import pickle
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from rackwright.record import Stock
from rackwright.record.metal import GONE, StockTable

LABELS = ("", "L-1", "L-2")
PIECES = ("p", "q", "r")

stocks = st.builds(
    lambda id, state, label, lot, planned, number: replace(
        Stock(id, "bar", "SQ", "6061-T6", "H-1", lot, 6, 6, 0, 0, state, None, "", label, "", 1),
        planned=tuple(planned), certificate={"number": number} if number else None,
    ),
    st.sampled_from(("T-1", "T-2", "T-3")), st.sampled_from(("accepted", "issued", *GONE)), st.sampled_from(LABELS),
    st.sampled_from(("", "F-1")), st.lists(st.sampled_from(PIECES), max_size=3), st.sampled_from(("", "C-1", "C-2")),
)  # fmt: skip


@given(st.lists(stocks, max_size=12))
def test_what_bears_a_key_is_what_a_look_through_all_rows_finds(rows: list[Stock]) -> None:
    table = StockTable()
    for row in rows:
        table[row.stock_id] = row
    for one in (table, StockTable(dict(table)), pickle.loads(pickle.dumps(table))):
        assert dict(one) == {row.stock_id: row for row in rows}
        every = list(one.values())
        for label in LABELS[1:]:
            wanted = {row.stock_id for row in every if row.label == label and row.state not in GONE}
            assert set(one.ids("label", label)) == wanted
        for piece in PIECES:
            wanted = {row.stock_id for row in every if row.state == "issued" and piece in row.planned}
            assert {row.stock_id for row in one.bearing("planned", piece)} == wanted
        for number in ("C-1", "C-2"):
            wanted = {
                row.stock_id for row in every if row.certificate and row.certificate["number"] == number
            }
            assert set(one.ids("certificate", number, "")) == wanted
        assert set(one.ids("lot", "F-1")) == {row.stock_id for row in every if row.lot}


def test_a_row_that_changes_otherwise_keeps_its_place_among_those_that_bear_the_same() -> None:
    table = StockTable()
    one = Stock("T-1", "bar", "SQ", "6061-T6", "H-1", "F-1", 6, 6, 0, 0, "accepted", None, "", "L-1", "", 1)
    for row in (one, replace(one, stock_id="T-2"), replace(one, place="rack 2")):
        table[row.stock_id] = row
    assert table.ids("label", "L-1") == table.ids("lot", "F-1") == ("T-1", "T-2")
    assert table["T-1"].place == "rack 2"

"""A lot of hardware flies in a rack as long as a joint of it has any; then it was in it, until a day."""

from __future__ import annotations

from dataclasses import replace

import small_shop as small
from rackwright.work.metal.receiving import accept, receive_item
from rackwright.work.serials.recalling import Affected, affected
from rackwright.work.stations.assembling import assemble, draw_lot
from stories.conftest import Begin
from stories.shop import Day


def doubt(day: Day) -> list[Affected]:
    return [*affected(day.record.events(), day.state, "lot", "LB-61")]


def test_a_rack_whose_bolts_are_all_of_another_lot_is_told_last_as_it_was(begin: Begin) -> None:
    day = begin("assembled")
    assert [(row.serial, row.only_was) for row in doubt(day)] == [("SN-1", False), ("SN-2", False)]
    receive_item(small.station(day.record, "stores"), small.lot("F-2", "LB-62", "AN3-AN20 bolts", 200))
    accept(small.station(day.record, "inspector"), small.shop(), "F-2")
    at = small.station(day.record, "assembler", "2026-03-12")
    draw_lot(at, "F-2", small.ORDER, small.revision(), 60, ["SN-1"])
    first, *rest = (replace(joint, lots=("LB-62",)) for joint in small.joints())
    assemble(at, "SN-1", [], rest, "J-47", [])
    assert [(row.serial, row.only_was) for row in doubt(day)] == [("SN-1", False), ("SN-2", False)]
    assemble(at, "SN-1", [], [first], "J-47", [])
    last = day.record.events()[-1].seq
    flies, was = doubt(day)
    assert (flies.serial, flies.whole, flies.was) == ("SN-2", True, ())
    assert (was.serial, was.only_was, was.margin) == ("SN-1", True, None)
    assert was.was == (f"lot LB-61 until 2026-03-12 (event {last}), in no joint since",)
    assert was.note.startswith(f"was, {was.was[0]}")
    [new] = affected(day.record.events(), day.state, "lot", "LB-62")
    assert (new.serial, new.only_was) == ("SN-1", False)
    assemble(at, "SN-1", [], [replace(first, lots=("LB-61",))], "J-47", [])
    assert [(row.serial, row.only_was) for row in doubt(day)] == [("SN-1", False), ("SN-2", False)]

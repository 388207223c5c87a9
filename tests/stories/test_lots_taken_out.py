"""A lot of hardware flies in a rack as long as a joint of it has any; then it was in it, until a day."""

from __future__ import annotations

from dataclasses import replace

import small_shop as small
from rackwright.work.metal.receiving import accept, receive_item
from rackwright.work.serials.recalling import Affected, affected
from rackwright.work.service.working import Done, service_work
from rackwright.work.stations.assembling import assemble, draw_lot
from stories.conftest import Begin
from stories.shop import Day
from work.test_audit_judges import plant


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


def test_what_was_used_beside_the_joints_is_in_the_rack_still(begin: Begin) -> None:
    """Work that names the lot put it somewhere that no joint tells of: it may fly there."""
    day = begin("released")
    receive_item(small.station(day.record, "stores"), small.lot("F-2", "LB-62", "AN3-AN20 bolts", 200))
    accept(small.station(day.record, "inspector"), small.shop(), "F-2")
    at = small.station(day.record, "assembler", "2026-03-12")
    draw_lot(at, "F-2", small.ORDER, small.revision(), 60, ["SN-1"])
    service_work(
        at,
        "SN-1",
        Done(
            "W-1", "rework", "a bolt put in", "DWG-1", "a holder", "2026-03-12", ("SN-1/post.front-left",),
            lots=("LB-61",)
        ),
    )  # fmt: skip
    assemble(at, "SN-1", [], [replace(joint, lots=("LB-62",)) for joint in small.joints()], "J-47", [])
    assert [(row.serial, row.only_was) for row in doubt(day)] == [("SN-1", False), ("SN-2", False)]


def test_joints_that_say_nothing_of_their_lots_leave_the_rack_in_doubt(begin: Begin) -> None:
    day = begin("assembled")
    said = {
        "serial": "SN-1",
        "pieces": [],
        "values": {one.bolt: {"torque": one.torque} for one in small.joints()},
    }
    plant(day.record, "assemble", said, "assembler")
    assert [row.serial for row in doubt(day)] == ["SN-1", "SN-2"]

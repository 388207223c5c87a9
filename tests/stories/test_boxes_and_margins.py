"""What a rack carries, weighs and has holes for after its release, and that a negative margin keeps it here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest

import racks
import small_shop as small
import stories.service  # noqa: F401  (its sentences)
from rackwright.record import Event, project
from rackwright.record.service import Carried
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.service.effectivity import effectivity
from rackwright.work.service.holes import place_of
from rackwright.work.service.maintained import Maintained, as_maintained
from rackwright.work.service.putting_back import service_gates
from rackwright.work.service.standing import Row, standing
from stories.conftest import Begin
from stories.shop import Day

LIDAR = "lidar controller"
BACK = """
    lead ships SN-1 to the hangar
    on 2026-06-01
    stores takes back SN-1 on 2026-06-01: to be fitted anew
"""


def rows(day: Day) -> Iterator[Row]:
    yield from standing(day.record.events(), "SN-1", small.design(), day.record.get_file).rows


def test_a_negative_margin_keeps_a_rack_from_service_and_leaves_no_event(begin: Begin) -> None:
    """A weight that the holder accepts is no margin: the gate says which check of which piece, and what would do."""
    day = begin("released").play(BACK)
    day.play("""
        inspector records inspection W-1 on SN-1 by PS-9: filled with lead by somebody
        inspector weighs SN-1: 300 lb
        inspector raises NCR-5 on the rack SN-1, weight: too heavy
        lead decides use_as_is on NCR-5: let it be, accepted in AC-9
        lead lifts hold NCR-5: accepted
    """)
    before = len(day.record.events())
    weighing = next(event.seq for event in reversed(day.record.events()) if event.type == "weigh")
    margins = as_maintained(day.state, small.design(), "SN-1", day.record.get_file).design.strength.margins
    value, id = min((one.margin, one.id) for one in margins if one.margin is not None)
    assert value < 0
    day.play("sawyer puts SN-1 back to service after W-1    -> RW303")
    [refusal] = day.record.events()[before:]
    assert (refusal.type, refusal.body["act"]) == ("refusal", "back_to_service")
    said = f"SN-1 as maintained, with the weight of event {weighing}: {id}: margin {value:+.3f} in "
    assert refusal.body["found"].startswith(said)
    assert "strengthen it or lower its load" in refusal.body["do"]
    assert "weigh it again" in refusal.body["do"]
    assert (day.state.serials["SN-1"].state, day.state.service["SN-1"].cleared) == ("back", 0)
    assert day.audit() == []


def test_a_box_too_heavy_is_named_by_the_gate(begin: Begin) -> None:
    day, design = begin("released").play(BACK), racks.design_of()
    day.play(f"lead swaps the {LIDAR} of SN-1 for 60 lb by the shop")
    swapped = day.record.events()[-1]
    assert float(swapped.body["least"]["margin"]) < 0
    gates = service_gates(
        day.state, "SN-1", [], design, small.shop(), day.record.get_file, "C. Vint", day.date
    )
    refusal = next(one.refusal for one in gates if one.name == "margins as maintained")
    assert refusal is not None
    assert f"with 60 lb as {LIDAR} (event {swapped.seq})" in refusal.found
    assert swapped.body["least"]["piece"] in refusal.found
    assert f"margin {float(swapped.body['least']['margin']):+.3f}" in refusal.found
    assert "swap back what it carries" in refusal.do


def test_after_work_and_before_the_scales_the_weight_is_that_of_before_and_says_so(begin: Begin) -> None:
    day = begin("released").play(BACK).play("inspector weighs SN-1: 50 lb")
    weighing = day.record.events()[-1].seq
    now = as_maintained(day.state, small.design(), "SN-1", day.record.get_file)
    assert now.weight is not None
    assert now.weight.words.startswith("beyond its band")
    day.play("assembler records rework W-1 on SN-1 by DWG-1, pieces post.front-left: deburred")
    after = as_maintained(day.state, small.design(), "SN-1", day.record.get_file)
    assert after.weight is not None
    assert (
        after.weight.words
        == f"not weighed since it was worked on; by event {weighing}, before: {now.weight.words}"
    )
    assert after.design.weighed == now.design.weighed
    assert after.design.weighed.mass == pytest.approx(50 * 0.45359237)  # type: ignore[union-attr]
    [row] = [one for one in rows(day) if one.what == "as weighed"]
    assert row.maintained == f"{after.weight.words}; then 50.00 lb, event {weighing}"
    day.play("inspector weighs SN-1: 39.8 lb")
    [row] = [one for one in rows(day) if one.what == "as weighed"]
    assert row.maintained.startswith("39.80 lb, event")
    assert row.maintained.endswith("; within its band: the computed masses stand")
    assert day.audit() == []


def moved_box(begin: Begin) -> Day:
    return (
        begin("released")
        .play(BACK)
        .play(f"""
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop                       -> RW517
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes welded     -> RW504
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes filled by NCR-7  -> RW520
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes open
    """)
    )


def now(day: Day) -> tuple[Carried, Maintained]:
    return day.state.carried["SN-1"][LIDAR], as_maintained(
        day.state, racks.design_of(), "SN-1", day.record.get_file
    )


def test_a_moved_box_leaves_holes_that_no_margin_knows(begin: Begin) -> None:
    moved = moved_box(begin)
    old = "4 holes in shelf upper at 4.000 in, 4.500 in"
    assert (
        place_of(next(one for one in racks.design_of().rack.definition.equipment if one.name == LIDAR), None)
        == old
    )
    assert old in moved.why(f"lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop")
    carried, held = now(moved)
    assert carried.open_holes == (old,)
    assert held.not_assessed[0].startswith(f"{old} are open where {LIDAR} was")
    assert moved.record.events()[-1].body["least"] == {"not_assessed": held.not_assessed[0]}
    gates = service_gates(
        moved.state, "SN-1", [], racks.design_of(), small.shop(), moved.record.get_file, "C. Vint", moved.date
    )
    refusal = next(one.refusal for one in gates if one.name == "margins as maintained")
    assert refusal is not None
    assert refusal.code == "RW304"
    [one, _] = effectivity(moved.state, small.revision())
    assert f"{old} open, where {LIDAR} was (event {carried.seq})" in one.departs
    moved.play(f"lead swaps the {LIDAR} of SN-1 for 24 lb by the shop, on 2026-06-01    -> RW517")
    moved.play(f"""
        lead moves the {LIDAR} of SN-1 to 4 in, 4.5 in on upper by the shop, its holes open
        lead moves the {LIDAR} of SN-1 to 4 in, 4.5 in on upper by the shop
    """)
    assert now(moved)[0].open_holes == (
        "4 holes in shelf upper at 4.500 in, 4.500 in",
    )  # back where the first were
    assert moved.audit() == []


def test_they_are_filled_by_a_repair_that_the_holder_accepted(begin: Begin) -> None:
    moved = moved_box(begin).play(f"""
        inspector raises NCR-7 on the rack SN-1, panel holes: left by a box
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes filled by NCR-7  -> RW520
        inspector raises NCR-8 on length of post.front-left of SN-1: dented
        lead decides repair on NCR-8: dressed, accepted in REP-8
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes filled by NCR-8  -> RW520
        lead decides repair on NCR-7: plugs bonded in, accepted in REP-7
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes filled by NCR-7
        lead moves the {LIDAR} of SN-1 to 4.5 in, 4.5 in on upper by the shop, its holes open           -> RW517
    """)
    carried, held = now(moved)
    assert (carried.open_holes, carried.filled) == ((), ("4 holes in shelf upper at 4.000 in, 4.500 in",))
    assert held.not_assessed == ()
    assert moved.audit() == []


def test_a_release_before_the_oven_was_counted_is_shown_as_it_was_made(begin: Begin) -> None:
    record = begin("released").record
    events = record.events()

    def least(history: list[Event]) -> str:
        rows = standing(history, "SN-1", small.design(), record.get_file).rows
        return next(row for row in rows if row.what == "governing margin").built

    done = next(event for event in events if event.type == "release" and event.body["serial"] == "SN-1")
    values = {key: value for key, value in done.body["values"].items() if key != "oven"}
    older = [replace(one, body={**one.body, "values": values}) if one is done else one for one in events]
    cold, hot = (
        min(one.margin for one in built.strength.margins if one.margin is not None)
        for built in (
            as_measured(project(events[: done.seq - 1]), small.design(), "SN-1", get)
            for get in (None, record.get_file)
        )
    )
    assert least(list(events)).startswith(f"{hot:+.3f} ")
    assert least(older).startswith(f"{cold:+.3f} ")
    assert cold > hot + 0.01

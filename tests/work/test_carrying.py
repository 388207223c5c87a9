"""Another box in an item's place: the same checks with its mass, centre and shelf, and what they come to is said."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

import racks
import small_shop as small
from rackwright.design import Design
from rackwright.trouble import Stopped
from rackwright.work.service.carrying import Swap, least_words, swap
from rackwright.work.service.maintained import as_maintained, loaded
from stories.conftest import Begin

ITEM = "power conditioner"  # 32 lb on the lower shelf
POUND = 0.45359237


@cache
def standard() -> Design:
    """The standard with its equipment, in the place of the small shop's bare frame."""
    return racks.design_of()


def said(**more: object) -> Swap:
    return replace(Swap(ITEM, "customer", "MAIL-1", mass="32 lb"), **more)  # type: ignore[arg-type]


def carrying(**more: object) -> Design:
    return loaded(standard(), (said(**more).carried(),))


def test_nothing_swapped_is_the_same_design() -> None:
    assert loaded(standard(), ()) is standard()
    same = carrying(part="PC-240")
    assert same.rack.definition.equipment == standard().rack.definition.equipment


def test_a_box_changes_what_it_says_and_nothing_else() -> None:
    heavier = carrying(mass="40 lb", cg=("8.5 in", "9.5 in", "2.6 in"), box="0417")
    assert heavier.loaded.mass - standard().loaded.mass == pytest.approx(8 * POUND, abs=1e-9)
    assert heavier.bare.mass == standard().bare.mass
    before, after = (
        next(one for one in each.rack.definition.equipment if one.name == ITEM)
        for each in (standard(), heavier)
    )
    assert after == replace(before, mass=after.mass, cg=(*before.cg[:2], 66_040_000))
    assert after.mass == pytest.approx(40 * POUND)
    out = loaded(standard(), (said(mass="", out=True).carried(),))
    assert out.loaded.mass == pytest.approx(standard().loaded.mass - before.mass, abs=0.0011)
    assert [one.id for one in out.pieces.bolts] == [
        one.id for one in standard().pieces.bolts
    ]  # its holes stay
    least = {one.id: one.margin for one in standard().strength.margins if one.margin is not None}
    lighter = [(least[one.id], one.margin) for one in out.strength.margins if one.margin is not None]
    assert min(now for _, now in lighter) >= min(least.values())


def test_margins_fall_with_the_mass_and_the_least_is_said(begin: Begin) -> None:
    day = begin("released").play("lead ships SN-1 to the hangar")
    at = small.station(day.record, "lead")
    least = []
    for pounds in ("20 lb", "32 lb", "60 lb", "400 lb"):
        [event] = swap(at, "SN-1", said(mass=pounds), standard()).events
        least.append(event.body["least"])
    values = [float(one["margin"]) for one in least]
    assert values == sorted(values, reverse=True)
    assert values[-1] < 0 < values[0]
    assert least_words(least[-1]).startswith("NEGATIVE MARGIN. least margin -")
    assert "NEGATIVE" not in least_words(least[0])
    now = as_maintained(day.state, standard(), "SN-1", day.record.get_file)
    assert min(one.margin for one in now.design.strength.margins if one.margin is not None) == pytest.approx(
        values[-1], abs=1e-6
    )
    assert day.state.carried["SN-1"][ITEM].mass == "400 lb"
    assert day.audit() == []


def test_a_box_that_does_not_fit_is_not_assessed(begin: Begin) -> None:
    """Moved on to another box of its shelf: recorded, since it is there, and nothing is computed of it."""
    day = begin("released").play("lead ships SN-1 to the hangar")
    far = said(at=("60 in", "60 in"), holes="open")
    [event] = swap(small.station(day.record, "lead"), "SN-1", far, standard()).events
    assert least_words(event.body["least"]).startswith("NOT ASSESSED: ")
    holes, fit = as_maintained(day.state, standard(), "SN-1", day.record.get_file).not_assessed[:2]
    assert holes.startswith("4 holes in shelf lower at ")
    assert fit.startswith("equipment.")


WRONG: dict[str, tuple[Swap, list[str]]] = {
    "an item that the rack has not": (said(item="toaster"), ["RW504"]),
    "no unit": (said(mass="32"), ["RW104"]),
    "a force": (said(mass="32 lbf"), ["RW104"]),
    "no mass": (said(mass=""), ["RW504"]),
    "nothing at all": (said(mass="0 lb"), ["RW504"]),
    "half a centre": (said(cg=("1 in", "2 in")), ["RW504"]),
    "a shelf that the rack has not": (said(shelf="attic"), ["RW504"]),
    "out and there": (said(out=True), ["RW504"]),
    "a shelf for what hangs on the rails": (said(item="display processor", shelf="lower"), ["RW504"]),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_cannot_be_read_is_no_swap(begin: Begin, case: str) -> None:
    wrong, codes = WRONG[case]
    day = begin("released").play("lead ships SN-1 to the hangar")
    before = day.record.head().size
    with pytest.raises(Stopped) as caught:
        swap(small.station(day.record, "lead"), "SN-1", wrong, standard())
    assert [trouble.code for trouble in caught.value.troubles] == codes
    assert day.record.head().size == before

"""What a document must still say of how a rack is built up: `questions.py` gathers them."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.rack.model import Rack

__all__ = ["asked_of_build_up", "washer_beyond"]

Asked = tuple[str, str, tuple[str, ...]]


def washer_beyond(rack: Rack, washer: str, aside: int = 0) -> int:
    """How far (nm) a washer at `aside` from the middle of a tube's wall reaches on to the corner radius; below zero,
    what is left of the flat."""
    tube = rack.definition.tube
    return (
        aside
        + round(rack.rows.washers[washer].outside_diameter * 0.5e9)
        - (tube.side // 2 - tube.corner_radius)
    )


def asked_of_build_up(rack: Rack, later: tuple[str, ...]) -> Iterator[Asked]:
    """`later` blocks from the sign-out on."""
    make = rack.definition.shelf_make
    beyond = washer_beyond(rack, make.hardware.washer, make.bolt_spread // 2)
    if rack.definition.shelf and make.seat is None and beyond > 0:
        text = "On what do the shelf bolts' washers stand over the post's corner radius, by which document?"
        yield "shelf_make.seat", text, later

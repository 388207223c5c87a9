"""What a document must still say of how a rack is built up: `questions.py` gathers them."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.rack.build_up import Insert, Nutplate
from rackwright.rack.check_sizes import hardware_of
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
    for path, set_ in hardware_of(rack.definition):
        kind = next((name for name in ("tapped", "insert", "nutplate") if getattr(set_, name)), None)
        if kind is None or set_.anchor is None:
            continue
        if isinstance(set_.anchor, (Insert, Nutplate)):
            what = f"{kind} {set_.anchor.part}"
            if set_.anchor.pull_out is None or set_.anchor.document is None:
                name = "pull_out" if set_.anchor.pull_out is None else "document"
                yield f"{path}.{kind}.{name}", f"What does {what} hold, by which document?", later
            if set_.anchor.metal is None:
                yield f"{path}.{kind}.metal", f"Of which metal is {what}, by its document?", later
            if set_.anchor.mass is None:
                yield f"{path}.{kind}.mass", f"What does {what} weigh, by its document?", later
        if set_.anchor.locking is None:
            yield (
                f"{path}.{kind}.locking",
                f"What keeps the bolts of {path} from turning, by which document?",
                later,
            )
    given = rack.definition.tolerance
    if rack.definition.brace and given is not None and given.mitre_angle is None:
        yield "tolerance.mitre_angle", "How far may the mitres of braces be off, by which document?", later
    flat = rack.definition.shelf or rack.definition.rails or rack.definition.brace
    if flat and given is not None and given.detail is None:
        text = "How far may outlines and holes of plates, angles and rails be off, by which document?"
        yield "tolerance.detail", text, later
    make = rack.definition.shelf_make
    beyond = washer_beyond(rack, make.hardware.washer, make.bolt_spread // 2)
    if rack.definition.shelf and make.seat is None and beyond > 0:
        text = "On what do the shelf bolts' washers stand over the post's corner radius, by which document?"
        yield "shelf_make.seat", text, later

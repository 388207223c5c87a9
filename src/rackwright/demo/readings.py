"""What the demo's gauges read: an invented value of each characteristic, the same every time."""

from __future__ import annotations

from fractions import Fraction
from hashlib import sha256

from rackwright.demo.job import Job
from rackwright.pieces.as_built import nearer_end
from rackwright.pieces.characteristics import Characteristic, shown
from rackwright.units import unit_factor

__all__ = ["OUT", "invented"]

OUT = (
    "post.front-left",
    "hole joint.post.front-left.high.1",
    Fraction("0.020"),
)  # inches towards the tube's end


def invented(job: Job, serial: str, one: Characteristic) -> str:
    """An invented reading: somewhere in the middle six tenths of what is allowed, the same every time; one is out.

    Along an angle it lies towards the middle: its end holes stand at 1.5 diameters, and nearer to the end no bearing
    strength is published, so that the rack as built would have no margin there.
    """
    if serial.endswith("0002") and (one.piece, one.name) == OUT[:2] and one.nominal is not None:
        return shown(one, one.nominal + OUT[2] * unit_factor("in"))
    share = int.from_bytes(sha256(f"{serial}/{one.id}".encode()).digest()[:4], "big") % 61
    low = one.low if one.low is not None else Fraction(0)
    high = one.high if one.high is not None else 2 * low
    inward = _inward(job, one)
    if inward and one.nominal is not None:
        return shown(one, one.nominal + inward * (high - one.nominal) * Fraction(20 + share, 100))
    return shown(one, low + (high - low) * Fraction(20 + share, 100))


def _inward(job: Job, one: Characteristic) -> int:
    """The way from an angle's nearer end, of a hole along it; 0 of anything else."""
    piece = next((piece for piece in job.design.pieces.made if piece.id == one.piece), None)
    if piece is None or piece.kind != "angle":
        return 0
    _, outward = nearer_end(piece).get(one.name.removeprefix("hole "), (0, 0))
    return -outward

"""What holds a tube's end: rows of bolts through its two walls and the spigot, and how far they give.

A row is the bolts that run one way. About their own axis they hold by their spread along the tube, about the axis
across bolts and tube by the couple of the two walls. Each shear plane gives by the softest of the published formulas
(Huth, Tate & Rosenfeld, Swift), for a wall on half a spigot; the spigot bends between block and bolts. Left out: the
clamp of the bolts and the fit of the spigot, which make a joint stiffer; the slide across the tube, which is little
beside its bending; and the clearance of the holes, which is a travel and no spring: `slip_travel`
tells it. A turn that no bolts hold is left to the fit, as rigid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import joint_flexibility as give
from rackwright.formulas import section
from rackwright.pieces.brace_pieces import BracePlace
from rackwright.rack.model import JointBolt, Rack

__all__ = [
    "BoltRow",
    "EndSprings",
    "bolt_rows",
    "end_springs",
    "gusset_give",
    "plane_flexibility",
    "slip_travel",
    "wall_spacing",
]

Array = NDArray[np.float64]
#: tube direction and bolt axis -> (shear across the bolts, moment about them, moment across) in local forces
LOCAL = {("post", "x"): (1, 5, 4), ("post", "y"): (2, 4, 5), ("width", "z"): (1, 5, 4), ("width", "y"): (2, 4, 5),
         ("depth", "z"): (1, 5, 4), ("depth", "x"): (2, 4, 5)}  # fmt: skip


@dataclass(frozen=True)
class BoltRow:
    """The bolts of a tube's end that run one way."""

    at: tuple[float, ...]  # from their middle along the tube, m
    numbers: tuple[int, ...]  # in the joint's pattern
    middle: float  # from the tube's end, m
    across: int  # index of a local force: shear across the bolts
    own: int  # moment about their own axis
    other: int  # moment about the axis across bolts and tube

    @property
    def spread(self) -> float:
        """Sum of the squared distances from their middle, m²."""
        return sum(z**2 for z in self.at)


def bolt_rows(pattern: tuple[JointBolt, ...], kind: str) -> tuple[BoltRow, ...]:
    """The rows of a pattern, by direction in its order."""
    rows = []
    for through in dict.fromkeys(bolt.through for bolt in pattern):
        numbers = tuple(n for n, bolt in enumerate(pattern) if bolt.through == through)
        middle = sum(pattern[n].at for n in numbers) / len(numbers)
        at = tuple((pattern[n].at - middle) * 1e-9 for n in numbers)
        rows.append(BoltRow(at, numbers, middle * 1e-9, *LOCAL[kind, through]))
    return tuple(rows)


def wall_spacing(rack: Rack) -> float:
    """Between the middles of two opposite walls of the tube, m."""
    return (rack.definition.tube.side - rack.definition.tube.wall) * 1e-9


def plane_flexibility(rack: Rack) -> float | None:
    """m/N of one shear plane, wall on half a spigot: the softest formula. None without the moduli."""
    d, row = rack.definition, rack.rows.bolts[rack.definition.joint.hardware.bolt]
    tube, block = rack.rows.materials[d.tube.material], rack.rows.materials[d.block.material]
    if row.E is None or row.nu is None or tube.E is None or block.E is None:
        return None
    wall, half = d.tube.wall * 1e-9, (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 0.5e-9
    lap = {"t1": half, "t2": wall, "E1": block.E, "E2": tube.E, "Ef": row.E, "d": row.diameter}
    both = give.huth(**{**lap, "t1": 2 * half}, n=2)
    return max(2 * float(both), float(give.tate_rosenfeld(**lap, nu=row.nu)), float(give.swift(**lap)))


def gusset_give(rack: Rack, place: BracePlace) -> float | None:
    """m/N that an end of a brace gives along it: its bolts through the gussets, then those in the member.

    Each wall on a gusset is a single lap, the softest formula. None without the moduli.
    """
    d, make = rack.definition, rack.definition.gusset_make
    assert make is not None
    row, plate = rack.rows.bolts[make.hardware.bolt], rack.rows.materials[make.material]
    planes, total = (2 if make.faces == "both" else 1), 0.0
    for tube, bolts in ((place.tube, make.on_brace), (d.tube, make.on_member)):
        metal = rack.rows.materials[tube.material]
        if row.E is None or row.nu is None or metal.E is None or plate.E is None:
            return None
        lap = {"t1": make.thickness * 1e-9, "t2": tube.wall * 1e-9, "E1": plate.E, "E2": metal.E, "Ef": row.E,
               "d": row.diameter}  # fmt: skip
        one = max(
            float(give.huth(**lap, n=1)),
            float(give.tate_rosenfeld(**lap, nu=row.nu)),
            float(give.swift(**lap)),
        )
        total += one / (planes * bolts)
    return total


@dataclass(frozen=True, eq=False)
class EndSprings:
    """A tube's end: N·m/rad about its local y and z, m/N along it, rad/(N·m) in torsion."""

    turn: Array  # (2,)
    slide: float
    twist: float


def end_springs(rack: Rack, kind: str) -> EndSprings | None:
    """The end of a tube of this kind; None where a modulus is not known."""
    plane, block = plane_flexibility(rack), rack.rows.materials[rack.definition.block.material]
    if plane is None or block.E is None:
        return None
    pattern: tuple[JointBolt, ...] = getattr(rack.definition.joint, kind)
    held, reach = np.zeros(2), np.zeros(2)
    for row in bolt_rows(pattern, kind):
        held[row.own - 4] += give.bolts_turn_own(row.spread, plane)
        held[row.other - 4] += give.bolts_turn_across(len(row.at), wall_spacing(rack), plane)
        reach = np.maximum(reach, row.middle)
    d = rack.definition
    side = (d.tube.side - 2 * d.tube.wall - d.block.spigot_gap) * 1e-9
    second = float(section.rectangle_inertia(side, side))
    with np.errstate(divide="ignore"):
        turn = np.where(held > 0, give.end_turn(held, reach, block.E, second), np.inf)
    twist = 2 * plane / (len(pattern) * wall_spacing(rack) ** 2)
    return EndSprings(turn, plane / (2 * len(pattern)), twist)


def slip_travel(rack: Rack) -> tuple[float, float] | None:
    """Free turn (rad) of a post's ends by the measured slip, and how far the rack's top then stands off (m), at most.

    All posts lean as one before their bolts bear. None where no slip is stated, or no two bolts of a post run one way.
    """
    slip, d = rack.definition.joint.slip, rack.definition
    apart = [max(row.at) - min(row.at) for row in bolt_rows(d.joint.post, "post") if len(row.at) > 1]
    if slip is None or not apart:
        return None
    turn = float(give.free_turn(slip.along * 1e-9, min(apart)))
    return turn, turn * d.outside.height * 1e-9

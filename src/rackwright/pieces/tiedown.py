"""Tie-down rings and floor pads.

A ring is one flat blank bent once: a flat part on an outside face of a post, held by the bolts of that
post's joint, then a leg at the bend angle with the eye. Seen in the face, its direction at turn zero points
away from the block along the post; the turn is about the face's outward normal, right-handed.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.frame_pieces import corner_of, tube_places
from rackwright.pieces.model import IN, Box, Drilled, Layer, Piece, axis_index
from rackwright.pieces.solids import Solid, box_solid, inches, prism, together
from rackwright.rack.model import CORNERS, Counterbore, Pad, Rack, Ring

__all__ = ["RingPlace", "pad_bolts", "pads", "ring_place", "rings"]

Vector = NDArray[np.float64]


@dataclass(frozen=True)
class RingPlace:
    """Geometry of a placed ring in rack axes: metres, unit vectors."""

    root: Vector  # middle of the joint bolts, on the ring's mid-plane
    along: Vector  # direction of the flat part, in the face
    normal: Vector  # outward normal of the face
    leg: Vector  # direction from the bend to the eye
    across: Vector  # in the leg's plane, at right angles to it
    off: Vector  # out of the leg's plane
    bend: Vector  # middle of the bend line
    eye: Vector  # centre of the eye


def ring_place(rack: Rack, ring: Ring) -> RingPlace:
    """Where the ring, its bend and its eye are."""
    d, make = rack.definition, rack.definition.ring_make
    assert make is not None
    post = next(place for place in tube_places(rack) if place.id == f"post.{ring.post}")
    pattern = [bolt.at for bolt in d.joint.post if bolt.through == ring.face[1]]
    middle = sum(pattern) / len(pattern)
    root = np.array([(lo + hi) / 2 for lo, hi in zip(post.box.lo, post.box.hi, strict=True)])
    root[2] = post.box.lo[2] + middle if ring.end == "bottom" else post.box.hi[2] - middle
    i, sign = axis_index(ring.face), 1.0 if ring.face[0] == "+" else -1.0
    root[i] += sign * (d.tube.side + make.thickness) / 2
    normal = np.eye(3)[i] * sign
    start = np.array([0.0, 0.0, 1.0 if ring.end == "bottom" else -1.0])
    along = start * cos(ring.turn) + np.cross(normal, start) * sin(ring.turn)
    leg = along * cos(make.bend) + normal * sin(make.bend)
    across = np.cross(normal, along)
    bend = root * 1e-9 + along * make.flat_reach * 1e-9
    return RingPlace(root * 1e-9, along, normal, leg, across, np.cross(leg, across), bend,
                     bend + leg * make.leg_reach * 1e-9)  # fmt: skip


def rings(rack: Rack) -> list[Piece]:
    """The rings; each keeps only its flat part clear, the leg stands outside the rack."""
    d, make = rack.definition, rack.definition.ring_make
    if make is None:
        return []
    w, t = make.width * 1e-9, make.thickness * 1e-9
    straight = (make.eye_edge + make.flat_reach + make.leg_reach) * 1e-9
    area = w * straight + pi / 8 * w * w - pi / 4 * (make.eye * 1e-9) ** 2
    mass = make.density * area * t
    blank = f"PLATE {inches(make.thickness)}"
    made = []
    for ring in d.ring:
        place = ring_place(rack, ring)
        cg = (place.root + place.eye) / 2
        long = straight + w / 2
        inertia = tuple(float(mass * (long**2 * (1 - place.leg[i] ** 2) + w * w) / 12) for i in range(3))
        made.append(
            Piece(
                id=f"ring.{ring.name}",
                kind="ring",
                title=f"tie-down ring, {ring.name}",
                material="",
                stock=make.stock,
                section=blank,
                boxes=(_flat(rack, place),),
                mass=mass,
                cg=(float(cg[0]), float(cg[1]), float(cg[2])),
                inertia=(inertia[0], inertia[1], inertia[2]),
                path=f"ring.{ring.name}.turn",
                notes=(f"bent {make.bend * 180 / pi:.4g} deg, turned {ring.turn * 180 / pi:.4g} deg",),
            )
        )
    return made


def _flat(rack: Rack, place: RingPlace) -> Box:
    """Box around the middle of the flat part where it lies on the post (the corners may overhang)."""
    make, side = rack.definition.ring_make, rack.definition.tube.side
    assert make is not None
    half = np.where(np.abs(place.normal) > 0.5, make.thickness / 2, min(make.width, side) / 2)
    centre = place.root * 1e9
    lo, hi = np.rint(centre - half).astype(int), np.rint(centre + half).astype(int)
    return Box((int(lo[0]), int(lo[1]), int(lo[2])), (int(hi[0]), int(hi[1]), int(hi[2])))


# --- pads ----------------------------------------------------------------------------------------


def pads(rack: Rack) -> list[Piece]:
    """Four pads, centred under the lower blocks, below z = 0."""
    d, made = rack.definition, []
    for corner in CORNERS:
        low = corner_of(rack, f"block.bottom.{corner}")
        inset = (d.tube.side - d.pad.side) // 2
        box = Box((low[0] + inset, low[1] + inset, -d.pad.thickness),
                  (low[0] + inset + d.pad.side, low[1] + inset + d.pad.side, 0))  # fmt: skip
        solid = _bored(box, d.pad, rack.rows.materials[d.block.material].density or 0.0)
        made.append(
            Piece(
                id=f"pad.{corner}",
                kind="pad",
                title=f"floor pad, {corner}",
                material=d.block.material,
                stock=d.block.stock,
                section=f"PLATE {inches(d.pad.thickness)}",
                boxes=(box,),
                mass=solid.mass,
                cg=solid.cg,
                inertia=solid.inertia,
                path="pad.side",
                notes=(_counterbored(d.pad.counterbore),) if d.pad.counterbore else (),
                walls=(box,),
            )
        )
    return made


def _counterbored(bore: Counterbore) -> str:
    wide, deep, by = (nm / IN for nm in (bore.diameter, bore.depth, bore.tolerance))
    return f"counterbore {wide:.4g} in, {deep:.4g} in deep from below, both ± {by:.4g} in"


def _bored(box: Box, pad: Pad, density: float) -> Solid:
    """A pad less its counterbore: a cylinder from below, with m r²/4 + m h²/12 about its cross axes."""
    whole, bore = box_solid(box, density), pad.counterbore
    if bore is None:
        return whole
    r = bore.diameter * 0.5e-9
    x, y, _ = box.centre
    middle = (x, y, box.lo[2] * 1e-9 + bore.depth * 0.5e-9)
    area = pi * r * r
    return together([whole, prism(middle, "z", bore.depth, area, (area * r * r / 4,) * 2, -density)])


def pad_bolts(rack: Rack) -> list[Drilled]:
    """One bolt up through each pad, from the seat of its counterbore, and the lower block."""
    d, made = rack.definition, []
    for corner in CORNERS:
        low = corner_of(rack, f"block.bottom.{corner}")
        at = (low[0] + d.tube.side // 2, low[1] + d.tube.side // 2, 0)
        layers = (
            Layer(f"pad.{corner}", -d.pad.web, 0),
            Layer(f"block.bottom.{corner}", 0, d.tube.side // 2),
        )
        made.append(Drilled(f"pad.{corner}", d.pad.hardware, at, "z", layers, "pad.hardware"))
    return made

"""How the frame is held to the aircraft: straps as ties, pads, and bolted feet.

A foot stands on the pad's own metal, from the middle of the block down to the floor, and there three springs hold it:
up and across, both ways, and no turning. A corner without a foot has its pad, which pushes and never pulls.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.tiedown import ring_place
from rackwright.rack.model import CORNERS, Rack
from rackwright.strength.frame import Curve, Pads, Springs, Ties

__all__ = ["FootMember", "curves_of", "feet_of", "foot_springs", "pads_of", "ties_of"]

Vector = NDArray[np.float64]
TORSION = 0.1406  # of a square: J over its side to the fourth


@dataclass(frozen=True, eq=False)
class FootMember:
    """The metal from a lower block's node down to the floor, as a member's row."""

    name: str
    corner: str
    at: Vector
    length: float
    row: Mapping[str, object]


def feet_of(rack: Rack, nodes: Mapping[str, Vector]) -> Iterator[FootMember]:
    """The member of every bolted foot."""
    d = rack.definition
    metal, side = rack.rows.materials[d.block.material], d.pad.side * 1e-9
    values = {"A": side**2, "Iy": side**4 / 12, "Iz": side**4 / 12, "J": TORSION * side**4, "Asy": np.inf,
              "Asz": np.inf, "E": metal.E or 0.0, "G": metal.G or 0.0, "rho": 0.0}  # fmt: skip
    for foot in d.foot:
        block = f"block.bottom.{foot.corner}"
        at = nodes[block].copy()
        at[2] = -d.pad.thickness * 1e-9
        row = {"a": block, "b": f"foot.{foot.name}", **values, "offset": np.zeros((2, 3)),
               "end_spring": np.full((2, 2), np.inf), "zref": np.array([1.0, 0.0, 0.0])}  # fmt: skip
        yield FootMember(f"foot.{foot.name}", foot.corner, at, float(nodes[block][2] - at[2]), row)


def foot_springs(rack: Rack, number: Mapping[str, int]) -> Springs:
    """Three springs a foot, along x, y and z."""
    feet = rack.definition.foot
    node = np.array([number[f"foot.{foot.name}"] for foot in feet for _ in range(3)], dtype=np.int64)
    k = [
        value for foot in feet for value in (foot.stiffness_across, foot.stiffness_across, foot.stiffness_up)
    ]
    return Springs(node, np.array([0, 1, 2] * len(feet), dtype=np.int64), np.array(k, dtype=float))


def pads_of(
    rack: Rack, nodes: Mapping[str, Vector], number: Mapping[str, int], strain: Vector
) -> tuple[tuple[str, ...], Pads]:
    """The corners that stand on a pad, and the pads; `strain` (V,) is that of the metal from a block to the floor."""
    footed = {foot.corner for foot in rack.definition.foot}
    free = tuple(corner for corner in CORNERS if corner not in footed)
    node = np.array([number[f"block.bottom.{corner}"] for corner in free], dtype=np.int64)
    pad, high = rack.definition.pad, np.array([nodes[f"block.bottom.{corner}"][2] for corner in free])
    pads = Pads(node=node, push=np.array([0.0, 0, 1, 0, 0, 0]), k=np.array(pad.stiffness))
    if strain.any():
        pads = replace(pads, T0=pad.stiffness * strain[:, None] * (high + pad.thickness * 1e-9))
    return free, pads


def curves_of(rack: Rack) -> dict[int, Curve]:
    """The load-stretch curves of straps whose maker states one, by number."""
    types = {t.name: t.curve for t in rack.definition.strap_type}
    found = {}
    for n, strap in enumerate(rack.definition.strap):
        curve = types[strap.type]
        if curve is not None:
            points = [(0.0, 0.0), *((point.percent / 100, point.force) for point in curve.points)]
            found[n] = Curve(*np.array(points).T)
    return found


def ties_of(
    rack: Rack,
    nodes: Mapping[str, Vector],
    number: Mapping[str, int],
    ring_nodes: Mapping[str, str],
    frame: Vector,
    own: Vector,
) -> tuple[tuple[str, ...], Ties]:
    """The straps' names, and the straps at low and high pretension in turn; `ring_nodes`: the node of each ring's
    post; `frame` (V,) and `own` (V,straps): strains of metal and strap."""
    d = rack.definition
    rings, fittings = {r.name: r for r in d.ring}, {f.name: f for f in d.floor_fitting}
    types = {t.name: t for t in d.strap_type}
    node, offset, k, low, high = [], [], [], [], []
    for strap in d.strap:
        kind, name = types[strap.type], ring_nodes[strap.ring]
        eye = ring_place(rack, rings[strap.ring]).eye
        ground = np.array(fittings[strap.fitting].at) * 1e-9
        node.append([number[name], -1])
        offset.append([eye - nodes[name], ground])
        k.append(kind.axial_stiffness / float(np.linalg.norm(ground - eye)))
        low.append(kind.pretension_low if kind.pretension_kept else 0.0)
        high.append(kind.pretension_high)
    if not node:
        return (), Ties(T0=np.zeros((len(frame), 0)))
    tension = np.array([low, high] * (len(frame) // 2))
    if frame.any() or own.any():
        tension = _grown(tension, np.array(offset), np.array([nodes[ring_nodes[s.ring]] for s in d.strap]), np.array(k),
                         frame, own, curves_of(rack))  # fmt: skip
    ties = Ties(node=np.array(node), k=np.array(k), T0=tension, offset=np.array(offset))
    return tuple(strap.name for strap in d.strap), ties


def _grown(
    tension: Vector,
    offset: Vector,
    node: Vector,
    k: Vector,
    frame: Vector,
    own: Vector,
    curves: Mapping[int, Curve],
) -> Vector:
    """Tension (V,straps) with node and ground held: less what a strap grows itself, and by what its eye moves on the
    ring. By the maker's curve where there is one; below zero is a gap."""
    eye, ground = offset[:, 0], offset[:, 1]
    along = ground - (node + eye)
    length = np.linalg.norm(along, axis=-1)
    nearer = ((along / length[:, None]) * eye).sum(axis=-1)  # of the eye to its fitting, for a strain of one
    strain = -own - frame[:, None] * nearer / length
    grown = tension + k * length * strain
    for n, curve in curves.items():
        grown[:, n] = curve.pull(curve.strained(tension[:, n]) + strain[:, n])[0]
    return np.asarray(grown)

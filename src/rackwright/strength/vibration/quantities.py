"""What is read off a moving rack: accelerations of items, strokes of isolators, gaps, strap and pad forces, stresses.

Each is linear in the motion. A tube's stress is N/A ± My c/I ± Mz c/I at the four corners of both ends of each
piece of it, from the motion of its nodes (its own inertia between nodes acts through its consistent mass). A gap
is that between two facing bodies, or a body and the nearest node of a piece, moving rigidly with it: neither
the wall of an item nor a panel between its nodes is counted as bending.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import section
from rackwright.pieces.brace_pieces import tube_of
from rackwright.pieces.build import Pieces
from rackwright.pieces.fit import equipment_boxes
from rackwright.pieces.model import AXES, Box
from rackwright.pieces.weight import equipment_cg
from rackwright.rack.model import Equipment, Rack, Tube
from rackwright.strength.bodies import fixing_points, lever
from rackwright.strength.frame import Motion
from rackwright.strength.frame.ready import Model
from rackwright.strength.rack_frame import RackFrame

__all__ = ["Quantity", "Reader"]

Array = NDArray[np.float64]
TUBES = ("post", "width", "depth", "brace")
NEIGHBOURS = (*TUBES, "panel")


@dataclass(frozen=True)
class Quantity:
    """One thing to know. `room` is the gap or the isolator's sway space, m; None where there is none."""

    kind: str  # acceleration, sway, gap, strap, pad, stress
    subject: str  # equipment.NAME, strap.NAME, pad.CORNER, or a tube
    place: str
    unit: str  # g, m, N, Pa
    room: float | None = None
    along: int | None = None  # rack axis of an acceleration


@dataclass(frozen=True, eq=False)
class _Gap:
    item: int
    axis: int
    sign: float
    at: Array
    room: float
    name: str
    other: int | None  # another item
    node: int  # else the node of a piece


class Reader:
    """The quantities of one rack, and how to read them off motions."""

    def __init__(self, rack: Rack, pieces: Pieces, model: RackFrame) -> None:
        self.rack, self.pieces, self.model = rack, pieces, model
        self.ready = Model.of(model.frame)
        self.items = rack.definition.equipment
        self.cg = [equipment_cg(rack, item) for item in self.items]
        self.tubes = [n for n, one in enumerate(model.segments) if one.kind in TUBES]
        sections = [_section(tube_of(rack, pieces.get(model.segments[n].piece))) for n in self.tubes]
        self.area, self.lever = np.array(sections).T[..., None]  # (2, tubes, 1): both ends alike
        self.gaps = [gap for n, item in enumerate(self.items) for gap in self._gaps(n, item)]
        self.quantities = tuple(self._named())

    def _named(self) -> Iterator[Quantity]:
        for item in self.items:
            for n in range(3):
                yield Quantity("acceleration", f"equipment.{item.name}", f"centre of gravity, along {AXES[n]}", "g",
                               along=n)  # fmt: skip
        for item in self.items:
            if item.isolators is not None:
                for point in range(len(fixing_points(self.rack, item))):
                    for n in range(3):
                        room = item.isolators.sway[n] * 1e-9 if item.isolators.sway else None
                        place = f"isolator {point + 1}, along {AXES[n]}"
                        yield Quantity("sway", f"equipment.{item.name}", place, "m", room)
        for gap in self.gaps:
            yield Quantity("gap", f"equipment.{self.items[gap.item].name}", gap.name, "m", gap.room)
        for strap in self.model.straps:
            yield Quantity("strap", f"strap.{strap}", "", "N")
        for pad in self.model.pads:
            yield Quantity("pad", f"pad.{pad}", "", "N")
        for n in self.tubes:
            one = self.model.segments[n]
            for end in (one.start, one.start + one.length):
                for corner in range(4):
                    place = f"{end / 0.0254:.2f} in from its low end, corner {corner + 1}"
                    yield Quantity("stress", one.piece, place, "Pa")

    def read(self, motion: Motion, v: int, stiffness: Array) -> Array:
        """(S, R) of S motions of variant v; `stiffness` (T+Q,) N/m of straps and pads, zero of the idle."""
        parts = [motion.body[:, :, :3].reshape(len(motion.node), -1)]
        for n, item in enumerate(self.items):
            if item.isolators is not None:
                apart = motion.body[:, n] - motion.seat[:, n]
                arms = fixing_points(self.rack, item) - np.array(item.cg) * 1e-9
                parts += [apart @ lever(arm).T for arm in arms]
        parts += [self._closing(motion, gap)[:, None] for gap in self.gaps]
        one = self.ready.one_sided
        stretch = np.einsum("uei,suei->su", one.coef[v], motion.node[:, one.node])
        parts.append(stiffness * stretch)
        parts.append(self._stress(motion.node, v))
        return np.concatenate(parts, axis=1)

    # --- gaps ------------------------------------------------------------------------------------

    def _gaps(self, number: int, item: Equipment) -> Iterator[_Gap]:
        """The nearest neighbour that each side of an item's body faces."""
        own = equipment_boxes(self.rack, item)[0][1]
        others: list[tuple[str, Box, int | None, str]] = [
            (f"equipment.{one.name}", equipment_boxes(self.rack, one)[0][1], n, "")
            for n, one in enumerate(self.items)
            if n != number
        ]
        standing = f"panel.{item.on_shelf.shelf}" if item.on_shelf else ""
        for made in self.pieces.made:
            if made.kind in NEIGHBOURS and made.id != standing:
                others += [(made.id, box, None, made.id) for box in made.boxes]
        for axis in range(3):
            for sign in (-1, 1):
                facing = [(room, name, box, other, piece) for name, box, other, piece in others
                          if (room := _room(own, box, axis, sign)) is not None]  # fmt: skip
                if not facing:
                    continue
                room, name, box, other, piece = min(facing, key=lambda one: (one[0], one[1]))
                face = own.hi[axis] if sign > 0 else own.lo[axis]
                at = np.array([(max(a, c) + min(b, d)) * 0.5e-9 for a, b, c, d in
                               zip(own.lo, own.hi, box.lo, box.hi, strict=True)])  # fmt: skip
                at[axis] = face * 1e-9 + sign * room * 0.5e-9
                side = f"to {name} at {'+' if sign > 0 else '-'}{AXES[axis]}"
                yield _Gap(
                    number, axis, sign, at, room * 1e-9, side, other, self._near(piece, at) if piece else -1
                )

    def _near(self, piece: str, at: Array) -> int:
        rows = [n for n, one in enumerate(self.model.segments) if one.piece == piece]
        nodes = np.unique(self.model.frame.members.ends[rows])
        return int(nodes[np.linalg.norm(self.model.frame.xyz[0, nodes] - at, axis=1).argmin()])

    def _closing(self, motion: Motion, gap: _Gap) -> Array:
        mine = motion.body[:, gap.item] @ lever(gap.at - self.cg[gap.item])[gap.axis]
        if gap.other is not None:
            theirs = motion.body[:, gap.other] @ lever(gap.at - self.cg[gap.other])[gap.axis]
        else:
            theirs = motion.node[:, gap.node] @ lever(gap.at - self.model.frame.xyz[0, gap.node])[gap.axis]
        return np.asarray(gap.sign * (mine - theirs))

    # --- stress ----------------------------------------------------------------------------------

    def _stress(self, node: Array, v: int) -> Array:
        """(S, tubes·2·4) Pa"""
        geo, ends = self.ready.geo, self.model.frame.members.ends[self.tubes]
        moved = node[:, ends].reshape(len(node), len(self.tubes), 12)
        basic = np.einsum("mij,smj->smi", geo.c[v, self.tubes] @ geo.reach[v, self.tubes], moved)
        force = np.einsum("mij,smi->smj", geo.chord[v, self.tubes], basic)
        normal = np.stack([-force[..., 0], force[..., 6]], axis=-1) / self.area
        about_y = np.stack([-force[..., 4], force[..., 10]], axis=-1) * self.lever
        about_z = np.stack([-force[..., 5], force[..., 11]], axis=-1) * self.lever
        signs = [(1, 1), (1, -1), (-1, 1), (-1, -1)]
        corners = np.stack([normal + a * about_y + b * about_z for a, b in signs], axis=-1)
        return corners.reshape(len(node), -1)


def _section(tube: Tube) -> tuple[float, float]:
    """Area (m²) of a tube, and what a moment in it makes of stress at a corner (1/m³)."""
    b, t, r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
    return float(section.tube_area(b, b, t, r)), b / 2 / float(section.tube_inertia(b, b, t, r))


def _room(own: Box, other: Box, axis: int, sign: int) -> int | None:
    """nm between two boxes that face each other along an axis; None where they do not."""
    across = [i for i in range(3) if i != axis]
    if any(own.hi[i] <= other.lo[i] or other.hi[i] <= own.lo[i] for i in across):
        return None
    room = other.lo[axis] - own.hi[axis] if sign > 0 else own.lo[axis] - other.hi[axis]
    return room if room >= 0 else None

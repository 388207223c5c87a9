"""Clearance of every item and keep-out to tubes, shelves, rails and neighbours in the deflected rack.

Motions are seen from the rack: the rigid motion that fits its eight blocks best (straps give, the whole rack tilts) is
taken off first. An item moves as the best rigid body of its carrying points, and with it its keep-outs; on a shelf it
also rides on the panel, which sags as the strip that is checked for strength (small deflections: beyond half its
thickness a panel stretches as well, so that this is too much, not too little). On isolators it travels and turns past
its seat as `isolators` has it, however far. A tube moves as its nodes, bowed between
them by their rotations; a shelf as its angles with the sag of its panel. Two boxes stay apart while one axis still
separates them, so that what is left between them is the largest, over the axes, of gap less closing of both.

MS = gap / closing − 1: the load multiplier less one at which they would touch; below zero they interfere. A removal
path is for the ground and not judged under load; two panels on the same rails keep the clearance of their grid;
what an item stands on or is screwed to is no neighbour. Room around the rack is not an input.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.fit import equipment_boxes
from rackwright.pieces.model import Box, Piece
from rackwright.pieces.shelf_pieces import equipment_corner, shelf_of
from rackwright.rack.model import Equipment
from rackwright.strength.checks.panel import feet_places, items_on, panel_sag
from rackwright.strength.checks.rigid import rigid_motion
from rackwright.strength.frame import cross, crossed
from rackwright.strength.margin import Index, Margin, Step, Subject, ratio
from rackwright.strength.run import Run

__all__ = ["MODE", "clearance"]

Array = NDArray[np.float64]
MODE = "clearance of the deflected rack"
ALONG = (0.0, 0.5, 1.0)  # stations of a segment between its nodes


@dataclass(frozen=True, eq=False)
class _Body:
    """A box (m) that moves: its name, whose it is, and how its places move.

    A rigid one has its shift (V, C, 3) and R − 1 (V, C, 3, 3) about `middle`; another the least and most motion of its
    places.
    """

    name: str
    owner: str
    lo: Array
    hi: Array
    first: Array
    second: Array
    middle: Array | None = None

    def reach(self, lo: Array, hi: Array) -> tuple[Array, Array]:
        """Least and most motion (3, V, C, B) of a rigid one's places that lie nearest to boxes (B, 3)."""
        assert self.middle is not None
        low, high = (np.clip(edge, self.lo, self.hi) - self.middle for edge in (lo, hi))
        least = np.repeat(np.moveaxis(self.first, -1, 0)[..., None], len(lo), axis=-1)
        most = least.copy()
        for i, j in np.ndindex(3, 3):  # each product is extreme at an edge of its own
            a, b = (self.second[..., i, j, None] * edge[:, j] for edge in (low, high))
            least[i] += np.minimum(a, b)
            most[i] += np.maximum(a, b)
        return least, most


@dataclass(frozen=True, eq=False)
class _Still:
    """The bodies that do not move as rigid ones, with their motions (3, V, C, B) side by side."""

    bodies: tuple[_Body, ...]
    least: Array
    most: Array

    @staticmethod
    def of(bodies: tuple[_Body, ...]) -> _Still:
        both = ([getattr(body, name) for body in bodies] for name in ("first", "second"))
        return _Still(
            bodies, *(np.ascontiguousarray(np.stack(each, axis=-1).transpose(2, 0, 1, 3)) for each in both)
        )


def clearance(run: Run) -> Iterator[Margin]:
    """The margin of every item's room at ultimate, and at limit where limit cases are given."""
    for level in ("ultimate", "limit"):
        if run.chosen(level) and run.rack.definition.equipment:
            field = _Field.of(run, level)
            still = _Still.of(tuple(_pieces(field)))
            items = {item.name: list(_item(field, item)) for item in run.rack.definition.equipment}
            for item in run.rack.definition.equipment:
                others = [body for name, bodies in items.items() if name != item.name for body in bodies]
                yield from _room(run, level, item, items[item.name], still, others)


def _room(
    run: Run, level: str, item: Equipment, own: list[_Body], still: _Still, others: list[_Body]
) -> Iterator[Margin]:
    places: list[str] = []
    gaps, closings, towards = [], [], []
    for mine in own:
        pieces = [n for n, piece in enumerate(still.bodies) if not _joined(item, mine, piece)]
        items = [other for other in others if not _joined(item, mine, other)]
        near = [*(still.bodies[n] for n in pieces), *items]
        if not near:
            continue
        lo, hi = np.array([other.lo for other in near]), np.array([other.hi for other in near])  # (B, 3)
        own_least, own_most = mine.reach(lo, hi)
        reach = [(still.least[..., pieces], still.most[..., pieces])]
        reach += [other.reach(mine.lo[None], mine.hi[None]) for other in items]
        least, most = (np.concatenate([each[n] for each in reach], axis=-1) for n in (0, 1))
        above, below = (lo - mine.hi).T[:, None, None], (mine.lo - hi).T[:, None, None]
        near_side, far_side = (
            np.where(above >= below, *both) for both in ((own_most, most), (least, own_least))
        )
        gap, closing, near_along = _widest(np.maximum(above, below), near_side - far_side, near_side)
        gaps.append(gap)
        closings.append(closing)
        towards.append(near_along)
        places += [f"{mine.name} to {other.name}" for other in near]
    if not gaps:
        return
    tail = "" if level == "ultimate" else " at limit"
    source = "nominal places of the definition; motion of both bodies by the frame"
    about = Subject(f"equipment.{item.name}/clearance{tail}", MODE, source, unit="m",
                    level=level, places=tuple(places))  # fmt: skip
    closing, gap = np.concatenate(closings, axis=-1), np.concatenate(gaps, axis=-1)
    gap = np.where(
        closing <= 0, np.maximum(gap, 1e-9), gap
    )  # what moves apart stays apart, though it touched
    toward = np.concatenate(towards, axis=-1)

    def steps(at: Index) -> tuple[Step, ...]:
        ua = float(toward[at])
        return (("closing_of_two", {"ua": ua, "ub": ua - float(closing[at])}),)

    yield ratio(run.context(level), about, np.maximum(closing, 1e-12), gap, 1.0, steps)


def _widest(gap: Array, *others: Array) -> tuple[Array, ...]:
    """Gap, closing and more (V, C, B) along that axis, of those (3, ...) that separate two boxes, which leaves most."""
    room = np.where(gap >= 0, gap - others[0], -np.inf)
    most, best = room[0], [np.broadcast_to(gap[0], room[0].shape), *(one[0] for one in others)]
    for axis in (1, 2):
        more = room[axis] > most
        most = np.where(more, room[axis], most)
        best = [np.where(more, one[axis], kept) for one, kept in zip((gap, *others), best, strict=True)]
    return tuple(best)


def _joined(item: Equipment, mine: _Body, other: _Body) -> bool:
    """Is the other what the item rests on or is screwed to, or another panel on the same rails?"""
    shelf = shelf_of(item)
    if shelf and other.owner in (f"panel.{shelf}", f"angle.{shelf}.left", f"angle.{shelf}.right"):
        return True
    if item.on_rails and other.owner.startswith("rail."):
        return True
    return mine.name.endswith(" panel") and other.name.endswith(" panel")


# --- what moves, and how far -----------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class _Field:
    """The nodes' motion (V, C, N, 6) in the cases of a level, less the rigid motion of the rack."""

    run: Run
    level: str
    u: Array

    @property
    def chosen(self) -> list[int]:
        return self.run.chosen(self.level)

    @staticmethod
    def of(run: Run, level: str) -> _Field:
        u = run.response.displacement[:, run.chosen(level)].copy()
        xyz = run.model.frame.xyz[0]
        blocks = [n for n, name in enumerate(run.model.nodes) if name.startswith("block.")]
        shift, turn = rigid_motion(xyz[blocks], u[:, :, blocks, :3])
        u[..., :3] -= shift[..., None, :] + crossed(turn[..., None, :], xyz - xyz[blocks].mean(axis=0))
        u[..., 3:] -= turn[..., None, :]
        return _Field(run, level, u)

    def at(self, node: int, place: Array) -> Array:
        """(V, C, 3) motion of a place (m) that is fixed to a node."""
        u = self.u[:, :, node]
        return np.asarray(u[..., :3] + crossed(u[..., 3:], place - self.run.model.frame.xyz[0, node]))


def _item(field: _Field, item: Equipment) -> Iterator[_Body]:
    run = field.run
    carriers = [one for one in run.model.carriers if one.item == item.name]
    points = np.array([one.at for one in carriers])
    moved = np.stack([field.at(one.node, one.at) for one in carriers], axis=-2)
    middle, (shift, turn) = points.mean(axis=0), rigid_motion(points, moved)
    if item.on_shelf is not None:
        feet = feet_places(run, item)
        sag = np.zeros((*shift.shape[:-1], len(feet), 3))
        sag[..., 2] = panel_sag(run, item, field.level)[0]
        more, tilt = rigid_motion(feet, sag)
        shift = shift + more + crossed(tilt, middle - (*feet.mean(axis=0)[:2], middle[2]))
        turn = turn + tilt
    turned, floated = cross(turn), run.on_isolators.get(item.name)
    if floated is not None:
        off, more = floated.shift[:, field.chosen], floated.tilt[:, field.chosen]
        centre = run.item_cg(item) + np.array(equipment_corner(run.rack, item)) * 1e-9
        shift = shift + off + np.einsum("vcij,vj->vci", more, middle - centre)
        turned = turned + more
    kinds = {f"equipment.{item.name}.keep_out.{n}": box.kind for n, box in enumerate(item.keep_out)}
    for path, box in equipment_boxes(run.rack, item):
        if kinds.get(path) == "removal path":
            continue
        part = {"size": "", "on_rails": " panel"}.get(
            path.rpartition(".")[2], f" {kinds.get(path) or 'keep-out'}"
        )
        yield _Body(f"{item.name}{part}", item.name, *_metres(box), shift, turned, middle)


def _pieces(field: _Field) -> Iterator[_Body]:
    """Blocks, panels, and tubes, rails and angles in short lengths."""
    run = field.run
    for piece in run.pieces.made:
        if piece.kind == "block":
            node = run.model.nodes.index(piece.id)
            move = field.at(node, run.model.frame.xyz[0, node])
            yield from (_Body(piece.id, piece.id, *_metres(box), move, move) for box in piece.boxes)
        elif piece.kind == "panel":
            yield _panel(field, piece)
        elif piece.kind in ("post", "width", "depth", "angle", "rail"):
            yield from _lengths(field, piece)
        # rings and pads are outside


def _panel(field: _Field, piece: Piece) -> _Body:
    shelf = piece.id.removeprefix("panel.")
    ends = [
        move
        for hand in ("left", "right")
        for _, a, b in _bowed(field, f"angle.{shelf}.{hand}")
        for move in (a, b)
    ]
    least, most = np.min(ends, axis=0), np.max(ends, axis=0)
    for item in items_on(field.run, shelf):
        sag = panel_sag(field.run, item, field.level)[1]
        least[..., 2] += np.minimum(sag.min(axis=-1), 0.0)
        most[..., 2] += np.maximum(sag.max(axis=-1), 0.0)
    return _Body(piece.id, piece.id, *_metres(piece.boxes[0]), least, most)


def _lengths(field: _Field, piece: Piece) -> Iterator[_Body]:
    """A long piece cut at the stations of its segments; a rail moves as the post that it is bolted to."""
    along = {"post": 2, "rail": 2, "width": 0}.get(piece.kind, 1)
    tube = f"post.front-{piece.id.removeprefix('rail.')}" if piece.kind == "rail" else piece.id
    cuts = list(_bowed(field, tube))
    for n, (ends, a, b) in enumerate(cuts):
        low = -np.inf if n == 0 else ends[0][along]
        high = np.inf if n == len(cuts) - 1 else ends[1][along]
        for box in piece.boxes:
            lo, hi = _metres(box)
            lo[along], hi[along] = max(lo[along], low), min(hi[along], high)
            if lo[along] < hi[along]:
                yield _Body(piece.id, piece.id, lo, hi, np.minimum(a, b), np.maximum(a, b))


def _bowed(field: _Field, piece: str) -> Iterator[tuple[tuple[Array, Array], Array, Array]]:
    """Between the stations of a piece's segments: both places (m) and both motions (V, C, 3).

    A tube bows as the cubic that leaves both ends with their rotations; an angle, pinned at its posts, stays straight
    between its nodes.
    """
    frame = field.run.model.frame
    for n, segment in enumerate(field.run.model.segments):
        if segment.piece != piece:
            continue
        nodes, arms = frame.members.ends[n], frame.members.offset[0, n]
        start, end = (frame.xyz[0, node] + arm for node, arm in zip(nodes, arms, strict=True))
        a, b = field.at(nodes[0], start), field.at(nodes[1], end)
        way = end - start
        ta, tb = (crossed(field.u[:, :, node, 3:], way) for node in nodes)
        moves = []
        for s in ALONG:
            straight = (1 - s) * a + s * b
            bow = (s - 2 * s**2 + s**3) * (ta - (b - a)) + (s**3 - s**2) * (tb - (b - a))
            moves.append(straight if segment.kind == "angle" else straight + bow)
        for k in range(len(ALONG) - 1):
            yield (start + ALONG[k] * way, start + ALONG[k + 1] * way), moves[k], moves[k + 1]


def _metres(box: Box) -> tuple[Array, Array]:
    return np.array(box.lo) * 1e-9, np.array(box.hi) * 1e-9

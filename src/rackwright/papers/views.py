"""Orthographic views of axis-aligned boxes with hidden edges removed exactly.

A point of an edge is hidden when the ray from it toward the viewer meets the inside of a box. For an edge
along axis j and a box, the other two axes bound the run s along the ray to an interval that does not
depend on the place on the edge; axis j then gives the hidden stretch as one interval in closed form. So
each edge is cut by at most one interval per box, and no painter's order is needed (which can be cyclic).
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import product
from math import sqrt

__all__ = ["FRONT", "ISOMETRIC", "RIGHT", "TOP", "Box", "View", "hides", "visible_edges"]

Vector = tuple[float, float, float]
Box = tuple[Sequence[float], Sequence[float]]  # lower and upper corner
Span = tuple[float, float]
Segment = tuple[tuple[float, float], tuple[float, float]]

_SHRINK = 2_000.0  # nm taken off every box: faces that touch do not hide each other's edges
_FAR = 1e15


@dataclass(frozen=True)
class View:
    """Unit vectors in rack axes: to the right and up on paper, and toward the viewer."""

    name: str
    right: Vector
    up: Vector
    toward: Vector

    def project(self, point: Sequence[float]) -> tuple[float, float]:
        """Right and up coordinates, in the units of the point."""
        return _dot(self.right, point), _dot(self.up, point)


FRONT = View("FRONT", (1, 0, 0), (0, 0, 1), (0, -1, 0))
RIGHT = View("RIGHT SIDE", (0, 1, 0), (0, 0, 1), (1, 0, 0))
TOP = View("TOP", (1, 0, 0), (0, 1, 0), (0, 0, 1))
ISOMETRIC = View(
    "ISOMETRIC", (1 / sqrt(2), 1 / sqrt(2), 0), (-1 / sqrt(6), 1 / sqrt(6), 2 / sqrt(6)),
    (1 / sqrt(3), -1 / sqrt(3), 1 / sqrt(3)),
)  # fmt: skip


def visible_edges(view: View, boxes: Sequence[Box], occluders: Sequence[Box]) -> list[Segment]:
    """The visible stretches of the boxes' edges in view coordinates, each line drawn once."""
    stretches: dict[tuple[int, int, int], list[Span]] = defaultdict(list)
    outlines = [(_outline(view, box), box) for box in occluders]
    for box in boxes:
        (x0, y0), (x1, y1) = _outline(view, box)
        near = [
            other for ((u0, v0), (u1, v1)), other in outlines if u0 < x1 and x0 < u1 and v0 < y1 and y0 < v1
        ]  # only what overlaps it on paper can hide it
        for axis, start, length in _edges(box):
            if abs(view.toward[axis]) > 1 - 1e-9:
                continue  # seen end on
            foot, begin = _line(view, axis, start)
            free = _visible(view, axis, start, length, near)
            stretches[(axis, *foot)].extend((begin + a, begin + b) for a, b in free)
    return [
        (_at(view, axis, (x, y), a), _at(view, axis, (x, y), b))
        for (axis, x, y), spans in sorted(stretches.items())
        for a, b in _joined(spans)
        if b - a > 5 * _SHRINK  # shrinking leaves tips of that size at corners
    ]


def _outline(view: View, box: Box) -> tuple[tuple[float, float], tuple[float, float]]:
    """Lower left and upper right corner of the box's picture."""
    corners = [view.project((x, y, z)) for x, y, z in product(*zip(*box, strict=True))]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return (min(xs), min(ys)), (max(xs), max(ys))


def hides(view: View, box: Box, point: Sequence[float]) -> bool:
    """True when the box is between the viewer and the point."""
    lo, hi = 0.0, _FAR
    for axis in range(3):
        span = _run(point[axis], view.toward[axis], box[0][axis] + _SHRINK, box[1][axis] - _SHRINK)
        if span is None:
            return False
        lo, hi = max(lo, span[0]), min(hi, span[1])
    return hi > max(lo, 0.0) + _SHRINK


def _visible(view: View, axis: int, start: Vector, length: float, occluders: Iterable[Box]) -> list[Span]:
    free: list[Span] = [(0.0, length)]
    for box in occluders:
        hidden = _hidden(view, axis, start, length, box)
        if hidden is not None:
            free = [piece for span in free for piece in _minus(span, hidden)]
            if not free:
                break
    return free


def _hidden(view: View, axis: int, start: Vector, length: float, box: Box) -> Span | None:
    """The stretch (from the start of the edge) that the box hides, or None."""
    near, far = 0.0, _FAR
    for other in range(3):
        if other != axis:
            span = _run(start[other], view.toward[other], box[0][other] + _SHRINK, box[1][other] - _SHRINK)
            if span is None:
                return None
            near, far = max(near, span[0]), min(far, span[1])
    if far <= near:
        return None
    v, p = view.toward[axis], start[axis]
    lo, hi = box[0][axis] + _SHRINK - p, box[1][axis] - _SHRINK - p
    drift = (near * v, far * v)  # how far the ray moves along the edge's axis while it may be in the box
    a, b = max(lo - max(drift), 0.0), min(hi - min(drift), length)
    return (a, b) if b - a > _SHRINK else None


def _run(p: float, v: float, lo: float, hi: float) -> Span | None:
    """For which s is lo <= p + s v <= hi; None where for none."""
    if lo >= hi:
        return None
    if abs(v) < 1e-12:
        return (-_FAR, _FAR) if lo < p < hi else None
    a, b = (lo - p) / v, (hi - p) / v
    return (min(a, b), max(a, b))


def _edges(box: Box) -> Iterable[tuple[int, Vector, float]]:
    """The twelve edges as (axis, start, length)."""
    lo, hi = box
    for axis in range(3):
        one, two = (axis + 1) % 3, (axis + 2) % 3
        for a in (lo[one], hi[one]):
            for b in (lo[two], hi[two]):
                start = [0.0, 0.0, 0.0]
                start[axis], start[one], start[two] = lo[axis], a, b
                yield axis, (start[0], start[1], start[2]), hi[axis] - lo[axis]


def _line(view: View, axis: int, start: Vector) -> tuple[tuple[int, int], float]:
    """The whole line of an edge on paper: its point nearest the origin, and where on it the edge begins.

    Edges that lie behind each other get the same point, so that their stretches can be joined.
    """
    x, y = view.project(start)
    dx, dy = _along(view, axis)
    begin = (x * dx + y * dy) / (dx * dx + dy * dy)
    return (round(x - begin * dx), round(y - begin * dy)), begin


def _along(view: View, axis: int) -> tuple[float, float]:
    return view.right[axis], view.up[axis]


def _at(view: View, axis: int, foot: tuple[int, int], run: float) -> tuple[float, float]:
    dx, dy = _along(view, axis)
    return foot[0] + run * dx, foot[1] + run * dy


def _joined(spans: list[Span]) -> list[Span]:
    out: list[Span] = []
    for a, b in sorted(spans):
        if out and a <= out[-1][1] + _SHRINK:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def _minus(span: Span, hidden: Span) -> list[Span]:
    a, b = span
    lo, hi = hidden
    if hi <= a or lo >= b:
        return [span]
    return [(x, y) for x, y in ((a, lo), (hi, b)) if y - x > _SHRINK]


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]

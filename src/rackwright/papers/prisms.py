"""Pieces that lie askew, in a view: prisms with two parallel caps, as braces and gussets are.

What stands clear before everything in a view covers what is behind it: its faces are painted, the farthest prism first.
One that something hides in part is drawn by its visible edges only, found point by point; what lies behind such a one
shows through.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rackwright.papers.rack_views import Placed
from rackwright.papers.shapes import Prism
from rackwright.papers.sketch import Sheet
from rackwright.papers.views import Box, View, hides

__all__ = ["draw_prisms", "middle_of"]

Vector = tuple[float, ...]
POINTS = 80  # along an edge


def draw_prisms(
    sheet: Sheet, where: Placed, prisms: Sequence[Prism], boxes: Sequence[Box], pen: float
) -> None:
    """All of them, the farthest first."""
    view = where.view
    for prism in sorted(prisms, key=lambda one: _dot(middle_of(one), view.toward)):
        faces = list(_faces(prism))
        if not any(hides(view, box, point) for box in boxes for point in _samples(prism, view)):
            for face in faces:
                sheet.poly([where.paper(point) for point in face], 0.01, "#fff", colour="#fff")
        for a, b in _seen_edges(prism, view):
            for start, end in _visible(view, boxes, a, b):
                sheet.line(where.paper(start), where.paper(end), pen)


def middle_of(prism: Prism) -> Vector:
    """The middle of its corners."""
    count = len(prism.cap_nm)
    return tuple(sum(point[i] for point in prism.cap_nm) / count + prism.rise_nm[i] / 2 for i in range(3))


def _caps(prism: Prism) -> tuple[list[Vector], list[Vector]]:
    low: list[Vector] = [tuple(map(float, point)) for point in prism.cap_nm]
    return low, [tuple(p + r for p, r in zip(point, prism.rise_nm, strict=True)) for point in low]


def _faces(prism: Prism) -> Iterator[list[Vector]]:
    low, high = _caps(prism)
    yield low
    yield high
    for n in range(len(low)):
        m = (n + 1) % len(low)
        yield [low[n], low[m], high[m], high[n]]


def _samples(prism: Prism, view: View) -> list[Vector]:
    """Its corners and middle on the cap that is nearer to the viewer."""
    low, high = _caps(prism)
    near = high if _dot(prism.rise_nm, view.toward) >= 0 else low
    middle = tuple(sum(point[i] for point in near) / len(near) for i in range(3))
    return [*(_between(point, middle, 0.02) for point in near), middle]


def _seen_edges(prism: Prism, view: View) -> Iterator[tuple[Vector, Vector]]:
    """Edges of the faces that are turned to the viewer."""
    drawn = set()
    inside = middle_of(prism)
    for face in _faces(prism):
        normal = _normal(face)
        if _dot(normal, tuple(f - m for f, m in zip(face[0], inside, strict=True))) < 0:
            normal = tuple(-value for value in normal)
        if _dot(normal, view.toward) <= 1e-9:
            continue
        for a, b in zip(face, [*face[1:], face[0]], strict=True):
            if frozenset((a, b)) not in drawn:
                drawn.add(frozenset((a, b)))
                yield a, b


def _visible(view: View, boxes: Sequence[Box], a: Vector, b: Vector) -> Iterator[tuple[Vector, Vector]]:
    """Stretches of an edge that no box hides."""
    begin: Vector | None = None
    for n in range(POINTS):
        start, end = _between(a, b, n / POINTS), _between(a, b, (n + 1) / POINTS)
        hidden = any(hides(view, box, _between(start, end, 0.5)) for box in boxes)
        if hidden and begin is not None:
            yield begin, start
            begin = None
        elif not hidden and begin is None:
            begin = start
    if begin is not None:
        yield begin, b


def _normal(face: Sequence[Vector]) -> Vector:
    (u, v, w), (x, y, z) = (tuple(q - p for p, q in zip(face[0], face[n], strict=True)) for n in (1, 2))
    return v * z - w * y, w * x - u * z, u * y - v * x


def _between(a: Sequence[float], b: Sequence[float], share: float) -> Vector:
    return tuple(p + (q - p) * share for p, q in zip(a, b, strict=True))


def _dot(a: Sequence[float], b: Sequence[float]) -> float:
    return sum(p * q for p, q in zip(a, b, strict=True))

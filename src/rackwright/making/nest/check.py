"""What is wrong with a layout, from its numbers alone: border, web, overlap, grain, cut-outs, remnants.

Independent of whoever packed it: outlines are taken as lines and arcs (`distance.py`), never as the packer's polygons.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rackwright.making.flat import Flat, Segment
from rackwright.making.nest.distance import distance, farthest, inside
from rackwright.making.nest.layout import Layout, Outline, Placed
from rackwright.shop.machines import PlateCut

__all__ = ["check_layout"]

FLOAT = 1e-3  # nm, far below what floats leave uncertain


def check_layout(layout: Layout, flats: Mapping[str, Flat], cut: PlateCut) -> list[str]:
    """Every fault of a layout in words; empty when it is sound."""
    border = _lines(layout.border)
    shapes = [(one, flats[one.slot.part], one.outline(flats[one.slot.part])) for one in layout.placed]
    wrong: list[str] = []
    for one, flat, outline in shapes:
        name = f"{one.slot.piece} of rack {one.slot.rack}"
        if one.size != _size(flat, one.turned):
            wrong.append(f"{name} is not of the size of its flat")
        if one.turned not in flat.turns:
            wrong.append(f"{name} lies across the grain: turned {one.turned}°")
        if not inside(outline[0].start, border) or distance(outline, border, cut.edge) < cut.edge - FLOAT:
            wrong.append(f"{name} reaches into the border of {layout.item}")
    for n, (one, flat, outline) in enumerate(shapes):
        for two, other, another in shapes[:n]:
            if _boxes_apart(one, two) < cut.gap:
                wrong += _pair((one, flat, outline), (two, other, another), cut.gap)
    rests = [_lines(rest) for rest in layout.rests]
    wrong += _rests(layout, rests, shapes, border, cut)
    return wrong


Shape = tuple[Placed, Flat, Sequence[Segment]]


def _pair(a: Shape, b: Shape, gap: int) -> Iterator[str]:
    names = f"{a[0].slot.piece} of rack {a[0].slot.rack} and {b[0].slot.piece} of rack {b[0].slot.rack}"
    for (_, _, inner), (placed, flat, outer) in ((a, b), (b, a)):
        if inside(inner[0].start, outer) and not _in_cut_out(inner, placed, flat, gap):
            yield f"{names} overlap"
            return
        if inside(inner[0].start, outer):
            return  # lies in its cut-out, a web from its edge
    apart = distance(a[2], b[2], gap)
    if apart < gap - FLOAT:
        yield f"{names} are {apart:.0f} nm apart, {gap} are needed"


def _in_cut_out(inner: Sequence[Segment], placed: Placed, flat: Flat, gap: int) -> bool:
    return any(farthest(inner, hole.at) <= hole.cut / 2 - gap + FLOAT for hole in placed.holes(flat))


def _rests(
    layout: Layout,
    rests: Sequence[Sequence[Segment]],
    shapes: Sequence[Shape],
    border: Sequence[Segment],
    cut: PlateCut,
) -> Iterator[str]:
    for n, rest in enumerate(rests, start=1):
        if any(not _held(corner, border) for corner in layout.rests[n - 1]):
            yield f"remnant {n} of {layout.item} reaches beyond the plate"
        for one, _, outline in shapes:
            covered = inside(outline[0].start, rest) or inside(rest[0].start, outline)
            if covered or distance(rest, outline, cut.gap) < cut.gap - FLOAT:
                yield f"remnant {n} of {layout.item} is less than a web apart from {one.slot.piece}"
        if any(inside(other[0].start, rest) or inside(rest[0].start, other) for other in rests[: n - 1]):
            yield f"two remnants of {layout.item} overlap"


def _held(corner: tuple[int, int], border: Sequence[Segment]) -> bool:
    point = (Segment(corner, corner),)
    return inside(corner, border) or distance(point, border) <= FLOAT


def _lines(outline: Outline) -> tuple[Segment, ...]:
    return tuple(Segment(a, b) for a, b in zip(outline, (*outline[1:], outline[0]), strict=True))


def _size(flat: Flat, turned: int) -> tuple[int, int]:
    return flat.size if turned in (0, 180) else (flat.size[1], flat.size[0])


def _boxes_apart(a: Placed, b: Placed) -> int:
    return max(max(a.at[i] - b.end[i], b.at[i] - a.end[i]) for i in (0, 1))

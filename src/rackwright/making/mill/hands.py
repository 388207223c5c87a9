"""Blocks are handed: a mirror image has another program.

With the grain along the post two blocks are the same piece only when a half turn about the post brings one into the
other; a reflection makes a mirror image.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rackwright.making.mill.block import BlockLine, inward
from rackwright.pieces.model import Box, Piece

__all__ = ["handed", "shape_of"]


def shape_of(piece: Piece, line: BlockLine) -> tuple[object, ...]:
    """The block in a right-handed frame of its own: z along the post, inward; x and y change places if they must."""
    ways, cube = inward(piece), piece.boxes[0]
    order = (0, 1, 2) if ways[0] * ways[1] * ways[2] > 0 else (1, 0, 2)

    def span(box: Box) -> tuple[tuple[int, int], ...]:
        ends = [(box.lo[i] - cube.lo[i], box.hi[i] - cube.lo[i]) if ways[i] > 0
                else (cube.hi[i] - box.hi[i], cube.hi[i] - box.lo[i]) for i in range(3)]  # fmt: skip
        return tuple(ends[i] for i in order)

    names = dict(zip((("x", "y", "z")[i] for i in order), "xyz", strict=True))
    holes = sorted(
        (names[hole.axis], tuple(hole.at[i] for i in order), hole.depth, hole.diameter) for hole in line.holes
    )
    return line.design, line.stock, tuple(sorted(span(box) for box in piece.walls)), tuple(holes)


def _mirrored(shape: object) -> tuple[object, ...]:
    """The shape with x and y changed."""
    assert isinstance(shape, tuple)
    design, stock, boxes, holes = shape
    swap = {"x": "y", "y": "x", "z": "z"}
    flipped = sorted((swap[axis], (at[1], at[0], at[2]), depth, wide) for axis, at, depth, wide in holes)
    return design, stock, tuple(sorted((box[1], box[0], box[2]) for box in boxes)), tuple(flipped)


def handed(lines: Sequence[BlockLine], shapes: dict[str, object]) -> tuple[BlockLine, ...]:
    found: list[BlockLine] = []
    first: dict[object, str] = {}
    for line in sorted(lines, key=lambda one: one.part):
        shape = shapes[line.part]
        first.setdefault(shape, line.part)
        over = _mirrored(shape)
        mirror = tuple(part for part in sorted(shapes) if shapes[part] == over and over != shape)
        found.append(replace(line, same_as=first[shape], mirror=mirror))
    return tuple(found)

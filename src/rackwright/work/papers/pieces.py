"""Piece sheets: a page for each part that the saw cuts, its holes read from the piece, face by face, from end A.

A face is seen from outside with end A at the left, so with outward normal n and axis a of the piece, up is n × a;
the next face is the one that lies above it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from rackwright.design import Design
from rackwright.making.inspected import characteristics_of
from rackwright.papers.drawing import PieceHole, PieceSketch, draw_pieces
from rackwright.papers.lengths import inches
from rackwright.pieces.brace_pieces import tube_of
from rackwright.pieces.characteristics import hole_stations
from rackwright.pieces.model import Box, Hole, Piece, axis_index
from rackwright.pieces.slab import XY
from rackwright.shop import Shop
from rackwright.work.papers.drawing import KINDS, part_title, parts_of
from rackwright.work.papers.words import head, must_fit, side_of

__all__ = ["piece_sketches", "shared", "sketches"]

#: what a bolt's holes are for, by the first word of its id
USES = {"joint": "block joint", "shelf": "shelf angle", "rail": "rail", "panel": "panel",
        "equipment": "equipment", "pad": "pad", "brace": "gusset", "vent": "vent"}  # fmt: skip
LETTER_HOLES = 26  # as many as find room on a letter sheet


def sketches(design: Design, shop: Shop | None, date: str, demo: bool = False) -> bytes:
    """A page for each part number that the saw cuts, PDF; an angle with unlike legs has one for each leg.

    Raises Stopped with the faults of a design that cannot be built.
    """
    pages, d = piece_sketches(design, shop), design.rack.definition
    plain = head(design, shop, "Piece sheets", f"{d.drawing}-P", date, demo)
    most = max((len(page.holes) for page in pages), default=0)
    paper = "us-letter" if most <= LETTER_HOLES else "us-tabloid"  # the table of holes decides the sheet
    return draw_pieces(replace(plain, paper=paper), pages)


def piece_sketches(design: Design, shop: Shop | None, balloon: bool = False) -> tuple[PieceSketch, ...]:
    """What the piece sheets show, as plain data; with `balloon` characteristics are numbered. Raises as `sketches`."""
    must_fit(design)
    asked = characteristics_of(design, shop)
    numbers = {one.id: one.number for one in asked}
    return tuple(
        page
        for pieces in parts_of(design).values()
        if pieces[0].length is not None
        for page in _sketch(design, pieces, numbers, balloon)
    )


def _sketch(
    design: Design, pieces: Sequence[Piece], numbers: Mapping[str, int], balloon: bool
) -> Iterator[PieceSketch]:
    piece, tube = pieces[0], design.rack.definition.tube
    assert piece.length is not None
    if piece.slab is not None:
        yield _askew(design, pieces, numbers, balloon)
        return
    assert piece.axis is not None
    square = piece.kind in KINDS
    faces = _tube_faces(piece) if square else _leg_faces(piece)
    wall = tube.wall if square else min(box.size(i) for box in piece.walls for i in range(3))
    holes = [(n, face, hole) for n, face in enumerate(faces) for hole in piece.holes if face.holds(hole)]
    assert len(holes) == len(piece.holes)
    notes = (
        f"End A is the {_END[piece.axis]} end. Faces are named as in place: {_places(pieces)}.",
        f"{len(pieces)} a rack. {piece.section}, {piece.stock}.",
        *piece.notes,
        f"Length is characteristic {_numbers(pieces, 'length', numbers)}; numbers in brackets are those of holes.",
        *(() if square else (_HEEL,)),
        *(
            f"Trimmed leg is characteristic {one}."
            for one in [_numbers(pieces, "trimmed leg", numbers)]
            if one
        ),
        "Deburr both sides; identity on the piece before it leaves the saw.",
    )
    sheets = [faces] if len({face.wide for face in faces}) == 1 else [(face,) for face in faces]
    names = (*(face.name for face in faces), "–", "–")
    for shown in sheets:
        of = tuple(_hole(pieces, n, face, hole, numbers, balloon) for n, face, hole in holes if face in shown)
        title = f"{part_title(design, pieces)}, {piece.section}" + (
            f", {shown[0].name}" if len(sheets) > 1 else ""
        )
        named = [shared(pieces, name, numbers) if balloon else "" for name in ("length", "film")]
        yield PieceSketch(piece.id, piece.part, title, piece.length, shown[0].wide, of, wall if square else 0, notes,
                          (names[0], names[1], names[2], names[3]), named[0], named[1])  # fmt: skip


def _askew(design: Design, pieces: Sequence[Piece], numbers: Mapping[str, int], balloon: bool) -> PieceSketch:
    """A brace: the two faces that its bolts pass, end A its start; the second as it is rolled half a turn."""
    piece, slab, tube = pieces[0], pieces[0].slab, tube_of(design.rack, pieces[0])
    assert slab is not None
    assert piece.length is not None
    hand = -1 if slab.normal == 1 else 1  # x and z go round y the other way

    def aside(point: XY) -> float:
        """To the left of its way, seen from the end of the normal's axis."""
        return hand * slab.own(point)[1]

    edges = []
    for side in (-1, 1):
        along = sorted(slab.own(corner)[0] for corner in slab.hull if side * aside(corner) > 0)
        edges.append((round(along[0]), round(along[-1])))
    signs = {"+": 0, "-": 2}
    holes = tuple(
        PieceHole(signs[hole.face[0]], slab.station(hole.centre),
                  round(aside(slab.flat(hole.centre)) * (1 if hole.face[0] == "+" else -1)), hole.diameter,
                  _use(pieces, hole, numbers), _station(pieces, slab.station(hole.centre), numbers) if balloon else "")
        for hole in sorted(piece.holes, key=lambda one: (one.face[0] == "-", slab.station(one.centre)))
    )  # fmt: skip
    notes = (
        f"End A is the start, along is from its tip. Faces are named as in place: {_places(pieces)}.",
        f"{len(pieces)} a rack. {piece.section}, {piece.stock}.",
        *piece.notes,
        f"Length, tip to tip, is characteristic {_numbers(pieces, 'length', numbers)}; in brackets are those of holes.",
        "Deburr both sides; identity on the piece before it leaves the saw.",
    )
    names = (side_of(f"+{'xyz'[slab.normal]}"), "–", side_of(f"-{'xyz'[slab.normal]}"), "–")
    title = f"{part_title(design, pieces)}, {piece.section}"
    named = [shared(pieces, name, numbers) if balloon else "" for name in ("length", "film")]
    return PieceSketch(piece.id, piece.part, title, piece.length, tube.side, holes, tube.wall, notes, names,
                       named[0], named[1], (edges[0], edges[1]))  # fmt: skip


def _use(pieces: Sequence[Piece], hole: Hole, numbers: Mapping[str, int]) -> str:
    balloons = _numbers(pieces, f"hole {hole.bolt}", numbers) if len(pieces) == 1 else ""
    return USES.get(hole.bolt.split(".")[0], "") + (f" [{balloons}]" if balloons else "")


_HEEL = "Each leg is seen from outside; across is measured from the heel, the outside of the other leg: see the notes."
_END = {"x": "left", "y": "front", "z": "lower"}


class _Face:
    """A face seen from outside with end A at the left: outward axis and sign, the axis that points up, its span."""

    def __init__(self, box: Box, along: int, out: int, sign: int, name: str, heel: int | None = None) -> None:
        normal, way = np.zeros(3), np.zeros(3)
        normal[out], way[along] = sign, 1.0
        up = np.cross(normal, way)
        self.box, self.out, self.sign, self.name, self.heel = box, out, sign, name, heel
        self.across = int(np.argmax(np.abs(up)))
        self.up = 1 if up[self.across] > 0 else -1
        self.wide = box.size(self.across)

    def holds(self, hole: Hole) -> bool:
        """Is this hole through the wall behind this face? (Its centre lies in the middle of that wall.)"""
        return (
            axis_index(hole.face) == self.out
            and self.box.lo[self.out] <= hole.centre[self.out] <= self.box.hi[self.out]
        )

    def height(self, hole: Hole) -> int:
        """Distance above the middle of the face."""
        middle = (self.box.lo[self.across] + self.box.hi[self.across]) // 2
        return self.up * (hole.centre[self.across] - middle)


def _tube_faces(piece: Piece) -> tuple[_Face, ...]:
    """The four walls, each next one being the one that lies above the last."""
    along, box = axis_index(piece.axis or "z"), piece.boxes[0]
    faces: list[_Face] = []
    out, sign = (along + 1) % 3, -1
    for _ in range(4):
        half = (box.lo[out] + box.hi[out]) // 2
        lo, hi = list(box.lo), list(box.hi)
        (hi if sign < 0 else lo)[out] = half
        face = _Face(
            Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2])),
            along,
            out,
            sign,
            side_of(f"{'-' if sign < 0 else '+'}{'xyz'[out]}"),
        )
        faces.append(face)
        out, sign = face.across, face.up
    return tuple(faces)


def _leg_faces(piece: Piece) -> tuple[_Face, ...]:
    """The two legs from outside, the second lying above the first at the heel."""
    along, legs = axis_index(piece.axis or "z"), piece.walls
    thin = [min((box.size(i), i) for i in range(3))[1] for box in legs]
    faces = []
    for n, box in enumerate(legs):
        other, out = legs[1 - n], thin[n]
        sign = -1 if other.hi[out] > box.hi[out] else 1
        side = thin[1 - n]
        heel = box.lo[side] if other.lo[side] == box.lo[side] else box.hi[side]
        faces.append(_Face(box, along, out, sign, side_of(f"{'-' if sign < 0 else '+'}{'xyz'[out]}"), heel))
    one, two = faces
    follows = one.across == two.out and one.up == two.sign
    return (one, two) if follows else (two, one)


def _hole(
    pieces: Sequence[Piece], number: int, face: _Face, hole: Hole, numbers: Mapping[str, int], balloon: bool
) -> PieceHole:
    piece = pieces[0]
    along = axis_index(piece.axis or "z")
    use = USES.get(hole.bolt.split(".")[0], "")
    use += f", tapped {hole.thread}" if hole.thread else ""
    if face.heel is not None:
        across = _across(pieces, hole, numbers)
        across = across and f" [{across}]"
        use = f"heel {inches(abs(hole.centre[face.across] - face.heel))}{across}; {use}"
    balloons = _numbers(pieces, f"hole {hole.bolt}", numbers) if len(pieces) == 1 else ""
    use += f" [{balloons}]" if balloons else ""
    return PieceHole(number, hole.centre[along] - piece.lo[along], face.height(hole), hole.diameter, use,
                     _station(pieces, hole.centre[along] - piece.lo[along], numbers) if balloon else "")  # fmt: skip


def _numbers(pieces: Sequence[Piece], name: str, numbers: Mapping[str, int]) -> str:
    """Numbers of a characteristic on the inspection list, one for each piece of the part."""
    found = [numbers[f"{piece.id}/{name}"] for piece in pieces if f"{piece.id}/{name}" in numbers]
    return ", ".join(map(str, found))


def shared(pieces: Sequence[Piece], name: str, numbers: Mapping[str, int]) -> str:
    """The numbers of a characteristic, one for each piece of the part, as a balloon holds them."""
    return _numbers(pieces, name, numbers).replace(", ", "·")


def _station(pieces: Sequence[Piece], along: int, numbers: Mapping[str, int]) -> str:
    """Numbers of all holes of the part's pieces at this distance from end A: bolts have names of their own in each."""
    found = {
        numbers.get(f"{piece.id}/hole {bolt}", 0)
        for piece in pieces
        for bolt, at in hole_stations(piece).items()
        if at == along
    }
    return "·".join(map(str, sorted(found - {0})))


def _across(pieces: Sequence[Piece], hole: Hole, numbers: Mapping[str, int]) -> str:
    """Numbers of the distances across of the holes at this place of an angle, of each of the part's pieces."""
    at = pieces[0].station(hole.centre)
    alike = [(piece, other.bolt) for piece in pieces for other in piece.holes
             if (other.face, piece.station(other.centre)) == (hole.face, at)]  # fmt: skip
    found = [numbers.get(f"{piece.id}/hole {bolt} across", 0) for piece, bolt in alike]
    return "·".join(str(number) for number in found if number)


def _places(pieces: Sequence[Piece]) -> str:
    return ", ".join(piece.id for piece in pieces)

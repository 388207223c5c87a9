"""Drawings of a rack: the arrangement with its parts, and a sketch of every piece that the saw cuts.

Solids are the pieces' own boxes and the equipment's bodies and keep-outs; rings stand where the definition puts
their eyes, straps run from there to the floor fittings. Holes are read from the pieces, face by face, from end A.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from rackwright.design import Design
from rackwright.papers.drawing import (
    Fitting,
    Level,
    PartRow,
    PieceHole,
    PieceSketch,
    RackDrawing,
    Ring,
    Solid,
    Strap,
    draw_pieces,
    draw_rack,
)  # fmt: skip
from rackwright.papers.lengths import inches, length
from rackwright.pieces.characteristics import characteristics
from rackwright.pieces.fit import equipment_boxes
from rackwright.pieces.model import Box, Hole, Piece, Point, axis_index
from rackwright.pieces.tiedown import ring_place
from rackwright.rack.model import FloorFitting
from rackwright.rack.orient import SIGNS
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY, UNCONFIRMED
from rackwright.work.paper_words import axis, head, in_unit, must_fit, number, short_names, side_of

__all__ = ["draw", "rack_drawing", "sketches"]

KINDS = {"post": "tube", "width": "tube", "depth": "tube", "panel": "shelf"}
#: what a bolt's holes are for, by the first word of its id
USES = {"joint": "block joint", "shelf": "shelf angle", "rail": "rail", "panel": "panel",
        "equipment": "equipment", "pad": "pad", "vent": "vent"}  # fmt: skip


def draw(design: Design, shop: Shop, date: str, demo: bool = False) -> bytes:
    """The rack's drawing, PDF. Raises Stopped with the faults of a design that cannot be built."""
    return draw_rack(rack_drawing(design, shop, date, demo))


def rack_drawing(design: Design, shop: Shop, date: str, demo: bool = False) -> RackDrawing:
    """What the drawing shows, as plain data. Raises as `draw`."""
    must_fit(design)
    d = design.rack.definition
    items = {part: str(n) for n, part in enumerate(_parts(design), start=1)}
    nose = np.zeros(3)
    if d.aircraft is not None:
        nose["xyz".index(d.aircraft.forward[1])] = 1.0 if d.aircraft.forward[0] == "+" else -1.0
    else:
        nose[1] = -1.0
    return RackDrawing(
        head(design, shop, d.title, d.drawing, date, demo),
        tuple(_solids(design, items)),
        tuple(_part_rows(design, shop, items)),
        (float(nose[0]), float(nose[1]), float(nose[2])),
        rings=tuple(_rings(design, items)),
        straps=tuple(_straps(design)),
        fittings=tuple(Fitting(one.name, one.at, _rating(one)) for one in d.floor_fitting),
        levels=tuple(_levels(design)),
        notes=tuple(_notes(design)),
        tolerances=tuple(_tolerances(design, shop)),
    )


# --- what is drawn -------------------------------------------------------------------------------


def _parts(design: Design) -> dict[str, list[Piece]]:
    """Pieces by part number, in the order they are made."""
    parts: dict[str, list[Piece]] = {}
    for piece in design.pieces.made:
        parts.setdefault(piece.part, []).append(piece)
    return parts


def _solids(design: Design, items: dict[str, str]) -> Iterator[Solid]:
    for piece in design.pieces.made:
        for n, box in enumerate(piece.boxes):
            kind = KINDS.get(piece.kind, piece.kind)
            yield Solid(f"{piece.id}.{n}", kind, piece.id, box.lo, box.hi, items[piece.part])
    for item in design.rack.definition.equipment:
        for n, (path, box) in enumerate(equipment_boxes(design.rack, item)):
            label = item.name.upper() if path.endswith(".size") else ""
            yield Solid(f"{item.name}.{n}", "keep-out", label, box.lo, box.hi)


def _rings(design: Design, items: dict[str, str]) -> Iterator[Ring]:
    short = short_names("R", [ring.name for ring in design.rack.definition.ring])
    for ring in design.rack.definition.ring:
        place = ring_place(design.rack, ring)
        x, y, z = (float(v) for v in place.leg)
        yield Ring(
            short[ring.name], _nm(place.eye), (x, y, z), items[design.pieces.get(f"ring.{ring.name}").part]
        )


def _straps(design: Design) -> Iterator[Strap]:
    d = design.rack.definition
    rings = {ring.name: ring for ring in d.ring}
    fittings = {one.name: one for one in d.floor_fitting}
    short = short_names("S", [strap.name for strap in d.strap])
    for strap in d.strap:
        eye = ring_place(design.rack, rings[strap.ring]).eye
        yield Strap(short[strap.name], _nm(eye), fittings[strap.fitting].at)


def _levels(design: Design) -> Iterator[Level]:
    d = design.rack.definition
    for shelf in d.shelf:
        yield Level(f"shelf {shelf.name}", shelf.height)
    if d.rails is not None:
        yield Level("rail unit 1", d.rails.bottom)
    yield Level("top of frame", d.outside.height)


def _nm(point: Sequence[float] | np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Point:
    x, y, z = (round(float(v) * 1e9) for v in point)
    return x, y, z


def _rating(fitting: FloorFitting) -> str:
    if not fitting.allowable:
        return f"not stated; {fitting.document or 'no document'}"
    points = ", ".join(
        f"{in_unit(one.allowable_ultimate, 'lbf', 0, unit=False)} at {in_unit(one.pull, 'deg', 0, unit=False)}°"
        for one in fitting.allowable
    )
    return f"{points} (ultimate, lbf); {fitting.document or 'no document'}"


# --- tables and notes ----------------------------------------------------------------------------


def _part_rows(design: Design, shop: Shop, items: dict[str, str]) -> Iterator[PartRow]:
    unit = shop.style.unit
    for part, pieces in _parts(design).items():
        first = pieces[0]
        cut = "" if first.length is None else f"{length(first.length, unit)} {unit}"
        yield PartRow(items[part], part, _title(design, pieces), str(len(pieces)), _stock(design, first), cut)
    item = len(items)
    for part, description, quantity in _hardware(design):
        item += 1
        yield PartRow(str(item), part, description, str(quantity))


def _title(design: Design, pieces: Sequence[Piece]) -> str:
    """What a part is, without the place where it is used in several; a ring with its mark in the views."""
    first = pieces[0]
    if first.kind == "ring":
        short = short_names("R", [ring.name for ring in design.rack.definition.ring])
        rings = {f"ring.{name}": mark for name, mark in short.items()}
        named = ", ".join(f"{rings[piece.id]} {piece.id.removeprefix('ring.')}" for piece in pieces)
        return ", ".join((f"tie-down ring {named}", *first.notes))
    word = first.title.split(",")[0] if len(pieces) > 1 else first.title
    along = {"width": "along the width", "depth": "along the depth"}.get(first.kind, "")
    hand = first.id.rpartition(".")[2] if first.kind == "angle" and len(pieces) > 1 else ""
    words = [word, along or hand, *(note for note in first.notes if first.kind != "block")]
    return ", ".join(filter(None, words))


def _stock(design: Design, piece: Piece) -> str:
    if piece.kind == "ring":
        make = design.rack.definition.ring_make
        given = make.allowable.document if make and make.allowable else "material not stated"
        return f"{piece.section}; {given}"
    return f"{piece.section}, {piece.stock}"


def _hardware(design: Design) -> Iterator[tuple[str, str, int]]:
    """Bolts with their grip, washers, nuts and spacers: part, description, how many."""
    bolts = design.pieces.bolts
    grips: dict[tuple[str, int], list[int]] = {}
    for bolt in bolts:
        grips.setdefault((bolt.row, bolt.dash), []).append(bolt.grip)
    for (row, dash), stack in sorted(grips.items()):
        least, most = inches(min(stack)), inches(max(stack))
        through = least if least == most else f"{least} to {most}"
        yield f"{row}-{dash}", f"bolt, stack {through} in", len(stack)
    washers: Counter[str] = Counter()
    for bolt in bolts:
        washers[bolt.washer] += bolt.washers
    nuts = Counter(bolt.nut for bolt in bolts)
    spacers = Counter((bolt.row, bolt.spacer) for bolt in bolts if bolt.spacer)
    for part, count in sorted(washers.items()):
        yield part, "washer", count
    for part, count in sorted(nuts.items()):
        yield part, "self-locking nut" if part.startswith("MS21044") else "nut", count
    for (row, nm), count in sorted(spacers.items()):
        yield f"spacer {row}", f"tube spacer in the post, {inches(nm)} in long, for {row}", count


def _notes(design: Design) -> Iterator[str]:
    d = design.rack.definition
    if d.aircraft is not None:
        where = f" by {d.aircraft.document}" if d.aircraft.document else ""
        yield f"Aircraft {d.aircraft.type}: rack {axis(d.aircraft.forward)} points to the nose{where}."
        yield SIGNS
        if d.aircraft.origin is not None:
            at = d.aircraft.origin
            yield (
                f"Datum A lies at station {inches(at.station)}, buttock line {inches(at.buttock_line)}, "
                f"waterline {inches(at.waterline)} in."
            )
    else:
        yield "The orientation in the aircraft is not stated: forward is drawn as rack −y only to be able to draw."
    if d.basis is not None:
        yield f"Basis: 14 CFR {d.basis.rule} as amended by {d.basis.amendment}; {d.basis.document}."
    else:
        yield "No certification basis is entered."
    yield f"Mass {_mass(design)}. Nothing is welded: tubes stand over the spigots of the corner blocks."
    yield "Deburr all holes and ends. Holes are on the piece sheets."
    if design.rack.changes:
        yield f"Variation of {design.rack.standard}; its changes are listed in the dossier."
    if PRELIMINARY in design.marks:
        ids = ", ".join(question.id for question in design.questions)
        yield f"{PRELIMINARY}: open are {ids}."
    if UNCONFIRMED in design.marks:
        yield (
            f"{UNCONFIRMED}: margins behind this design rest on reference rows not yet compared with their "
            "source."
        )


def _tolerances(design: Design, shop: Shop) -> Iterator[str]:
    yield f"Cut lengths ± {inches(shop.saw.cut_tolerance)} in."
    given = design.rack.definition.tolerance
    if given is None:
        yield "Other dimensions are nominal."
        return
    yield (
        f"Holes along a tube ± {inches(given.hole_position)}, spigots ± {inches(given.block)}, outside "
        f"± {inches(given.outside)} in."
    )
    yield (
        f"Ring bend ± {in_unit(given.ring_angle, 'deg', 1, unit=False)}°, leg reach ± {inches(given.ring_reach)} in. "
        f"Two racks differ by at most {inches(given.between_racks)} in."
    )


def _mass(design: Design) -> str:
    bare, full = (number(one.mass / 0.45359237, 1) for one in (design.bare, design.loaded))
    return f"{bare} lb bare, {full} lb with equipment"


# --- sketches of sawn pieces ---------------------------------------------------------------------

LETTER_HOLES = 26  # as many as find room on a letter sheet


def sketches(design: Design, shop: Shop, date: str, demo: bool = False) -> bytes:
    """A page for each part number that the saw cuts, PDF; an angle with unlike legs has one for each leg.

    Raises Stopped with the faults of a design that cannot be built.
    """
    must_fit(design)
    d = design.rack.definition
    asked = characteristics(design.rack, design.pieces, shop.saw.cut_tolerance)
    numbers = {one.id: one.number for one in asked}
    pages = [
        page
        for pieces in _parts(design).values()
        if pieces[0].length is not None
        for page in _sketch(design, pieces, numbers)
    ]
    plain = head(design, shop, "Piece sheets", f"{d.drawing}-P", date, demo)
    most = max((len(page.holes) for page in pages), default=0)
    paper = "us-letter" if most <= LETTER_HOLES else "us-tabloid"  # the table of holes decides the sheet
    return draw_pieces(replace(plain, paper=paper), tuple(pages))


def _sketch(design: Design, pieces: Sequence[Piece], numbers: Mapping[str, int]) -> Iterator[PieceSketch]:
    piece, tube = pieces[0], design.rack.definition.tube
    assert piece.length is not None
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
        *(() if square else ("Each leg is seen from outside; notes give the distance from the heel.",)),
        "Deburr both sides; identity on the piece before it leaves the saw.",
    )
    sheets = [faces] if len({face.wide for face in faces}) == 1 else [(face,) for face in faces]
    names = (*(face.name for face in faces), "–", "–")
    for shown in sheets:
        of = tuple(_hole(pieces, n, face, hole, numbers) for n, face, hole in holes if face in shown)
        title = f"{_title(design, pieces)}, {piece.section}" + (
            f", {shown[0].name}" if len(sheets) > 1 else ""
        )
        yield PieceSketch(piece.id, piece.part, title, piece.length, shown[0].wide, of,
                          wall if square else 0, notes, (names[0], names[1], names[2], names[3]))  # fmt: skip


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
    pieces: Sequence[Piece], number: int, face: _Face, hole: Hole, numbers: Mapping[str, int]
) -> PieceHole:
    piece = pieces[0]
    along = axis_index(piece.axis or "z")
    use = USES.get(hole.bolt.split(".")[0], "")
    if face.heel is not None:
        use = f"heel {inches(abs(hole.centre[face.across] - face.heel))}; {use}"
    balloons = _numbers(pieces, f"hole {hole.bolt}", numbers) if len(pieces) == 1 else ""
    use += f" [{balloons}]" if balloons else ""
    return PieceHole(number, hole.centre[along] - piece.lo[along], face.height(hole), hole.diameter, use)


def _numbers(pieces: Sequence[Piece], name: str, numbers: Mapping[str, int]) -> str:
    """Numbers of a characteristic on the inspection list, one for each piece of the part."""
    found = [numbers[f"{piece.id}/{name}"] for piece in pieces if f"{piece.id}/{name}" in numbers]
    return ", ".join(map(str, found))


def _places(pieces: Sequence[Piece]) -> str:
    return ", ".join(piece.id for piece in pieces)

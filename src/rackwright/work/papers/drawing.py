"""The drawing of a rack: general arrangement, parts, tie-down.

Solids are the pieces' own boxes and the equipment's bodies and keep-outs; rings stand where the definition puts
their eyes, straps run from there to the floor fittings.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from rackwright.design import Design
from rackwright.papers.drawing import (
    Fitting,
    Level,
    PartRow,
    Prism,
    RackDrawing,
    Ring,
    Solid,
    Strap,
    draw_rack,
)  # fmt: skip
from rackwright.papers.lengths import inches, length
from rackwright.pieces.fit import equipment_boxes
from rackwright.pieces.model import Piece, Point
from rackwright.pieces.tiedown import ring_place
from rackwright.rack.finish import Tolerance
from rackwright.rack.model import Aircraft, FloorFitting
from rackwright.rack.orient import SIGNS, aircraft_axes
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY, UNCONFIRMED
from rackwright.work.papers.words import axis, head, in_unit, must_fit, number, points_of, short_names

__all__ = ["KINDS", "detail_tolerances", "draw", "part_title", "parts_of", "rack_drawing"]

KINDS = {"post": "tube", "width": "tube", "depth": "tube", "panel": "shelf", "brace": "tube"}


def draw(design: Design, shop: Shop | None, date: str, demo: bool = False) -> bytes:
    """The rack's drawing, PDF. Raises Stopped with the faults of a design that cannot be built."""
    return draw_rack(rack_drawing(design, shop, date, demo))


def rack_drawing(design: Design, shop: Shop | None, date: str, demo: bool = False) -> RackDrawing:
    """What the drawing shows, as plain data. Raises as `draw`."""
    must_fit(design)
    d = design.rack.definition
    items = {part: str(n) for n, part in enumerate(parts_of(design), start=1)}
    return RackDrawing(
        head(design, shop, d.title, d.drawing, date, demo),
        tuple(_solids(design, items)),
        tuple(_part_rows(design, shop, items)),
        _nose(d.aircraft),
        rings=tuple(_rings(design, items)),
        prisms=tuple(_prisms(design, items)),
        straps=tuple(_straps(design)),
        fittings=tuple(Fitting(one.name, one.at, _rating(one)) for one in d.floor_fitting),
        levels=tuple(_levels(design)),
        notes=tuple(_notes(design)),
        tolerances=tuple(_tolerances(design, shop)),
    )


def _nose(aircraft: Aircraft | None) -> tuple[float, float, float] | None:
    """The rack's direction that points to the aircraft's nose."""
    if aircraft is None:
        return None
    x, y, z = (float(v) for v in aircraft_axes(aircraft.forward)[0])
    return x, y, z


# --- what is drawn -------------------------------------------------------------------------------


def parts_of(design: Design) -> dict[str, list[Piece]]:
    """Pieces by part number, in the order they are made."""
    parts: dict[str, list[Piece]] = {}
    for piece in design.pieces.made:
        parts.setdefault(piece.part, []).append(piece)
    return parts


def _solids(design: Design, items: dict[str, str]) -> Iterator[Solid]:
    for piece in design.pieces.made:
        for n, box in enumerate(piece.solid):
            kind = KINDS.get(piece.kind, piece.kind)
            yield Solid(f"{piece.id}.{n}", kind, piece.id, box.lo, box.hi, items[piece.part])
    for item in design.rack.definition.equipment:
        for n, (path, box) in enumerate(equipment_boxes(design.rack, item)):
            label = item.name.upper() if path.endswith(".size") else ""
            yield Solid(f"{item.name}.{n}", "keep-out", label, box.lo, box.hi)


def _prisms(design: Design, items: dict[str, str]) -> Iterator[Prism]:
    """Braces and gussets by their true outlines."""
    for piece in design.pieces.made:
        slab = piece.slab
        if slab is None:
            continue
        cap = tuple(_whole(slab.rack_point(point, slab.low)) for point in slab.outline)
        rise = _whole(slab.rack_point((0.0, 0.0), slab.high - slab.low))
        yield Prism(piece.id, piece.kind, cap, rise, items[piece.part])


def _whole(point: tuple[float, float, float]) -> Point:
    x, y, z = map(round, point)
    return x, y, z


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
    return f"{points_of(fitting) or 'not stated'}; {fitting.document or 'no document'}"


# --- tables and notes ----------------------------------------------------------------------------


def _part_rows(design: Design, shop: Shop | None, items: dict[str, str]) -> Iterator[PartRow]:
    unit = shop.style.unit if shop else "in"
    for part, pieces in parts_of(design).items():
        first = pieces[0]
        cut = "" if first.length is None else f"{length(first.length, unit)} {unit}"
        yield PartRow(
            items[part], part, part_title(design, pieces), str(len(pieces)), _stock(design, first), cut
        )
    item = len(items)
    for part, description, quantity in _hardware(design):
        item += 1
        yield PartRow(str(item), part, description, str(quantity))


def part_title(design: Design, pieces: Sequence[Piece]) -> str:
    """What a part is, without the place where it is used in several; a ring with its mark in the views."""
    first = pieces[0]
    if first.kind == "ring":
        short = short_names("R", [ring.name for ring in design.rack.definition.ring])
        rings = {f"ring.{name}": mark for name, mark in short.items()}
        named = ", ".join(f"{rings[piece.id]} {piece.id.removeprefix('ring.')}" for piece in pieces)
        return ", ".join((f"tie-down ring {named}", *first.notes))
    words = [_shared([piece.title for piece in pieces])]
    words += [note for note in first.notes if first.kind != "block"]
    return ", ".join(filter(None, words))


def _shared(titles: list[str]) -> str:
    """The words that all titles have: "tube, post front-left" and "... front-right" are "tube, post front"."""
    if len(titles) == 1:
        return titles[0]
    split = [title.replace("-", " ").split() for title in titles]
    return " ".join(word for word in split[0] if all(word in other for other in split)).rstrip(",")


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
    nuts = Counter(bolt.nut for bolt in bolts if bolt.nut)
    anchors = Counter(
        (bolt.anchor.part, bolt.anchor.kind) for bolt in bolts if bolt.anchor and bolt.anchor.part
    )
    spacers = Counter((bolt.row, bolt.spacer) for bolt in bolts if bolt.spacer)
    for part, count in sorted(washers.items()):
        yield part, "washer", count
    for part, count in sorted(nuts.items()):
        yield part, "self-locking nut" if part.startswith("MS21044") else "nut", count
    for (part, kind), count in sorted(anchors.items()):
        yield part, "threaded insert" if kind == "insert" else kind, count
    for (row, nm), count in sorted(spacers.items()):
        inside = "post" if not design.rack.definition.brace else "tubes"
        yield f"spacer {row}", f"tube spacer in the {inside}, {inches(nm)} in long, for {row}", count


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
        yield "The orientation in the aircraft is an open question."
    if d.basis is not None:
        yield f"Basis: {design.rack.rows.load_rules[f'{d.basis.rule}@{d.basis.amendment}'].cited}; {d.basis.document}."
    else:
        yield "No certification basis is entered."
    yield f"Mass {_mass(design)}. Nothing is welded: tubes stand over the spigots of the corner blocks."
    yield "Deburr all holes and ends. Holes are on the piece sheets."
    if design.rack.changes:
        yield f"Variation of {design.rack.standard}; its changes are listed in the dossier."
    if PRELIMINARY in design.marks:
        ids = ", ".join(question.id for question in design.questions)
        yield from (f"{PRELIMINARY}: open are {ids}.",) if ids else ()
        yield from design.asked
    if UNCONFIRMED in design.marks:
        yield (
            f"{UNCONFIRMED}: margins behind this design rest on reference rows not yet compared with their "
            "source."
        )


def _tolerances(design: Design, shop: Shop | None) -> Iterator[str]:
    yield (
        f"Cut lengths ± {inches(shop.saw.cut_tolerance)} in."
        if shop
        else "Cut lengths: as the shop's saw holds them."
    )
    given = design.rack.definition.tolerance
    if given is None:
        yield "Other dimensions are nominal."
        return
    yield (
        f"Holes along a tube ± {inches(given.hole_position)}, spigots ± {inches(given.block)}, outside "
        f"± {inches(given.outside)} in."
    )
    yield detail_tolerances(given)
    yield (
        f"Ring bend ± {in_unit(given.ring_angle, 'deg', 1, unit=False)}°, leg reach ± {inches(given.ring_reach)} in. "
        f"Two racks differ by at most {inches(given.between_racks)} in."
    )


def detail_tolerances(given: Tolerance | None) -> str:
    """The line of a drawing on plates, angles, rails and cut rings: each value as stated, or as which other it is."""
    off = given.detail if given else None
    if given is None or off is None:
        return "Plates, angles, rails: no tolerance is stated; beside cut lengths they are nominal, and not measured."
    own = off.hole_position is not None
    near = f"{inches(off.hole_position or given.hole_position)}{'' if own else ', as along a tube'}"
    thick = f"± {inches(off.thickness, 4)}" if off.thickness else "as its metal is received"
    flat = f", flat within {inches(off.flatness, 4)}" if off.flatness else ""
    outline = inches(off.outline)
    return f"Plates, angles, rails: outlines, a ring's too, ± {outline} in; holes ± {near}; thickness {thick}{flat}."


def _mass(design: Design) -> str:
    bare, full = (number(one.mass / 0.45359237, 1) for one in (design.bare, design.loaded))
    return f"{bare} lb bare, {full} lb with equipment"

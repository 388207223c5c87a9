"""At the table: a plate becomes blanks, and every square nanometre of it is somewhere.

A plate is issued whole for named blanks (`sawing.issue`). When it is cut, blanks, kerf, skeleton and remnants add up to
its area. A remnant inherits heat and certificate, and the grain, for its outline is that of where it lay on the plate,
not turned; it lies inside the plate, beside the others, and has a label that nothing else in the shop carries. Until
then the plate does not leave the table.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rackwright.making.blank import blanks
from rackwright.making.flat import Flat
from rackwright.making.nest import Layout
from rackwright.making.plate import flats_of, kerf_area, metal_area
from rackwright.making.sawing.cutting import Demand
from rackwright.record import Appended, Record, Refs, State, Stock, area_of, state_of
from rackwright.record.outline import Corners
from rackwright.shop import Shop, StockItem
from rackwright.shop.outline import ring_fault
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.work.engineering.frozen import frozen
from rackwright.work.gates import first, no, not_held, person_may, stock_may_be_cut
from rackwright.work.keeping.shop_folder import open_record, place_of
from rackwright.work.metal.labelling import as_read, its_own_label
from rackwright.work.metal.receiving import certificate_of
from rackwright.work.metal.sawing import piece_id
from rackwright.work.people.founding import MACHINING
from rackwright.work.station import Draft, Station, perform
from rackwright.work.stations.bending import with_test_bends

__all__ = [
    "Blank",
    "PlateVisit",
    "Remnant",
    "flats_for",
    "items_as_recorded",
    "profile_cut",
    "visit",
    "visit_of",
    "visit_of_record",
]

NM2 = 1e18  # in a square metre


@dataclass(frozen=True)
class Blank:
    """One blank as cut: its id, its serial, its area with the holes off."""

    piece: str
    serial: str
    area_nm2: int


@dataclass(frozen=True)
class Remnant:
    """What goes back: its id, its corners as it lay on the plate (nm, anticlockwise), its label as read back."""

    stock_id: str
    outline: Corners
    label: str


@dataclass(frozen=True)
class PlateVisit:
    """One plate's visit to the table. `skeleton_nm2` is the scrap between the blanks, the drops of holes with it."""

    stock_id: str
    blanks: tuple[Blank, ...]
    kerf_nm2: int
    skeleton_nm2: int
    remnants: tuple[Remnant, ...]
    machine: str


def profile_cut(station: Station, order: str, done: PlateVisit, act_id: str = "") -> Appended:
    """Record a plate's visit. Refused unless its areas balance and each remnant is one, with a label of its own."""

    def decide(state: State) -> list[Draft] | Refusal:
        names = [blank.piece for blank in done.blanks]
        refused = first(person_may(state, station.person, MACHINING, station.today),
                        stock_may_be_cut(state, done.stock_id, order, names),
                        *_remnants_sound(state, done), _balanced(state, done))  # fmt: skip
        if refused is not None:
            return refused
        body = {
            "stock_id": done.stock_id, "job": order, "kerf_nm2": str(done.kerf_nm2),
            "skeleton_nm2": str(done.skeleton_nm2), "machine": done.machine,
            "pieces": [{"piece": b.piece, "serial": b.serial, "area_nm2": str(b.area_nm2)} for b in done.blanks],
            "remnants": [{"stock_id": r.stock_id, "outline": [list(corner) for corner in r.outline],
                          **as_read(r.label).to_json()} for r in done.remnants],
        }  # fmt: skip
        heat, serials = state.stock[done.stock_id].heat, [blank.serial for blank in done.blanks]
        return [Draft("profile_cut", body, Refs.of(heats=[heat], pieces=names, serials=serials))]

    return perform(station, "profile_cut", decide, act_id)


# --- the gates -----------------------------------------------------------------------------------


def _balanced(state: State, done: PlateVisit) -> Refusal | None:
    plate = state.stock.get(done.stock_id)
    if plate is None:
        return None  # which stock may be cut is another gate's question
    if not plate.outline:
        return no("RW517", done.stock_id, f"{done.stock_id} is no plate", "a bar is cut at the saw")
    parts = [blank.area_nm2 for blank in done.blanks]
    parts += [done.kerf_nm2, done.skeleton_nm2, *(area_of(one.outline) for one in done.remnants)]
    if min(parts) < 0 or sum(parts) != plate.area_nm2:
        found = f"blanks, kerf, skeleton and remnants are {sum(parts)} nm², the plate is {plate.area_nm2} nm²"
        if done.skeleton_nm2 < 0:
            found = f"blanks, kerf and remnants are {-done.skeleton_nm2} nm² more than the plate"
        return no("RW517", done.stock_id, found, "measure the remnants again and correct the entry")
    return None


def _remnants_sound(state: State, done: PlateVisit) -> Iterator[Refusal | None]:
    plate = state.stock.get(done.stock_id)
    for n, one in enumerate(done.remnants):
        before = done.remnants[:n]
        if one.stock_id in state.stock or one.stock_id in [other.stock_id for other in before]:
            yield no("RW517", one.stock_id, f"{one.stock_id} is in the record already", "give it its own id")
        read = as_read(one.label)
        if not read.said:
            yield no("RW517", one.stock_id, f"remnant {one.stock_id} has no label",
                     "label it before the plate leaves the table")  # fmt: skip
        taken = next((other.stock_id for other in before if as_read(other.label).said == read.said), "")
        if taken:
            yield no("RW517", one.stock_id, f"label {read.said} is that of {taken}",
                     "read the label on the remnant itself, or print one")  # fmt: skip
        if plate is not None:
            yield its_own_label(state, one.stock_id, plate.heat, read)
        if plate is not None and plate.outline:
            yield _shape_sound(plate, one, before)


def _shape_sound(plate: Stock, one: Remnant, before: Sequence[Remnant]) -> Refusal | None:
    wrong = ring_fault(one.outline)
    if wrong is not None:
        return no("RW517", one.stock_id, f"remnant {one.stock_id}: {wrong[0]}", wrong[1])
    from shapely import Polygon

    shape = Polygon(one.outline)
    if not Polygon(plate.outline).covers(shape):
        return no("RW517", one.stock_id, f"remnant {one.stock_id} reaches beyond {plate.stock_id}",
                  "give its corners as it lay on the plate, from the plate's low corner")  # fmt: skip
    for other in before:
        if shape.intersects(lies := Polygon(other.outline)) and not shape.touches(lies):
            return no("RW517", one.stock_id, f"remnants {other.stock_id} and {one.stock_id} overlap",
                      "measure both again")  # fmt: skip
    return None


# --- what a visit comes to -----------------------------------------------------------------------


def flats_for(demand: Demand, plate: Stock, shop: Shop) -> dict[str, Flat]:
    """The flat of every part that is cut from plate, rings bent as this plate's heat bends."""
    return flats_of(demand, blanks(demand, [_item(plate)], shop))


def visit(
    plate: Stock, cut: Mapping[str, tuple[str, Flat]], remnants: Sequence[Remnant], kerf: int, machine: str
) -> PlateVisit:
    """A visit of these pieces (id -> serial and flat): areas as the flats have them, what is left is skeleton.

    `kerf` nm. The skeleton comes out below zero where they cannot all have been on the plate; the gate refuses it.
    """
    made = tuple(Blank(id, serial, round(metal_area(flat) * NM2)) for id, (serial, flat) in cut.items())
    taken = sum(round(kerf_area(flat, kerf) * NM2) for _, flat in cut.values())
    gone = sum(blank.area_nm2 for blank in made) + taken + sum(area_of(one.outline) for one in remnants)
    return PlateVisit(plate.stock_id, made, taken, plate.area_nm2 - gone, tuple(remnants), machine)


def visit_of(
    plate: Stock, layout: Layout, flats: Mapping[str, Flat], serials: Sequence[str], shop: Shop
) -> PlateVisit:
    """The visit that a layout comes to when it is cut as planned. Remnants are numbered in the order it names them."""
    assert shop.plate is not None, "a layout is made for a jet"
    cut = {
        piece_id(serials[one.slot.rack - 1], one.slot.piece): (
            serials[one.slot.rack - 1],
            flats[one.slot.part],
        )
        for one in layout.placed
    }
    ids = [f"{plate.stock_id}-R{n}" for n in range(1, len(layout.rests) + 1)]
    rests = [Remnant(id, rest, f"label {id}") for id, rest in zip(ids, layout.rests, strict=True)]
    return visit(plate, cut, rests, shop.plate.kerf, shop.plate.name)


def visit_of_record(
    record: Record, stock_id: str, pieces: Sequence[str], remnants: Sequence[Remnant], machine: str, house: Shop,
    kerf: int | None = None,
) -> PlateVisit:  # fmt: skip
    """The visit of a plate that is signed out: these pieces, or all it was signed out for, with the flats of the frozen
    revision. `house` is the shop where none was frozen, `kerf` (nm) as measured, else the shop's.

    Raises Stopped: RW504 a piece that is not cut from plate, or its flat is not known; and as `frozen`.
    """
    state = state_of(record)
    plate = state.stock.get(stock_id)
    if plate is None or plate.state != "issued" or not plate.outline:
        return PlateVisit(stock_id, (), 0, 0, tuple(remnants), machine)  # which the gate refuses
    held = frozen(record, plate.revision, state)
    shop = with_test_bends(record, state, held.shop or house)
    if kerf is None and shop.plate is None:
        found, do = "the shop has no [plate] with its kerf", "give kerf, as measured today"
        raise Stopped([Fault("RW504", Where("shop.toml", 0, "plate"), found, do)])
    flats = flats_for(((held.design, 1),), plate, shop)
    parts = {piece.id: piece.part for piece in held.design.pieces.made}
    cut, faults = dict[str, tuple[str, Flat]](), []
    for id in pieces or plate.planned:
        serial, _, name = id.partition("/")
        flat = flats.get(parts.get(name, ""))
        if flat is None or (flat.section, flat.stock) != (plate.section, plate.stock_spec):
            found = f"{id} has no flat of {plate.section}, {plate.stock_spec}"
            do = "name a blank of this plate; what a ring's blank needs is told by rackwright plan"
            faults.append(Fault("RW504", Where("the act", 0, "pieces"), found, do))
        else:
            cut[id] = serial, flat
    if faults:
        raise Stopped(faults)
    width = kerf if kerf is not None else shop.plate.kerf if shop.plate else 0
    return visit(plate, cut, remnants, width, machine)


# --- what the next nest is offered ---------------------------------------------------------------


def items_as_recorded(folder: Path | None, items: Sequence[StockItem]) -> tuple[StockItem, ...]:
    """Counted items as given, and plates as the folder's record has them, where it holds one: what was cut or scrapped
    is gone, remnants are there, what is out, held or not accepted may not be used. One not received yet is as given."""
    if folder is None or not place_of(folder).exists():
        return tuple(items)
    with open_record(folder) as record:
        state = state_of(record)
    known = {id: one for id, one in state.stock.items() if one.outline}
    there = [
        _item(one)
        for one in known.values()
        if one.state == "accepted" and not_held(state, stock_id=one.stock_id, heat=one.heat) is None
    ]
    return (*(item for item in items if item.id not in known), *there)


def _item(plate: Stock) -> StockItem:
    long, wide = (max(corner[i] for corner in plate.outline) for i in (0, 1))
    item = StockItem(
        plate.stock_id, plate.form, plate.section, plate.stock_spec, plate.heat, 1, certificate_of(plate.certificate),
        plate.place, "", "", long, wide, None, True, bool(plate.parent),
    )  # fmt: skip
    return item if item.corners == plate.outline else replace(item, outline=plate.outline)

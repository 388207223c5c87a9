"""A small shop for the tests of work and the stories: eight people, a bare frame of 32 pieces, and its record.

The frame is the demo's standard without shelves, rails and equipment. `stage` gives a record in which an order of
two has come as far as its name says; each stage is played once a session, through the verbs, and copied.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import count
from pathlib import Path
from typing import Any

import order_of_three
import racks
from private_postgres import Place
from rackwright import record as records
from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.making.coat import is_coated
from rackwright.making.inspected import characteristics_of
from rackwright.pieces.characteristics import RACK, Characteristic, shown
from rackwright.record import Record, State, project
from rackwright.shop import Certificate, Shop, StockBar, StockItem
from rackwright.units import parse_quantity, to_nm, unit_factor
from rackwright.work.hold_points import points_asked
from rackwright.work.metal.receiving import accept, receive_bar, receive_item
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, piece_id
from rackwright.work.office.ordering import Approval, freeze, order, record_approval, serials
from rackwright.work.people.founding import add_gauge, add_person
from rackwright.work.quality.noting import go_without_report
from rackwright.work.serials.evidence import give
from rackwright.work.serials.releasing import release
from rackwright.work.station import Draft, Station, perform
from rackwright.work.stations.assembling import Tightened, assemble, draw_lot
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, step
from rackwright.work.stations.passports import interchange, record_points
from rackwright.work.stations.signing_off import point_of, sign_off
from rackwright.work.stations.weighing import Weighing, weigh

PEOPLE = {
    "lead": "A. Quill", "stores": "B. Tarrow", "sawyer": "C. Vint", "machinist": "D. Sorley",
    "assembler": "F. Ansty", "inspector": "E. Lund", "engineer": "G. Marl", "checker": "H. Orrest",
}  # fmt: skip
ROLES = {"stores": ["receiving"], "sawyer": ["saw", "inspector"], "machinist": ["machining"],
         "assembler": ["assembly", "inspector"], "inspector": ["inspector"],
         "engineer": ["engineer"], "checker": ["engineer"]}  # fmt: skip
GAUGES = {"length bench": "LB-2", "height gauge": "HG-5", "micrometer": "MI-3", "protractor": "PR-1",
          "film gauge": "FG-9", "bond meter": "BM-4", "torque wrench": "TW-6", "scales": "SC-1",
          "arm": "CM-2", "caliper": "CA-12"}  # fmt: skip
TUBE, TUBE_SPEC, TUBE_HEAT = "SQ 1.5x0.125", "AMS-WW-T-700/6", "H4471"
ORDER, SERIALS = "PO-1", ("SN-1", "SN-2")
DAY = "2026-03-10"
SHOP_FILE = order_of_three.DEMO / "shop.toml"
BURNS = ("flammability of powder PX-21", "flammability of sealant WS-8")
STAGES = ("founded", "stocked", "ordered", "made", "inspected", "assembled", "released")
GOOD_BAKE = "time_min,block_degF,post_degF\n0,70,70\n30,385,385\n60,385,385\n70,90,90\n"


@cache
def design() -> Design:
    """The bare frame: four posts, eight tubes between, eight blocks, rings and pads."""
    return racks.design_of(text())


@cache
def text() -> str:
    """Its definition."""
    tables = re.split(r"\n(?=\[|# ---)", racks.STANDARD)
    left_out = ("[[shelf]]", "[rails]", "[[equipment]]")
    near = (
        'name = "tail rotor',
        'name = "main rotor 4',
    )  # a bare frame's modes lie near: this aircraft has none
    return "\n".join(
        table
        for table in tables
        if not table.startswith(left_out) and not any(name in table for name in near)
    )


def revision() -> str:
    return "ER-47 rev D"


@cache
def shop() -> Shop:
    """The invented shop; no panel hangs in its oven, and the recorder writes once in a while only. Of stock it asks
    the certificate alone: what else a shop may ask is told in stories of its own."""
    made = asks_no_more(order_of_three.shop())
    assert made.oven is not None
    return replace(made, oven=replace(made.oven, probe=made.oven.probe[:2], longest_gap=3600.0))


def asks_no_more(shop: Shop) -> Shop:
    """The shop without what it asks of stock besides the certificate."""
    bare = {"wall_tolerance": None, "conductivity": None, "read": (), "papers": (), "storage": None}
    return replace(shop, specification=tuple(replace(one, **bare) for one in shop.specification))


@cache
def asked() -> tuple[Characteristic, ...]:
    return characteristics_of(design(), shop())


def nm(length: str) -> int:
    return to_nm(parse_quantity(length, "length"))


def characteristic(piece: str, name: str) -> Characteristic:
    return next(one for one in asked() if (one.piece, one.name) == (piece, name))


def certificate(spec: str, heat: str, **values: float) -> Certificate:
    """A certificate 10 % above the least values, or as given in ksi."""
    least = {minimum.name: minimum.value * 1.1 for minimum in shop().minima(spec)}
    given = {name: value * float(unit_factor("ksi")) for name, value in values.items()}
    all_of_it: dict[str, Any] = least | given
    return Certificate(
        f"C-{heat}", "an invented mill", heat, spec, shop().form(spec) or "as ordered", "T6", **all_of_it
    )


def bar(
    id: str, inches: str = "240 in", heat: str = TUBE_HEAT, certified: bool = True, **values: float
) -> StockBar:
    paper = certificate(TUBE_SPEC, heat, **values) if certified else None
    return StockBar(id, TUBE, TUBE_SPEC, "bar", nm(inches), heat, paper, "A1")


def rectangle(long: int, wide: int) -> tuple[tuple[int, int], ...]:
    return (0, 0), (long, 0), (long, wide), (0, wide)


def plate(id: str, long: str, wide: str, heat: str) -> StockItem:
    """A plate that rings are cut from, with a label of its own."""
    ring = next(piece for piece in design().pieces.made if piece.kind == "ring")
    return StockItem(id, "plate", ring.section, ring.stock, heat, 1, certificate(ring.stock, heat), "C2",
                     length_nm=nm(long), width_nm=nm(wide), by_shape=True)  # fmt: skip


def lot(id: str, lot: str, spec: str, number: int, expiry: str = "") -> StockItem:
    return StockItem(id, "lot", spec, spec, "", number, certificate(spec, lot), "D1", lot, expiry)


def items() -> tuple[StockItem, ...]:
    counted = {(p.section, p.stock) for p in design().pieces.made if p.section != TUBE}
    metal = [
        StockItem(f"M-{n}", "blanks", section, spec, f"M{n}001", 40, certificate(spec, f"M{n}001"))
        for n, (section, spec) in enumerate(sorted(counted), 1)
    ]
    lots = [lot("F-1", "LB-61", "AN3-AN20 bolts", 200), lot("X-1", "PX-61", "powder PX-21", 20, "2026-09-30"),
            lot("X-2", "WS-61", "sealant WS-8", 4, "2026-06-30")]  # fmt: skip
    return (*metal, *lots)


def station(record: Record, who: str, day: str = DAY, ids: Iterator[int] | None = None) -> Station:
    """A station with its own clock and act ids that never come twice."""
    numbers = ids or _numbers
    return Station(record, PEOPLE.get(who, who), lambda: f"{day}T09:00:00Z", lambda: f"act {next(numbers)}")


_numbers = count(1)


# --- the stages ----------------------------------------------------------------------------------


def stage(
    name: str, made_in: Path, folder: Path, place: Place = lambda folder: folder / "record.db"
) -> Record:
    """An open record of an own, at that stage. `made_in` keeps the stages that were played. A stage `NAME, held`: its
    revision was frozen with the shop's route, so that its hold points are signed off on the way."""
    home = made_in / name
    if not home.exists():
        base, held, _ = name.partition(", held")
        number = STAGES.index(base)
        work = made_in / f"{name} in work"
        work.mkdir(parents=True)
        record = (
            stage(STAGES[number - 1] + held, made_in, work) if number else records.create(work / "record.db")
        )
        with record:
            globals()[f"_{base}{'_held' if held and base == 'ordered' else ''}"](record)
        work.rename(home)
    path = place(folder)
    if path.name != "record.db":
        return moved(home, path)
    shutil.copytree(home, folder, dirs_exist_ok=True)
    return records.open(path)


def moved(home: Path, path: Path) -> Record:
    """The record of this folder at another place, whichever engine keeps it there, with the files that it names."""
    if (home / "attachments").exists():
        shutil.copytree(home / "attachments", path.parent / "attachments", dirs_exist_ok=True)
    with records.open(home / "record.db") as record:
        return records.import_export(b"".join(records.export_lines(record.events())), path)


def state(record: Record) -> State:
    return project(record.events())


def founded_by_name(
    lead: Station, key_id: str = "ab" * 32, shop: str = "Fell Bench Works (invented)", demo: bool = True
) -> None:
    """A record that begins as those did which were founded before signatures were required: acts are by name."""

    def decide(_: State) -> list[Draft]:
        person = {"person": lead.person, "roles": ["lead"], "every_act": True, "again": False}
        return [Draft("found", {"shop": shop, "demo": demo, "key_id": key_id}), Draft("person", person)]

    perform(lead, "found", decide)


def _founded(record: Record) -> None:
    lead = station(record, "lead")
    founded_by_name(lead)
    for who, roles in ROLES.items():
        add_person(lead, PEOPLE[who], roles)
    for kind, gauge in GAUGES.items():
        add_gauge(lead, gauge, kind, "2026-09-01", "0.002 in")
    add_gauge(lead, "CA-11", "caliper", "2026-02-20", "0.002 in")


def _stocked(record: Record) -> None:
    stores, inspector = station(record, "stores"), station(record, "inspector")
    for one in (bar("T-01"), bar("T-02"), bar("T-03", heat="H4502"), bar("T-04", heat="H4502"), bar("T-05")):
        receive_bar(stores, one, 50_000)
        accept(inspector, shop(), one.id)
    for item in items():
        receive_item(stores, item)
        accept(inspector, shop(), item.id)


def _ordered(record: Record, texts: Mapping[str, bytes] | None = None) -> None:
    lead = station(record, "lead")
    order(lead, ORDER, "Corrie & Tarn Survey (invented)", design(), 2, "2026-04-17", "CT-1")
    freeze(lead, design(), {"definition": text().encode(), **(texts or {})}, ORDER)
    serials(lead, ORDER, revision(), SERIALS)
    record_approval(lead, revision(), Approval("INVENTED-DA-1", "an invented holder", "INVENTED-DA-1", DAY))


def _ordered_held(record: Record) -> None:
    _ordered(record, {"shop": re.sub(rb"guard_band = 1", b"guard_band = 0", SHOP_FILE.read_bytes())})


def _made(record: Record) -> None:
    sawyer, machinist, assembler = (station(record, who) for who in ("sawyer", "machinist", "assembler"))
    go_without_report(station(record, "engineer"), revision(), "the holder has a substantiation of its own")
    saw, sawn = shop().saw, design().pieces.sawn
    loads = [[p for p in sawn if p.kind == "post"], [p for p in sawn if p.kind != "post"]]
    bars = iter(("T-01", "T-02", "T-03", "T-04"))
    for serial in SERIALS:
        for load in loads:
            id = next(bars)
            pieces = tuple(CutPiece(piece_id(serial, p.id), serial, p.length or 0) for p in load)
            issue(sawyer, id, ORDER, revision(), [p.piece for p in pieces], [serial])
            kerf, trim = len(pieces) * saw.kerf, 6_350_000
            rest = nm("240 in") - sum(p.length_nm for p in pieces) - kerf - trim
            cut(sawyer, ORDER, Visit(id, pieces, kerf, trim, rest, f"{id}-R", f"label {id}-R", "saw"))
        for item in items():
            of_it = [p for p in design().pieces.made if (p.section, p.stock) == (item.section, item.stock)]
            if of_it:
                made = [CutPiece(piece_id(serial, p.id), serial, 0) for p in of_it]
                make_from(machinist, item.id, ORDER, revision(), made)
        step(machinist, Step("mill"), pieces_of(serial, "block"), [serial])
        step(machinist, Step("bend"), pieces_of(serial, "ring"), [serial])
        signs(record, serial, "mill", "bend")
        for name in ("fit_up", "drill", "take_apart", "deburr"):
            step(assembler, Step(name), all_pieces(serial), [serial])
            if name == "fit_up":
                signs(record, serial, name)


def _inspected(record: Record) -> None:
    """Every piece measured before coat, coated, baked, its film measured."""
    inspector, assembler = station(record, "inspector"), station(record, "assembler")
    for name in BURNS:
        give(inspector, name, "FT-1", DAY, "a laboratory", b"an invented report", revision=revision())
    for serial in SERIALS:
        for readings in by_piece_and_gauge("before coat"):
            measure(inspector, serial, readings, GAUGES[next(iter(readings)).gauge])
        signs(record, serial, "inspect_metal")
        coated = coated_pieces(serial)
        step(assembler, Step("pretreat"), coated, [serial])
        step(assembler, Step("coat", lots=("PX-61",)), coated, [serial])
        step(assembler, Step("bake"), coated, [serial], machine_record=GOOD_BAKE.encode())
        signs(record, serial, "bake")
        step(assembler, Step("bond_pads"), pieces_of(serial, "block"), [serial])
        for readings in by_piece_and_gauge("after coat"):
            measure(inspector, serial, readings, GAUGES[next(iter(readings)).gauge])
        signs(record, serial, "inspect_film")


def _assembled(record: Record) -> None:
    """Both racks assembled, measured and weighed: nothing is left but the release."""
    inspector, assembler = station(record, "inspector"), station(record, "assembler")
    for serial in SERIALS:
        draw_lot(assembler, "F-1", ORDER, revision(), 60, [serial])
        assemble(assembler, serial, all_pieces(serial), joints(), "J-47", coated_pieces(serial))
        signs(record, serial, "assemble")
        for readings in by_piece_and_gauge("assembled"):
            measure(inspector, serial, readings, GAUGES[next(iter(readings)).gauge])
        record_points(inspector, serial, design(), shop(), "points.csv", points(), "CM-2")
        signs(record, serial, "inspect")
        weigh(inspector, serial, weighing(design().bare.mass), "SC-1")


def _released(record: Record) -> None:
    for serial in SERIALS:
        release(station(record, "inspector"), serial, design(), shop())


# --- what the stages are made of ----------------------------------------------------------------


def signs(record: Record, serial: str, *points: str) -> None:
    """The inspector signs the hold points of a rack off, of those that its revision was frozen with."""
    for point in points:
        if point in points_asked(state(record), serial):
            sign_off(station(record, "inspector"), point, [point_of(design(), shop(), point, serial)])


def all_pieces(serial: str) -> list[str]:
    return [piece_id(serial, p.id) for p in design().pieces.made]


def pieces_of(serial: str, *kinds: str) -> list[str]:
    return [piece_id(serial, p.id) for p in design().pieces.made if p.kind in kinds]


def coated_pieces(serial: str) -> list[str]:
    finish = design().rack.definition.finish
    assert finish is not None
    return [piece_id(serial, p.id) for p in design().pieces.made if is_coated(finish, p)]


def by_piece_and_gauge(stage: str) -> list[dict[Characteristic, str]]:
    """Readings of all that is measured then, one dict for each piece and gauge."""
    acts: dict[tuple[str, str], dict[Characteristic, str]] = {}
    for one in asked():
        if one.stage == stage:
            acts.setdefault((one.piece, one.gauge), {})[one] = good(one)
    return list(acts.values())


def good(one: Characteristic) -> str:
    """A reading in the middle of what is allowed."""
    low = one.low if one.low is not None else Fraction(0)
    high = one.high if one.high is not None else 2 * low
    return shown(one, (low + high) / 2)


def whole_rack() -> list[Characteristic]:
    return [one for one in asked() if one.piece == RACK]


@cache
def joints() -> tuple[Tightened, ...]:
    """Every joint in the middle of its torque range."""
    made = []
    for joint in assembly(design(), shop()).joints:
        assert joint.torque is not None
        low, high = (value / float(unit_factor("in*lbf")) for value in (joint.torque.low, joint.torque.high))
        made.append(Tightened(joint.id, ("LB-61",), "TW-6", "3.0 in*lbf", f"{(low + high) / 2 + 3:.1f} in*lbf",
                              f"{low + 3:.1f} in*lbf", f"{high + 3:.1f} in*lbf"))  # fmt: skip
    return tuple(made)


def points(**off: str) -> bytes:
    """A passport file: every point where the drawing has it, but those named by use, which are `off` along x."""
    rows = ["point,x_in,y_in,z_in"]
    for hole in interchange(design(), shop()):
        x, y, z = (nm / 25_400_000 for nm in hole.at)
        rows.append(f"{hole.bolt},{x + float(off.pop(hole.use, 0)):.6f},{y:.6f},{z:.6f}")
    return "\n".join((*rows, "")).encode()


def weighing(kilograms: float) -> Weighing:
    computed = Fraction(design().bare.mass)
    reading = f"{kilograms / 4 / 0.45359237:.6f} lb"
    pads = dict.fromkeys(("front-left", "front-right", "rear-left", "rear-right"), reading)
    return Weighing(pads, Fraction(kilograms), computed, computed / 100)

"""The water jet: what is cut flat from plate for an order, laid out on the stock's plates, and how long it takes.

Ring blanks and gussets come with their holes; shelf panels and floor pads as rectangles, whose holes are drilled at
fit-up. What is bent, or states its grain, lies along it, the rest as it fits best. `nests` are layouts found elsewhere
(`work/metal/nesting.py`): they count where the checker finds them sound and they use up less plate than our own. The
jet runs half a kerf outside the outline and inside the holes. Its speed comes from timed cuts of the shop; one of
another thickness or quality is scaled and says so. Plate opened = blanks + kerf + what goes back + skeleton (scrap).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import pi

from rackwright.making.asked import Asked
from rackwright.making.blank import Blanks, usable
from rackwright.making.flat import Flat, rectangle
from rackwright.making.gusset import gusset_flat
from rackwright.making.jet import JetTime, jet_speed, time_of, way_of
from rackwright.making.nest import (
    Layout,
    Short,
    area_bound,
    check_layout,
    lay_out,
    outline_area,
    outline_nm2,
    plates_bound,
    short,
)
from rackwright.making.nest.fit import Answer, best_of
from rackwright.making.sawing.cutting import Demand, Slot
from rackwright.pieces.model import Piece
from rackwright.shop import Shop, StockItem
from rackwright.shop.machines import PlateCut

__all__ = [
    "CAUTIONS",
    "Areas",
    "Nest",
    "PlateJob",
    "PlatePlan",
    "flats_of",
    "kerf_area",
    "metal_area",
    "plate_json",
    "plate_plan",
]

FLAT = ("ring", "panel", "pad", "gusset")
OURS = "lowest free corner (this program)"
NM2 = 1e18  # in a square metre
ANY = (0, 90)  # turns of a rectangle that is not bent
CAUTIONS = (
    "The jet injures without pain at first: treat any injection as an emergency.",
    "Measure the kerf this week: last month's tube cuts another one.",
    "Pierce away from a hole's edge, and look at the taper of the eye: it carries the strap.",
)


@dataclass(frozen=True)
class Nest:
    """Layouts of one job found elsewhere, and by whom: the library, its version, seed and effort."""

    section: str
    stock: str
    layouts: tuple[Layout, ...]
    missing: tuple[Slot, ...]
    packer: str


@dataclass(frozen=True)
class Areas:
    """nm²: opened = blanks + kerf + back + scrap, to the last one. Drops of holes are scrap."""

    opened: int
    blanks: int
    kerf: int
    back: int  # to store

    @property
    def scrap(self) -> int:
        return self.opened - self.blanks - self.kerf - self.back


@dataclass(frozen=True)
class PlateJob:
    """All blanks of one section and stock specification, laid out."""

    section: str
    stock: str
    layouts: tuple[Layout, ...]
    missing: tuple[Slot, ...]  # blanks without a plate
    short: tuple[Short, ...]  # what to buy for them
    plates: tuple[StockItem, ...]  # that might be used
    packer: str
    plates_bound: int  # no layout opens fewer of the largest plates; of as many as there are
    area_bound: float  # m², plate that blanks and their webs use up at the least
    flats: dict[str, Flat]
    speed: float | None  # m/s
    speed_how: str
    times: dict[str, JetTime]
    moves: float | None  # s, over all plates
    problems: tuple[str, ...]  # what the checker found: nothing

    @cached_property
    def net_area(self) -> float:
        """Of the blanks that are laid, inside their outlines, m²."""
        return sum(self.flats[one.slot.part].area for layout in self.layouts for one in layout.placed)

    @property
    def used_area(self) -> float:
        """Opened plates less what goes back, m²."""
        return sum(layout.area - layout.rest_area for layout in self.layouts)

    @property
    def density(self) -> float:
        """Blanks over what they use up."""
        return self.net_area / self.used_area if self.layouts else 0.0

    @property
    def density_bound(self) -> float:
        """No layout of the same blanks is denser, by area with webs; borders not counted."""
        return self.net_area / self.area_bound if self.layouts and self.area_bound else 0.0

    def areas(self, kerf: int) -> Areas:
        """Where every square nanometre of the opened plates goes, each blank rounded as the record books it."""
        laid = [self.flats[one.slot.part] for layout in self.layouts for one in layout.placed]
        return Areas(
            sum(outline_nm2(layout.border) for layout in self.layouts),
            sum(round(metal_area(flat) * NM2) for flat in laid),
            sum(round(kerf_area(flat, kerf) * NM2) for flat in laid),
            sum(outline_nm2(rest) for layout in self.layouts for rest in layout.rests),
        )

    @property
    def density_of_plates(self) -> float:
        """Blanks over opened plates."""
        whole = sum(layout.area for layout in self.layouts)
        return self.net_area / whole if whole else 0.0

    @property
    def time(self) -> float | None:
        """Of the jet for all blanks, s."""
        if self.moves is None or not self.times:
            return None
        return self.moves + sum(
            self.times[p.slot.part].time for layout in self.layouts for p in layout.placed
        )


@dataclass(frozen=True)
class PlatePlan:
    jobs: tuple[PlateJob, ...]
    asked: tuple[Asked, ...]

    def sheets_of(self, item: str) -> int:
        """How many of an item are opened."""
        return sum(layout.item == item for job in self.jobs for layout in job.layouts)

    @property
    def time(self) -> float | None:
        """Of the jet for the order, s; None while something that it needs is asked for."""
        times = [job.time for job in self.jobs]
        known = [time for time in times if time is not None]
        return sum(known) if len(known) == len(times) else None


def plate_plan(
    demand: Demand,
    blanks: Blanks,
    items: Sequence[StockItem] | None,
    shop: Shop,
    nests: Sequence[Nest] = (),
) -> PlatePlan:
    """What an order needs from plate, on the plates of the stock."""
    cut = shop.plate
    flats = flats_of(demand, blanks)
    wanted: dict[tuple[str, str], list[Slot]] = {}
    for slot, piece in _slots(demand):
        if slot.part in flats:  # a ring whose blank is asked for has none
            wanted.setdefault((piece.section, piece.stock), []).append(slot)
    if cut is None:
        why = "flat pieces are cut from plate: gap, edge, kerf and timed cuts of the jet"
        return PlatePlan((), (Asked("plate", why),) if wanted else ())
    asked: list[Asked] = []
    jobs = tuple(
        _job(
            key,
            wanted[key],
            flats,
            items,
            cut,
            shop,
            [n for n in nests if (n.section, n.stock) == key],
            asked,
        )
        for key in sorted(wanted)
    )
    return PlatePlan(jobs, tuple(dict.fromkeys((*blanks.asked, *asked))))


def flats_of(demand: Demand, blanks: Blanks) -> dict[str, Flat]:
    """The flat of every part that is cut from plate; a ring whose blank is asked for has none."""
    flats = {blank.part: blank.flat for blank in blanks.made}
    for design, _ in demand:
        make = design.rack.definition.gusset_make
        for piece in design.pieces.made:
            if piece.kind == "gusset" and make is not None and piece.part not in flats:
                flats[piece.part] = gusset_flat(piece, make)
    for _, piece in _slots(demand):
        if piece.kind != "ring":
            flats.setdefault(piece.part, _rectangle(piece))
    return flats


def metal_area(flat: Flat) -> float:
    """Of a blank, its holes off, m²."""
    return flat.area - sum(pi * hole.cut**2 / 4 * 1e-18 for hole in flat.holes)


def kerf_area(flat: Flat, kerf: int) -> float:
    """What the jet takes round a blank and in its holes, m²: a strip as wide as the kerf (nm) along every path."""
    path = flat.perimeter + pi * kerf * 1e-9
    path += sum(pi * (hole.cut - kerf) * 1e-9 for hole in flat.holes if hole.cut > kerf)
    return path * kerf * 1e-9


def _slots(demand: Demand) -> Iterator[tuple[Slot, Piece]]:
    rack = 0
    for design, quantity in demand:
        for _ in range(quantity):
            rack += 1
            for piece in design.pieces.made:
                if piece.kind in FLAT:
                    yield Slot(rack, design.rack.definition.part, piece.id, piece.part), piece


def _rectangle(piece: Piece) -> Flat:
    """A panel or pad: its two longer sides, in the order of the rack's axes."""
    sides = [high - low for low, high in zip(piece.lo, piece.hi, strict=True)]
    thin = sides.index(min(sides))
    long, wide = (side for i, side in enumerate(sides) if i != thin)
    return Flat(piece.part, piece.section, piece.stock, sides[thin], rectangle(long, wide), turns=ANY)


def _job(
    key: tuple[str, str],
    slots: list[Slot],
    every: dict[str, Flat],
    items: Sequence[StockItem] | None,
    cut: PlateCut,
    shop: Shop,
    nests: Sequence[Nest],
    asked: list[Asked],
) -> PlateJob:
    section, stock = key
    flats = {slot.part: every[slot.part] for slot in slots}
    plates = tuple(item for item in usable(items, section, stock, shop) if item.length_nm and item.width_nm)
    if not plates:
        asked.append(Asked("item", f"no plate {section}, {stock} with length, width and a good certificate"))
    ours = lay_out(slots, flats, plates, cut)
    found = {OURS: ours} | {
        nest.packer: sound for nest in nests if not _wrong(slots, sound := (nest.layouts, nest.missing), flats, cut)
    }  # fmt: skip
    answer = best_of(list(found.values()))
    packer = next(name for name, one in found.items() if one is answer)
    layouts, missing = answer
    speed, how = jet_speed(next(iter(flats.values())), cut, asked)
    times = {
        part: one for part, flat in flats.items() if (one := time_of(flat, cut, speed, asked)) is not None
    }
    moves = None if cut.traverse is None else sum(way_of(layout, flats) for layout in layouts) / cut.traverse
    if cut.traverse is None:
        asked.append(Asked("plate.traverse", "speed of moves between cuts"))
    known = plates or [item for item in items or () if (item.section, item.stock) == key and item.width_nm]
    there = [one.slot for layout in layouts for one in layout.placed]
    return PlateJob(
        section, stock, layouts, missing, short(missing, flats, known, cut), plates, packer,
        plates_bound(slots, flats, plates, cut), area_bound(there, flats, cut), flats, speed, how, times, moves,
        tuple(_wrong(slots, answer, flats, cut)),
    )  # fmt: skip


def _wrong(slots: Sequence[Slot], answer: Answer, flats: dict[str, Flat], cut: PlateCut) -> list[str]:
    layouts, missing = answer
    found = [text for layout in layouts for text in check_layout(layout, flats, cut)]
    return found + _counted(slots, layouts, missing)


def _counted(slots: Sequence[Slot], layouts: Sequence[Layout], missing: Sequence[Slot]) -> list[str]:
    """Every blank is laid once or named as missing."""
    there = sorted([one.slot for layout in layouts for one in layout.placed] + list(missing))
    return [] if there == sorted(slots) else ["blanks laid and missing are not the blanks wanted"]


# --- as a document -------------------------------------------------------------------------------


def plate_json(plan: PlatePlan, shop: Shop) -> dict[str, object]:
    """The plate's part of the plan. Positions from the plate's low corner, x along the rolling direction."""
    cut = shop.plate
    return {
        "machine": cut.name if cut else None,
        "time_s": plan.time,
        "jobs": [_job_json(job, cut) for job in plan.jobs if cut is not None],
        "asked": [one.to_json() for one in plan.asked],
        "cautions": list(CAUTIONS),
        "settings": None if cut is None else {
            "gap_nm": cut.gap, "edge_nm": cut.edge, "kerf_nm": cut.kerf, "kerf_known": cut.kerf_known,
            "offset_nm": cut.kerf / 2, "quality": cut.quality, "document": cut.document,
        },
    }  # fmt: skip


def _areas(job: PlateJob, kerf: int) -> dict[str, float]:
    """m²: opened = blanks + kerf + goes_back + skeleton. What the jet takes lies outside the blanks."""
    a = job.areas(kerf)
    each = {"opened": a.opened, "blanks": a.blanks, "kerf": a.kerf, "goes_back": a.back, "skeleton": a.scrap}
    return {name: area / NM2 for name, area in each.items()}


def _job_json(job: PlateJob, cut: PlateCut) -> dict[str, object]:
    return {
        "section": job.section, "stock": job.stock, "feasible": not job.missing, "verified": not job.problems,
        "problems": list(job.problems), "plates_opened": len(job.layouts),
        "plates_bound": job.plates_bound, "plates_bound_by": "area of blanks with half a web round each",
        "packer": job.packer, "areas_m2": _areas(job, cut.kerf), "used_m2": job.used_area,
        "used_bound_m2": job.area_bound, "density": job.density, "density_bound": job.density_bound,
        "density_of_plates": job.density_of_plates, "speed_m_s": job.speed, "speed_from": job.speed_how or None,
        "time_s": job.time, "moves_s": job.moves,
        "parts": {
            part: {"outline_path_m": one.outline, "hole_paths_m": one.holes, "pierces": one.pierces, "time_s": one.time,
                   "abrasive_kg": one.abrasive, "formula": one.step[0], "values_si": one.step[1]}
            for part, one in job.times.items()
        },
        "short": [
            {"part_number": one.part, "count": one.count, "least_plate_nm": list(one.least), "buy_plates": one.buy,
             "of_size_nm": None if one.like is None else list(one.like)}
            for one in job.short
        ],
        "missing": [{"rack": slot.rack, "piece": slot.piece, "part_number": slot.part} for slot in job.missing],
        "plates": [
            {
                "item": layout.item, "number": layout.number, "heat": layout.heat, "size_nm": list(layout.size),
                "outline_nm": None if layout.outline is None else [list(point) for point in layout.outline],
                "remnants": [
                    {"outline_nm": [list(point) for point in rest], "area_m2": outline_area(rest), "heat": layout.heat}
                    for rest in layout.rests
                ],
                "blanks": [
                    {"rack": one.slot.rack, "design": one.slot.design, "piece": one.slot.piece,
                     "part_number": one.slot.part, "turned_deg": one.turned,
                     "at_nm": list(one.at), "size_nm": list(one.size)}
                    for one in layout.placed
                ],
            }
            for layout in job.layouts
        ],
    }  # fmt: skip

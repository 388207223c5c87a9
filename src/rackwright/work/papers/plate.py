"""The plate sheet of an order: what is cut flat from which plate, drawn to scale, with gaps, grain, remnants, times;
and the DXF file of each layout. Layouts that are alike are drawn once."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.making.nest import Layout, Outline, outline_area
from rackwright.making.plate import CAUTIONS, PlateJob
from rackwright.papers.dxf import file_name, nest_dxf
from rackwright.papers.flat_sketch import nest_svg
from rackwright.papers.lengths import inches
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Picture, Section, Table
from rackwright.plan import Plan
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.papers.saw import order_head, rack_name
from rackwright.work.papers.words import in_unit, number

__all__ = ["nest_dxfs", "plate_sheet"]


def plate_sheet(
    plan: Plan, order: str, date: str, serials: tuple[str, ...] = (), demo: bool = False
) -> bytes:
    """The sheet, PDF. Raises Stopped: a design's faults; RW402 a blank without a plate; RW701 no flat parts."""
    head = order_head(plan, "Plate sheet", f"{order}-PLATE" if order else "PLATE", order, date, demo)
    cut = plan.shop.plate
    _all_laid(plan)
    assert cut is not None
    kerf = f"{inches(cut.kerf, 4)} in, {cut.kerf_known}; path half of it beside the line"
    facts = [
        ("Machine", f"{cut.name}; {cut.document}"),
        ("Kept free", f"{inches(cut.gap)} in between blanks, {inches(cut.edge)} in at a plate's edge"),
        ("Kerf", kerf),
        ("Grain", "x of every plate is the rolling direction; blanks lie along it, so bend lines lie across"),
        ("Jet in all", "asked for" if plan.plate.time is None else f"{number(plan.plate.time / 60, 1)} min"),
        *(("Asked for", str(one)) for one in plan.plate.asked),
    ]
    return set_station_sheet(
        StationSheet(
            head,
            Facts(tuple(facts)),
            tuple(
                Section(f"{job.section}, {job.stock}", tuple(_job(plan, job, serials)))
                for job in plan.plate.jobs
            ),
            CAUTIONS,
            signatures=("Cut by", "Remnants labelled by"),
        )
    )


def nest_dxfs(plan: Plan) -> dict[str, bytes]:
    """A DXF file for each different layout, by file name. Raises as `plate_sheet`."""
    _all_laid(plan)
    files = {}
    for job in plan.plate.jobs:
        for layouts in _alike(job).values():
            first = layouts[0]
            notes = (f"PLATE {first.item}, {job.section}, {job.stock}, X {len(layouts)}",
                     "UNITS INCHES. NOT APPROVED DATA.")  # fmt: skip
            files[file_name(_name(first))] = nest_dxf(first, job.flats, _bends(plan), notes)
    return files


def _all_laid(plan: Plan) -> None:
    if plan.shop.plate is None or not plan.plate.jobs:
        asked = "; ".join(str(one) for one in plan.plate.asked) or "the order has no flat parts"
        raise Stopped([Refusal("RW701", Where("plate sheet"), asked, "give the shop's [plate]")])
    missing = [slot for job in plan.plate.jobs for slot in job.missing]
    if missing:
        first = missing[0]
        found = f"{len(missing)} blanks find no plate, first {first.piece} of rack {first.rack}"
        raise Stopped(
            [Refusal("RW402", Where("plate sheet"), found, "receive plates with a good certificate")]
        )


def _bends(plan: Plan) -> dict[str, int]:
    return {blank.part: blank.bend_at for blank in plan.blanks.made}


def _name(layout: Layout) -> str:
    return f"{layout.item}-{layout.number}"


def _alike(job: PlateJob) -> dict[object, list[Layout]]:
    """Layouts that are cut the same way, in the order they are opened."""
    groups: dict[object, list[Layout]] = {}
    for one in job.layouts:
        shape = tuple((placed.slot.part, placed.at, placed.turned) for placed in one.placed)
        groups.setdefault((one.item, one.border, shape), []).append(one)
    return groups


# --- one section of plate ------------------------------------------------------------------------


def _job(plan: Plan, job: PlateJob, serials: tuple[str, ...]) -> Iterator[Block]:
    speed = "asked for" if job.speed is None else f"{in_unit(job.speed, 'in/min', 2)}, from {job.speed_how}"
    time = "asked for" if job.time is None else f"{number(job.time / 60, 1)} min, moves included"
    yield Facts((
        ("Plates opened", f"{len(job.layouts)}; no layout opens fewer than {job.plates_bound} by area"),
        ("Density", f"{number(100 * job.density, 1)} % of what is used up (no layout above "
                    f"{number(100 * job.density_bound, 1)} %), {number(100 * job.density_of_plates, 1)} % of the "
                    "plates opened"),
        ("Laid by", job.packer),
        *(("Then", f"{part}: hole and {note}, by the jig sheet") for part, note in _bored(plan, job)),
        ("Speed", speed),
        ("Time", time),
        ("Checked", "; ".join(job.problems) or "border, gaps, grain, cut-outs, remnants and count hold"),
    ))  # fmt: skip
    for layouts in _alike(job).values():
        first = layouts[0]
        times = f" and {len(layouts) - 1} more alike" if len(layouts) > 1 else ""
        caption = f"Plate {first.item} number {first.number}{times}, heat {first.heat}. "
        caption += f"DXF {file_name(_name(first))}."
        yield Picture(nest_svg(first, job.flats, _bends(plan)), f"layout of plate {first.item}", caption)
        yield _blanks(layouts, serials)
    parts = tuple(
        (part, in_unit(one.outline, "in", 1), in_unit(one.holes, "in", 1), str(one.pierces),
         f"{number(one.time / 60, 2)} min", "asked for" if one.abrasive is None else in_unit(one.abrasive, "lb", 2))
        for part, one in sorted(job.times.items())
    )  # fmt: skip
    if parts:
        yield Table("Each blank on the jet", ("part", "outline", "holes", "pierces", "time", "abrasive"), parts,
                    align="irrrrr")  # fmt: skip


def _bored(plan: Plan, job: PlateJob) -> dict[tuple[str, str], None]:
    """Parts of this plate that are counterbored, each once with how."""
    return {(piece.part, note): None for design, _ in plan.demand for piece in design.pieces.made
            if piece.kind == "pad" and piece.part in job.flats for note in piece.notes}  # fmt: skip


def _blanks(layouts: list[Layout], serials: tuple[str, ...]) -> Table:
    rows = tuple(
        (f"{layout.number}/{n}", one.slot.part, one.slot.piece, rack_name(serials, one.slot.rack), inches(one.at[0]),
         inches(one.at[1]), f"{one.turned}°", BLANK)
        for layout in layouts
        for n, one in enumerate(layout.placed, start=1)
    )  # fmt: skip
    back = " ".join(
        _goes_back(letter, rest) for letter, rest in zip("ABCDEFGH", layouts[0].rests, strict=False)
    )
    if back:
        back += (
            " Label each with plate and heat, and the rolling direction, before the next plate is laid on."
        )
    else:
        back = "Nothing goes back: the rest is scrap."
    return Table("", ("plate/no.", "part", "piece", "rack", "x, in", "y, in", "turned", "cut, marked"), rows,
                 align="liiirrrl", widths=(0.9, 1.8, 2.2, 1.7, 0.9, 0.9, 0.8, 1.1), note=back)  # fmt: skip


def _goes_back(letter: str, rest: Outline) -> str:
    """A remnant by its corners, in the order of cutting round it."""
    corners = ", ".join(f"({inches(x)}, {inches(y)})" for x, y in rest)
    return (
        f"{letter} goes back, {number(outline_area(rest) / 0.0254**2, 1)} in²: corners x, y at {corners} in."
    )

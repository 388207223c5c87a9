"""The mill sheet of an order: each program's setups with their operations, what must hold, and the spigot's fit."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from math import ceil, floor

from rackwright.making.check import Check
from rackwright.making.mill import CAUTIONS, BarFit, BlockLine, Operation, Setup, SpigotFit
from rackwright.papers.lengths import inches
from rackwright.papers.setup_sketch import SetupSketch, setup_svg
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Picture, Section, Table, Text
from rackwright.plan import Plan
from rackwright.shop.tools import MillTool
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.papers.margins import worked_step
from rackwright.work.papers.saw import order_head
from rackwright.work.papers.words import axis, in_unit, number

__all__ = ["check_rows", "mill_sheet"]

TENTH = 0.0254e-4  # of a thousandth of an inch, m
COARSE = (
    "No operations: what is asked for above is needed for them. The time stands on rates logged for this family of "
    "parts, a coarse estimate; feeds and tools are the machinist's."
)


def mill_sheet(plan: Plan, order: str, date: str, demo: bool = False) -> bytes:
    """The sheet, PDF. Raises Stopped: a design's faults; RW701 where the order has no blocks."""
    head = order_head(plan, "Mill sheet", f"{order}-MILL" if order else "MILL", order, date, demo)
    mill, made = plan.shop.mill, plan.mill
    if not made.lines:
        raise Stopped(
            [Refusal("RW701", Where("mill sheet"), "the order has no corner blocks", "see the plan")]
        )
    programs = [line for line in made.lines if line.same_as == line.part]
    facts = (
        ("Mill", f"{mill.name}, {in_unit(mill.spindle_power, 'hp', 1)}, "
                 f"{number(mill.most_spindle * 60, 0)} rpm at most; {mill.document}" if mill else "asked for"),
        ("Blocks", f"{sum(line.quantity for line in made.lines)} in the order, {len(programs)} programs"),
        ("Time", "asked for" if made.time is None else
         f"{number(made.time / 3600, 2)} h of the machine, first pieces with it; from {made.time_from}; "
         "rapid moves and probing are not counted"),
        *(("Asked for", str(one)) for one in made.asked),
    )  # fmt: skip
    sections = [*_tools(programs)]
    sections += [section for line in programs for section in _program(plan, line)]
    first = programs[0]
    return set_station_sheet(
        StationSheet(
            head,
            Facts(facts),
            (*sections, *_fit(first.fit), *_steps(first)),
            CAUTIONS,
            signatures=("First piece measured by", "Milled by"),
        )
    )


def _chip(tool: MillTool) -> str:
    """Feed of a tooth; that of a tap is its thread's pitch."""
    if tool.kind == "tap":
        return "pitch"
    return "asked for" if tool.chip is None else inches(tool.chip, 4)


def _tools(programs: list[BlockLine]) -> Iterator[Section]:
    """The tools that the programs take, as the shop measured them."""
    every = [one.tool for line in programs for setup in line.setups for one in setup.operations if one.tool]
    tools = sorted({tool.id: tool for tool in every}.values(), key=lambda tool: tool.id)
    rows = tuple(
        (tool.id, tool.kind, tool.material, inches(tool.diameter, 4), str(tool.flutes), inches(tool.flute_length),
         inches(tool.reaches), inches(tool.corner_radius or 0) if tool.kind == "end mill" else "–",
         "asked for" if tool.surface_speed is None else number(tool.surface_speed / 0.3048 * 60, 0),
         _chip(tool), tool.document)
        for tool in tools
    )  # fmt: skip
    if rows:
        table = Table("", ("", "tool", "material", "diameter", "teeth", "flutes", "reach", "corner", "ft/min", "chip",
                           "from"), rows, align="lllrrrrrrrl",
                      widths=(0.5, 1.3, 1.6, 0.95, 0.65, 0.75, 0.75, 0.75, 0.75, 0.75, 3.2),
                      note="Lengths in inches; reach from tip to holder; chip the feed of a tooth.")  # fmt: skip
        yield Section("Tools", (table,))


# --- a program -----------------------------------------------------------------------------------


def _program(plan: Plan, line: BlockLine) -> Iterator[Section]:
    users = [f"{one.part} × {one.quantity}" for one in plan.mill.lines if one.same_as == line.part]
    long, a, b = (inches(nm) for nm in line.stock_size)
    facts = [
        ("For", "; ".join(users)),
        ("Blank", f"{long} × {a} × {b} in of {line.stock}{f', stock {line.item}' if line.item else ''}; "
                  f"grain along {line.grain}, upright"),
        ("One block", "time asked for" if line.time is None else f"{number(line.time / 60, 1)} min"),
        ("Jig", f"{len(line.holes) - len(line.milled)} holes in the spigots are drilled there with the tubes"),
    ]  # fmt: skip
    if line.mirror:
        facts.append(("HANDED", f"mirror image of {', '.join(line.mirror)}: another program"))
    blocks: list[Block] = [Facts(tuple(facts))]
    if not line.setups:
        blocks.append(Text(COARSE))
    yield Section(f"Program {line.part}: {line.title}", tuple(blocks), new_page=bool(line.setups))
    for setup in line.setups:
        yield _setup(line, setup, plan.shop.mill.grip if plan.shop.mill else None)
    checks = Table("Held against", ("check", "value", "limit", "answer", "limit from"), check_rows(line.checks),
                   align="lrrll", widths=(2.6, 0.9, 1.3, 0.7, 2.8))  # fmt: skip
    measured = Table("First piece, before the second is loaded",
                     ("no.", "characteristic", "limits, in", "gauge", "found"),
                     tuple((str(one.number), one.name, one.asks or _limits(line, one.low, one.high), one.gauge, BLANK)
                           for one in line.first_piece),
                     widths=(0.5, 1.4, 1.8, 1.2, 1.2))  # fmt: skip
    blocks = [checks] if line.checks else []
    yield Section(f"Checks and first piece of {line.part}", (*blocks, measured))


def _limits(line: BlockLine, low: object, high: object) -> str:
    return "none" if low is None or high is None else f"{_in(float(low))} to {_in(float(high))}"  # type: ignore[arg-type]


def _setup(line: BlockLine, setup: Setup, grip: int | None) -> Section:
    corner = line.corner
    picture = Picture(
        setup_svg(SetupSketch(
            corner.side, corner.length, corner.width, (line.stock_size[0], line.stock_size[1]), grip or 0,
            setup.number > 1, axis(setup.operations[0].task.side), axis(corner.outer(0)), axis(corner.inner(0)),
            f"setup {setup.number} of {line.part}")),
        f"setup {setup.number} of {line.part}",
        "Seen along y, jaws grey, blank dashed; 0 is the zero of the length. Arrows: the spindle.",
    )  # fmt: skip
    facts = Facts((
        ("Held", axis(setup.held)), ("Located on", setup.located), ("Zero", axis(setup.zero)),
        ("Reached", ", ".join(axis(side) for side in setup.sides)),
        ("Besides cutting", f"{setup.changes} tools taken, {setup.turns} turns, loading once"),
    ))  # fmt: skip
    table = Table(
        "", ("op", "what", "side", "tool", "rpm", "in/min", "axial", "radial", "layers", "in³/min", "hp", "min"),
        tuple(_operation(one) for one in setup.operations), align="rlllrrrrrrrr",
        widths=(0.55, 3.6, 0.6, 0.55, 0.8, 0.85, 0.8, 0.8, 0.75, 0.9, 0.7, 0.7),
        note="Axial, radial: engagement, in. hp: at the motor where its efficiency is known. * the machine's limit.",
    )  # fmt: skip
    return Section(f"{line.part}, setup {setup.number}", (facts, picture, table))


def _operation(one: Operation) -> tuple[str, ...]:
    task, tool = one.task, one.tool
    what = f"{task.kind}: {task.on}"
    if task.diameter:
        what = f"{task.kind} {task.on}, {inches(round(task.diameter * 1e9), 4)} in, {_in(task.depth, 3)} deep"
    if tool is None:
        return (str(one.number), what, axis(task.side), "asked for", *("–",) * 8)
    if one.time is None or one.speed is None:
        return (str(one.number), what, axis(task.side), tool.id, *("–",) * 8)
    plain = task.diameter > 0 or task.kind == "chamfer"  # its size is the drawing's
    power = one.motor if one.motor is not None else one.power
    return (
        str(one.number), what, axis(task.side), tool.id, number(one.speed * 60, 0) + ("*" if one.slowed else ""),
        number((one.feed or 0.0) / 0.0254 * 60, 1), "–" if plain else _in(one.axial or 0.0, 3),
        "–" if plain else _in(one.radial or 0.0, 3), str(one.layers), number((one.rate or 0.0) / 0.0254**3 * 60, 2),
        number((power or 0.0) / 745.6998715822702, 2), number(one.time / 60, 2),
    )  # fmt: skip


def _in(metres: float, places: int = 4) -> str:
    return inches(round(metres * 1e9), places)


def check_rows(checks: tuple[Check, ...]) -> tuple[tuple[str, ...], ...]:
    """Checks as rows of name, value, limit, answer, and where the limit is from."""

    def said(one: Check, value: float) -> str:
        words = {"m": ("in", 4), "N": ("lbf", 0), "N/m": ("lbf/in", 0), "W": ("hp", 2)}.get(one.unit)
        return number(value, 3) if words is None else in_unit(value, *words)

    return tuple(
        (one.name, said(one, one.value), f"{'at most' if one.at_most else 'at least'} {said(one, one.limit)}",
         "holds" if one.ok else "FAILS", one.source)
        for one in checks
    )  # fmt: skip


# --- fit and formulas ----------------------------------------------------------------------------


def _fit(fit: SpigotFit | None) -> Iterator[Section]:
    if fit is None:
        return

    def span(limits: tuple[float, float] | None) -> str:
        return "asked for" if limits is None else f"{_in(limits[0])} to {_in(limits[1])} in"

    worked = f"ISO 286 {fit.fit} on {number(fit.nominal * 1e3, 3)} mm: {span(fit.worked)}" if fit.fit else (
        f"to the definition's limits: {span(fit.worked)}")  # fmt: skip
    facts: list[tuple[str, str]] = [
        ("Tube inside, nominal", f"{_in(fit.nominal)} in"),
        ("Tube inside, as bought", f"{span(fit.inside)}{f'; {fit.inside_from}' if fit.inside_from else ''}"),
        ("Spigot, as defined", span(fit.defined)),
        ("Spigot, worked", worked),
        ("Clearance, both sides together", "asked for" if fit.clearance is None else
         f"{_signed(fit.clearance[0])} to {_signed(fit.clearance[1])} in; no film: bore and spigot are masked"),
        ("Spigot's long edges", f"broken at 45° by {_in(fit.edges, 3)} in or more: the tube's inside corner"),
    ]  # fmt: skip
    if fit.root is not None:
        facts.append(("Radius at the spigots' roots", f"{_in(fit.root, 3)} in, the finishing tool's"))
    if fit.tube_edge is not None:
        facts.append(
            ("Tube's inside edge", f"broken at 45° by {_in(fit.tube_edge, 3)} in or more: the root's radius")
        )
    facts.append(("MILL TO", _to_mill(fit)))
    checks = Table("Held against", ("check", "value", "limit", "answer", "limit from"), check_rows(fit.checks),
                   align="lrrll", widths=(2.6, 0.9, 1.3, 0.7, 2.8))  # fmt: skip
    yield Section(
        "Spigots in their tubes",
        (Facts(tuple(facts)), _bars(fit), *([checks] if fit.checks else [])),
        marks=fit.marks,
    )


def _to_mill(fit: SpigotFit) -> str:
    """Printed within the limits: the least size rounded up, the largest down."""
    if fit.to_mill is None:
        return "asked for"
    low, high = ceil(fit.to_mill[0] / TENTH - 1e-6), floor(fit.to_mill[1] / TENTH + 1e-6)
    if low > high:
        return "NO SIZE goes into every bar listed below: see what fails"
    said = (
        "goes into every bar listed below" if fit.bars else "no bar is issued, the nominal tolerance was used"
    )
    return f"{_in(low * TENTH)} to {_in(high * TENTH)} in; {said}"


def _bars(fit: SpigotFit) -> Table:
    """The bars in hand; a line to write on for each that was not measured, and one where none is issued."""
    rows = [_bar(one) for one in fit.bars] or [(BLANK,) * 7]
    return Table(
        "Bars issued, inside as measured",
        ("bar, heat", "for", "widths, in", "corner, in", "± in, gauge", "clearance, in", "edges, in"), tuple(rows),
        widths=(1.5, 2.2, 1.5, 0.9, 1.1, 1.5, 0.8),
        note="Clearance and edge break at the adverse end of the gauge's uncertainty. Blank: not measured, the nominal "
             "tolerance of the tube as bought was used.",
    )  # fmt: skip


def _bar(one: BarFit) -> tuple[str, ...]:
    bar = one.bar
    clearance = (
        "asked for"
        if one.clearance is None
        else f"{_signed(one.clearance[0])} to {_signed(one.clearance[1])}"
    )
    measured: tuple[str, ...] = (BLANK, BLANK, BLANK)
    if bar.widths:
        corner = BLANK if bar.corner is None else _in(bar.corner)
        measured = (
            ", ".join(_in(width) for width in bar.widths),
            corner,
            f"{_in(bar.uncertainty)}, {bar.gauge}",
        )
    return (f"{bar.bar}, {bar.heat}", _by_serial(bar.pieces), *measured, clearance, _in(one.edges, 3))


def _by_serial(pieces: tuple[str, ...]) -> str:
    racks = groupby(sorted(pieces), lambda id: id.partition("/")[0])
    return "; ".join(f"{serial}: {', '.join(id.partition('/')[2] for id in ids)}" for serial, ids in racks)


def _signed(metres: float) -> str:
    return f"−{_in(-metres)}" if metres < 0 else _in(metres)


def _steps(line: BlockLine) -> Iterator[Section]:
    """Each formula once, with the numbers of the first operation that uses it."""
    once: dict[str, dict[str, float]] = {}
    for name, values in (*line.steps, *(line.fit.steps if line.fit else ())):
        once.setdefault(name, values)
    if once:
        shown = [worked_step(n, len(once), step) for n, step in enumerate(once.items(), start=1)]
        note = Text("Each formula with the numbers of its first use.", "note")
        yield Section("How it was worked out", (note, *shown), new_page=True)

"""The traveler of one rack: its steps in order, with holds, cautions and lines to write on. The fallback on paper.

Readings of inspection steps are not repeated: they have the inspection sheet, whose numbers are the balloons. Joints
stand one a line, with their hardware and the torque range before the running torque is added.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from rackwright.making.traveler import Blank, Traveler, TravelerStep
from rackwright.papers.labels import Label, symbol
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Items, Section, Table, Text
from rackwright.plan import Plan
from rackwright.work.guard_band import rule_words
from rackwright.work.papers.saw import order_head, rack_name
from rackwright.work.papers.words import number

__all__ = ["traveler_sheet"]


def traveler_sheet(
    plan: Plan, rack: int, order: str, date: str, serials: tuple[str, ...] = (), demo: bool = False,
    changes: tuple[Block, ...] = (), witness: str = "", signed: Mapping[str, tuple[str, str]] | None = None,
) -> bytes:  # fmt: skip
    """The traveler of rack number `rack` of the order (from 1), PDF; `changes` (red lines of it) before its steps.
    `witness`: the head of the record that it carries; `signed`: hold points signed off in it, by whom and when.

    Raises Stopped with a design's faults, IndexError for a rack that the order has not.
    """
    made = plan.traveler(rack)
    name = rack_name(serials, rack)
    head = order_head(
        plan, "Traveler", name if serials else f"{order or made.part}-{rack}", order, date, demo
    )
    label = Label("TRAVELER", name.replace(" ", "-"), "", "", "", part=made.part, job=order)
    hours = [step.hours for step in made.steps if step.hours is not None]
    facts = Facts((
        ("Rack", f"{name}, number {made.rack} of {made.of} in {order or 'an order without number'}"),
        ("Part, drawing", f"{made.part} revision {made.revision}; drawing {made.drawing}"),
        ("Steps", f"{len(made.steps)}; {number(sum(hours), 1)} h of labour planned, batch steps for the whole order"),
        ("Rule", "One step is signed before the next begins. HOLD: work stops until a second person has signed."),
        *((("Record, signed", witness),) if witness else ()),
        ("Readings", rule_words(plan.shop.guard_band)),
    ))  # fmt: skip
    before = (Section("Changed after work began", changes),) if changes else ()
    every = max((len(step.parts) for step in made.steps), default=0)
    return set_station_sheet(
        StationSheet(
            head,
            facts,
            (
                *before,
                *(_step(made, step, every, name, (signed or {}).get(step.operation)) for step in made.steps),
            ),
            signatures=(
                "Traveler closed: every step is signed, every blank is filled or struck out with initials",
            ),
            symbol=symbol(label),
            symbol_words=name,
        )
    )


def _step(
    made: Traveler, step: TravelerStep, every: int, name: str, signed: tuple[str, str] | None
) -> Section:
    blocks: list[Block] = []
    columns: tuple[str, ...]
    widths: tuple[float, ...]
    hours = "not known: its time is asked for" if step.hours is None else f"{number(step.hours, 2)} h"
    where = step.station + (f", outside: {step.supplier}" if step.supplier else "")
    blocks.append(Facts((("Station", f"{where}; {hours} planned"), ("Parts", _parts(made, step, every)))))
    if step.cautions:
        blocks.append(Text(" ".join(step.cautions), "caution"))
    blocks += _blanks(step, name)
    columns, widths = ("done by", "date", "hours used"), (2.0, 1.1, 0.9)
    if step.hold:
        columns, widths = (*columns, "hold signed off by", "date"), (*widths, 2.0, 1.1)
    note = f"HOLD: {step.hold}." if step.hold else ""
    row = (*(BLANK,) * (len(columns) - 2), *signed) if signed and step.hold else (BLANK,) * len(columns)
    blocks.append(Table("", columns, (row,), widths=widths, note=note))
    return Section(f"{step.number}. {step.title}", tuple(blocks), marks=("HOLD",) if step.hold else ())


def _parts(made: Traveler, step: TravelerStep, every: int) -> str:
    count = sum(n for _, n in step.parts)
    if len(step.parts) == every and every > 6:
        return f"every part of the rack: {every} part numbers, {count} pieces"
    short = [f"{part.removeprefix(f'{made.part}-')} × {n}" for part, n in step.parts]
    return f"{made.part}- {', '.join(short)}" if short else "none"


# --- what is written down ------------------------------------------------------------------------


def _blanks(step: TravelerStep, name: str) -> Iterator[Block]:
    joints = _joints(step.blanks)
    readings = [one for one in step.blanks if one.balloon]
    plain = [one for one in step.blanks if not one.balloon and not _JOINT.match(one.name)]
    if plain:
        rows = tuple((_asked(one), one.unit or " ", BLANK) for one in plain)
        yield Table("", ("write down", "unit", "as found"), rows, widths=(3, 0.6, 3))
    if readings:
        low, high = readings[0].balloon, readings[-1].balloon
        yield Items((
            f"{len(readings)} characteristics, numbers {low} to {high}: on the inspection sheet of {name}.",
        ))  # fmt: skip
    if joints:
        yield Table(
            f"{len(joints)} joints",
            ("no.", "joint and hardware", "lots", "running", "range", "final", "by"),
            tuple(joints),
            align="rllllll",
            widths=(0.5, 4.6, 1.4, 1, 1.5, 1, 0.8),
            note="Torque in in·lbf. Measure the running torque of the nut, add it to the range, tighten, write the "
            "final torque down. Never over the limit given, running torque added.",
        )


_JOINT = re.compile(r"(\d+) (\S+): (lots of|running torque|final torque)")


def _joints(blanks: tuple[Blank, ...]) -> list[tuple[str, ...]]:
    """The three blanks of each joint as one row."""
    rows: dict[str, list[str]] = {}
    for one in blanks:
        found = _JOINT.match(one.name)
        if found is None:
            continue
        row = rows.setdefault(found[2], [found[1], found[2], BLANK, BLANK, "", BLANK, BLANK])
        if found[3] == "lots of":
            row[1] = f"{found[2]}: {one.name.partition('lots of ')[2]}"
        elif found[3] == "final torque":
            limit = re.search(r"never over (\S+)", one.name)
            asked = one.name.partition("asked for: ")[2]
            row[4] = f"{_limits(one)}, never over {limit[1]}" if limit else f"asked for: {asked}"
    return [tuple(row) for row in rows.values()]


def _asked(one: Blank) -> str:
    limits = _limits(one)
    return one.name if limits == " " else f"{one.name}, {limits}"


def _limits(one: Blank) -> str:
    if one.low and one.high:
        return f"{one.low} to {one.high}"
    return f"at least {one.low}" if one.low else f"at most {one.high}" if one.high else " "

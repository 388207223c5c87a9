"""The inspection sheet of one serial: every characteristic by its number, what was measured or a line to write on.

Number = balloon on the drawing = characteristic in the record. A reading stands as it was read; where none is recorded
the cell is a blank line, since blank is not zero. The last reading of a characteristic decides, earlier ones count.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rackwright.design import Design
from rackwright.papers.labels import Label, symbol
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Section, Table
from rackwright.pieces.characteristics import RACK, Characteristic, Stage, characteristics, shown
from rackwright.record import State
from rackwright.record.state import Measurement
from rackwright.shop import Shop
from rackwright.work.metal.sawing import piece_id
from rackwright.work.papers.words import head, must_fit

__all__ = ["STAGES", "inspection_sheet"]

STAGES: tuple[Stage, ...] = ("before coat", "after coat", "assembled")
CAUTIONS = (
    "Write the reading unrounded, with the gauge's resolution. A blank is not a zero; N/A only with its reason.",
    "Who made a piece does not inspect it. Let it come to room temperature. Do not measure again until it passes.",
)


def inspection_sheet(
    design: Design, shop: Shop, date: str, serial: str = "", state: State | None = None, demo: bool = False
) -> bytes:
    """The sheet, PDF: of a serial as recorded, or without `state` as a form to be filled. Raises a design's faults."""
    must_fit(design)
    d = design.rack.definition
    wanted = characteristics(design.rack, design.pieces, shop.saw.cut_tolerance)
    found = _found(state, serial) if state else {}
    done = [one for one in wanted if _key(one, serial) in found]
    out = [one for one in done if not found[_key(one, serial)][-1].within]
    answer = f"{len(wanted)} characteristics: {len(done)} measured, {len(wanted) - len(done)} blank"
    answer += (
        f", {len(out)} OUTSIDE: no. {', '.join(str(one.number) for one in out)}."
        if out
        else ", none outside."
    )
    demo = demo or (state is not None and state.demo)
    name = serial or f"{d.part}, serial not given yet"
    return set_station_sheet(
        StationSheet(
            head(design, shop, "Inspection sheet", f"{serial or d.part}-INSP", date, demo),
            Facts((
                ("Rack", f"{d.part} revision {d.revision}, serial {name}" if serial else name),
                ("Numbers", f"balloons of drawing {d.drawing}-B revision {d.revision}"),
                ("Rule", "a reading is within when it lies within the limits as read, without rounding or guard band"),
            )),
            tuple(Section(_TITLES[stage], tuple(_table(wanted, stage, found, serial, state))) for stage in STAGES
                  if any(one.stage == stage for one in wanted)),
            CAUTIONS,
            answer,
            signatures=("Inspected by",),
            symbol=symbol(Label("RACK", serial, "", "", "", part=d.part)) if serial else "",
            symbol_words=serial,
            flipped=True,
        )
    )  # fmt: skip


_TITLES = {"before coat": "Before coat", "after coat": "After coat", "assembled": "Assembled"}


def _key(one: Characteristic, serial: str) -> tuple[str, str]:
    return ("" if one.piece == RACK else piece_id(serial, one.piece)), one.name


def _found(state: State, serial: str) -> Mapping[tuple[str, str], list[Measurement]]:
    found: dict[tuple[str, str], list[Measurement]] = {}
    for each in state.measured(serial):
        found.setdefault((each.piece, each.characteristic), []).append(each)
    return found


def _table(
    wanted: tuple[Characteristic, ...], stage: Stage, found: Mapping[tuple[str, str], list[Measurement]], serial: str,
    state: State | None,
) -> Iterator[Block]:  # fmt: skip
    rows = []
    for one in wanted:
        if one.stage != stage:
            continue
        readings = found.get(_key(one, serial), [])
        last = readings[-1] if readings else None
        rows.append((
            str(one.number), one.piece, f"{one.name}: {one.asks}; yes or no" if one.by_gauge else one.name,
            *(_value(shown(one, v)) for v in (one.nominal, one.low, one.high)),
            one.unit,
            one.gauge if last is None else f"{one.gauge} {last.gauge}",
            BLANK if last is None else _value(last.value, one.unit),
            BLANK if last is None else ("within" if last.within else f"OUTSIDE{_case(state, last)}"),
            BLANK if last is None else f"{last.by}, {last.at[:10]}" + _again(len(readings)),
        ))  # fmt: skip
    yield Table(
        "",
        (
            "no.",
            "piece",
            "characteristic",
            "nominal",
            "low",
            "high",
            "unit",
            "gauge",
            "measured",
            "result",
            "by, on",
        ),
        tuple(rows),
        align="riirrrllrll",
        widths=(0.45, 2.5, 4.1, 0.9, 0.9, 0.9, 0.65, 2, 1.05, 1.1, 2),
    )


def _value(text: str, unit: str = "") -> str:
    """The number alone where its unit is the column's, else as it stands; "" stays a dash."""
    number, _, own = text.partition(" ")
    return number if unit in ("", own) else text


def _again(times: int) -> str:
    return f" (reading {times})" if times > 1 else ""


def _case(state: State | None, one: Measurement) -> str:
    """The nonconformance that a reading outside its limits was raised as."""
    cases = state.nonconformances.values() if state else ()
    names = [
        c.nonconformance
        for c in cases
        if one.piece in c.pieces and c.characteristic in ("", one.characteristic)
    ]
    return f": {', '.join(names)}" if names else ": not raised"

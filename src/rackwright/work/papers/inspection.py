"""The inspection sheet of one serial: every characteristic by its number, what was measured or a line to write on.

Number = balloon on the drawing = characteristic in the record. A reading stands as it was read; where none is recorded
the cell is a blank line, since blank is not zero. The last reading of a characteristic decides, earlier ones count.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rackwright.design import Design
from rackwright.making.inspected import characteristics_of
from rackwright.papers.labels import Label, symbol
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Section, Table
from rackwright.pieces.characteristics import RACK, Characteristic, Stage, shown
from rackwright.record import Event, State
from rackwright.record.state import Measurement
from rackwright.shop import Shop
from rackwright.work.guard_band import guarded, of_kind, rule_words, unable
from rackwright.work.metal.drawn import in_place, role
from rackwright.work.metal.sawing import piece_id
from rackwright.work.outcome import COARSE, too_coarse, verdict
from rackwright.work.papers.words import head, must_fit
from rackwright.work.quality.amending import Amended, readings_amended

__all__ = ["STAGES", "inspection_sheet"]

STAGES: tuple[Stage, ...] = ("before coat", "after coat", "assembled")
CAUTIONS = (
    "Write the reading unrounded, with the gauge's resolution. A blank is not a zero; N/A only with its reason.",
    "Who made a piece does not inspect it. Let it come to room temperature. Do not measure again until it passes.",
)


def inspection_sheet(
    design: Design, shop: Shop, date: str, serial: str = "", state: State | None = None, demo: bool = False,
    events: Sequence[Event] = (),
) -> bytes:  # fmt: skip
    """The sheet, PDF: of a serial as recorded, or without `state` as a form to be filled. Raises a design's faults.
    `events`: the record's, so that a reading which was corrected stands beside what was recorded."""
    must_fit(design)
    d = design.rack.definition
    wanted = characteristics_of(design, shop)
    found = _found(state, serial) if state else {}
    done = [one for one in wanted if _key(one, serial) in found]
    last = {one: found[_key(one, serial)][-1] for one in done}
    out = [one for one in done if not last[one].within and not last[one].undecided]
    between = [one for one in done if last[one].undecided]
    answer = f"{len(wanted)} characteristics: {len(done)} measured, {len(wanted) - len(done)} blank"
    answer += (
        f", {len(out)} OUTSIDE: no. {', '.join(str(one.number) for one in out)}."
        if out
        else ", none outside."
    )
    if between:
        answer += f" {len(between)} in the GUARD BAND: no. {', '.join(str(one.number) for one in between)}."
    amended = readings_amended(events)
    demo = demo or (state is not None and state.demo)
    name = serial or f"{d.part}, serial not given yet"
    return set_station_sheet(
        StationSheet(
            head(design, shop, "Inspection sheet", f"{serial or d.part}-INSP", date, demo),
            Facts((
                ("Rack", f"{d.part} revision {d.revision}, serial {name}" if serial else name),
                ("Numbers", f"balloons of drawing {d.drawing}-B revision {d.revision}"),
                ("Rule", rule_words(shop.guard_band)),
            )),
            (*(Section(_TITLES[stage], tuple(_table(wanted, stage, found, serial, state, shop.guard_band, amended)))
               for stage in STAGES if any(one.stage == stage for one in wanted)),
             *_corrected(wanted, serial, amended)),
            (*CAUTIONS, *_too_coarse([one for one in wanted if one not in last], shop.guard_band, state),
             *_was_too_coarse(last)),
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
    """By the name that the definition has for a piece: of a mended rack, what was read of what stands there."""
    found: dict[tuple[str, str], list[Measurement]] = {}
    rack = state.serials.get(serial)
    for each in state.measured(serial):
        place = role(state, rack.revision, each.piece) if rack and each.piece else ""
        if not place or in_place(state, serial, place) == each.piece:
            key = piece_id(serial, place) if place else each.piece
            found.setdefault((key, each.characteristic), []).append(each)
    return found


def _table(
    wanted: tuple[Characteristic, ...], stage: Stage, found: Mapping[tuple[str, str], list[Measurement]], serial: str,
    state: State | None, guard_band: float, amended: Mapping[int, Amended],
) -> Iterator[Block]:  # fmt: skip
    """Where a rule moves limits, the limits that decide stand in a column of their own: of a reading as recorded with
    it, of a blank by the gauge of that kind where the record has just one."""
    rows, banded = [], bool(guard_band) or any(one.r != "0" for each in found.values() for one in each)
    for one in wanted:
        if one.stage != stage:
            continue
        readings = found.get(_key(one, serial), [])
        last = readings[-1] if readings else None
        rows.append((
            str(one.number), one.piece, f"{one.name}: {one.asks}; yes or no" if one.by_gauge else one.name,
            *(_value(shown(one, v)) for v in (one.nominal, one.low, one.high)),
            *((_moved(one, last, guard_band, state),) if banded else ()),
            one.unit,
            one.gauge if last is None else f"{one.gauge} {last.gauge}",
            BLANK if last is None else _value(last.value, one.unit),
            BLANK if last is None else verdict(last) + ("" if last.within else _case(state, last)),
            BLANK if last is None else f"{last.by}, {last.at[:10]}" + _again(len(readings)) + _marked(last, amended),
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
            *(("accepted",) if banded else ()),
            "unit",
            "gauge",
            "measured",
            "result",
            "by, on",
        ),
        tuple(rows),
        align="riirrr" + "r" * banded + "llrll",
        widths=(0.45, 2.3, 4.1, 0.85, 0.85, 0.85, *((1.95,) * banded), 0.65, 2.15, 0.9, 0.85, 2.05),
    )


def _moved(one: Characteristic, last: Measurement | None, guard_band: float, state: State | None) -> str:
    """The limits that decided this reading, or will decide it with the gauge in hand."""
    if one.by_gauge:
        return ""
    if last is not None:
        return _span(last.accept_lower, last.accept_upper, one) if last.r != "0" else "the limits"
    if not guard_band:
        return "the limits"
    fits = [gauge for gauge in (state.gauges.values() if state else ()) if of_kind(gauge, one)]
    limits = guarded(one, guard_band, fits[0].uncertainty) if len(fits) == 1 else None
    return _span(limits.lower, limits.upper, one) if limits else BLANK


def _span(low: str, high: str, one: Characteristic) -> str:
    low, high = _value(low, one.unit), _value(high, one.unit)
    return f"{low} to {high}" if low and high else f"least {low}" if low else f"most {high}"


def _too_coarse(wanted: list[Characteristic], guard_band: float, state: State | None) -> Iterator[str]:
    """What no gauge of its kind can accept, told before it is measured, with the gauges that could."""
    every = tuple(state.gauges.values()) if state else ()
    for one in wanted:
        found = unable(one, guard_band, every)
        if found is not None:
            coarse, able = found
            do = f"{', '.join(able)} would do" if able else "no gauge in the record would do"
            yield f"No. {one.number}: the guard band of {', '.join(coarse)} takes the whole tolerance; {do}."


def _was_too_coarse(last: Mapping[Characteristic, Measurement]) -> Iterator[str]:
    """What was read with such a gauge all the same."""
    for one, read in last.items():
        if too_coarse(read.accept_lower, read.accept_upper):
            yield f"No. {one.number}: gauge {read.gauge} {COARSE}."


def _value(text: str, unit: str = "") -> str:
    """The number alone where its unit is the column's, else as it stands; "" stays a dash."""
    number, _, own = text.partition(" ")
    return number if unit in ("", own) else text


def _marked(last: Measurement, amended: Mapping[int, Amended]) -> str:
    """Of a reading that is read otherwise than it was recorded: what stood there."""
    one = amended.get(last.seq)
    return f"; CORRECTED, recorded {one.recorded}" if one else ""


def _corrected(
    wanted: tuple[Characteristic, ...], serial: str, amended: Mapping[int, Amended]
) -> Iterator[Section]:
    """Every reading of the rack that was corrected or made void: as recorded, as read, by whom and why."""
    numbers = {_key(one, serial): one for one in wanted}
    rows = []
    for seq, one in sorted(amended.items()):
        body = one.target.body
        about = numbers.get((body.get("piece", ""), body["characteristic"]))
        if body.get("serial") == serial and about is not None:
            rows.append(
                (str(about.number), about.piece, about.name, str(seq), one.recorded, one.read_as, one.why)
            )
    if rows:
        columns = ("no.", "piece", "characteristic", "event", "recorded", "read as", "corrected by, why")
        note = "The event stays as it was recorded; the last reading of a characteristic decides."
        widths = (0.45, 2.2, 3.2, 0.7, 1.3, 1.6, 5)
        table = Table("", columns, tuple(rows), align="riirrll", widths=widths, note=note)
        yield Section("Corrected readings", (table,))


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

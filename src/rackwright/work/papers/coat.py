"""The coat and bake sheet of an order: area and powder, masking list, vents, fits; and the charts of its bakes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rackwright.design import Design
from rackwright.making.coat import CAUTIONS, CoatPlan
from rackwright.making.oven.bake import CAUTIONS as BAKE_CAUTIONS
from rackwright.making.oven.bake import degf
from rackwright.papers.lengths import inches
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.plan import Plan
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.papers.bake import bake_blocks, ledger_blocks, logs_of
from rackwright.work.papers.saw import order_head
from rackwright.work.papers.words import axis, in_unit, number

__all__ = ["coat_sheet"]

INCH, MIL, POUND, FOOT2 = 0.0254, 25.4e-6, 0.45359237, 0.3048**2


def coat_sheet(
    plan: Plan, order: str, date: str, bakes: Mapping[str, bytes] | None = None, demo: bool = False
) -> bytes:
    """The sheet, PDF. `bakes` are thermocouple files of runs so far; none: the chart is to be added.

    Raises Stopped: a design's faults, those of a thermocouple file; RW431 for an order that nothing is coated of.
    """
    head = order_head(plan, "Coat and bake", f"{order}-COAT" if order else "COAT", order, date, demo)
    made = [
        (design, sheet) for (design, _), sheet in zip(plan.demand, plan.coat, strict=True) if sheet.finish
    ]
    if not made:
        where = Where("coat sheet")
        raise Stopped([Refusal("RW431", where, "the definition names no powder coat", "give its [finish]")])
    sections = [section for design, sheet in made for section in _coat(_design(design), sheet)]
    sections += _bakes(plan, _design(made[0][0]), bakes or {})
    return set_station_sheet(
        StationSheet(
            head,
            Facts(tuple(_facts(plan, made[0][1]))),
            tuple(sections),
            (*CAUTIONS, *BAKE_CAUTIONS),
            signatures=("Masked and sprayed by", "Bake judged by"),
        )
    )


def _design(racked: object) -> Design:
    assert isinstance(racked, Design)
    return racked


def _facts(plan: Plan, sheet: CoatPlan) -> Iterator[tuple[str, str]]:
    finish, booth = sheet.finish, sheet.booth
    assert finish is not None
    yield "Powder", f"{finish.powder}; {finish.document or 'its data sheet is asked for'}"
    yield "Pretreatment", finish.pretreatment
    yield "Film", f"{inches(finish.film_low, 4)} to {inches(finish.film_high, 4)} in"
    cures = " or ".join(
        f"{number(degf(p.metal), 0)} °F metal for {number(p.time / 60, 0)} min" for p in finish.cure
    )
    yield "Cure", f"{cures}; no metal over {number(degf(finish.most_metal), 0)} °F"
    if booth is not None:
        yield "Ground", (f"at most {number(booth.ground_most / 1e6, 1)} megohm with at least "
                         f"{number(booth.ground_voltage, 0)} V; {booth.document} ({booth.how_known})")  # fmt: skip
    for one in sheet.asked:
        yield "Asked for", str(one)


def _coat(design: Design, sheet: CoatPlan) -> Iterator[Section]:
    assert sheet.finish is not None
    yield Section(f"Area and powder of {sheet.design}", tuple(_area(sheet)))
    masks = tuple(
        (str(m.number), m.piece, m.what, m.why, str(m.count), BLANK) for m in sheet.masks
    )  # fmt: skip
    pads = [m.number for m in sheet.masks if "bond pad" in m.what]
    note = f"Bond pads are numbers {', '.join(map(str, pads))}. " if pads else "No bond pad is named. "
    yield Section("Masking list, each rack", (
        Table("", ("no.", "piece", "what", "why", "count", "masked by"), masks, align="rillrl",
              widths=(0.5, 2.3, 2.5, 3.4, 0.6, 1.2), note=f"{note}Count plugs and caps in and out."),
    ))  # fmt: skip
    yield Section("Vents stay open", (Table(
        "", ("tube", "from its low end, in", "face", "diameter, in"),
        tuple((v.tube, ", ".join(map(inches, v.at)) or "none", axis(v.face), inches(v.diameter) if v.at else "–")
              for v in sheet.vents), align="illr", note="A closed tube without a vent bursts its coat in the oven."),
    ))  # fmt: skip
    fits = tuple((one.name, f"{number(one.masked / INCH, 4)} in", f"{number(one.missed / INCH, 4)} in",
                  "CLOSES" if one.closes else "stays open", one.note) for one in sheet.fits)  # fmt: skip
    bolt, growth = sheet.most_grip_growth
    yield Section("If masking is forgotten", (Table(
        "", ("fit", "clearance masked", "with film on it", "then it", "how"), fits, align="lrrll",
        note=f"Grip grows by at most {number(growth / INCH, 4)} in for clamped film, at {bolt}." if bolt else ""),
    ))  # fmt: skip


def _area(sheet: CoatPlan) -> Iterator[Block]:
    middle, upper = sheet.films
    rows = [(row.part, row.title, str(row.count), f"{number(row.area / INCH**2, 1)} in²",
             f"{number(row.count * row.area / FOOT2, 2)} ft²",
             _grams(sheet, row.count * row.area, upper)) for row in sheet.rows]  # fmt: skip
    rows.append(
        ("one rack", "", "", "", f"{number(sheet.area / FOOT2, 2)} ft²", _grams(sheet, sheet.area, upper))
    )
    total = f"{in_unit(sheet.powder(middle), 'lb', 2)} at the middle film of {number(middle / MIL, 2)} mil, "
    total += f"{in_unit(sheet.powder(upper), 'lb', 2)} at the upper one of {number(upper / MIL, 2)} mil"
    yield Text(f"Powder for {sheet.racks} racks: {total}. Powder sprayed, with what does not stay on.")
    yield Table("", ("part", "title", "a rack", "area each", "area a rack", "powder a rack"), tuple(rows),
                align="ilrrrr", note="Powder = area × density × upper film / transfer efficiency.")  # fmt: skip


def _grams(sheet: CoatPlan, area: float, film: float) -> str:
    share = area / sheet.area if sheet.area else 0.0
    return f"{number(1000 * share * sheet.powder(film) / max(sheet.racks, 1), 0)} g"


def _bakes(plan: Plan, design: Design, files: Mapping[str, bytes]) -> Iterator[Section]:
    finish = design.rack.definition.finish
    assert finish is not None
    load = tuple(
        (
            str(n),
            batch.powder,
            ", ".join(map(str, batch.racks)),
            str(len(batch.pieces)),
            in_unit(batch.mass, "lb", 1),
            BLANK,
            BLANK,
        )
        for n, batch in enumerate(plan.oven.batches, start=1)
    )
    probes = [(one.name, one.on, one.place, BLANK) for one in plan.shop.oven.probe] if plan.shop.oven else []
    blocks: list[Block] = []
    if load:
        blocks.append(Table("Loads", ("load", "powder", "racks", "pieces", "mass", "run", "by"), load, align="rllrrll",
                            widths=(0.6, 1, 1, 0.8, 1, 2, 2)))  # fmt: skip
    if probes:
        blocks.append(
            Table("Probes", ("probe", "on", "place", "fixed by"), tuple(probes), widths=(1, 1, 4, 1.5))
        )
    blocks.append(
        Text("Film at named places and the exposure so far are written down before the next coat.", "note")
    )
    yield Section("Oven", tuple(blocks))
    logs = logs_of(files)
    if not logs:
        yield Section(
            "Bake chart", (Text("No run is logged yet: its chart follows from the thermocouple file."),)
        )
    for n, log in enumerate(logs):
        yield Section(f"Bake chart: {log.file}", tuple(bake_blocks(log, finish, plan.shop)), new_page=n == 0)
    if logs:
        yield Section("Exposure ledger", tuple(ledger_blocks(design, logs)))

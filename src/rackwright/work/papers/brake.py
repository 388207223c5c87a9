"""The brake sheet of an order: flat blanks to scale, where K is from, the bend with its tools and force; and
the DXF file of each flat. Test-bend blanks are lines to fill, since K and overbend are the shop's to measure."""

from __future__ import annotations

from collections.abc import Iterator
from math import degrees

from rackwright.making.blank import Blank
from rackwright.making.brake import CAUTIONS, Bend
from rackwright.making.folding import FoldStep
from rackwright.making.folding.section import Polygon, moved
from rackwright.making.folding.strip import bending, outline, section
from rackwright.papers.dxf import blank_dxf, file_name
from rackwright.papers.flat_sketch import blank_svg
from rackwright.papers.fold_sketch import FoldSketch, fold_svg
from rackwright.papers.lengths import inches
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Picture, Section, Table, Text
from rackwright.plan import Plan
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.papers.margins import worked_step
from rackwright.work.papers.mill import check_rows
from rackwright.work.papers.saw import order_head
from rackwright.work.papers.words import in_unit, number

__all__ = ["blank_dxfs", "brake_sheet", "no_rings"]


def no_rings(plan: Plan, paper: str) -> Stopped:
    """Why there is no sheet of rings: what is asked for, or that the order has none."""
    asked = "; ".join(str(one) for one in plan.blanks.asked)
    found = f"no ring can be laid out flat: {asked}" if asked else "the order has no rings to bend"
    return Stopped([Refusal("RW411", Where(paper), found, "give what is asked for in the shop's file")])


def brake_sheet(plan: Plan, order: str, date: str, demo: bool = False) -> bytes:
    """The sheet, PDF. Raises Stopped: a design's faults; RW411 where no ring can be laid out flat."""
    head = order_head(plan, "Brake sheet", f"{order}-BRAKE" if order else "BRAKE", order, date, demo)
    if not plan.blanks.made or plan.shop.brake is None:
        raise no_rings(plan, "brake sheet")
    brake = plan.shop.brake
    sections = [_bend(plan, bend) for bend in plan.brake]
    sections += [_blank(plan, blank) for blank in plan.blanks.made if blank.flat_of == blank.part]
    sections += [Section("How it was worked out", tuple(_steps(plan)), new_page=True)]
    total = sum(blank.quantity for blank in plan.blanks.made)
    facts = (
        ("Brake", f"{brake.name}; "
                  f"punch radius {inches(brake.punch_radius)} in, die opening {inches(brake.die_opening)} in"),
        ("Blanks", f"{total} in the order, {len({blank.flat_of for blank in plan.blanks.made})} flats"),
        ("Metal", "; ".join(dict.fromkeys(f"{b.flat.section}, {b.flat.stock}" for b in plan.blanks.made))),
        ("DXF", ", ".join(sorted(blank_dxfs(plan)))),
    )  # fmt: skip
    asked = dict.fromkeys([*plan.blanks.asked, *(one for bend in plan.brake for one in bend.asked)])
    return set_station_sheet(
        StationSheet(
            head,
            Facts((*facts, *(("Asked for", str(one)) for one in asked))),
            tuple(sections),
            CAUTIONS,
            signatures=("Test bend judged by", "Bent by"),
        )
    )


def blank_dxfs(plan: Plan) -> dict[str, bytes]:
    """A DXF file for each different flat, by file name. Part numbers that share it are named inside."""
    files = {}
    for blank in plan.blanks.made:
        if blank.flat_of == blank.part:
            notes = (
                f"{blank.part}: {blank.flat.section}, {blank.flat.stock}",
                f"USED BY {', '.join(_users(plan, blank))}",
                f"BEND {degrees(blank.angle):.1f} DEG THROUGH, TOWARDS THE READER. UNITS INCHES. NOT APPROVED DATA.",
            )
            files[file_name(blank.part)] = blank_dxf(blank.flat, blank.bend_at, notes)
    return files


def _users(plan: Plan, blank: Blank) -> list[str]:
    return [
        f"{one.part} x {one.quantity}{' turned over' if one.turned_over else ''}"
        for one in plan.blanks.made
        if one.flat_of == blank.part
    ]


# --- the bend ------------------------------------------------------------------------------------


def _bend(plan: Plan, bend: Bend) -> Section:
    brake = plan.shop.brake
    assert brake is not None
    first = next(blank for blank in plan.blanks.made if blank.design == bend.design)
    neutral = first.neutral
    over = bend.overbend
    force = "asked for" if bend.force is None or bend.force_with_reserve is None else (
        f"{in_unit(bend.force, 'lbf', 0)}, with {number(100 * brake.reserve, 0)} % reserve "
        f"{in_unit(bend.force_with_reserve, 'lbf', 0)} "
        f"({number(bend.force_with_reserve / 8896.443230521, 2)} short tons)"
    )  # fmt: skip
    facts = Facts((
        ("Bend through", f"{number(degrees(bend.angle), 1)}° (between the legs "
                         f"{number(180 - degrees(bend.angle), 1)}°), line across the rolling direction"),
        ("Start value under load", "asked for" if bend.loaded is None or over is None else
         f"{number(degrees(bend.loaded), 2)}°: {number(degrees(over), 2)}° of overbend for springback; "
         f"{bend.loaded_how}"),
        ("Inside radius", f"{inches(neutral.radius)} in"),
        ("K", f"{number(neutral.K, 3)}, {neutral.source}" + (f" (test bend {neutral.test})" if neutral.test else "")),
        ("Force", force),
    ))  # fmt: skip
    checks = Table("Held against", ("check", "value", "limit", "answer", "limit from"),
                   check_rows(bend.checks), align="lrrll",
                   widths=(2, 1.3, 1.5, 0.8, 3.4))  # fmt: skip
    rows = tuple((name, *(BLANK,) * 6) for name in ("test bend", "first piece", "last piece"))
    filled = Table("Measured",
                   ("", "heat", "flat, in", "under load, deg", "free, deg", "inside radius, in", "cracks, 10 ×"),
                   rows, widths=(1.1, 1.2, 1, 1.2, 1, 1.3, 1.2),
                   note="A cracked bend is scrap. K and overbend of another heat are start values only.")  # fmt: skip
    return Section(f"Rings of {bend.design}", (facts, checks, *_order(bend), filled), marks=bend.marks)


def _order(bend: Bend) -> Iterator[Block]:
    """The strokes in order, with a picture of each; or why there is no order."""
    order, strip = bend.folding, bend.strip
    if order is None:
        return
    if order.blocked:
        yield Text(f"NO ORDER OF BENDS: {'; '.join(order.blocked)}.", "caution")
        return
    rows = tuple(
        (str(n), str(step.fold + 1), in_unit(strip.folds[step.fold].at, "in", 3),
         "turned over" if step.pose.over else "as drawn", "round end" if step.pose.last_at_back else "square end",
         "asked for" if step.gauge is None else in_unit(step.gauge, "in", 3),
         f"{in_unit(step.front, 'in', 3)} and {in_unit(step.back, 'in', 3)}")
        for n, step in enumerate(order.steps, start=1)
    )  # fmt: skip
    yield Table("Order of bends", ("stroke", "bend", "from square end", "way up", "at the gauge", "backgauge",
                                   "flat before and behind"), rows,
                note="Backgauge from the bend line to its face. No stroke meets punch, die or finger.")  # fmt: skip
    done: frozenset[int] = frozenset()
    for n, step in enumerate(order.steps, start=1):
        angle = bend.loaded if bend.loaded is not None else bend.angle
        words = f"stroke {n}"
        yield Picture(fold_svg(_sketch(bend, step, done, angle, words)), words,
                      "Seen along the bend line: flat on the die dashed, under load drawn out.")  # fmt: skip
        done |= {step.fold}


def _sketch(bend: Bend, step: FoldStep, done: frozenset[int], angle: float, words: str) -> FoldSketch:
    def shape(at: float) -> tuple[float, Polygon]:
        tip, before, behind = section(bend.strip, step.fold, done, step.pose, at, bend.tools.opening)
        bent = bending(bend.strip, step.fold, at, bend.tools.opening)
        return tip, outline(before, [*bent, *behind])

    _, flat = shape(0.0)
    tip, loaded = shape(angle)
    _, _, height, long = bend.tools.gauge or (0.0, 0.0, 0.0, 0.0)
    return FoldSketch(moved(bend.tools.punch or (), 0.0, tip), bend.tools.die or (), flat, loaded, step.gauge,
                      (height, long), words)  # fmt: skip


# --- the flats -----------------------------------------------------------------------------------


def _blank(plan: Plan, blank: Blank) -> Section:
    words = f"bend line, {number(degrees(blank.angle), 1)}° through, towards the reader"
    picture = Picture(blank_svg(blank.flat, blank.bend_at, blank.bend_zone, words),
                      f"flat of {blank.part}",
                      "Seen from outside the rack. Dashed: where the bend begins and ends.")  # fmt: skip
    facts: list[tuple[str, str]] = [
        ("Flat for", "; ".join(_users(plan, blank))),
        ("Length × width × thickness", f"{inches(blank.length)} × {inches(blank.flat.size[1])} × "
                                       f"{inches(blank.flat.thickness)} in"),
        ("Bend line", f"{inches(blank.bend_at)} in from the square end, "
                      f"{inches(blank.bend_from_tip)} in from the round end"),
    ]  # fmt: skip
    if blank.mirror:
        facts.append(("Mirror image", ", ".join(blank.mirror)))
    holes = tuple(
        (hole.name, inches(hole.at[0]), inches(hole.at[1]), inches(hole.diameter, 4),
         "not known" if hole.cut == 0 else inches(hole.cut, 4), "–" if hole.clear is None else inches(hole.clear),
         "AFTER the bend" if hole.finished_after_bend else "in the flat")
        for hole in blank.flat.holes
    )  # fmt: skip
    table = Table("Holes, in",
                  ("hole", "from square end", "across", "finished", "cut in the flat", "edge to bend", "finish"),
                  holes, align="lrrrrrl",
                  note="Across: from the middle, positive to the left of the way to the eye.")  # fmt: skip
    return Section(f"Flat {blank.part}: {blank.title.split(',')[0]}", (Facts(tuple(facts)), picture, table))


def _steps(plan: Plan) -> Iterator[Block]:
    shown: set[str] = set()
    steps = [step for blank in plan.blanks.made for step in blank.steps]
    steps += [step for bend in plan.brake for step in bend.steps]
    once = []
    for step in steps:
        if repr(step) not in shown:
            shown.add(repr(step))
            once.append(step)
    yield Text(
        "All rings of one design have one flat length; each formula is shown once with its numbers.", "note"
    )
    for n, step in enumerate(once, start=1):
        yield worked_step(n, len(once), step)

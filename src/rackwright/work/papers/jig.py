"""The jig sheet of an order: holes by face in the jig's datum with drill and ream, the stack between any two racks,
and the passport that every rack's interchange points are written into."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.making.jig import CAUTIONS, JigHole, JigPlan, StackUp
from rackwright.papers.jig_face import FaceHole, face_svg
from rackwright.papers.lengths import inches
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Picture, Section, Table, Text
from rackwright.pieces.model import axis_index
from rackwright.plan import Plan
from rackwright.work.papers.saw import order_head, rack_name
from rackwright.work.papers.words import AXES, side_of

__all__ = ["jig_sheet"]


def jig_sheet(plan: Plan, order: str, date: str, serials: tuple[str, ...] = (), demo: bool = False) -> bytes:
    """The sheet, PDF. Raises Stopped with a design's faults."""
    head = order_head(plan, "Jig sheet", f"{order}-JIG" if order else "JIG", order, date, demo)
    sections = [
        section
        for (design, _), sheet in zip(plan.demand, plan.jig, strict=True)
        for section in _design(design, sheet)
    ]
    jig = plan.shop.jig
    facts = [("Design", ", ".join(sheet.design for sheet in plan.jig))]
    if jig is not None:
        facts += [
            ("Jig", f"{jig.name}; {jig.document}"),
            ("Datum", jig.datum),
            ("Rack's origin in it",
             ", ".join(f"{a} {inches(nm)}" for a, nm in zip(AXES, jig.origin, strict=True)) + " in"),
            ("Used between", f"{_degf(jig.coldest)} and {_degf(jig.warmest)}"),
            ("Left for the reamer", f"{inches(jig.ream_allowance, 4)} in on the diameter"),
        ]  # fmt: skip
    else:
        facts.append(("Jig", "the shop names none: coordinates are those of the rack, datum A"))
    facts += [("Asked for", str(one)) for sheet in plan.jig for one in sheet.asked]
    serial = rack_name(serials, 1) if len(serials) == 1 else ""
    return set_station_sheet(
        StationSheet(
            head,
            Facts((*facts, ("Rack", serial or BLANK), ("Temperature of jig and parts", BLANK))),
            tuple(sections),
            CAUTIONS,
            plan.jig[0].stack.answer.capitalize() + "." if len(plan.jig) == 1 and plan.jig[0].stack else "",
            signatures=("Drilled and reamed by", "Passport measured by"),
        )
    )


def _degf(kelvin: float) -> str:
    return f"{kelvin * 9 / 5 - 459.67:.0f} °F"


def _design(design: object, sheet: JigPlan) -> Iterator[Section]:
    assert isinstance(design, Design)
    numbers = {
        hole.bolt: n for n, hole in enumerate((h for face in sheet.faces.values() for h in face), start=1)
    }
    if sheet.stack is not None:
        yield Section(f"Stack-up of {sheet.design}", tuple(_stack(sheet.stack)), marks=sheet.marks)
    for face, holes in sheet.faces.items():
        yield Section(
            f"Face {side_of(face)}: {len(holes)} holes", tuple(_face(design, sheet, face, holes, numbers))
        )
    anchors = tuple(_anchors(sheet, numbers))
    if anchors:
        yield Section(f"Anchors and rivet holes: {len(sheet.anchors)} bolts without a nut", anchors)
    points = [hole for hole in sheet.holes if hole.interchange]
    rows = tuple(
        (str(numbers[hole.bolt]), hole.bolt, hole.use, *map(inches, hole.at), BLANK, BLANK, BLANK)
        for hole in points
    )
    yield Section("Passport of the rack", (
        Text("Each interchange point as measured from the jig's datum after the rack is bolted up. Blank is not zero."),
        Table("", ("no.", "point", "use", "x, in", "y, in", "z, in", "x found", "y found", "z found"), rows,
              align="rilrrrlll", widths=(0.5, 3.4, 0.8, 1, 1, 1, 1.2, 1.2, 1.2)),
        Table("", ("diagonals front", "diagonals rear", "diagonals left", "diagonals right", "gaps before pulling"),
              ((BLANK,) * 5,), widths=(1, 1, 1, 1, 1.2)),
    ))  # fmt: skip


def _anchors(sheet: JigPlan, numbers: dict[str, int]) -> Iterator[Block]:
    """Anchors of the screws of panels and equipment, and the rivet holes of every nutplate."""
    screws = tuple(
        (one.bolt, *map(inches, one.at), one.then, BLANK) for one in sheet.anchors if one.bolt not in numbers
    )
    if screws:
        yield Table("Screws of panels and equipment, drilled from their own part", ("hole", "x, in", "y, in", "z, in",
                    "then", "done"), screws, align="irrrll", widths=(2.6, 0.9, 0.9, 0.9, 5, 1))  # fmt: skip
    rivets = tuple(
        (one.bolt, str(n), *map(inches, at), inches(one.rivet_hole, 4), BLANK)
        for one in sheet.anchors
        for n, at in enumerate(one.rivets, start=1)
    )
    if rivets:
        yield Table("Rivet holes of nutplates",
                    ("of hole", "rivet", "x, in", "y, in", "z, in", "drill", "done"), rivets, align="irrrrrl",
                    widths=(3.2, 0.6, 1, 1, 1, 1, 1))  # fmt: skip


# --- stack-up ------------------------------------------------------------------------------------


def _stack(stack: StackUp) -> Iterator[Block]:
    def thou(metres: float) -> str:
        return inches(round(metres * 1e9), 4)

    yield Table(
        "Contributors, one interchange point along one axis, in",
        ("contributor", "±", "offset", "distribution", "same on every rack", "known from"),
        tuple((one.name, thou(one.half), thou(one.offset), one.distribution, "yes" if one.common else "no", one.known)
              for one in stack.contributions),
        align="lrrlll",
        widths=(2, 0.8, 0.8, 1.1, 1, 4),
    )  # fmt: skip
    limit = stack.limit
    rows: list[tuple[str, str, str, str]] = []
    for name, value, held in (
        ("one rack against the drawing, worst case", stack.worst_one, False),
        ("one rack, three sigma (root sum of squares)", stack.statistical_one, False),
        ("any two racks of this jig, worst case", stack.worst_two, True),
        ("any two racks of this jig, three sigma (root sum of squares)", stack.statistical_two, True),
        ("racks of two jigs, worst case", stack.worst_two_jigs, True),
    ):
        answer = "–" if limit is None or not held else "within" if value <= limit else "OVER"
        rows.append((name, thou(value), thou(limit) if held and limit is not None else "–", answer))
    yield Table("Stack, in", ("stack", "±", "between two racks", "answer"), tuple(rows), align="lrrl",
                note=f"Governs: {stack.governs}. What both racks share falls out between them.")  # fmt: skip


# --- holes ---------------------------------------------------------------------------------------


def _face(
    design: Design, sheet: JigPlan, face: str, holes: tuple[JigHole, ...], numbers: dict[str, int]
) -> Iterator[Block]:
    i = axis_index(face)
    u, v = (k for k in range(3) if k != i)
    outside = design.rack.definition.outside
    size, origin = (
        (outside.width, outside.depth, outside.height),
        sheet.jig.origin if sheet.jig else (0, 0, 0),
    )
    drawn = [FaceHole(numbers[one.bolt], one.at[u], one.at[v], one.interchange) for one in holes]
    yield Picture(
        face_svg(face, (size[u], size[v]), (origin[u], origin[v]), drawn, (AXES[u], AXES[v])),
        f"holes of face {face}",
        f"Filled: interchange points. {AXES[u]} and {AXES[v]} in the jig's axes, whichever side the face is on.",
    )
    rows = tuple(
        (str(numbers[one.bolt]), one.bolt, one.use, *map(inches, one.at),
         inches(one.drill, 4) if one.drill else "asked for", inches(one.ream, 4), "yes" if one.interchange else "–",
         BLANK, BLANK)
        for one in holes
    )  # fmt: skip
    yield Table("",
                ("no.", "hole", "use", "x, in", "y, in", "z, in", "drill", "ream", "inter-change", "drilled", "reamed"),
                rows, align="rilrrrrrlll",
                widths=(0.5, 3.3, 0.8, 0.95, 0.95, 0.95, 0.8, 0.8, 0.85, 0.9, 0.9))  # fmt: skip
    without_nut = tuple((str(numbers[one.bolt]), one.bolt, one.then, BLANK) for one in holes if one.then)
    if without_nut:
        yield Table("Bolts without a nut: what their holes then get", ("no.", "hole", "then", "done"), without_nut,
                    align="rlll", widths=(0.5, 3, 6, 1))  # fmt: skip

"""Statics by hand: a free body strap by strap, weight times load factor, shelf angles as simple beams.

Every figure is rounded as printed before the next is formed. Masses are added piece by piece, not taken from the
frame; beams are shared by the rule of levers.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import numpy as np

from rackwright.design import Design
from rackwright.formulas.loads import G0
from rackwright.papers.table import Block, Items, Table, Text
from rackwright.pieces.weight import equipment_cg
from rackwright.strength.run import Run
from rackwright.units import unit_factor
from rackwright.work.papers.report.bodies import Body
from rackwright.work.papers.report.hand import apart
from rackwright.work.papers.words import in_unit, number, short_names

__all__ = ["body_by_hand", "frame_by_hand"]

LBF, LB, IN = (Decimal(str(float(unit_factor(word)))) for word in ("lbf", "lb", "in"))
Vector = tuple[Decimal, Decimal, Decimal]


# --- one free body -------------------------------------------------------------------------------


def body_by_hand(design: Design) -> Iterator[Block]:
    """The free body behind the least margin, strap by strap, in rack axes and US units."""
    run = design.strength.run
    cases = () if run is None else tuple(case.id for case in run.cases)
    given = [m for m in design.strength.margins if m.margin is not None and m.case in cases]
    if run is None or not given:
        yield Text("There is no solved load case.")
        return
    least = min(given, key=lambda m: (m.margin or 0.0, m.id))
    c = cases.index(least.case)
    body = Body(run, c, run.model.variants.index(least.pretension))
    yield Text(
        f"{least.case}, {least.pretension} pretension: every force on the rack where it comes to rest, "
        "rack axes as drawn."
    )
    rows, total = [], [Decimal(0)] * 3
    for one in body.held:
        if one.kind == "strap":
            row, force = _strap_row(run, body, one.name)
        else:
            force = tuple(_round(Decimal(repr(float(x))) / LBF, 1) for x in one.force)  # type: ignore[assignment]
            row = (f"{one.kind} {one.name}", "–", "–", "–", *(_one(x) for x in force))
        total = [a + b for a, b in zip(total, force, strict=True)]
        rows.append(row)
    weight = sum((_round(Decimal(repr(m)) / LB, 3) for m in _masses(design)), Decimal(0))
    factors = [Decimal(repr(round(float(g), 6))) for g in run.cases[c].rack]
    push = [_round(weight * g, 1) for g in factors]
    rows.append(("sum", "", "", "", *(_one(x) for x in total)))
    rows.append(
        (
            f"weight {weight} lb × {', '.join(_plain(g) for g in factors)}",
            "",
            "",
            "",
            *(_one(x) for x in push),
        )
    )
    rows.append(("left over", "", "", "", *(_one(a + b) for a, b in zip(total, push, strict=True))))
    yield Table(
        "",
        ("force", "tension, lbf", "eye to fitting, in", "length, in", "x, lbf", "y, lbf", "z, lbf"),
        tuple(rows),
        align="lrlrrrr",
        widths=(2.6, 1, 2.6, 0.95, 0.95, 0.95, 0.95),
        note="Strap: length = √(dx² + dy² + dz²), force = tension × (dx, dy, dz) / length, every figure rounded as "
        "printed. Weight: the masses of all pieces, bolts and items (with tolerance) added one by "
        "one, not the frame's.",
    )


def _strap_row(run: Run, body: Body, name: str) -> tuple[tuple[str, ...], Vector]:
    f, v = run.model.frame, body.v
    n = next(i for i, one in enumerate(_strap_marks(run)) if one == name)
    tension = _round(Decimal(repr(float(run.response.tie_force[v, body.case, n]))) / LBF, 1)
    eye = body.drawn(run.settled.eye[v, body.case, n])  # where the rack rests
    way = [_round(Decimal(repr(float(x))) / IN, 3) for x in f.ties.offset[v, n, 1] - eye]
    length = _round(sum((x * x for x in way), Decimal(0)).sqrt(), 3)
    x, y, z = (_round(tension * one / length, 1) for one in way)
    shown = (
        f"strap {name}",
        _one(tension),
        ", ".join(_plain(one) for one in way),
        _plain(length),
        *(_one(q) for q in (x, y, z)),
    )
    return shown, (x, y, z)


def _strap_marks(run: Run) -> list[str]:
    return list(short_names("S", run.model.straps).values())


def _masses(design: Design) -> Iterator[float]:
    yield from (piece.mass for piece in design.pieces.made)
    yield from (bolt.mass for bolt in design.pieces.bolts)
    yield from (item.mass + (item.mass_tolerance or 0.0) for item in design.rack.definition.equipment)


def _round(value: Decimal, places: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-places))


def _one(value: Decimal) -> str:
    return number(float(value), 1)


def _plain(value: Decimal) -> str:
    return format(value.normalize(), "f").replace("-", "−")


# --- the frame -----------------------------------------------------------------------------------


def frame_by_hand(design: Design) -> Iterator[Block]:
    """Weight times load factor against what holds the rack, and shelf angles as simple beams."""
    run = design.strength.run
    if run is None:
        yield Text("There is no solved load case.")
        return
    mass = sum(_masses(design))
    rows = []
    for c, case in enumerate(run.cases):
        hand = mass * float(np.linalg.norm(case.rack)) * G0
        bodies = [Body(run, c, v) for v in range(len(run.model.variants)) if run.response.loose[v][c] is None]
        sums = [float(np.linalg.norm(sum((one.force for one in body.held), np.zeros(3)))) for body in bodies]
        if sums:
            far = max(sums, key=lambda one: abs(one - hand))
            rows.append((case.id, number(float(np.linalg.norm(case.rack)), 2), in_unit(hand, "lbf", 1),
                         in_unit(far, "lbf", 1), apart(Decimal(repr(far)), hand)))  # fmt: skip
    yield Table(
        "Weight times load factor, and what holds the rack",
        ("case", "g", "by hand", "sum of reactions", "differ by"),
        tuple(rows),
        align="irrrr",
        note=f"By hand: {in_unit(mass, 'lb', 3)}, the masses of pieces, bolts and items with tolerance added; the "
        f"frame weighs {in_unit(float(run.response.mass[0]), 'lb', 3)}. Of all variants the sum that is farthest off.",
    )
    beams = list(_beams(design, run))
    if beams:
        yield Table(
            "Largest moment in the shelf angles, as simple beams",
            ("angle", "case", "span, in", "by hand, lbf·in", "frame, lbf·in", "differ by"),
            tuple(beams),
            align="iirrrr",
            note="By hand: each item's force shared among its four feet by the rule of levers, the "
            "panel's weight equally "
            "over the fixing lines, the angle's own weight spread; simple supports at the posts.",
        )
    else:
        yield Items(
            ("No shelf carries an item on two fixing lines in a purely vertical case: no beam to compare.",)
        )


def _beams(design: Design, run: Run) -> Iterator[tuple[str, ...]]:
    d = design.rack.definition
    vertical = [c for c, case in enumerate(run.cases)
                if abs(case.rack[2]) > 0 and not case.rack[:2].any() and run.response.loose[0][c] is None]  # fmt: skip
    if not vertical:
        return
    c = max(vertical, key=lambda n: abs(float(run.cases[n].rack[2])))
    g = abs(float(run.cases[c].inertia[2]))
    for shelf in d.shelf:
        items = [item for item in d.equipment if item.on_shelf and item.on_shelf.shelf == shelf.name]
        lines = sorted(
            {item.on_shelf.at[1] + y for item in items if item.on_shelf for _, y in item.on_shelf.feet}
        )
        if len(items) != 1 or len(lines) != 2:
            continue
        x, y = equipment_cg(design.rack, items[0])[:2]
        ys = [line * 1e-9 for line in lines]
        hands = {hand: _angle_x(run, f"angle.{shelf.name}.{hand}") for hand in ("left", "right")}
        wide = hands["right"] - hands["left"]
        force = (items[0].mass + (items[0].mass_tolerance or 0.0)) * g
        panel = design.pieces.get(f"panel.{shelf.name}").mass * g / 4
        for hand, share in (("left", (hands["right"] - x) / wide), ("right", (x - hands["left"]) / wide)):
            loads = [
                force * share * (ys[1] - y) / (ys[1] - ys[0]) + panel,
                force * share * (y - ys[0]) / (ys[1] - ys[0]) + panel,
            ]
            start, end = d.tube.side * 0.5e-9, (d.outside.depth - d.tube.side / 2) * 1e-9
            span = end - start
            own = design.pieces.get(f"angle.{shelf.name}.{hand}").mass * g / span
            hand_moment = _simple_beam(span, [one - start for one in ys], loads, own)
            rows = [n for n, s in enumerate(run.model.segments) if s.piece == f"angle.{shelf.name}.{hand}"]
            frame = float(np.abs(run.inside[:, c][:, rows][..., 4]).max())
            unit = float(unit_factor("lbf")) * 0.0254
            yield (
                f"angle.{shelf.name}.{hand}",
                run.cases[c].id,
                *(number(span / 0.0254, 2), number(hand_moment / unit, 1), number(frame / unit, 1)),
                apart(Decimal(repr(hand_moment)), frame),
            )


def _angle_x(run: Run, piece: str) -> float:
    f = run.model.frame
    row = next(n for n, s in enumerate(run.model.segments) if s.piece == piece)
    return float(f.xyz[0, f.members.ends[row, 1], 0])


def _simple_beam(span: float, places: list[float], loads: list[float], own: float) -> float:
    """Largest moment of point loads and a spread load on two supports."""
    reaction = sum(p * (span - a) for p, a in zip(loads, places, strict=True)) / span + own * span / 2
    best = 0.0
    for x in sorted({*places, *np.linspace(0, span, 201)}):
        moment = (
            reaction * x
            - own * x * x / 2
            - sum(p * max(x - a, 0) for p, a in zip(loads, places, strict=True))
        )
        best = max(best, abs(float(moment)))
    return best

"""A shelf's panel as a strip and as a plate under the feet of what stands on it.

The panel between the two angles is a strip of the fixing line's tributary width, no more than 3 in each side of the
line, simply supported on the edges of the carrying legs; under each foot it is also judged as a long plate, where its
moment peaks. A foot nearer to the panel's free edge than about a third of the span sees more than that; the strip,
with its width cut there, is what counts for it. Where the strips of two items overlap, what the other's strip carries
at the place is added whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import plate, section
from rackwright.pieces.model import IN
from rackwright.pieces.shelf_pieces import equipment_corner, shelf_feet, shelf_of
from rackwright.rack.model import Equipment, Shelf
from rackwright.strength.checks.equipment import feet_forces
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["STRIP", "Line", "feet_places", "fixing_lines", "items_on", "of_others", "panel_sag", "panels"]

Array = NDArray[np.float64]
STRIP = 3 * IN  # most of the panel counted on each side of a fixing line; common practice, no source


def panels(run: Run) -> Iterator[Margin]:
    """Margins of every shelf's panel."""
    for shelf in run.rack.definition.shelf:
        yield from _panel(run, shelf)


def _panel(run: Run, shelf: Shelf) -> Iterator[Margin]:
    """Bending of the panel across the rack under the feet of each item."""
    make = run.rack.definition.shelf_make
    row, t = run.rack.rows.materials[make.panel.material], make.panel.thickness * 1e-9
    for item in items_on(run, shelf.name):
        moments, widths = _strips(run, item)
        about = Subject(f"panel.{shelf.name}.{item.name}/strip bending", "panel strip bending",
                        f"{row.id}, lower direction: {row.known}", row.unconfirmed, "Pa",
                        places=tuple(f"fixing line {n + 1}" for n in range(len(widths))))  # fmt: skip
        Ftu, second = row.strength("Ftu"), section.rectangle_inertia(widths, t)
        if Ftu is None or not row.covers(t):
            yield missing(about, f"{row.id} gives no strength for {t / 0.0254:.3f} in")
            continue
        stress = section.bending_stress(moments, second, t / 2)

        def steps(at: Index, M: Array = moments, I: Array = second) -> tuple[Step, ...]:
            return (("bending_stress", {"M": float(M[at]), "I": float(I[at[2]]), "c": t / 2}),)

        yield ratio(run.context("ultimate"), about, stress, Ftu, 1.0, steps)
        if run.chosen("limit"):
            yield _strip_yield(run, item, about)
        yield _at_feet(run, item, shelf)


def items_on(run: Run, shelf: str) -> list[Equipment]:
    """Items whose feet, or whose rear support's, are screwed to this shelf."""
    return [item for item in run.rack.definition.equipment if shelf_of(item) == shelf]


def feet_places(run: Run, item: Equipment) -> Array:
    """(feet, 3) m, rack axes but from the shelf's top, so that no rounding hangs on its height."""
    left, front, _ = equipment_corner(run.rack, item)
    return np.array([(left + x, front + y, 0) for x, y in shelf_feet(item)]) * 1e-9


def _strip_yield(run: Run, item: Equipment, about: Subject) -> Margin:
    make = run.rack.definition.shelf_make
    row, t = run.rack.rows.materials[make.panel.material], make.panel.thickness * 1e-9
    about = replace(
        about, id=f"{about.id.rpartition('/')[0]}/strip yield", mode="panel strip, yield", level="yield"
    )
    moments, widths = _strips(run, item, "limit")
    Fty, second = row.strength("Fty"), section.rectangle_inertia(widths, t)
    if Fty is None:
        return missing(about, f"{row.id} has no sourced yield")
    stress = section.bending_stress(moments, second, t / 2)
    return ratio(run.context("limit"), about, stress, Fty, 1.0, lambda at: (
        ("bending_stress", {"M": float(moments[at]), "I": float(second[at[2]]), "c": t / 2}),))  # fmt: skip


def _strips(run: Run, item: Equipment, level: str = "ultimate") -> tuple[Array, Array]:
    """Moments (V, C, lines) in the panel under each fixing line, and the width (lines,) that carries it, m."""
    span, lines = fixing_lines(run, item)
    forces = _on_feet(run, item, level)
    moments = [
        (forces[..., line.on] @ _moments(line.x, line.x, span) + line.width * _of_others(run, item, line, level))
        .max(axis=-1)
        for line in lines
    ]  # fmt: skip
    return np.stack(moments, axis=-1), np.array([line.width for line in lines])


def _on_feet(run: Run, item: Equipment, level: str) -> Array:
    """(V, C, feet) size of what each foot puts across the panel."""
    return np.abs(run.demand(level, lambda one: feet_forces(one, item, level)[..., 2:]))[..., 0]


def _of_others(run: Run, item: Equipment, line: Line, level: str = "ultimate") -> Array:
    """(V, C, feet) what the strips of the shelf's other items carry at an item's feet, for each unit of width."""

    def carried(other: Equipment, one: Line) -> Array:
        span, forces = fixing_lines(run, other)[0], _on_feet(run, other, level)
        return np.asarray(forces[..., one.on] @ _moments(one.x, line.x, span) / one.width)

    return of_others(run, item, line, carried)


def of_others(run: Run, item: Equipment, line: Line, each: Callable[[Equipment, Line], Array]) -> Array:
    """What the shelf's other items add on a fixing line: of each the strip that overlaps with it and does most (by
    size), for its strips lie side by side. Zeros of no shape where none does."""
    found: Array = np.zeros(())
    for other in items_on(run, shelf_of(item) or ""):
        strips = [each(other, one) for one in fixing_lines(run, other)[1] if overlap(line, one)]
        if strips and other is not item:
            most, least = np.maximum.reduce(strips), np.minimum.reduce(strips)
            found = found + np.where(most >= -least, most, least)
    return found


def overlap(line: Line, other: Line) -> bool:
    """Do the strips of two fixing lines share some of the panel?"""
    return abs(line.y - other.y) < 2 * STRIP


@dataclass(frozen=True, eq=False)
class Line:
    """One fixing line: which feet stand on it, how far from the left support (m), how far it lies from the rack's
    front (nm), and what of the panel is its own before and behind it (m)."""

    on: NDArray[np.bool_]
    x: Array
    y: int
    before: float
    behind: float

    def within(self, length: Array | float) -> Array:
        """What a length (m) with its middle on the line leaves of itself on the line's own panel."""
        half = np.asarray(length) / 2
        return np.minimum(self.before, half) + np.minimum(self.behind, half)

    @property
    def width(self) -> float:
        """That carries it."""
        return float(self.within(2 * STRIP * 1e-9))


def fixing_lines(run: Run, item: Equipment) -> tuple[float, list[Line]]:
    """The span between the edges of the carrying legs, and an item's fixing lines."""
    d = run.rack.definition
    left = d.tube.side + d.shelf_make.angle.carry_leg
    corner = equipment_corner(run.rack, item)
    feet = np.array([(corner[0] + x, corner[1] + y) for x, y in shelf_feet(item)])
    ys = sorted({int(y) for y in feet[:, 1]})
    edges = [0, *((a + b) // 2 for a, b in pairwise(ys)), d.outside.depth]
    found = []
    for y, (a, b) in zip(ys, pairwise(edges), strict=True):
        on = feet[:, 1] == y
        found.append(Line(on, (feet[on, 0] - left) * 1e-9, y, (y - a) * 1e-9, (b - y) * 1e-9))
    return (d.outside.width - 2 * left) * 1e-9, found


def _moments(x: Array, at: Array, span: float) -> Array:
    """(forces, places) moment of a strip at each place for a unit force at each x."""
    inside = np.logical_and.outer((x > 0) & (x < span), (at > 0) & (at < span))
    least, most = np.minimum.outer(x, at), np.maximum.outer(x, at)
    return np.where(inside, least * (span - most) / span, 0.0)


def panel_sag(run: Run, item: Equipment, level: str) -> tuple[Array, Array]:
    """Deflection (m, up positive) of the panel under each foot of an item (V, C, feet), and all along its strips; with
    what the strips of the shelf's other items sag there."""
    span, lines = fixing_lines(run, item)
    feet, along = np.zeros((*run.inertia_force(item, level).shape[:2], len(shelf_feet(item)))), []
    for line in lines:
        for places, kept in ((line.x, True), (np.linspace(0, span, 9), False)):

            def sagging(other: Equipment, one: Line, at: Array = places) -> Array:
                return _sag(run, other, one, at, level)

            sag = sagging(item, line) + of_others(run, item, line, sagging)
            if kept:
                feet[..., line.on] = np.where((line.x > 0) & (line.x < span), sag, 0.0)
            else:
                along.append(sag)
    return feet, np.concatenate(along, axis=-1)


def _sag(run: Run, item: Equipment, line: Line, places: Array, level: str) -> Array:
    """(V, C, places) of one item's strip by itself, at places (m) from the left support."""
    make, span = run.rack.definition.shelf_make, fixing_lines(run, item)[0]
    E, t = run.rack.rows.materials[make.panel.material].E or np.nan, make.panel.thickness * 1e-9
    second = float(section.rectangle_inertia(line.width, t))
    load = np.where((line.x > 0) & (line.x < span), feet_forces(run, item, level)[..., 2][..., line.on], 0.0)
    at, x = np.clip(places, 0, span)[:, None], np.clip(line.x, 0, span)[None]
    return np.asarray(load @ plate.beam_deflection(1.0, span, at, x, E, second).T)


def _at_feet(run: Run, item: Equipment, shelf: Shelf) -> Margin:
    """The panel as a long plate under each foot, with what the other feet of its line bend it as a strip."""
    make = run.rack.definition.shelf_make
    row, t = run.rack.rows.materials[make.panel.material], make.panel.thickness * 1e-9
    about = Subject(f"panel.{shelf.name}.{item.name}/plate at its feet", "panel plate under a foot",
                    f"{row.id}, lower direction: {row.known}", row.unconfirmed, "Pa",
                    places=tuple(f"foot {n + 1}" for n in range(len(shelf_feet(item)))))  # fmt: skip
    Ftu, nu = row.strength("Ftu"), row.nu
    if Ftu is None or nu is None or not row.covers(t):
        return missing(about, f"{row.id} gives no strength for {t / 0.0254:.3f} in")
    c = float(plate.patch_radius(run.rack.rows.washers[make.feet.washer].outside_diameter / 2, t))
    span, lines = fixing_lines(run, item)
    forces = _on_feet(run, item, "ultimate")
    moment, more, xi = np.zeros_like(forces), np.zeros_like(forces), np.zeros(forces.shape[-1])
    lines_of: list[tuple[Line, Array]] = []
    for line in lines:
        rest = _moments(line.x, line.x, span) * (1 - np.eye(len(line.x))) / line.width
        own = plate.strip_plate_moment(forces[..., line.on], span, line.x, c, nu)
        theirs = _of_others(run, item, line)
        beside = forces[..., line.on] @ rest + theirs
        lines_of.append((line, theirs))
        moment[..., line.on], more[..., line.on], xi[line.on] = own + beside, beside, line.x
    stress = plate.plate_stress(moment, t)

    def steps(at: Index) -> tuple[Step, ...]:
        given = {"P": float(forces[at]), "a": span, "xi": float(xi[at[2]]), "c": c, "nu": nu}
        m2 = float(more[at])
        line, theirs = next((line, theirs) for line, theirs in lines_of if line.on[at[2]])
        feet = [n for n in np.flatnonzero(line.on) if n != at[2] and 0 < xi[n] < span]
        theirs = np.broadcast_to(theirs, (*forces.shape[:2], len(line.x)))
        beside: dict[str, float | Array] = {
            "P": np.array([forces[at[0], at[1], n] for n in feet] or [0.0]),
            "x": np.array([xi[n] for n in feet] or [0.0]),
            "xi": float(xi[at[2]]), "a": span, "w": line.width,
            "mo": float(theirs[at[0], at[1], int(line.on[: at[2]].sum())]),
        }  # fmt: skip
        return (
            ("strip_plate_moment", given),
            ("feet_beside", beside),
            ("added_moment", {"m1": float(moment[at]) - m2, "m2": m2}),
            ("plate_stress", {"m": float(moment[at]), "t": t}),
        )

    return ratio(run.context("ultimate"), about, stress, Ftu, 1.0, steps)

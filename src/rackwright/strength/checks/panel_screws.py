"""The screws of a shelf's panel on its angles: what its feet pull along it and off it, with prying by its edges.

Along the panel all screws share as those of a rigid one. Across it each fixing line is a strip that ends at the
angles, at most fixed there (`prying`): what pulls it off loads the screws by the fixed end's reaction and, over the
panel's edge, by its moment; what presses it down lifts it off at the screws over the leg's toe. A line's end goes to
the screws before and behind it by the lever rule, and beyond the last to that one and more: no screw further away
helps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import prying
from rackwright.pieces.model import Bolt
from rackwright.pieces.shelf_pieces import HANDS
from rackwright.rack.model import Equipment, Shelf
from rackwright.strength.checks.anchor import anchored, at_root
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.equipment import feet_forces
from rackwright.strength.checks.joint import bearing
from rackwright.strength.checks.panel import feet_places, fixing_lines, items_on
from rackwright.strength.checks.rigid import shared
from rackwright.strength.margin import Index, Margin, Step
from rackwright.strength.run import Run

__all__ = ["Ends", "lifted", "panel_screws", "screws_of"]

Array = NDArray[np.float64]
ACROSS = (1.0, 1.0, 0.0)  # what acts along the panel


def panel_screws(run: Run) -> Iterator[Margin]:
    """Margins of every shelf's panel screws and of the panel they bear on; none without what stands on it."""
    for shelf in run.rack.definition.shelf:
        yield from _screws(run, shelf)


def _screws(run: Run, shelf: Shelf) -> Iterator[Margin]:
    items = items_on(run, shelf.name)
    make, panel = run.rack.definition.shelf_make, run.pieces.get(f"panel.{shelf.name}")
    if not items:
        return
    held = screws_of(run, shelf)
    points = _points(held, shelf)
    forces = _demand(run, items, points, "ultimate")
    shear, ends = np.hypot(forces[..., 0], forces[..., 1]), _ends(run, items, held, shelf, "ultimate")
    pull = ends.pull + np.maximum(forces[..., 2], 0.0)
    screw, places = make.screw.bolt, tuple(bolt.id.removeprefix("panel.") for bolt in held)

    def steps(at: Index) -> tuple[Step, ...]:
        along: Step = ("screw_shear", {"Fa": float(forces[at][0]), "Fb": float(forces[at][1]), "n": 1.0})
        tipped = {"T1": float(ends.pull[at]), "T2": max(float(forces[at][2]), 0.0)}
        return along, *ends.steps(at), ("pulls_added", tipped)

    mode = "panel screws in shear and tension"
    yield shear_tension(run, f"{panel.id}/screws", mode, screw, shear, pull, places, before=steps,
                        at_root=at_root(held))  # fmt: skip
    yield from anchored(run, f"{panel.id}/screws", held, pull, places)
    t, ids = make.panel.thickness * 1e-9, [bolt.id for bolt in held]
    for level in run.levels:
        on = _demand(run, items, points, level)
        borne = np.hypot(on[..., 0], on[..., 1])
        yield bearing(
            run, f"{panel.id}/screw bearing", panel, ids, run.rack.rows.bolts[screw].diameter, t, borne, level
        )


def screws_of(run: Run, shelf: Shelf) -> list[Bolt]:
    """The bolts that hold a shelf's panel on its angles, the left side first."""
    heads = {f"panel.{shelf.name}.{hand}" for hand in HANDS}
    return [bolt for bolt in run.pieces.bolts if bolt.id.rpartition(".")[0] in heads]


def lifted(run: Run, shelf: Shelf, items: list[Equipment], level: str) -> tuple[Array, Ends, Array]:
    """(V, C, screws) pull of a panel that is pulled off on each of `screws_of`, N, and what it is made of: its strips,
    and what tips it."""
    held = screws_of(run, shelf)
    ends = _ends(run, items, held, shelf, level)
    ends = replace(ends, down=np.zeros_like(ends.down))
    tipped = np.maximum(_demand(run, items, _points(held, shelf), level)[..., 2], 0.0)
    return ends.pull + tipped, ends, tipped


def _points(held: list[Bolt], shelf: Shelf) -> Array:
    return np.asarray((np.array([bolt.point for bolt in held]) - (0, 0, shelf.height)) * 1e-9)


def _along(run: Run, items: list[Equipment], points: Array, level: str) -> Array:
    """(V, C, screws, 3) what the feet of all items put along a rigid panel on its screws at `points` (m)."""
    forces: Array = np.zeros(())
    for item in items:
        at, each = feet_places(run, item), feet_forces(run, item, level) * ACROSS
        forces = forces + sum(shared(points, each[:, :, n], at[n]) for n in range(len(at)))
    return forces


def _demand(run: Run, items: list[Equipment], points: Array, level: str) -> Array:
    return run.demand(level, lambda one: _along(one, items, points, level), (2,))


@dataclass(frozen=True, eq=False)
class Ends:
    """What the panel's strips put on each screw (V, C, screws): pull off, moments that pry up and down; levers, m."""

    off: Array
    up: Array
    down: Array
    levers: dict[str, float]

    @property
    def pull(self) -> Array:
        return np.asarray(prying.panel_screw(self.off, self.up, self.down, **self.levers), dtype=float)

    def steps(self, at: Index) -> tuple[Step, ...]:
        given = {"R": float(self.off[at]), "Mu": float(self.up[at]), "Md": float(self.down[at])}
        return (("panel_screw", {**given, **self.levers}),)


def _ends(run: Run, items: list[Equipment], held: list[Bolt], shelf: Shelf, level: str) -> Ends:
    d, make = run.rack.definition, run.rack.definition.shelf_make
    sides = {
        hand: [n for n, bolt in enumerate(held) if bolt.id.rpartition(".")[0] == f"panel.{shelf.name}.{hand}"]
        for hand in HANDS
    }
    from_post = held[sides["left"][0]].point[0] - d.tube.side
    e, c = (from_post - make.side_gap) * 1e-9, (make.angle.carry_leg - from_post) * 1e-9
    ends = [run.demand(level, partial(_line_ends, item=item, level=level, c=c), (0, 1, 2)) for item in items]
    off, up, down = np.zeros((3, *ends[0].shape[:2], len(held)))
    for item, found in zip(items, ends, strict=True):
        for at, line in enumerate(fixing_lines(run, item)[1]):
            for hand, mine in enumerate(sides.values()):
                share = _shares(np.array([held[n].point[1] for n in mine]), line.y)
                for part, kept in enumerate((off, up, down)):
                    whole = np.maximum(found[:, :, at, hand, part], 0.0)
                    kept[..., mine] += whole[..., None] * share
    return Ends(off, up, down, {"e": e, "c": c})


def _line_ends(run: Run, item: Equipment, level: str, c: float) -> Array:
    """(V, C, lines, hands, 3) at the ends of an item's fixing lines: what pulls off, and the moments that pry up and
    down where positive; c is the lever from screw to toe, m."""
    toes, lines = fixing_lines(run, item)
    forces = feet_forces(run, item, level)[..., 2]
    found = []
    for line in lines:
        P = forces[..., line.on]
        for x in (line.x, toes - line.x):  # from the left, from the right
            found += [
                prying.fixed_end_reaction(P, toes + 2 * c, x + c),
                prying.fixed_end_moment(P, toes + 2 * c, x + c),
                -prying.fixed_end_moment(P, toes, x),
            ]
    each = np.stack([np.asarray(one).sum(axis=-1) for one in found], axis=-1)
    return each.reshape(*each.shape[:2], len(lines), len(HANDS), 3)


def _shares(at: Array, y: float) -> Array:
    """(screws,) share of a line at y that the screws at ascending places `at` take; beyond the last, more than all."""
    n = int(np.clip(np.searchsorted(at, y), 1, len(at) - 1))
    behind = (y - at[n - 1]) / (at[n] - at[n - 1])
    found = np.zeros(len(at))
    found[n - 1], found[n] = max(1 - behind, 0.0), max(behind, 0.0)
    return found

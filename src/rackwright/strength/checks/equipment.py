"""The fixings of each item: its feet on the shelf, its panel screws on the rails, its tray.

The inertia force at the item's centre of gravity reaches all its fixing points as the statically equivalent
forces of the least-squares rigid body (`rigid`), or as those of its isolators where it has any (`isolators`), with the
couples of their stretched lengths; a deep unit that hangs on its panel alone so puts its whole
overturning moment on its panel screws, and one with a rear support shares it with that support's feet. A point
that is pulled loads its screw in tension; what lies across the screw loads it in shear.

A panel screw is pried: the rail's leg bends between its root and the screw and its edge bears on the panel, so
that the screw carries T + Q, Q/T by the card `prying_ratio`. Feet are taken to lie flat and are not pried.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import plate
from rackwright.pieces.shelf_pieces import rail_leg, screw_x, shelf_feet, shelf_of
from rackwright.rack.model import Equipment, Hardware
from rackwright.strength.bodies import fixing_points, panel_count
from rackwright.strength.checks.anchor import anchored, at_root
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.joint import bearing
from rackwright.strength.checks.rigid import couple, shared
from rackwright.strength.frame import crossed
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["equipment", "feet_forces", "fixing_forces", "prying"]

Array = NDArray[np.float64]


def equipment(run: Run) -> Iterator[Margin]:
    """Margins of every item's screws, of the metal they bear on, and of its tray."""
    for item in run.rack.definition.equipment:
        for group in _groups(run, item):
            yield from _screws(run, item, group)
        if item.on_shelf and item.on_shelf.tray:
            yield _tray(run, item)


@dataclass(frozen=True)
class _Group:
    """Some of an item's screws, in the order of its fixing points: which, what they hold, along which axis."""

    name: str
    first: int
    last: int
    hardware: Hardware
    piece: str
    thickness: int  # nm, of that piece
    axis: int
    sign: float  # of the force on a point that pulls at its screw


def _groups(run: Run, item: Equipment) -> tuple[_Group, ...]:
    d, panel = run.rack.definition, panel_count(item)
    count, groups = panel + len(shelf_feet(item)), []
    if panel and d.rails:
        groups.append(
            _Group("", 0, panel, d.rails.screw, "rail.left", d.rails.angle.thickness, 1, -1.0)
        )  # rails are alike
    if count > panel:
        make, name = d.shelf_make, "rear " if panel else ""
        groups.append(
            _Group(name, panel, count, make.feet, f"panel.{shelf_of(item)}", make.panel.thickness, 2, 1.0)
        )
    return tuple(groups)


def fixing_forces(run: Run, item: Equipment, level: str = "ultimate") -> Array:
    """(V, C, points, 3) force of the item on each fixing point in the cases of a level, upper mass tolerance."""
    points, floated = fixing_points(run.rack, item), run.on_isolators.get(item.name)
    turning = run.turning(item)
    if floated is None:
        force = shared(points, run.inertia_force(item, level), run.item_cg(item)[:, None])
        return force if turning is None else force + couple(points, turning)
    chosen = run.chosen(level)
    force = floated.force[:, chosen]
    stretched = crossed(floated.stretch[:, chosen], force).sum(axis=-2)
    return force + couple(points, stretched if turning is None else stretched + turning)


def _on_screws(run: Run, item: Equipment, group: _Group, level: str) -> Array:
    """(V, C, screws, 3) what a group's screws carry, pulled along its axis."""
    return run.demand(
        level, lambda one: fixing_forces(one, item, level)[:, :, group.first : group.last], (group.axis,)
    )


def feet_forces(run: Run, item: Equipment, level: str = "ultimate") -> Array:
    """(V, C, feet, 3) of `fixing_forces` what its feet put on a shelf's panel."""
    return fixing_forces(run, item, level)[:, :, panel_count(item) :]


def prying(run: Run) -> tuple[float, dict[str, float]]:
    """Q/T of a panel screw, and the card's values: lever from the leg's root, and from there to its edge."""
    rails = run.rack.definition.rails
    assert rails is not None
    inner, t = run.rack.definition.tube.side, rails.angle.thickness
    hole, reach = screw_x(run.rack, "left") - inner, rail_leg(run.rack, rails)
    levers = {"b": (hole - t) * 1e-9, "a": (reach - hole) * 1e-9}
    return float(plate.prying_ratio(**levers)), levers


def _screws(run: Run, item: Equipment, group: _Group) -> Iterator[Margin]:
    head = f"equipment.{item.name}"
    forces = _on_screws(run, item, group, "ultimate")
    across = [i for i in range(3) if i != group.axis]
    shear = np.hypot(forces[..., across[0]], forces[..., across[1]])
    pull = np.maximum(group.sign * forces[..., group.axis], 0.0)
    if group.axis == 1:
        pull = pull * (1 + prying(run)[0])
    ids = [f"{head}.{n + 1}" for n in range(group.first, group.last)]
    places = tuple(f"screw {id.rpartition('.')[2]}" for id in ids)
    mode = "equipment screws in shear and tension"
    row = run.rack.rows.bolts[group.hardware.bolt]
    held = run.pieces.bolts_of(ids)

    def steps(at: Index) -> tuple[Step, ...]:
        one = forces[at]
        across_it = {"Fa": float(one[across[0]]), "Fb": float(one[across[1]]), "n": 1.0}
        if group.axis != 1:
            return (("screw_shear", across_it),)
        q, levers = prying(run)
        off = max(float(group.sign * one[group.axis]), 0.0)
        return ("screw_shear", across_it), ("prying_ratio", levers), ("pried_pull", {"F": off, "q": q})

    yield shear_tension(
        run,
        f"{head}/{group.name}screws",
        mode,
        row.id,
        shear,
        pull,
        places,
        before=steps,
        at_root=at_root(held),
    )
    yield from anchored(run, f"{head}/{group.name}screws", held, pull, places)
    piece = run.pieces.get(group.piece)
    for level in run.levels:
        force = _on_screws(run, item, group, level)
        borne, t = np.hypot(force[..., across[0]], force[..., across[1]]), group.thickness * 1e-9
        yield bearing(run, f"{head}/{group.name}bearing", piece, ids, row.diameter, t, borne, level)


def _tray(run: Run, item: Equipment) -> Margin:
    """The item's inertia force against what its tray holds by its document."""
    tray = item.on_shelf.tray if item.on_shelf else None
    assert tray is not None
    force = np.linalg.norm(run.demand("ultimate", lambda one: one.inertia_force(item, "ultimate")), axis=-1)
    about = Subject(f"equipment.{item.name}/tray", "tray", tray.document or "", asks=force)
    if tray.allowable_ultimate is None or tray.document is None:
        why = f"tray {tray.part} has no allowable with a document"
        return missing(about, why, None, run.context("ultimate"), run.fitting_factor)
    return ratio(run.context("ultimate"), about, force, tray.allowable_ultimate, run.fitting_factor)

"""Rails on the front posts: their bolts carry what panel equipment puts on them.

A rail's bolts stand in one line along the post. They share the force of all panel screws on that rail; its moment
about the line's middle is held by the elastic vector method along the line, and about the line itself by prying
over the nearer edge of the leg that lies on the post. What pulls the rail off the post pries them on top: the leg on
the post bends between its bolts and the leg that carries (`prying`), and is judged for it.

The leg that carries the panels is a long cantilever plate from its root: each screw's force along the depth, alone
or with that of every screw within two levers of it, by the card `leg_root_stress`. Its edge bears on the panel, which
pries the screw and eases the root (`pried_root`): the same beam gives both. Between its bolts the rail is a beam,
simply supported from bolt to bolt and cantilevered beyond the last, bent by what the screws put across it both ways,
with their force along it; its twisting is the leg's and the bolts' part.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import plate, section
from rackwright.pieces.shelf_pieces import HANDS, equipment_corner, rail_leg
from rackwright.rack.model import Equipment, Rails
from rackwright.strength.bodies import fixing_points, panel_count
from rackwright.strength.checks.anchor import anchored, at_root
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.equipment import fixing_forces, prying
from rackwright.strength.checks.fibre import fibre_steps
from rackwright.strength.checks.joint import bearing
from rackwright.strength.checks.plate import Plate, least_in_bending
from rackwright.strength.frame import crossed
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["rails"]

Array = NDArray[np.float64]


def rails(run: Run) -> Iterator[Margin]:
    """Margins of both rails' bolts and of the metal they bear on; none without panel equipment."""
    made = run.rack.definition.rails
    if made is None or not any(item.on_rails for item in run.rack.definition.equipment):
        return
    for n, hand in enumerate(HANDS):
        yield from _rail(run, made, hand, n)


def _rail(run: Run, made: Rails, hand: str, n: int) -> Iterator[Margin]:
    head = f"rail.{hand}"
    held = [bolt for bolt in run.pieces.bolts if bolt.id.rpartition(".")[0] == head]
    post = run.pieces.get(f"post.front-{hand}")
    points = np.array([bolt.point for bolt in held])
    points[:, 0] = (post.hi if hand == "left" else post.lo)[0]  # where rail and post meet
    z = (points[:, 2] - points[:, 2].mean()) * 1e-9
    on_bolts = partial(_on_bolts, n=n, middle=points.mean(axis=0), z=z, heel=_heel(run, made))
    on = run.demand("ultimate", partial(on_bolts, level="ultimate"))
    shear, off, rolled = _shared(on)
    plate_ = _post_leg(run, made, z)
    ids, row = [bolt.id for bolt in held], run.rack.rows.bolts[made.hardware.bolt]
    places = tuple(f"bolt {number + 1}" for number in range(len(held)))

    def steps(at: Index) -> tuple[Step, ...]:
        one = on[at]
        T, more = float(off[at]), float(rolled[at])
        B = float(plate_.pried(off[at]))
        return (
            ("screw_shear", {"Fa": float(one[0]), "Fb": float(one[1]), "n": 1.0}),
            ("pulls_added", {"T1": abs(float(one[2])), "T2": abs(float(one[3]))}),
            plate_.step(T),
            ("pulls_added", {"T1": B, "T2": more}),
        )

    yield shear_tension(
        run,
        f"{head}/bolts",
        "rail bolts in shear and tension",
        row.id,
        shear,
        plate_.pried(off) + rolled,
        places,
        before=steps,
        at_root=at_root(held),
    )
    yield from anchored(run, f"{head}/bolts", held, plate_.pried(off) + rolled, places)
    yield plate_.bending(run, f"{head}/leg bending", "rail's leg beside its bolts", off.max(axis=-1))
    wall, leg = run.rack.definition.tube.wall * 1e-9, made.angle.thickness * 1e-9
    for level in run.levels:
        borne, *_ = _shared(run.demand(level, partial(on_bolts, level=level)))
        yield bearing(run, f"{head}/rail bearing", run.pieces.get(head), ids, row.diameter, leg, borne, level)
        yield bearing(run, f"{head}/post bearing", post, ids, row.diameter, wall, borne, level)
    bolt_heights = np.sort(np.array([bolt.point[2] - made.bottom for bolt in held])) * 1e-9
    for level in ("ultimate", "limit"):
        if run.chosen(level):
            at = _heights(run, made, n)
            forces = run.demand(level, partial(_screws, n=n, level=level, at=at))
            yield _leg(run, made, hand, level, at, forces)
            yield _between(run, made, hand, level, at, forces, bolt_heights)


def _here(item: Equipment, n: int) -> slice:
    """Which of an item's fixing points lie on rail n: the points of one side follow each other."""
    half = panel_count(item) // 2
    return slice(n * half, (n + 1) * half)


def _heights(run: Run, made: Rails, n: int) -> Array:
    """(screws,) of one rail's panel screws above its first unit, m."""
    return np.concatenate([
        fixing_points(run.rack, item)[_here(item, n), 2]
        + (equipment_corner(run.rack, item)[2] - made.bottom) * 1e-9
        for item in run.rack.definition.equipment if item.on_rails
    ])  # fmt: skip


def _screws(run: Run, n: int, level: str, at: Array) -> Array:
    """(V, C, screws, 4) of one rail's panel screws at heights `at`: force, and that along the depth of every one
    within two levers of it."""
    forces = [
        fixing_forces(run, item, level)[:, :, _here(item, n)]
        for item in run.rack.definition.equipment
        if item.on_rails
    ]
    each = np.concatenate(forces, axis=2)
    near = (np.abs(np.subtract.outer(at, at)) <= 2 * prying(run)[1]["b"]).astype(float)
    return np.concatenate([each, (each[..., 1] @ near)[..., None]], axis=-1)


def _about(
    run: Run, made: Rails, hand: str, level: str, check: str, count: int
) -> tuple[Subject, float | None]:
    """The subject of a stress check of the rail, and its allowable in the weaker direction of the grain."""
    row = run.rack.rows.materials[made.angle.material]
    tail = "" if level == "ultimate" else ", yield"
    about = Subject(f"rail.{hand}/{check}{tail}", f"rail, {check}{tail}", f"{row.id}, lower direction: {row.known}",
                    row.unconfirmed, "Pa", "ultimate" if level == "ultimate" else "yield",
                    tuple(f"panel screw {n + 1}" for n in range(count)))  # fmt: skip
    return about, least_in_bending(row, made.angle.thickness * 1e-9, level)


def _leg(run: Run, made: Rails, hand: str, level: str, at: Array, forces: Array) -> Margin:
    about, allowable = _about(run, made, hand, level, "leg at its root", len(at))
    if allowable is None:
        return missing(about, f"{made.angle.material} gives no strength for this thickness")
    t, levers = made.angle.thickness * 1e-9, prying(run)[1]
    share = float(plate.pried_root(**levers))
    P = share * np.maximum(np.abs(forces[..., 1]), np.abs(forces[..., 3]))
    return ratio(run.context(level), about, plate.leg_root_stress(P, t), allowable, run.fitting_factor,
                 lambda i: (("pried_root", levers),
                            ("leg_load", {"F1": float(forces[i][1]), "F2": float(forces[i][3]), "r": share}),
                            ("leg_root_stress", {"P": float(P[i]), "t": t})))  # fmt: skip


def _between(
    run: Run, made: Rails, hand: str, level: str, at: Array, forces: Array, bolt_heights: Array
) -> Margin:
    about, allowable = _about(run, made, hand, level, "between its bolts", len(at))
    if allowable is None:
        return missing(about, f"{made.angle.material} gives no strength for this thickness")
    a, b, t = made.angle.post_leg * 1e-9, rail_leg(run.rack, made) * 1e-9, made.angle.thickness * 1e-9
    across, deep = (
        float(section.angle_inertia(b, a, t, 0.0, 0.0)),
        float(section.angle_inertia(a, b, t, 0.0, 0.0)),
    )
    cx = b - float(section.angle_centroid(b, a, t, 0.0, 0.0))
    cy = a - float(section.angle_centroid(a, b, t, 0.0, 0.0))
    size = np.abs(forces)
    Mx, My = (size[..., i] @ _influence(at, bolt_heights) for i in (0, 1))
    A = float(section.angle_area(a, b, t, 0.0, 0.0))
    axial = size[..., 2].sum(axis=-1, keepdims=True)
    fx, fy = section.bending_stress(Mx, across, cx), section.bending_stress(My, deep, cy)
    return ratio(run.context(level), about, fx + fy + axial / A, allowable, run.fitting_factor, lambda i: (
        ("bending_stress", {"M": float(Mx[i]), "I": across, "c": cx}),
        ("bending_stress", {"M": float(My[i]), "I": deep, "c": cy}),
        *fibre_steps(float(axial[i[:2]][0]), A, float(fx[i]), float(fy[i]))))  # fmt: skip


def _influence(at: Array, supports: Array) -> Array:
    """(loads, places) moment at each place for a unit load at each, in simple spans; beyond the ends cantilevers."""
    span = np.searchsorted(supports, at)
    found = np.zeros((len(at), len(at)))
    for i, j in np.argwhere(np.equal.outer(span, span)):
        if span[i] in (0, len(supports)):
            end = supports[0 if span[i] == 0 else -1]
            found[i, j] = abs(at[i] - end)  # at the end bolt, the most there is
        else:
            low, high = supports[span[i] - 1], supports[span[i]]
            first, last = min(at[i], at[j]), max(at[i], at[j])
            found[i, j] = (first - low) * (high - last) / (high - low)
    return found


def _load(run: Run, n: int, middle: Array, level: str) -> tuple[Array, Array]:
    """(V, C, 3) force of all items on one rail and its moment about the middle (nm) of the rail's bolts."""
    force = np.zeros((len(run.model.item_mass), len(run.chosen(level)), 3))
    moment = np.zeros_like(force)
    for item in run.rack.definition.equipment:
        if item.on_rails is None:
            continue
        at = fixing_points(run.rack, item) + (np.array(equipment_corner(run.rack, item)) - middle) * 1e-9
        each, here = fixing_forces(run, item, level), _here(item, n)
        force, moment = (
            force + each[:, :, here].sum(axis=2),
            moment + crossed(at[here], each[:, :, here]).sum(axis=2),
        )
    return force, moment


def _post_leg(run: Run, made: Rails, z: Array) -> Plate:
    """The leg on the post, from its bolts at heights z (m) to the leg that carries, and to its free edge."""
    middle = run.rack.definition.tube.side // 2
    to_root, to_edge = middle - made.setback, made.setback + made.angle.post_leg - middle
    return Plate(run.rack.rows, made.angle.material, made.hardware, made.angle.thickness * 1e-9, to_root * 1e-9,
                 to_edge * 1e-9, float(np.diff(np.sort(z)).min()))  # fmt: skip


def _on_bolts(run: Run, n: int, middle: Array, z: Array, heel: float, level: str) -> Array:
    """(V, C, bolts, 5) on rail n's bolts at heights z from their middle: across along y and z, off the post along
    them (x) by force and by moment, and what turning the rail about their line adds to that."""
    force, moment = _load(run, n, middle, level)
    lever = z / float(np.sum(z**2))
    return np.stack(np.broadcast_arrays(
        force[..., 1, None] / len(z) - moment[..., 0, None] * lever, force[..., 2, None] / len(z),
        force[..., 0, None] / len(z), moment[..., 1, None] * lever, moment[..., 2, None] / (len(z) * heel),
    ), axis=-1)  # fmt: skip


def _shared(on: Array) -> tuple[Array, Array, Array]:
    """(V, C, bolts) shear, pull off the post, and what turning the rail adds to it, of `_on_bolts`."""
    size = np.abs(on)
    return np.hypot(size[..., 0], size[..., 1]), size[..., 2] + size[..., 3], size[..., 4]


def _heel(run: Run, made: Rails) -> float:
    """From the bolts to the nearer edge of what the rail's leg shares with the post's flat face, m."""
    tube = run.rack.definition.tube
    front = max(made.setback, tube.corner_radius)
    back = min(made.setback + made.angle.post_leg, tube.side - tube.corner_radius)
    return min(tube.side // 2 - front, back - tube.side // 2) * 1e-9

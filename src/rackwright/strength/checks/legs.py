"""The legs of a shelf's angles that carry its panel, each a cantilever plate from its root.

Pressed, each foot's reaction lies on the leg's toe and the end of its strip is held there as far as leg and panel
let it (`carrying_leg`): no nearer to the root, since a leg that bends less than the panel is pressed at its toe.
Pulled off, the panel lifts the leg at its screws with what they carry, prying included, each alone or with every
other within two reaches of it. What relieves is left out; what the strips of other items do there is added as in
`panel`.
Beside an angle's free end a leg has no metal to share with, and that reaches beyond the length it would bend: towards
an end no more is counted than half of what is there (found beside plate elements, which a plain cut passes by 5 %).
The heavier end of each line counts for both legs. Elastic, the lower of tension and compression in the weaker
direction: the section states no fillet at the root, so that its edge is the other leg's face.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import carrying_leg, plate, prying
from rackwright.pieces.model import Bolt
from rackwright.rack.model import Equipment, Shelf
from rackwright.strength.checks.equipment import feet_forces
from rackwright.strength.checks.panel import STRIP, Line, fixing_lines, items_on, of_others
from rackwright.strength.checks.panel_screws import lifted, screws_of
from rackwright.strength.checks.plate import least_in_bending
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["legs"]

Array = NDArray[np.float64]
ON_THE_TOE = 1e-9  # m: nearer than that a foot stands on the toe


def legs(run: Run) -> Iterator[Margin]:
    """Margins of every shelf's carrying legs; none without what stands on its panel."""
    for shelf in run.rack.definition.shelf:
        items = items_on(run, shelf.name)
        for level in ("ultimate", "limit"):
            if items and run.chosen(level):
                yield _pressed(run, shelf, items, level)
                yield _pulled(run, shelf, items, level)


def _about(
    run: Run, shelf: Shelf, level: str, way: str, places: tuple[str, ...]
) -> tuple[Subject, float | None]:
    angle = run.rack.definition.shelf_make.angle
    row, tail = run.rack.rows.materials[angle.material], "" if level == "ultimate" else ", yield"
    about = Subject(f"shelf.{shelf.name}/leg {way}{tail}", f"shelf angle's leg {way}, at its root{tail}",
                    f"{row.id}, lower direction: {row.known}", row.unconfirmed, "Pa",
                    "ultimate" if level == "ultimate" else "yield", places)  # fmt: skip
    return about, least_in_bending(row, angle.thickness * 1e-9, level)


def _no_strength(run: Run, about: Subject) -> Margin:
    return missing(
        about, f"{run.rack.definition.shelf_make.angle.material} gives no strength for this thickness"
    )


# --- pressed ---------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Sizes:
    """Of a shelf's legs and span, m: root to toe, toe to toe, end to end; share of `end_held`, how found."""

    toe: float
    span: float
    depth: float
    share: float
    steps: tuple[Step, ...]


@dataclass(frozen=True, eq=False)
class _End:
    """One end of a fixing line: reaction and moment of each foot (V, C, feet), the lengths of leg that they bend."""

    R: Array
    M: Array
    w: Array
    v: Array
    toe: float

    def card(self, *at: int) -> list[dict[str, float]]:
        """The card's values of each foot."""
        return [
            {"R": float(R), "l": self.toe, "w": float(w), "M": float(M), "v": float(v)}
            for R, M, w, v in zip(self.R[at], self.M[at], self.w, self.v, strict=True)
        ]

    @property
    def moment(self) -> Array:
        """(V, C) at the root, for each unit of its length."""
        each = carrying_leg.leg_root_moment(self.R, self.toe, self.w, self.M, self.v)
        return np.asarray(each.sum(axis=-1))


def _sizes(run: Run, shelf: Shelf) -> _Sizes:
    d, make = run.rack.definition, run.rack.definition.shelf_make
    t = make.angle.thickness
    toe = (make.angle.carry_leg - t) * 1e-9
    screw = _screw(run, screws_of(run, shelf))
    span = (d.outside.width - 2 * (d.tube.side + make.angle.carry_leg)) * 1e-9
    depth = d.outside.depth * 1e-9
    Ep, El = (run.rack.rows.materials[one].E for one in (make.panel.material, make.angle.material))
    if Ep is None or El is None:
        return _Sizes(toe, span, depth, 1.0, ())
    given = {"k": Ep * make.panel.thickness**3 / (El * t**3), "s": screw, "c": toe - screw, "L": span}
    return _Sizes(toe, span, depth, float(carrying_leg.end_held(**given)), (("end_held", given),))


def _end(sizes: _Sizes, line: Line, P: Array, x: Array) -> _End:
    """The end from which the feet stand x away, pressing with P."""
    x, most = np.clip(x, 0.0, sizes.span), 2 * STRIP * 1e-9
    away = np.maximum(x, ON_THE_TOE)
    w = np.minimum(carrying_leg.leg_length(sizes.toe, away), most)
    v = np.minimum(np.pi * away, min(float(carrying_leg.couple_length(sizes.toe)), most))
    return _End(
        np.asarray(prying.fixed_end_reaction(P, sizes.span, x)),
        sizes.share * np.asarray(prying.fixed_end_moment(P, sizes.span, x)),
        _bent(sizes, line, w), _bent(sizes, line, v), sizes.toe,
    )  # fmt: skip


def _bent(sizes: _Sizes, line: Line, length: Array) -> Array:
    """What of a length (m) that a leg bends along is counted: less where the line is near an end of the angle."""
    ahead, beyond = line.y * 1e-9, sizes.depth - line.y * 1e-9
    half = length / 2
    return np.minimum(min(line.before, ahead / 2), half) + np.minimum(min(line.behind, beyond / 2), half)


def _pressed(run: Run, shelf: Shelf, items: list[Equipment], level: str) -> Margin:
    lines = [(item, line) for item in items for line in fixing_lines(run, item)[1]]
    places = tuple(
        f"{item.name}, line {line.y * 1e-9 / 0.0254:.4g} in from the front" for item, line in lines
    )
    about, allowable = _about(run, shelf, level, "pressed", places)
    if allowable is None:
        return _no_strength(run, about)
    sizes, ends = _sizes(run, shelf), []
    for item, line in lines:
        P = np.maximum(-_across(run, item, level)[..., line.on], 0.0)
        ends.append([_end(sizes, line, P, x) for x in (line.x, sizes.span - line.x)])
    own = np.stack([np.maximum(*(end.moment for end in both)) for both in ends], axis=-1)
    place = {(item.name, line.y): n for n, (item, line) in enumerate(lines)}

    def theirs(other: Equipment, one: Line) -> Array:
        return np.asarray(own[..., place[other.name, one.y]])

    others = [np.broadcast_to(of_others(run, item, line, theirs), own.shape[:2]) for item, line in lines]
    moment, t = own + np.stack(others, axis=-1), run.rack.definition.shelf_make.angle.thickness * 1e-9

    def steps(at: Index) -> tuple[Step, ...]:
        heavier = max(ends[at[2]], key=lambda end: float(end.moment[at[:2]]))
        feet: tuple[Step, ...] = tuple(("leg_root_moment", values) for values in heavier.card(*at[:2]))
        summed = {"m1": float(own[at]), "m2": float(moment[at] - own[at])}
        return (
            *sizes.steps,
            *feet,
            ("added_moment", summed),
            ("plate_stress", {"m": float(moment[at]), "t": t}),
        )

    return ratio(
        run.context(level), about, plate.plate_stress(moment, t), allowable, run.fitting_factor, steps
    )


def _across(run: Run, item: Equipment, level: str) -> Array:
    """(V, C, feet) what each foot pulls up at the panel."""
    return run.demand(level, lambda one: feet_forces(one, item, level)[..., 2:], (0,))[..., 0]


# --- pulled ----------------------------------------------------------------------------------------------


def _pulled(run: Run, shelf: Shelf, items: list[Equipment], level: str) -> Margin:
    held, angle = screws_of(run, shelf), run.rack.definition.shelf_make.angle
    about, allowable = _about(
        run, shelf, level, "pulled", tuple(bolt.id.removeprefix("panel.") for bolt in held)
    )
    if allowable is None:
        return _no_strength(run, about)
    pull, ends, tipped = lifted(run, shelf, items, level)
    t, reach = angle.thickness * 1e-9, angle.carry_leg - angle.thickness
    near = np.array([
        [float(one.point[0] == other.point[0] and abs(one.point[1] - other.point[1]) <= 2 * reach) for other in held]
        for one in held
    ])  # fmt: skip
    levers = {"s": _screw(run, held), "l": reach * 1e-9}
    P = pull @ near
    moment = np.asarray(carrying_leg.leg_point_moment(P, **levers))

    def steps(at: Index) -> tuple[Step, ...]:
        alone, T = {"T1": float(ends.pull[at]), "T2": float(tipped[at])}, pull[at[:2]][near[at[2]] > 0]
        together: tuple[Step, ...] = ("pulls_added", alone), ("pulls_together", {"T": T})
        bent: Step = ("leg_point_moment", {"P": float(P[at]), **levers})
        return (*ends.steps(at), *together, bent, ("plate_stress", {"m": float(moment[at]), "t": t}))

    return ratio(
        run.context(level), about, plate.plate_stress(moment, t), allowable, run.fitting_factor, steps
    )


def _screw(run: Run, held: list[Bolt]) -> float:
    """From the leg's root to the screws, m."""
    d = run.rack.definition
    return (held[0].point[0] - d.tube.side - d.shelf_make.angle.thickness) * 1e-9

"""How much damage may stay before a check fails: least thickness and edge, largest hole, one bolt missing.

Damage is local: the forces are those of the intact rack, whose stiffness a worn ring or a blended wall does not
change; only the checks see the damaged dimension. A ring worn on its free face has its eye nearer to the post, which
turns its strap: that frame is solved anew, and the limit holds in both. Damage is put on every part of its kind at
once, all round and over the whole length, so that the limit holds wherever it lies; two kinds of damage together are
not looked at. A bolt is missing at one tube's end at a time; the rest of its group takes its share.

Every value of the search is judged by every check. Those that do not read the damaged dimension (`Kind.checks` names
those that do; a test holds it) say of the damaged rack what they said of the intact one, and are not run again. Values
of a kind are asked in the order of the search, one by one: beyond its first no, nothing is. The stability of the whole
frame is that of the intact one, with its moments on the tubes' damaged sections.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.build import Pieces
from rackwright.rack.model import Definition
from rackwright.strength.analyse import CHECKS, EVERY, Check, Strength, margins_of, solved
from rackwright.strength.checks.clamp import clamped
from rackwright.strength.checks.clearance import clearance
from rackwright.strength.checks.equipment import equipment
from rackwright.strength.checks.gusset import gussets
from rackwright.strength.checks.joint import joints, without_bolts
from rackwright.strength.checks.legs import legs
from rackwright.strength.checks.panel import panels
from rackwright.strength.checks.panel_screws import panel_screws
from rackwright.strength.checks.rail import rails
from rackwright.strength.checks.rings import rings
from rackwright.strength.checks.shelf import shelves
from rackwright.strength.checks.spigot import spigots
from rackwright.strength.checks.stability import stability
from rackwright.strength.checks.tube import tubes
from rackwright.strength.idealise import idealise
from rackwright.strength.in_turn import Each, in_turn
from rackwright.strength.inverse.stretch import Stretch, stretch
from rackwright.strength.margin import NO_EQUILIBRIUM, Margin
from rackwright.strength.run import Run
from rackwright.strength.vary import Found, least_of

__all__ = ["DamageLimit", "Kind", "MissingBolt", "damage_limits", "kinds", "missing_bolts"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
NONE_LEFT = 0.02
LUG = 1.0  # e/D: with less edge an eye is no lug of the simple modes (common practice, no source)
Damaged = Callable[[Run, int], tuple[Run, ...]]  # every run that this dimension in nm may mean


@dataclass(frozen=True)
class DamageLimit:
    """One dimension: nominal and limit (m). `least` says whether it may not fall below the limit, or not exceed it."""

    what: str
    path: str  # of the definition
    nominal: float
    least: bool
    limit: Stretch


@dataclass(frozen=True)
class MissingBolt:
    """The least margin of a tube's end with its worst bolt missing; None where the rest cannot hold it at all."""

    joint: str
    margin: float | None
    check: str
    why: str

    @property
    def holds(self) -> bool:
        return self.margin is not None and self.margin >= 0.0


def damage_limits(strength: Strength, each: Each = in_turn) -> tuple[DamageLimit, ...]:
    """Every kind of damage of this rack, searched from nominal on."""
    if strength.run is None or strength.run.rack.definition.basis is None:
        return ()
    run = strength.run
    aside = frozenset(
        one.id for one in strength.margins
        if (one.margin is None and one.why_missing != NO_EQUILIBRIUM) or one.superseded
        or one.level == "assembly"  # its bolts were tightened before it was damaged
    )  # fmt: skip
    rows = [row for row in kinds(run.rack.definition) if row.nominal > 0]
    intact = {check: tuple(check(run)) for check in EVERY}

    def searched(n: int) -> DamageLimit:
        row = rows[n]
        start = np.array([row.nominal * 1e-9])
        checks = tuple(check if check in row.checks else _as_intact(intact[check]) for check in EVERY)

        def judge(_: Ints, x: Array) -> Found:
            found: list[Found] = []
            for value in x:
                if not found or found[-1].holds[0]:
                    last = _least(row.damaged(run, round(float(value) * 1e9)), checks, aside)
                found.append(last)
            return _all(found)

        (one,) = stretch(judge, start, start * row.share)
        return DamageLimit(row.what, row.path, row.nominal * 1e-9, row.share < 1, one)

    return tuple(each(searched, len(rows)))


def _as_intact(margins: tuple[Margin, ...]) -> Check:
    """A check that the damage does not touch."""
    return lambda _: iter(margins)


def _least(runs: tuple[Run, ...], checks: tuple[Check, ...], aside: frozenset[str]) -> Found:
    """The least margin of all runs that a dimension may mean; of a frame solved anew every check is asked."""
    margins = [one for n, run in enumerate(runs) for one in margins_of(run, checks if n == 0 else CHECKS)]
    values = np.array([[np.nan if one.margin is None else one.margin] for one in margins])
    return least_of(tuple(one.id for one in margins), values, aside)


def _all(each: list[Found]) -> Found:
    every = [one.every for one in each if one.every is not None]
    alike = len(every) == len(each) and len({len(one) for one in every}) == 1
    return Found(np.array([one.margin[0] for one in each]), tuple(one.governing[0] for one in each),
                 np.concatenate(every, axis=1) if alike else None)  # fmt: skip


def missing_bolts(run: Run) -> tuple[MissingBolt, ...]:
    """Of every tube's end, with each of its bolts missing in turn, the worst."""
    worst: dict[str, MissingBolt] = {}
    for margin in without_bolts(run):
        one = MissingBolt(margin.piece, margin.margin, margin.id, margin.why_missing)
        kept = worst.get(margin.piece)
        if kept is None or _order(one) < _order(kept):
            worst[margin.piece] = one
    return tuple(worst.values())


def _order(one: MissingBolt) -> float:
    return -np.inf if one.margin is None else one.margin


# --- kinds of damage -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Kind:
    """What, its path, nominal in nm, how far to look as a share of it, the damaged runs, and what reads it."""

    what: str
    path: str
    nominal: int
    share: float
    damaged: Damaged
    checks: tuple[Check, ...]


RING: tuple[Check, ...] = (rings,)
PANEL: tuple[Check, ...] = (panels, panel_screws, legs, equipment, clamped, clearance)
ANGLE: tuple[Check, ...] = (shelves, panel_screws, legs, equipment, clamped)
BOLTED: tuple[Check, ...] = (tubes, joints, spigots, clamped, shelves, rails, rings)
WALL: tuple[Check, ...] = (*BOLTED, gussets, stability)


def kinds(d: Definition) -> list[Kind]:
    """Every kind of damage that a rack of this definition can have."""
    found: list[Kind] = []
    if d.ring_make is not None and d.ring:
        make = d.ring_make
        found.append(
            Kind("ring thickness", "ring_make.thickness", make.thickness, NONE_LEFT, _thin_ring, RING)
        )
        least = LUG * make.eye
        if min(make.eye_edge, make.width / 2) > least:
            found += [
                Kind("ring edge at the eye, from its centre", "ring_make.eye_edge", make.eye_edge,
                      least / make.eye_edge, _part("ring_make", "eye_edge"), RING),
                Kind("ring eye diameter", "ring_make.eye", make.eye,
                      min(make.width / 2, make.eye_edge) / least, _part("ring_make", "eye"), RING),
            ]  # fmt: skip
    panel, angle, hole = d.shelf_make.panel, d.shelf_make.angle, d.joint.hardware.hole
    found += [
        Kind("bolt hole at a tube's end", "joint.hardware.hole", hole, 1.5, _hole, BOLTED),
        Kind("tube wall left after blending", "tube.wall", d.tube.wall, NONE_LEFT, _wall, WALL),
    ]
    if d.shelf:
        found += [
            Kind("shelf panel left after blending", "shelf_make.panel.thickness", panel.thickness, NONE_LEFT,
                  _sheet("panel"), PANEL),
            Kind("shelf angle left after blending", "shelf_make.angle.thickness", angle.thickness, NONE_LEFT,
                  _sheet("angle"), ANGLE),
        ]  # fmt: skip
    return found


def _with(run: Run, pieces: Pieces | None = None, **parts: Any) -> tuple[Run, ...]:
    rack = replace(run.rack, definition=replace(run.rack.definition, **parts))
    return (replace(run, rack=rack, pieces=pieces or run.pieces),)


def _part(part: str, field: str) -> Damaged:
    def damaged(run: Run, nm: int) -> tuple[Run, ...]:
        return _with(run, **{part: replace(getattr(run.rack.definition, part), **{field: nm})})

    return damaged


def _thin_ring(run: Run, nm: int) -> tuple[Run, ...]:
    """Worn on the face at the post, which moves nothing, or on the other; its weight is that of the whole ring."""
    (worn,) = _part("ring_make", "thickness")(run, nm)
    return worn, solved(worn.rack, worn.pieces, idealise(worn.rack, worn.pieces), worn.cases, run)


def _sheet(part: str) -> Damaged:
    def damaged(run: Run, nm: int) -> tuple[Run, ...]:
        make = run.rack.definition.shelf_make
        return _with(run, shelf_make=replace(make, **{part: replace(getattr(make, part), thickness=nm)}))

    return damaged


def _hole(run: Run, nm: int) -> tuple[Run, ...]:
    """All holes of joint bolts, in tubes, spigots and rings."""
    joint = run.rack.definition.joint
    made = tuple(
        replace(piece, holes=tuple(
            replace(hole, diameter=nm) if hole.bolt.startswith("joint.") else hole for hole in piece.holes
        ))
        for piece in run.pieces.made
    )  # fmt: skip
    hardware = replace(joint.hardware, hole=nm)
    return _with(run, replace(run.pieces, made=made), joint=replace(joint, hardware=hardware))


def _wall(run: Run, nm: int) -> tuple[Run, ...]:
    """The tube blended from outside, all round.

    That takes the outside width b too, which the geometry keeps: a wall thinner by (b'/b)³ has no more area, modulus
    or inertia than the blended section. The spigot within stays as it is.
    """
    d = run.rack.definition
    left = round(nm * ((d.tube.side - 2 * (d.tube.wall - nm)) / d.tube.side) ** 3)
    gap = d.block.spigot_gap + 2 * (d.tube.wall - left)
    return _with(run, tube=replace(d.tube, wall=left), block=replace(d.block, spigot_gap=gap))

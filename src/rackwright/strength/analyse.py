"""The structural question of one rack: cases, frame, margins, reactions.

    strength = analyse(rack, pieces)

One solver path for everything. Equilibrium is checked here, not only tested: a case whose free body does not
balance to 1e-9 of its applied load raises, since it would be a fault of ours.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.build import Pieces
from rackwright.rack import aircraft_axes
from rackwright.rack.model import Rack
from rackwright.strength.cases import LoadCase, load_cases
from rackwright.strength.checks.chain import Chain, chain, chains
from rackwright.strength.checks.clamp import clamped
from rackwright.strength.checks.clearance import clearance
from rackwright.strength.checks.equipment import equipment
from rackwright.strength.checks.feet import feet
from rackwright.strength.checks.floor import floor
from rackwright.strength.checks.gusset import gussets
from rackwright.strength.checks.isolators import isolators
from rackwright.strength.checks.joint import joints
from rackwright.strength.checks.legs import legs
from rackwright.strength.checks.pads import pads
from rackwright.strength.checks.panel import panels
from rackwright.strength.checks.panel_screws import panel_screws
from rackwright.strength.checks.rail import rails
from rackwright.strength.checks.rings import rings
from rackwright.strength.checks.shelf import shelves
from rackwright.strength.checks.spigot import spigots
from rackwright.strength.checks.stability import mode_in_words, stability
from rackwright.strength.checks.tube import tubes
from rackwright.strength.evidence import weigh
from rackwright.strength.factors import fitting_factor
from rackwright.strength.frame import Cases, settle, solve
from rackwright.strength.idealise import idealise
from rackwright.strength.isolators import float_all
from rackwright.strength.margin import Margin, governing
from rackwright.strength.own_rows import marked
from rackwright.strength.rack_frame import RackFrame
from rackwright.strength.run import Run
from rackwright.strength.solution import Solution
from rackwright.strength.tipping import lets_go

__all__ = [
    "BALANCE",
    "CHECKS",
    "EVERY",
    "BucklingFactor",
    "Check",
    "Reaction",
    "Strength",
    "analyse",
    "floor_forces",
    "margins_of",
    "solved",
]

BALANCE = 1e-9  # of the applied load
#: of isolators and frame: a rack that turns by 3 degrees turns its loads by 5 %, so that the first pass errs by 5 % of
#: the moment that isolators add, the second by 5 % of that
PASSES = 2
Check = Callable[[Run], Iterator[Margin]]
CHECKS: tuple[Check, ...] = (
    tubes,
    joints,
    gussets,
    spigots,
    clamped,
    shelves,
    panels,
    panel_screws,
    legs,
    equipment,
    isolators,
    rails,
    rings,
    chain,
    feet,
    floor,
    pads,
    clearance,
)
EVERY: tuple[Check, ...] = (*CHECKS, stability)
Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Reaction:
    """What the rack does to the floor at one place in one case: force on the aircraft, N, aircraft axes."""

    place: str
    case: str
    pretension: str
    force: Array


@dataclass(frozen=True)
class BucklingFactor:
    """At which multiple of a case the frame buckles (infinite: at none), in which variant, and where, in words."""

    case: str
    variant: str
    factor: float
    mode: str


@dataclass(frozen=True, eq=False)
class Strength:
    """Everything computed about a rack's strength."""

    cases: tuple[LoadCase, ...]
    model: RackFrame
    margins: tuple[Margin, ...]
    reactions: tuple[Reaction, ...]
    loose: tuple[tuple[str, str], ...]  # case and why it has no equilibrium
    slack: tuple[tuple[str, str, tuple[str, ...]], ...]  # case, pretension, straps and pads that do not act
    deflection: tuple[tuple[str, float], ...]  # case, largest displacement in m
    imbalance: float
    run: Run | None = None  # the solved frame itself; None without cases

    @cached_property
    def buckling(self) -> tuple[BucklingFactor, ...]:
        """Every case that has an equilibrium, in its worst variant."""
        if self.run is None:
            return ()
        found, rows = self.run.buckling, []
        for c, case in enumerate(self.cases):
            if not np.isnan(found.factor[:, c]).any():
                v = int(np.where(found.exact[:, c], found.factor[:, c], np.inf).argmin())
                mode = mode_in_words(self.run, v, c)
                rows.append(BucklingFactor(case.id, self.model.variants[v], float(found.factor[v, c]), mode))
        return tuple(rows)

    @property
    def governing(self) -> tuple[Margin, ...]:
        """Missing margins first, then the least of each kind of check, least first."""
        return governing(self.margins)

    @cached_property
    def chains(self) -> tuple[Chain, ...]:
        """Every strap's chain with its weakest link, in each case and of all."""
        return chains(self.run.rack, self.margins) if self.run else ()

    @property
    def holds(self) -> bool:
        """Is every required margin there and not negative?"""
        return bool(self.margins) and all(margin.holds for margin in self.margins)


def analyse(rack: Rack, pieces: Pieces, known: Run | None = None) -> Strength:
    """Cases to margins. Without orientation or basis there are no cases, and nothing holds. `known` as in `solved`."""
    model, cases = idealise(rack, pieces), load_cases(rack)
    if not cases:
        return Strength(cases, model, (), (), (), (), (), 0.0)
    run = solved(rack, pieces, model, cases, known)
    imbalance = _imbalance(run)
    if imbalance > BALANCE:
        raise ArithmeticError(f"a load case is out of balance by {imbalance:.1e} of its load")
    return Strength(
        cases,
        model,
        margins_of(run, EVERY),
        tuple(_reactions(run)),
        _loose(run),
        _slack(run),
        _deflection(run),
        imbalance,
        run,
    )


def solved(
    rack: Rack, pieces: Pieces, model: RackFrame, cases: tuple[LoadCase, ...], known: Run | None = None
) -> Run:
    """The frame solved for every case and followed to where its straps let it rest.

    A model with several designs on its variant axis is one run. Items on isolators weigh on it where these let them
    come to: as thrown in the rack as drawn, then as thrown in the rack where that brought it. Where the frame of a run
    that is `known` is the same to the last bit, so is its solution.
    """
    factor, source = fitting_factor(rack)
    if known is not None and _same_frame(known, rack, model, cases):
        return Run(rack, pieces, model, cases, known.solution, factor or 1.0, source)
    inertia = np.array([case.inertia for case in cases])
    settled = None
    for _ in range(PASSES if _isolated(rack) else 1):
        thrown = Cases(inertia) if settled is None else settled.response.cases
        moved = _moved(rack, model, thrown.thrown(model.frame.variants)) if _isolated(rack) else None
        settled = settle(solve(model.frame, Cases(inertia, moved=moved)), model.curves)
    assert settled is not None
    return Run(rack, pieces, model, cases, Solution(settled), factor or 1.0, source)


def _same_frame(known: Run, rack: Rack, model: RackFrame, cases: tuple[LoadCase, ...]) -> bool:
    """Does the frame of a known run ask the same question, item by item and case by case?"""
    return (
        model.frame.same(known.model.frame)
        and rack.definition.equipment == known.rack.definition.equipment
        and rack.definition.strap_type == known.rack.definition.strap_type
        and [case.inertia.tolist() for case in cases] == [case.inertia.tolist() for case in known.cases]
    )


def _isolated(rack: Rack) -> bool:
    return any(item.isolators is not None for item in rack.definition.equipment)


def _moved(rack: Rack, model: RackFrame, thrown: Array) -> Array:
    """(V, C, masses, 3) m: how far each item lies off its place on its isolators; zero where it finds no rest."""
    moved = np.zeros((*thrown.shape[:2], len(model.frame.masses), 3))
    for name, one in float_all(rack, model.item_mass, model.item_cg, thrown).items():
        moved[:, :, model.items.index(name)] = np.nan_to_num(one.shift)
    return moved


def margins_of(run: Run, checks: tuple[Check, ...] = CHECKS) -> tuple[Margin, ...]:
    """Every margin of a solved rack; none without a basis, whose fitting factor they need. `stability` is not among
    those of a batch."""
    if run.rack.definition.basis is None:
        return ()
    judged = [margin for check in checks for margin in check(run)]
    return marked(run.rack, weigh(run.rack, judged, run.fitting_factor))


def _imbalance(run: Run) -> float:
    known = run.response.residual[np.isfinite(run.response.residual)]
    return float(known.max()) if known.size else 0.0


def floor_forces(run: Run) -> dict[str, Array]:
    """(V, C, 3) force on the aircraft at every fitting that holds straps, pad and bolted foot, N, aircraft axes."""
    d = run.rack.definition
    assert d.aircraft is not None
    turn, response = aircraft_axes(d.aircraft.forward), run.response
    pull = -response.tie_force[..., None] * run.settled.way_drawn  # (V, C, straps, 3)
    found = {}
    for fitting in d.floor_fitting:
        if fitting.name not in {foot.fitting for foot in d.foot}:
            straps = [n for n, strap in enumerate(d.strap) if strap.fitting == fitting.name]
            found[f"fitting.{fitting.name}"] = pull[:, :, straps].sum(axis=2)
    for n, corner in enumerate(run.model.pads):
        found[f"pad.{corner}"] = -response.pad_force[..., n, None] * np.array([0.0, 0.0, 1.0])
    for n, foot in enumerate(d.foot):
        found[f"foot.{foot.name}"] = -run.foot_force[:, :, n]
    return {place: np.asarray(force @ turn.T) for place, force in found.items()}


def _reactions(run: Run) -> list[Reaction]:
    """The floor's forces in every case and at every pretension, with the centres of gravity as stated."""
    forces = floor_forces(run)
    return [
        Reaction(place, case.id, pretension, force[v, c])
        for c, case in enumerate(run.cases)
        for v, pretension in enumerate(run.model.states)
        for place, force in forces.items()
    ]


def _loose(run: Run) -> tuple[tuple[str, str], ...]:
    found: dict[str, str] = {}
    for row in run.response.loose:
        for case, why in zip(run.cases, row, strict=True):
            if why is not None and case.id not in found:
                when = lets_go(run.rack, run.model, case)
                found[case.id] = f"{why}; {when}" if when else why
    return tuple(sorted(found.items()))


def _slack(run: Run) -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    rows = []
    for c, case in enumerate(run.cases):
        for v, pretension in enumerate(run.model.states):
            idle = [
                f"strap.{name}"
                for n, name in enumerate(run.model.straps)
                if not run.response.tie_acts[v, c, n]
            ]
            idle += [
                f"pad.{name}" for n, name in enumerate(run.model.pads) if not run.response.pad_acts[v, c, n]
            ]
            rows.append((case.id, pretension, tuple(idle)))
    return tuple(rows)


def _deflection(run: Run) -> tuple[tuple[str, float], ...]:
    size = np.linalg.norm(run.settled.travel[..., :3], axis=-1).max(axis=(0, 2))
    return tuple((case.id, float(value)) for case, value in zip(run.cases, size, strict=True))

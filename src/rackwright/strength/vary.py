"""Many designs at once that share pieces and stiffness: other masses, centres of gravity and strap ends.

    batch = Batch(rack, pieces)                            # idealised once
    found = batch.judge(Variants(3, mass={"radio": np.array([5.0, 10.0, 20.0])}))
    found.margin, found.governing                          # least margin of each, and the check it belongs to

The frame carries a leading variant axis and so does every check: a batch is the same computation as a single
design, on longer arrays. Margins that the design itself cannot have (an allowable without a document) are left
aside and named in `Batch.missing`; one that only a variant lacks (no equilibrium, an angle outside a table) is a
no for that variant.

The stability of the whole frame takes as long as all other checks together, so a search leaves it aside and asks for
it (`whole`) where it ends. In a batch its margins are then no higher than they are: the factor at which a frame buckles
is only found for the design that buckles first, and the others are shown to stand there. A design that does not hold
so is judged alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.build import Pieces
from rackwright.pieces.shelf_pieces import equipment_corner
from rackwright.rack.model import Rack
from rackwright.strength.analyse import BALANCE, CHECKS, EVERY, margins_of, solved
from rackwright.strength.cases import load_cases
from rackwright.strength.checks.stability import stability
from rackwright.strength.frame import Frame, Ties
from rackwright.strength.idealise import idealise
from rackwright.strength.in_turn import Each, in_turn
from rackwright.strength.margin import NO_EQUILIBRIUM, Margin
from rackwright.strength.rack_frame import RackFrame
from rackwright.strength.run import Run

__all__ = ["Batch", "Found", "Variants"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
PORTION = 320  # frame variants in one run (of a design there are several): more do not fit the cache


@dataclass(frozen=True, eq=False)
class Variants:
    """`count` designs: what is not named stays as it is. kg at the upper tolerance; m.

    mass: by item (count,). cg: by item (count, 3), from the corner of its body. ground: by floor fitting (count, 3),
    where its straps end, rack axes. Raises ValueError on values that are no numbers, and negative masses.
    """

    count: int
    mass: Mapping[str, Array] = field(default_factory=dict)
    cg: Mapping[str, Array] = field(default_factory=dict)
    ground: Mapping[str, Array] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for values in (*self.mass.values(), *self.cg.values(), *self.ground.values()):
            if len(values) != self.count or not np.isfinite(values).all():
                raise ValueError(f"values are wanted for {self.count} variants, each a number")
        if any((kg < 0).any() for kg in self.mass.values()):
            raise ValueError("a mass is negative")

    def take(self, some: Ints) -> Variants:
        """Some of the designs, in that order."""

        def cut(values: Mapping[str, Array]) -> dict[str, Array]:
            return {name: value[some] for name, value in values.items()}

        return Variants(len(some), cut(self.mass), cut(self.cg), cut(self.ground))


@dataclass(frozen=True, eq=False)
class Found:
    """Of each of n designs the least margin, -inf where one is missing, and the margin it is."""

    margin: Array  # (n,)
    governing: tuple[str, ...]
    every: Array | None = None  # (margins, n) what the least was taken of; -inf where one is missing

    @property
    def holds(self) -> NDArray[np.bool_]:
        return np.asarray(self.margin >= 0.0)


@dataclass(frozen=True, eq=False)
class Batch:
    """A rack made ready for variants of it."""

    rack: Rack
    pieces: Pieces
    each: Each = in_turn  # how portions of many designs are shared out

    @cached_property
    def model(self) -> RackFrame:
        return idealise(self.rack, self.pieces)

    @cached_property
    def own(self) -> tuple[Margin, ...]:
        """The margins of the design as it is."""
        return margins_of(self._as_it_is) if self._as_it_is else ()

    @cached_property
    def _as_it_is(self) -> Run | None:
        """The design itself, solved once; None without cases."""
        return self._run(Variants(1)) if load_cases(self.rack) else None

    @cached_property
    def missing(self) -> tuple[Margin, ...]:
        """Margins that the design itself cannot have, whatever its loads; a case without equilibrium is another no."""
        return tuple(one for one in self.own if one.margin is None and one.why_missing != NO_EQUILIBRIUM)

    def margins(self, variants: Variants) -> tuple[Margin, ...]:
        """Every margin with the least value of each design in `each`; all designs in one run."""
        return margins_of(self._run(variants)) if load_cases(self.rack) else ()

    def _run(self, variants: Variants) -> Run:
        return solved(self.rack, self.pieces, vary(self.rack, self.model, variants), load_cases(self.rack))

    def values(self, variants: Variants, whole: bool = False) -> tuple[tuple[str, ...], Array]:
        """Ids of margins, and (margins, count) their values, NaN where missing. Equal designs are judged once."""
        if not load_cases(self.rack):
            return (), np.zeros((0, variants.count))
        first, which = self._different(variants)
        ids, values = self._values(variants.take(first), whole)
        return ids, values[:, which]

    def _different(self, variants: Variants) -> tuple[Ints, Ints]:
        """The first of all that are the same design, and of each which of those it is."""
        items, n = self.model.items, variants.count
        mass, cg = np.tile(self.model.item_mass[0], (n, 1)), np.tile(self.model.item_cg[0], (n, 1, 1))
        for name, kg in variants.mass.items():
            mass[:, items.index(name)] = kg
        for name, centre in variants.cg.items():
            cg[:, items.index(name)] = centre
        cg[mass == 0] = 0.0  # what weighs nothing has its centre anywhere
        ground = [variants.ground[name] for name in sorted(variants.ground)]
        every = np.concatenate([mass, cg.reshape(n, -1), *ground], axis=1) + 0.0
        _, first, which = np.unique(every, axis=0, return_index=True, return_inverse=True)
        return first, which.reshape(-1)

    def _values(self, variants: Variants, whole: bool) -> tuple[tuple[str, ...], Array]:
        many = max(1, PORTION // len(self.model.variants))

        def portion(n: int) -> tuple[tuple[str, ...], Array]:
            part = variants.take(np.arange(n * many, min((n + 1) * many, variants.count)))
            run = self._run(part)
            margins = margins_of(run, EVERY if whole else CHECKS)
            each = np.array([np.broadcast_to(margin.each, part.count) for margin in margins])
            out = run.response.residual.reshape(part.count, -1).max(axis=1) > BALANCE
            # too near to a loose rack for its numbers to be believed
            return tuple(margin.id for margin in margins), np.where(out, np.nan, each)

        parts = self.each(portion, -(-variants.count // many))
        return parts[0][0], np.concatenate([values for _, values in parts], axis=1)

    def judge(self, variants: Variants, whole: bool = False) -> Found:
        """The least margin of each design, of those that the rack as it is can have; of the whole frame as well, if
        asked."""
        ids, values = self.values(variants, whole)
        accepted = frozenset(margin.id for margin in self.own if margin.superseded)
        aside = (
            accepted | {margin.id for margin in self.missing} | (self._no_stability if whole else frozenset())
        )
        if whole and variants.count > 1:
            for n in np.flatnonzero(~least_of(ids, values, aside).holds):
                values[:, n] = self.values(variants.take(np.array([n])), whole)[1][:, 0]
        return least_of(ids, values, aside)

    @cached_property
    def _no_stability(self) -> frozenset[str]:
        """Margins of the whole frame that want for what a tube's own margin wants for: they are left aside with it."""
        why, run = {margin.why_missing for margin in self.missing}, self._as_it_is
        return frozenset(
            one.id for one in (margins_of(run, (stability,)) if run else ()) if one.why_missing in why
        )


def least_of(ids: tuple[str, ...], values: Array, aside: frozenset[str]) -> Found:
    """The least of values (margins, n) in each column without those set aside; not a number counts as -inf."""
    rows = [n for n, id in enumerate(ids) if id not in aside]
    if not rows:
        return Found(np.full(values.shape[1], -np.inf), ("",) * values.shape[1])
    kept = np.where(np.isnan(values[rows]), -np.inf, values[rows])
    at = kept.argmin(axis=0)
    none = np.asarray(kept.max(axis=0) == -np.inf)
    names = tuple(NO_EQUILIBRIUM if gone else ids[rows[n]] for n, gone in zip(at, none, strict=True))
    return Found(kept[at, np.arange(kept.shape[1])], names, kept)


def vary(rack: Rack, model: RackFrame, variants: Variants) -> RackFrame:
    """The model with its values for each variant in turn; of each its pretensions and corners of CG tolerance."""
    n, per = variants.count, len(model.variants)
    mass, cg = np.tile(model.item_mass, (n, 1)), np.tile(model.item_cg, (n, 1, 1))
    for name, kg in variants.mass.items():
        mass[:, model.items.index(name)] = np.repeat(kg, per)
    for name, centre in variants.cg.items():
        i = model.items.index(name)
        cg[:, i] += np.repeat(centre, per, axis=0) - model.item_cg[0, i]
    masses, count = model.frame.masses, len(model.items)
    m, xyz = np.tile(masses.m, (n, 1)), np.tile(masses.xyz, (n, 1, 1))
    m[:, :count] = mass
    for i, item in enumerate(rack.definition.equipment):
        if item.name in variants.cg:
            xyz[:, i] = cg[:, i] + np.array(equipment_corner(rack, item)) * 1e-9
    frame = model.frame
    frame = Frame(
        xyz=_spread(frame.xyz, n),
        fixed=frame.fixed,
        members=_group(frame.members, n),
        springs=_group(frame.springs, n),
        ties=_ties(rack, frame, variants),
        pads=_group(frame.pads, n),
        masses=replace(_group(masses, n), m=m, xyz=xyz),
        member_masses=_group(frame.member_masses, n),
        names=frame.names,
    )
    return replace(model, frame=frame, item_mass=mass, item_cg=cg)


def _ties(rack: Rack, frame: Frame, variants: Variants) -> Ties:
    """Straps that end where the variant says; they keep their stiffness per unit strain, not their length."""
    ties: Ties = _group(frame.ties, variants.count)
    if not variants.ground:
        return ties
    per, straps = frame.variants, rack.definition.strap
    offset = np.tile(frame.ties.offset, (variants.count, 1, 1, 1))
    k = np.tile(frame.ties.k, (variants.count, 1))
    for n, strap in enumerate(straps):
        if strap.fitting in variants.ground:
            eye = frame.xyz[0, frame.ties.node[n, 0]] + frame.ties.offset[0, n, 0]
            end = np.repeat(variants.ground[strap.fitting], per, axis=0)
            was = np.linalg.norm(frame.ties.offset[0, n, 1] - eye)
            offset[:, n, 1] = end
            k[:, n] *= was / np.linalg.norm(end - eye, axis=-1)
    return replace(ties, offset=offset, k=k)


def _group(group: Any, n: int) -> Any:
    """A group of a frame with its values for n designs; what all variants share stays one."""
    return replace(group, **{name: _spread(getattr(group, name), n) for name in group.tails})


def _spread(values: Array, n: int) -> Array:
    return (
        values[:1]
        if values.strides[0] == 0 or len(values) == 1
        else np.tile(values, (n,) + (1,) * (values.ndim - 1))
    )

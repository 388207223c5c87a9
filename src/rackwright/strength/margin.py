"""A margin of safety: allowable over factored applied load, less one, with everything needed to follow it.

MS = allowable / (applied × factor) − 1, or the multiplier that brings an interaction to one, less one. A
margin whose allowable has no source is missing, never guessed; it counts as a no. Of all cases and both strap
pretensions the least margin is kept, with its case and place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas.loads import margin_of_safety
from rackwright.trouble import UNCONFIRMED

__all__ = [
    "Context",
    "Index",
    "Margin",
    "Step",
    "Steps",
    "Subject",
    "Values",
    "from_factor",
    "governing",
    "least",
    "missing",
    "ratio",
]

Array = NDArray[np.float64]
NO_EQUILIBRIUM = "a case has no equilibrium"
TOO_HOT = "what is left of strength at the hot extreme is not stated (temperature.left); rows are of room temperature"
NO_CASE = "there is no case at this level"
Values = Mapping[str, float]
Step = tuple[str, Mapping[str, float | Array]]  # card name, SI values; an array is a row of them


@dataclass(frozen=True, eq=False)
class Margin:
    """One governing margin. `applied` and `allowable` are SI of `unit` ("1" for an interaction)."""

    id: str  # piece/mode
    piece: str
    mode: str
    level: str  # ultimate, yield, or assembly: tightening, without a load case
    margin: float | None
    why_missing: str
    case: str
    pretension: str
    place: str
    unit: str
    applied: float | None
    allowable: float | None
    factor: float
    steps: tuple[Step, ...]
    source: str
    marks: tuple[str, ...]
    each: Array = field(default_factory=lambda: np.full(1, np.nan))  # (designs,) least of each, NaN: missing
    by_case: tuple[tuple[str, float], ...] = ()  # least of every case of its level, of the first design
    basis: str = "analysis"  # or "test"
    required: float | None = (
        None  # greatest load of any case on the link, without factor: what a test must show
    )
    required_unit: str = "N"
    required_each: Array | None = None  # (designs,)
    doubtful_case: bool = False
    superseded: str = ""  # by which accepted test

    @property
    def holds(self) -> bool:
        return self.margin is not None and (self.margin >= 0.0 or bool(self.superseded))


@dataclass(frozen=True, eq=False)
class Context:
    """What every check needs to name the governing case: the cases of a level, in the order of axis C.

    Axis V of loads holds for each design in turn its pretensions.
    """

    cases: tuple[str, ...]
    pretensions: tuple[str, ...]
    doubtful: tuple[bool, ...]  # cases from rows not yet compared
    left: tuple[
        float, ...
    ] = ()  # of each pretension: share of its strength that a warm rack keeps; none: all of it

    def kept(self, values: Array) -> Array:
        """Load multipliers (V, ...) times the share of strength left; not a number where that is not stated."""
        if all(share == 1.0 for share in self.left):
            return values
        share = np.tile(self.left, len(values) // len(self.left))
        return np.asarray(values * share.reshape(-1, *(1,) * (values.ndim - 1)))

    @property
    def too_hot(self) -> str:
        """Why there is no margin, where it is that."""
        return TOO_HOT if any(np.isnan(self.left)) else ""


@dataclass(frozen=True, eq=False)
class Subject:
    """What a margin is about: id (piece/check), mode in words, where its allowable comes from.

    `doubt` marks an allowable not yet compared with its source; `places` name the last axis of the loads. `asks` is
    the load (V, C) or (V, C, places) that a test of this link would have to apply, in `asks_unit`.
    """

    id: str
    mode: str
    source: str
    doubt: bool = False
    unit: str = "N"
    level: str = "ultimate"
    places: tuple[str, ...] = ("",)
    asks: Array | None = None
    asks_unit: str = "N"

    @property
    def is_length(self) -> bool:
        """A gap or a pitch: no strength, so that warmth takes nothing from it."""
        return self.unit == "m"


Index = tuple[int, ...]  # variant, case, place
Steps = Callable[[Index], tuple[Step, ...]]


def missing(
    about: Subject, why: str, each: Array | None = None, context: Context | None = None, factor: float = 1.0
) -> Margin:
    """A margin that cannot be given, and why; `each` where some designs of several have one.

    With a context and what the check asks of a test, it says which load that is, and in which case.
    """
    piece = about.id.rpartition("/")[0]
    gone = Margin(about.id, piece, about.mode, about.level, None, why, "", "", "", about.unit, None, None, factor, (),
                  about.source, (), np.full(1, np.nan) if each is None else each)  # fmt: skip
    return gone if context is None else _asked(context, about, gone)


def _asked(context: Context, about: Subject, margin: Margin) -> Margin:
    """The margin with the greatest load that the check asks of a test; where it is missing, with that case."""
    if about.asks is None:
        return margin
    load = np.abs(about.asks).reshape(*about.asks.shape[:2], -1)
    per = len(context.pretensions)
    gone = np.isnan(load.reshape(len(load) // per, -1)).any(
        axis=1
    )  # designs of which a case has no equilibrium
    known = np.where(np.repeat(gone, per)[:, None, None], np.inf, -load) if gone.any() else -load
    at = None if gone.all() else least(known)
    if at is None:
        return margin
    v, c, p = at
    margin = replace(
        margin, required=float(load[at]), required_unit=about.asks_unit, required_each=-_each(context, -load),
        doubtful_case=context.doubtful[c],
    )  # fmt: skip
    if margin.margin is not None:
        return margin
    places = about.places if len(about.places) == load.shape[2] else ("",) * load.shape[2]
    pretension = context.pretensions[v % len(context.pretensions)]
    return replace(margin, case=context.cases[c], pretension=pretension, place=places[p])


def ratio(
    context: Context,
    about: Subject,
    applied: Array,
    allowable: float | Array,
    factor: float,
    steps: Steps | None = None,
    why: str = "",
) -> Margin:
    """The least allowable / (applied × factor) − 1 over applied (V, C) or (V, C, places).

    It is missing where a value is not a number: for `why`, else because a case has no equilibrium.
    """
    if about.asks is None and about.unit == "N":
        about = replace(about, asks=applied)
    applied = applied.reshape(*applied.shape[:2], -1)
    allowed = np.broadcast_to(np.asarray(allowable, dtype=float), applied.shape)
    if not about.is_length:
        allowed = context.kept(allowed)
    values = margin_of_safety(allowed, np.maximum(applied, 1e-30), factor)
    at, each = least(values), _each(context, values)
    if at is None:
        hot = "" if about.is_length else context.too_hot
        return missing(about, "; ".join(filter(None, (hot, why))) or _why(values), each, context, factor)
    symbols = {"allowable": float(allowed[at]), "applied": float(applied[at]), "factor": factor}
    worked = (*(steps(at) if steps else ()), ("margin_of_safety", symbols))
    return _governing(context, about, values, at, symbols, worked, each)


def governing(margins: Iterable[Margin]) -> tuple[Margin, ...]:
    """Missing margins first, then the least of each kind of check, least first."""
    every, least_of = tuple(margins), dict[str, Margin]()
    for margin in every:
        if margin.margin is not None and not margin.superseded:
            kept = least_of.get(margin.mode)
            if kept is None or kept.margin is None or margin.margin < kept.margin:
                least_of[margin.mode] = margin
    gone = tuple(margin for margin in every if margin.margin is None)
    return gone + tuple(sorted(least_of.values(), key=lambda m: (m.margin or 0.0, m.id)))


def from_factor(context: Context, about: Subject, multiplier: Array, factor: float, steps: Steps) -> Margin:
    """The least multiplier − 1 of an interaction over (V, C) or (V, C, places); its ratios hold the factor."""
    multiplier = context.kept(multiplier.reshape(*multiplier.shape[:2], -1))
    at, each = least(multiplier), _each(context, multiplier) - 1.0
    if at is None:
        return missing(about, context.too_hot or _why(multiplier), each, context, factor)
    k = float(multiplier[at])
    worked = (*steps(at), ("margin_from_factor", {"k": k}))
    numbers = {"applied": 1.0 / k, "allowable": 1.0, "factor": factor}
    return _governing(context, about, multiplier - 1.0, at, numbers, worked, each)


def _why(values: Array) -> str:
    return NO_EQUILIBRIUM if values.size else NO_CASE


def _each(context: Context, values: Array) -> Array:
    """(designs,) the least value of every design; not a number where any of its values is not."""
    designs = values.reshape(len(values) // len(context.pretensions), -1)
    return np.asarray(designs.min(axis=1)) if designs.size else np.full(len(designs), np.nan)


def least(values: Array) -> Index | None:
    """Index of the least value; None when any is not a number.

    Equal to nine digits is equal, and the first is taken: rounding does not choose among symmetric cases.
    """
    low = float(values.min()) if values.size else np.nan  # one that is no number makes the least none
    if np.isnan(low):
        return None
    near = values <= low + 1e-9 * max(1.0, abs(low))
    return tuple(int(i) for i in np.unravel_index(int(np.argmax(near)), values.shape))


def _governing(
    context: Context, about: Subject, values: Array, at: Index, numbers: Values, steps: tuple[Step, ...], each: Array
) -> Margin:  # fmt: skip
    v, c, p = at
    marks = (UNCONFIRMED,) if about.doubt or context.doubtful[c] else ()
    piece, value = about.id.rpartition("/")[0], min(float(values[at]), 1e9)
    of_case = values[: len(context.pretensions)].min(axis=(0, 2))
    pretension = context.pretensions[v % len(context.pretensions)]
    found = Margin(about.id, piece, about.mode, about.level, value, "", context.cases[c], pretension, about.places[p],
                   about.unit, numbers["applied"], numbers["allowable"], numbers["factor"], steps, about.source, marks,
                   each, tuple(zip(context.cases, map(float, of_case), strict=True)))  # fmt: skip
    return _asked(context, about, found)

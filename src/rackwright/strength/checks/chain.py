"""The chain of a strap link by link, from ring to track: strap, hooks and ratchets, floor fitting, track, pitch.

A rating is an ultimate allowable where its maker means ultimate or minimum break; a proof or working rating becomes
one only by a factor that a document states. A floor fitting is judged on the sum of its straps, at the worst angle
that their cones allow, between the angles of its table; a track by its own rating; two loaded fittings of a track by
their distance. Limit allowables are judged on limit loads, ultimate ones on ultimate loads, never mixed. The special
factor counts at both.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import FloorFitting, Link, Rack, StrapType, ToUltimate
from rackwright.strength.factors import special
from rackwright.strength.margin import Index, Margin, Step, Subject, Values, missing, ratio
from rackwright.strength.pulls import spread_at, wear_of
from rackwright.strength.run import Run

__all__ = ["Chain", "chain", "chains", "ultimate_from_limit", "ultimate_of"]

Array = NDArray[np.float64]
NO_ULTIMATE = "only a limit allowable is stated, and a case is ultimate without a limit load"


def chain(run: Run) -> Iterator[Margin]:
    """Margins of straps, links, fittings, tracks and their pitch."""
    d = run.rack.definition
    types = {kind.name: kind for kind in d.strap_type}
    links = {link.name: link for link in d.link}
    tension = run.response.tie_force[:, run.chosen("ultimate")]
    for n, strap in enumerate(d.strap):
        yield from _strap(run, n, types[strap.type], tension[..., n], links)
    for fitting in d.floor_fitting:
        rows = [n for n, strap in enumerate(d.strap) if strap.fitting == fitting.name]
        if rows:
            yield from _fitting(run, fitting, rows, links)
    yield from _pitches(run, tension)


# --- strap and its links -------------------------------------------------------------------------


def ultimate_of(
    rating: float | None, means: str | None, to_ultimate: ToUltimate | None
) -> tuple[float | None, str, tuple[Step, ...]]:
    """Ultimate allowable (N) of a rating, why there is none, and the card that made it."""
    if rating is None or means is None:
        return None, "no rating is stated", ()
    if means in ("ultimate", "minimum break"):
        return rating, "", ()
    if to_ultimate is None:
        return None, f"the rating means {means}, and no factor to ultimate is stated", ()
    k = to_ultimate.factor
    return rating * k, "", (("rated_ultimate", {"R": rating, "k": k}),)


def _strap(run: Run, n: int, kind: StrapType, tension: Array, links: dict[str, Link]) -> Iterator[Margin]:
    name = run.rack.definition.strap[n].name
    means = "ultimate" if kind.rating is None else kind.means
    given = kind.allowable_ultimate if kind.rating is None else kind.rating
    yield _rated(run, f"strap.{name}/tension", "strap", f"strap.{name}", n, tension, given, means, kind.to_ultimate,
                 kind.document, f"strap {kind.name} has no allowable with a document")  # fmt: skip
    if kind.links is None:
        yield missing(Subject(f"strap.{name}/links", "links of the strap", ""), "its links are not stated")
    for one in kind.links or ():
        link = links[one]
        yield _rated(run, f"strap.{name}/{link.kind} {one}", link.kind, f"link.{one}", n, tension, link.rating,
                     link.means, link.to_ultimate, link.document,
                     f"{link.kind} {one} has no rating with a document")  # fmt: skip


def _rated(
    run: Run, id: str, mode: str, part: str, strap: int, load: Array, rating: float | None, means: str | None,
    to_ultimate: ToUltimate | None, document: str | None, unknown: str,
) -> Margin:  # fmt: skip
    allowed, why, steps = ultimate_of(rating, means, to_ultimate)
    factor = special(run.rack, part, wear_of(run, [strap]))
    said = f"{document}, {means}" + (
        f", to ultimate by {to_ultimate.document}" if steps and to_ultimate else ""
    )
    about = Subject(id, mode, f"{said}; factor: {factor.source}", factor.doubt)
    context = run.context("ultimate")
    if rating is None or document is None or allowed is None or factor.missing:
        why = unknown if rating is None or document is None else why or factor.missing
        return missing(replace(about, asks=load), why, None, context, factor.value)
    worked = (*steps, *factor.steps)
    return ratio(context, about, load, allowed, factor.value, lambda at: worked)


# --- fitting and track ---------------------------------------------------------------------------


def ultimate_from_limit(run: Run) -> bool:
    """Is every ultimate case a limit case times the factor of safety?"""
    return all(run.cases[n].id.endswith("/ultimate") for n in run.chosen("ultimate"))


def _fitting(
    run: Run, fitting: FloorFitting, rows: Sequence[int], links: dict[str, Link]
) -> Iterator[Margin]:
    """The pull of all its straps on a floor fitting against its allowable at that angle above the floor."""
    about = Subject(f"fitting.{fitting.name}/pull", "floor fitting", fitting.document or "")
    if not fitting.allowable or fitting.document is None:
        yield missing(about, f"floor fitting {fitting.name} has no allowable with a document")
    else:
        found = {level: _pull(run, fitting, rows, level) for level in ("ultimate", "limit")}
        if found["ultimate"] is None and not (found["limit"] and ultimate_from_limit(run)):
            yield missing(about, NO_ULTIMATE)
        yield from (one for one in found.values() if one is not None)
    yield from _track(run, fitting, rows, links)


def _table(fitting: FloorFitting, level: str) -> tuple[Array, Array]:
    """Angles above the floor and allowables at one level, ascending; empty where none is stated."""
    field = f"allowable_{level}"
    rows = [(p.pull, getattr(p, field)) for p in fitting.allowable or () if getattr(p, field) is not None]
    return np.array([a for a, _ in rows]), np.array([f for _, f in rows])


def _pull(run: Run, fitting: FloorFitting, rows: Sequence[int], level: str) -> Margin | None:
    angles, values = _table(fitting, level)
    if not len(angles) or not run.chosen(level):
        return None
    factor = special(run.rack, f"fitting.{fitting.name}", [fitting.wear, *wear_of(run, rows)])
    id = f"fitting.{fitting.name}/pull" + ("" if level == "ultimate" else " at limit")
    about = Subject(
        id, "floor fitting", f"{fitting.document}; factor: {factor.source}", factor.doubt, level=level
    )
    spread = spread_at(run, rows, level)
    if spread is None or factor.missing:
        return missing(about, factor.missing or "no cone of directions is stated for its straps")
    pull, more, turned = spread
    size = np.linalg.norm(pull, axis=-1) + more
    angle = np.arctan2(pull[..., 2], np.hypot(pull[..., 0], pull[..., 1]))
    low, high = angle - turned, np.minimum(angle + turned, np.pi / 2)
    outside = ((low < angles[0] - 1e-9) | (high > angles[-1] + 1e-9)) & (size > 1e-9)
    why = (
        f"the pull's angle, its cone counted, lies outside the table of {fitting.document}"
        if outside.any()
        else ""
    )
    ends = np.minimum(np.interp(low, angles, values), np.interp(high, angles, values))
    inside = (angles > low[..., None]) & (
        angles < high[..., None]
    )  # linear between: the least is at an end or a point
    least = np.minimum(ends, np.where(inside, values, np.inf).min(axis=-1))
    allowable = np.where(outside, np.nan, least)[..., None]

    def steps(at: Index) -> tuple[Step, ...]:
        v, c, _ = at
        parts, cone = _parts(pull[v, c]), (float(low[v, c]), float(high[v, c]))
        read = _read(parts, float(angle[v, c]), cone, angles, values)
        return *factor.steps, ("fitting_pull", {**parts, "dP": float(more[v, c])}), *read

    return ratio(run.context(level), about, size, allowable, factor.value, steps, why)


def _parts(pull: Array) -> Values:
    """A pull (3,) level and upright."""
    return {"Fh": float(np.hypot(*pull[:2])), "Fz": float(pull[2])}


def _read(
    parts: Values, nominal: float, cone: tuple[float, float], angles: Array, values: Array
) -> tuple[Step, ...]:
    """How the table's least between both ends (rad) of a cone came about: the angle, and the points beside it."""
    tried = [*cone, *(float(a) for a in angles if cone[0] < a < cone[1])]
    worst = min(tried, key=lambda a: float(np.interp(a, angles, values)))
    turned: Step = ("pull_angle", {**parts, "turn": worst - nominal})
    if len(angles) == 1:
        return (turned,)
    above = int(np.clip(np.searchsorted(angles, worst), 1, len(angles) - 1))
    (x1, x2), (F1, F2) = angles[above - 1 : above + 1].tolist(), values[above - 1 : above + 1].tolist()
    worst = min(max(worst, x1), x2)  # a table is read to its ends, to rounding
    return turned, ("table_between", {"x": worst, "x1": x1, "F1": F1, "x2": x2, "F2": F2})


def _track(run: Run, fitting: FloorFitting, rows: Sequence[int], links: dict[str, Link]) -> Iterator[Margin]:
    if fitting.place is None:
        about = Subject(f"fitting.{fitting.name}/place", "place of the fitting in the floor", "")
        yield missing(about, "it is not stated whether it sits in a track, a pan or a hard point")
    if fitting.place != "track":
        return
    about = Subject(f"fitting.{fitting.name}/track", "track", "")
    if fitting.track is None:
        yield missing(about, "its track is not stated")
        return
    track = links[fitting.track]
    allowed, why, steps = ultimate_of(track.rating, track.means, track.to_ultimate)
    factor = special(run.rack, f"link.{track.name}", [fitting.wear])
    about = Subject(
        about.id, "track", f"{track.document}, {track.means}; factor: {factor.source}", factor.doubt
    )
    spread = spread_at(run, rows, "ultimate")
    why = why or factor.missing or ("" if spread else "no cone of directions is stated for its straps")
    why = f"track {track.name} has no rating with a document" if track.document is None else why
    if allowed is None or spread is None or why:
        yield missing(about, why)
        return
    pull, more, _ = spread
    size = np.linalg.norm(pull, axis=-1) + more

    def worked(at: Index) -> tuple[Step, ...]:
        here = at[:2]
        return *steps, *factor.steps, ("fitting_pull", {**_parts(pull[here]), "dP": float(more[here])})

    yield ratio(run.context("ultimate"), about, size, allowed, factor.value, worked)


def _pitches(run: Run, tension: Array) -> Iterator[Margin]:
    """Distance to the nearest fitting of the same track that is loaded in the same case."""
    d = run.rack.definition
    feet = {foot.fitting for foot in d.foot}
    of = {
        one.name: [n for n, strap in enumerate(d.strap) if strap.fitting == one.name]
        for one in d.floor_fitting
    }
    used = [one for one in d.floor_fitting if one.place == "track" and (of[one.name] or one.name in feet)]
    loaded: dict[str, NDArray[np.bool_]] = {
        one.name: np.asarray((tension[..., of[one.name]] > 0).any(axis=-1) | (one.name in feet))
        for one in used
    }
    ground = run.model.frame.ties.offset[:, :, 1]
    at = {one.name: ground[:, of[one.name][0]] if of[one.name] else np.array([one.at]) * 1e-9 for one in used}
    for one in used:
        others = [other for other in used if other is not one and other.track == one.track]
        about = Subject(f"fitting.{one.name}/pitch", "pitch of loaded fittings", one.document or "", unit="m",
                        places=tuple(f"to {other.name}" for other in others))  # fmt: skip
        if not others or one.track is None:
            continue
        if one.least_pitch is None:
            yield missing(about, "no least pitch between loaded fittings is stated")
            continue
        both = np.stack([loaded[one.name] & loaded[other.name] for other in others], axis=-1)
        apart = np.stack(
            [np.linalg.norm(at[one.name] - at[other.name], axis=-1) for other in others], axis=-1
        )
        held = np.asarray(np.isfinite(tension).all(axis=-1))[..., None]
        needed = np.where(held, np.where(both, one.least_pitch * 1e-9, 0.0), np.nan)
        yield ratio(run.context("ultimate"), about, needed, apart[:, None], 1.0)


# --- the weakest link ----------------------------------------------------------------------------


@dataclass(frozen=True)
class Chain:
    """A strap's chain: the ids of its links' margins, the weakest in each case, and those without a margin."""

    strap: str
    weakest: str  # "" where no link has a margin
    margin: float | None
    by_case: tuple[tuple[str, str, float], ...]  # case, id, margin
    unrated: tuple[str, ...]


def chains(rack: Rack, margins: Sequence[Margin]) -> tuple[Chain, ...]:
    """The chain of every strap, ring to track, from the margins at ultimate."""
    found = []
    for strap in rack.definition.strap:
        pieces = (f"ring.{strap.ring}", f"strap.{strap.name}", f"fitting.{strap.fitting}")
        links = [m for m in margins if m.piece in pieces and m.level == "ultimate" and m.unit != "m"]
        rated = [m for m in links if m.margin is not None]
        cases = dict.fromkeys(case for m in rated for case, _ in m.by_case)
        rows = []
        for case in cases:
            value, id = min((dict(m.by_case).get(case, m.margin or 0.0), m.id) for m in rated)
            rows.append((case, id, value))
        least = min(rated, key=lambda m: (m.margin or 0.0, m.id), default=None)
        found.append(Chain(strap.name, least.id if least else "", least.margin if least else None, tuple(rows),
                           tuple(m.id for m in links if m.margin is None)))  # fmt: skip
    return tuple(found)

"""At which multiple of its load a frame buckles.

The forces of each case, with its acting ties and pads, grow together by a factor λ; the frame buckles where its loaded
stiffness K(λ) of `tangent` first ceases to be positive definite. With exact members K(λ) depends on λ by more than
a straight line, so the factor is enclosed: it lies above every λ at which each member holds between still nodes and
K(λ) has a Cholesky factor (the count of Wittrick & Williams, 1971, is then zero), and below every λ at which that is
not so. Trials come from the shape φ of inverse iteration at the lower end, where φᵀ K(λ) φ = 0, so that a few of them
bring both ends together; halving does where they do not. The factor given is the lower end.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg import eigh
from scipy.sparse.linalg import ArpackNoConvergence, LinearOperator, eigsh

from rackwright.strength.frame.model import Array, Bools, Ints
from rackwright.strength.frame.refine import whole_matrix
from rackwright.strength.frame.settle import Settled
from rackwright.strength.frame.solve import Response
from rackwright.strength.frame.standing import Standing, standing
from rackwright.strength.frame.tangent import Loaded, solved, times
from rackwright.strength.frame.words import WHY, describe, place_of

__all__ = ["Buckling", "buckling"]

CLOSE = 1e-8  # relative width of the enclosure
LARGEST = 1e9  # above this multiple of its load nothing buckles
STEPS = 250  # more than halving alone needs
SMALL = 30  # freedoms: smaller problems are solved at once


@dataclass(frozen=True, eq=False)
class Buckling:
    """Factors (V,C): infinite where nothing presses, NaN where the case has no equilibrium or its acting set is loose.

    Where `exact` is not set the factor is only known not to be lower than the one given, which another variant has in
    that case. `member` (V,C) is the member that buckles between still nodes, or -1 where nodes move in `shape`.
    """

    factor: Array  # (V,C)
    exact: Bools  # (V,C)
    shape: Array  # (V,C,N,6), largest component 1; zero where a member buckles alone
    member: Ints  # (V,C)
    loose: tuple[tuple[str | None, ...], ...]  # why a factor is NaN
    words: tuple[tuple[str, ...], ...]  # where it buckles


def buckling(of: Response | Settled | Standing, least: bool = False) -> Buckling:
    """The lowest positive buckling factor of every variant and case, enclosed to one part in a hundred million.

    A case that was followed buckles where it stands. `least`: only the least of each case over its variants; the others
    are shown to stand there.
    """
    stands = of if isinstance(of, Standing) else standing(of)
    response = stands.response
    frame = response.frame
    count = frame.variants, len(response.cases)
    factor, shape = np.full(count, np.nan), np.zeros((*count, frame.nodes, 6))
    exact, best = np.ones(count, dtype=bool), np.full(count[1], np.inf)
    member = np.full(count, -1)
    loose = [list(row) for row in response.loose]
    words = [[""] * count[1] for _ in range(count[0])]
    shown: list[Array | None] = [None] * count[1]  # the shape in which each case buckled first

    def enclose(loaded: Loaded, v: int, c: int) -> None:
        """The exact factor of one case."""
        with np.errstate(divide="ignore"):
            alone = loaded.tangent.alone[loaded.state.v[0]] / np.maximum(-loaded.state.axial[0], 0.0)
        found = _lowest(loaded, float(alone.min(initial=np.inf)))
        if found is None:
            loose[v][c] = f"the frame on its acting ties and pads: {WHY['loose']}"
            return
        factor[v, c], moved = found
        if factor[v, c] < best[c]:
            best[c], shown[c] = factor[v, c], moved
        if moved is not None:
            full = loaded.tangent.layout.scatter(moved)
            shape[v, c] = full / np.abs(full).max()
            words[v][c] = describe(shape[v, c], frame.xyz[v], frame.names)
        elif np.isfinite(factor[v, c]):
            member[v, c] = int(alone.argmin())
            words[v][c] = place_of(frame, int(member[v, c]))

    for group in stands.groups:
        v, c = group.pairs.T
        # what is pressed most buckles first, as a rule; after that what is softest in the shape of the first
        rank, waits = -np.maximum(-group.state.axial, 0.0).sum(axis=1), np.arange(len(v))
        while waits.size:
            waits = waits[np.argsort(rank[waits], kind="stable")]
            first = np.unique(c[waits], return_index=True)[1] if least else np.arange(len(waits))
            for part in group.portions(waits[first]):
                loaded = group.tangent.under(group.state.part(part))
                factor[v[part], c[part]], exact[v[part], c[part]] = np.nan, True
                for n, p in enumerate(part):
                    enclose(loaded.one(n), int(v[p]), int(c[p]))
            waits = np.delete(waits, first)
            falls = np.zeros(len(v), dtype=bool)
            for part in group.portions(waits):
                bands, lowers = group.tangent.under(group.state.part(part)).stands(best[c[part]])
                falls[part] = [lower is None for lower in lowers]
                factor[v[part], c[part]], exact[v[part], c[part]] = best[c[part]], False
                for p, band in zip(part, bands, strict=True):
                    x = shown[c[p]]
                    rank[p] = 0.0 if x is None else float(x @ times(band, x))
            waits = waits[falls[waits]]
    return Buckling(factor, exact, shape, member, tuple(map(tuple, loose)), tuple(map(tuple, words)))


def _lowest(loaded: Loaded, alone: float) -> tuple[float, Array | None] | None:
    """The factor and the shape of one case; no shape where a member buckles alone; None where K(0) is singular."""
    low, high, bent = 0.0, min(alone, LARGEST), False

    def stands(by: float) -> tuple[Array, Array | None]:
        bands, lowers = loaded.stands(by)
        return bands[0], lowers[0]

    band, lower = stands(0.0)
    if lower is None:
        return None
    x: Array = np.zeros(len(band))
    near: tuple[float, Array] | None = None  # another λ and its K(λ): the slope from here to there
    wide, since = np.inf, 0  # the enclosure when it was last halved, and steps since
    for step in range(STEPS if len(band) else 0):
        if high - low <= CLOSE * high:
            break
        wide, since = (high - low, 0) if high - low <= wide / 2 else (wide, since + 1)
        if near is None:
            d = 1e-3 * min(high, 1.0)
            near = d, loaded.band(d)[0]
        slope = (near[1] - band) / (near[0] - low)
        x = _again(slope, lower, x) if step else _dominant(slope, band, lower)
        loss = float(x @ times(slope, x))
        guess = low - float(x @ times(band, x)) / loss if loss < 0 else np.inf
        sharp = low > 0.95 * guess  # from near by, inverse iteration finds the shape itself
        if since >= 2 or guess <= low:
            trials: tuple[float, ...] = ((low + high) / 2,)
        elif guess >= high:
            trials = ((low + 9 * high) / 10 if bent else high * (1 - CLOSE / 3),)
        elif sharp:
            trials = guess * (1 - CLOSE / 3), guess * (1 + CLOSE / 3)
        else:
            trials = (guess - 0.2 * (high - guess) if bent else guess,)
        for trial in trials:
            if low < trial < high:
                at, found = stands(trial)
                if found is None:
                    high, bent, near = trial, True, (trial, at)
                    break
                near = (low, band) if near[0] <= high and near[0] < trial else near
                low, band, lower = trial, at, found
    if high >= LARGEST:
        return np.inf, None
    return (low or high), (x if bent else None)


def _again(slope: Array, lower: Array, x: Array) -> Array:
    """Two steps of inverse iteration from the lower end."""
    for _ in range(2):
        x = solved(lower, -times(slope, x))
        x = x / (np.abs(x).max() or 1.0)
    return x


def _dominant(slope: Array, band: Array, lower: Array) -> Array:
    """The shape that loses stiffness fastest beside what it has."""
    rows = len(band)
    start = np.cos(np.arange(rows) * 2.3 + 0.7)  # at right angles to no mode in particular
    if rows > SMALL:
        shape = (rows, rows)
        try:
            _, found = eigsh(
                LinearOperator(shape, lambda x: times(slope, x.ravel())), k=1, which="SA", tol=1e-4, v0=start,
                M=LinearOperator(shape, lambda x: times(band, x.ravel())),
                Minv=LinearOperator(shape, lambda x: solved(lower, x.ravel())),
            )  # fmt: skip
        except ArpackNoConvergence:
            return _again(slope, lower, start)
        return np.asarray(found[:, 0])
    whole, loss = (whole_matrix(one).toarray() for one in (band, slope))
    return np.asarray(eigh(loss, whole, subset_by_index=[0, 0])[1][:, 0])

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
from rackwright.strength.frame.ready import Model
from rackwright.strength.frame.refine import whole_matrix
from rackwright.strength.frame.settle import Settled
from rackwright.strength.frame.solve import Response
from rackwright.strength.frame.tangent import Loaded, State, Tangent, axial_of, solved, times
from rackwright.strength.frame.words import WHY, describe, place_of

__all__ = ["Buckling", "buckling", "states_of"]

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


def states_of(response: Response, model: Model) -> dict[tuple[int, int], State]:
    """The forces of every case that has an equilibrium, by variant and case."""
    found, thrown = {}, response.cases.thrown(response.frame.variants)
    for v, c in np.ndindex(*response.residual.shape):
        if response.loose[v][c] is None:
            end = response.end_force[v, c]
            forces = end.reshape(-1, 4, 3)[:, 0::2] @ model.geo.turn[v]
            pull = np.concatenate([response.tie_force[v, c], response.pad_force[v, c]])
            found[v, c] = State(axial_of(end), forces, pull, thrown[v, c])
    return found


def buckling(of: Response | Settled, least: bool = False) -> Buckling:
    """The lowest positive buckling factor of every variant and case, enclosed to one part in a hundred million.

    A case that was followed buckles where it stands. `least`: only the least of each case over its variants; the others
    are shown to stand there.
    """
    response = of if isinstance(of, Response) else of.response
    frame = response.frame
    count = frame.variants, len(response.cases)
    factor, shape = np.full(count, np.nan), np.zeros((*count, frame.nodes, 6))
    exact, best = np.ones(count, dtype=bool), np.full(count[1], np.inf)
    member = np.full(count, -1)
    loose = [list(row) for row in response.loose]
    words = [[""] * count[1] for _ in range(count[0])]
    places = _places(of)
    pressed = {pair: -float(np.maximum(-one[2].axial, 0.0).sum()) for pair, one in places.items()}
    for v, c in sorted(
        places, key=lambda pair: pressed[pair]
    ):  # what is pressed most buckles first, as a rule
        tangent, n, state = places[v, c]
        with np.errstate(divide="ignore"):
            alone = tangent.alone[n] / np.maximum(-state.axial, 0.0)
        loaded = tangent.under(state, n)
        if least and np.isfinite(best[c]) and loaded.stands(float(best[c]))[1] is not None:
            factor[v, c], exact[v, c] = best[c], False
            continue
        found = _lowest(loaded, float(alone.min(initial=np.inf)))
        if found is None:
            loose[v][c] = f"the frame on its acting ties and pads: {WHY['loose']}"
            continue
        factor[v, c], moved = found
        best[c] = min(best[c], factor[v, c])
        if moved is not None:
            full = tangent.layout.scatter(moved)
            shape[v, c] = full / np.abs(full).max()
            words[v][c] = describe(shape[v, c], frame.xyz[v], frame.names)
        elif np.isfinite(factor[v, c]):
            member[v, c] = int(alone.argmin())
            words[v][c] = place_of(frame, int(member[v, c]))
    return Buckling(factor, exact, shape, member, tuple(map(tuple, loose)), tuple(map(tuple, words)))


def _places(of: Response | Settled) -> dict[tuple[int, int], tuple[Tangent, int, State]]:
    """The loaded frame of every case that has an equilibrium: its tangent, its variant there, its forces."""
    found = {}
    if isinstance(of, Settled) and of.moved is not None:
        model = of.moved.model
        tangent, states = Tangent.of(model), states_of(of.moved, model)
        found = {pair: (tangent, n, states[n, 0]) for pair, n in of.pairs.items()}
    response = of if isinstance(of, Response) else of.response
    if any(
        why is None and (v, c) not in found
        for v, row in enumerate(response.loose)
        for c, why in enumerate(row)
    ):
        model = response.model
        tangent = Tangent.of(model)
        drawn = {(v, c): (tangent, v, state) for (v, c), state in states_of(response, model).items()}
        found = drawn | found
    return found


def _lowest(loaded: Loaded, alone: float) -> tuple[float, Array | None] | None:
    """The factor and the shape of one case; no shape where a member buckles alone; None where K(0) is singular."""
    low, high, bent = 0.0, min(alone, LARGEST), False
    band, lower = loaded.stands(0.0)
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
            near = d, loaded.band(d)
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
                at, found = loaded.stands(trial)
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

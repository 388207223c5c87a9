"""Where every case stands, ready for what its forces do to the stiffness: `buckling` and `second_order` start here.

A case that was followed stands as a variant of its own, about the place where it came to rest; another as drawn.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.model import Array, Ints
from rackwright.strength.frame.settle import Settled
from rackwright.strength.frame.solve import Response
from rackwright.strength.frame.tangent import State, Tangent, axial_of

__all__ = ["Group", "Standing", "standing"]

PORTION = 64  # cases worked on at once: their bands are large


@dataclass(frozen=True, eq=False)
class Group:
    """Cases that stand in the variants of one frame."""

    response: Response
    tangent: Tangent
    pairs: Ints  # (P,2) variant and case as the whole counts them
    case: Ints  # (P,) as `response` does; `state.v` is the variant there
    state: State

    def portions(self, some: Ints) -> Iterator[Ints]:
        """Numbers of cases, so many at a time as fit the cache."""
        for start in range(0, len(some), PORTION):
            yield some[start : start + PORTION]


@dataclass(frozen=True, eq=False)
class Standing:
    """All cases that have an equilibrium."""

    response: Response  # the whole's
    groups: tuple[Group, ...]


def standing(of: Response | Settled) -> Standing:
    """Every case that has an equilibrium: the followed ones where they rest, the others as drawn."""
    response = of if isinstance(of, Response) else of.response
    stands = [(v, c) for v, row in enumerate(response.loose) for c, why in enumerate(row) if why is None]
    groups, there = [], {}
    if isinstance(of, Settled) and of.moved is not None:
        there = {pair: n for pair, n in of.pairs.items() if pair in set(stands)}
        if there:
            at = np.array([[n, 0] for n in there.values()])
            groups.append(_group(of.moved, np.array(list(there)), at))
    drawn = np.array([pair for pair in stands if pair not in there])
    if len(drawn):
        groups.append(_group(response, drawn, drawn))
    return Standing(response, tuple(groups))


def _group(response: Response, pairs: Ints, at: Ints) -> Group:
    """Of variants and cases `at` (P,2) of a response."""
    v, c = at.T
    turn: Array = response.model.geo.turn[v]
    end = response.end_force[v, c]
    forces = end.reshape(*end.shape[:-1], 4, 3)[..., 0::2, :] @ turn
    pull = np.concatenate([response.tie_force[v, c], response.pad_force[v, c]], axis=-1)
    thrown = response.cases.thrown(response.frame.variants)[v, c]
    moved = response.cases.moved
    off = None if moved is None else moved[v, c]
    state = State(v, axial_of(end), forces, pull, thrown, response.carrier_force[v, c], off)
    return Group(response, Tangent.of(response.model, moved), pairs, c, state)

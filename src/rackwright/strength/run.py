"""A solved rack: what the checks read, with forces of a tube gathered from its segments."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Piece
from rackwright.rack.model import Equipment, Rack
from rackwright.strength.cases import LoadCase
from rackwright.strength.frame import Buckling, Response, SecondOrder, Settled
from rackwright.strength.isolators import Floated, float_all
from rackwright.strength.margin import Context
from rackwright.strength.rack_frame import RackFrame
from rackwright.strength.solution import FRACTIONS, Solution

__all__ = ["Run"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Run:
    """Rack, pieces, frame, cases and response. Arrays have axes V (of each design both pretensions) and C (case).

    One design, or several that differ in what `RackFrame` holds for each variant; see `vary`.
    """

    rack: Rack
    pieces: Pieces
    model: RackFrame
    cases: tuple[LoadCase, ...]
    solution: Solution
    fitting_factor: float
    factor_source: str

    @property
    def settled(self) -> Settled:
        """Where each case came to rest."""
        return self.solution.settled

    @property
    def response(self) -> Response:
        """The answers where each case came to rest, in the rack's own axes."""
        return self.settled.response

    def chosen(self, level: str) -> list[int]:
        """Numbers of the cases of a level: "ultimate" or "limit"."""
        return [n for n, case in enumerate(self.cases) if case.kind == level]

    @property
    def levels(self) -> tuple[str, ...]:
        """What metal is held to: always ultimate, and yield where limit cases are given."""
        return ("ultimate", "limit") if self.chosen("limit") else ("ultimate",)

    def context(self, level: str) -> Context:
        rows = [self.cases[n] for n in self.chosen(level)]
        doubtful = tuple(row.unconfirmed for row in rows)
        return Context(tuple(row.id for row in rows), self.model.variants, doubtful, self.model.left)

    def inertia_force(self, item: Equipment, level: str) -> Array:
        """(V, C, 3) inertia force of an item at its upper mass, rack axes."""
        inertia = self.response.cases.thrown(self.response.frame.variants)[:, self.chosen(level)]
        return np.asarray(self.model.item_mass[:, self.model.items.index(item.name), None, None] * inertia)

    def turning(self, item: Equipment) -> Array | None:
        """(V, C, 3) moment about an item's centre of gravity beside its inertia force, N·m; None in load cases."""

    def tension(self, level: str) -> Array:
        """(V, C, straps) N"""
        return np.asarray(self.response.tie_force[:, self.chosen(level)])

    def ways(self, level: str) -> Array:
        """(V, C, straps, 3) along each strap, from its ring to its fitting."""
        return np.asarray(self.settled.way[:, self.chosen(level)])

    def demand(self, level: str, read: Callable[[Run], Array], signed: tuple[int, ...] = ()) -> Array:
        """What a check's linear part `read` (V, C, ..., parts) makes of this run, for its judge.

        `read` is linear in forces and motions. The judge is no easier on a larger part: of `signed` ones all the one
        way, of others by their size alone. So it can be read off a vibrating rack and put to the same judge.
        """
        return read(self)

    def item_cg(self, item: Equipment) -> Array:
        """(V, 3) centre of gravity of an item from the corner of its body, m."""
        return np.asarray(self.model.item_cg[:, self.model.items.index(item.name)])

    @cached_property
    def on_isolators(self) -> Mapping[str, Floated]:
        """Every item on isolators, where its own inertia takes it from its seat: arrays (V, C, ...), frame's axes."""
        thrown = self.response.cases.thrown(self.response.frame.variants)
        return float_all(self.rack, self.model.item_mass, self.model.item_cg, thrown)

    @property
    def foot_force(self) -> Array:
        """(V, C, feet, 3) force of the floor on every bolted foot, N, rack axes."""
        force = self.response.spring_force
        return np.asarray(force.reshape(*force.shape[:2], -1, 3))

    @property
    def inside(self) -> Array:
        """(V, C, M, 5, 6): N, Vy, Vz, T, My, Mz at five stations of every member."""
        return self.solution.inside

    @property
    def inside_second(self) -> Array:
        """As `inside`, of the deformed frame."""
        return self.solution.inside_second

    @property
    def buckling(self) -> Buckling:
        """At which multiple of each case the frame buckles: exact for the variant with the least of a case."""
        return self.solution.buckling

    @property
    def second(self) -> SecondOrder:
        """Equilibrium on the deformed frame, of every case and variant."""
        return self.solution.second

    def along(self, piece: Piece, level: str, deformed: bool = False) -> Array:
        """(V, C, stations, 6) of all segments of a piece, from its low to its high end; of the frame as deformed."""
        rows = [n for n, segment in enumerate(self.model.segments) if segment.piece == piece.id]
        inside = self.inside_second[:, self.chosen(level)] if deformed else self._at(level)
        picked = inside[:, :, rows]
        return np.asarray(picked.reshape(*picked.shape[:2], -1, 6))

    def _at(self, level: str) -> Array:
        """`inside` of the cases of a level: itself where they are all, since a batch is large."""
        chosen = self.chosen(level)
        return self.inside if len(chosen) == len(self.cases) else self.inside[:, chosen]

    def places(self, piece: Piece) -> tuple[str, ...]:
        """The stations of `along` in words: inches from the low end."""
        words = []
        for segment in self.model.segments:
            if segment.piece == piece.id:
                words += [
                    f"{(segment.start + f * segment.length) / 0.0254:.2f} in from its low end"
                    for f in FRACTIONS
                ]
        return tuple(words)

    def sides(self, piece: str, distance: float, level: str) -> tuple[Array, ...]:
        """(V, C, 6) inside a piece at a distance (m) from its low end; exact under uniform load.

        One array; two where a node lies there, since what is fixed to the piece makes its forces jump.
        """
        found = []
        for n, segment in enumerate(self.model.segments):
            fraction = (distance - segment.start) / segment.length
            if segment.piece == piece and -1e-9 <= fraction * segment.length <= segment.length + 1e-9:
                three = self._at(level)[:, :, n, ::2]
                weights = _through_three(float(np.clip(fraction, 0.0, 1.0)))
                found.append(np.asarray(np.einsum("vcsf,s->vcf", three, weights)))
        if not found:
            raise KeyError(f"{piece} has no member at {distance} m")
        return tuple(found)


def _through_three(x: float) -> Array:
    """Weights of the parabola through the values at 0, 1/2 and 1."""
    return np.array([(2 * x - 1) * (x - 1), 4 * x * (1 - x), x * (2 * x - 1)])

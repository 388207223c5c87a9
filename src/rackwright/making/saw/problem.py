"""What is to be cut from what, and what an answer is. Whole numbers only; no unit is known here.

A bar of `length` loses `trim` at its first end; every piece takes `use` (its blade width included), and
`tail_min` must stay behind the last cut, in the clamp:

    leftover = length - trim - Σ use + last_kerf  >=  tail_min

`last_kerf` is the blade width where the last piece may end on the bar's end (no clamp behind it); it is 0
where every piece costs a full cut. A leftover >= `remnant_min` goes back to the rack and is credited
`remnant_credit` a unit of length; below that it is scrap. An opened bar therefore costs

    cost - (remnant_credit · leftover if leftover >= remnant_min else 0)

and the objective is the sum over the opened bars. A bar counts as opened when at least one piece is cut
from it. Groups carry the same-heat rule: from each heat, the number of pieces of the group is a multiple
of `sets_of`. A piece that names a heat is cut from that heat alone: it completes a set of which some is cut.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

__all__ = ["STAND_IN", "Answer", "Bar", "BarPlan", "Group", "Piece", "Problem"]

#: the heat of bars that are not there but in a question: every piece may be cut from them
STAND_IN = "\0stand-in"


@dataclass(frozen=True)
class Bar:
    """Stock of one kind: `count` equal bars, or None for as many as needed."""

    id: str
    length: int
    cost: int
    count: int | None = None
    trim: int = 0
    heat: str = ""


@dataclass(frozen=True)
class Piece:
    """`count` pieces that take `use` of a bar each, blade width included; from any heat, or from `heat` alone."""

    id: str
    use: int
    count: int
    heat: str | None = None

    def may_be_of(self, heat: str) -> bool:
        return self.heat is None or heat in (self.heat, STAND_IN)


@dataclass(frozen=True)
class Group:
    """Pieces that come in sets of `sets_of` from one heat: per heat a multiple of it."""

    pieces: tuple[str, ...]
    sets_of: int


@dataclass(frozen=True)
class Problem:
    """One section's bars and pieces. Ids are unique among the bars and among the pieces."""

    bars: tuple[Bar, ...]
    pieces: tuple[Piece, ...]
    groups: tuple[Group, ...] = ()
    tail_min: int = 0
    remnant_min: int = 0
    remnant_credit: int = 0
    last_kerf: int = 0

    @cached_property
    def bar(self) -> dict[str, Bar]:
        return {bar.id: bar for bar in self.bars}

    @cached_property
    def piece(self) -> dict[str, Piece]:
        return {piece.id: piece for piece in self.pieces}

    def room(self, bar: Bar) -> int:
        """The most that the pieces of one bar can use together; negative when not even the tail fits."""
        return bar.length - bar.trim + self.last_kerf - self.tail_min

    def leftover(self, bar: Bar, used: int) -> int:
        return bar.length - bar.trim + self.last_kerf - used

    def credit(self, leftover: int) -> int:
        return self.remnant_credit * leftover if leftover >= self.remnant_min else 0

    def used(self, cut: Iterable[tuple[str, int]]) -> int:
        return sum(self.piece[name].use * n for name, n in cut)


@dataclass(frozen=True)
class BarPlan:
    """`times` bars of one kind, all cut alike: `cut` is (piece id, how many), longest first."""

    bar: str
    cut: tuple[tuple[str, int], ...]
    times: int
    leftover: int


@dataclass(frozen=True)
class Answer:
    """A plan, what it costs, and a proven bound on what any plan costs.

    `missing` lists pieces that found no bar: then the plan is not a plan for the whole demand, and
    `missing_proven` says whether it is proven that none exists. `first_objective` is what plain
    first-fit decreasing costs (None when it could not place all). `searched` tells in words what was done
    when nothing more could be done. `level_price` is paid above the best value for fewer bars and stop moves
    (`levels`): `optimal` is said of the value without it.
    """

    cuts: tuple[BarPlan, ...]
    objective: int
    lower_bound: int
    bound_how: str
    first_objective: int | None = None
    missing: tuple[tuple[str, int], ...] = ()
    missing_proven: bool = False
    level_price: int = 0  # of the objective: what fewer bars and stop moves were allowed to cost

    @property
    def optimal(self) -> bool:
        return not self.missing and self.objective - self.level_price == self.lower_bound

    @property
    def closed(self) -> bool:
        """Nothing better can exist: optimal, or proven to have no plan."""
        return self.optimal or self.missing_proven

    @property
    def bars_opened(self) -> int:
        return sum(plan.times for plan in self.cuts)

    @property
    def stop_moves(self) -> int:
        """Settings of the length stop: distinct pieces per bar, less one where the last stays set.

        Bars are cut in the order listed, each from its first listed piece to its last.
        """
        moves, stop = 0, ""
        for plan in self.cuts:
            names = [name for name, _ in plan.cut]
            moves += len(names) - (names[0] == stop)
            moves += (plan.times - 1) * (len(names) - (len(names) == 1))
            stop = names[-1]
        return moves

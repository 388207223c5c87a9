"""How many bars of each kind to open and remnants to keep: branching on these, down to the mixes that can be best.

A linear program opens 6.3 long bars, or 0.04 of one, and keeps half a remnant where too little is left for one. What
a plan costs beyond its use hangs mostly on that, so these numbers are branched on first (as numbers of vehicles are in
routing: Desrochers, Desrosiers & Solomon 1992). A `Box` allows each a range; its bound is

    Σ demand·π - Σ over kinds of (high if a bar earns at prices π more than it costs, else low) · (earned - cost)
               - ρ · (most if ρ > 0, else least)

for any prices π >= 0 of pieces and ρ on each remnant kept (linear duality), in whole numbers. The cheapest box goes
first. As long as the lengths alone (`lengths`) open parts of bars, it is split on these; then its program is solved,
and the box drawn in to what can cost less than the best plan (reduced costs). Where that opens whole bars, their *mix*
is set apart, to be cut from by other means (a problem of the same pieces and just these bars), and the box without it
is split. What is left in the end are few mixes; the least of their bounds and of the boxes' still open bounds every
plan.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from heapq import heappop, heappush

from rackwright.making.saw.bounds import Box, whole_box
from rackwright.making.saw.colgen import Relaxation, Work
from rackwright.making.saw.knapsack import Pricer
from rackwright.making.saw.lengths import Lengths
from rackwright.making.saw.master import Master
from rackwright.making.saw.model import Mix, Model, Pattern

__all__ = ["Openings"]

WHOLE = 1e-6  # numbers this near to whole are whole


@dataclass(frozen=True, order=True)
class _Open:
    """No plan within the box costs less than `bound`. `numbers`, of bars by kind and of remnants, are where the bound
    is reached, of the linear program when `priced`, else of the lengths alone."""

    bound: int
    number: int  # of the boxes made, so that equal bounds keep their order
    box: Box
    priced: bool
    numbers: tuple[float, ...]


class Openings:
    """The boxes still open and the mixes set apart: `mixes` by mix, each with a bound on its plans."""

    def __init__(
        self, model: Model, work: Work, pricer: Pricer | None = None, patterns: Sequence[Pattern] = ()
    ) -> None:
        """Without a pricer by lengths alone: quick, and blind to how the pieces fill a bar."""
        self.model, self.pricer, self.work = model, pricer, work
        self.lengths = Lengths(model)
        self.mixes: dict[Mix, int] = {}
        self.cut: dict[Mix, int] = {}  # bounds of whole mixes, from cutting them
        self.boxes: list[_Open] = []
        self.made = 0
        self.master = Master(model, patterns, every_kind=True) if pricer is not None else None
        whole = whole_box(model)
        self._open(replace(whole, most=0), 0)
        if model.problem.remnant_credit:
            self._open(replace(whole, least=1), 0)

    def split(self, ceiling: int) -> bool:
        """Prices or splits the cheapest box, if it may hold a plan that costs less than `ceiling`."""
        if not self.boxes or self.boxes[0].bound >= ceiling or self.work.over:
            return False
        one = heappop(self.boxes)
        part = [abs(n - round(n)) for n in one.numbers]
        if max(part) > WHOLE:
            self._halve(one, part)
        elif self.master is not None and not one.priced:
            self._price(one, self.master, ceiling)
        else:
            self._set_apart(one)
        return True

    def bound(self, ceiling: int) -> int:
        """What no plan costs less than, or `ceiling`."""
        least = self.boxes[0].bound if self.boxes else ceiling
        return min([ceiling, least, *map(self.of_mix, self.mixes)])

    def found(self, ceiling: int) -> list[Mix]:
        """The mixes that may hold a plan that costs less than `ceiling`, those of the least bound first."""
        return sorted(
            (mix for mix in self.mixes if self.of_mix(mix) < ceiling), key=lambda m: (self.of_mix(m), m)
        )

    def of_mix(self, mix: Mix) -> int:
        """What no plan from just these bars costs less than."""
        return max(self.mixes[mix], self.cut.get(mix, 0))

    def raise_bound(self, mix: Mix, bound: int) -> None:
        self.cut[mix] = max(bound, self.cut.get(mix, 0))

    def patterns(self, mix: Mix, most: int) -> list[Pattern]:
        """The best known patterns for just these bars."""
        assert self.master is not None
        self.master.open_within(Box(mix, mix, 0, sum(mix)))
        relaxed = self.master.solve()
        good = self.master.worth_keeping(relaxed, 4 * most)
        return [pattern for pattern in good if mix[pattern[0]]][:most]

    # --- boxes ---------------------------------------------------------------------------------

    def _open(self, box: Box, least: int) -> None:
        """Sets up a box, unless its bars do not suffice."""
        found = self.lengths.least(box)
        if found is not None:
            self._push(_Open(max(least, found.bound), 0, found.box, False, found.numbers))

    def _push(self, one: _Open) -> None:
        self.made += 1
        heappush(self.boxes, replace(one, number=self.made))

    def _halve(self, one: _Open, part: Sequence[float]) -> None:
        """The largest part of a bar is rounded down and up; long bars before short ones, and both before remnants."""
        weights = [*(bar.room**0.5 for bar in self.model.bars), 0.0]
        k = max(range(len(part)), key=lambda k: (part[k] > WHOLE, part[k] * weights[k], -k))
        n = int(one.numbers[k])
        self._open(_at_most(one.box, k, n), one.bound)
        self._open(_at_least(one.box, k, n + 1), one.bound)

    def _set_apart(self, one: _Open) -> None:
        """The mix, and all of the box but the mix: differs first in kind k, below or above."""
        mix, box = tuple(round(n) for n in one.numbers[:-1]), one.box
        self.mixes[mix] = min(one.bound, self.mixes.get(mix, one.bound))
        for k, n in enumerate(mix):
            if box.low[k] < n:
                self._open(_at_most(box, k, n - 1), one.bound)
            if n < box.high[k]:
                self._open(_at_least(box, k, n + 1), one.bound)
            box = _at_least(_at_most(box, k, n), k, n)

    def _price(self, one: _Open, master: Master, ceiling: int) -> None:
        """The box with the linear program's bound; gone where that reaches `ceiling`, or it cannot be."""
        model = self.model
        assert self.pricer is not None
        relaxation = Relaxation(model, self.work, [], one.box, (master, self.pricer))
        for proven in relaxation.rounds():
            if model.round_up(proven) >= ceiling:
                return
        relaxed = relaxation.relaxed or master.solve()
        box = one.box if relaxation.prices is None else relaxation.within(ceiling)
        bound = max(one.bound, model.round_up(relaxation.bound))
        self._push(_Open(bound, 0, box, True, master.opened(relaxed)))


def _at_most(box: Box, k: int, n: int) -> Box:
    """At most n bars of kind k; of remnants where k is the number of kinds."""
    if k == len(box.high):
        return replace(box, most=n)
    return replace(box, high=(*box.high[:k], n, *box.high[k + 1 :]))


def _at_least(box: Box, k: int, n: int) -> Box:
    if k == len(box.low):
        return replace(box, least=n)
    return replace(box, low=(*box.low[:k], n, *box.low[k + 1 :]))

"""Diving: from the linear relaxation down to a plan in whole bars.

Fix the whole part of the solution, or the single largest part where nothing is whole; solve what is left
again with new patterns priced for what is left; repeat until all is cut. Patterns priced for the rest are
what makes the end of the plan good, where the patterns of the first relaxation no longer fit.
Dives differ in how far the rest is priced anew after each step, and depart from the first at one place
(limited discrepancy): at one depth the second or third choice is taken.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.making.saw.colgen import COLUMNS, Work, whole_prices
from rackwright.making.saw.greedy import Rest, fill
from rackwright.making.saw.knapsack import UP, Pricer
from rackwright.making.saw.master import Master, Relaxed
from rackwright.making.saw.model import Model, Pattern, Plan

__all__ = ["Diver"]

ROUNDS = (6, 3, 2)
GRID = 12_000  # rests on the grid of the dives (patterns found always fit)


class Diver:
    """Makes plans one after the other from a pool of patterns that it also feeds."""

    def __init__(self, model: Model, work: Work, grid: int = GRID) -> None:
        self.model, self.work = model, work
        self.depth: dict[int, int] = {}  # by `rounds`: how many fixings the deepest dive took
        self.found: list[Pattern] = []  # patterns met on the way, for the final integer program
        kinds_by_lots: dict[tuple[int, ...], list[int]] = {}
        for k in range(len(model.bars)):
            lots = tuple(model.bundle(k, i) for i in range(len(model.use)))
            kinds_by_lots.setdefault(lots, []).append(k)
        self.pricers = [Pricer(model, kinds, lots, UP, grid) for lots, kinds in kinds_by_lots.items()]

    def number(self, n: int, start: Sequence[Pattern], ceiling: int | None) -> Plan | None:
        """The n-th dive of the standing order: by turns with much and little pricing, then departing deeper."""
        rounds, step = ROUNDS[n % len(ROUNDS)], n // len(ROUNDS)
        if step == 0:
            return self.dive(start, ceiling, rounds)
        depth = max(1, self.depth.get(rounds, 1))
        return self.dive(start, ceiling, rounds, (step - 1) % depth, 1 + (step - 1) // depth)

    def dive(
        self, start: Sequence[Pattern], ceiling: int | None, rounds: int, depart: int = 0, choice: int = 0
    ) -> Plan | None:
        """A plan that costs less than `ceiling`, or None. `rounds`: pricing passes after each fixing; at the
        depth `depart` the fixing is of the `choice`-th largest part, 0 being the largest."""
        model = self.model
        master = Master(model, [p for p in start if model.keeps_heat(p)])
        plan: Plan = {}
        cost, depth = 0, 0
        while any(master.demand):
            relaxed = self._relax(master, rounds if depth else 10 * rounds)
            if self.work.over:
                return None
            if (
                ceiling is not None
                and model.round_up(cost + int(relaxed.value - 1e-6 * model.top_cost)) >= ceiling
            ):
                return None
            chosen = self._choose(master, relaxed, choice if depth == depart else 0)
            if not chosen:
                return None
            for pattern, times in chosen:
                master.fix(pattern, times)
                plan[pattern] = plan.get(pattern, 0) + times
                cost += model.cost(pattern) * times
            depth += 1
            self.depth[rounds] = max(self.depth.get(rounds, 0), depth)
        self.found += master.patterns
        return plan if ceiling is None or cost < ceiling else None

    def _relax(self, master: Master, rounds: int) -> Relaxed:
        relaxed = master.solve()
        for _ in range(rounds):
            if self.work.over or not self._extend(master, relaxed):
                break
            relaxed = master.solve()
        return relaxed

    def _extend(self, master: Master, relaxed: Relaxed) -> int:
        prices = whole_prices(self.model, relaxed.pi)
        added = 0
        for pricer in self.pricers:
            self.work.spend()
            if all(master.counts[k] == 0 for k in pricer.kinds):
                continue
            priced = pricer.price(prices.pi, prices.scale, master.demand, max(2, COLUMNS // 2))
            good = [
                pattern for _, pattern in priced.patterns
                if pattern[1] and master.counts[pattern[0]] != 0
                and master.reduced_cost(pattern, relaxed) < -1e-7 * self.model.top_cost
            ]  # fmt: skip
            added += master.add(good)
        return added

    def _choose(self, master: Master, relaxed: Relaxed, choice: int) -> list[tuple[Pattern, int]]:
        """Patterns to fix, with how often; never more than what is left to do allows."""
        x = relaxed.x
        order = sorted(
            (c for c in range(len(x)) if x[c] > 1e-6),
            key=lambda c: (-round(float(x[c]), 6), -self.model.used(master.patterns[c]), master.patterns[c]),
        )
        if not order:
            return self._greedy(master)
        whole = [(master.patterns[c], int(x[c] + 1e-6)) for c in order if x[c] >= 1 - 1e-6]
        if choice:
            return [(master.patterns[order[min(choice, len(order) - 1)]], 1)]
        if not whole:
            return [(master.patterns[order[0]], 1)]
        rest, counts = list(master.demand), list(master.counts)
        chosen = []
        for pattern, times in whole:
            kind, cut = pattern
            count = counts[kind]
            times = min([times, *(rest[i] // n for i, n in cut), *([count] if count is not None else [])])
            if times:
                chosen.append((pattern, times))
                for i, n in cut:
                    rest[i] -= n * times
                if count is not None:
                    counts[kind] = count - times
        return chosen

    def _greedy(self, master: Master) -> list[tuple[Pattern, int]]:
        """Only stand-ins are left in the program: fill any bar that still takes something."""
        for kind, count in enumerate(master.counts):
            if count != 0:
                cut = fill(self.model, kind, Rest(self.model, master.demand))
                if cut:
                    return [((kind, tuple(sorted(cut.items()))), 1)]
        return []

"""The problem as arrays: alike bars and alike pieces merged, plans as numbers of patterns.

A *pattern* is one kind of bar and how many pieces of each kind are cut from it; a plan is how often each
pattern is cut. Kinds are merged because a search that sees two equal bars tries everything twice.

The same-heat rule in the search: on every heat but one, a pattern takes pieces of a group only in whole
sets ("bundles"); the one free heat takes what is left over, which is then a whole number of sets by
itself. That is sufficient, not necessary; the final integer program knows the rule in full.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from math import gcd
from typing import Any

from rackwright.making.saw.order import in_cutting_order
from rackwright.making.saw.problem import STAND_IN, Answer, BarPlan, Problem

__all__ = ["BarKind", "Mix", "Model", "Part", "Pattern", "Plan"]

#: (kind of bar, ((kind of piece, how many), ...)), pieces in increasing order
Pattern = tuple[int, tuple[tuple[int, int], ...]]
#: a lot that no bar has room for
NEVER = 1 << 40
#: how often each pattern is cut
Plan = dict[Pattern, int]
#: how many bars of each kind
Mix = tuple[int, ...]


@dataclass(frozen=True)
class BarKind:
    """Bars that are alike for every purpose of the search. `count` is None when unlimited."""

    room: int  # what pieces may use together
    whole: int  # the leftover when nothing is cut
    cost: int
    count: int | None
    heat: str
    ids: tuple[tuple[str, int | None], ...]


class Model:
    """The merged problem. `use[i]`, `demand[i]`, `group[i]` by kind of piece; `bars[b]` by kind of bar."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        group_of = {name: g for g, group in enumerate(problem.groups) for name in group.pieces}
        kinds: dict[tuple[int, int, tuple[str, ...]], list[str]] = {}
        for piece in problem.pieces:
            if piece.count > 0:
                heat = () if piece.heat is None else (piece.heat,)
                kinds.setdefault((-piece.use, group_of.get(piece.id, -1), heat), []).append(piece.id)
        ordered = sorted(kinds)  # longest first
        self.names: list[list[str]] = [kinds[key] for key in ordered]
        self.use: list[int] = [-key[0] for key in ordered]
        self.group: list[int] = [key[1] for key in ordered]
        self.only: list[tuple[str, ...]] = [key[2] for key in ordered]  # the heat that it must be of, or none
        self.demand: list[int] = [sum(problem.piece[n].count for n in names) for names in self.names]
        self.sets: list[int] = [1 if g < 0 else problem.groups[g].sets_of for g in self.group]
        self.bars: list[BarKind] = self._merge_bars()
        self.all_opened = False  # must every bar be opened, however little is cut from it?

    def _merge_bars(self) -> list[BarKind]:
        shortest = min(self.use, default=0)
        merged: dict[tuple[int, int, int, str], list[tuple[str, int | None]]] = {}
        for bar in self.problem.bars:
            room = self.problem.room(bar)
            if (bar.count is None or bar.count > 0) and room >= shortest and self.use:
                heat = bar.heat if self.problem.groups or any(self.only) else ""
                key = (room, self.problem.leftover(bar, 0), bar.cost, heat)
                merged.setdefault(key, []).append((bar.id, bar.count))
        kinds = []
        for (room, whole, cost, heat), ids in sorted(merged.items()):
            unlimited = any(n is None for _, n in ids)
            count = None if unlimited else sum(n or 0 for _, n in ids)
            ids.sort(key=lambda named: named[1] is None)  # what is there goes before what is bought
            kinds.append(BarKind(room, whole, cost, count, heat, tuple(ids)))
        return kinds

    @property
    def need(self) -> int:
        """The use of all pieces together."""
        return sum(u * d for u, d in zip(self.use, self.demand, strict=True))

    def spare(self, numbers: Mix) -> int:
        """The room of so many bars of each kind beyond the use of all pieces."""
        return sum(n * bar.room for n, bar in zip(numbers, self.bars, strict=True)) - self.need

    # --- money ---------------------------------------------------------------------------------

    def term(self, kind: int, used: int) -> int:
        """Credit for what stays of a bar of this kind."""
        return self.problem.credit(self.bars[kind].whole - used)

    def used(self, pattern: Pattern) -> int:
        return sum(self.use[i] * n for i, n in pattern[1])

    def cost(self, pattern: Pattern) -> int:
        return self.bars[pattern[0]].cost - self.term(pattern[0], self.used(pattern))

    def plan_cost(self, plan: Plan) -> int:
        return sum(self.cost(pattern) * times for pattern, times in plan.items())

    @cached_property
    def step(self) -> int:
        """Every objective is a multiple of this."""
        credited = self.problem.remnant_credit
        if credited == 0:
            return gcd(*(bar.cost for bar in self.bars)) or 1
        # cost - credit·(whole - Σ use) or cost: every term is a whole number of these
        return gcd(credited, *(bar.cost for bar in self.bars)) or 1

    def round_up(self, bound: Fraction | int) -> int:
        """The smallest possible objective that is not below the bound."""
        return -((-bound) // self.step) * self.step

    @cached_property
    def top_cost(self) -> int:
        """More than any one bar costs: the scale of prices for pieces that find no bar."""
        return max((bar.cost for bar in self.bars), default=0) + 1

    # --- the same-heat rule --------------------------------------------------------------------

    @cached_property
    def free_heat(self) -> list[str]:
        """By group: the heat whose bars take pieces of the group singly."""
        heats = []
        for g in range(len(self.problem.groups)):
            longest = max((u for u, h in zip(self.use, self.group, strict=True) if h == g), default=0)
            room: Counter[str] = Counter()
            for bar in self.bars:
                if bar.room >= longest:
                    unlimited = bar.count is None
                    room[bar.heat] += 10**15 if unlimited else bar.room * (bar.count or 0)
            heats.append(max(sorted(room), key=lambda heat: room[heat]) if room else "")
        return heats

    def bundle(self, kind: int, i: int) -> int:
        """In what numbers piece kind i may be taken on a bar of this kind, in the search."""
        if self.forbidden(kind, i):
            return NEVER
        g = self.group[i]
        return 1 if g < 0 or self.bars[kind].heat == self.free_heat[g] else self.sets[i]

    def forbidden(self, kind: int, i: int) -> bool:
        """Must piece kind i be of another heat than this kind of bar?"""
        return bool(self.only[i]) and self.bars[kind].heat not in (self.only[i][0], STAND_IN)

    def allows(self, pattern: Pattern) -> bool:
        """Is no piece of the pattern of another heat than its bar?"""
        return not any(self.forbidden(pattern[0], i) for i, _ in pattern[1])

    def keeps_heat(self, pattern: Pattern) -> bool:
        """Does the pattern by itself obey the same-heat rule in the search's sufficient form?"""
        if not self.allows(pattern):
            return False
        totals: Counter[int] = Counter()
        for i, n in pattern[1]:
            if self.bundle(pattern[0], i) > 1:
                totals[self.group[i]] += n
        return all(n % self.problem.groups[g].sets_of == 0 for g, n in totals.items())

    def obeys_heat(self, plan: Plan) -> bool:
        """Is every piece of a heat that it may be of, and every group's number from every heat whole sets?"""
        if not all(map(self.allows, plan)):
            return False
        totals: Counter[tuple[int, str]] = Counter()
        for (kind, cut), times in plan.items():
            for i, n in cut:
                if self.group[i] >= 0:
                    totals[self.group[i], self.bars[kind].heat] += n * times
        return all(n % self.problem.groups[g].sets_of == 0 for (g, _), n in totals.items())

    def whole_sets(self, plan: Plan) -> Plan:
        """The plan without the pieces that break a set (for plans that lack pieces anyway)."""
        result: Plan = dict(plan)
        for g, group in enumerate(self.problem.groups):
            for heat in sorted({bar.heat for bar in self.bars}):
                holds = [p for p in sorted(result) if self.bars[p[0]].heat == heat and self._in(p, g)]
                over = sum(self._in(p, g) * result[p] for p in holds) % group.sets_of
                while over:
                    pattern = holds[-1]
                    i = next(i for i, _ in pattern[1] if self.group[i] == g)
                    self._lessen(result, pattern, i)
                    over -= 1
                    holds = [p for p in sorted(result) if self.bars[p[0]].heat == heat and self._in(p, g)]
        return result

    def _in(self, pattern: Pattern, group: int) -> int:
        return sum(n for i, n in pattern[1] if self.group[i] == group)

    @staticmethod
    def _lessen(plan: Plan, pattern: Pattern, i: int) -> None:
        """One bar of this pattern cuts one piece of kind i less."""
        plan[pattern] -= 1
        if plan[pattern] == 0:
            del plan[pattern]
        cut = tuple((j, n - (j == i)) for j, n in pattern[1] if n > (j == i))
        if cut:
            lesser = (pattern[0], cut)
            plan[lesser] = plan.get(lesser, 0) + 1

    # --- parts ---------------------------------------------------------------------------------

    def part(self, patterns: Sequence[Pattern], rest: Plan) -> Part:
        """The problem of cutting anew what `patterns` cut, while the bars of `rest` stay as they are."""
        demand: Counter[int] = Counter()
        for _, cut in patterns:
            for i, n in cut:
                demand[i] += n
        opened: Counter[int] = Counter()
        for (kind, _), times in rest.items():
            opened[kind] += times
        pieces = sorted(demand)
        bars = [
            k for k, bar in enumerate(self.bars)
            if (bar.count is None or bar.count > opened[k]) and bar.room >= self.use[pieces[-1]]
        ]  # fmt: skip
        model = self._with_bars([
            bar if bar.count is None else replace(bar, count=bar.count - opened[k])
            for k, bar in ((k, self.bars[k]) for k in bars)
        ])  # fmt: skip
        model.use = [self.use[i] for i in pieces]
        model.group = [self.group[i] for i in pieces]
        model.only = [self.only[i] for i in pieces]
        model.sets = [self.sets[i] for i in pieces]
        model.names = [self.names[i] for i in pieces]
        model.demand = [demand[i] for i in pieces]
        return Part(model, tuple(pieces), tuple(bars))

    def opened(self, mix: Mix) -> Part:
        """The problem of cutting everything from exactly `mix[k]` bars of each kind k."""
        bars = [k for k, n in enumerate(mix) if n]
        model = self._with_bars([replace(self.bars[k], count=mix[k]) for k in bars])
        model.all_opened = True
        return Part(model, tuple(range(len(self.use))), tuple(bars))

    def just(self, mix: Mix) -> Problem:
        """The problem with the bars of the mix alone: they may be opened, not more."""
        bars = [
            replace(self.problem.bar[kind.ids[0][0]], count=n)
            for kind, n in zip(self.bars, mix, strict=True)
            if n
        ]
        return replace(self.problem, bars=tuple(bars))

    def without_credit(self, bars: list[BarKind]) -> Model:
        """The problem of cutting everything from other bars, where leftovers are worth nothing."""
        model = self._with_bars(bars)
        model.problem = replace(self.problem, remnant_credit=0)
        return model

    def _with_bars(self, bars: list[BarKind]) -> Model:
        """A copy with other bars: what follows from them is worked out anew, the free heats stay."""
        model = copy(self)
        for lazy in ("step", "top_cost"):
            model.__dict__.pop(lazy, None)
        model.free_heat = self.free_heat
        model.bars = bars
        return model

    # --- plans to answers ----------------------------------------------------------------------

    def shortfall(self, plan: Plan) -> dict[int, int]:
        """How many of each piece kind the plan lacks (negative: has too many)."""
        rest = dict(enumerate(self.demand))
        for (_, cut), times in plan.items():
            for i, n in cut:
                rest[i] -= n * times
        return {i: n for i, n in rest.items() if n}

    def trimmed(self, plan: Plan) -> Plan:
        """The plan without the pieces it cuts too many; never dearer, as longer leftovers are worth more.

        Pieces of a group go in whole sets from one bar, or singly where that keeps every set whole.
        """
        surplus = {i: -n for i, n in self.shortfall(plan).items() if n < 0}
        result: Plan = Counter(plan)
        while surplus:
            i = next(iter(surplus))
            pattern = max((p for p in result if any(j == i for j, _ in p[1])), key=self._drop_order)
            n = dict(pattern[1])[i]
            drop = min(n, surplus[i])
            cut = tuple((j, m - drop if j == i else m) for j, m in pattern[1] if j != i or m > drop)
            times = min(result[pattern], surplus[i] // drop)
            result[pattern] -= times
            if result[pattern] == 0:
                del result[pattern]
            if cut:
                lesser = (pattern[0], cut)
                result[lesser] = result.get(lesser, 0) + times
            surplus[i] -= drop * times
            if surplus[i] == 0:
                del surplus[i]
        return dict(result)

    def _drop_order(self, pattern: Pattern) -> tuple[int, Pattern]:
        return (self.bars[pattern[0]].whole - self.used(pattern), pattern)

    def answer(
        self,
        plan: Plan,
        lower_bound: int,
        bound_how: str,
        first_objective: int | None = None,
        missing_proven: bool = False,
    ) -> Answer:
        """The plan in the problem's own names. Pieces the plan lacks are listed as missing."""
        supply: list[list[list[Any]]] = [
            [[name, self.problem.piece[name].count] for name in names] for names in self.names
        ]
        stock: list[list[list[Any]]] = [[[name, count] for name, count in bar.ids] for bar in self.bars]
        bars: Counter[tuple[str, tuple[tuple[str, int], ...]]] = Counter()
        cuts: list[BarPlan] = []
        for (kind, cut), times in sorted(plan.items(), key=lambda item: item[0]):
            while times:
                alike = min([times, *(supply[i][0][1] // n for i, n in cut)])
                if stock[kind][0][1] is not None:
                    alike = min(alike, stock[kind][0][1])
                alike = max(alike, 1)
                named: Counter[str] = Counter()
                for i, n in cut:
                    for name, m in _draw(supply[i], n * alike):
                        named[name] += m // alike
                bar_id = _draw(stock[kind], alike)[0][0]
                bars[bar_id, tuple(named.items())] += alike
                times -= alike
        for (bar_id, cuts_of_bar), times in bars.items():
            left = self.problem.leftover(self.problem.bar[bar_id], self.problem.used(cuts_of_bar))
            cuts.append(BarPlan(bar_id, cuts_of_bar, times, left))
        missing = [(name, n) for kinds in supply for name, n in kinds if n]
        return Answer(
            in_cutting_order(cuts), self.plan_cost(plan), lower_bound, bound_how, first_objective,
            tuple(sorted(missing)), missing_proven,
        )  # fmt: skip


@dataclass(frozen=True)
class Part:
    """A smaller model, and which kinds of the whole its pieces and bars are."""

    model: Model
    pieces: tuple[int, ...]
    bars: tuple[int, ...]

    def plan_of(self, patterns: Sequence[Pattern]) -> Plan:
        """Patterns of the whole as a plan of the part."""
        piece = {i: p for p, i in enumerate(self.pieces)}
        bar = {k: b for b, k in enumerate(self.bars)}
        return dict(Counter((bar[kind], tuple((piece[i], n) for i, n in cut)) for kind, cut in patterns))

    def plan_back(self, plan: Plan) -> Plan:
        """A plan of the part in the kinds of the whole."""
        whole: Plan = Counter()
        for (kind, cut), times in plan.items():
            whole[self.bars[kind], tuple((self.pieces[i], n) for i, n in cut)] += times
        return dict(whole)


def _draw(supply: list[list[Any]], number: int) -> list[tuple[str, int]]:
    """Takes `number` from the front of a list of [name, how many or None], emptied entries removed."""
    drawn = []
    while number:
        name, there = supply[0]
        n = number if there is None else min(number, there)
        drawn.append((name, n))
        number -= n
        if there is not None:
            supply[0][1] -= n
            if supply[0][1] == 0:
                supply.pop(0)
    return drawn

"""Which piece of which rack is cut from which bar, where the saw has left it open.

Pieces of one length are interchangeable to the saw, but not to the record: a rack from few heats has few
certificates and is easier to trace. Rack by rack, the smallest set of heats is taken that still can give all its
pieces, posts under the same-heat rule from one of them. Sets of one size are tried in the order of what the heats
still hold, so that the answer is the same every time. It is a greedy rule: few heats, not provably the fewest.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

from rackwright.making.sawing.cutting import Need, Slot

__all__ = ["assign"]

MOST_TRIED = 10  # heats of which every set is tried; beyond it only whole sets of the fullest heats

Supply = dict[tuple[str, str], int]  # (need, heat) -> how many


def assign(
    cuts: Sequence[tuple[str, Sequence[tuple[str, int]]]], needs: Mapping[str, Need]
) -> list[list[Slot]]:
    """The slots of each bar, in the order of its cuts. `cuts` gives each bar's heat and (need, how many).

    Where fewer are cut than needed, the last racks go short.
    """
    supply: Supply = Counter()
    for heat, cut in cuts:
        for name, number in cut:
            supply[name, heat] += number
    queues = _queues(supply, needs)
    return [[queues[name, heat].pop(0) for name, number in cut for _ in range(number)] for heat, cut in cuts]


def _queues(supply: Supply, needs: Mapping[str, Need]) -> dict[tuple[str, str], list[Slot]]:
    """For each need and heat, the slots it serves, in the order of racks and pieces."""
    queues: dict[tuple[str, str], list[Slot]] = {key: [] for key in supply}
    racks: dict[int, dict[str, list[Slot]]] = {}
    for need in needs.values():
        for slot in need.slots:
            racks.setdefault(slot.rack, {}).setdefault(need.name, []).append(slot)
    for rack in sorted(racks):
        wanted = {name: len(slots) for name, slots in racks[rack].items()}
        heats = _heats(supply, wanted, needs)
        for name, slots in racks[rack].items():
            given = _given(supply, name, len(slots), heats, needs[name].same_heat)
            for heat, slot in zip(given, slots, strict=False):
                queues[name, heat].append(slot)
                supply[name, heat] -= 1
    return queues


def _heats(supply: Supply, wanted: Mapping[str, int], needs: Mapping[str, Need]) -> tuple[str, ...]:
    """The smallest set of heats that gives all that is wanted; all heats when none does."""
    held: Counter[str] = Counter()
    for (name, heat), number in supply.items():
        held[heat] += number if name in wanted else 0
    heats = sorted((heat for heat in held if held[heat]), key=lambda heat: (-held[heat], heat))
    for size in range(1, len(heats) + 1):
        sets: Iterable[tuple[str, ...]] = [tuple(heats[:size])]
        if len(heats) <= MOST_TRIED:
            sets = combinations(heats, size)
        for some in sets:
            if all(_suffice(supply, name, n, some, needs[name].same_heat) for name, n in wanted.items()):
                return some
    return tuple(heats)


def _suffice(supply: Supply, name: str, number: int, heats: Sequence[str], same_heat: bool) -> bool:
    there = [supply.get((name, heat), 0) for heat in heats]
    return (max(there) if same_heat else sum(there)) >= number


def _given(supply: Supply, name: str, number: int, heats: Sequence[str], same_heat: bool) -> list[str]:
    """The heats that give so many, one entry a piece; under the same-heat rule the one that gives them all."""
    order = list(heats)
    if same_heat:
        order.sort(key=lambda heat: (supply.get((name, heat), 0) < number, supply.get((name, heat), 0)))
    given = [heat for heat in order for _ in range(supply.get((name, heat), 0))]
    return given[:number]

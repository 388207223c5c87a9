"""Which piece of which rack is cut from which bar, where the saw has left it open.

Pieces of one length are interchangeable to the saw, but not to the record: a rack from few heats has few
certificates and is easier to trace. Rack by rack, the smallest set of heats is taken that still can give all its
pieces, posts under the same-heat rule from one of them. Sets of one size are tried in the order of what the heats
still hold, so that the answer is the same every time. It is a greedy rule: few heats, not provably the fewest.

Planned anew, a piece first stays on the bar that it was planned from, where that bar is still cut into its length.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations

from rackwright.making.sawing.cutting import Need, Slot

__all__ = ["assign"]

MOST_TRIED = 10  # heats of which every set is tried; beyond it only whole sets of the fullest heats

Supply = dict[tuple[str, str], int]  # (need, heat) -> how many
Opened = tuple[str, str, Sequence[tuple[str, int]]]  # bar, its heat, (need, how many)


def assign(
    cuts: Sequence[Opened], needs: Mapping[str, Need], before: Mapping[Slot, str] | None = None
) -> list[list[Slot]]:
    """The slots of each bar, in the order of its cuts. `cuts` gives each bar, its heat and (need, how many); `before`
    the bar that a slot was planned from.

    Where fewer are cut than needed, the last racks go short.
    """
    before = before or {}
    supply: Supply = Counter()
    for _, heat, cut in cuts:
        for name, number in cut:
            supply[name, heat] += number
    heats = {bar: heat for bar, heat, _ in cuts}
    was = {slot: heats[bar] for slot, bar in before.items() if bar in heats}
    queues = _queues(supply, needs, _stay(cuts, needs, before), was)
    return _on_bars(cuts, queues, before)


def _stay(
    cuts: Sequence[Opened], needs: Mapping[str, Need], before: Mapping[Slot, str]
) -> dict[Slot, tuple[str, str]]:
    """Slots without the same-heat rule that stay on their bar, with (need, heat)."""
    found: dict[Slot, tuple[str, str]] = {}
    for bar, heat, cut in cuts:
        for name, number in cut:
            here = [slot for slot in needs[name].slots if before.get(slot) == bar]
            if not needs[name].same_heat:
                found |= dict.fromkeys(here[:number], (name, heat))
    return found


def _on_bars(
    cuts: Sequence[Opened], queues: Mapping[tuple[str, str], list[Slot]], before: Mapping[Slot, str]
) -> list[list[Slot]]:
    """The slots of a need and heat on its bars: those that were planned from a bar stay there."""
    takes = [
        (n, bar, queues[name, heat], number)
        for n, (bar, heat, cut) in enumerate(cuts)
        for name, number in cut
    ]
    given: list[list[Slot]] = []
    for _, bar, queue, number in takes:
        given.append([slot for slot in queue if before.get(slot) == bar][:number])
        queue[:] = [slot for slot in queue if slot not in given[-1]]
    found: list[list[Slot]] = [[] for _ in cuts]
    for (n, _, queue, number), stay in zip(takes, given, strict=True):
        more = queue[: number - len(stay)]
        del queue[: len(more)]
        found[n] += sorted(stay + more)
    return found


def _queues(
    supply: Supply, needs: Mapping[str, Need], stay: Mapping[Slot, tuple[str, str]], was: Mapping[Slot, str]
) -> dict[tuple[str, str], list[Slot]]:
    """For each need and heat, the slots it serves, in the order of racks and pieces: first those that `stay`. `was`
    is the heat that a slot was planned from."""
    queues: dict[tuple[str, str], list[Slot]] = {key: [] for key in supply}
    racks: dict[int, dict[str, list[Slot]]] = {}
    for slot, key in stay.items():
        queues[key].append(slot)
        supply[key] -= 1
    for need in needs.values():
        for slot in need.slots:
            if slot not in stay:
                racks.setdefault(slot.rack, {}).setdefault(need.name, []).append(slot)
    for rack in sorted(racks):
        wanted = {name: len(slots) for name, slots in racks[rack].items()}
        heats = _heats(supply, wanted, needs)
        for name, slots in racks[rack].items():
            given = _given(supply, name, len(slots), heats, needs[name].same_heat)
            old = {was.get(slot) for slot in slots}
            if needs[name].same_heat and len(old) == 1 and (heat := old.pop()) is not None:
                given = [heat] * len(slots) if supply.get((name, heat), 0) >= len(slots) else given
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

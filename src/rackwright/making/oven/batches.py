"""Oven batches: which pieces of all racks and designs bake together.

Pieces share a batch only with the same coat: powder, cure points and hottest metal. Within it batches are filled first
fit, larger pieces first, once with every rack kept whole and once piece by piece; the fewer batches are taken, whole
racks if equal. Every piece keeps its rack and its name. First fit is a rule: few batches, not provably the fewest;
`least` is what area and mass ask.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from rackwright.rack.model import CurePoint

__all__ = ["Batch", "Coat", "Hung", "least", "pack", "packed"]

Coat = tuple[str, float, tuple[CurePoint, ...]]  # powder, hottest metal (K), cure points


@dataclass(frozen=True)
class Hung:
    """One piece on the cart: rack of the order (from 1), id, area of the plane it takes (m²), mass (kg)."""

    rack: int
    piece: str
    area: float
    mass: float
    coat: Coat = ("", 0.0, ())


@dataclass(frozen=True)
class Batch:
    """What hangs in the oven together."""

    pieces: tuple[Hung, ...]

    @property
    def area(self) -> float:
        return sum(one.area for one in self.pieces)

    @property
    def mass(self) -> float:
        return sum(one.mass for one in self.pieces)

    @property
    def powder(self) -> str:
        return self.pieces[0].coat[0]

    @property
    def racks(self) -> tuple[int, ...]:
        return tuple(sorted({one.rack for one in self.pieces}))


def packed(hung: Sequence[Hung], area: float, mass: float) -> tuple[Batch, ...]:
    """Batches of everything, coat by coat in the order of their first racks."""
    return tuple(batch for some in _coats(hung) for batch in pack(some, area, mass))


def least(hung: Sequence[Hung], area: float, mass: float) -> int:
    """No plan does with fewer batches."""
    return sum(
        max(
            ceil(sum(one.area for one in some) / area - 1e-9),
            ceil(sum(one.mass for one in some) / mass - 1e-9),
        )
        for some in _coats(hung)
    )


def _coats(hung: Sequence[Hung]) -> list[list[Hung]]:
    found: dict[Coat, list[Hung]] = {}
    for one in hung:
        found.setdefault(one.coat, []).append(one)
    return list(found.values())


def pack(hung: Sequence[Hung], area: float, mass: float) -> tuple[Batch, ...]:
    """Batches of one coat, of no more than this area and mass, each piece in one; single pieces are taken to fit.

    Three racks of 3 in batches of 5: whole racks take three batches, pieces of 1 take two (9/5, rounded up).
    """
    by_rack: dict[int, list[Hung]] = {}
    for one in hung:
        by_rack.setdefault(one.rack, []).append(one)
    single = _first_fit([[one] for one in hung], area, mass)
    fit_whole = all(
        sum(one.area for one in rack) <= area and sum(one.mass for one in rack) <= mass
        for rack in by_rack.values()
    )
    whole = _first_fit(list(by_rack.values()), area, mass) if fit_whole else None
    return whole if whole is not None and len(whole) <= len(single) else single


def _first_fit(groups: list[list[Hung]], area: float, mass: float) -> tuple[Batch, ...]:
    bins: list[list[Hung]] = []
    used: list[tuple[float, float]] = []
    for group in sorted(groups, key=lambda one: -sum(piece.area for piece in one)):
        a, m = sum(one.area for one in group), sum(one.mass for one in group)
        for number, (has_a, has_m) in enumerate(used):
            if has_a + a <= area + 1e-12 and has_m + m <= mass + 1e-12:
                bins[number] += group
                used[number] = (has_a + a, has_m + m)
                break
        else:
            bins.append(list(group))
            used.append((a, m))
    return tuple(Batch(tuple(sorted(one, key=lambda hung: (hung.rack, hung.piece)))) for one in bins)

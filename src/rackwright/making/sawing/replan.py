"""What a new saw plan does otherwise than the one before, and why: a sawyer must see it before the first cut.

A plan is compared piece by piece with its forerunner. Why a piece comes from another bar is what became of the bar
that it was planned from; where nothing did, the rest is planned anew around what changed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

__all__ = ["PLAN_FORMAT", "PlannedBar", "SawWork", "changes"]

PLAN_FORMAT = "rackwright/saw-plan/1"


@dataclass(frozen=True)
class PlannedBar:
    """One bar of a plan: its length as known then, and its pieces (id, length) in the order of cutting, nm."""

    bar: str
    section: str
    stock: str
    heat: str
    measured_nm: int
    pieces: tuple[tuple[str, int], ...]
    rest_nm: int
    keeps_rest: bool
    issued: bool  # signed out already: it stays as it is


@dataclass(frozen=True)
class SawWork:
    """What is still to be sawn of an order, and which pieces are there already."""

    plan: str
    order: str
    supersedes: str
    bars: tuple[PlannedBar, ...]
    made: tuple[str, ...]

    @property
    def bar_of(self) -> dict[str, str]:
        return {piece: bar.bar for bar in self.bars for piece, _ in bar.pieces}

    def to_json(self) -> dict[str, Any]:
        bars = [
            {
                "bar": one.bar, "section": one.section, "stock": one.stock, "heat": one.heat,
                "measured_nm": one.measured_nm, "rest_nm": one.rest_nm, "keeps_rest": one.keeps_rest,
                "issued": one.issued, "pieces": [{"piece": piece, "length_nm": nm} for piece, nm in one.pieces],
            }
            for one in self.bars
        ]  # fmt: skip
        return {"format": PLAN_FORMAT, "plan": self.plan, "order": self.order, "supersedes": self.supersedes,
                "bars": bars, "made": list(self.made)}  # fmt: skip

    @classmethod
    def from_json(cls, document: Mapping[str, Any]) -> SawWork:
        bars = tuple(
            PlannedBar(
                one["bar"], one["section"], one["stock"], one["heat"], one["measured_nm"],
                tuple((each["piece"], each["length_nm"]) for each in one["pieces"]), one["rest_nm"],
                one["keeps_rest"], one["issued"],
            )
            for one in document["bars"]
        )  # fmt: skip
        return cls(document["plan"], document["order"], document["supersedes"], bars, tuple(document["made"]))


def changes(
    old: SawWork,
    new: SawWork,
    lost: Mapping[str, str],
    became: Mapping[str, str],
    length: Callable[[int], str],
) -> tuple[str, ...]:
    """In words, the most important first. `lost`: why a piece that was made is needed again, by piece; `became`: what
    became of a bar that cannot be cut as planned, by bar; `length` writes nanometres."""
    lines = []
    before, after = old.bar_of, new.bar_of
    for piece, bar in after.items():
        if piece in lost:
            lines.append(f"{piece} is cut again, from {bar}: {lost[piece]}")
    lines += _shorter(old, new, length)
    lines += [f"{bar}: {words}" for bar, words in became.items() if bar in before.values()]
    for (was, now), pieces in _moved(before, after, lost).items():
        why = f", as {was} {_of(became[was])}" if was in became else ""
        lines.append(f"{_some(pieces)} from {now} instead of {was}{why}")
    fresh = [piece for piece in after if piece not in before and piece not in lost]
    if fresh:
        lines.append(f"{_some(fresh)} not in {old.plan}")
    idle = [bar for bar in dict.fromkeys(before.values()) if bar not in after.values() and bar not in became]
    uncut = [bar for bar in idle if not any(before.get(piece) == bar for piece in new.made)]
    if uncut:
        lines.append(f"no longer opened: {', '.join(uncut)}")
    same = sum(1 for piece, bar in after.items() if before.get(piece) == bar)
    lines.append(f"kept: {len(new.made)} pieces are cut, {same} come from the bar that {old.plan} names")
    return tuple(lines)


def _shorter(old: SawWork, new: SawWork, length: Callable[[int], str]) -> list[str]:
    """Bars of both plans whose length is another now."""
    was = {bar.bar: bar.measured_nm for bar in old.bars}
    return [
        f"{bar.bar} measures {length(bar.measured_nm)}, not {length(was[bar.bar])}"
        for bar in new.bars
        if bar.bar in was and was[bar.bar] != bar.measured_nm
    ]


def _moved(
    before: Mapping[str, str], after: Mapping[str, str], lost: Mapping[str, str]
) -> dict[tuple[str, str], list[str]]:
    moved: dict[tuple[str, str], list[str]] = {}
    for piece, bar in after.items():
        if piece in before and before[piece] != bar and piece not in lost:
            moved.setdefault((before[piece], bar), []).append(piece)
    return moved


def _some(pieces: Sequence[str], most: int = 6) -> str:
    more = f" and {len(pieces) - most} more" if len(pieces) > most else ""
    return ", ".join(pieces[:most]) + more


def _of(words: str) -> str:
    return words if words.startswith(("is ", "was ", "holds ")) else f"is {words}"

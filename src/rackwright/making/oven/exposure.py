"""The exposure ledger: the bakes of a log, and what they all together may have taken from a temper.

Every second in which any probe was hot enough for the longest curve to show a loss counts. What is kept is read from
the handbook's curves (`pieces/oven_time.py`), UNCONFIRMED like the rows behind it, and a rack is proven with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rackwright.making.oven.bake import degf
from rackwright.making.oven.thermocouples import Log, windows
from rackwright.pieces.oven_time import Bake, KnockDown

__all__ = ["exposed", "knock_down_json"]


def exposed(name: str, log: Log, above: float) -> Bake:
    """A bake's log as an entry: any probe at or above `above` (K, the onset of the curves), gaps counted in full."""
    spans = windows(log, above, any_probe=True)
    return Bake(name, sum(end - start for start, end in spans), log.hottest[1])


def knock_down_json(rows: Sequence[KnockDown], bakes: Sequence[Bake]) -> dict[str, Any]:
    """Ledger and what it may mean, as a document."""
    return {
        "bakes": [
            {
                "name": one.name, "counted_min": round(one.seconds / 60, 3),
                "hottest_degF": round(degf(one.hottest), 2),
            }
            for one in bakes
        ],
        "counted_min": round(sum(one.seconds for one in bakes) / 60, 3),
        "materials": [
            {
                "material": one.material, "property": one.name,
                "allowable_psi": None if one.allowable is None else round(one.allowable / 6894.757293168361, 1),
                "kept_share": None if one.share is None else round(one.share, 4),
                "kept_psi": None if one.left is None else round(one.left / 6894.757293168361, 1),
                "why": one.why, "marks": list(one.marks),
            }
            for one in rows
        ],
        "rule": "all counted time as if at the hottest reading; a rack is proven with it",
    }  # fmt: skip

"""One thing that must hold at a station, with its limit and where the limit is from."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Check", "check_json"]


@dataclass(frozen=True)
class Check:
    """SI value and limit, at most or at least, and where the limit is from."""

    name: str
    value: float
    limit: float
    unit: str
    at_most: bool
    source: str

    @property
    def ok(self) -> bool:
        slack = self.limit - self.value if self.at_most else self.value - self.limit
        return slack >= -1e-12 * abs(self.limit)


def check_json(check: Check) -> dict[str, object]:
    return {
        "value": check.value,
        "at_most" if check.at_most else "at_least": check.limit,
        "unit": check.unit,
        "ok": check.ok,
        "source": check.source,
    }

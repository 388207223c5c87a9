"""One comparison with an outside number: its source, the place in it, ours and theirs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

__all__ = ["CLOSED", "MEMORY", "PUBLISHED", "Check"]

#: what kind of outside number it is
CLOSED, PUBLISHED, MEMORY = "closed form", "published", "from memory"


@dataclass(frozen=True)
class Check:
    """`theirs` as text is matched to half of its last printed digit; as a number to `tol`, relative."""

    source: str
    place: str
    ours: float
    theirs: str | float
    kind: str = CLOSED
    tol: float = 1e-9

    @property
    def allowed(self) -> float:
        """The largest difference allowed, in the unit of the number."""
        if isinstance(self.theirs, str):
            exponent = Decimal(self.theirs).as_tuple().exponent
            assert isinstance(exponent, int), self.theirs
            return float(0.5 * 10.0**exponent * (1 + 1e-9))
        return self.tol * abs(self.theirs)

    @property
    def good(self) -> bool:
        return abs(self.ours - float(self.theirs)) <= self.allowed

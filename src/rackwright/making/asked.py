"""What a station must still be told: a value that only the shop or a document can give, and why it is needed.

A station computes with what is there and asks for the rest; nothing is filled by a guess.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Asked"]


@dataclass(frozen=True, order=True)
class Asked:
    """A missing value: the field of `shop.toml`, `stock.toml` or the definition that would hold it, and why."""

    field: str
    why: str

    def __str__(self) -> str:
        return f"{self.field}: {self.why}"

    def to_json(self) -> dict[str, str]:
        return {"field": self.field, "why": self.why}

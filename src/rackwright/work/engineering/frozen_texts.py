"""The names under which a freeze keeps its texts.

`definition` is the variation (or the standard itself), `base/NAME` each base it leans on, `reference/NAME` each file of
the shop's own rows, `shop` the shop's file.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

__all__ = ["BASE", "DEFINITION", "REFERENCE", "SHOP", "of_definition"]

DEFINITION, BASE, REFERENCE, SHOP = "definition", "base/", "reference/", "shop"

T = TypeVar("T")


def of_definition(texts: Mapping[str, T]) -> dict[str, T]:
    """Those of a freeze's texts that a rack's strength hangs on: the definition, its bases, the shop's own rows."""
    return {
        name: one for name, one in texts.items() if name == DEFINITION or name.startswith((BASE, REFERENCE))
    }

"""One kind of act: its words, an example, its keys as fields, and how it is done."""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.faces.acts.desk import Do
from rackwright.faces.acts.values import Field

__all__ = ["PIECES", "STEP", "Type", "keys"]


@dataclass(frozen=True)
class Type:
    """One kind of act: what it is in words, an example, its keys, how it is done."""

    words: str
    example: str
    fields: tuple[Field, ...]
    do: Do
    file: str = ""  # what --from names, where that is a file with a format of its own


def keys(line: str) -> tuple[Field, ...]:
    """Fields from `name:kind words | name?:kind words`; `?` may be left out."""
    found = []
    for part in line.split("|"):
        head, _, words = part.strip().partition(" ")
        name, _, kind = head.partition(":")
        found.append(Field(name.rstrip("?"), kind, words, not name.endswith("?")))
    return tuple(found)


STEP = keys("pieces:list SERIAL/piece | machine?:text or place | values?:pairs read, with units | lots?:list used"
           " | gauges?:list used")  # fmt: skip
PIECES = "pieces:list SERIAL/piece"

"""How metal is made, in the words that certificates and handbook rows share: the same size by another way is another
metal. And what the name of a section says, as pieces, stock and certificates write it. Stands beside `units` and
`trouble`: the gates of the record read it where no engineering library is."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

__all__ = ["Section", "of_form", "section_of"]

INCH = 25_400_000  # nm
_NAMED = re.compile(r"([A-Z]+) (\d*\.?\d+(?:x\d*\.?\d+)*)", re.ASCII)

WAYS = ("drawn", "extruded", "sheet", "plate", "rolled", "cold-finished", "forged", "cast")


def of_form(printed: str, form: str) -> bool:
    """Does the form that a certificate prints belong to the row of allowables of this form? Drawn and extruded tube
    look the same and are not: the form decides the row. Nothing printed belongs to none."""
    ways = [way for way in WAYS if way in printed.lower()]
    return bool(ways) and all(way in form.lower() for way in ways)


@dataclass(frozen=True)
class Section:
    """`SQ 1.5x0.125`, `L 1.5x1.75x0.125`, `PLATE 0.25`, `BLOCK 3x3x3`: its kind and its sizes, nm."""

    kind: str
    sizes: tuple[int, ...]

    @property
    def thickness(self) -> int:
        """Wall of a tube, leg of an angle, thickness of a plate or block: the last of the sizes."""
        return self.sizes[-1]

    @property
    def wall(self) -> int | None:
        """The thickness, where it is one that is measured at several places: not of a block."""
        return self.thickness if self.kind in ("SQ", "L", "PLATE", "SHEET") else None


def section_of(name: str) -> Section | None:
    """None for what is no section with sizes in inches: a part number, a powder."""
    found = _NAMED.fullmatch(name)
    return (
        Section(found[1], tuple(round(Fraction(one) * INCH) for one in found[2].split("x")))
        if found
        else None
    )

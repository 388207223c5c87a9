"""What is measured on each piece: characteristics with nominal and limits, derived from the definition.

A characteristic's id is stable over revisions: the piece's id and the name of the dimension.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rackwright.pieces.model import Piece

__all__ = ["Characteristic", "characteristics"]


@dataclass(frozen=True)
class Characteristic:
    """A dimension to be measured on a piece: nominal and limits in nanometres."""

    piece: str
    name: str
    nominal: int
    low: int
    high: int

    @property
    def id(self) -> str:
        return f"{self.piece}/{self.name}"


def characteristics(pieces: Iterable[Piece], cut_tolerance: int) -> tuple[Characteristic, ...]:
    """The cut length of every sawn piece, plus or minus the saw's tolerance (nm)."""
    return tuple(
        Characteristic(
            piece.id, "length", piece.length, piece.length - cut_tolerance, piece.length + cut_tolerance
        )
        for piece in pieces
        if piece.length is not None
    )

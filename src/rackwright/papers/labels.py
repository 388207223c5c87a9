"""Labels of pieces, bars and remnants: a Data Matrix, and beside it the same in words.

The symbol holds an ISO/IEC 15434 envelope, format 06, with the data identifiers of ANSI MH10.8.2
(`IDENTIFIERS`; 1T and S read in public tables, 1P, W and 33S by their names in an open list of them).
`S` is the labelled thing itself: a piece, a bar, a remnant; the rack a piece goes into is `33S`.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.papers.house import Head

__all__ = ["IDENTIFIERS", "Label", "LabelStock", "envelope", "label_png", "read_envelope", "set_labels"]

#: data identifier -> field of `Label`
IDENTIFIERS = {"S": "id", "1T": "heat", "1P": "part", "33S": "serial", "W": "job"}


@dataclass(frozen=True)
class Label:
    """One label. `kind` is PIECE, BAR, REMNANT ...; `material` alloy-temper and form; `count` the printing."""

    kind: str
    id: str
    heat: str
    material: str
    length: str
    part: str = ""
    serial: str = ""
    job: str = ""
    note: str = ""
    marks: tuple[str, ...] = ()
    count: int = 1


@dataclass(frozen=True)
class LabelStock:
    """A sheet of labels, in inches: size of one, how many, where the first begins, and the pitch."""

    paper: str = "us-letter"
    width: float = 4.0
    height: float = 4 / 3
    columns: int = 2
    rows: int = 7
    left: float = 5 / 32
    top: float = 5 / 6
    pitch_x: float = 4 + 3 / 16
    pitch_y: float = 4 / 3


def envelope(label: Label) -> str:
    """The text in the symbol. Raises ValueError for a character that an envelope cannot carry."""
    raise NotImplementedError


def read_envelope(text: str) -> dict[str, str]:
    """Field of `Label` -> value. Raises ValueError when the text is not such an envelope."""
    raise NotImplementedError


def set_labels(
    labels: tuple[Label, ...], head: Head, stock: LabelStock | None = None, skip: int = 0
) -> bytes:
    """PDF/A-3b of label sheets; the first `skip` places of the first sheet are left free."""
    raise NotImplementedError


def label_png(label: Label, head: Head, stock: LabelStock | None = None, dpi: int = 300) -> bytes:
    """One label as 1-bit PNG."""
    raise NotImplementedError

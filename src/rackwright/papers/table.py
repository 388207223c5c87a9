"""The blocks of a running paper: text, list, facts, table, worked formula, picture, section."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BLANK", "Block", "Facts", "Items", "Picture", "Section", "Table", "Text", "Worked"]

#: a cell or value that prints as a line to write on
BLANK = "____"


@dataclass(frozen=True)
class Text:
    """A paragraph. `style` is one of body, note (small), caution (set off by a bar and the word)."""

    text: str
    style: str = "body"

    def __post_init__(self) -> None:
        if self.style not in ("body", "note", "caution"):
            raise ValueError(f"no text style {self.style!r}")


@dataclass(frozen=True)
class Items:
    """A bulleted list."""

    items: tuple[str, ...]


@dataclass(frozen=True)
class Facts:
    """Name and value, one pair a line. A value that is an empty string prints as a dash."""

    rows: tuple[tuple[str, str], ...]
    title: str = ""


@dataclass(frozen=True)
class Table:
    """A table that may run over pages; its head row is repeated.

    `align` has one letter a column: l left, c centre, r right (numbers), i an id (fixed-pitch type, left);
    empty means all l. `widths` are relative column widths (0 = as wide as its content), empty = automatic.
    Raises ValueError when a row, `align` or `widths` does not have one entry a column.
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    align: str = ""
    note: str = ""
    widths: tuple[float, ...] = ()
    dense: bool = False  # small type, for hundreds of rows

    def __post_init__(self) -> None:
        wide = len(self.columns)
        if any(len(row) != wide for row in self.rows):
            raise ValueError(f"table {self.title!r}: a row does not have {wide} entries")
        if (self.align and len(self.align) != wide) or not set(self.align) <= set("lcri"):
            raise ValueError(f"table {self.title!r}: align needs {wide} letters of l, c, r, i")
        if self.widths and len(self.widths) != wide:
            raise ValueError(f"table {self.title!r}: widths needs {wide} entries")


@dataclass(frozen=True)
class Worked:
    """One formula worked out: as printed, with numbers in place, and its result.

    `formula_typst` is typst mathematics from a formula card (it may not hold `#`, ValueError); where it is
    empty `formula_text` is printed. `inputs` are (symbol, value with unit, what it is and where from).
    """

    title: str
    formula_text: str
    substitution: str
    result: str
    source: str
    formula_typst: str = ""
    inputs: tuple[tuple[str, str, str], ...] = ()
    marks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if "#" in self.formula_typst:
            raise ValueError(f"{self.title!r}: a formula may not hold code")


@dataclass(frozen=True)
class Picture:
    """An SVG text set to the width of the page or less, with the words that stand for it."""

    svg: str
    alt: str
    caption: str = ""
    width: float = 1.0  # of the text width


Block = Text | Items | Facts | Table | Worked | Picture


@dataclass(frozen=True)
class Section:
    """A numbered section. `marks` are shown beside its title; `new_page` begins it on a fresh page."""

    title: str
    blocks: tuple[Block, ...]
    level: int = 1
    marks: tuple[str, ...] = ()
    new_page: bool = False

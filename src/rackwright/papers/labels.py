"""Labels of pieces, bars and remnants: a Data Matrix, and beside it the same in words.

The symbol holds an ISO/IEC 15434 envelope, format 06, with the data identifiers of ANSI MH10.8.2
(`IDENTIFIERS`; 1T and S read in public tables, 1P, W and 33S by their names in an open list of them).
`S` is the labelled thing itself: a piece, a bar, a remnant; the rack a piece goes into is `33S`, the serial
of the next higher assembly. Modules are whole dots of the printer, so that no edge is blurred.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import zxingcpp

from rackwright.papers.house import Head, set_pdf, set_png
from rackwright.papers.png import to_one_bit

__all__ = [
    "IDENTIFIERS",
    "Label",
    "LabelStock",
    "envelope",
    "label_png",
    "read_envelope",
    "set_labels",
    "symbol",
]

#: data identifier -> field of `Label`
IDENTIFIERS = {"S": "id", "1T": "heat", "1P": "part", "33S": "serial", "W": "job"}

_OPEN, _GS, _CLOSE = "[)>\x1e06\x1d", "\x1d", "\x1e\x04"
_MODULE_MM, _LEAST_MM = 0.8, 0.38  # wanted, and the least for a tag handled with gloves (judgement)
_EDGE_MM = 2.5  # free rim of the label, more than the quiet zone of one module


@dataclass(frozen=True)
class Label:
    """One label. `kind` is PIECE, BAR, REMNANT ..; `material` alloy-temper and form; `count` the printing."""

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

    width: float = 4.0
    height: float = 4 / 3
    columns: int = 2
    rows: int = 7
    left: float = 5 / 32
    top: float = 5 / 6
    pitch_x: float = 4 + 3 / 16
    pitch_y: float = 4 / 3


def envelope(label: Label) -> str:
    """The text in the symbol; fields that are empty are left out.

    Raises ValueError for a character that is not printable ASCII: scanners disagree about others.
    """
    fields = [(di, getattr(label, name)) for di, name in IDENTIFIERS.items() if getattr(label, name)]
    for di, value in fields:
        if not all(" " <= letter <= "~" for letter in value):
            raise ValueError(f"{IDENTIFIERS[di]} {value!r} has a letter that a label cannot carry")
    return _OPEN + _GS.join(di + value for di, value in fields) + _CLOSE


def symbol(label: Label) -> str:
    """The Data Matrix of a label as SVG, for papers that show it beside their own words. Raises as `envelope`."""
    return _svg(_modules(envelope(label)))


def read_envelope(text: str) -> dict[str, str]:
    """Field of `Label` -> value; unknown identifiers are passed over.

    Raises ValueError when the text is not an ISO/IEC 15434 envelope of format 06.
    """
    if not (text.startswith(_OPEN) and text.endswith(_CLOSE)):
        raise ValueError("not an ISO/IEC 15434 envelope of format 06")
    found: dict[str, str] = {}
    for part in text[len(_OPEN) : -len(_CLOSE)].split(_GS):
        digits = len(part) - len(part.lstrip("0123456789"))
        name = IDENTIFIERS.get(part[: digits + 1])
        if name is not None:
            found[name] = part[digits + 1 :]
    return found


def set_labels(
    labels: tuple[Label, ...], head: Head, stock: LabelStock | None = None, skip: int = 0
) -> bytes:
    """PDF/A-3b of label sheets; the first `skip` places of the first sheet are left free.

    Raises ValueError when a symbol does not fit the label, or an id cannot be carried.
    """
    stock = stock or LabelStock()
    per_page = stock.columns * stock.rows
    pages: list[list[dict[str, Any]]] = []
    for place, label in enumerate(labels, skip % per_page):
        if place % per_page == 0 or not pages:
            pages.append([])
        row, column = divmod(place % per_page, stock.columns)
        at = (stock.left + column * stock.pitch_x, stock.top + row * stock.pitch_y)
        pages[-1].append(_set_one(label, stock, at, dpi=300))
    return set_pdf("labels", head, _sheet(stock, pages, single=False))


def label_png(label: Label, head: Head, stock: LabelStock | None = None, dpi: int = 300) -> bytes:
    """One label as 1-bit PNG at the printer's own resolution, black on white. Raises as `set_labels`."""
    stock = stock or LabelStock()
    data = _sheet(stock, [[_set_one(label, stock, (0.0, 0.0), dpi)]], single=True)
    return to_one_bit(set_png("labels", head, data, ppi=dpi)[0], dpi)


def _sheet(stock: LabelStock, pages: list[list[dict[str, Any]]], single: bool) -> dict[str, Any]:
    return {
        "single": single,
        "pages": pages,
        "width": stock.width * 72,
        "height": stock.height * 72,
        "top": stock.top * 72,
        "symbol_room": stock.height * 72,  # a square at the left of the label
    }


def _set_one(label: Label, stock: LabelStock, at: tuple[float, float], dpi: int) -> dict[str, Any]:
    """A label as the template wants it: words, the symbol, and its place in points on whole dots."""
    text = envelope(label)
    rows = _modules(text)
    side = len(rows)
    room = round(stock.height * dpi) - 2 * round(_EDGE_MM / 25.4 * dpi)
    dots = min(round(_MODULE_MM / 25.4 * dpi), room // side)
    if dots * 25.4 / dpi < _LEAST_MM:
        raise ValueError(f"the symbol of {label.id!r} has {side} modules and does not fit; shorten its ids")
    free = (round(stock.height * dpi) - dots * side) // 2
    return asdict(label) | {
        "left": at[0] * 72,
        "top": at[1] * 72,
        "symbol": _svg(rows),
        "words": "; ".join(f"{name} {value}" for name, value in read_envelope(text).items()),
        "side": side,
        "module": dots * 72 / dpi,
        "x": free * 72 / dpi,
        "y": free * 72 / dpi,
    }


def _modules(text: str) -> list[list[bool]]:
    """The square Data Matrix of a text, row by row, True = dark."""
    code = zxingcpp.create_barcode(text.encode("ascii"), zxingcpp.BarcodeFormat.DataMatrix, force_square=True)
    image: Any = code.to_image(scale=1, add_quiet_zones=False)
    dark = np.array(image) == 0
    return [[bool(dot) for dot in row] for row in dark]


def _svg(rows: list[list[bool]]) -> str:
    """One path for all dark modules, so that no renderer shows a seam between two of them."""
    path = "".join(f"M{x} {y}h1v1h-1z" for y, row in enumerate(rows) for x, dark in enumerate(row) if dark)
    side = len(rows)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{side}" height="{side}" viewBox="0 0 {side} {side}">'
        f'<path fill="#000" d="{path}"/></svg>'
    )

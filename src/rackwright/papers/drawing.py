"""Drawings as bytes: a rack's sheets, and a sketch of each piece with its holes.

What they show is in `shapes.py` (all its names can be imported from here), how a rack is laid out in
`rack_sheets.py`, a piece in `piece_sheet.py`. One drawing model (`sketch.py`) gives both the PDF and the
standalone SVG, so the two cannot differ.
"""

from __future__ import annotations

from rackwright.papers.balloons import Numbered, numbered_sheets
from rackwright.papers.block_sheet import BlockSketch, block_sheets
from rackwright.papers.house import Head, content_hash, set_pdf
from rackwright.papers.piece_sheet import piece_sheets
from rackwright.papers.rack_sheets import rack_sheets
from rackwright.papers.shapes import (
    Fitting,
    Level,
    PartRow,
    PieceHole,
    PieceSketch,
    Point,
    Prism,
    RackDrawing,
    Ring,
    Solid,
    Strap,
)  # fmt: skip
from rackwright.papers.sketch import Sheet

__all__ = [
    "Fitting", "Level", "PartRow", "PieceHole", "PieceSketch", "Point", "Prism", "RackDrawing", "Ring", "Solid",
    "Strap", "draw_blocks", "draw_numbered", "draw_pieces", "draw_rack", "drawing_svgs",
]  # fmt: skip


def draw_rack(drawing: RackDrawing) -> bytes:
    """All sheets as one PDF/A-3b. Raises ValueError for a drawing without solids."""
    return _bound(drawing.head, rack_sheets(drawing))


def drawing_svgs(drawing: RackDrawing) -> list[str]:
    """The same sheets as standalone SVG texts. Raises as `draw_rack`."""
    return [sheet.svg() for sheet in rack_sheets(drawing)]


def draw_pieces(head: Head, pieces: tuple[PieceSketch, ...]) -> bytes:
    """A sketch a page as one PDF/A-3b."""
    return _bound(head, piece_sheets(head, pieces, content_hash([head, pieces])))


def draw_blocks(head: Head, blocks: tuple[BlockSketch, ...]) -> bytes:
    """A sheet a corner block as one PDF/A-3b."""
    return _bound(head, block_sheets(head, blocks, content_hash([head, blocks])))


def draw_numbered(drawing: Numbered) -> bytes:
    """The drawing with its characteristics ballooned as one PDF/A-3b. Raises as `draw_rack`."""
    return _bound(drawing.head, numbered_sheets(drawing, content_hash(drawing)))


def _bound(head: Head, sheets: list[Sheet]) -> bytes:
    return set_pdf("drawing", head, {"sheets": [{"svg": sheet.svg(), "alt": sheet.alt} for sheet in sheets]})

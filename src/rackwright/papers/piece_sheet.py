"""One sheet a piece: the four faces of a square tube one below the other, each hole from end A.

Faces follow each other round the axis: 2 is what turns up when the piece is rolled a quarter toward the
viewer from 1. Distances along the piece are ordinates from end A, so no tolerance adds up.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.papers.house import Head
from rackwright.papers.lengths import dimension, inches
from rackwright.papers.shapes import PieceHole, PieceSketch
from rackwright.papers.sheet_frame import (
    Frame,
    column,
    datum_mark,
    grid,
    new_sheet,
    pill,
    place_apart,
    span_dimension,
)
from rackwright.papers.sketch import CHAIN, DASHED, THICK, THIN, Sheet, text_width

__all__ = ["piece_sheets"]

_SCALES = (0.25, 0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 16, 20, 24)
_ABOVE = 13.0  # mm above a face for its ordinates


def piece_sheets(
    head: Head, pieces: tuple[PieceSketch, ...], digest: str, first: int = 1, of: int = 0
) -> list[Sheet]:
    """`first` and `of` number the sheets where they follow others."""
    return [_sheet(head, piece, n, of or len(pieces), digest) for n, piece in enumerate(pieces, first)]


def _sheet(head: Head, piece: PieceSketch, number: int, of: int, digest: str) -> Sheet:
    probe = new_sheet(head, "", "", 1, 1, "", (), "")[1]
    room = probe.right - probe.left - 46
    faces = sorted({hole.face for hole in piece.holes}) or [0]
    above = _ABOVE + max((_tall(hole) for hole in piece.holes), default=0.0)
    high = (probe.bottom - probe.top - 30) * 0.62 / len(faces) - above
    need = max(piece.length_nm / 1e6 / room, piece.side_nm / 1e6 / max(high, 4.0))
    scale = next((n for n in _SCALES if n >= need), _SCALES[-1])
    words = f"1:{scale}" if scale >= 1 else f"{round(1 / scale)}:1"
    sheet, frame = new_sheet(
        head, f"piece {piece.piece}, {piece.part}", words, number, of, digest, piece.notes,
        "Dimensions in inches [millimetres]. Along: from end A; across: from the middle of the face.",
    )  # fmt: skip
    column(sheet, frame.left, frame.top + 4, room, f"{piece.part}  {piece.description}", [])
    x, wide = frame.left + 24, piece.length_nm / 1e6 / scale
    tall = piece.side_nm / 1e6 / scale
    y = frame.top + 9
    for face in faces:
        y += above
        _face(sheet, piece, face, x, y, wide, tall, scale)
        y += tall
    datum_mark(sheet, (x, y), "A")
    span_dimension(sheet, (x, y), (x + wide, y), y + 9, dimension(piece.length_nm, True))
    pill(sheet, (x + wide + 4 + text_width(piece.length_balloon, 1.2), y + 9), piece.length_balloon)
    if piece.film_balloon:
        sheet.text((x + wide + 3, frame.top + 16), "film", 2.4)
        pill(sheet, (x + wide + 16, frame.top + 15), piece.film_balloon)
    _table(sheet, frame, piece, y + 18)
    return sheet


def _face(
    sheet: Sheet, piece: PieceSketch, face: int, x: float, y: float, wide: float, tall: float, scale: float
) -> None:
    unit = 1e6 * scale
    (a, b), (c, d) = _edges_of(piece, face)  # of the lower and the upper edge
    sheet.poly([(x + at / unit, y + down) for at, down in ((a, tall), (b, tall), (d, 0.0), (c, 0.0))], THICK)
    wall = piece.wall_nm / 1e6 / scale
    if wall > 0.3:
        for up in (wall / tall, 1 - wall / tall):
            ends = (x + (a + (c - a) * up) / unit, x + (b + (d - b) * up) / unit)
            sheet.line((ends[0], y + tall * (1 - up)), (ends[1], y + tall * (1 - up)), 0.13, DASHED)
    sheet.line((x - 3, y + tall / 2), (x + wide + 3, y + tall / 2), 0.13, CHAIN)
    sheet.fit((x - 5, y + tall / 2 + 0.9), piece.face_names[face], 18, 2.5, "end", bold=True)
    holes = [(n, h) for n, h in enumerate(piece.holes, 1) if h.face == face]
    for number, hole in holes:
        cx, cy = x + hole.along_nm / unit, y + tall / 2 - hole.across_nm / unit
        radius = hole.dia_nm / unit / 2
        sheet.disc((cx, cy), radius, THIN)
        sheet.line((cx, cy - radius - 0.8), (cx, cy + radius + 0.8), 0.13)
        sheet.line((cx - radius - 0.8, cy), (cx + radius + 0.8, cy), 0.13)
        on_line = abs(hole.across_nm) / unit < 1.2  # beside it the centre line would run through its number
        beside = (cx + 0.4, cy - radius - 0.5) if on_line else (cx + radius + 1.0, cy + 0.7)
        sheet.text(beside, str(number), 1.9)
    stations = sorted({hole.along_nm for _, hole in holes})
    balloons = {hole.along_nm: hole.balloon for _, hole in holes if hole.balloon}
    spread = place_apart([x + along / unit for along in stations], 4.0 if balloons else 3.0)
    for along, place in zip(stations, spread, strict=True):
        at = x + along / unit
        sheet.poly(((at, y - 0.8), (at, y - 1.8), (place, y - 2.8), (place, y - 3.4)), closed=False)
        sheet.text((place + 0.8, y - 3.8), inches(along), 2.1, turn=-90)
        long = text_width(inches(along), 2.1) + text_width(balloons.get(along, ""), 2.3) / 2
        pill(sheet, (place, y - 6.2 - long), balloons.get(along, ""), upright=True)


def _edges_of(piece: PieceSketch, face: int) -> tuple[tuple[int, int], tuple[int, int]]:
    """Start and end of a face's lower and upper edge: mitred ends show on two opposite faces, the other way round."""
    whole = (0, piece.length_nm)
    if piece.ends_nm is None or face % 2:
        return whole, whole
    return piece.ends_nm if face == 0 else (piece.ends_nm[1], piece.ends_nm[0])


def _tall(hole: PieceHole) -> float:
    """Room for a balloon above its distance."""
    return text_width(hole.balloon, 2.3) + 4 if hole.balloon else 0.0


def _table(sheet: Sheet, frame: Frame, piece: PieceSketch, top: float) -> None:
    """The holes in as many tables side by side as they need."""
    rows: Sequence[tuple[str, ...]] = [_row(n, piece, hole) for n, hole in enumerate(piece.holes, 1)]
    shares = (
        ("hole", 10.0),
        ("face", 19.0),
        ("along, in", 18.0),
        ("across, in", 18.0),
        ("dia, in", 13.0),
        ("note", 22.0),
    )
    wide = sum(width for _, width in shares)
    x = frame.left
    while rows and x + wide <= frame.right + 0.1:
        _, done = grid(sheet, x, top, frame.bottom, shares, rows, size=2.0)
        rows = rows[done:]
        x += wide + 6
    if rows:
        raise ValueError(
            f"piece {piece.piece}: {len(rows)} holes find no room in the table; use larger paper"
        )


def _row(number: int, piece: PieceSketch, hole: PieceHole) -> tuple[str, ...]:
    return (
        str(number), piece.face_names[hole.face], inches(hole.along_nm), inches(hole.across_nm),
        inches(hole.dia_nm, 4 if hole.dia_nm % 25_400 else 3), hole.note,
    )  # fmt: skip

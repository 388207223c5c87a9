"""Reading papers back with a renderer that is not the one that set them (PDFium)."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

import pypdfium2

MM = 72 / 25.4


@dataclass(frozen=True)
class Glyph:
    letter: str
    left: float
    bottom: float
    right: float
    top: float


def pages(pdf: bytes) -> list[str]:
    """The text of each page."""
    with pypdfium2.PdfDocument(pdf) as document:
        return [page.get_textpage().get_text_range() for page in document]


def flat(text: str) -> str:
    """Text without white space, break opportunities and the hyphen sign PDFium puts at line ends."""
    return "".join(text.replace("\ufffe", "-").replace("\x02", "-").replace("\u200b", "").split())


def glyphs(pdf: bytes) -> Iterator[tuple[float, float, list[Glyph]]]:
    """Per page its width and height in points, and every printed letter with its ink box."""
    with pypdfium2.PdfDocument(pdf) as document:
        for page in document:
            text = page.get_textpage()
            codes = [pypdfium2.raw.FPDFText_GetUnicode(text, i) for i in range(text.count_chars())]
            found = [
                Glyph(chr(code), *text.get_charbox(i))
                for i, code in enumerate(codes)
                if code > 32 and code != 0x200B and not 0xDC00 <= code < 0xE000  # a pair has one box, not two
            ]
            yield *page.get_size(), [g for g in found if g.right > g.left and g.top > g.bottom]


def overprinted(page: list[Glyph]) -> list[tuple[Glyph, Glyph]]:
    """Pairs of letters of which one covers most of the smaller (slanted letters overlap a little)."""
    cells: dict[tuple[int, int], list[Glyph]] = defaultdict(list)
    for glyph in page:
        cells[(int(glyph.left // 20), int(glyph.bottom // 20))].append(glyph)
    pairs = []
    for (x, y), here in cells.items():
        near = [g for dx in (0, 1) for dy in (-1, 0, 1) for g in cells.get((x + dx, y + dy), [])]
        for a in here:
            for b in near:
                wide = min(a.right, b.right) - max(a.left, b.left)
                high = min(a.top, b.top) - max(a.bottom, b.bottom)
                small = min(_area(a), _area(b))
                if a is not b and wide > 0 and high > 0 and wide * high > 0.6 * small:
                    pairs.append((a, b))
    return pairs


def _area(glyph: Glyph) -> float:
    return (glyph.right - glyph.left) * (glyph.top - glyph.bottom)

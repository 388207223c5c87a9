"""A sheet of one station: what it works from, what is written down there by hand, and who signs.

One form for all of them: title, a Data Matrix where there is a job or serial to scan, facts, cautions, sections, and a
line for each signature. A cell that holds `BLANK` prints as a line to write on: blank is not zero. A line to sign is
always empty, and no computed state may fill it.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.papers.house import Attachment, Head, set_pdf
from rackwright.papers.table import BLANK, Facts, Section

__all__ = ["BLANK", "StationSheet", "set_station_sheet"]


@dataclass(frozen=True)
class StationSheet:
    """`symbol` is the SVG text of a Data Matrix ("" for none) with `symbol_words` beside it; `answer` one line in
    bold under the facts; `signatures` the words under each line to sign, one row each of name, signature and date."""

    head: Head
    facts: Facts
    sections: tuple[Section, ...]
    cautions: tuple[str, ...] = ()
    answer: str = ""
    signatures: tuple[str, ...] = ()
    symbol: str = ""
    symbol_words: str = ""
    flipped: bool = False
    attachments: tuple[Attachment, ...] = ()


def set_station_sheet(sheet: StationSheet) -> bytes:
    """PDF/A-3b bytes."""
    data = {
        "facts": sheet.facts,
        "sections": sheet.sections,
        "cautions": sheet.cautions,
        "answer": sheet.answer,
        "signatures": sheet.signatures,
        "symbol": sheet.symbol,
        "symbol_words": sheet.symbol_words,
        "flipped": sheet.flipped,
    }
    return set_pdf("station_sheet", sheet.head, data, sheet.attachments)

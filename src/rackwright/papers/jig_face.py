"""One face of the frame with its holes numbered, to scale, as the jig's bushings lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.papers.lengths import inches
from rackwright.papers.sheet_frame import datum_mark
from rackwright.papers.sketch import ACCENT, QUIET, THIN, Sheet, text_width

__all__ = ["FaceHole", "face_svg"]

WIDE, ROOM_WIDE, ROOM_HIGH = 172.0, 120.0, 92.0
SCALES = (2, 4, 5, 6, 8, 10, 12, 15, 16, 20, 24, 32, 40)


@dataclass(frozen=True)
class FaceHole:
    """`across` to the right and `up` on paper, nm from the jig's datum; `interchange` is drawn filled."""

    number: int
    across: int
    up: int
    interchange: bool


def face_svg(name: str, size: tuple[int, int], corner: tuple[int, int], holes: Sequence[FaceHole],
             axes: tuple[str, str]) -> str:  # fmt: skip
    """The face's outline `size` with its low corner at `corner` in the jig, and its holes."""
    scale = next(
        (n for n in SCALES if size[0] / 1e6 / n <= ROOM_WIDE and size[1] / 1e6 / n <= ROOM_HIGH), SCALES[-1]
    )
    unit = 1e6 * scale
    wide, tall = size[0] / unit, size[1] / unit
    sheet = Sheet(WIDE, tall + 25, f"face {name} with {len(holes)} holes")
    left, top = (WIDE - wide) / 2, 5.0
    sheet.box(left, top, wide, tall, THIN)
    pairs: dict[int, int] = {}
    for one in holes:
        x, y = left + (one.across - corner[0]) / unit, top + tall - (one.up - corner[1]) / unit
        sheet.disc((x, y), 0.8, 0.2, ACCENT if one.interchange else "#fff")
        row = round(y / 2)
        pairs[row] = pairs.get(row, 0) + 1
        right = x < left + wide / 2
        text = str(one.number)
        level = (
            sum(
                abs(other.up - one.up) < 2 * unit and abs(other.across - one.across) < 6 * unit
                for other in holes
            )
            > 1
        )
        if level:  # neighbours beside each other: one number above, one below
            sheet.text((x, y - 1.6 if pairs[row] % 2 else y + 3.2), text, 2.0, "middle")
        else:
            sheet.text((x + 1.6 if right else x - 1.6 - text_width(text, 2.0), y + 0.7), text, 2.0)
    datum_mark(sheet, (left, top + tall), "A")
    starts = f"{axes[0]} to the right from {inches(corner[0])}, {axes[1]} up from {inches(corner[1])} in"
    words = f"{starts}; scale 1:{scale}"
    sheet.text((WIDE / 2, top + tall + 12), words, 2.3, "middle", colour=QUIET)
    return sheet.svg()

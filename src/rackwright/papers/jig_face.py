"""One face of the frame with its holes numbered, to scale, as the jig's bushings lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from rackwright.papers.lengths import inches
from rackwright.papers.sheet_frame import datum_mark
from rackwright.papers.sketch import ACCENT, QUIET, THIN, Sheet, text_width

__all__ = ["FaceHole", "face_svg"]

Rect = tuple[float, float, float, float]

SIZE = 2.0  # of the numbers
LED = 2.0  # a number farther from its hole has a line to it
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
    spots = [
        (left + (one.across - corner[0]) / unit, top + tall - (one.up - corner[1]) / unit) for one in holes
    ]
    taken = [(x - 0.9, y - 0.9, x + 0.9, y + 0.9) for x, y in spots]
    taken += [(x - 0.1, top, x + 0.1, top + tall) for x in (left, left + wide)]  # the outline
    taken += [(left, y - 0.1, left + wide, y + 0.1) for y in (top, top + tall)]
    for one, (x, y) in zip(holes, spots, strict=True):
        sheet.disc((x, y), 0.8, 0.2, ACCENT if one.interchange else "#fff")
        box = _free(x, y, text_width(str(one.number), SIZE), taken)
        taken.append(box)
        near = min(max(x, box[0]), box[2]), min(max(y, box[1]), box[3])
        if hypot(near[0] - x, near[1] - y) > LED:
            sheet.line((x, y), near, 0.08, colour=QUIET)
        sheet.text((box[0], box[3] - 0.4), str(one.number), SIZE)
    datum_mark(sheet, (left, top + tall), "A")
    starts = f"{axes[0]} to the right from {inches(corner[0])}, {axes[1]} up from {inches(corner[1])} in"
    words = f"{starts}; scale 1:{scale}"
    sheet.text((WIDE / 2, top + tall + 12), words, 2.3, "middle", colour=QUIET)
    return sheet.svg()


def _free(x: float, y: float, wide: float, taken: Sequence[Rect]) -> Rect:
    """Where a number finds room near its hole: beside, above, below, then farther away."""
    high = 2.2
    for far in (1.4, 3.2, 5.0, 7.0, 9.0):
        for dx, dy in ((far, -high / 2), (-far - wide, -high / 2), (-wide / 2, -far - high), (-wide / 2, far),
                       (far, -far - high), (-far - wide, -far - high), (far, far), (-far - wide, far)):  # fmt: skip
            box = (x + dx, y + dy, x + dx + wide, y + dy + high)
            if all(box[2] < b[0] or b[2] < box[0] or box[3] < b[1] or b[3] < box[1] for b in taken):
                return box
    return x + 1.4, y - high / 2, x + 1.4 + wide, y + high / 2

"""A picture of one stroke on the brake: punch, die, backgauge, the strip flat on the die and as it is under load."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.making.folding.section import clipped
from rackwright.papers.sketch import ACCENT, DASHED, QUIET, THICK, XY, Sheet

__all__ = ["FoldSketch", "fold_svg"]

WIDE, MOST = 172.0, 70.0  # mm: the width of running text, the height of the picture
Section = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class FoldSketch:
    """Sections in m: tools in their place under load, the strip flat and under load, the finger's box."""

    punch: Section
    die: Section
    flat: Section
    loaded: Section
    gauge: float | None
    finger: tuple[float, float]  # height and length
    words: str


def fold_svg(one: FoldSketch) -> str:
    """The picture as SVG text: as wide as strip and gauge, punch and die cut off where they go on."""
    strip = [*one.flat, *one.loaded]
    reach = max(abs(x) for x, _ in strip) + (one.finger[1] / 2 if one.gauge is not None else 0.0)
    top = max(max(y for _, y in strip), reach * 0.5)
    low = -max(reach * 0.3, -min(y for _, y in strip))
    unit = min((WIDE - 30) / (2 * reach), MOST / (top - low))
    sheet = Sheet(WIDE, (top - low) * unit + 14, one.words)

    def at(point: tuple[float, float]) -> XY:
        x, y = point
        return WIDE / 2 + x * unit, 6 + (top - y) * unit

    def draw(
        sections: Sequence[Section], width: float, fill: str = "none", dash: tuple[float, ...] = ()
    ) -> None:
        for section in sections:
            shown = clipped(section, low, top)
            if shown:
                sheet.poly([at(point) for point in shown], width, fill, dash=dash)

    draw((one.punch, one.die), THICK, "#d9dfe5")
    draw((one.flat,), 0.13, dash=DASHED)
    draw((one.loaded,), THICK, "#ffffff")
    if one.gauge is not None:
        height, long = one.finger
        box = ((one.gauge, 0.0), (one.gauge + long, 0.0), (one.gauge + long, height), (one.gauge, height))
        draw((box,), 0.2, "#eef3f7")
        x, y = at((one.gauge, height))
        sheet.text((x + 1, y - 1.5), "backgauge", 2.4, colour=ACCENT)
    x, y = at((0.0, top))
    sheet.text((x, y - 2), "punch", 2.4, "middle", colour=QUIET)
    x, y = at((0.0, low))
    sheet.text((x, y + 4), "die", 2.4, "middle", colour=QUIET)
    return sheet.svg()

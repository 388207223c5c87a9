"""A sheet of paper in millimetres: strokes, discs and letters, written out as SVG.

Origin at the upper left, y down. One fixed-pitch face carries all lettering, so the width of a word is
known without measuring it. Two line widths, thick twice the thin (ISO 128 habit).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import atan2, cos, hypot, pi, sin
from xml.sax.saxutils import escape

__all__ = ["ACCENT", "QUIET", "THICK", "THIN", "Disc", "Letters", "Sheet", "Stroke", "text_width", "wrap"]

THICK, THIN = 0.36, 0.18
ACCENT, QUIET = "#0f4c75", "#4d5860"
DASHED, CHAIN = (1.6, 0.9), (4.0, 0.8, 0.8, 0.8)

_FACE = "DejaVu Sans Mono"
_PITCH = 0.602  # width of a letter over its size, from the face

XY = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    points: tuple[XY, ...]
    width: float = THIN
    dash: tuple[float, ...] = ()
    closed: bool = False
    fill: str = "none"
    colour: str = "#000"


@dataclass(frozen=True)
class Disc:
    centre: XY
    radius: float
    width: float = THIN
    fill: str = "none"
    colour: str = "#000"


@dataclass(frozen=True)
class Letters:
    """`anchor` start, middle or end; `at` is on the baseline; `turn` in degrees, clockwise."""

    at: XY
    text: str
    size: float = 2.6
    anchor: str = "start"
    bold: bool = False
    turn: float = 0.0
    colour: str = "#000"


@dataclass
class Sheet:
    """A growing sheet; `alt` says in words what it shows."""

    width: float
    height: float
    alt: str
    marks: list[Stroke | Disc | Letters] = field(default_factory=list)

    def line(
        self, a: XY, b: XY, width: float = THIN, dash: tuple[float, ...] = (), colour: str = "#000"
    ) -> None:
        self.marks.append(Stroke((a, b), width, dash, colour=colour))

    def poly(self, points: Sequence[XY], width: float = THIN, fill: str = "none", closed: bool = True,
             colour: str = "#000", dash: tuple[float, ...] = ()) -> None:  # fmt: skip
        self.marks.append(Stroke(tuple(points), width, dash, closed, fill, colour))

    def box(self, x: float, y: float, w: float, h: float, width: float = THIN, fill: str = "none") -> None:
        self.poly(((x, y), (x + w, y), (x + w, y + h), (x, y + h)), width, fill)

    def disc(self, centre: XY, radius: float, width: float = THIN, fill: str = "none") -> None:
        self.marks.append(Disc(centre, radius, width, fill))

    def text(self, at: XY, text: str, size: float = 2.6, anchor: str = "start", bold: bool = False,
             turn: float = 0.0, colour: str = "#000") -> None:  # fmt: skip
        if text:
            self.marks.append(Letters(at, text, size, anchor, bold, turn, colour))

    def fit(
        self, at: XY, text: str, wide: float, size: float, anchor: str = "start", bold: bool = False
    ) -> None:
        """Letters on one line no wider than `wide`, smaller where they must be."""
        self.text(at, text, min(size, size * wide / max(text_width(text, size), 1e-9)), anchor, bold)

    def arrow_head(self, tip: XY, toward: XY, long: float = 2.2, wide: float = 0.75) -> None:
        """A filled head whose tip is at `tip`, pointing along `toward`."""
        angle = atan2(toward[1], toward[0])
        back = (tip[0] - long * cos(angle), tip[1] - long * sin(angle))
        side = (wide / 2 * cos(angle + pi / 2), wide / 2 * sin(angle + pi / 2))
        left, right = (back[0] + side[0], back[1] + side[1]), (back[0] - side[0], back[1] - side[1])
        self.poly((tip, left, right), 0.05, "#000")

    def arrow(self, a: XY, b: XY, width: float = THICK, long: float = 3.0, wide: float = 1.8) -> None:
        run = hypot(b[0] - a[0], b[1] - a[1])
        keep = max(0.0, 1 - 0.9 * long / run) if run else 0.0
        self.line(a, (a[0] + (b[0] - a[0]) * keep, a[1] + (b[1] - a[1]) * keep), width)
        self.arrow_head(b, (b[0] - a[0], b[1] - a[1]), long, wide)

    def svg(self) -> str:
        """A complete SVG text, in millimetres."""
        body = "\n".join(_svg(mark) for mark in self.marks)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(self.width)}mm" height="{_n(self.height)}mm" '
            f'viewBox="0 0 {_n(self.width)} {_n(self.height)}" role="img">\n<title>{_safe(self.alt)}</title>\n'
            f'<rect width="100%" height="100%" fill="#fff"/>\n'
            f'<g font-family="{_FACE}, monospace" stroke-linecap="round" stroke-linejoin="round">\n'
            f"{body}\n</g>\n</svg>\n"
        )


def text_width(text: str, size: float) -> float:
    return len(text) * _PITCH * size


def wrap(text: str, wide: float, size: float) -> list[str]:
    """Lines no wider than `wide`; a word that is too long is broken, never cut off."""
    room = max(1, int(wide / (_PITCH * size)))
    lines: list[str] = []
    for word in text.split():
        if lines and len(lines[-1]) + 1 + len(word) <= room:
            lines[-1] += " " + word
            continue
        while len(word) > room:
            at = max(word.rfind(c, 0, room) for c in "-_./:,") + 1
            at = at if at > room // 2 else room
            lines.append(word[:at])
            word = word[at:]
        lines.append(word)
    return lines or [""]


def _svg(mark: Stroke | Disc | Letters) -> str:
    if isinstance(mark, Letters):
        turn = f' transform="rotate({_n(mark.turn)} {_n(mark.at[0])} {_n(mark.at[1])})"' if mark.turn else ""
        bold = ' font-weight="bold"' if mark.bold else ""
        anchor = f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
        return (
            f'<text x="{_n(mark.at[0])}" y="{_n(mark.at[1])}" font-size="{_n(mark.size)}" fill="{mark.colour}"'
            f'{anchor}{bold}{turn} xml:space="preserve">{_safe(mark.text)}</text>'
        )
    pen = f'fill="{mark.fill}" stroke="{mark.colour}" stroke-width="{_n(mark.width)}"'
    if isinstance(mark, Disc):
        return f'<circle cx="{_n(mark.centre[0])}" cy="{_n(mark.centre[1])}" r="{_n(mark.radius)}" {pen}/>'
    dash = f' stroke-dasharray="{" ".join(map(_n, mark.dash))}"' if mark.dash else ""
    path = "M" + "L".join(f"{_n(x)} {_n(y)}" for x, y in mark.points) + ("z" if mark.closed else "")
    return f'<path d="{path}" {pen}{dash}/>'


def _n(value: float) -> str:
    """A number with at most three decimals: a thousandth of a millimetre on paper."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _safe(text: str) -> str:
    """Text for XML; letters that XML cannot carry show as the replacement character."""
    return escape("".join(c if c >= " " and c not in "\ufffe\uffff" else "\ufffd" for c in text))

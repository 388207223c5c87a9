"""Mitred ends on a bar: what a piece takes, and what turning every other piece over would save.

A blade at angle θ to the square takes kerf / cos θ along the bar. With both ends inward at θ and section depth h in the
plane of the mitre, a piece of long point L is L - 2 h tan θ at its short point. Cut one way, n of them take
n (L + kerf / cos θ); with every other one turned over, two neighbours share one slanted cut face and the same n take
(n - 1) h tan θ less. (Own derivation from the trapezoid; plans do not use it, they stay on the safe side.)
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import ceil, cos, degrees, floor, radians, tan

from rackwright.formulas.kerf import STEEPEST
from rackwright.making.asked import Asked
from rackwright.pieces.model import Mitre, Piece
from rackwright.rack import Rack
from rackwright.rack.brace import ENDS
from rackwright.shop.model import Saw
from rackwright.trouble import Fault

__all__ = [
    "STEEPEST",
    "flip_saving",
    "mitre_limit",
    "mitre_note",
    "mitre_words_of",
    "mitred_kerf",
    "mitred_use",
    "piece_kerf",
    "short_point",
    "turning_note",
]

WHOLE = 1e-9  # a number so near to a whole one counts as it


def mitred_use(length: int, kerf: int, angles: Sequence[float]) -> int:
    """What one piece takes of a bar, rounded up: its long side and the wider of the two slanted cuts (deg)."""
    return length + mitred_kerf(kerf, angles)


def mitred_kerf(kerf: int, angles: Sequence[float]) -> int:
    """What the wider of two slanted cuts takes along the bar, rounded up (deg)."""
    return ceil(kerf / cos(radians(max(angles))) - WHOLE)


def piece_kerf(piece: Piece, kerf: int) -> int:
    """What the cut of a piece takes along its bar, nm."""
    return kerf if piece.mitre is None else mitred_kerf(kerf, _degrees(piece.mitre))


def mitre_note(mitre: Mitre, short: str) -> str:
    """What the sawyer sets for the first and the last end; `short` is the shorter side in the shop's unit."""
    first, last = (f"{angle:.2f}°" for angle in _degrees(mitre))
    swing = "one way" if mitre.same_way else "opposite ways, long side at the fence"
    return f"mitred {first} / {last}, {swing}; {'sides' if mitre.parallel else 'short side'} {short}"


def mitre_limit(
    designs: Iterable[tuple[Rack, Sequence[Piece]]], saw: Saw
) -> tuple[tuple[Fault, ...], tuple[Asked, ...]]:
    """Ends that the shop's saw does not swing to; and what is asked for where its limit is not stated."""
    ends = [(rack, piece, one) for rack, sawn in designs for piece in sawn if piece.mitre
            for one in zip(ENDS, _degrees(piece.mitre), strict=True)]  # fmt: skip
    if saw.mitre_most is None:
        steepest = max((angle for _, _, (_, angle) in ends), default=0.0)
        why = (
            f"how far saw {saw.name} swings: the order's steepest mitre is {steepest:.2f} deg from the square"
        )
        return (), (Asked("saw.mitre_most", why),) if ends else ()
    most, found = degrees(saw.mitre_most), []
    for rack, piece, (end, angle) in ends:
        if angle > most + WHOLE:
            text = f"the {end} of {piece.id} is mitred {angle:.2f} deg, saw {saw.name} swings to {most:g} deg"
            do = "move the brace's end for a lesser angle, or take another saw"
            found.append(Fault("RW403", rack.where(f"{piece.path}.{end}.at"), text, do))
    return tuple(dict.fromkeys(found)), ()


def mitre_words_of(piece: Piece) -> str:
    """The mitres of a piece as part of its name at the saw; "" for square ends."""
    if piece.mitre is None:
        return ""
    first, last = sorted(f"{angle:.4f}" for angle in _degrees(piece.mitre))
    return f" mitred {first}/{last}{' one way' if piece.mitre.same_way else ''}"


def turning_note(mitre: Mitre, depth: int, number: int) -> tuple[str, int]:
    """How alike pieces in a row would share a cut, and the length (nm) that it saves beyond the plan; 0 where none."""
    saved = flip_saving(number, depth, [round(angle, 9) for angle in _degrees(mitre)])
    return ("laid all one way" if mitre.same_way else "every other one turned over"), saved


def _degrees(mitre: Mitre) -> tuple[float, float]:
    first, last = (degrees(angle) for angle in mitre.angles)
    return first, last


def short_point(length: int, depth: int, angles: Sequence[float]) -> int:
    """Length of the short side, rounded down; 0 or less where the two ends meet before it."""
    return floor(length - depth * sum(tan(radians(angle)) for angle in angles) + WHOLE)


def flip_saving(number: int, depth: int, angles: Sequence[float]) -> int:
    """What `number` alike pieces in a row save when every other one is turned over, rounded down; 0 where the two ends
    are not mitred alike, since neighbours then share no face."""
    if len(set(angles)) != 1:
        return 0
    return floor(max(0, number - 1) * depth * tan(radians(angles[0])) + WHOLE)

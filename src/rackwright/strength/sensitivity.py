"""Which measurement matters most to which margin: what a small deviation does, through the whole computation.

Every kind of measured characteristic is moved by one step (0.010 in, 0.5 degrees) to either side, on all pieces at
once, and the rack is proven anew: a finite difference, no derivative of a formula. Kinds are ranked by how far the
rack's least margin falls, then by the deepest fall of any margin.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from math import radians
from typing import Any

from rackwright.pieces.as_built import as_built, nearer_end
from rackwright.pieces.build import Pieces, build
from rackwright.pieces.model import IN, Piece
from rackwright.rack.model import Rack
from rackwright.strength.analyse import Strength, analyse
from rackwright.strength.in_turn import Each, in_turn
from rackwright.strength.margin import Margin
from rackwright.units import NM_PER_M

__all__ = ["STEP", "STEP_ANGLE", "Sensitivity", "sensitivities"]

STEP = IN // 100  # nm: 0.010 in
STEP_ANGLE = radians(0.5)
Proven = Callable[[int], tuple[Margin, ...] | None]  # -1 or +1 step -> margins; None where it cannot be built


@dataclass(frozen=True)
class Sensitivity:
    """One kind of measurement, and what one step of it takes off margins; which way is "more", "less" or "neither".

    `least` is what the rack's least margin loses; `margin` the check that loses the largest share of the load it can
    bear, and `loss` what its margin loses.
    """

    what: str
    unit: str  # "0.010 in" or "0.5 deg"
    least: float
    adverse: str
    margin: str
    loss: float
    margin_adverse: str


def sensitivities(rack: Rack, pieces: Pieces, own: Strength, each: Each = in_turn) -> tuple[Sensitivity, ...]:
    """Every kind that is measured on this rack and enters its strength `own`, the most important first."""
    before = {one.id: one.margin for one in own.margins if one.margin is not None and one.level != "assembly"}
    if not before:
        return ()
    kinds = list(_kinds(rack, pieces, own))
    found = each(lambda n: _ranked(*kinds[n], before), len(kinds))
    return tuple(sorted(found, key=lambda one: (-one.least, -one.loss)))


def _ranked(what: str, unit: str, proven: Proven, before: Mapping[str, float]) -> Sensitivity:
    least, falls = (0.0, "neither"), [(0.0, "", "neither")]
    for way, word in ((1, "more"), (-1, "less")):
        margins = proven(way)
        if margins is None:
            continue
        after = {one.id: one.margin for one in margins if one.margin is not None and one.id in before}
        least = max(least, (min(before[id] for id in after) - min(after.values()), word))
        falls += [((before[id] - after[id]) / (1 + before[id]), id, word) for id in after]
    share, margin, worse = max(falls)
    if share <= 1e-9:
        return _none(what, unit)
    return Sensitivity(what, unit, *least, margin, share * (1 + before[margin]), worse)


def _none(what: str, unit: str) -> Sensitivity:
    return Sensitivity(what, unit, 0.0, "neither", "", 0.0, "neither")


# --- kinds of measurement -------------------------------------------------------------------------------


def _kinds(rack: Rack, pieces: Pieces, own: Strength) -> Iterator[tuple[str, str, Proven]]:
    d = rack.definition

    def redrawn(part: str, field: str, by: Callable[[int], Any], whole: bool) -> Proven:
        """With one value of the definition changed; `whole` builds the pieces anew."""

        def proven(way: int) -> tuple[Margin, ...] | None:
            table = replace(getattr(d, part), **{field: by(way)})
            changed = replace(rack, definition=replace(d, **{part: table}))
            made = build(changed) if whole else pieces
            return None if made.faults else analyse(changed, made, own.run).margins

        return proven

    def measured(values: Callable[[Piece, int], Iterator[tuple[str, int]]]) -> Proven:
        """With measured values (nm) in place of nominal ones."""

        def proven(way: int) -> tuple[Margin, ...] | None:
            readings = {id: Fraction(nm, NM_PER_M) for piece in pieces.sawn for id, nm in values(piece, way)}
            return analyse(rack, as_built(pieces, readings), own.run).margins

        return proven

    def lengths(piece: Piece, way: int) -> Iterator[tuple[str, int]]:
        yield f"{piece.id}/length", (piece.length or 0) + way * STEP

    def holes(piece: Piece, way: int) -> Iterator[tuple[str, int]]:
        for bolt, (along, sign) in nearer_end(piece).items():
            yield f"{piece.id}/hole {bolt}", along - sign * way * STEP

    yield "length of tubes and angles", _INCH, measured(lengths)
    yield "holes along tubes, from the nearer end", _INCH, measured(holes)
    gap = d.block.spigot_gap
    if gap > STEP:
        yield "spigots across", _INCH, redrawn("block", "spigot_gap", lambda way: gap - way * STEP, False)
    else:
        yield (
            "spigots across, smaller only",
            _INCH,
            redrawn("block", "spigot_gap", lambda way: gap + (STEP if way < 0 else 0), False),
        )
    if d.ring_make is not None and d.ring:
        make = d.ring_make
        yield (
            "ring leg reach",
            _INCH,
            redrawn("ring_make", "leg_reach", partial(_moved, make.leg_reach), False),
        )
        yield (
            "ring bend angle",
            "0.5 deg",
            redrawn("ring_make", "bend", lambda w: make.bend + w * STEP_ANGLE, False),
        )
        yield (
            "ring thickness",
            _INCH,
            redrawn("ring_make", "thickness", partial(_moved, make.thickness), False),
        )
    for name in ("height", "width", "depth"):
        yield (
            f"outside {name}",
            _INCH,
            redrawn("outside", name, partial(_moved, getattr(d.outside, name)), True),
        )


def _moved(size: int, way: int) -> int:
    return size + way * STEP


_INCH = "0.010 in"

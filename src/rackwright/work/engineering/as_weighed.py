"""What the scales found of one rack, beside what was computed; and with which weight it is proven.

Mass and centre of gravity are those of the readings, each with the adverse end of the scales' uncertainty: all four
pads read too little at once, the centre lies that much farther from the computed one. Where they differ by no more
than their band, the computed masses stand; so does a mass that is less by no more than its own. Where they differ by
more, the rack is proven with what was weighed (`pieces/as_weighed.py`), by the same checks, statics and vibration
alike. Utilisation is convex in the place of the centre while no strap or pad changes state: what lies between proven
places is no worse than the worst of them. So the far corner of what the scales leave open stands in the proof, and the
gate asks the other three corners as well, and the lighter end, whose natural frequencies are higher.

Of a rack that was worked on and is not weighed since, the scales of before stand in the proof, and it is said so: what
the work changed of its weight is not known; a piece put in by the drawing has the mass of the one taken out.

A reading that nothing can be computed of is NOT ASSESSED, and keeps the rack from release.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rackwright.pieces.as_weighed import Weight, can_be_so
from rackwright.pieces.weight import pad_places
from rackwright.record import State
from rackwright.units import QuantityError, parse_quantity
from rackwright.work.keeping.judges.verdicts import AGREEMENT

if TYPE_CHECKING:
    from rackwright.design import Design

__all__ = ["CENTRE", "OnScales", "on_scales"]

POUND, INCH = 0.45359237, 0.0254
CENTRE = 0.01  # of the distance between the pads: common practice, no source


@dataclass(frozen=True)
class OnScales:
    """Mass, x and y as computed and as weighed (kg, m), what the scales leave open, and how far each may differ."""

    computed: tuple[float, float, float]
    found: tuple[float, float, float]
    spread: tuple[float, float, float]
    band: tuple[float, float, float]
    stated: bool  # does the gauge state an uncertainty of mass?
    why_not: str  # why no margins can be computed with it, "" where they can
    gauge: str
    seq: int
    before: bool = False  # work was done on the rack since: it is to be weighed again

    @property
    def adverse(self) -> Weight:
        """The end that the rack is proven with, where it is beyond its band."""
        mass, *centre = self.found
        x, y = (
            at + (spread if at >= drawn else -spread)
            for at, spread, drawn in zip(centre, self.spread[1:], self.computed[1:], strict=True)
        )
        most = mass + self.spread[0]
        return Weight(most if self._apart[0] else max(most, self.computed[0]), x, y)

    @property
    def others(self) -> tuple[Weight, ...]:
        """The other ends of what the scales leave open: three corners of the centre, and the least mass; none where
        the computed masses stand."""
        if self.taken is None:
            return ()
        mass, x, y = self.found
        most, (dm, dx, dy) = self.taken.mass, self.spread
        every = [
            *(Weight(most, x + a * dx, y + b * dy) for a in (-1, 1) for b in (-1, 1)),
            Weight(mass - dm, x, y),
        ]
        return tuple(one for one in dict.fromkeys(every) if one != self.taken)

    @property
    def beyond(self) -> bool:
        """Does any of them differ by more than its band?"""
        return any(self._apart)

    @property
    def words(self) -> str:
        """What the rack is proven with, in a line."""
        if self.before:
            return f"not weighed since it was worked on; by event {self.seq}, before: {self._now}"
        return self._now

    @property
    def _now(self) -> str:
        if self.why_not:
            return f"NOT ASSESSED: {self.why_not}"
        if not self.beyond:
            return "within its band: the computed masses stand"
        one = self.adverse
        at = ", ".join(f"{name} {value / INCH:.2f} in" for name, value in (("x", one.x), ("y", one.y)))
        return f"beyond its band: margins are computed with {one.mass / POUND:.2f} lb at {at}"

    @property
    def _apart(self) -> tuple[bool, ...]:
        each = zip(self.found, self.spread, self.computed, self.band, strict=True)
        return tuple(abs(found - drawn) + spread > band for found, spread, drawn, band in each)

    @property
    def taken(self) -> Weight | None:
        """What stands in the proof in place of the computed masses."""
        return self.adverse if self.beyond and not self.why_not else None


def on_scales(state: State, design: Design, serial: str) -> OnScales | None:
    """The last weighing of a serial; None where it is not weighed. `design` as frozen or as measured."""
    rack = state.serials.get(serial)
    if rack is None or not rack.weighing:
        return None
    drawn = design.drawn
    bare, pads = drawn.bare, pad_places(drawn.rack)
    computed = (bare.mass, float(bare.cg[0]), float(bare.cg[1]))
    apart = [max(at[i] for at in pads.values()) - min(at[i] for at in pads.values()) for i in (0, 1)]
    band = (float(AGREEMENT) * bare.mass, CENTRE * apart[0], CENTRE * apart[1])
    gauge = state.gauges.get(rack.weighing["gauge"])
    each = _kg(gauge.uncertainty) if gauge else None
    readings = {str(pad): _kg(str(text)) for pad, text in rack.weighing["readings"].items()}
    known = {pad: kg for pad, kg in readings.items() if kg is not None and pad in pads}
    mass = sum(known.values())
    seq, name, before = rack.weighing["seq"], rack.weighing["gauge"], rack.weighed is None
    if known.keys() != pads.keys() or mass <= 0:
        why = "its readings are not of the four pads of this rack"
        return OnScales(computed, computed, (0.0, 0.0, 0.0), band, each is not None, why, name, seq, before)
    x, y = (sum(kg * pads[pad][i] for pad, kg in known.items()) / mass for i in (0, 1))
    error = each or 0.0
    spread = (len(pads) * error, *(error * sum(abs(at[i] - c) for at in pads.values()) / mass
                                   for i, c in ((0, x), (1, y))))  # fmt: skip
    found = OnScales(
        computed,
        (mass, x, y),
        (spread[0], spread[1], spread[2]),
        band,
        each is not None,
        "",
        name,
        seq,
        before,
    )
    if found.beyond and not can_be_so(drawn.pieces, found.adverse):
        return replace(found, why_not="no masses of its pieces give such a weight with such a centre")
    return found


def _kg(text: str) -> float | None:
    try:
        return float(parse_quantity(text, "mass"))
    except QuantityError:
        return None

"""As designed and as built are the same definition with measured values put in place of nominal ones.

built = as_measured(state, design, serial)      # a Design, proven by the same code
changed = reproof(design, built)                # margins that differ, before and after
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.design import Design
from rackwright.pieces.characteristics import Characteristic, characteristics
from rackwright.record import State
from rackwright.units import parse_quantity
from rackwright.work.sawing import piece_id

__all__ = ["as_measured", "reproof"]


def as_measured(state: State, design: Design, serial: str) -> Design:
    """The design with every length and hole position that was measured on this serial, the last reading of each."""
    wanted = {piece_id(serial, one.piece) + "/" + one.name: one for one in _geometric(design)}
    measured = {}
    for each in state.measurements:
        one, made = wanted.get(f"{each.piece}/{each.characteristic}"), state.pieces.get(each.piece)
        if one is not None and (
            made is None or each.seq > made.seq
        ):  # not of one that was scrapped before it
            measured[one.id] = parse_quantity(each.value, one.dimension)
    return replace(design, measured=measured)


def _geometric(design: Design) -> list[Characteristic]:
    """Characteristics that the strength of a rack depends on."""
    every = characteristics(design.rack, design.pieces, cut_tolerance=1)
    return [one for one in every if one.name == "length" or one.name.startswith("hole ")]


def reproof(design: Design, built: Design) -> dict[str, str]:
    """Margins that measured values change, as texts "before -> after", least first; and the least of all."""
    before = {margin.id: margin.margin for margin in design.strength.margins}
    rows = []
    for margin in built.strength.margins:
        was = before.get(margin.id)
        if margin.margin is None or was is None:
            if margin.margin != was:
                rows.append(
                    (-1.0, margin.id, f"{_text(was)} -> {margin.why_missing or _text(margin.margin)}")
                )
        elif abs(margin.margin - was) > 1e-6:
            rows.append((margin.margin, margin.id, f"{_text(was)} -> {_text(margin.margin)}"))
    least = min((m.margin for m in built.strength.margins if m.margin is not None), default=None)
    changed = {id: text for _, id, text in sorted(rows)}
    return {**changed, "least of all": _text(least)}


def _text(margin: float | None) -> str:
    return "missing" if margin is None else f"{margin:+.4f}"

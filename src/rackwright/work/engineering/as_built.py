"""As designed and as built are the same definition with measured values put in place of nominal ones, of pieces made
of other metal with the design values of that (`metal_as_made.py`), all with what their time in the oven left
(`oven_time.py`), and where it weighs otherwise than computed with what the scales found (`as_weighed.py`).

built = as_measured(state, design, serial, get) # a Design, proven by the same code
changed = reproof(design, built)                # margins that differ, before and after
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from rackwright.design import Design
from rackwright.making.inspected import characteristics_of
from rackwright.pieces.as_built import adverse, nearer_end
from rackwright.pieces.as_weighed import Weight, can_be_so
from rackwright.pieces.characteristics import Characteristic
from rackwright.pieces.oven_time import KnockDown
from rackwright.record import State
from rackwright.reference.rows import Material
from rackwright.units import QuantityError, parse_quantity
from rackwright.work.engineering.as_weighed import OnScales, on_scales
from rackwright.work.engineering.metal_as_made import in_rows, other_metal
from rackwright.work.engineering.oven_time import Get, oven_time
from rackwright.work.metal.drawn import in_place

__all__ = ["Taken", "as_measured", "at_other_ends", "reproof", "taken"]


@dataclass(frozen=True)
class Taken:
    """A measurement as the proof takes it: reading and gauge's uncertainty (SI; None where the record states none).

    `value` is the adverse end of both, or None where nominal stays; `accepted` names the document that accepts a
    deviation in the piece's favour.
    """

    characteristic: str
    reading: Fraction
    uncertainty: Fraction | None
    value: Fraction | None
    accepted: str


def taken(state: State, design: Design, serial: str) -> tuple[Taken, ...]:
    """Every length and hole position that was measured on this serial, the last reading of each; of a piece that was
    replaced, that of what stands in its place."""
    ids = {piece.id: in_place(state, serial, piece.id) for piece in design.pieces.made}
    wanted = {f"{ids[one.piece]}/{one.name}": one for one in _geometric(design)}
    nominal = {piece.id: piece for piece in design.drawn.pieces.made}
    found: dict[str, Taken] = {}
    for each in state.measurements:
        one, made = wanted.get(f"{each.piece}/{each.characteristic}"), state.pieces.get(each.piece)
        if one is None or (made is not None and each.seq < made.seq):  # of one that was scrapped before it
            continue
        reading, gauge = parse_quantity(each.value, one.dimension), state.gauges.get(each.gauge)
        spread = _uncertainty(gauge.uncertainty if gauge else "", one.dimension)
        by = _accepted(state, each.piece, each.characteristic)
        value = adverse(nominal[one.piece], one.name, reading, spread or Fraction(0), bool(by))
        found[one.id] = Taken(one.id, reading, spread, value, by)
    return tuple(found.values())


def as_measured(state: State, design: Design, serial: str, get: Get | None) -> Design:
    """The design with measurements in place of nominal values, each at its adverse end (see `taken`), with the design
    values of the metal that its pieces are made of, with what the oven left of them, and with what it weighs.

    `get` gives a file of the record by its hash; None leaves the oven out, as releases did before it was counted.
    Raises Stopped where a thermocouple file cannot be read any more.
    """
    values = {one.characteristic: one.value for one in taken(state, design, serial) if one.value is not None}
    rows = in_rows(design, other_metal(state, design, serial))
    weighed = on_scales(state, design, serial)
    weight = weighed.taken if weighed else None
    hot = oven_time(state, design, serial, get) if get else ()
    heated = tuple(down for one in hot for down in one.down)
    if not (values or rows or weight or heated or design.measured):
        return design
    return _built(design, tuple(sorted(values.items())), tuple(sorted(rows.items())), weight, heated)


@lru_cache(maxsize=8)  # a rack is proven again at its release, for its conformity and for its dossier
def _built(
    design: Design, measured: tuple[tuple[str, Fraction], ...], metal: tuple[tuple[str, Material], ...],
    weight: Weight | None, heated: tuple[KnockDown, ...],
) -> Design:  # fmt: skip
    known = design.rack.rows
    materials = {**known.by_kind.get("material", {}), **dict(metal)}
    rows = replace(known, by_kind={**known.by_kind, "material": materials}) if metal else known
    return replace(
        design, rack=replace(design.rack, rows=rows), measured=dict(measured), weighed=weight, heated=heated
    )


def at_other_ends(built: Design, weighed: OnScales | None) -> tuple[Design, ...]:
    """`built` at the other ends of what the scales leave open; without those that no masses of its pieces give."""
    return _at(built, weighed.others) if weighed else ()


@lru_cache(maxsize=8)
def _at(built: Design, weights: tuple[Weight, ...]) -> tuple[Design, ...]:
    return tuple(replace(built, weighed=one) for one in weights if can_be_so(built.drawn.pieces, one))


def _uncertainty(text: str, dimension: str) -> Fraction | None:
    try:
        return parse_quantity(text, dimension)
    except QuantityError:
        return None  # not stated, or of another dimension


def _accepted(state: State, piece: str, characteristic: str) -> str:
    """The document on which engineering accepted this characteristic of this piece as it is."""
    for one in state.nonconformances.values():
        if (
            one.decision == "use_as_is"
            and one.document
            and one.characteristic == characteristic
            and piece in one.pieces
        ):
            return one.document
    return ""


def _geometric(design: Design) -> list[Characteristic]:
    """Characteristics that the strength of a rack depends on: lengths, and holes along a piece that has one."""
    stations = {f"{piece.id}/hole {bolt}" for piece in design.pieces.made for bolt in nearer_end(piece)}
    return [one for one in characteristics_of(design, None) if one.name == "length" or one.id in stations]


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

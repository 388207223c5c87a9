"""Pieces made of other metal than drawn, and what their rack is proven with then.

The record says of which stock each piece was made. Where that is of another stock specification than the definition
draws, the design values of that specification stand in the proof as built: in each strength the least of all metals
that fly on the drawn row's pieces (and of all rows of a specification that may be meant), since the checks prove the
pieces of one row together. Another section, no row of the specification, or metals of unlike stiffness in one frame
(elastic constants, density, alloy): nothing here computes that. It is NOT ASSESSED and keeps the rack from release.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from typing import Any

from rackwright.design import Design
from rackwright.metal_forms import of_form, section_of
from rackwright.pieces.model import Piece
from rackwright.record import State
from rackwright.record.metal import Stock, Substitution
from rackwright.reference.rows import Material
from rackwright.work.metal.drawn import in_place

__all__ = ["NOT_ASSESSED", "OtherMetal", "in_rows", "not_assessed", "other_metal"]

NOT_ASSESSED = "NOT ASSESSED"
STRENGTHS = tuple(one.name for one in fields(Material) if one.name.startswith("F"))
STIFFNESS = ("alloy", "E", "Ec", "G", "nu", "density")


@dataclass(frozen=True)
class OtherMetal:
    """One piece that is not of the metal drawn: of which stock, by whose substitution, by which rows it is proven.

    `why_not` says why its margins are not assessed, "" where they are.
    """

    piece: str  # as the definition names it
    drawn: str
    stock: Stock
    by: Substitution | None  # None: the record holds none
    rows: tuple[str, ...]
    why_not: str

    @property
    def made_of(self) -> str:
        return f"{self.stock.section}, {self.stock.stock_spec}"


def other_metal(state: State, design: Design, serial: str) -> tuple[OtherMetal, ...]:
    """Every piece of a serial whose stock is of another section or specification than is drawn."""
    found = []
    for piece in design.pieces.made:
        id = in_place(state, serial, piece.id)
        stock = state.stock.get(state.pieces[id].stock_id) if id in state.pieces else None
        if stock is None or (stock.section, stock.stock_spec) == (piece.section, piece.stock):
            continue
        by = next((one for one in reversed(stock.let) if id in one.pieces), None)
        rows = _rows(design, piece, stock)
        drawn = design.rack.rows.materials.get(piece.material)
        why = (
            f"another section, {stock.section}, than is drawn"
            if stock.section != piece.section
            else f"no row of the reference gives design values of {stock.stock_spec}"
            if drawn is None or not rows
            else ""
        )
        names = tuple(row.id for row in rows)
        found.append(OtherMetal(piece.id, f"{piece.section}, {piece.stock}", stock, by, names, why))
    return _of_one_stiffness(design, tuple(found))


def not_assessed(every: tuple[OtherMetal, ...]) -> tuple[OtherMetal, ...]:
    """Those whose margins nothing here computes."""
    return tuple(one for one in every if one.why_not)


def in_rows(design: Design, every: tuple[OtherMetal, ...]) -> dict[str, Material]:
    """The rows of the definition that other metal changes, by the names that it has for them, as they are to stand."""
    return {
        name: _least(rows) for name, rows in _flying(design, every) if len(rows) > 1 or rows[0].id != name
    }


def _rows(design: Design, piece: Piece, stock: Stock) -> tuple[Material, ...]:
    """The rows that give design values of this stock, at its thickness and in the form that its certificate prints."""
    form = str((stock.certificate or {}).get("values", {}).get("form", ""))
    named = section_of(piece.section)
    return tuple(
        row
        for row in design.rack.rows.materials.values()
        if stock.stock_spec in [name.strip() for name in row.spec.split(",")]
        and (named is None or row.covers(named.thickness * 1e-9))
        and (not form or of_form(form, row.form))
    )


def _flying(design: Design, every: tuple[OtherMetal, ...]) -> Iterator[tuple[str, tuple[Material, ...]]]:
    """By name of a row of the definition: the rows of all metals that its pieces are of."""
    known, other = design.rack.rows.materials, {one.piece: one for one in every if not one.why_not}
    for name in dict.fromkeys(piece.material for piece in design.pieces.made if piece.id in other):
        drawn = [piece.id for piece in design.pieces.made if piece.material == name]
        rows = {id for piece in drawn for id in (other[piece].rows if piece in other else (name,))}
        yield name, tuple(known[id] for id in sorted(rows))


def _of_one_stiffness(design: Design, every: tuple[OtherMetal, ...]) -> tuple[OtherMetal, ...]:
    """The same, with those not assessed whose metal shares a row with one of another stiffness."""
    unlike = {
        name
        for name, rows in _flying(design, every)
        if any(getattr(row, key) != getattr(rows[0], key) for row in rows for key in STIFFNESS)
    }
    named = {piece.id: piece.material for piece in design.pieces.made}
    why = "metals of unlike stiffness share the load, which is not computed"
    return tuple(
        replace(one, why_not=why) if named[one.piece] in unlike and not one.why_not else one for one in every
    )


def _least(rows: tuple[Material, ...]) -> Material:
    """One row with the least of each strength; none where one of them gives none. Its doubts are those of any."""
    base = next((row for row in rows if row.unconfirmed), rows[0])
    values: dict[str, Any] = {}
    for name in STRENGTHS:
        given = [getattr(row, name) for row in rows]
        values[name] = None if None in given else min(given)
    return replace(base, **values)

"""One rack, everything computed: the first file to read.

    design = Design(rack)
    design.pieces, design.bare, design.loaded, design.strength, design.questions

Definition to pieces to strength are pure functions; a Design holds them as cached properties, so that nothing
is computed twice and nothing that was not asked for. An edit makes a new Design. What a person sees of it is
`prove_json`, whose key paths are stable, with units in the keys.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import Any

import numpy as np

from rackwright.pieces.as_built import as_built
from rackwright.pieces.build import Pieces, build
from rackwright.pieces.model import Bolt, Piece
from rackwright.pieces.weight import Mass, bare, loaded
from rackwright.rack import Question, Rack, open_questions
from rackwright.rack.orient import SIGNS, station_of
from rackwright.strength.analyse import Strength, analyse
from rackwright.strength.margin import Margin
from rackwright.trouble import DEFERENCE, PRELIMINARY, UNCONFIRMED, Fault, Refusal

__all__ = ["Design", "changes_json", "prove_json"]


@dataclass(frozen=True, eq=False)
class Design:
    """One rack with everything that follows from its definition."""

    rack: Rack
    measured: Mapping[str, Fraction] = field(default_factory=dict)  # SI, by characteristic id: as built

    @cached_property
    def pieces(self) -> Pieces:
        return as_built(build(self.rack), self.measured)

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What keeps it from being built; with any of these nothing else is computed."""
        return self.pieces.faults

    @cached_property
    def questions(self) -> tuple[Question, ...]:
        return open_questions(self.rack)

    @cached_property
    def bare(self) -> Mass:
        return bare(self.pieces)

    @cached_property
    def loaded(self) -> Mass:
        return loaded(self.rack, self.pieces)

    @cached_property
    def strength(self) -> Strength:
        return analyse(self.rack, self.pieces)

    @property
    def marks(self) -> tuple[str, ...]:
        """PRELIMINARY while questions are open, UNCONFIRMED while a margin rests on such a row."""
        doubtful = any(UNCONFIRMED in margin.marks for margin in self.strength.margins)
        return (PRELIMINARY,) * bool(self.questions) + (UNCONFIRMED,) * doubtful

    def refusals(self) -> tuple[Refusal, ...]:
        """Why the answer is no: cases without equilibrium, negative and missing margins."""
        where, no = self.rack.where, []
        for case, why in self.strength.loose:
            no.append(Refusal("RW302", where("strap"), f"{case}: {why}", "add or tighten straps, or hold it"))
        for margin in self.strength.margins:
            if margin.margin is None:
                no.append(Refusal("RW304", where(_path(margin)), f"{margin.id}: {margin.why_missing}",
                                  "give the value with its document"))  # fmt: skip
            elif margin.margin < 0:
                at = f"in {margin.case}, {margin.mode} {margin.place}".rstrip()
                found = f"{margin.id}: margin {margin.margin:+.3f} {at}"
                no.append(Refusal("RW303", where(_path(margin)), found, "strengthen it or lower its load"))
        if not self.strength.margins:
            no.append(Refusal("RW304", where("basis"), "no margins: basis or orientation is missing",
                              "enter [basis] and [aircraft] with their documents"))  # fmt: skip
        return tuple(no)


def _path(margin: Margin) -> str:
    """The definition's table that a margin hangs on."""
    kind, _, rest = margin.piece.partition(".")
    head = rest.split(".")[0]
    return {
        "angle": f"shelf.{head}.height", "panel": f"shelf.{head}.height", "shelf": f"shelf.{head}.height",
        "equipment": f"equipment.{rest}.mass", "ring": f"ring.{rest}", "strap": f"strap.{rest}",
        "fitting": f"floor_fitting.{rest}", "pad": "pad", "joint": "joint",
    }.get(kind, "tube")  # fmt: skip


# --- what a person sees --------------------------------------------------------------------------


def prove_json(design: Design) -> dict[str, Any]:
    """The whole answer of `prove` with stable keys."""
    rack, strength = design.rack, design.strength
    d = rack.definition
    return {
        "format": "rackwright/prove/1",
        "caution": DEFERENCE,
        "identity": {"part": d.part, "revision": d.revision, "drawing": d.drawing, "standard": rack.standard},
        "marks": list(design.marks),
        "orientation": _orientation(design),
        "changes": {change.path: {"before": change.before, "after": change.after, "why": change.why}
                    for change in rack.changes},
        "questions": {q.id: {"text": q.text, "blocks": list(q.blocks)} for q in design.questions},
        "mass": {"bare": _mass(design.bare), "loaded": _mass(design.loaded)},
        "pieces": {piece.id: _piece(design, piece) for piece in design.pieces.made},
        "bolts": {bolt.id: _bolt(bolt) for bolt in design.pieces.bolts},
        "cases": {case.id: {"kind": case.kind, "aircraft_g": case.aircraft.tolist(), "rack_g": case.rack.tolist(),
                            "source": case.source} for case in strength.cases},
        "idle": {case: {p: list(names) for c, p, names in strength.slack if c == case}
                 for case in dict.fromkeys(c for c, _, _ in strength.slack) if case not in dict(strength.loose)},
        "no_equilibrium": dict(strength.loose),
        "deflection_m": {case: value if np.isfinite(value) else None for case, value in strength.deflection},
        "reactions_aircraft_N": _reactions(strength),
        "modes_hz": list(strength.modes_hz),
        "margins": {margin.id: _margin(margin) for margin in strength.margins},
        "governing": [margin.id for margin in strength.governing],
        "holds": strength.holds,
    }  # fmt: skip


def changes_json(design: Design, standard: Design) -> dict[str, Any]:
    """What became of mass and margins against the standard: governing margins of both, by kind of check."""
    now, then = ({m.mode: m for m in one.strength.governing} for one in (design, standard))
    rows = {}
    for mode in sorted(now.keys() | then.keys()):
        a, b = then.get(mode), now.get(mode)
        rows[mode] = {"before": a.margin if a else None, "before_at": a.id if a else None,
                      "after": b.margin if b else None, "after_at": b.id if b else None}  # fmt: skip
    return {
        "against": standard.rack.standard,
        "mass_bare_kg": {"before": standard.bare.mass, "after": design.bare.mass},
        "mass_loaded_kg": {"before": standard.loaded.mass, "after": design.loaded.mass},
        "modes_hz": {"before": list(standard.strength.modes_hz), "after": list(design.strength.modes_hz)},
        "margins": rows,
    }


def _orientation(design: Design) -> dict[str, Any]:
    aircraft = design.rack.definition.aircraft
    if aircraft is None:
        return {"signs": SIGNS, "forward": None}
    at = station_of(aircraft, design.loaded.cg)
    return {
        "signs": SIGNS,
        "aircraft": aircraft.type,
        "forward": aircraft.forward,
        "document": aircraft.document,
        "loaded_cg_station_buttock_waterline_m": None if at is None else at.tolist(),
    }


def _mass(mass: Mass) -> dict[str, Any]:
    return {
        "mass_kg": mass.mass,
        "tolerance_kg": mass.tolerance,
        "cg_rack_m": mass.cg.tolist(),
        "inertia_about_cg_kg_m2": mass.inertia.tolist(),
    }


def _piece(design: Design, piece: Piece) -> dict[str, Any]:
    holes: dict[str, list[dict[str, Any]]] = {}
    for hole in piece.holes:
        holes.setdefault(hole.face, []).append({"at_nm": list(hole.centre), "diameter_nm": hole.diameter})
    return {
        "part": piece.part,
        "kind": piece.kind,
        "quantity_of_part": design.pieces.quantity(piece.part),
        "section": piece.section,
        "stock": piece.stock,
        "cut_length_nm": piece.length,
        "mass_kg": piece.mass,
        "cg_rack_m": list(piece.cg),
        "box_nm": [list(piece.lo), list(piece.hi)],
        "holes": holes,
    }


def _bolt(bolt: Bolt) -> dict[str, Any]:
    return {
        "joins": list(bolt.joins),
        "bolt": f"{bolt.row}-{bolt.dash}",
        "nut": bolt.nut,
        "washers": f"{bolt.washers} {bolt.washer}",
        "grip_nm": bolt.grip,
        "spacer_nm": bolt.spacer or None,
        "hole_nm": bolt.hole,
        "axis": bolt.axis,
        "at_nm": list(bolt.point),
        "mass_kg": bolt.mass,
    }


def _reactions(strength: Strength) -> dict[str, Any]:
    rows: dict[str, Any] = {}
    for one in strength.reactions:
        found = one.force.tolist() if bool(np.isfinite(one.force).all()) else None  # no equilibrium
        rows.setdefault(one.place, {}).setdefault(one.case, {})[one.pretension] = found
    return rows


def _margin(margin: Margin) -> dict[str, Any]:
    return {
        "margin": margin.margin,
        "mode": margin.mode,
        "level": margin.level,
        "case": margin.case,
        "pretension": margin.pretension,
        "place": margin.place,
        "applied": margin.applied,
        "allowable": margin.allowable,
        "unit": margin.unit,
        "factor": margin.factor,
        "source": margin.source,
        "marks": list(margin.marks),
        "missing": margin.why_missing or None,
    }

"""What the installer and the aircraft's engineer take from here: each place on the floor, where it is, what it bears.

Forces are those of the rack on the aircraft in aircraft axes; places are given in rack axes and, where the rack's
origin is stated, as station, buttock line and waterline. Of every level the largest force is named; every case is in
the reactions. The floor's own substantiation begins here: nothing beyond the stated allowables is judged.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.check_interface import pad_middle
from rackwright.rack.model import Rack
from rackwright.rack.orient import station_of
from rackwright.strength.analyse import Reaction, Strength, floor_forces
from rackwright.strength.checks.chain import Chain

__all__ = ["Place", "chain_json", "interface_json", "places"]

Vector = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Place:
    """One place on the aircraft's floor with its largest reaction at each level; absent where the level has no case."""

    name: str  # fitting.F1, pad.front-left, foot.A
    at: Vector  # (3,) m, rack axes
    station: Vector | None  # station, buttock line, waterline, m
    what: str  # fitting, its part and stud, or what presses there
    document: str
    largest: dict[str, Reaction]


def places(rack: Rack, strength: Strength) -> tuple[Place, ...]:
    """Every place with its largest forces, of all variants: pretensions, joints, corners of the centres of gravity."""
    d, run, found = rack.definition, strength.run, []
    for name, force in (floor_forces(run) if run else {}).items():
        assert run is not None
        largest = {}
        for level in ("ultimate", "limit"):
            size = np.linalg.norm(force[:, run.chosen(level)], axis=-1)
            if size.size and np.isfinite(size).any():
                v, c = divmod(int(np.nanargmax(size)), size.shape[1])
                case = run.chosen(level)[c]
                largest[level] = Reaction(name, run.cases[case].id, run.model.variants[v], force[v, case])
        at, what, document = _described(rack, name)
        where = None if d.aircraft is None else station_of(d.aircraft, at)
        found.append(Place(name, at, where, what, document, largest))
    return tuple(found)


def _described(rack: Rack, name: str) -> tuple[Vector, str, str]:
    d, (kind, _, rest) = rack.definition, name.partition(".")
    foot = next((one for one in d.foot if kind == "foot" and one.name == rest), None)
    corner = foot.corner if foot else rest
    if kind != "fitting":
        x, y = pad_middle(rack, corner)
        at = np.array([x, y, -d.pad.thickness]) * 1e-9
        if foot is None:
            return at, "pad, pushes only", d.pad.document or ""
    fitting = next(one for one in d.floor_fitting if one.name == (foot.fitting if foot else rest))
    words = [
        word
        for word in (fitting.part, f"{fitting.stud} stud" if fitting.stud else None, fitting.place)
        if word
    ]
    what = ", ".join(words) or "not stated"
    if foot is None:
        return np.array(fitting.at) * 1e-9, what, fitting.document or ""
    return at, f"foot bolted to {fitting.name}: {what}", foot.document


def interface_json(rack: Rack, strength: Strength) -> dict[str, Any]:
    """The places as JSON, SI units in the keys."""
    return {
        one.name: {
            "what": one.what,
            "document": one.document or None,
            "at_rack_m": one.at.tolist(),
            "station_buttock_waterline_m": None if one.station is None else one.station.tolist(),
            "largest_aircraft_N": {
                level: {"case": r.case, "pretension": r.pretension, "force": r.force.tolist()}
                for level, r in one.largest.items()
            },
        }
        for one in places(rack, strength)
    }


def chain_json(chain: Chain) -> dict[str, Any]:
    """A strap's chain as JSON."""
    return {
        "weakest": chain.weakest or None,
        "margin": chain.margin,
        "by_case": {case: {"link": id, "margin": min(margin, 1e9)} for case, id, margin in chain.by_case},
        "without_margin": list(chain.unrated),
    }

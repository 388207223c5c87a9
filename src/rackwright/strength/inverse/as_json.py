"""The turned question as one JSON document with stable keys, units in the keys."""

from __future__ import annotations

from collections.abc import Sequence
from math import degrees
from typing import Any

from rackwright.strength.damage import DamageLimit, MissingBolt
from rackwright.strength.inverse.payload import Boundary, Payload, Together
from rackwright.strength.inverse.straps import Cone, FittingRange
from rackwright.strength.inverse.stretch import Stretch
from rackwright.strength.inverse.tubes import TubeTried

__all__ = ["boundaries_json", "damage_json", "fittings_json", "payloads_json", "together_json", "tubes_json"]


NOT_ASSESSED = "NOT ASSESSED"


def payloads_json(payloads: Sequence[Payload]) -> dict[str, Any]:
    return {
        one.place: {"items": list(one.items), "now_kg": one.now, "lowest_kg": one.lowest, **_stretch(one.most, "kg")}
        for one in payloads
    }  # fmt: skip


def together_json(together: Together | None) -> dict[str, Any] | None:
    if together is None:
        return None
    return {
        **_stretch(together.most, "kg"),
        "each_kg": dict(together.each),
        "choices": together.choices,
        "governing_aboard": list(together.aboard),
        "governing_centres_at_lowest": together.low,
    }


def boundaries_json(boundaries: Sequence[Boundary]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for one in boundaries:
        found.setdefault(one.item, {})[one.axis] = {
            "now_m": one.now,
            "points": [{"cg_m": at, **_stretch(most, "kg")} for at, most in one.points],
        }
    return found


def fittings_json(ranges: Sequence[FittingRange]) -> dict[str, Any]:
    return {
        one.fitting: {
            "radius_m": one.radius,
            "governing": one.governing,
            "ways": [{"x": x, "y": y, **_stretch(most, "m")} for (x, y), most in one.ways],
            "straps": {cone.strap: _cone(cone) for cone in one.cones},
        }
        for one in ranges
    }


def tubes_json(tried: Sequence[TubeTried]) -> list[dict[str, Any]]:
    return [
        {"side_nm": one.tube.side, "wall_nm": one.tube.wall, "material": one.tube.material, "stock": one.tube.stock,
         "per_metre_kg": one.per_metre, "own": one.own, "margin": one.margin, "governing": one.governing,
         "holds": one.holds, "why": one.why or None}
        for one in tried
    ]  # fmt: skip


def damage_json(limits: Sequence[DamageLimit], bolts: Sequence[MissingBolt]) -> dict[str, Any]:
    """`limit` holds; it is the least or the most that may be found. `no_end` marks a limit where the search stopped."""
    return {
        "limits": {
            one.path: {
                "what": one.what, "nominal_m": one.nominal, "kind": "least" if one.least else "most",
                "limit_m": one.limit.value, "fails_at_m": one.limit.beyond, "governing": one.limit.governing,
                "no_end": one.limit.value is not None and one.limit.beyond is None, "stations": one.limit.stations,
            }
            for one in limits
        },
        "one_bolt_missing": {
            one.joint: {"margin": one.margin, "check": one.check, "holds": one.holds, "why": one.why or None}
            for one in bolts
        },
        "fatigue": NOT_ASSESSED,
        "inspection_intervals": NOT_ASSESSED,
    }  # fmt: skip


def _stretch(one: Stretch, unit: str) -> dict[str, Any]:
    """`largest` holds; `fails_at`, the next value judged, does not. None: nothing holds; no end was found."""
    return {
        f"largest_{unit}": one.value,
        f"fails_at_{unit}": one.beyond,
        "governing": one.governing,
        "stations": one.stations,
    }


def _cone(cone: Cone) -> dict[str, Any]:
    return {
        "above_floor_deg": [degrees(angle) for angle in cone.above_floor],
        "in_plan_deg": [degrees(angle) for angle in cone.in_plan],
        "half_angle_deg": degrees(cone.half_angle),
    }

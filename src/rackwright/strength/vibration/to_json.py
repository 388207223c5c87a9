"""The answer on vibration as one document with stable keys: SI, with the unit in each key."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from rackwright.strength.margin import Margin
from rackwright.strength.vibration.answer import NOT_ASSESSED, Peak, Vibration
from rackwright.strength.vibration.in_vibration import BENDS, SLACK
from rackwright.strength.vibration.states import Apart, State

__all__ = ["vibration_json"]

SHOWN = 12  # modes


def vibration_json(vibration: Vibration) -> dict[str, Any]:
    """States, modes as ranges, harmonics, and peaks under the floor's motion."""
    return {
        "states": {state.names[0]: _state(state) for state in vibration.states},
        "modes": {
            f"mode {k}": {
                "low_hz": one.low_hz,
                "high_hz": one.high_hz,
                "low_in": one.low_state,
                "largest_mass_share": _xyz(one.mass_share),
            }
            for k, one in enumerate(vibration.modes[:SHOWN], 1)
        },
        "harmonics": {one.harmonic: _apart(one) for one in vibration.apart},
        "peaks": {one.id: _peak(one) for one in vibration.peaks},
        "why_no_peaks": vibration.why_no_peaks or None,
        "margins": {f"{one.id}, {one.level}": _margin(one) for one in vibration.margins},
        "why_no_margins": vibration.why_no_margins or None,
        "slack_in_vibration": _of_states(vibration, SLACK),
        "past_a_corner_in_vibration": _of_states(vibration, BENDS),
        "miles": {one.axis: {"hz": one.hz, "rms_g": one.rms_g, "does_not_apply": one.why_not or None}
                  for one in vibration.miles},
        "holds": vibration.holds,
    }  # fmt: skip


def _of_states(vibration: Vibration, how: str) -> dict[str, list[str]]:
    """Straps and pads that are not linear in such a way, by state."""
    found: dict[str, list[str]] = {}
    for state, name, why in vibration.bent:
        if why == how:
            found.setdefault(state, []).append(name)
    return found


def _state(state: State) -> dict[str, Any]:
    modal = state.modal
    return {
        "same_as": list(state.names[1:]),
        "idle": list(state.idle),
        "loose": modal.loose,
        "modes": {
            f"mode {k}": {
                "hz": float(hz),
                "participation_kg0.5": _xyz(taken),
                "effective_mass_kg": _xyz(taken**2),
            }
            for k, (hz, taken) in enumerate(zip(modal.hz[:SHOWN], modal.participation, strict=False), 1)
        },
        "mass_kg": float(modal.mass[0]),
        "modes_kept": len(modal.hz),
        "modes_kept_to_hz": float(modal.hz[-1]) if len(modal.hz) else None,
        "effective_mass_of_all_kept_kg": _xyz(modal.effective_mass.sum(axis=0)),
    }


def _apart(one: Apart) -> dict[str, Any]:
    return {
        "low_hz": one.low_hz,
        "high_hz": one.high_hz,
        "document": one.document,
        "nearest_mode": one.mode,
        "nearest_hz": one.mode_hz,
        "apart_percent": None if one.apart is None else 100 * one.apart,
        "required_percent": None if one.required is None else 100 * one.required,
        "holds": one.holds,
    }


def _peak(one: Peak) -> dict[str, Any]:
    unit = one.quantity.unit
    return {
        "level": "vibration",
        "place": one.quantity.place,
        "state": one.state,
        "unit": unit,
        f"rms_{unit}": dict(one.rms),
        f"tones_{unit}": dict(one.tones),
        f"peak_{unit}": one.peak,
        f"allowable_{unit}": one.allowable,
        "source": one.source or None,
        "margin": one.margin,
        "assessed": f"{NOT_ASSESSED}: {one.why_not}" if one.why_not else "yes",
    }


def _margin(one: Margin) -> dict[str, Any]:
    return {
        "margin": one.margin,
        "mode": one.mode,
        "level": one.level,
        "case": one.case,
        "pretension": one.pretension,
        "place": one.place,
        "applied": one.applied,
        "allowable": one.allowable,
        "unit": one.unit,
        "factor": one.factor,
        "source": one.source,
        "assessed": f"{NOT_ASSESSED}: {one.why_missing}" if one.why_missing else "yes",
    }


def _xyz(values: Iterable[float]) -> dict[str, float]:
    return {axis: float(value) for axis, value in zip("xyz", values, strict=True)}

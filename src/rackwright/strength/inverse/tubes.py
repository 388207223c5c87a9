"""The smallest tube of a list that carries the rack: each is built and proven as the definition's own would be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rackwright.formulas import section
from rackwright.pieces.build import build
from rackwright.rack.build_up import Tube
from rackwright.rack.model import Rack
from rackwright.strength.analyse import analyse
from rackwright.strength.margin import NO_EQUILIBRIUM

__all__ = ["TubeTried", "tubes_tried"]


@dataclass(frozen=True)
class TubeTried:
    """One tube in the rack's place: its mass per metre, and the least margin or why there is none."""

    tube: Tube
    per_metre: float  # kg/m
    own: bool  # the definition's
    margin: float | None
    governing: str
    why: str  # why it cannot be built or has no margin; "" where it has

    @property
    def holds(self) -> bool:
        return self.margin is not None and self.margin >= 0.0


def tubes_tried(rack: Rack, tubes: Sequence[Tube]) -> tuple[TubeTried, ...]:
    """The definition's tube and those of the list, lightest first. A vent is kept as the definition has it;
    margins that its own tube cannot have are left aside."""
    own = rack.definition.tube
    aside = {
        margin.id
        for margin in analyse(rack, build(rack)).margins
        if margin.why_missing not in ("", NO_EQUILIBRIUM)
    }
    every = list(dict.fromkeys([own, *(replace(tube, vent=own.vent) for tube in tubes)]))
    return tuple(
        sorted((_tried(rack, tube, tube == own, aside) for tube in every), key=lambda one: one.per_metre)
    )


def _tried(rack: Rack, tube: Tube, own: bool, aside: set[str]) -> TubeTried:
    row = rack.rows.materials[tube.material]
    b, t, r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
    per_metre = float(section.tube_area(b, b, t, r)) * (row.density or 0.0)
    changed = replace(rack, definition=replace(rack.definition, tube=tube))
    pieces = build(changed)
    if pieces.faults:
        return TubeTried(tube, per_metre, own, None, "", f"cannot be built: {pieces.faults[0].found}")
    margins = [margin for margin in analyse(changed, pieces).margins if margin.id not in aside]
    known = [margin for margin in margins if margin.margin is not None]
    gone = [margin for margin in margins if margin.margin is None]
    if gone or not known:
        why = f"{gone[0].id}: {gone[0].why_missing}" if gone else "no margins"
        return TubeTried(tube, per_metre, own, None, "", why)
    least = min(known, key=lambda margin: margin.margin or 0.0)
    return TubeTried(tube, per_metre, own, least.margin, least.id, "")

"""Tightening of the joint bolts: the wall under the washer, the wall bent on to the spigot, and the bolt itself.

The greatest preload is the greatest torque, without the nut's drag, over the least nut factor: both are of a
document, for friction is no property of a bolt. The washer presses on the wall, held to its compressive yield. Before
the wall rests on the spigot it bends in by half the gap, as a strip held at the corners, held to yield: both walls
are drawn in by the one bolt. The preload is not added to ultimate loads: a ductile joint opens and slips first, and
then bears. Washers stand on the flat of the tube, or the rack is refused.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rackwright.formulas import clamp, tightening
from rackwright.strength.margin import Context, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["TIGHTENING", "at_assembly", "clamped"]

TIGHTENING = "tightening"  # stands for the case


def clamped(run: Run) -> Iterator[Margin]:
    """Margins of tightening; they hold for every joint bolt of the rack."""
    d = run.rack.definition
    given, bolt, row = (
        d.joint.tightening,
        run.rack.rows.bolts[d.joint.hardware.bolt],
        run.rack.rows.materials[d.tube.material],
    )
    if given is None:
        about = Subject("joint/preload", "bolt at its preload", "", level="assembly")
        yield missing(about, "joint.tightening is not stated: no torque and nut factor with their document")
        return
    torque = {"T": given.torque, "K": given.nut_factor, "D": bolt.diameter}
    F = float(tightening.preload(**torque))
    tight: Step = ("preload", torque)
    known = bolt.known_of("tension")
    of = f"preload by {given.document}"
    about = Subject("joint/preload", "bolt at its preload", f"{bolt.id}, tension: {known}; {of}", known.unconfirmed,
                    level="assembly")  # fmt: skip
    if bolt.tension is None:
        yield missing(about, f"{bolt.id} has no sourced tension strength")
    else:
        yield at_assembly(run, about, F, bolt.tension, (tight,))
    wall, source = d.tube.wall * 1e-9, f"{row.id}: {row.known}; {of}"
    washer, hole = run.rack.rows.washers[d.joint.hardware.washer], d.joint.hardware.hole * 1e-9
    about = Subject("joint/wall under the washer", "wall crushed under the washer", source, row.unconfirmed, "Pa",
                    "assembly")  # fmt: skip
    pressed = {"F": F, "Dw": washer.outside_diameter, "Dh": max(hole, washer.inside_diameter)}
    Fcy, Fty, E = row.strength("Fcy", "L"), row.strength("Fty", "L"), row.E
    if Fcy is None or not row.covers(wall):
        yield missing(about, f"{row.id} gives no compressive yield strength for this wall")
    else:
        yield at_assembly(
            run, about, float(clamp.washer_pressure(**pressed)), Fcy, (tight, ("washer_pressure", pressed))
        )
    about = Subject("joint/wall on to the spigot", "wall bent on to the spigot", source, row.unconfirmed, "Pa",
                    "assembly")  # fmt: skip
    if Fty is None or E is None:
        yield missing(about, f"{row.id} gives no yield strength or modulus")
        return
    # the nominal wall: a thinner one bends less by the same gap
    shut = {"E": E, "t": wall, "g": d.block.spigot_gap * 0.5e-9, "b": d.tube.side * 1e-9 - 2 * wall}
    yield at_assembly(run, about, float(clamp.closing_stress(**shut)), Fty, (("closing_stress", shut),))


def at_assembly(
    run: Run, about: Subject, applied: float, allowable: float, steps: tuple[Step, ...]
) -> Margin:
    """A margin of what tightening alone does, whatever the case."""
    alone = Context((TIGHTENING,), ("",) * len(run.context("ultimate").pretensions), (False,))
    return ratio(
        alone, about, np.full((len(run.response.loose), 1), applied), allowable, 1.0, lambda at: steps
    )

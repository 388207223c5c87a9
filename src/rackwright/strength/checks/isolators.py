"""What each isolator holds under the load cases, against what it holds captive by its maker's document.

An item on isolators travels under each case past its seat (`strength.isolators`): it shifts, rocks about their
plane, and its weight, so moved, acts on them, on the frame and on its screws. Where an isolator uses up its sway space
the item is on its captive stop, as is meant in a crash case: how far it travels is told and no margin. Spring or stop,
the isolator is a link: what it holds captive stands against the force through it, with the fitting factor; so a
document that does not state it, or the sway space without which no stop is known, leaves no margin. The blow with which
an item gets to its stop is no part of a static case and NOT ASSESSED. The stiffness is the document's dynamic one.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rackwright.rack.model import Equipment
from rackwright.strength.isolators import Floated
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["isolators"]

NO_REST = "an item finds no rest on its isolators, or a case has no equilibrium"


def isolators(run: Run) -> Iterator[Margin]:
    """Captive strength of the isolators of every item that stands on any."""
    for item in run.rack.definition.equipment:
        floated = run.on_isolators.get(item.name)
        if floated is not None:
            yield _strength(run, item, floated)


def _strength(run: Run, item: Equipment, floated: Floated) -> Margin:
    made, context = item.isolators, run.context("ultimate")
    assert made is not None
    held = run.demand("ultimate", lambda one: one.on_isolators[item.name].force[:, one.chosen("ultimate")])
    force = np.linalg.norm(held, axis=-1)
    places = tuple(f"isolator {n + 1}" for n in range(force.shape[-1]))
    about = Subject(
        f"equipment.{item.name}/isolators",
        "isolator, captive",
        made.document or "",
        places=places,
        asks=force,
    )
    if made.allowable_ultimate is None or made.sway is None or made.document is None:
        needs = {"ultimate rating held captive": made.allowable_ultimate, "sway space": made.sway}
        gone = " and no ".join(name for name, value in needs.items() if value is None)
        stops = bool(floated.on_stop[:, run.chosen("ultimate")].any())
        why = f"the isolators of {item.name} have no {gone or 'rating'} with a document" + (
            ", and come to their stops" if stops else ""
        )
        return missing(about, why, None, context, run.fitting_factor)

    def steps(at: Index) -> tuple[Step, ...]:
        x, y, z = map(float, held[at])
        return (("point_resultant", {"Fx": x, "Fy": y, "Fz": z}),)

    return ratio(context, about, force, made.allowable_ultimate, run.fitting_factor, steps, why=NO_REST)

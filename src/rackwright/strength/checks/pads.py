"""The metal of a counterbored pad: its ring that stands on the floor, its web between washer and block.

The ring carries what the pad pushes on the floor, evenly, held to compressive yield. The web is pressed under the
washer by the bolt: with no document for the friction of its thread, by all that the bolt or what holds it can pull
before it fails, held to compressive yield as well. Nothing but the pad's own inertia pulls at the web, where the
floor lets go of it; the washer would then shear through. Every size at its tolerance's worse end. Without a
counterbore nothing is judged: the definition's question asks for it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rackwright.formulas import clamp
from rackwright.rack.model import CORNERS
from rackwright.strength.checks.clamp import at_assembly
from rackwright.strength.checks.floor import floor_push
from rackwright.strength.margin import Index, Margin, Step, Subject, missing, ratio
from rackwright.strength.run import Run

__all__ = ["pads"]


def pads(run: Run) -> Iterator[Margin]:
    """Margins of ring and web; they hold for all four pads, which are alike."""
    d = run.rack.definition
    if d.pad.counterbore is None:
        return
    row = run.rack.rows.materials[d.block.material]
    source, covered = f"{row.id}: {row.known}", row.covers(d.pad.thickness * 1e-9)
    Fcy, Fsu = (row.strength("Fcy", "L"), row.Fsu) if covered else (None, None)
    yield _ring(run, Subject("pads/ring", "pad crushed on the floor", source, row.unconfirmed, "Pa",
                             places=CORNERS), Fcy)  # fmt: skip
    yield _washer(run, Subject("pads/under the washer", "pad crushed under the washer", source, row.unconfirmed, "Pa",
                               "assembly"), Fcy)  # fmt: skip
    yield _web(run, Subject("pads/web", "pad pulled off over its washer", source, row.unconfirmed), Fsu)


def _gone(about: Subject) -> Margin:
    return missing(
        about, f"{about.source.partition(':')[0]} gives no such strength for a pad of this thickness"
    )


def _ring(run: Run, about: Subject, Fcy: float | None) -> Margin:
    push, area = floor_push(run, "ultimate"), run.rack.definition.pad.least_contact

    def pressed(at: Index) -> tuple[Step, ...]:
        return (("floor_pressure", {"F": float(push[at]), "A": area}),)

    return (
        _gone(about) if Fcy is None else ratio(run.context("ultimate"), about, push / area, Fcy, 1.0, pressed)
    )


def _washer(run: Run, about: Subject, Fcy: float | None) -> Margin:
    pad = run.rack.definition.pad
    bolt, washer = run.rack.rows.bolts[pad.hardware.bolt], run.rack.rows.washers[pad.hardware.washer]
    holds = getattr(pad.hardware.anchor, "pull_out", None)
    pulls = [force for force in (bolt.tension, holds) if force is not None]
    if Fcy is None or not pulls:
        return _gone(about) if Fcy is None else missing(about, f"{bolt.id} has no sourced tension strength")
    values = {"F": min(pulls), "Dw": washer.outside_diameter,
              "Dh": max(pad.hardware.hole * 1e-9, washer.inside_diameter)}  # fmt: skip
    return at_assembly(
        run, about, float(clamp.washer_pressure(**values)), Fcy, (("washer_pressure", values),)
    )


def _web(run: Run, about: Subject, Fsu: float | None) -> Margin:
    pad = run.rack.definition.pad
    if Fsu is None:
        return _gone(about)
    mass = max(run.pieces.get(f"pad.{corner}").mass for corner in CORNERS)
    down = run.response.cases.thrown(run.response.frame.variants)[:, run.chosen("ultimate"), 2]
    values = {
        "Fsu": Fsu,
        "Dw": run.rack.rows.washers[pad.hardware.washer].outside_diameter,
        "t": pad.least_web * 1e-9,
    }
    steps: tuple[Step, ...] = (("pull_through", values),)
    return ratio(run.context("ultimate"), about, mass * np.maximum(-down, 0.0), float(clamp.pull_through(**values)),
                 run.fitting_factor, lambda at: steps)  # fmt: skip

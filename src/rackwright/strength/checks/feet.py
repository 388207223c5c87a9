"""Feet bolted down at the pads' places: their bolts, and the floor fittings or inserts that hold them.

A foot carries tension, shear and compression and turns freely; its forces are those of the springs that stand for its
attachment. The bolt is checked in shear and tension together, the fitting by the interaction and exponents that its
document states; what it presses goes to the floor's allowables (`floor.py`). Prying, the block under the bolt's head
and the pad's bolt hole or counterbore are not counted here.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from rackwright.formulas import interaction
from rackwright.rack.model import Foot
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.factors import special
from rackwright.strength.margin import Index, Margin, Step, Subject, from_factor, missing
from rackwright.strength.run import Run

__all__ = ["feet"]


def feet(run: Run) -> Iterator[Margin]:
    """Margins of every bolted foot and of what it is bolted to."""
    for n, foot in enumerate(run.rack.definition.foot):
        yield from _foot(run, n, foot)


def _foot(run: Run, n: int, foot: Foot) -> Iterator[Margin]:
    force = run.demand("ultimate", lambda one: one.foot_force[:, one.chosen("ultimate"), n], (2,))
    shear, pull = np.hypot(force[..., 0], force[..., 1]), np.maximum(-force[..., 2], 0.0)
    fitting = next(one for one in run.rack.definition.floor_fitting if one.name == foot.fitting)
    part = special(run.rack, f"foot.{foot.name}", [foot.wear])
    mode = "foot bolt in shear and tension"
    if part.missing:
        yield missing(Subject(f"foot.{foot.name}/bolt", mode, ""), part.missing)
    else:
        yield shear_tension(run, f"foot.{foot.name}/bolt", mode, foot.bolt, shear, pull, ("",), part)
    held = special(run.rack, f"fitting.{fitting.name}", [foot.wear])
    given, mode = fitting.bolted, "floor fitting under a bolted foot"
    source = f"{given.document if given else ''}; factor: {held.source}"
    about = Subject(f"foot.{foot.name}/fitting {fitting.name}", mode, source, held.doubt, "1")
    if given is None or held.missing:
        yield missing(
            about, held.missing or f"fitting {fitting.name} has no bolted allowable with a document"
        )
        return
    Rs, Rt = held.value * shear / given.shear_ultimate, held.value * pull / given.tension_ultimate
    s, t = given.shear_exponent, given.tension_exponent
    k = interaction.powers(Rs, Rt, s, t)

    def steps(at: Index) -> tuple[Step, ...]:
        return (*held.steps, ("powers", {"Rs": float(Rs[at[:2]]), "Rt": float(Rt[at[:2]]), "a": s, "b": t}))

    yield from_factor(run.context("ultimate"), about, k, held.value, steps)

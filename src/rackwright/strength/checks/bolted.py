"""Bolts in shear and tension together: (fs/Fs)³ + (ft/Ft)² = 1, the fitting factor in both ratios."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import interaction, thread
from rackwright.strength.factors import Special
from rackwright.strength.margin import Index, Margin, Step, Steps, Subject, from_factor, missing
from rackwright.strength.run import Run

__all__ = ["shear_tension"]

Array = NDArray[np.float64]


def shear_tension(
    run: Run, id: str, mode: str, bolt: str, shear: Array, pull: Array, places: tuple[str, ...],
    part: Special | None = None, before: Steps | None = None, at_root: bool = False,
) -> Margin:  # fmt: skip
    """The margin of a bolt row under shear and pull (N), each (V, C) or (V, C, places), with a part's own factor.

    `before` are the steps that its loads come from; `at_root` puts threads in the shear plane.
    """
    row = run.rack.rows.bolts[bolt]
    known = row.known_of("single_shear"), row.known_of("tension")
    source = f"{bolt} single shear: {known[0]}; tension: {known[1]}"
    doubt = known[0].unconfirmed or known[1].unconfirmed or (part is not None and part.doubt)
    about = Subject(id, mode, source, doubt, "1", places=places)
    if row.single_shear is None or row.tension is None:
        return missing(about, f"{bolt} has no sourced strength")
    factor = run.fitting_factor if part is None else part.value
    able, root = row.single_shear, {"Fsu": row.Fsu or np.nan, "D": row.diameter, "p": row.pitch}
    if at_root:
        if row.Fsu is None:
            return missing(
                about, f"{bolt} has no sourced shear strength of its metal: threads lie in the shear plane"
            )
        able = min(able, float(thread.root_shear(**root)))
    strong = row.tension
    Rs, Rt = factor * shear / able, factor * pull / strong

    def steps(at: Index) -> tuple[Step, ...]:
        at = at[: Rs.ndim]
        both = {"Rs": float(Rs[at]), "Rt": float(Rt[at])}
        each: tuple[Step, ...] = (
            ("shear_ratio", {"P": float(shear[at]), "F": able, "k": factor}),
            ("tension_ratio", {"P": float(pull[at]), "F": strong, "k": factor}),
        )
        sheared: tuple[Step, ...] = (("root_shear", root),) if at_root else ()
        first = (*sheared, *(before(at) if before else ()), *(part.steps if part else ()))
        return (*first, *each, ("shear_tension", both))

    return from_factor(run.context("ultimate"), about, interaction.shear_tension(Rs, Rt), factor, steps)

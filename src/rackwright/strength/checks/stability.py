"""The whole frame under compression: the factor at which it buckles, and its tubes with second-order moments.

Both come from the frame itself (members exact under their axial force, acting straps and pads of each case, equipment
tilting with its fixing points) and need no effective length. The frame's factor is elastic; what a short tube loses
to yielding is in its own column check. In second order the moments are those of the deformed frame, so that nothing
is left to a textbook length factor; they are put beside the same allowables as in `tube`, and the worse of both
checks governs as always. Growth beyond the case's load is 1/(1 - k/λ), λ the frame's factor.

Both are of every variant of a case: pretension, joints, corners of the centres of gravity. Where `corners` leaves out
those that differ along the force alone, the forces are the same (a force may slide along its line) and only the
stiffness of the load differs, F·Δ for a turn across it: on the demo 5e-4 of the factor; measured in a test, not proven.

These margins belong to one design; a batch of variants (`vary`) leaves them to the proof of the design it ends at.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import column, interaction, section
from rackwright.pieces.model import Piece
from rackwright.strength.checks.tube import LENGTH_FACTOR, TubeSection, section_of
from rackwright.strength.frame import crossed
from rackwright.strength.margin import Index, Margin, Step, Steps, Subject, from_factor, least, missing
from rackwright.strength.run import Run

__all__ = ["mode_in_words", "stability"]

Array = NDArray[np.float64]
SOURCE = "geometric stiffness of the whole frame: Timoshenko & Gere, Theory of Elastic Stability; Livesley & Chandler"


def stability(run: Run) -> Iterator[Margin]:
    """Margins of the whole frame."""
    yield _buckling(run)
    yield _second_order(run)


def _buckling(run: Run) -> Margin:
    about = Subject("frame/buckling", "buckling of the frame", SOURCE, unit="1")
    chosen = run.chosen("ultimate")
    factor = run.buckling.factor[:, chosen]
    lost = [why for row in run.buckling.loose for why in row if why is not None]
    if lost:
        return missing(about, lost[0])

    def steps(at: Index) -> tuple[Step, ...]:
        return _as_column(run, at[0], chosen[at[1]], float(factor[at[:2]]))

    margin = from_factor(run.context("ultimate"), about, factor, 1.0, steps)
    at = least(factor)
    return margin if at is None else replace(margin, place=mode_in_words(run, at[0], chosen[at[1]]))


def _as_column(run: Run, v: int, c: int, k: float) -> tuple[Step, ...]:
    """What a reader can check: the tube that is pressed most, as a pinned column that buckles at that force."""
    tube, found, at = TubeSection(run.rack), [], run.chosen("ultimate").index(c)
    for piece in run.pieces.made:
        if piece.kind in LENGTH_FACTOR and piece.length is not None:
            f = run.along(piece, "ultimate")[..., 0]
            found.append((float(-f[v, at].min()), piece.length * 1e-9, section_of(run.rack, piece, tube)))
    P, L, tube = max(found, key=lambda one: one[:2], default=(0.0, 0.0, tube))
    if P <= 0 or not np.isfinite(k):
        return ()
    return (("buckling_length", {"k": k, "P": P, "E": tube.row.E or np.nan, "I": tube.I, "L": L}),)


def _second_order(run: Run) -> Margin:
    """The least margin of any tube with the moments of the deformed frame."""
    tube = TubeSection(run.rack)
    about = tube.about("frame/second order", "tubes with second-order moments", ())
    tubes = [piece for piece in run.pieces.made if piece.kind in LENGTH_FACTOR]
    sections = [section_of(run.rack, piece, tube) for piece in tubes]
    unknown = next((one.why for one in sections if one.why), "")
    if unknown:
        return missing(about, unknown)
    chosen = run.chosen("ultimate")
    lost = [row[c] for row in run.second.why for c in chosen if row[c] is not None]
    if lost:
        return missing(about, str(lost[0]))
    RE = np.minimum(1 / run.buckling.factor[:, chosen], 1.0)[..., None]
    found = [_tube(run, one, piece, RE) for one, piece in zip(sections, tubes, strict=True)]
    places = tuple(f"{piece.id}, {place}" for piece in tubes for place in run.places(piece))
    starts = np.cumsum([0, *(each.shape[-1] for each, _ in found)])
    every = np.concatenate([each for each, _ in found], axis=-1)

    def steps(at: Index) -> tuple[Step, ...]:
        n = int(np.searchsorted(starts, at[2], side="right")) - 1
        return found[n][1]((at[0], at[1], at[2] - int(starts[n])))

    return from_factor(run.context("ultimate"), replace(about, places=places), every, 1.0, steps)


def _tube(run: Run, tube: TubeSection, piece: Piece, RE: Array) -> tuple[Array, Steps]:
    """Factors (V, C, stations) as in `tube`, from second-order moments, and how one came about."""
    assert piece.length is not None
    f = run.along(piece, "ultimate", deformed=True)
    N, (bend, fb) = f[..., 0], tube.bending(f)
    (Fcc, crippled), (Fs, sheared) = tube.crippling, tube.shear_strength
    L, rho = (
        LENGTH_FACTOR[piece.kind] * piece.length * 1e-9,
        float(section.radius_of_gyration(tube.I, tube.A)),
    )
    slim = float(column.slenderness(L, rho))
    Fc = float(column.johnson_euler(tube.Ec, Fcc, slim))
    P, Rs, RE = np.maximum(-N, 0.0), tube.shear_stress(f) / Fs, np.broadcast_to(RE, N.shape)
    Rc, Rb2, lower = P / (tube.A * Fc), fb / Fcc, min(tube.Ftu, Fcc)
    before = np.asarray(interaction.second_order_bending(Rb2, RE), dtype=float)
    pressed = interaction.beam_column_shear(Rc, before, RE, Rs)
    straight = np.asarray(
        1 / interaction.tension_bending(np.maximum(N, 0.0) / (tube.A * tube.Ftu), fb / lower)
    )
    every = np.asarray(np.where(P > 0, pressed, interaction.bending_shear(straight, Rs)), dtype=float)

    def steps(at: Index) -> tuple[Step, ...]:
        first: tuple[Step, ...] = (("axial_stress", {"N": float(abs(N[at])), "A": tube.A}),)
        first += (("bending_stress", {"M": float(bend[at]), "I": tube.I, "c": tube.c}),)
        first += (*tube.shear_steps(f[at]), sheared)
        if P[at] <= 0:
            pulled = {"Rt": float(N[at]) / (tube.A * tube.Ftu), "Rb": float(fb[at]) / lower}
            both: Step = ("bending_shear", {"Rb": float(straight[at]), "Rs": float(Rs[at])})
            return *first, ("tension_bending", pulled), both
        grown: Step = ("second_order_bending", {"Rb2": float(Rb2[at]), "RE": float(RE[at])})
        ratios = {"Rc": float(Rc[at]), "Rb": float(before[at]), "RE": float(RE[at]), "Rs": float(Rs[at])}
        column_steps: tuple[Step, ...] = (
            ("slenderness", {"L": L, "rho": rho}),
            ("johnson_euler", {"E": tube.Ec, "Fcc": Fcc, "s": slim}),
        )
        return *first, *crippled, *column_steps, grown, ("beam_column_shear", ratios)

    return every, steps


def mode_in_words(run: Run, v: int, c: int) -> str:
    """Where the frame buckles: by its largest motion."""
    frame, names, found = run.model.frame, run.model.nodes, run.buckling
    if found.member[v, c] >= 0:
        return f"{run.model.segments[found.member[v, c]].piece} bows between its ends"
    moved = found.shape[v, c, :, :3]
    if not moved.any():
        return ""
    top = [n for n, name in enumerate(names) if name.startswith("block.top.")]
    largest = float(np.linalg.norm(moved, axis=-1).max())
    mean = moved[top].mean(axis=0)
    arm = frame.xyz[v, top] - frame.xyz[v, top].mean(axis=0)
    swirl = float(crossed(arm, moved[top] - mean)[:, 2].sum() / (arm**2)[:, :2].sum())
    if np.abs(mean[:2]).max() > largest / 2:
        return f"the rack sways along {'xy'[int(np.abs(mean[:2]).argmax())]}"
    if abs(swirl) * float(np.linalg.norm(arm[:, :2], axis=1).max()) > largest / 2:
        return "the rack twists about its upright axis"
    at = int(np.linalg.norm(moved, axis=-1).argmax())
    axis = "xyz"[int(np.abs(moved[at]).argmax())]
    return f"{names[at].partition('@')[0]} bows along {axis}, most {frame.xyz[v, at, 2] / 0.0254:.1f} in up"

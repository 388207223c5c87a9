"""Tubes: strength with column buckling, shear with torsion, and the net section at every hole.

Axial force and bending are combined with shear and torsion (Rb² + Rs² = 1). Bending is elastic with both
axes added at the corner; no plastic bending is counted. Compression bends further under its own load
(amplified interaction), the column allowable is Johnson-Euler on the full length between the blocks:
effective length factor 1 for cross tubes (pinned, on the safe side of the continuous joint) and 2 for
posts, whose tops may sway (upper value of textbook cases for partly held ends).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from rackwright.formulas import column, interaction, net_section, plate_buckling, section
from rackwright.pieces.model import Piece, axis_index
from rackwright.reference import materials
from rackwright.strength.margin import Index, Margin, Step, Subject, from_factor, missing, ratio
from rackwright.strength.run import Run

__all__ = ["tubes"]

LENGTH_FACTOR = {"post": 2.0, "width": 1.0, "depth": 1.0}


def tubes(run: Run) -> Iterator[Margin]:
    """Margins of every tube."""
    tube = _Tube(run)
    for piece in run.pieces.made:
        if piece.kind in LENGTH_FACTOR:
            yield _strength(run, tube, piece)
            yield _shear(run, tube, piece)
            net = _net_section(run, tube, piece)
            if net is not None:
                yield net
            if run.chosen("limit"):
                yield _yield(run, tube, piece)


class _Tube:
    """Section and material of the rack's tube, SI."""

    def __init__(self, run: Run) -> None:
        tube = run.rack.definition.tube
        self.row = materials()[tube.material]
        self.b, self.t, self.r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
        self.A = float(section.tube_area(self.b, self.b, self.t, self.r))
        self.I = float(section.tube_inertia(self.b, self.b, self.t, self.r))
        self.c = self.b / 2
        self.Ftu, self.Fty, self.Fsu = (
            self.row.strength("Ftu", "L"),
            self.row.strength("Fty", "L"),
            self.row.Fsu,
        )
        self.Fcy, self.Ec = self.row.strength("Fcy", "L"), self.row.Ec
        covers = self.row.covers(self.t)
        self.why = "" if covers else f"{self.row.id} is not valid for a wall of {self.t / 0.0254:.3f} in"
        self.source = f"{self.row.id}: {self.row.known}"

    def shear_stress(self, f: np.ndarray) -> np.ndarray:
        """Torsion in the closed wall plus transverse shear in the two walls that carry it, Pa; f (..., 6)."""
        torsion = np.abs(f[..., 3]) / (2 * (self.b - self.t) ** 2 * self.t)
        transverse = (np.abs(f[..., 1]) + np.abs(f[..., 2])) * 1.5 / (2 * self.t * self.b)
        return np.asarray(torsion + transverse)

    def about(self, id: str, mode: str, places: tuple[str, ...]) -> Subject:
        return Subject(id, mode, self.source, self.row.unconfirmed, "1", places=places)


def _strength(run: Run, tube: _Tube, piece: Piece) -> Margin:
    about = tube.about(f"{piece.id}/strength", "strength and column", run.places(piece))
    assert piece.length is not None
    if (
        tube.why
        or tube.Ftu is None
        or tube.Fcy is None
        or tube.Fsu is None
        or tube.Ec is None
        or tube.row.nu is None
    ):
        return missing(about, tube.why or "no sourced strength")
    f = run.along(piece, "ultimate")
    N, bend = f[..., 0], np.abs(f[..., 4]) + np.abs(f[..., 5])
    Ftu, A, I, Ec = tube.Ftu, tube.A, tube.I, tube.Ec
    wall = {"k": 4.0, "E": Ec, "nu": tube.row.nu, "t": tube.t, "b": tube.b - 2 * tube.t, "Fcy": tube.Fcy}
    Fcc = float(plate_buckling.wall_strength(**wall))
    L, rho = LENGTH_FACTOR[piece.kind] * piece.length * 1e-9, float(section.radius_of_gyration(I, A))
    s = float(column.slenderness(L, rho))
    Fc, PE = float(column.johnson_euler(Ec, Fcc, s)), float(column.euler_load(Ec, I, L))
    fb, P = section.bending_stress(bend, I, tube.c), np.maximum(-N, 0.0)
    compressed = interaction.bending_compression(P / (A * Fc), fb / Fcc, P / PE)
    lower = min(Ftu, Fcc)  # a pulled tube bends too: its other face is pressed
    pulled = interaction.tension_bending(np.maximum(N, 0.0) / (A * Ftu), fb / lower)
    normal = np.asarray(np.where(P > 0, compressed, pulled), dtype=float)
    # the load factor of axial force and bending stands for Rb: amplified compression grows faster than the
    # load, so below that factor its inverse is too high, never too low
    Rb, Rs = 1 / normal, tube.shear_stress(f) / tube.Fsu
    multiplier = np.asarray(interaction.bending_shear(Rb, Rs), dtype=float)

    def steps(at: Index) -> tuple[Step, ...]:
        bending: Step = ("bending_stress", {"M": float(bend[at]), "I": I, "c": tube.c})
        sheared: Step = ("bending_shear", {"Rb": float(Rb[at]), "Rs": float(Rs[at])})
        if P[at] <= 0:
            ratios = {"Rt": float(N[at]) / (A * Ftu), "Rb": float(fb[at]) / lower}
            return bending, ("tension_bending", ratios), sheared
        ratios = {"Rc": float(P[at]) / (A * Fc), "Rb": float(fb[at]) / Fcc, "RE": float(P[at]) / PE}
        return (
            bending,
            ("wall_strength", wall),
            ("slenderness", {"L": L, "rho": rho}),
            ("johnson_euler", {"E": Ec, "Fcc": Fcc, "s": s}),
            ("euler_load", {"E": Ec, "I": I, "L": L}),
            ("bending_compression", ratios),
            sheared,
        )

    return from_factor(run.context("ultimate"), about, multiplier, 1.0, steps)


def _yield(run: Run, tube: _Tube, piece: Piece) -> Margin:
    """Yield at limit loads."""
    about = replace(tube.about(f"{piece.id}/yield", "yield", run.places(piece)), level="yield", unit="Pa")
    if tube.why or tube.Fty is None:
        return missing(about, tube.why or "no sourced yield strength")
    f = run.along(piece, "limit")
    bend = np.abs(f[..., 4]) + np.abs(f[..., 5])
    stress = np.abs(f[..., 0]) / tube.A + section.bending_stress(bend, tube.I, tube.c)

    def steps(at: Index) -> tuple[Step, ...]:
        return (("bending_stress", {"M": float(bend[at]), "I": tube.I, "c": tube.c}),)

    return ratio(run.context("limit"), about, stress, tube.Fty, 1.0, steps)


def _shear(run: Run, tube: _Tube, piece: Piece) -> Margin:
    """Shear alone."""
    about = replace(tube.about(f"{piece.id}/shear", "shear and torsion", run.places(piece)), unit="Pa")
    if tube.why or tube.Fsu is None:
        return missing(about, tube.why or "no sourced shear strength")
    stress = tube.shear_stress(run.along(piece, "ultimate"))
    return ratio(run.context("ultimate"), about, stress, tube.Fsu, 1.0)


def _net_section(run: Run, tube: _Tube, piece: Piece) -> Margin | None:
    """Tension and bending at the rows of holes; the spigot inside a joint is not counted."""
    i = axis_index(piece.axis or "z")
    rows: dict[int, list[int]] = {}
    for hole in piece.holes:
        rows.setdefault(hole.centre[i] - piece.lo[i], []).append(hole.diameter)
    if not rows:
        return None
    about = tube.about(f"{piece.id}/net section", "net section", ())
    about = replace(about, source=f"{about.source}; fitting factor {run.factor_source}")
    if tube.why or tube.Ftu is None:
        return missing(about, tube.why or "no sourced strength")
    places: list[str] = []
    multipliers, details = [], []
    for along, diameters in sorted(rows.items()):
        D, n = max(diameters) * 1e-9, len(diameters)
        An = float(net_section.net_area(tube.A, n, D, tube.t))
        In = tube.I - n * D * tube.t * (tube.c - tube.t / 2) ** 2
        for f in run.sides(piece.id, along * 1e-9, "ultimate"):
            bend = np.abs(f[..., 4]) + np.abs(f[..., 5])
            Rt = run.fitting_factor * np.maximum(f[..., 0], 0.0) / (An * tube.Ftu)
            Rb = run.fitting_factor * section.bending_stress(bend, In, tube.c) / tube.Ftu
            multipliers.append(interaction.tension_bending(Rt, Rb))
            details.append((n, D, In, bend, Rt, Rb))
            places.append(f"holes {along / 25_400_000:.3f} in from its low end")

    def steps(at: Index) -> tuple[Step, ...]:
        n, D, In, bend, Rt, Rb = details[at[2]]
        return (
            ("net_area", {"A": tube.A, "n": float(n), "D": D, "t": tube.t}),
            ("bending_stress", {"M": float(bend[at[:2]]), "I": In, "c": tube.c}),
            ("tension_bending", {"Rt": float(Rt[at[:2]]), "Rb": float(Rb[at[:2]])}),
        )

    stacked = np.stack(multipliers, axis=-1)
    about = replace(about, places=tuple(places))
    return from_factor(run.context("ultimate"), about, stacked, run.fitting_factor, steps)

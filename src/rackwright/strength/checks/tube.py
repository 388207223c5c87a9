"""Tubes: axial force, bending about both axes, shear and torsion together, shear alone, and the net section at holes.

Bending is elastic with both axes added at the corner; no plastic bending is counted. Shear of both axes and torsion
add, though they peak in different walls, and act with the rest as Rb² + Rs² = 1. Compression bends further under its
own load: the margin is the root of the amplified interaction. The column allowable is Johnson-Euler from the
crippling stress (Needham's angles, and no wall buckled) on the full length between the blocks: effective length
factor 1 for cross tubes and braces (pinned, on the safe side of the held joint) and 2 for posts, whose tops may sway
(upper value of textbook cases for partly held ends). Section properties are nominal, or of the least wall where the
definition states one; each margin says which. Stiffness in the frame is nominal.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import column, interaction, net_section, plate_buckling, section, thin_wall
from rackwright.pieces.brace_pieces import tube_of
from rackwright.pieces.model import Piece
from rackwright.rack.model import Rack, Tube
from rackwright.strength.margin import Index, Margin, Step, Subject, from_factor, missing, ratio
from rackwright.strength.run import Run

__all__ = ["LENGTH_FACTOR", "TubeSection", "least_wall", "section_of", "tubes", "wall_words"]

Array = NDArray[np.float64]
LENGTH_FACTOR = {"post": 2.0, "width": 1.0, "depth": 1.0, "brace": 1.0}


def least_wall(rack: Rack, tube: Tube | None = None) -> float:
    """The wall (m) that strength is judged by: the least one where it is stated, else the nominal; of the frame's tube,
    or of another one."""
    tube = tube or rack.definition.tube
    return (tube.wall if tube.least is None else tube.least.wall) * 1e-9


def wall_words(rack: Rack, tube: Tube | None = None) -> str:
    """Nominal or least, as each margin says."""
    tube = tube or rack.definition.tube
    if tube.least is None:
        return f"nominal wall {tube.wall / 25_400_000:.4g} in"
    return f"least wall {tube.least.wall / 25_400_000:.4g} in, {tube.least.document}"


def tubes(run: Run) -> Iterator[Margin]:
    """Margins of every tube and brace."""
    of_frame = TubeSection(run.rack)
    for piece in run.pieces.made:
        if piece.kind in LENGTH_FACTOR:
            tube = section_of(run.rack, piece, of_frame)
            yield _strength(run, tube, piece)
            yield _shear(run, tube, piece)
            net = _net_section(run, tube, piece)
            if net is not None:
                yield net
            if run.chosen("limit"):
                yield _yield(run, tube, piece)


def section_of(rack: Rack, piece: Piece, of_frame: TubeSection) -> TubeSection:
    """That of a piece's own tube."""
    tube = tube_of(rack, piece)
    return of_frame if tube is rack.definition.tube else TubeSection(rack, tube)


class TubeSection:
    """Section and material of the rack's tube, or of another one, SI."""

    def __init__(self, rack: Rack, tube: Tube | None = None) -> None:
        tube = tube or rack.definition.tube
        self.row = rack.rows.materials[tube.material]
        self.b, self.t, self.r = tube.side * 1e-9, least_wall(rack, tube), tube.corner_radius * 1e-9
        shape = self.b, self.b, self.t, self.r
        self.A = float(section.tube_area(*shape))
        self.I = float(section.tube_inertia(*shape))
        self.Z = float(section.tube_plastic(*shape))
        self.Am = float(thin_wall.enclosed_area(*shape))
        self.c = self.b / 2
        named = {"Ftu": self.row.strength("Ftu", "L"), "Fcy": self.row.strength("Fcy", "L"), "Fsu": self.row.Fsu,
                 "Ec": self.row.Ec, "nu": self.row.nu}  # fmt: skip
        self.Fty = self.row.strength("Fty", "L")
        gone = [name for name, value in named.items() if value is None]
        nominal = tube.wall * 1e-9
        self.why = f"{self.row.id} gives no {', '.join(gone)}" if gone else ""
        if not self.row.covers(nominal):
            self.why = f"{self.row.id} is not valid for a wall of {nominal / 0.0254:.3f} in"
        self.Ftu, self.Fcy, self.Fsu, self.Ec, self.nu = (value or np.nan for value in named.values())
        self.source = f"{self.row.id}: {self.row.known}; {wall_words(rack, tube)}"

    @cached_property
    def crippling(self) -> tuple[float, tuple[Step, ...]]:
        """Stress at which corners cripple or a wall buckles, and the steps to it."""
        leg, clear = (self.b - self.t) / 2, self.b - 2 * self.t
        corner = {"Ce": 0.366, "Fcy": self.Fcy, "E": self.Ec, "a": leg, "b": leg, "t": self.t}
        wall = {"k": 4.0, "E": self.Ec, "nu": self.nu, "t": self.t, "b": clear, "Fcy": self.Fcy}
        least = min(float(thin_wall.needham_angle(**corner)), float(plate_buckling.wall_strength(**wall)))
        return least, (("needham_angle", corner), ("wall_strength", wall))

    @cached_property
    def shear_strength(self) -> tuple[float, Step]:
        """Stress at which a wall fails or buckles in shear."""
        wall = {
            "k": 5.35,
            "E": self.Ec,
            "nu": self.nu,
            "t": self.t,
            "b": self.b - 2 * self.t,
            "Fsu": self.Fsu,
        }
        return float(thin_wall.wall_shear_strength(**wall)), ("wall_shear_strength", wall)

    def shear_stress(self, f: Array) -> Array:
        """Torsion in the closed wall plus transverse shear in the walls that carry it, Pa; f (..., 6)."""
        torsion = thin_wall.tube_torsion_stress(np.abs(f[..., 3]), self.Am, self.t)
        V = np.abs(f[..., 1]) + np.abs(f[..., 2])
        return np.asarray(torsion + thin_wall.tube_shear_stress(V, self.Z, self.I, self.t))

    def shear_steps(self, f: Array) -> tuple[Step, ...]:
        """The same for one place, f (6,)."""
        V = float(abs(f[1]) + abs(f[2]))
        return (
            ("tube_torsion_stress", {"T": float(abs(f[3])), "Am": self.Am, "t": self.t}),
            ("tube_shear_stress", {"V": V, "Z": self.Z, "I": self.I, "t": self.t}),
        )

    def bending(self, f: Array) -> tuple[Array, Array]:
        """Moments of both axes added, and their stress."""
        bend = np.abs(f[..., 4]) + np.abs(f[..., 5])
        return bend, np.asarray(section.bending_stress(bend, self.I, self.c))

    def about(self, id: str, mode: str, places: tuple[str, ...]) -> Subject:
        return Subject(id, mode, self.source, self.row.unconfirmed, "1", places=places)


def _strength(run: Run, tube: TubeSection, piece: Piece) -> Margin:
    about = tube.about(f"{piece.id}/strength", "axial, bending, shear and torsion", run.places(piece))
    assert piece.length is not None
    if tube.why:
        return missing(about, tube.why)
    f = run.along(piece, "ultimate")
    N, (bend, fb) = f[..., 0], tube.bending(f)
    Ftu, A, I, Ec = tube.Ftu, tube.A, tube.I, tube.Ec
    (Fcc, crippled), (Fs, sheared) = tube.crippling, tube.shear_strength
    L, rho = LENGTH_FACTOR[piece.kind] * piece.length * 1e-9, float(section.radius_of_gyration(I, A))
    s = float(column.slenderness(L, rho))
    Fc, PE = float(column.johnson_euler(Ec, Fcc, s)), float(column.euler_load(Ec, I, L))
    P, Rs = np.maximum(-N, 0.0), tube.shear_stress(f) / Fs
    pressed = interaction.beam_column_shear(P / (A * Fc), fb / Fcc, P / PE, Rs)
    lower = min(Ftu, Fcc)  # a pulled tube bends too: its other face is pressed
    straight = np.asarray(1 / interaction.tension_bending(np.maximum(N, 0.0) / (A * Ftu), fb / lower))
    multiplier = np.asarray(np.where(P > 0, pressed, interaction.bending_shear(straight, Rs)), dtype=float)

    def steps(at: Index) -> tuple[Step, ...]:
        first: tuple[Step, ...] = (("axial_stress", {"N": float(abs(N[at])), "A": A}),
                                   ("bending_stress", {"M": float(bend[at]), "I": I, "c": tube.c}),
                                   *tube.shear_steps(f[at]), sheared, *crippled)  # fmt: skip
        if P[at] <= 0:
            ratios = {"Rt": float(N[at]) / (A * Ftu), "Rb": float(fb[at]) / lower}
            together = {"Rb": float(straight[at]), "Rs": float(Rs[at])}
            return *first, ("tension_bending", ratios), ("bending_shear", together)
        ratios = {"Rc": float(P[at]) / (A * Fc), "Rb": float(fb[at]) / Fcc, "RE": float(P[at]) / PE}
        return (
            *first,
            ("slenderness", {"L": L, "rho": rho}),
            ("johnson_euler", {"E": Ec, "Fcc": Fcc, "s": s}),
            ("euler_load", {"E": Ec, "I": I, "L": L}),
            ("beam_column_shear", ratios | {"Rs": float(Rs[at])}),
        )

    return from_factor(run.context("ultimate"), about, multiplier, 1.0, steps)


def _yield(run: Run, tube: TubeSection, piece: Piece) -> Margin:
    """Yield at limit loads, of normal and shear stress together."""
    about = replace(tube.about(f"{piece.id}/yield", "yield", run.places(piece)), level="yield", unit="Pa")
    if tube.why or tube.Fty is None:
        return missing(about, tube.why or "no sourced yield strength")
    f = run.along(piece, "limit")
    bend, fb = tube.bending(f)
    normal, shear = np.abs(f[..., 0]) / tube.A + fb, tube.shear_stress(f)

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            ("axial_stress", {"N": float(abs(f[at][0])), "A": tube.A}),
            ("bending_stress", {"M": float(bend[at]), "I": tube.I, "c": tube.c}),
            *tube.shear_steps(f[at]),
            ("equivalent_stress", {"sigma": float(normal[at]), "tau": float(shear[at])}),
        )

    stress = np.asarray(interaction.equivalent_stress(normal, shear))
    return ratio(run.context("limit"), about, stress, tube.Fty, 1.0, steps)


def _shear(run: Run, tube: TubeSection, piece: Piece) -> Margin:
    """Shear alone."""
    about = replace(tube.about(f"{piece.id}/shear", "shear and torsion", run.places(piece)), unit="Pa")
    if tube.why:
        return missing(about, tube.why)
    f, (Fs, sheared) = run.along(piece, "ultimate"), tube.shear_strength
    return ratio(run.context("ultimate"), about, tube.shear_stress(f), Fs, 1.0,
                 lambda at: (*tube.shear_steps(f[at]), sheared))  # fmt: skip


def _net_section(run: Run, tube: TubeSection, piece: Piece) -> Margin | None:
    """Tension, bending, shear and torsion at the rows of holes; the spigot inside a joint is not counted."""
    rows: dict[int, list[int]] = {}
    for hole in piece.holes:
        rows.setdefault(piece.station(hole.centre), []).append(hole.diameter)
    if not rows:
        return None
    about = tube.about(f"{piece.id}/net section", "net section", ())
    about = replace(about, source=f"{about.source}; fitting factor {run.factor_source}")
    if tube.why:
        return missing(about, tube.why)
    places: list[str] = []
    multipliers, details = [], []
    for along, diameters in sorted(rows.items()):
        D, n = max(diameters) * 1e-9, len(diameters)
        An = float(net_section.net_area(tube.A, n, D, tube.t))
        In = tube.I - n * D * tube.t * (tube.c - tube.t / 2) ** 2
        for f in run.sides(piece.id, along * 1e-9, "ultimate"):
            bend, tau = np.abs(f[..., 4]) + np.abs(f[..., 5]), tube.shear_stress(f)
            Rt = run.fitting_factor * np.maximum(f[..., 0], 0.0) / (An * tube.Ftu)
            Rb = run.fitting_factor * section.bending_stress(bend, In, tube.c) / tube.Ftu
            Rs = run.fitting_factor * thin_wall.net_shear(tau, tube.b - 2 * tube.t, D) / tube.Fsu
            straight = 1 / np.asarray(interaction.tension_bending(Rt, Rb))
            multipliers.append(interaction.bending_shear(straight, Rs))
            details.append((n, D, In, f, bend, tau, Rt, Rb, straight, Rs))
            places.append(f"holes {along / 25_400_000:.3f} in from its low end")

    def steps(at: Index) -> tuple[Step, ...]:
        n, D, In, f, bend, tau, Rt, Rb, straight, Rs = details[at[2]]
        v = at[:2]
        return (
            ("net_area", {"A": tube.A, "n": float(n), "D": D, "t": tube.t}),
            ("bending_stress", {"M": float(bend[v]), "I": In, "c": tube.c}),
            *tube.shear_steps(f[v]),
            ("net_shear", {"tau": float(tau[v]), "b": tube.b - 2 * tube.t, "D": D}),
            ("tension_bending", {"Rt": float(Rt[v]), "Rb": float(Rb[v])}),
            ("bending_shear", {"Rb": float(straight[v]), "Rs": float(Rs[v])}),
        )

    stacked = np.stack(multipliers, axis=-1)
    about = replace(about, places=tuple(places))
    return from_factor(run.context("ultimate"), about, stacked, run.fitting_factor, steps)

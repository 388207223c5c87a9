"""Gussets of braces and their bolts, where a gusset lies on both faces.

The axes of brace and member cross in a node, and the bolts stand on both: force and shear have no lever about them. The
bolts of each line are a group through two walls, as those of a tube's end: those in the brace meet its force,
shear, torsion and both moments at their middle, those in the member the same turned into the member's axes, with the
moment at the node; sizes are added, and the fitting factor applies to all of it. Shear out of the face pulls the
brace's bolts. A bolt is judged at one wall, in shear with that pull; each wall and gusset in bearing and tear-out to
the nearest edge.
The plate is judged on the width to which the force spreads (30°) where the brace's bolts end, no wider than twice its
edge distance: tension less a hole, bending in and out of its plane with the moment at the node, shear with the couple
of torsion. Pressed it is a column from the brace's nearest bolt to the member's axis, free to sway (length factor 2),
though brace and member hold it on one side. At limit loads normal and shear stress together are held to yield.
A brace with a gusset on one face only bends plate, brace and member by its eccentricity: it is not assessed, and each
end says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import column, fastener_group, gusset, interaction
from rackwright.pieces.brace_pieces import BracePlace, Meeting, brace_places, gusset_id
from rackwright.rack.brace import GussetMake
from rackwright.rack.model import Tube
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.joint import bearing, tear_out
from rackwright.strength.checks.tube import least_wall
from rackwright.strength.margin import Index, Margin, Step, Subject, from_factor, missing, ratio
from rackwright.strength.run import Run

__all__ = ["gussets"]

Array = NDArray[np.float64]
Cards = tuple[tuple[str, dict[str, Any]], ...]  # by name, values (V, C) or one
SWAY = 2.0  # length factor of a column held at one end
ONE_FACE = "a gusset on one face only: its eccentricity is not assessed; put one on both faces, or test it"


def gussets(run: Run) -> Iterator[Margin]:
    """Margins of both ends of every brace."""
    make = run.rack.definition.gusset_make
    for place in brace_places(run.rack):
        for meeting in place.meetings:
            assert make is not None
            head = f"gusset.{place.brace.name}.{meeting.name}"
            if make.faces != "both":
                yield missing(Subject(f"{head}/strength", "gusset and its bolts", ""), ONE_FACE)
            else:
                yield from _End(run, place, meeting, make, head).margins()


@dataclass(frozen=True, eq=False)
class _Line:
    """A line of bolts: its ids, what each meets at one wall (V, C, bolts), and how."""

    ids: list[str]
    piece: str
    tube: Tube
    plane: Array
    parts: tuple[dict[str, Any], ...]
    before: Cards = ()

    @property
    def places(self) -> tuple[str, ...]:
        """Its bolts by their numbers at this end."""
        return tuple(f"bolt {id.rpartition('.')[2]}" for id in self.ids)

    def steps(self, at: Index) -> tuple[Step, ...]:
        """The cards of one bolt."""
        return _at((*self.before, ("tube_end_bolt", self.parts[at[2]])), at)


def _at(cards: Cards, at: Index) -> tuple[Step, ...]:
    """Cards with their values at one variant and case."""
    return tuple((name, {key: _one(value, at) for key, value in values.items()}) for name, values in cards)


def _one(value: Array | float, at: Index) -> float:
    return float(value if np.ndim(value) == 0 else np.asarray(value)[at[:2]])


@dataclass(frozen=True, eq=False)
class _End:
    """One end of a brace; lengths in m."""

    run: Run
    place: BracePlace
    meeting: Meeting
    make: GussetMake
    head: str

    @cached_property
    def stations(self) -> tuple[float, ...]:
        """Of the bolts in the brace, from its first tip, the nearest to this end first."""
        off = self.place.first_tip - self.place.start.setback
        return tuple((s + off) * 1e-9 for s in self.place.stations(self.make, self.meeting.name))

    @property
    def clear(self) -> float:
        """From the nearest bolt of the brace to where the axes cross."""
        near = self.place.stations(self.make, "start")[0] if self.meeting.name == "start" else (
            self.place.start.setback + self.place.axis_length + self.place.end.setback
            - self.place.stations(self.make, "end")[0])  # fmt: skip
        return near * 1e-9

    def forces(self, level: str, station: float | None = None) -> tuple[Array, ...]:
        """Sizes of N, V in the face, V out of it, T, M out of the face, M in it; (V, C) each. Without a station at the
        sawn end."""
        first = self.place.first_tip
        end = first if self.meeting.name == "start" else first + self.place.axis_length
        at = end * 1e-9 if station is None else station
        (f,) = self.run.sides(f"brace.{self.place.brace.name}", at, level)
        return tuple(np.abs(f[..., i]) for i in range(6))

    # --- bolts -----------------------------------------------------------------------------------

    def in_brace(self, level: str) -> _Line:
        N, V, _, T, Mx, M = self.forces(level, sum(self.stations) / len(self.stations))
        name, n = f"brace.{self.place.brace.name}", self.make.on_brace
        return self._line(range(n), name, self.place.tube, {"N": N, "V": V, "T": T, "Mo": M, "Mx": Mx})

    def in_member(self, level: str) -> _Line:
        N, V, Vz, T, Mx, M = self.forces(level)
        s, theta = self.meeting.setback * 1e-9, self.meeting.angle
        at_node = gusset.moment_at_node(M, V, s)
        out = gusset.moment_at_node(Mx, Vz, s)
        along, across = gusset.along_member(N, V, theta), gusset.across_member(N, V, theta)
        # the couple about the member's square takes the brace's torsion by its cosine, what bends it by its sine
        turned = {"T": gusset.along_member(T, out, theta), "Mx": gusset.across_member(T, out, theta)}
        n = self.make.on_brace
        before: Cards = (
            ("moment_at_node", {"M": M, "V": V, "s": s}),
            ("along_member", {"N": N, "V": V, "theta": theta}),
            ("across_member", {"N": N, "V": V, "theta": theta}),
        )
        forces = {"N": along, "V": across, "Mo": at_node, **turned}
        return self._line(range(n, n + self.make.on_member), self.meeting.member.id, self.run.rack.definition.tube,
                          forces, before)  # fmt: skip

    def _line(
        self, numbers: range, piece: str, tube: Tube, forces: dict[str, Array],
        before: Cards = (),
    ) -> _Line:  # fmt: skip
        n, pitch = len(numbers), self.make.pitch * 1e-9
        at = [(k - (n - 1) / 2) * pitch for k in range(n)]
        fixed = {
            "n": float(n),
            "nd": float(n),
            "h": (tube.side - tube.wall) * 1e-9,
            "S": sum(z * z for z in at),
        }
        parts = tuple({**forces, **fixed, "z": abs(z)} for z in at)
        plane = np.stack([fastener_group.tube_end_bolt(**part) for part in parts], axis=-1)
        ids = [f"brace.{self.place.brace.name}.{self.meeting.name}.{k + 1}" for k in numbers]
        return _Line(ids, piece, tube, plane, parts, before)

    def margins(self) -> Iterator[Margin]:
        run, head = self.run, self.head
        row = run.rack.rows.bolts[self.make.hardware.bolt]
        for level in run.levels:
            lines = {"brace": self.in_brace(level), "member": self.in_member(level)}
            if level == "ultimate":
                yield from self._bolts(lines)
            for name, line in lines.items():
                wall, piece = least_wall(run.rack, line.tube), run.pieces.get(line.piece)
                plate, thick = run.pieces.get(self._plate), self.make.thickness * 1e-9
                tests = [
                    (f"{head}/{name} bearing", piece, wall),
                    (f"{head}/gusset bearing at the {name}", plate, thick),
                ]
                for id, made, t in tests:
                    yield _named(
                        bearing(run, id, made, line.ids, row.diameter, t, line.plane, level), line.places
                    )
                    if level == "ultimate":
                        id = id.replace("bearing", "tear-out")
                        yield _named(tear_out(run, id, made, line.ids, t, line.plane), line.places)
            yield self._pulled(level)
            if level == "ultimate":
                yield self._pressed()

    @property
    def _plate(self) -> str:
        return gusset_id(self.place.brace.name, self.meeting.name, "outside")

    def _bolts(self, lines: dict[str, _Line]) -> Iterator[Margin]:
        """Shear at one wall; with the pull of what shears the brace out of its face."""
        _, _, Vz, _, _, _ = self.forces("ultimate")
        for name, line in lines.items():
            pull = np.broadcast_to((Vz / len(line.ids))[..., None], line.plane.shape)
            yield shear_tension(self.run, f"{self.head}/bolts in the {name}", f"gusset's bolt in the {name}",
                                self.make.hardware.bolt, line.plane, pull, line.places, before=line.steps)  # fmt: skip

    # --- plate -----------------------------------------------------------------------------------

    @property
    def width(self) -> tuple[float, Step]:
        """Effective width where the brace's bolts end, and its card."""
        line = {"Lc": (self.make.on_brace - 1) * self.make.pitch * 1e-9}
        return min(float(gusset.dispersion_width(**line)), 2 * self.make.edge * 1e-9), (
            "dispersion_width",
            line,
        )

    def _stresses(self, level: str, hole: float) -> tuple[Array, Array, Array, Cards]:
        """Axial, bending and shear stress (V, C), Pa, and their cards."""
        N, V, Vz, T, Mx, M = self.forces(level)
        t, h, (w, _) = (
            self.make.thickness * 1e-9,
            (self.place.tube.side - self.place.tube.wall) * 1e-9,
            self.width,
        )
        node = {"M": M, "V": V, "s": self.meeting.setback * 1e-9}
        share = {"N": N, "Mx": Mx, "h": h}
        axial = {"P": gusset.gusset_force(**share), "w": w, "D": hole, "t": t}
        bent = {"M": gusset.moment_at_node(**node), "Vz": Vz, "L": self.clear, "w": w, "t": t}
        sheared = {"V": V, "T": T, "h": h, "w": w, "t": t}
        cards = (("moment_at_node", node), ("gusset_force", share), ("gusset_axial", axial), ("gusset_bending", bent),
                 ("gusset_shear", sheared))  # fmt: skip
        return (
            gusset.gusset_axial(**axial),
            gusset.gusset_bending(**bent),
            gusset.gusset_shear(**sheared),
            cards,
        )

    def _about(self, what: str, mode: str) -> tuple[Subject, str]:
        row = self.run.rack.rows.materials[self.make.material]
        about = Subject(
            f"{self.head}/{what}", mode, f"{row.id}, lower direction: {row.known}", row.unconfirmed, "1"
        )
        named = {name: row.strength(name) for name in ("Ftu", "Fty", "Fcy")} | {"Fsu": row.Fsu, "Ec": row.Ec}
        gone = [name for name, value in named.items() if value is None]
        why = f"{row.id} gives no {', '.join(gone)}" if gone else ""
        if not row.covers(self.make.thickness * 1e-9):
            why = f"{row.id} is not valid for {self.make.thickness / 25_400_000:.4g} in"
        if self.width[0] <= self.make.hardware.hole * 1e-9:
            why = "no metal is left beside the hole in the effective width: use a longer line of bolts"
        return about, why

    def _pulled(self, level: str) -> Margin:
        yielding = level == "limit"
        about, why = self._about("gusset yield" if yielding else "gusset", "gusset at yield" if yielding else (
            "gusset in tension, bending and shear"))  # fmt: skip
        if yielding:
            about = replace(about, level="yield", unit="Pa")
        if why:
            return missing(about, why)
        row, k = self.run.rack.rows.materials[self.make.material], self.run.fitting_factor
        Ftu, Fty, Fsu = (value or np.nan for value in (row.strength("Ftu"), row.strength("Fty"), row.Fsu))
        f, fb, fs, cards = self._stresses(level, self.make.hardware.hole * 1e-9)

        def first(at: Index) -> tuple[Step, ...]:
            return self.width[1], *_at(cards, at)

        if yielding:
            stress = np.asarray(interaction.equivalent_stress(f + fb, fs))

            def equal(at: Index) -> tuple[Step, ...]:
                both = {"sigma": float((f + fb)[at[:2]]), "tau": float(fs[at[:2]])}
                return *first(at), ("equivalent_stress", both)

            return ratio(self.run.context(level), about, stress, Fty, k, equal)
        Rt, Rb, Rs = k * f / Ftu, k * fb / Ftu, k * fs / Fsu
        straight = 1 / np.asarray(interaction.tension_bending(Rt, Rb))

        def steps(at: Index) -> tuple[Step, ...]:
            v = at[:2]
            return (*first(at), ("tension_bending", {"Rt": float(Rt[v]), "Rb": float(Rb[v])}),
                    ("bending_shear", {"Rb": float(straight[v]), "Rs": float(Rs[v])}))  # fmt: skip

        return from_factor(
            self.run.context(level), about, np.asarray(interaction.bending_shear(straight, Rs)), k, steps
        )

    def _pressed(self) -> Margin:
        about, why = self._about("gusset buckling", "gusset pressed, as a column free to sway")
        if why:
            return missing(about, why)
        row, k, t = (
            self.run.rack.rows.materials[self.make.material],
            self.run.fitting_factor,
            self.make.thickness * 1e-9,
        )
        Fcy, Fsu, Ec = (value or np.nan for value in (row.strength("Fcy"), row.Fsu, row.Ec))
        slim = {"L": SWAY * self.clear, "rho": t / float(np.sqrt(12))}
        bent = {"E": Ec, "Fcc": Fcy, "s": float(column.slenderness(**slim))}
        Fc, PE = float(column.johnson_euler(**bent)), float(column.euler_stress(Ec, bent["s"]))
        f, fb, fs, cards = self._stresses("ultimate", 0.0)
        Rc, Rb, RE, Rs = k * f / Fc, k * fb / Fcy, k * f / PE, k * fs / Fsu

        def steps(at: Index) -> tuple[Step, ...]:
            v = at[:2]
            each = {"Rc": Rc, "Rb": Rb, "RE": RE, "Rs": Rs}
            return (
                self.width[1],
                *_at(cards, at),
                ("slenderness", slim), ("johnson_euler", bent), ("euler_stress", {"E": Ec, "s": bent["s"]}),
                ("beam_column_shear", {name: float(ratio_[v]) for name, ratio_ in each.items()}),
            )  # fmt: skip

        found = np.asarray(interaction.beam_column_shear(Rc, Rb, RE, Rs), dtype=float)
        return from_factor(self.run.context("ultimate"), about, found, k, steps)


def _named(margin: Margin, places: tuple[str, ...]) -> Margin:
    """The bolt by its number at this end."""
    if not margin.place:
        return margin
    return replace(margin, place=places[int(margin.place.removeprefix("bolt ")) - 1])

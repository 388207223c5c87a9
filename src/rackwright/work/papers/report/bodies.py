"""Free bodies, deformed shapes and mode shapes of a rack, and the model checked against hand calculation.

A free body is the whole rack cut loose from the floor: the inertia of its masses at their common centre of gravity,
and what straps, pads and held points put on it. Forces in aircraft axes, moments about that centre of gravity. The
sum must vanish; what is left of it is printed, as a share of the applied force.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.design import Design
from rackwright.papers.table import Block, Picture, Section, Table, Text
from rackwright.papers.wires import Arrow, Panel, Place, Wire, panels_svg
from rackwright.rack import aircraft_axes
from rackwright.strength.analyse import BALANCE
from rackwright.strength.cases import LoadCase
from rackwright.strength.rack_frame import PRETENSIONS
from rackwright.strength.run import Run
from rackwright.units import unit_factor
from rackwright.work.papers.words import digits, in_unit, number, same_way, short_names

__all__ = ["Body", "Held", "body_places", "body_sections", "deformed_blocks", "mode_pictures"]

Array = NDArray[np.float64]
DRAWN = 2  # variants in the picture: the low and the high pretension, joints continuous
BETWEEN = np.linspace(0.0, 1.0, 7)
LBF = float(unit_factor("lbf"))


@dataclass(frozen=True, eq=False)
class Held:
    """One force of the outside on the rack: name, place (m) and force (N) in rack axes, moment (N·m)."""

    name: str
    kind: str  # strap, pad, foot, spring
    at: Array
    force: Array
    moment: Array


@dataclass(frozen=True, eq=False)
class Body:
    """The free body of one case at one pretension (a number into PRETENSIONS)."""

    run: Run
    case: int
    v: int

    @cached_property
    def mass(self) -> float:
        return float(self.run.response.mass[self.v])

    @cached_property
    def cg(self) -> Array:
        """Centre of gravity of the frame's masses, m, rack axes."""
        f = self.run.model.frame
        start = f.xyz[self.v, f.members.ends[:, 0]] + f.members.offset[self.v, :, 0]
        end = f.xyz[self.v, f.members.ends[:, 1]] + f.members.offset[self.v, :, 1]
        own = f.members.rho[self.v] * f.members.A[self.v] * np.linalg.norm(end - start, axis=1)
        moved = self.run.response.cases.moved  # items on isolators, past their seats
        at = f.masses.xyz[self.v] if moved is None else f.masses.xyz[self.v] + moved[self.v, self.case]
        total = own @ ((start + end) / 2) + f.masses.m[self.v] @ at
        return self.drawn(total / self.mass)

    def drawn(self, at: Array) -> Array:
        """Where a place of the rack's own axes lies once the rack rests, in rack axes as drawn."""
        settled = self.run.settled
        return np.asarray(settled.turn[self.v, self.case] @ at + settled.shift[self.v, self.case])

    @property
    def applied(self) -> Array:
        return np.asarray(self.mass * self.run.cases[self.case].inertia)

    @cached_property
    def held(self) -> tuple[Held, ...]:
        """Every force of the outside that is not zero."""
        r, f, v, settled = self.run.response, self.run.model.frame, self.v, self.run.settled
        here = v, self.case
        found = []
        marks = short_names("S", self.run.model.straps)
        for n, name in enumerate(self.run.model.straps):
            force = r.tie_force[here][n] * (settled.turn[here] @ settled.way[here][n])
            found.append(Held(marks[name], "strap", self.drawn(settled.eye[here][n]), force, np.zeros(3)))
        for n, name in enumerate(self.run.model.pads):
            push = r.pad_force[here][n] * (settled.turn[here] @ settled.push[here][n])
            found.append(Held(name, "pad", self.drawn(settled.pad[here][n]), push, np.zeros(3)))
        for node in np.flatnonzero(f.fixed.any(axis=1)):
            force = r.reaction[v, self.case, node]
            found.append(Held(self.run.model.nodes[node], "foot", f.xyz[v, node], force[:3], force[3:]))
        for n, node in enumerate(f.springs.node):
            one = np.zeros(6)
            one[f.springs.freedom[n]] = r.spring_force[v, self.case, n]
            found.append(Held(self.run.model.nodes[node], "spring", f.xyz[v, node], one[:3], one[3:]))
        return tuple(
            one for one in found if np.abs(one.force).max() > 1e-9 or np.abs(one.moment).max() > 1e-9
        )

    def about_cg(self, one: Held) -> Array:
        return np.asarray(one.moment + np.cross(one.at - self.cg, one.force))

    @cached_property
    def left(self) -> tuple[Array, Array]:
        """What is left of the sum: force and moment about the centre of gravity."""
        force = self.applied + sum((one.force for one in self.held), np.zeros(3))
        return force, np.asarray(sum((self.about_cg(one) for one in self.held), np.zeros(3)))


def body_sections(design: Design) -> Iterator[Section]:
    """A page a case: the drawing at both pretensions, and the table whose sum is nothing."""
    run = design.strength.run
    if run is None:
        return
    loose = dict(design.strength.loose)
    for c, case in enumerate(run.cases):
        if case.id in loose:
            words = f"There is no equilibrium: {loose[case.id]}."
            yield Section(f"Case {case.id}", (Text(words, "caution"),), level=2)
            continue
        bodies = [Body(run, c, v) for v in range(len(PRETENSIONS))]
        words = (
            "On the rack: inertia (heavy) at the centre of gravity, straps pulling at their rings (S), pads pushing "
            "from below (by corner). Arrows by size, lbf beside."
        )
        drawn = _drawn(design, case, bodies[:DRAWN])
        words = f"{words} {_turn_in_words(design)}"
        picture = Picture(drawn, f"Free body in {case.id} at both pretensions", words)
        yield Section(
            f"Case {case.id}", (picture, _table(design, bodies), _rest(bodies)), level=2, new_page=True
        )


def _turn_in_words(design: Design) -> str:
    """How the axes of the drawing and of the places lie in those of the forces' table."""
    aircraft = design.rack.definition.aircraft
    assert aircraft is not None
    ways = []
    for name, row in zip(("forward", "left", "up"), aircraft_axes(aircraft.forward), strict=True):
        n = int(np.abs(row).argmax())
        ways.append(f"{name} is {'+' if row[n] > 0 else '−'}{'xyz'[n]}")
    return f"Drawn in rack axes (x right, y rear, z up), in which the aircraft's {', '.join(ways)}."


def body_places(design: Design) -> Iterator[Block]:
    """Where inertia, straps and pads act on the rack cut loose."""
    run = design.strength.run
    if run is None:
        return
    yield Text(
        "The rack cut loose from the floor. The inertia of its masses, items at their mass plus "
        "tolerance, acts at their "
        "common centre of gravity; straps, pads and held points hold it. Nothing else acts, and the sum must vanish."
    )
    body = Body(run, 0, 0)
    rows = [("centre of gravity", f"{in_unit(body.mass, 'lb', 2)}", *_inches(body.cg), "–")]
    f = run.model.frame
    for mark, name, n in zip(
        short_names("S", run.model.straps).values(), run.model.straps, range(99), strict=False
    ):
        eye = f.xyz[0, f.ties.node[n, 0]] + f.ties.offset[0, n, 0]
        way = f.ties.offset[0, n, 1] - eye
        toward = ", ".join(number(float(x), 4) for x in way / np.linalg.norm(way))
        rows.append((f"strap {mark}", name, *_inches(eye), toward))
    for n, name in enumerate(run.model.pads):
        at = f.xyz[0, f.pads.node[n]] + f.pads.offset[0, n]
        rows.append((f"pad {CORNERS.get(name, name)}", name, *_inches(at), ", ".join(
            number(float(x), 4) for x in f.pads.push[0, n, :3])))  # fmt: skip
    yield Table(
        "Where the forces act on the rack as drawn: rack axes, in",
        ("", "", "x", "y", "z", "direction of the force on the rack"),
        tuple(rows),
        align="llrrrl",
        note="A strap's point is the centre of its ring's eye; it pulls towards its floor fitting. Each "
        "case has moved a little from here: the places where it comes to rest stand with it, and with them its moments "
        "vanish.",
    )


def _inches(at: Array) -> tuple[str, str, str]:
    x, y, z = (in_unit(float(v), "in", 3, unit=False) for v in at)
    return x, y, z


CORNERS = {"front-left": "FL", "front-right": "FR", "rear-left": "RL", "rear-right": "RR"}


def _drawn(design: Design, case: LoadCase, bodies: list[Body]) -> str:
    panels = []
    for body, name in zip(bodies, PRETENSIONS, strict=False):
        arrows = [Arrow(_place(body.cg), _place(body.applied), _lbf(body.applied), applied=True)]
        arrows += [
            Arrow(_place(one.at), _place(one.force), f"{CORNERS.get(one.name, one.name)} {_lbf(one.force)}",
                  pushes=one.kind != "strap")
            for one in body.held
        ]  # fmt: skip
        panels.append(Panel(f"{name} pretension", (*_still(body.run, "frame"), *_rings(body.run)), tuple(arrows),
                            ((_place(body.cg), ""),)))  # fmt: skip
    return panels_svg(panels, 2, 92, f"Free body of {design.rack.definition.part} in {case.id}")


def _rings(run: Run) -> tuple[Wire, ...]:
    f = run.model.frame
    nodes = f.xyz[0, f.ties.node[:, 0]]
    return tuple(
        Wire((_place(a), _place(a + o)), "frame") for a, o in zip(nodes, f.ties.offset[0, :, 0], strict=True)
    )


def _table(design: Design, bodies: list[Body]) -> Table:
    aircraft = design.rack.definition.aircraft
    assert aircraft is not None
    turn = aircraft_axes(aircraft.forward)

    def three(vector: Array, unit: float, places: int) -> tuple[str, ...]:
        return tuple(number(float(x) / unit, places) for x in turn @ vector)

    def row(name: str, parts: list[Array | None], unit: float = LBF) -> tuple[str, ...]:
        texts = [("idle", "–", "–") if part is None else three(part, unit, 0) for part in parts]
        return (name, *(text for three_of in texts for text in three_of))

    held = [{(one.kind, one.name): one for one in body.held} for body in bodies]
    names = dict.fromkeys((one.kind, one.name) for body in bodies for one in body.held)
    rows = [row("inertia", [body.applied for body in bodies])]
    rows += [
        row(
            f"{kind} {CORNERS.get(name, name)}",
            [side[kind, name].force if (kind, name) in side else None for side in held],
        )
        for kind, name in names
    ]
    rows += [
        row("sum that holds", [sum((o.force for o in body.held), np.zeros(3)) for body in bodies]),
        row("left over", [body.left[0] for body in bodies]),
        row("moment, lbf·in", [body.left[1] for body in bodies], LBF * 0.0254),
    ]
    size = [float(np.linalg.norm(body.applied)) or 1.0 for body in bodies]
    share = max(float(np.abs(body.left[0]).max()) / n for body, n in zip(bodies, size, strict=True))
    little = f"less than {BALANCE:.0e}" if share < BALANCE else digits(share, 2)  # its digits are rounding
    short = {name: name.replace(", flexible joints", " f.") for name in PRETENSIONS}
    return Table(
        "Forces on the rack, lbf, aircraft axes: x forward, y left, z up",
        ("", *(f"{axis}, {short[name]}" for name in PRETENSIONS for axis in "xyz")),
        tuple(rows),
        align="l" + "r" * 3 * len(PRETENSIONS),
        widths=(2.3, *(1,) * 3 * len(PRETENSIONS)),
        note=f"What is left over is {little} of the inertia; its moment is about the centre of gravity. A strap or "
        "pad in no row is idle. Low, high: pretension; f.: flexible joints. Drawn: continuous joints; "
        "centres of gravity nominal, at the temperature as fixed, while the margins also stand at the corners of "
        "their tolerance, and hot and cold where that is entered.",
    )


def _rest(bodies: list[Body]) -> Table:
    """Where each force acts once the rack rests: with these places the moments vanish."""
    held = [{(one.kind, one.name): one for one in body.held} for body in bodies]
    names = dict.fromkeys(key for side in held for key in side)
    rows = [("centre of gravity", *(text for body in bodies for text in _inches(body.cg)))]
    rows += [
        (f"{kind} {CORNERS.get(name, name)}",
         *(text for side in held for text in (_inches(side[kind, name].at) if (kind, name) in side else ("–",) * 3)))
        for kind, name in names
    ]  # fmt: skip
    short = {name: name.replace(", flexible joints", " f.") for name in PRETENSIONS}
    return Table(
        "Where they act once the rack rests: rack axes as drawn (x right, y rear, z up), in",
        ("", *(f"{axis}, {short[name]}" for name in PRETENSIONS for axis in "xyz")),
        tuple(rows), align="l" + "r" * 3 * len(PRETENSIONS), widths=(2.3, *(1,) * 3 * len(PRETENSIONS)), dense=True,
    )  # fmt: skip


# --- shapes --------------------------------------------------------------------------------------


def deformed_blocks(design: Design) -> Iterator[Block]:
    """Every case's shape at the pretension that moves it more, all magnified alike within a case."""
    run = design.strength.run
    if run is None:
        return
    size = np.linalg.norm(run.settled.travel[..., :3], axis=-1).max(axis=2)  # (V, C)
    panels = []
    for c, case in enumerate(run.cases):
        if not np.isfinite(size[:, c]).all():
            continue
        v = int(np.argmax(size[:, c]))
        factor = _round(0.1 * _height(run) / max(float(size[v, c]), 1e-12))
        moved = _moved(run, run.settled.travel[v, c] * factor)
        title = f"{case.id} × {factor:g}"
        panels.append(Panel(title, (*_still(run, "still"), *moved)))
    if panels:
        picture = panels_svg(panels, 3, 70, f"Deformed shapes of {design.rack.definition.part}")
        caption = (
            "Deformed shapes, of the variant that moves most, each magnified as written above it; thin: as it stood. "
            "Rack axes."
        )
        yield Picture(picture, "Deformed shape of every load case", caption)


def mode_pictures(design: Design) -> Iterator[Block]:
    """The shapes of the natural frequencies that are given; their size means nothing."""
    run, modes = design.strength.run, design.modes
    if run is None:
        return
    panels = []
    for n, hz in enumerate(design.modes_hz):
        shape = same_way(modes.motion.node[n])
        largest = float(np.linalg.norm(shape[:, :3], axis=1).max())
        moved = _moved(run, shape * 0.12 * _height(run) / largest)
        panels.append(Panel(f"mode {n + 1}: {number(hz, 2)} Hz", (*_still(run, "still"), *moved)))
    if panels:
        picture = panels_svg(panels, 4, 62, f"Mode shapes of {design.rack.definition.part}")
        yield Picture(picture, "Mode shapes", "Mode shapes, of no particular size; thin: at rest. Rack axes.")


def _height(run: Run) -> float:
    return float(np.ptp(run.model.frame.xyz[0], axis=0).max())


def _round(factor: float) -> float:
    """The largest of 1, 2, 5, 10, 20 ... that is not above it, at least 1."""
    power = 10.0 ** np.floor(np.log10(max(factor, 1.0)))
    return float(max(m * power for m in (1, 2, 5) if m * power <= max(factor, 1.0) * (1 + 1e-9)))


def _still(run: Run, style: str) -> tuple[Wire, ...]:
    """The frame's members and their stiff ends as straight lines; panels' bars are left out."""
    xyz = run.model.frame.xyz[0]
    return tuple(
        Wire((_place(xyz[i]), _place(a), _place(b), _place(xyz[j])), style) for a, b, i, j, _ in _members(run)
    )


def _members(run: Run) -> Iterator[tuple[Array, Array, int, int, int]]:
    f = run.model.frame
    for n, segment in enumerate(run.model.segments):
        if segment.kind != "panel":
            i, j = (int(x) for x in f.members.ends[n])
            yield (f.xyz[0, i] + f.members.offset[0, n, 0], f.xyz[0, j] + f.members.offset[0, n, 1], i, j, n)


def _moved(run: Run, motion: Array) -> tuple[Wire, ...]:
    """The members moved (N, 6), each a cubic between its ends that meets their turns where it is joined stiffly."""
    f = run.model.frame
    wires = []
    for a, b, i, j, n in _members(run):
        ends = [
            motion[k, :3] + np.cross(motion[k, 3:], f.members.offset[0, n, e]) for e, k in enumerate((i, j))
        ]
        length = float(np.linalg.norm(b - a))
        way = (b - a) / length
        chord = (ends[1] - ends[0]) / length
        slopes = []
        for e, k in enumerate((i, j)):
            free = (
                not np.isfinite(f.members.end_spring[0, n, e]).all()
                or not f.members.end_spring[0, n, e].any()
            )
            slopes.append(chord if free else np.cross(motion[k, 3:], way))
        points = [_place(f.xyz[0, i] + motion[i, :3])]
        for s in BETWEEN:
            h = (2 * s**3 - 3 * s**2 + 1, s**3 - 2 * s**2 + s, -2 * s**3 + 3 * s**2, s**3 - s**2)
            u = h[0] * ends[0] + h[1] * length * slopes[0] + h[2] * ends[1] + h[3] * length * slopes[1]
            points.append(_place(a + s * (b - a) + u))
        points.append(_place(f.xyz[0, j] + motion[j, :3]))
        wires.append(Wire(tuple(points), "moved"))
    return tuple(wires)


def _place(vector: Array) -> Place:
    x, y, z = (float(v) for v in vector)
    return x, y, z


def _lbf(vector: Array) -> str:
    return in_unit(float(np.linalg.norm(vector)), "lbf", 0, unit=False)

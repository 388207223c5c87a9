"""Rings: eye as a lug, leg at the root of its bend, flat at its bolts, holes, and the bolts themselves.

Every check runs over the whole cone of directions that installation and drawing allow (`pulls.py`); the one that
governs is named. The pull is split in the ring's own axes: along its leg, across it in the ring's width, and off the
leg's plane. At the eye the part off the plane is counted with the axial part; axial and transverse strength combine
as Ra^1.6 + Rtr^1.6 = 1, the transverse strength taken as the lower of the same three modes at the side ligament. At
the bend the bar is curved and as thin as its drawing allows after bending: the part off the plane, and the axial part
at its offset from the mid-plane, bend it across the thickness (inner fibre of a curved bar), the part across bends it
in its width. The flat bears the whole moment of the pull about its bolts, less their holes in its width. At each hole
bearing and shear-out count, the bearing strength being that for e/D 2: nearer to an edge there is no margin. The
joint's bolts hold the ring: in-plane by the elastic vector method, off-plane with prying about the ring's edge, on
top of what the joint itself asks of them. Where limit cases are given, eye, bend, flat and holes are held to yield by
the same methods: bearing yield, Fty across the eye and in bending, each elastic; shear-out is not, for no shear yield
is sourced, and the oblique exponent is that of ultimate tests. Twist of the leg by the offset, washers and the tube's
wall under them are not counted here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import fastener, interaction, lug, section
from rackwright.pieces.frame_pieces import tube_places
from rackwright.pieces.tiedown import RingPlace, ring_place
from rackwright.rack.model import Ring, RingAllowable, RingMake
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.fibre import fibre_steps
from rackwright.strength.checks.joint import joint_bolt_loads
from rackwright.strength.factors import Special, special
from rackwright.strength.frame import crossed
from rackwright.strength.margin import Context, Index, Margin, Step, Subject, from_factor, missing, ratio
from rackwright.strength.pulls import Pulls, pulls_at, wear_of
from rackwright.strength.run import Run

__all__ = ["rings"]

Array = NDArray[np.float64]
MODES = {
    "eye": "ring eye as lug", "bend": "ring at the root of its bend, elastic",
    "flat": "ring flat at its bolts, elastic",
    "holes": "ring at its bolt holes", "bolts": "ring bolts in shear and tension",
}  # fmt: skip
NO_YIELD = "the ring's material has no bearing yield strength with a document"


@dataclass(frozen=True, eq=False)
class _Ring:
    """A ring under its pulls: force (V, C, K, 3), and its strength as a document states it."""

    run: Run
    ring: Ring
    make: RingMake
    given: RingAllowable
    place: RingPlace
    pulls: Pulls
    special: Special
    level: str = "ultimate"

    @property
    def limit(self) -> bool:
        return self.level == "limit"

    @property
    def tensile(self) -> float:
        """Ftu; Fty in limit cases."""
        return self.given.Fty if self.limit else self.given.Ftu

    @property
    def bearing(self) -> float | None:
        """Fbru; Fbry in limit cases, where the document may not state it."""
        return self.given.Fbry if self.limit else self.given.Fbru

    @property
    def context(self) -> Context:
        return self.run.context(self.level)

    def about(self, check: str, unit: str, places: tuple[str, ...] = ()) -> Subject:
        source = f"{self.given.document}; factor: {self.special.source}"
        tail, level = (", yield", "yield") if self.limit else ("", "ultimate")
        return Subject(f"ring.{self.ring.name}/{check}{tail}", f"{MODES[check]}{tail}", source, self.special.doubt,
                       unit, level, places or self.pulls.places, self.pulled)  # fmt: skip

    @cached_property
    def pulled(self) -> Array:
        """(V, C, K) size of the pull: what a test of the ring would apply."""
        return np.asarray(np.linalg.norm(self.pulls.force, axis=-1))

    def gone(self, check: str, unit: str, why: str) -> Margin:
        """A margin that is missing, with what a test would have to show."""
        return missing(self.about(check, unit), why, None, self.context, self.special.value)

    @property
    def arm(self) -> Array:
        """From the middle of the bolts to the eye."""
        return self.place.eye - self.place.root

    def moment(self, axis: Array) -> Array:
        """(V, C, K) size of the pull's moment about an axis through the middle of the bolts, F·(a × arm)."""
        return np.asarray(np.abs(self.pulls.force @ crossed(axis, self.arm)))

    @property
    def held(self) -> list[int]:
        """Numbers of the post's bolts that hold the ring."""
        pattern = self.run.rack.definition.joint.post
        return [n for n, bolt in enumerate(pattern) if bolt.through == self.ring.face[1]]

    @property
    def heights(self) -> Array:
        """Of those bolts along the post, from their middle, m."""
        z = np.array([self.run.rack.definition.joint.post[n].at for n in self.held]) * 1e-9
        return np.asarray(z - z.mean())


def rings(run: Run) -> Iterator[Margin]:
    """Margins of every ring that a strap pulls at."""
    d = run.rack.definition
    for ring in d.ring:
        rows = [n for n, strap in enumerate(d.strap) if strap.ring == ring.name]
        if not rows:
            continue
        make, part = d.ring_make, special(run.rack, f"ring.{ring.name}", wear_of(run, rows))
        pulls = pulls_at(run, rows)
        assert make is not None
        why = ""
        if make.allowable is None:
            why = "the ring's material has no strength with a document"
        elif pulls is None:
            why = "no cone of directions is stated for its strap"
        elif part.missing:
            why = part.missing
        if why or pulls is None or make.allowable is None:
            asks = run.tension("ultimate")[..., rows].sum(axis=-1)
            for check, mode in MODES.items():
                about = Subject(f"ring.{ring.name}/{check}", mode, "", asks=asks)
                yield missing(about, why, None, run.context("ultimate"), part.value)
        else:
            one = _Ring(run, ring, make, make.allowable, ring_place(run.rack, ring), pulls, part)
            yield from (_eye(one), _bend(one), _flat(one), _holes(one), _bolts(one))
            limit = pulls_at(run, rows, "limit") if run.chosen("limit") else None
            if limit is not None:
                one = replace(one, pulls=limit, level="limit")
                yield from (_eye(one), _bend(one), _flat(one), _holes(one))


def _eye(one: _Ring) -> Margin:
    pull, place, make, given = one.pulls.force, one.place, one.make, one.given
    t, D, W, e = (value * 1e-9 for value in (make.thickness, make.eye, make.width, make.eye_edge))
    if one.bearing is None:
        return one.gone("eye", "1", NO_YIELD)
    ways: dict[str, dict[str, float]] = {
        "lug_bearing": {"Fbr": one.bearing, "D": D, "t": t},
        "lug_net_tension": {"Ftu": one.tensile, "W": W, "D": D, "t": t},
    }
    side = {"lug_bearing": ways["lug_bearing"]}
    if not one.limit:  # shear-out is a way to break; no yield in shear is stated
        ways["lug_shear_out_40"] = {"Fsu": given.Fsu, "D": D, "e": e, "t": t}
        side["lug_shear_out_40"] = {"Fsu": given.Fsu, "D": D, "e": W / 2, "t": t}
    along, weakest = min((float(getattr(lug, name)(**values)), name) for name, values in ways.items())
    sideways, weakest_side = min((float(getattr(lug, name)(**values)), name) for name, values in side.items())
    factor = one.special.value
    Ra = factor * np.hypot(pull @ place.leg, pull @ place.off) / along
    Rtr = factor * np.abs(pull @ place.across) / sideways

    def steps(at: Index) -> tuple[Step, ...]:
        both = {"Ra": float(Ra[at]), "Rtr": float(Rtr[at])}
        return (
            *one.special.steps,
            (weakest, ways[weakest]),
            (weakest_side, side[weakest_side]),
            ("lug_oblique", both),
        )

    about = one.about("eye", "1")
    return from_factor(one.context, about, interaction.lug_oblique(Ra, Rtr), factor, steps)


def _bend(one: _Ring) -> Margin:
    pull, place, make, root = one.pulls.force, one.place, one.make, one.make.root
    if root is None:
        return one.gone("bend", "Pa", "the ring's drawing does not state radius, least thickness and offset")
    t, w, reach = root.least_thickness * 1e-9, make.width * 1e-9, make.leg_reach * 1e-9
    ri, offset = root.inside_radius * 1e-9, root.pull_offset * 1e-9
    axial, across, off = np.abs(pull @ place.leg), np.abs(pull @ place.across), np.abs(pull @ place.off)
    wide = float(section.rectangle_inertia(t, w))
    bent = off * reach + axial * offset
    curved, sideways = lug.curved_bar_inner(bent, w, t, ri), across * reach * (w / 2) / wide
    stress = curved + sideways + axial / (w * t)

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            *one.special.steps,
            ("curved_bar_inner", {"M": float(bent[at]), "b": w, "h": t, "ri": ri}),
            ("bending_stress", {"M": float(across[at]) * reach, "I": wide, "c": w / 2}),
            *fibre_steps(float(axial[at]), w * t, float(curved[at]), float(sideways[at])),
        )

    return ratio(one.context, one.about("bend", "Pa"), stress, one.tensile, one.special.value, steps)


def _flat(one: _Ring) -> Margin:
    """The flat part at its bolts: bent off the face and in it by the pull at the eye, less the holes in its width."""
    pull, place, make, root = one.pulls.force, one.place, one.make, one.make.root
    if root is None:
        return one.gone("flat", "Pa", "the ring's drawing does not state the offset of the pull")
    across = crossed(place.normal, place.along)
    swing, along = one.moment(place.normal), np.abs(pull @ place.along)
    lift = one.moment(across) + np.abs(pull @ place.leg) * root.pull_offset * 1e-9
    side_by_side = (
        len(one.held) if abs(float(place.along[2])) < 0.7 else 1
    )  # the bolts stand in the post's direction
    t, hole = make.thickness * 1e-9, one.run.rack.definition.joint.hardware.hole * 1e-9
    w = make.width * 1e-9 - side_by_side * hole
    thin, wide = float(section.rectangle_inertia(w, t)), float(section.rectangle_inertia(t, w))
    off, sideways = lift * (t / 2) / thin, swing * (w / 2) / wide
    stress = off + sideways + along / (w * t)

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            *one.special.steps,
            ("bending_stress", {"M": float(lift[at]), "I": thin, "c": t / 2}),
            ("bending_stress", {"M": float(swing[at]), "I": wide, "c": w / 2}),
            *fibre_steps(float(along[at]), w * t, float(off[at]), float(sideways[at])),
        )

    return ratio(one.context, one.about("flat", "Pa"), stress, one.tensile, one.special.value, steps)


def _shares(one: _Ring) -> Array:
    """(V, C, K, bolts) shear of the pull on each bolt, N: an equal part of the pull and its twist about the bolts."""
    z = np.abs(one.heights)
    spread = float(np.sum(z**2))
    flat, twist = _in_plane(one)
    return np.asarray(flat[..., None] / len(z) + twist[..., None] * _levers(one, z, spread))


def _in_plane(one: _Ring) -> tuple[Array, Array]:
    """(V, C, K) pull in the plane of the face, N, and its twist about the bolts, N·m."""
    pull, place = one.pulls.force, one.place
    return np.hypot(pull @ place.along, pull @ crossed(place.normal, place.along)), one.moment(place.normal)


def _edge(one: _Ring) -> float:
    """Half of what presses on the post, m: the arm of a single bolt, and of prying across the bolts."""
    return min(one.make.width, one.run.rack.definition.tube.side) * 0.5e-9


def _levers(one: _Ring, z: Array, spread: float) -> Array:
    return np.asarray(z / spread if spread > 0 else np.full(len(z), 1.0 / _edge(one)))


def _every(one: _Ring) -> tuple[str, ...]:
    """Places of corners times bolts."""
    return tuple(f"bolt {n + 1}, {where}" for where in one.pulls.places for n in one.held)


def _holes(one: _Ring) -> Margin:
    """Bearing and shear-out of the ring at each of its bolt holes."""
    d, make, place = one.run.rack.definition, one.make, one.place
    D, t = one.run.rack.rows.bolts[d.joint.hardware.bolt].diameter, make.thickness * 1e-9
    across = crossed(place.normal, place.along)
    to_end = make.eye_edge * 1e-9 - np.abs(one.heights * float(place.along[2]))
    to_side = make.width * 0.5e-9 - np.abs(one.heights * float(across[2]))
    edge = float(min(to_end.min(), to_side.min()))
    about = one.about("holes", "N", _every(one))
    if edge / D < 2 - 1e-9:
        where = (
            f"a bolt hole's e/D is {edge / D:.2f}" if edge > 0 else "a bolt of the joint lies beside the ring"
        )
        return one.gone("holes", "N", f"{where}: the bearing strength stated is that for 2")
    if one.bearing is None:
        return one.gone("holes", "N", NO_YIELD)
    bear = {"Fbr": one.bearing, "D": D, "t": t}
    ways = {"bearing_strength": bear}
    able = [(float(fastener.bearing_strength(**bear)), "bearing_strength")]
    if not one.limit:
        tear = ways["lug_shear_out_40"] = {"Fsu": one.given.Fsu, "D": D, "e": edge, "t": t}
        able.append((float(lug.lug_shear_out_40(**tear)), "lug_shear_out_40"))
    allowable, weakest = min(able)

    def steps(at: Index) -> tuple[Step, ...]:
        return (*one.special.steps, (weakest, ways[weakest]))

    return ratio(one.context, about, _shares(one), allowable, one.special.value, steps)


def _bolts(one: _Ring) -> Margin:
    """The joint bolts under the ring: shear in the plane of the face, tension with prying off it."""
    run, pull, place = one.run, one.pulls.force, one.place
    z = np.abs(one.heights)
    spread = float(np.sum(z**2))
    up = np.array([0.0, 0.0, 1.0])
    tilt, roll = one.moment(crossed(place.normal, up)), one.moment(up)
    out = np.maximum(pull @ place.normal, 0.0)
    pry = (
        out[..., None] / len(z)
        + tilt[..., None] * _levers(one, z, spread)
        + roll[..., None] / (len(z) * _edge(one))
    )
    post = next(place for place in tube_places(run.rack) if place.id == f"post.{one.ring.post}")
    joint, asked = joint_bolt_loads(run, post, "low" if one.ring.end == "bottom" else "high")
    shear = _shares(one) + joint[..., one.held][:, :, None, :]
    flat = (*shear.shape[:2], -1)

    def steps(at: Index) -> tuple[Step, ...]:
        v, c, n = at
        plane, twist = _in_plane(one)
        corner, bolt = divmod(int(n), len(z))
        here, held = (v, c, corner), (v, c, one.held[bolt])
        where = {"n": float(len(z)), "z": float(z[bolt]), "S": spread} if spread > 0 else {
            "n": 1.0, "z": _edge(one), "S": _edge(one) ** 2}  # fmt: skip
        return (
            *asked(held),
            ("ring_bolt_shear", {"Pj": float(joint[held]), "V": float(plane[here]), "M": float(twist[here]), **where}),
            ("ring_bolt_pull", {"N": float(out[here]), "M": float(tilt[here]), "Mr": float(roll[here]),
                                "e": _edge(one), **where}),
        )  # fmt: skip

    return shear_tension(run, f"ring.{one.ring.name}/bolts", MODES["bolts"], run.rack.definition.joint.hardware.bolt,
                         shear.reshape(flat), pry.reshape(flat), _every(one), one.special, steps)  # fmt: skip

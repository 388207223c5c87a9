"""The tie-down link by link: ring eye as a lug, ring at its bend, ring bolts, strap, floor fitting, pad.

The strap's pull is split in the ring's own axes: along its leg, across it in the leg's plane, and off that
plane. At the eye the part off the plane is counted with the axial part; axial and transverse strength combine
as Ra^1.6 + Rtr^1.6 = 1, the transverse strength taken as the lower of the same three modes at the side
ligament. The bend carries the off-plane part as elastic bending across the thickness, the flat at its bolts the whole
moment of the pull about them. The two joint bolts
hold the ring: in-plane by the elastic vector method, off-plane with prying about the ring's edge, on top of
what the joint itself asks of them. Rings and floor fittings are judged on the vector sum of their straps.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import interaction, lug, section
from rackwright.pieces.frame_pieces import tube_places
from rackwright.pieces.tiedown import RingPlace, ring_place
from rackwright.rack.model import FloorFitting, Ring, RingMake, StrapType
from rackwright.strength.checks.bolted import shear_tension
from rackwright.strength.checks.joint import joint_bolt_loads
from rackwright.strength.margin import Index, Margin, Step, Subject, from_factor, missing, ratio
from rackwright.strength.run import Run

__all__ = ["strap_directions", "tiedown"]

Array = NDArray[np.float64]


def tiedown(run: Run) -> Iterator[Margin]:
    """Margins of rings, straps, fittings and pads."""
    d, tension = run.rack.definition, run.response.tie_force[:, run.chosen("ultimate")]
    ways = strap_directions(run)
    for ring in d.ring:
        rows = [n for n, strap in enumerate(d.strap) if strap.ring == ring.name]
        if rows:
            yield from _ring(run, ring, np.einsum("vcn,vni->vci", tension[..., rows], ways[:, rows]))
    types = {kind.name: kind for kind in d.strap_type}
    for n, strap in enumerate(d.strap):
        yield _strap(run, strap.name, types[strap.type], tension[..., n])
    for fitting in d.floor_fitting:
        rows = [n for n, strap in enumerate(d.strap) if strap.fitting == fitting.name]
        if rows:
            yield _fitting(run, fitting, -np.einsum("vcn,vni->vci", tension[..., rows], ways[:, rows]))
    yield from _pads(run)


def strap_directions(run: Run) -> Array:
    """(V, straps, 3) unit vectors from the ring's eye to the fitting, rack axes: the pull on the ring."""
    ties, xyz = run.model.frame.ties, run.model.frame.xyz
    eye = xyz[:, ties.node[:, 0]] + ties.offset[:, :, 0]
    way = ties.offset[:, :, 1] - eye
    return np.asarray(way / np.linalg.norm(way, axis=-1, keepdims=True))


def _strap(run: Run, name: str, kind: StrapType, tension: Array) -> Margin:
    about = Subject(f"strap.{name}/tension", "strap", kind.document or "")
    if kind.allowable_ultimate is None or kind.document is None:
        return missing(about, f"strap {kind.name} has no allowable with a document")
    return ratio(run.context("ultimate"), about, tension, kind.allowable_ultimate, run.fitting_factor)


def _ring(run: Run, ring: Ring, pull: Array) -> Iterator[Margin]:
    make = run.rack.definition.ring_make
    assert make is not None
    place = ring_place(run.rack, ring)
    axial, across, off = pull @ place.leg, np.abs(pull @ place.across), np.abs(pull @ place.off)
    yield _eye(run, f"ring.{ring.name}/eye", make, np.hypot(axial, off), across)
    yield _bend(run, f"ring.{ring.name}/bend", make, axial, across, off)
    yield _flat(run, ring, make, place, pull)
    yield _ring_bolts(run, ring, make, place, pull)


def _eye(run: Run, id: str, make: RingMake, axial: Array, across: Array) -> Margin:
    given, mode = make.allowable, "ring eye as lug"
    if given is None:
        return missing(Subject(id, mode, ""), "the ring's material has no strength with a document")
    t, D, W, e = (value * 1e-9 for value in (make.thickness, make.eye, make.width, make.eye_edge))
    ways: dict[str, dict[str, float]] = {
        "lug_bearing": {"Fbr": given.Fbru, "D": D, "t": t},
        "lug_net_tension": {"Ftu": given.Ftu, "W": W, "D": D, "t": t},
        "lug_shear_out_40": {"Fsu": given.Fsu, "D": D, "e": e, "t": t},
    }
    side = {
        "lug_bearing": ways["lug_bearing"],
        "lug_shear_out_40": {"Fsu": given.Fsu, "D": D, "e": W / 2, "t": t},
    }
    along, weakest = min((float(getattr(lug, name)(**values)), name) for name, values in ways.items())
    sideways, weakest_side = min((float(getattr(lug, name)(**values)), name) for name, values in side.items())
    Ra, Rtr = run.fitting_factor * axial / along, run.fitting_factor * across / sideways

    def steps(at: Index) -> tuple[Step, ...]:
        both = {"Ra": float(Ra[at[:2]]), "Rtr": float(Rtr[at[:2]])}
        return (weakest, ways[weakest]), (weakest_side, side[weakest_side]), ("lug_oblique", both)

    about = Subject(id, mode, given.document, unit="1")
    return from_factor(
        run.context("ultimate"), about, interaction.lug_oblique(Ra, Rtr), run.fitting_factor, steps
    )


def _bend(run: Run, id: str, make: RingMake, axial: Array, across: Array, off: Array) -> Margin:
    given, mode = make.allowable, "ring at its bend, elastic"
    if given is None:
        return missing(Subject(id, mode, ""), "the ring's material has no strength with a document")
    t, w, reach = make.thickness * 1e-9, make.width * 1e-9, make.leg_reach * 1e-9
    thin, wide = float(section.rectangle_inertia(w, t)), float(section.rectangle_inertia(t, w))
    stress = off * reach * (t / 2) / thin + across * reach * (w / 2) / wide + np.abs(axial) / (w * t)

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            ("bending_stress", {"M": float(off[at[:2]]) * reach, "I": thin, "c": t / 2}),
            ("bending_stress", {"M": float(across[at[:2]]) * reach, "I": wide, "c": w / 2}),
        )

    about = Subject(id, mode, given.document, unit="Pa")
    return ratio(run.context("ultimate"), about, stress, given.Ftu, run.fitting_factor, steps)


def _flat(run: Run, ring: Ring, make: RingMake, place: RingPlace, pull: Array) -> Margin:
    """The flat part at its bolts: bent off the face and in it by the pull at the eye, less the holes in its width."""
    given, mode = make.allowable, "ring flat at its bolts, elastic"
    if given is None:
        return missing(
            Subject(f"ring.{ring.name}/flat", mode, ""), "the ring's material has no strength with a document"
        )
    moment = np.cross(place.eye - place.root, pull)  # about the middle of the bolts
    across = np.cross(place.normal, place.along)
    lift, swing, along = np.abs(moment @ across), np.abs(moment @ place.normal), np.abs(pull @ place.along)
    held = sum(bolt.through == ring.face[1] for bolt in run.rack.definition.joint.post)
    side_by_side = held if abs(float(place.along[2])) < 0.7 else 1  # the bolts stand in the post's direction
    t, hole = make.thickness * 1e-9, run.rack.definition.joint.hardware.hole * 1e-9
    w = make.width * 1e-9 - side_by_side * hole
    thin, wide = float(section.rectangle_inertia(w, t)), float(section.rectangle_inertia(t, w))
    stress = lift * (t / 2) / thin + swing * (w / 2) / wide + along / (w * t)

    def steps(at: Index) -> tuple[Step, ...]:
        return (
            ("bending_stress", {"M": float(lift[at[:2]]), "I": thin, "c": t / 2}),
            ("bending_stress", {"M": float(swing[at[:2]]), "I": wide, "c": w / 2}),
        )

    about = Subject(f"ring.{ring.name}/flat", mode, given.document, unit="Pa")
    return ratio(run.context("ultimate"), about, stress, given.Ftu, run.fitting_factor, steps)


def _ring_bolts(run: Run, ring: Ring, make: RingMake, place: RingPlace, pull: Array) -> Margin:
    """The joint bolts under the ring: shear in the plane of the face, tension with prying off it."""
    pattern = run.rack.definition.joint.post
    held = [n for n, bolt in enumerate(pattern) if bolt.through == ring.face[1]]
    z = np.array([pattern[n].at for n in held]) * 1e-9
    z = np.abs(z - z.mean())
    spread, count = float(np.sum(z**2)), len(held)
    edge = min(make.width, run.rack.definition.tube.side) * 0.5e-9  # of what presses on the post
    up = np.array([0.0, 0.0, 1.0])
    moment = np.cross(place.eye - place.root, pull)  # about the middle of the bolts
    flat = np.linalg.norm(pull - (pull @ place.normal)[..., None] * place.normal, axis=-1)
    twist, tilt, roll = (np.abs(moment @ way) for way in (place.normal, np.cross(place.normal, up), up))
    lever = z / spread if spread > 0 else np.full(count, 1.0 / edge)
    shear = flat[..., None] / count + twist[..., None] * lever
    out = np.maximum(pull @ place.normal, 0.0)
    pry = out[..., None] / count + tilt[..., None] * lever + roll[..., None] / (count * edge)
    post = next(one for one in tube_places(run.rack) if one.id == f"post.{ring.post}")
    joint = joint_bolt_loads(run, post, "low" if ring.end == "bottom" else "high")[..., held]
    return shear_tension(run, f"ring.{ring.name}/bolts", "ring bolts in shear and tension",
                         run.rack.definition.joint.hardware.bolt, shear + joint, pry,
                         tuple(f"bolt {n + 1}" for n in held))  # fmt: skip


def _fitting(run: Run, fitting: FloorFitting, pull: Array) -> Margin:
    """The pull of all its straps on a floor fitting against its allowable at that angle above the floor."""
    about = Subject(f"fitting.{fitting.name}/pull", "floor fitting", fitting.document or "")
    if not fitting.allowable or fitting.document is None:
        return missing(about, f"floor fitting {fitting.name} has no allowable with a document")
    size = np.linalg.norm(pull, axis=-1)
    angle = np.arctan2(pull[..., 2], np.hypot(pull[..., 0], pull[..., 1]))
    table = sorted((point.pull, point.allowable_ultimate) for point in fitting.allowable)
    angles, values = np.array([a for a, _ in table]), np.array([f for _, f in table])
    outside = (angle < angles[0] - 1e-9) | (angle > angles[-1] + 1e-9)
    outside &= size > 1e-9
    why = f"the pull's angle lies outside the table of {fitting.document}" if outside.any() else ""
    allowable = np.where(outside, np.nan, np.interp(angle, angles, values))[..., None]
    return ratio(run.context("ultimate"), about, size, allowable, run.fitting_factor, why=why)


def _pads(run: Run) -> Iterator[Margin]:
    pad, push = run.rack.definition.pad, run.response.pad_force[:, run.chosen("ultimate")]
    for n, corner in enumerate(run.model.pads):
        about = Subject(f"pad.{corner}/floor", "floor under the pad", pad.document or "")
        if pad.allowable_ultimate is None or pad.document is None:
            yield missing(about, "no floor allowable with a document")
        else:
            yield ratio(run.context("ultimate"), about, push[..., n], pad.allowable_ultimate, 1.0)

"""Forces within the members, anywhere along them."""

from __future__ import annotations

import numpy as np

from rackwright.strength.frame.model import Array
from rackwright.strength.frame.solve import Response

__all__ = ["forces_within", "internal_forces"]


def internal_forces(response: Response, stations: Array) -> Array:
    """Forces within all members at fractions `stations` (s,) of their length: (V,C,M,s,6) = N,Vy,Vz,T,My,Mz.

    They act on the cut face that looks along +x (tension positive), in local axes; exact for the uniform load.
    At a mass on a member the value is the one just before it, seen from end i.
    """
    frame = response.frame
    thrown = response.cases.thrown(frame.variants)
    geo = response.model.geo
    line = np.einsum(
        "vmij,vcj->vcmi", (frame.members.rho * frame.members.A)[..., None, None] * geo.turn, thrown
    )
    x = geo.length[..., None] * stations  # (V,M,s)
    out = _cut(response.end_force, line, x)
    mm = frame.member_masses
    for r, member in enumerate(mm.member):
        point = mm.m[:, r, None, None] * np.einsum("vij,vcj->vci", geo.turn[:, member], thrown)
        past = (x[:, member] - mm.at[:, r, None]).clip(min=0)[:, None, :, None]
        out[:, :, member, :, :3] += point[:, :, None] * (past > 0)
        out[:, :, member, :, 3:] += _swing(point[:, :, None], past)
    return np.negative(out, out=out)


def forces_within(end_force: Array, line: Array, length: Array, stations: Array) -> Array:
    """The same (V,C,M,s,6) of members (V,M) m long from their end forces (V,C,M,12) and a uniform load of their own
    (V,C,M,3) N/m, local axes."""
    return -_cut(end_force, line, length[..., None] * stations)


def _cut(end_force: Array, line: Array, x: Array) -> Array:
    """Force and moment (V,C,M,s,6) on the near side of cuts at x (V,M,s)."""
    end, load, at = end_force[..., None, :6], line[..., None, :], x[:, None]
    out = np.moveaxis(np.empty((6, *line.shape[:3], x.shape[-1])), 0, -1)  # each component lies together
    for i in range(3):
        out[..., i] = end[..., i] + load[..., i] * at
    half = at**2 / 2
    out[..., 3] = end[..., 3]
    out[..., 4] = end[..., 4] + end[..., 2] * at + load[..., 2] * half
    out[..., 5] = end[..., 5] - end[..., 1] * at - load[..., 1] * half
    return out


def _swing(force: Array, arm: Array) -> Array:
    """Moment about the cut of a local force that acts `arm` before it: (-arm, 0, 0) × F."""
    along = np.zeros_like(force[..., 0]) * arm[..., 0]
    return np.stack([along, force[..., 2] * arm[..., 0], -force[..., 1] * arm[..., 0]], axis=-1)

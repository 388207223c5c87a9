"""Forces within the members, anywhere along them."""

from __future__ import annotations

import numpy as np

from rackwright.strength.frame.model import Array
from rackwright.strength.frame.solve import Response

__all__ = ["internal_forces"]


def internal_forces(response: Response, stations: Array) -> Array:
    """Forces within all members at fractions `stations` (s,) of their length: (V,C,M,s,6) = N,Vy,Vz,T,My,Mz.

    They act on the cut face that looks along +x (tension positive), in local axes; exact for the uniform load.
    At a mass on a member the value is the one just before it, seen from end i.
    """
    frame = response.frame
    thrown = response.cases.thrown(frame.variants)
    geo = response.model.geo
    x = geo.length[..., None] * stations  # (V,M,s)
    line = np.einsum(
        "vmij,vcj->vcmi", (frame.members.rho * frame.members.A)[..., None, None] * geo.turn, thrown
    )
    end = response.end_force[..., None, :6]
    at = x[:, None, ..., None]
    force = end[..., :3] + line[..., None, :] * at
    moment = end[..., 3:] + _swing(end[..., :3], at) + _swing(line[..., None, :], at**2 / 2)
    mm = frame.member_masses
    for r, member in enumerate(mm.member):
        point = mm.m[:, r, None, None] * np.einsum("vij,vcj->vci", geo.turn[:, member], thrown)
        past = (x[:, member] - mm.at[:, r, None]).clip(min=0)[:, None, :, None]
        force[:, :, member] += point[:, :, None] * (past > 0)
        moment[:, :, member] += _swing(point[:, :, None], past)
    return -np.concatenate([force, moment], axis=-1)


def _swing(force: Array, arm: Array) -> Array:
    """Moment about the cut of a local force that acts `arm` before it: (-arm, 0, 0) × F."""
    along = np.zeros_like(force[..., 0]) * arm[..., 0]
    return np.stack([along, force[..., 2] * arm[..., 0], -force[..., 1] * arm[..., 0]], axis=-1)

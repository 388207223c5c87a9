"""One straight Timoshenko beam, seen through its six deformations.

Take the chord between the beam ends away, and six numbers describe what a member suffers: its stretch, its
twist, and the rotations of both ends against the chord about local y and z,
    d = [e, φ, θyi, θyj, θzi, θzj] = chord · [uxi..rzi, uxj..rzj]   (chord is 6×12),
each plane having the stiffness
    c = EI/(L(1+Φ)) [[4+Φ, 2-Φ], [2-Φ, 4+Φ]],   Φ = 12 EI/(G As L²)
(Przemieniecki, Theory of Matrix Structural Analysis, §5.6, in natural deformations). An end joined through a
rotational spring κ is condensed: with ρ = κ/(a+κ), a → aρ, b → bρ, and the far end loses (b²/a)(1-ρ); κ = 0
is a release and leaves exact zeros, κ = ∞ leaves the beam as it is.

Loads within the span are exact: let the beam rest as a simple beam (held axially at i). It then has end
forces p0 by statics and deformations d0. Holding the ends adds -c d0, whatever the shear flexibility and
the releases, because c already contains them. The transverse shear of a simple beam turns no end section, so
d0 is the Euler-Bernoulli value.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rackwright.strength.frame.carry import crossed
from rackwright.strength.frame.model import Array, Frame, Ints, lean, of_variants

__all__ = [
    "Geometry",
    "Span",
    "geometry",
    "local_to_nodes",
    "point_load",
    "reach_rows",
    "soften",
    "span_flexibility",
    "to_nodes",
]


@dataclass(frozen=True, eq=False)
class Geometry:
    """What the members of all variants are, before any load. Shapes (V,M,...); one where variants share it."""

    length: Array  # (V,M)
    turn: Array  # (V,M,3,3): rows are local x, y, z; local = turn @ global
    chord: Array  # (V,M,6,12): deformations from *local end* displacements
    reach: Array  # (V,M,6,12): deformations from *global node* displacements
    c: Array  # (V,M,6,6)

    def one(self, v: int) -> Geometry:
        """That of one variant."""
        return self.take(np.array([v]))

    def take(self, v: Ints) -> Geometry:
        """Those of some variants."""
        every = (self.length, self.turn, self.chord, self.reach, self.c)
        return Geometry(*(of_variants(values, v) for values in every))


@dataclass(frozen=True, eq=False)
class Span:
    """Effect of three unit loads (local x, y, z) within the span of a member; ends held. Shapes (...,3)."""

    d0: Array  # (...,6,3) deformations of the simple beam
    p0: Array  # (...,12,3) its end forces


def geometry(frame: Frame) -> Geometry:
    """Lengths, axes and stiffness of all members. Raises ValueError: a member without length or direction."""
    m = frame.members
    xyz, offset, zref = lean(frame.xyz), lean(m.offset), lean(m.zref)
    start = xyz[:, m.ends[:, 0]] + offset[:, :, 0]
    end = xyz[:, m.ends[:, 1]] + offset[:, :, 1]
    along = end - start
    length = np.linalg.norm(along, axis=-1)
    if np.any(length <= 0):
        raise ValueError("a member has no length")
    x = along / length[..., None]
    y = crossed(zref, x)
    across = np.linalg.norm(y, axis=-1)
    if np.any(across <= 1e-9 * np.linalg.norm(zref, axis=-1)):
        raise ValueError("a member's zref is parallel to its axis")
    y = y / across[..., None]
    turn = np.stack([x, y, crossed(x, y)], axis=-2)
    chord = _chord(length)

    def spread(values: Array) -> Array:
        return np.broadcast_to(values, (frame.variants, *values.shape[1:]))

    length, turn, chord, reach = map(spread, (length, turn, chord, reach_rows(chord, turn, offset)))
    return Geometry(length, turn, chord, reach, _stiffness(frame, length))


def _chord(length: Array) -> Array:
    g = np.zeros((*length.shape, 6, 12))
    g[..., 0, 0], g[..., 0, 6] = -1.0, 1.0
    g[..., 1, 3], g[..., 1, 9] = -1.0, 1.0
    for row, rotation in ((2, 4), (3, 10)):  # about y: the chord turns by -(wj-wi)/L
        g[..., row, rotation] = 1.0
        g[..., row, 2], g[..., row, 8] = -1 / length, 1 / length
    for row, rotation in ((4, 5), (5, 11)):  # about z: the chord turns by +(vj-vi)/L
        g[..., row, rotation] = 1.0
        g[..., row, 1], g[..., row, 7] = 1 / length, -1 / length
    return g


def reach_rows(chord: Array, turn: Array, offset: Array) -> Array:
    """Rows (V,M,.,12) over local end displacements → over node displacements: u_end = R(u + θ × arm), θ_end = Rθ."""
    out = np.empty_like(chord)
    for end in (0, 1):
        b = 6 * end
        ux = chord[..., b : b + 3] @ turn
        out[..., b : b + 3] = ux
        arm = offset[:, :, None, end]  # row · (θ × arm) = θ · (arm × row)
        out[..., b + 3 : b + 6] = chord[..., b + 3 : b + 6] @ turn + crossed(arm, ux)
    return out


def _stiffness(frame: Frame, length: Array) -> Array:
    m = frame.members
    c = np.zeros((*length.shape, 6, 6))
    c[..., 0, 0] = m.E * m.A / length
    c[..., 1, 1] = m.G * m.J / length
    for first, inertia, area, about in ((2, m.Iy, m.Asz, 0), (4, m.Iz, m.Asy, 1)):
        phi = 12 * m.E * inertia / (m.G * area * length**2)
        unit = m.E * inertia / (length * (1 + phi))
        aii, aij, ajj = soften(
            (4 + phi) * unit, (2 - phi) * unit, m.end_spring[..., 0, about], m.end_spring[..., 1, about]
        )
        c[..., first, first], c[..., first + 1, first + 1] = aii, ajj
        c[..., first, first + 1] = c[..., first + 1, first] = aij
    return c


def soften(a: Array, b: Array, ki: Array, kj: Array) -> tuple[Array, Array, Array]:
    """The 2x2 stiffness [[a,b],[b,a]] seen through rotational springs ki, kj in series with its ends."""
    ri = _share(ki, a)
    aii, aij, ajj = a * ri, b * ri, a - b * b * _give(ki, a)
    rj = _share(kj, ajj)
    return aii - aij * aij * _give(kj, ajj), aij * rj, ajj * rj


def _give(k: Array, a: Array) -> Array:
    """1/(a + k), nothing where the end is joined rigidly."""
    stiff = np.isinf(k)
    return np.where(stiff, 0.0, 1 / np.where(stiff, 1.0, a + k))


def _share(k: Array, a: Array) -> Array:
    stiff = np.isinf(k)
    safe = np.where(stiff, 1.0, k)
    return np.where(stiff, 1.0, safe / (a + safe))


# --- loads within the span -------------------------------------------------------------------------------


def uniform_load(frame: Frame, geo: Geometry) -> Span:
    """One newton per metre along the whole beam, in local x, y and z: shapes (V,M,...,3)."""
    m, L = frame.members, geo.length
    d0 = np.zeros((*L.shape, 6, 3))
    d0[..., 0, 0] = L**2 / (2 * m.E * m.A)
    _bend(d0, L**3 / (24 * m.E * m.Iy), L**3 / (24 * m.E * m.Iz), 1.0, 1.0)
    return Span(d0, _simple_ends(L / 2, L / 2))


def point_load(frame: Frame, geo: Geometry, member: Ints, at: Array) -> Span:
    """One newton at `at` (V,R) metres along members (R,), in local x, y and z: shapes (V,R,...,3)."""
    m, L = frame.members, geo.length[:, member]
    a, b = at, L - at
    d0 = np.zeros((*L.shape, 6, 3))
    d0[..., 0, 0] = a / (m.E * m.A)[:, member]
    unit = a * b / (6 * L)
    _bend(d0, unit / (m.E * m.Iy)[:, member], unit / (m.E * m.Iz)[:, member], L + b, L + a)
    return Span(d0, _simple_ends(b / L, a / L))


def _bend(d0: Array, about_y: Array, about_z: Array, near: Array | float, far: Array | float) -> None:
    d0[..., 2, 2], d0[..., 3, 2] = -about_y * near, about_y * far
    d0[..., 4, 1], d0[..., 5, 1] = about_z * near, -about_z * far


def _simple_ends(at_i: Array, at_j: Array) -> Array:
    p0 = np.zeros((*at_i.shape, 12, 3))
    p0[..., 0, 0] = -(at_i + at_j)  # end i holds the axial load alone
    for axis in (1, 2):
        p0[..., axis, axis], p0[..., 6 + axis, axis] = -at_i, -at_j
    return p0


def held_ends(chord: Array, c: Array, span: Span) -> Array:
    """End forces (...,12,3), local, of the member whose ends are held under the span's unit loads."""
    held: Array = span.p0 - chord.swapaxes(-1, -2) @ (c @ span.d0)
    return held


def span_flexibility(frame: Frame, geo: Geometry, member: int, at: Array) -> Array:
    """Displacements of r places on one member's axis from unit loads there, its ends held: (V,r,3,r,3), local.

    Simple-beam flexibility (bending, shear, stretch) less what holding the ends takes away, d0ᵀ c d0.
    """
    m, L, r = frame.members, geo.length[:, member], at.shape[1]
    ea, eiy, eiz, gay, gaz = (
        values[:, member, None, None]
        for values in (m.E * m.A, m.E * m.Iy, m.E * m.Iz, m.G * m.Asy, m.G * m.Asz)
    )
    x = np.minimum(at[:, :, None], at[:, None, :])
    far = L[:, None, None] - np.maximum(at[:, :, None], at[:, None, :])
    L3 = L[:, None, None]
    bend = far * x * (L3**2 - far**2 - x**2) / (6 * L3)
    shear = far * x / L3
    out = np.zeros((len(L), r, 3, r, 3))
    out[:, :, 0, :, 0] = x / ea
    out[:, :, 1, :, 1] = bend / eiz + shear / gay
    out[:, :, 2, :, 2] = bend / eiy + shear / gaz
    d0 = point_load(frame, geo, np.full(r, member), at).d0  # (V,r,6,3)
    cd0 = geo.c[:, None, member] @ d0
    held: Array = out - np.einsum("vkai,vlaj->vkilj", d0, cd0)
    return held


def to_nodes(frame: Frame, geo: Geometry) -> Array:
    """(V,M,12,12) that take local end forces to global forces on the member at its nodes."""
    turn, offset = lean(geo.turn), lean(frame.members.offset)
    ends = np.broadcast_to(np.eye(12), (max(len(turn), len(offset)), len(frame.members), 12, 12))
    out = reach_rows(ends, turn, offset).swapaxes(-1, -2)
    return np.broadcast_to(out, (frame.variants, *out.shape[1:]))


def local_to_nodes(frame: Frame, geo: Geometry, local: Array, member: Ints | slice) -> Array:
    """Local end forces (V,...,R,12) → global forces on the member at its nodes (V,...,R,2,6)."""
    turn, arm = geo.turn[:, member], frame.members.offset[:, member]
    middle = local.ndim - 3
    turn = turn.reshape(turn.shape[0], *(1,) * middle, *turn.shape[1:])
    arm = arm.reshape(arm.shape[0], *(1,) * middle, *arm.shape[1:])
    vectors = local.reshape(*local.shape[:-1], 4, 3) @ turn  # rows: Fi, Mi, Fj, Mj
    forces, moments = vectors[..., 0::2, :], vectors[..., 1::2, :]
    return np.concatenate([forces, moments + crossed(arm, forces)], axis=-1)

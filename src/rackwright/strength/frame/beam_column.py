"""One member under an axial force, exactly: its stiffness in bending, its end rotations, its moments.

A beam whose fibres rotate by θ and whose axis slopes by v' = θ + γ, under the axial force N (tension positive):
    GA(v' - θ)' + N v'' + q = 0,   EI θ'' + GA(v' - θ) = 0
give M'' - N g/EI M = g q with g = 1/(1 + N/GA), so everything is made of sines (compression) or hyperbolic sines
(tension) of h = √p, p = -N g L²/4EI. With
    C = cos h,  S = sin h/h,  D = (S - C)/p   (all smooth through p = 0)
the rotations of the ends against the chord meet the stiffness [[a, b], [b, a]],
    a - b = 2EI/L C/S,   a + b = 2EI/L S/(D + ΦS/3),   Φ = 12 EI/(GA L²),
which at N = 0 is the Timoshenko beam of `beam`. The pinned member buckles at C = 0, that is at Engesser's load
1/(1/PE + 1/GA); with held ends at S = 0. No subdivision is needed: the member is exact at any load below its own.
Sources: Timoshenko & Gere, Theory of Elastic Stability, §§1.11, 2.17; Livesley & Chandler, Stability Functions.
"""

from __future__ import annotations

import numpy as np

from rackwright.strength.frame.beam import soften
from rackwright.strength.frame.model import Array, Members

__all__ = ["bent_ends", "moments_along", "own_limit", "stiffness_under"]

PLANES = (
    (2, "Iy", "Asz", 0),
    (4, "Iz", "Asy", 1),
)  # row of the first end, second moment, shear area, end spring
NEAR = 0.3  # |p| below which D is summed as a series


def _split(p: Array) -> tuple[Array, Array]:
    """√|p|, and e^-√-p, by which the functions of a pulled member are divided lest they overflow (1 if pressed)."""
    h = np.sqrt(np.abs(p))
    return h, np.where(p < 0, np.exp(-h), 1.0)


def cosine(p: Array) -> Array:
    """C = cos √p or cosh √-p, the latter over e^√-p."""
    h, decay = _split(p)
    return np.where(p >= 0, np.cos(h), (1 + decay**2) / 2)


def sine_over(p: Array) -> Array:
    """S = sin √p/√p or sinh √-p/√-p, the latter over e^√-p."""
    h = np.sqrt(np.abs(p))
    safe = np.where(h > 1e-9, h, 1.0)
    return np.where(h > 1e-9, np.where(p >= 0, np.sin(h), -np.expm1(-2 * h) / 2) / safe, 1.0)


def difference_over(p: Array) -> Array:
    """D = (S - C)/p, where pulled over e^√-p."""
    near = np.where(np.abs(p) > NEAR, 0.0, p)
    series = 1 / 3 - near / 30 * (1 - near / 28 * (1 - near / 54 * (1 - near / 88 * (1 - near / 130))))
    far = np.where(np.abs(p) > NEAR, p, 1.0)
    return np.where(np.abs(p) > NEAR, (sine_over(far) - cosine(far)) / far, series * _split(near)[1])


def _plane(
    m: Members, length: Array, axial: Array, inertia: str, area: str
) -> tuple[Array, Array, Array, Array]:
    """p, g, 2EI/L and Φ in one plane. axial (V,C,M), values (V,M)."""
    EI, GA = (m.E * getattr(m, inertia))[:, None], (m.G * getattr(m, area))[:, None]
    L = length[:, None]
    g = 1 / (1 + axial / GA)
    return -axial * g * L**2 / (4 * EI), g, 2 * EI / L, 12 * EI / (GA * L**2)


def _ends(p: Array, unit: Array, phi: Array) -> tuple[Array, Array]:
    """a and b."""
    S, C = sine_over(p), cosine(p)
    less, more = unit * C / S, unit * S / (difference_over(p) + phi / 3 * S)
    return (more + less) / 2, (more - less) / 2


def stiffness_under(m: Members, length: Array, axial: Array) -> Array:
    """Stiffness (V,C,M,6,6) of the six deformations of members under axial forces (V,C,M).

    Their ends' springs and releases are condensed as in `beam`. A twisted member under tension is stiffer by
    N (Iy+Iz)/A, one under compression softer (Wagner). What stays straight does neither.
    """
    axial = np.where(m.straight, 0.0, axial)
    c = np.zeros((*axial.shape, 6, 6))
    c[..., 0, 0] = (m.E * m.A / length)[:, None]
    c[..., 1, 1] = (m.G * m.J / length)[:, None] + axial * ((m.Iy + m.Iz) / m.A / length)[:, None]
    for row, inertia, area, about in PLANES:
        p, _, unit, phi = _plane(m, length, axial, inertia, area)
        a, b = _ends(p, unit, phi)
        springs = m.end_spring[:, None, :, :, about]
        aii, aij, ajj = soften(a, b, springs[..., 0], springs[..., 1])
        c[..., row, row], c[..., row + 1, row + 1] = aii, ajj
        c[..., row, row + 1] = c[..., row + 1, row] = aij
    return c


def _holds_alone(m: Members, length: Array, axial: Array) -> Array:
    """Whether members (V,C,M) whose nodes do not move hold their axial force: the count of Wittrick and Williams."""
    good = np.ones(axial.shape, dtype=bool)
    for _, inertia, area, about in PLANES:
        GA = (m.G * getattr(m, area))[:, None]
        upright = axial > -GA
        p, _, unit, phi = _plane(m, length, np.where(upright, axial, 0.0), inertia, area)
        below = p < np.pi**2 * (1 - 1e-12)
        a, b = _ends(np.where(below, p, 0.0), unit, phi)
        ki, kj = (m.end_spring[:, None, :, end, about] for end in (0, 1))
        first = np.isinf(ki) | (a + ki > 0)
        rest = a - b * b / np.where(np.isinf(ki) | (a + ki <= 0), np.inf, a + ki)
        good &= upright & below & first & (np.isinf(kj) | (rest + kj > 0))
    twist = (m.G * m.J)[:, None] + axial * ((m.Iy + m.Iz) / m.A)[:, None]
    return np.asarray(good & (twist > 0))


def own_limit(m: Members, length: Array) -> Array:
    """The compression (V,M) at which each member buckles between nodes that do not move, by halving."""
    high = np.max([m.E * m.Iy, m.E * m.Iz], axis=0) * (4 * np.pi**2 / length**2)  # both ends held, no shear
    low = np.zeros_like(high)
    for _ in range(60):
        middle = (low + high) / 2
        good = _holds_alone(m, length, -middle[:, None])[:, 0]
        low, high = np.where(good, middle, low), np.where(good, high, middle)
    return np.where(m.straight, np.inf, low)


def bent_ends(m: Members, length: Array, axial: Array) -> Array:
    """Rotations d0 (V,C,M,6,3) of simply held members under one N/m along local x, y, z, as in `beam`."""
    d0 = np.zeros((*axial.shape, 6, 3))
    d0[..., 0, 0] = (length**2 / (2 * m.E * m.A))[:, None]
    for row, inertia, area, about in PLANES:
        p, g, unit, _ = _plane(m, length, axial, inertia, area)
        turn = g * length[:, None] ** 2 / (4 * unit) * difference_over(p) / cosine(p)
        way, sign = (2, -1.0) if about == 0 else (1, 1.0)
        d0[..., row, way], d0[..., row + 1, way] = sign * turn, -sign * turn
    return d0


def moments_along(
    m: Members, length: Array, axial: Array, ends: Array, load: Array, stations: Array
) -> tuple[Array, Array]:
    """My and Mz (V,C,M,s) at fractions of the length: ends (V,C,M,12) local end forces, load (V,C,M,3) N/m local.

    On the cut face that looks along +x, as in `inside`.
    """
    at = stations - 0.5
    found = []
    for (_, inertia, area, about), way, sign in zip(PLANES, (2, 1), (-1.0, 1.0), strict=True):
        p, g, _, _ = (x[..., None] for x in _plane(m, length, axial, inertia, area))
        near, far = -ends[..., 4 + about, None], ends[..., 10 + about, None]

        weights = []
        for share in (1 - stations, stations):
            here = 4 * p * share**2
            weights.append(share * _over(sine_over(here), here, sine_over(4 * p), 4 * p))
        here = 4 * p * at**2
        bow = _over(4 * at**2 * _versine(here), here, cosine(p), p) - _versine(p) / cosine(p)
        q = sign * load[..., way, None] * g * (length**2 / 4)[:, None, :, None]
        found.append(near * weights[0] + far * weights[1] + q * bow)
    return found[0], found[1]


def _over(part: Array, here: Array, whole: Array, there: Array) -> Array:
    """The quotient of two of these functions, at `here` and `there`, in which what pulled ones leave out comes back."""
    grown = np.where(there < 0, np.exp(np.sqrt(np.abs(here)) - np.sqrt(np.abs(there))), 1.0)
    return np.asarray(part / whole * grown)


def _versine(p: Array) -> Array:
    """(1 - cos √p)/p."""
    return np.asarray(sine_over(p / 4) ** 2 / 2)

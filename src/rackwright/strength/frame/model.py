"""A 3-D frame as plain arrays: one shared topology, values with a leading variant axis V.

Counts used in the shapes: V variants, N nodes, M members, S springs, T ties, Q pads, P carried masses,
K carrying points, R masses on members, C load cases. SI units: m, N, kg, Pa, rad; inertia in N/kg.

Axes are global and right-handed. A freedom vector is [ux, uy, uz, rx, ry, rz], a force vector
[Fx, Fy, Fz, Mx, My, Mz]. A member's local x runs from its beam end i to its beam end j, y = zref × x
normalised, z = x × y: `zref` lies in the local x-z plane, on the side of +z.

**Every value may be given with or without the variant axis, or as one number for all**; `Frame` spreads it
to its full shape, so a single design is simply written without V and comes back with V = 1.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "Cases",
    "Frame",
    "Masses",
    "MemberMasses",
    "Members",
    "Pads",
    "Springs",
    "Ties",
    "lean",
    "of_variants",
    "one_hot",
    "pile",
]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


def _zero() -> Array:
    return np.array(0.0)


def _one() -> Array:
    return np.array(1.0)


def _infinite() -> Array:
    return np.array(np.inf)


def _none() -> Ints:
    return np.zeros(0, dtype=np.int64)


def _no_pairs() -> Ints:
    return np.zeros((0, 2), dtype=np.int64)


@dataclass(frozen=True, eq=False)
class Members:
    """Straight prismatic Timoshenko beams under uniform self-weight ρA.

    `Iz` bends in the local x-y plane, `Iy` in x-z. `Asy`, `Asz` are effective shear areas κA for shear along
    local y and z; infinite (the default) means no shear flexibility. `offset` is the rigid arm from node to
    beam end, in global axes. `end_spring` is the rotational stiffness (N·m/rad) with which a beam end is
    joined to its node, about local y and z: infinite is rigid (the default), 0 is a release. `bar` marks what
    only stands for a push and a pull (a sheet's diagonal): it does not bow, and so does not buckle by itself.
    `preload` is the tension a member would have with its ends held where they are (it was made too short), in every
    case. `growth` is the strain by which it and its arms are longer than drawn, in every case, as one that was warmed;
    `alpha` is its thermal expansion, for the warming of `Cases`, which its arms share.
    """

    ends: Ints = field(default_factory=_no_pairs)  # (M,2) node numbers i, j
    zref: Array = field(default_factory=_zero)  # (V,M,3)
    E: Array = field(default_factory=_one)  # (V,M) and so on down to rho
    G: Array = field(default_factory=_one)
    A: Array = field(default_factory=_one)
    Iy: Array = field(default_factory=_one)
    Iz: Array = field(default_factory=_one)
    J: Array = field(default_factory=_one)
    Asy: Array = field(default_factory=_infinite)
    Asz: Array = field(default_factory=_infinite)
    rho: Array = field(default_factory=_zero)
    offset: Array = field(default_factory=_zero)  # (V,M,2,3)
    end_spring: Array = field(default_factory=_infinite)  # (V,M,2,2): [end i, end j][about y, about z]
    bar: Ints = field(default_factory=_none)  # (M,) 0 or 1; none given: all beams
    preload: Array = field(default_factory=_zero)  # (V,M) N
    growth: Array = field(default_factory=_zero)  # (V,M)
    alpha: Array = field(default_factory=_zero)  # (V,M) 1/K

    tails: ClassVar[dict[str, tuple[int, ...]]] = {
        "zref": (3,), "E": (), "G": (), "A": (), "Iy": (), "Iz": (), "J": (), "Asy": (), "Asz": (),
        "rho": (), "offset": (2, 3), "end_spring": (2, 2), "preload": (), "growth": (),
        "alpha": (),
    }  # fmt: skip

    def __len__(self) -> int:
        return len(self.ends)

    @property
    def straight(self) -> Bools:
        """(M,) which members do not bow."""
        return self.bar > 0 if len(self.bar) else np.zeros(len(self.ends), dtype=bool)


@dataclass(frozen=True, eq=False)
class Springs:
    """Linear springs from a node's freedom (0..5) to the ground; they act both ways."""

    node: Ints = field(default_factory=_none)  # (S,)
    freedom: Ints = field(default_factory=_none)  # (S,)
    k: Array = field(default_factory=_one)  # (V,S) N/m or N·m/rad

    tails: ClassVar[dict[str, tuple[int, ...]]] = {"k": ()}

    def __len__(self) -> int:
        return len(self.node)


@dataclass(frozen=True, eq=False)
class Ties:
    """Straps, rods, chains: tension only, N = max(0, T0 + k·e), e the small-displacement elongation.

    `node` holds both ends; the second may be -1: ground. `offset` is the rigid arm from node to the tie's
    point, in global axes; for a ground end it is the absolute place of the ground point. `T0` is the tension
    at zero displacement (before the frame gives way to it), which may be negative: a gap of -T0/k.
    """

    node: Ints = field(default_factory=_no_pairs)  # (T,2)
    k: Array = field(default_factory=_one)  # (V,T) N/m
    T0: Array = field(default_factory=_zero)  # (V,T) N
    offset: Array = field(default_factory=_zero)  # (V,T,2,3)

    tails: ClassVar[dict[str, tuple[int, ...]]] = {"k": (), "T0": (), "offset": (2, 3)}

    def __len__(self) -> int:
        return len(self.node)


@dataclass(frozen=True, eq=False)
class Pads:
    """One-sided grounded springs: they push the structure along `push` and never pull.

    A pad's force is F = max(0, T0 - k·d), d the displacement along `push` of the point at node + offset.
    `push` is a generalised direction [3 of force, 3 of moment], usually [0, 0, 1, 0, 0, 0]: a floor pad.
    """

    node: Ints = field(default_factory=_none)  # (Q,)
    push: Array = field(default_factory=_zero)  # (V,Q,6)
    k: Array = field(default_factory=_one)  # (V,Q) N/m
    T0: Array = field(default_factory=_zero)  # (V,Q) N
    offset: Array = field(default_factory=_zero)  # (V,Q,3)

    tails: ClassVar[dict[str, tuple[int, ...]]] = {"push": (6,), "k": (), "T0": (), "offset": (3,)}

    def __len__(self) -> int:
        return len(self.node)


@dataclass(frozen=True, eq=False)
class Masses:
    """Point masses at a place in space, each carried by points on nodes (see `carry`).

    `xyz` is the absolute place of the mass. The carrying points of all masses lie in one flat list: `carrier`
    names the mass each belongs to (ascending), `node` and `offset` (rigid arm, global axes) its place,
    `weight` its share. A mass sitting on a node is one carrying point without offset: `Masses.on_nodes`.
    """

    m: Array = field(default_factory=_zero)  # (V,P) kg
    xyz: Array = field(default_factory=_zero)  # (V,P,3)
    carrier: Ints = field(default_factory=_none)  # (K,)
    node: Ints = field(default_factory=_none)  # (K,)
    offset: Array = field(default_factory=_zero)  # (V,K,3)
    weight: Array = field(default_factory=_one)  # (V,K)
    count: int = 0  # P

    tails: ClassVar[dict[str, tuple[int, ...]]] = {"m": (), "xyz": (3,), "offset": (3,), "weight": ()}
    per_point: ClassVar[tuple[str, ...]] = ("offset", "weight")

    def __len__(self) -> int:
        return self.count

    @staticmethod
    def on_nodes(node: Ints, m: Array, xyz: Array) -> Masses:
        """One mass on each node named: node (P,), m (V,P) or (P,), xyz (V,N,3) or (N,3) of *all* nodes."""
        node = np.asarray(node, dtype=np.int64)
        return Masses(
            m=np.asarray(m, float), xyz=np.asarray(xyz, float)[..., node, :], carrier=np.arange(len(node)),
            node=node, count=len(node),
        )  # fmt: skip


@dataclass(frozen=True, eq=False)
class MemberMasses:
    """Point masses on the axis of a member, `at` metres from its beam end i (0 <= at <= L)."""

    member: Ints = field(default_factory=_none)  # (R,)
    at: Array = field(default_factory=_zero)  # (V,R)
    m: Array = field(default_factory=_zero)  # (V,R) kg

    tails: ClassVar[dict[str, tuple[int, ...]]] = {"at": (), "m": ()}

    def __len__(self) -> int:
        return len(self.member)


@dataclass(frozen=True, eq=False)
class Cases:
    """Load cases: `inertia` (C,3) is the force per unit mass on everything that has mass (a 9 g forward crash
    case is [+88.26, 0, 0]), or (V,C,3) where it differs between variants; `nodal` (C,N,6) are forces and moments on
    nodes in global axes, or None; `warming` (C,M) is by how much each member is warmer than when the frame was put
    together, K, or None; `moved` (V,C,P,3) is how far each carried mass then lies off its place, as one on springs
    does, m, or None."""

    inertia: Array
    nodal: Array | None = None
    warming: Array | None = None
    moved: Array | None = None

    def __len__(self) -> int:
        return int(np.shape(self.inertia)[-2])

    def thrown(self, variants: int) -> Array:
        """(V,C,3) inertia of each variant."""
        return np.broadcast_to(self.inertia, (variants, len(self), 3))


@dataclass(frozen=True, eq=False)
class Frame:
    """A frame, or V variants of it with the same topology. Raises ValueError on shapes that do not fit.

    xyz (V,N,3); fixed (N,6): freedoms held at zero. `names` (N) are the nodes' names for messages.
    """

    xyz: Array
    fixed: Bools
    members: Members = field(default_factory=Members)
    springs: Springs = field(default_factory=Springs)
    ties: Ties = field(default_factory=Ties)
    pads: Pads = field(default_factory=Pads)
    masses: Masses = field(default_factory=Masses)
    member_masses: MemberMasses = field(default_factory=MemberMasses)
    names: tuple[str, ...] = ()

    GROUPS: ClassVar[tuple[str, ...]] = ("members", "springs", "ties", "pads", "masses", "member_masses")

    def __post_init__(self) -> None:
        xyz = np.atleast_3d(np.asarray(self.xyz, dtype=float).reshape((-1, *np.shape(self.xyz)[-2:])))
        nodes = xyz.shape[1]
        shapes = {name: _shapes(getattr(self, name)) for name in self.GROUPS}
        variants = max([len(xyz), *(_leading(getattr(self, g), s) for g, s in shapes.items())])
        put = object.__setattr__
        put(self, "xyz", _spread(xyz, (variants, nodes, 3), "xyz"))
        put(self, "fixed", np.broadcast_to(np.asarray(self.fixed, dtype=bool), (nodes, 6)))
        for name, group in shapes.items():
            put(self, name, _fill(getattr(self, name), group, variants, name))
        if not self.names:
            put(self, "names", tuple(str(number + 1) for number in range(nodes)))
        self._refer()

    @property
    def variants(self) -> int:
        return len(self.xyz)

    @property
    def nodes(self) -> int:
        return int(self.xyz.shape[1])

    @property
    def one_sided(self) -> int:
        """Number of ties and pads."""
        return len(self.ties) + len(self.pads)

    def variant(self, v: int) -> Frame:
        """The frame of one variant."""
        return self.take(np.array([v]))

    def take(self, v: Ints) -> Frame:
        """The frame of some variants, in that order and as often as named."""
        parts = {
            name: replace(
                getattr(self, name), **{f: of_variants(getattr(getattr(self, name), f), v) for f in s}
            )
            for name, s in ((name, _shapes(getattr(self, name))) for name in self.GROUPS)
        }
        return replace(self, xyz=of_variants(self.xyz, v), **parts)

    def same(self, other: Frame) -> bool:
        """Are both the same frame, to the last bit?"""
        return all(np.array_equal(one, two) for one, two in zip(self._arrays(), other._arrays(), strict=True))

    def _arrays(self) -> list[Array]:
        parts = [vars(getattr(self, name)).values() for name in self.GROUPS]
        return [self.xyz, self.fixed, *(np.asarray(value) for values in parts for value in values)]

    def _refer(self) -> None:
        """Every node and member that is referred to exists."""
        lists: list[tuple[str, Ints, int]] = [
            ("members.ends", self.members.ends, 0), ("springs.node", self.springs.node, 0),
            ("ties.node", self.ties.node, -1), ("pads.node", self.pads.node, 0),
            ("masses.node", self.masses.node, 0),
        ]  # fmt: skip
        for name, numbers, least in lists:
            if numbers.size and not (numbers.min() >= least and numbers.max() < self.nodes):
                raise ValueError(f"{name} names a node that does not exist")
        if len(self.ties) and self.ties.node[:, 0].min() < 0:
            raise ValueError("ties.node: only the second end may be ground (-1)")
        if np.any(np.diff(self.masses.carrier) < 0) or set(self.masses.carrier) != set(
            range(len(self.masses))
        ):
            raise ValueError("masses.carrier must ascend, with at least one carrying point for each mass")


def lean(values: Array) -> Array:
    """Values (V,...) once where all variants share them, so that what follows from them is worked out once."""
    return values[:1] if values.strides[0] == 0 else values


def of_variants(values: Array, v: Ints) -> Array:
    """Values (V,...) of some variants; what all variants share stays one in memory."""
    once = lean(values)
    return np.broadcast_to(once, (len(v), *values.shape[1:])) if len(once) == 1 else values[v]


DENSE = (
    1 << 15
)  # entries of an incidence matrix up to which a product with it is quicker than sorting and adding


def pile(out: Array, node: Ints, values: Array) -> None:
    """out (...,N,6)[node] += values (...,*node.shape,6); repeated nodes add up."""
    if node.size == 0:
        return
    flat = values.reshape(*values.shape[: out.ndim - 2], node.size, out.shape[-1])
    if node.size * out.shape[-2] <= DENSE:
        out += np.equal.outer(np.arange(out.shape[-2]), node.ravel()).astype(float) @ flat
        return
    order = np.argsort(node.ravel(), kind="stable")
    which, start = np.unique(node.ravel()[order], return_index=True)
    out[..., which, :] += np.add.reduceat(flat[..., order, :], start, axis=-2)


def one_hot(values: Array, freedom: Ints) -> Array:
    """Scalars along freedoms (...,S) as force vectors (...,S,6)."""
    return np.asarray(values[..., None] * np.eye(6)[freedom])


def _shapes(group: Any) -> dict[str, tuple[int, ...]]:
    """Field -> shape without the variant axis."""
    per_point: tuple[str, ...] = getattr(group, "per_point", ())
    return {
        name: (len(group.carrier) if name in per_point else len(group), *tail)
        for name, tail in group.tails.items()
    }


def _leading(group: Any, shapes: dict[str, tuple[int, ...]]) -> int:
    """The number of variants this group's values speak of (1 where they carry no variant axis)."""
    return max(
        (int(np.shape(getattr(group, name))[0]) for name, shape in shapes.items()
         if np.ndim(getattr(group, name)) == len(shape) + 1),
        default=1,
    )  # fmt: skip


def _fill(group: Any, shapes: dict[str, tuple[int, ...]], variants: int, name: str) -> Any:
    values: dict[str, Any] = {
        f: _spread(np.asarray(getattr(group, f), dtype=float), (variants, *shape), f"{name}.{f}")
        for f, shape in shapes.items()
    }
    for f in fields(group):
        if f.name not in shapes and f.name != "count":
            values[f.name] = np.asarray(getattr(group, f.name), dtype=np.int64)
    return replace(group, **values)


def _spread(value: Array, shape: tuple[int, ...], name: str) -> Array:
    try:
        return np.broadcast_to(value, shape)
    except ValueError as error:
        raise ValueError(
            f"{name} has shape {value.shape}, not {shape} or without the leading axis"
        ) from error

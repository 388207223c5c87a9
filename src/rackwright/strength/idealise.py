"""A rack as a 3-D frame: what is a node, a member, a mass, a strap and a pad.

Idealisation, stated on the dossier:
- corner blocks are rigid; a tube's flexible length is its cut length between the block faces;
- its joint to the block is run at both bounds, continuous and as flexible as the softest published formula
  for its bolts makes it, spigot bending included, fit and clamp left out; every margin is the lesser of both;
- a shelf angle is pinned to its posts by its two bolts, at their eccentricity; its panel holds it upright
  and acts in its own plane as cross bars and shear diagonals, A = G t d³ / (2 E a b) for a bay a × b;
- equipment is a mass at its centre of gravity with its upper tolerance, carried by its own fixing points
  as the statically equivalent forces, adding no stiffness; the corners of its CG tolerance are variants (`corners`);
- a brace runs between the axes of its members where its own crosses them, so that no force acts beside a node; within
  the members and gussets it is rigid. It is run at both bounds as well: continuous with them, and pinned at both ends
  with its bolts giving way; its gussets weigh on the nodes;
- straps pull and never push, from the eye of the ring to the floor fitting, at the low pretension (none, where
  nobody keeps it) and at the high one, each with both bounds of the joints, by their maker's load-stretch curve where
  he states one; pads push and never pull; no friction is counted anywhere; every case is followed to where the rack
  then rests, turned and shifted (`frame/settle`);
- warm or cold, frame, floor and straps grow as their expansion coefficients say, each at one temperature; every case
  is met as fixed, hot and cold; where no temperature is entered, none of this is computed;
- a foot bolted down takes the place of its pad: the pad's own metal down to the floor, and there springs up and across
  that both push and pull; it turns freely.
Every other piece and bolt is a mass at its own centre of gravity, so that the frame weighs what the pieces do.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from rackwright.formulas import section
from rackwright.pieces.brace_pieces import brace_places
from rackwright.pieces.build import Pieces
from rackwright.pieces.frame_pieces import corner_of, tube_places
from rackwright.pieces.model import axis_index
from rackwright.pieces.shelf_pieces import (
    HANDS,
    equipment_corner,
    screw_heights,
    screw_x,
    shelf_feet,
    shelf_of,
)
from rackwright.pieces.tiedown import ring_place
from rackwright.pieces.weight import bolt_points, equipment_cg
from rackwright.rack.model import CORNERS, Equipment, Rack, Ring
from rackwright.strength.bodies import item_bodies
from rackwright.strength.brace_member import brace_ends, brace_member, nodes_of
from rackwright.strength.corners import at_corners, corner_name, corners
from rackwright.strength.frame import Frame, Masses, Members
from rackwright.strength.held import curves_of, feet_of, foot_springs, pads_of, ties_of
from rackwright.strength.joint_springs import end_springs
from rackwright.strength.member_values import angle_values, tube_values
from rackwright.strength.rack_frame import PRETENSIONS, Carrier, RackFrame, Segment
from rackwright.strength.warming import share_left, states

__all__ = ["idealise", "shelf_stations"]

Vector = NDArray[np.float64]
SOFT = 1e-9  # of a bar's area: second moments of what only pulls and pushes, m4 per m2


@dataclass
class _Draft:
    """Rows being gathered."""

    nodes: dict[str, Vector] = field(default_factory=dict)
    segments: list[Segment] = field(default_factory=list)
    members: list[dict[str, object]] = field(default_factory=list)
    lumps: dict[tuple[str, ...], list[tuple[float, Vector]]] = field(default_factory=dict)

    def node(self, name: str, at: Vector) -> str:
        self.nodes.setdefault(name, at)
        return name

    def lump(self, nodes: tuple[str, ...], mass: float, at: Vector) -> None:
        self.lumps.setdefault(nodes, []).append((mass, at))


def idealise(rack: Rack, pieces: Pieces) -> RackFrame:
    """The frame of a rack; its variants: `PRETENSIONS`, at stated centres of gravity and at their corners."""
    draft = _Draft()
    _tubes(rack, pieces, draft)
    for shelf in rack.definition.shelf:
        _shelf(rack, pieces, draft, shelf.name)
    for place in brace_places(rack):
        segment, row = brace_member(rack, pieces.get(f"brace.{place.brace.name}"), place, draft.nodes)
        draft.segments.append(segment)
        draft.members.append(row)
    for foot in feet_of(rack, draft.nodes):
        draft.node(foot.name, foot.at)
        draft.segments.append(Segment(f"pad.{foot.corner}", "foot", 0.0, foot.length))
        draft.members.append(dict(foot.row))
    _lumps(rack, pieces, draft)
    names, at, warm = tuple(draft.nodes), corners(rack), states(rack)
    per = len(PRETENSIONS) * len(warm)
    number = {name: i for i, name in enumerate(names)}
    masses, items, carriers = _masses(rack, draft, number)
    rings = {ring.name: _ring_node(rack, ring) for ring in rack.definition.ring}
    frame_strain = np.tile(np.repeat([state.frame for state in warm], len(PRETENSIONS)), len(at))
    strap_strain = np.tile(
        np.repeat([state.straps for state in warm], len(PRETENSIONS), axis=0), (len(at), 1)
    )
    straps, ties = ties_of(rack, draft.nodes, number, rings, frame_strain, strap_strain)
    padded, pads = pads_of(rack, draft.nodes, number, frame_strain)
    mass, cg, shift = at_corners(rack, per)
    xyz = np.repeat(masses.xyz[None], len(mass), axis=0)
    xyz[:, : len(items)] += shift
    of_one = tuple(f"{name}{state.name}" for state in warm for name in PRETENSIONS)
    variants = tuple(f"{name}{corner_name(signs)}" for signs in at for name in of_one)
    left = tuple(share_left(rack, state.kelvin) for _ in at for state in warm for _ in PRETENSIONS)
    frame = Frame(
        xyz=np.array([draft.nodes[name] for name in names]),
        fixed=np.zeros((len(names), 6), dtype=bool),
        members=_grown(_members(draft, number, len(at) * len(warm)), frame_strain),
        springs=foot_springs(rack, number),
        ties=ties,
        pads=pads,
        masses=replace(masses, xyz=xyz),
        names=names,
    )
    return RackFrame(frame, names, tuple(draft.segments), straps, padded, items, variants, left,
                     of_one, mass, cg, carriers, curves_of(rack), item_bodies(rack))  # fmt: skip


# --- tubes and shelves ---------------------------------------------------------------------------


def _post_heights(rack: Rack, corner: str) -> list[int]:
    """Where along a post something is fixed: shelves, rails' screws, rings."""
    d = rack.definition
    heights = set()
    for shelf in d.shelf:
        heights.add(shelf_bolt_height(rack, shelf.height))
    if corner.startswith("front") and d.rails:
        for item in d.equipment:
            if item.on_rails:
                heights.update(screw_heights(rack, item))
    for ring in d.ring:
        if ring.post == corner:
            heights.add(round(ring_place(rack, ring).root[2] * 1e9))
    return sorted(heights | brace_ends(rack, f"post.{corner}"))


def shelf_bolt_height(rack: Rack, top: int) -> int:
    make = rack.definition.shelf_make
    return top - make.panel.thickness - (make.angle.thickness + make.angle.post_leg) // 2


def _ring_node(rack: Rack, ring: Ring) -> str:
    return post_node(rack, ring.post, round(ring_place(rack, ring).root[2] * 1e9))


def post_node(rack: Rack, corner: str, height: int) -> str:
    """The node of a post at a height (nm); the heights are those of `_post_heights`."""
    return f"post.{corner}@{height}"


def _tubes(rack: Rack, pieces: Pieces, draft: _Draft) -> None:
    d = rack.definition
    half = d.tube.side * 0.5e-9
    for level in ("bottom", "top"):
        for corner in CORNERS:
            name = f"block.{level}.{corner}"
            draft.node(name, np.array(corner_of(rack, name)) * 1e-9 + half)
    for place in tube_places(rack):
        piece, i = pieces.get(place.id), axis_index(place.axis)
        low, high = place.ends
        stops = [low]
        post = place.id.removeprefix("post.")
        for along in (
            _post_heights(rack, post) if place.kind == "post" else sorted(brace_ends(rack, place.id))
        ):
            at = draft.nodes[low].copy()
            at[i] = along * 1e-9
            stops.append(draft.node(f"{place.id}@{along}", at))
        stops.append(high)
        arm = np.eye(3)[i] * half
        begin = place.box.lo[i] * 1e-9
        assert piece.length is not None
        for a, b in itertools.pairwise(stops):
            offset = np.array([arm if a == low else 0 * arm, -arm if b == high else 0 * arm])
            _add(draft, rack, piece.id, place.kind, a, b, offset, begin, piece.mass / (piece.length * 1e-9))


def shelf_stations(rack: Rack, shelf: str) -> list[int]:
    """Rack y (nm) of the interior nodes of a shelf's angles: the fixing lines of its equipment, or quarters."""
    d = rack.definition
    lines = {equipment_corner(rack, item)[1] + y for item in d.equipment if shelf_of(item) == shelf
             for _, y in shelf_feet(item)}  # fmt: skip
    return sorted(lines if len(lines) > 1 else lines | {d.outside.depth // 4, 3 * d.outside.depth // 4})


def angle_node(shelf: str, hand: str, y: int | str) -> str:
    return f"angle.{shelf}.{hand}@{y}"


def _angle_line(rack: Rack, shelf: str, hand: str) -> tuple[float, float]:
    """x and z (m) of an angle's centroid."""
    d, angle = rack.definition, rack.definition.shelf_make.angle
    top = (next(s.height for s in d.shelf if s.name == shelf) - d.shelf_make.panel.thickness) * 1e-9
    legs = angle.post_leg * 1e-9, angle.carry_leg * 1e-9, angle.thickness * 1e-9
    down = float(section.angle_centroid(legs[0], legs[1], legs[2], 0.0, 0.0))
    across = float(section.angle_centroid(legs[1], legs[0], legs[2], 0.0, 0.0))
    inner = d.tube.side * 1e-9 if hand == "left" else (d.outside.width - d.tube.side) * 1e-9
    return (inner + across if hand == "left" else inner - across), top - down


def _shelf(rack: Rack, pieces: Pieces, draft: _Draft, shelf: str) -> None:
    d = rack.definition
    height = shelf_bolt_height(rack, next(s.height for s in d.shelf if s.name == shelf))
    stations = shelf_stations(rack, shelf)
    for hand in HANDS:
        piece = pieces.get(f"angle.{shelf}.{hand}")
        x, z = _angle_line(rack, shelf, hand)
        ends = [post_node(rack, f"{depth}-{hand}", height) for depth in ("front", "rear")]
        inner = [draft.node(angle_node(shelf, hand, y), np.array([x, y * 1e-9, z])) for y in stations]
        first, last = (draft.nodes[end] for end in ends)
        arms = [np.array([x - at[0], 0.0, z - at[2]]) for at in (first, last)]
        span = last[1] - first[1]
        stops = [ends[0], *inner, ends[1]]
        for n, (a, b) in enumerate(itertools.pairwise(stops)):
            offset = np.array(
                [arms[0] if n == 0 else 0 * arms[0], arms[1] if n == len(stops) - 2 else 0 * arms[1]]
            )
            springs = np.full((2, 2), np.inf)
            springs[0] = 0.0 if n == 0 else np.inf
            springs[1] = 0.0 if n == len(stops) - 2 else np.inf
            _add(draft, rack, piece.id, "angle", a, b, offset, 0.0, piece.mass / span, springs)
    _panel(rack, draft, shelf, stations)


def _panel(rack: Rack, draft: _Draft, shelf: str, stations: list[int]) -> None:
    """Cross bars at the fixing lines and shear diagonals between them."""
    d, row = rack.definition, rack.rows.materials[rack.definition.shelf_make.panel.material]
    t = d.shelf_make.panel.thickness * 1e-9
    E, G = row.E or 0.0, row.G or 0.0
    edges = [0, *[(a + b) // 2 for a, b in itertools.pairwise(stations)], d.outside.depth]
    for y, low, high in zip(stations, edges, edges[1:], strict=False):
        _bar(draft, f"panel.{shelf}", shelf, (y, y), t * (high - low) * 1e-9, E, G)
    left, right = (_angle_line(rack, shelf, hand)[0] for hand in HANDS)
    for y, to in itertools.pairwise(stations):
        a, b = right - left, (to - y) * 1e-9
        area = G * t * float(np.hypot(a, b)) ** 3 / (2 * E * a * b)
        _bar(draft, f"panel.{shelf}", shelf, (y, to), area, E, G)
        _bar(draft, f"panel.{shelf}", shelf, (to, y), area, E, G)


def _bar(draft: _Draft, piece: str, shelf: str, y: tuple[int, int], area: float, E: float, G: float) -> None:
    """A bar from the left angle to the right one that only pulls and pushes."""
    a, b = angle_node(shelf, "left", y[0]), angle_node(shelf, "right", y[1])
    small = SOFT * area
    length = float(np.linalg.norm(draft.nodes[b] - draft.nodes[a]))
    draft.segments.append(Segment(piece, "panel", 0.0, length))
    draft.members.append(
        {"a": a, "b": b, "A": area, "Iy": small, "Iz": small, "J": small, "Asy": np.inf, "Asz": np.inf, "E": E, "G": G,
         "rho": 0.0, "offset": np.zeros((2, 3)), "end_spring": np.zeros((2, 2)), "zref": np.array([0.0, 0.0, 1.0])}
    )  # fmt: skip


def _add(
    draft: _Draft, rack: Rack, piece: str, kind: str, a: str, b: str, offset: Vector, begin: float, per_metre: float,
    springs: Vector | None = None,
) -> None:  # fmt: skip
    start = draft.nodes[a] + offset[0]
    length = float(np.linalg.norm(draft.nodes[b] + offset[1] - start))
    values = angle_values(rack) if kind == "angle" else tube_values(rack)
    along = {"post": 2, "width": 0}.get(kind, 1)
    zref = np.array([1.0, 0.0, 0.0]) if kind == "post" else np.array([0.0, 0.0, 1.0])
    draft.segments.append(Segment(piece, kind, float(start[along]) - begin, length))
    end_spring = np.full((2, 2), np.inf) if springs is None else springs
    row: dict[str, object] = {"a": a, "b": b, **values, "rho": per_metre / values["A"], "offset": offset,
                              "end_spring": end_spring, "zref": zref}  # fmt: skip
    ends = [name.startswith("block.") for name in (a, b)]
    give = end_springs(rack, kind) if any(ends) else None
    if give is not None:
        # what slides and twists at an end is spread along the segment, whose mass stays
        area = length / (length / values["A"] + sum(ends) * give.slide * values["E"])
        J = length / (length / values["J"] + sum(ends) * give.twist * values["G"])
        turn = np.where(np.array(ends)[:, None], give.turn, end_spring)
        row["flexible"] = {"A": area, "J": J, "rho": per_metre / area, "end_spring": turn}
    draft.members.append(row)


def _members(draft: _Draft, number: dict[str, int], times: int) -> Members:
    """Members with stiff, then flexible joints, each for two pretensions; all of them `times` over.

    What does not differ is written once, and stays one for all variants.
    """
    rows = draft.members
    soft = [row | row.get("flexible", {}) for row in rows]  # type: ignore[operator]

    def column(name: str) -> Vector:
        both = np.array([[row[name] for row in each] for each in (rows, soft)], dtype=float)
        if (both[0] == both[1]).all():
            return np.asarray(both[0])
        return np.concatenate([np.repeat(both, len(PRETENSIONS) // 2, axis=0)] * times)

    ends = np.array([[number[str(row["a"])], number[str(row["b"])]] for row in rows])
    names = "zref", "E", "G", "A", "Iy", "Iz", "J", "Asy", "Asz", "rho", "offset", "end_spring"
    bar = np.array([one.kind == "panel" for one in draft.segments])
    return Members(ends=ends, bar=bar, **{name: column(name) for name in names})


def _grown(members: Members, strain: Vector) -> Members:
    """Grown by the strain (V,) of each variant."""
    return (
        replace(members, growth=np.repeat(strain[:, None], len(members), axis=1)) if strain.any() else members
    )


# --- masses --------------------------------------------------------------------------------------


def _lumps(rack: Rack, pieces: Pieces, draft: _Draft) -> None:
    """Every piece that is not a member, and every bolt, on the nodes that carry it."""
    for piece in pieces.made:
        if piece.kind not in ("post", "width", "depth", "angle", "brace"):
            at = np.array(piece.cg)
            draft.lump(_holders(rack, draft, piece.id, at), piece.mass, at)
    for bolt, at in bolt_points(pieces):
        joined = [id for id in bolt.joins if not id.startswith("equipment.")]
        owner = next(
            (id for id in joined if id.startswith("post.")), joined[0]
        )  # on the left as on the right
        draft.lump(_holders(rack, draft, owner, at), bolt.mass, at)


def _holders(rack: Rack, draft: _Draft, piece: str, at: Vector) -> tuple[str, ...]:
    """The nodes that carry what lies at `at` (m) and is, or is fixed to, a piece: its nearest, of a shelf all."""
    kind, _, rest = piece.partition(".")
    if kind == "block":
        return (piece,)
    if kind in ("brace", "gusset"):
        near = nodes_of(rack, rest)
        return (min(near, key=lambda name: float(np.linalg.norm(draft.nodes[name] - at))),)
    if kind == "pad":
        return (f"block.bottom.{rest}",)
    if kind in ("panel", "angle"):
        shelf = rest.rpartition(".")[0] if kind == "angle" else rest
        heads = tuple(angle_node(shelf, hand, "") for hand in HANDS)
        return tuple(name for name in draft.nodes if name.startswith(heads))
    if kind == "ring":
        return tuple(_ring_node(rack, ring) for ring in rack.definition.ring if ring.name == rest)
    tube = f"post.front-{rest}" if kind == "rail" else piece
    place = next(place for place in tube_places(rack) if place.id == tube)
    near = [*place.ends, *(name for name in draft.nodes if name.startswith(f"{tube}@"))]
    return (min(near, key=lambda name: float(np.linalg.norm(draft.nodes[name] - at))),)


def _masses(
    rack: Rack, draft: _Draft, number: dict[str, int]
) -> tuple[Masses, tuple[str, ...], tuple[Carrier, ...]]:
    m: list[float] = []
    xyz: list[Vector] = []
    carrier: list[int] = []
    node: list[int] = []
    offset: list[Vector] = []
    carriers: list[Carrier] = []
    for item in rack.definition.equipment:
        for name, at in _fixings(rack, item):
            carrier.append(len(m))
            node.append(number[name])
            offset.append(at - draft.nodes[name])
            carriers.append(Carrier(item.name, number[name], at))
        m.append(item.mass + (item.mass_tolerance or 0.0))
        xyz.append(equipment_cg(rack, item))
    for holders, lumps in draft.lumps.items():
        total = sum(mass for mass, _ in lumps)
        for name in holders:
            carrier.append(len(m))
            node.append(number[name])
            offset.append(np.zeros(3))
        m.append(total)
        xyz.append(sum((mass * at for mass, at in lumps), np.zeros(3)) / total)
    masses = Masses(m=np.array(m), xyz=np.array(xyz), carrier=np.array(carrier), node=np.array(node),
                    offset=np.array(offset), count=len(m))  # fmt: skip
    return masses, tuple(item.name for item in rack.definition.equipment), tuple(carriers)


def _fixings(rack: Rack, item: Equipment) -> Iterator[tuple[str, Vector]]:
    """Nodes and places where an item rests: four or more points."""
    d, shelf = rack.definition, shelf_of(item)
    if item.on_rails is not None and d.rails is not None:
        for z in screw_heights(rack, item):
            for hand in HANDS:
                at = np.array([screw_x(rack, hand), d.rails.setback, z]) * 1e-9
                yield post_node(rack, f"front-{hand}", z), at
    if shelf is not None:
        front = equipment_corner(rack, item)[1]
        for y in sorted({front + foot for _, foot in shelf_feet(item)}):
            for hand in HANDS:
                x, height = _angle_line(rack, shelf, hand)
                yield angle_node(shelf, hand, y), np.array([x, y * 1e-9, height])

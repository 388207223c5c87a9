"""Braces and their gussets: where each lies, its mitred ends, its bolts.

In the plane of its face a brace of side b runs along the unit vector d between two points on the axes of its members,
of side h. An end is sawn along its member: at the angle θ between d and the member's square, cos θ = |d·q|, (h/2)/cos θ
from the point on the axis. The edges at ±b/2 beside the axis meet the sawn line by (b/2) tan θ sooner or later, so that
the long side is the axis' cut length plus (b/2)(tan θ1 + tan θ2) where the ends lean against each other, and
(b/2)|tan θ1 - tan θ2| where they lean one way; what the saw sets is from tip to tip.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import acos, degrees, hypot

from rackwright.formulas.section import tube_area, tube_inertia
from rackwright.pieces.frame_pieces import TubePlace, tube_places
from rackwright.pieces.model import IN, Box, Drilled, Layer, Mitre, Piece, axis_index
from rackwright.pieces.slab import XY, Slab, convex_hull, plane_of
from rackwright.pieces.solids import inches, square_section
from rackwright.rack.brace import ENDS, Brace, BraceEnd, GussetMake, normal_of
from rackwright.rack.model import Rack, Tube

__all__ = ["BracePlace", "brace_bolts", "brace_pieces", "brace_places", "gusset_id", "tube_of"]


@dataclass(frozen=True)
class Meeting:
    """One end of a brace, nm in the plane: where the axes cross, the member's way, the mitre's angle (rad), the
    distances of the sawn line from the crossing and of the edges' ends from it, along the brace."""

    name: str  # start, end
    member: TubePlace
    node: XY
    way: XY
    angle: float
    setback: float
    lean: float  # the edge to the left of the brace's way ends so much (nm) further along that way


@dataclass(frozen=True)
class BracePlace:
    """Where a brace lies: plane coordinates in the order of the rack's axes, nm."""

    brace: Brace
    tube: Tube
    normal: int
    outward: int  # +1 or -1
    low: int  # of the tube along the normal
    start: Meeting
    end: Meeting

    @property
    def meetings(self) -> tuple[Meeting, Meeting]:
        return self.start, self.end

    def meeting(self, end: str) -> Meeting:
        """The meeting at `start` or `end`."""
        return self.start if end == "start" else self.end

    @cached_property
    def along(self) -> XY:
        (a, b), (c, d) = self.start.node, self.end.node
        long = hypot(c - a, d - b)
        return (c - a) / long, (d - b) / long

    @property
    def axis_length(self) -> float:
        """Of its axis between the sawn ends, nm."""
        (a, b), (c, d) = self.start.node, self.end.node
        return hypot(c - a, d - b) - self.start.setback - self.end.setback

    @property
    def sides(self) -> tuple[float, float]:
        """Lengths of the edges to the left and right of its way, nm."""
        lean = self.end.lean - self.start.lean
        return self.axis_length + lean, self.axis_length - lean

    @property
    def first_tip(self) -> float:
        """How far the first tip lies before the axis' sawn end, nm."""
        return abs(self.start.lean)

    @property
    def overall(self) -> float:
        """From tip to tip along its axis, nm."""
        return self.first_tip + self.axis_length + abs(self.end.lean)

    def at(self, station: float, aside: float = 0.0) -> XY:
        """The point so far along its axis from the start's crossing, and to the left of it."""
        (u, v), (du, dv) = self.start.node, self.along
        return u + station * du - aside * dv, v + station * dv + aside * du

    @cached_property
    def slab(self) -> Slab:
        half, first = self.tube.side / 2, self.start.setback
        last = first + self.axis_length
        corners = (
            self.at(first - self.start.lean, -half), self.at(last - self.end.lean, -half),
            self.at(last + self.end.lean, half), self.at(first + self.start.lean, half),
        )  # fmt: skip
        tip = self.at(first - self.first_tip)
        return Slab(self.normal, self.low, self.low + self.tube.side, corners, 0, tip, self.along)

    def stations(self, make: GussetMake, end: str) -> tuple[float, ...]:
        """Its bolts of an end along the axis, from the start's crossing, the nearest to that end first; nm."""
        meeting = self.meeting(end)
        first = meeting.setback + make.edge * meeting.setback / (self.tube.side / 2)
        way = [first + n * make.pitch for n in range(make.on_brace)]
        whole = self.start.setback + self.axis_length + self.end.setback
        return tuple(way) if end == "start" else tuple(whole - s for s in way)

    def bolt_points(self, make: GussetMake, end: str) -> tuple[XY, ...]:
        """Of an end: the bolts in the brace, then those in the member; nm."""
        meeting = self.meeting(end)
        spread = [(n - (make.on_member - 1) / 2) * make.pitch for n in range(make.on_member)]
        (u, v), (mu, mv) = meeting.node, meeting.way
        on_member = tuple((u + s * mu, v + s * mv) for s in spread)
        return (*(self.at(s) for s in self.stations(make, end)), *on_member)


def brace_places(rack: Rack) -> tuple[BracePlace, ...]:
    tubes = {place.id: place for place in tube_places(rack)}
    return tuple(_place(rack, brace, tubes) for brace in rack.definition.brace)


def tube_of(rack: Rack, piece: Piece) -> Tube:
    """The tube that a post, cross tube or brace is cut from."""
    own = {f"brace.{brace.name}": brace.tube for brace in rack.definition.brace}
    return own.get(piece.id) or rack.definition.tube


def _place(rack: Rack, brace: Brace, tubes: dict[str, TubePlace]) -> BracePlace:
    side, way = rack.definition.tube.side, normal_of(brace.face)
    normal = axis_index(way)
    nodes = [_node(tubes[end.member], end, normal) for end in (brace.start, brace.end)]
    (a, b), (c, d) = nodes
    long = hypot(c - a, d - b)
    du, dv = (c - a) / long, (d - b) / long
    meetings = []
    for name, end, node in zip(ENDS, (brace.start, brace.end), nodes, strict=True):
        member = tubes[end.member]
        mu, mv = (1.0, 0.0) if plane_of(normal)[0] == axis_index(member.axis) else (0.0, 1.0)
        square = abs(du * mv - dv * mu)  # cosine of the angle between the brace and the member's square
        angle = acos(min(1.0, square))
        # a point beside the axis by s (to the left) lies on the sawn line s (d·m)/(d×m) further along
        lean = side / 2 * (du * mu + dv * mv) / (du * mv - dv * mu)
        meetings.append(Meeting(name, member, node, (mu, mv), angle, side / 2 / square, lean))
    low = tubes[brace.start.member].box.lo[normal]
    return BracePlace(
        brace, brace.tube or rack.definition.tube, normal, 1 if way[0] == "+" else -1, low, *meetings
    )


def _node(member: TubePlace, end: BraceEnd, normal: int) -> XY:
    point = [(low + high) / 2 for low, high in zip(member.box.lo, member.box.hi, strict=True)]
    point[axis_index(member.axis)] = end.at
    u, v = plane_of(normal)
    return point[u], point[v]


# --- pieces --------------------------------------------------------------------------------------


def gusset_id(brace: str, end: str, face: str) -> str:
    return f"gusset.{brace}.{end}.{face}"


def gusset_layers(rack: Rack, place: BracePlace) -> dict[str, tuple[int, int]]:
    """By face that has a gusset, its interval along the normal."""
    make, side = rack.definition.gusset_make, place.tube.side
    assert make is not None
    above = (place.low + side, place.low + side + make.thickness)
    below = (place.low - make.thickness, place.low)
    both = {"outside": above, "inside": below} if place.outward > 0 else {"outside": below, "inside": above}
    return {face: layer for face, layer in both.items() if make.faces in ("both", face)}


def brace_pieces(rack: Rack) -> list[Piece]:
    """Every brace with its gussets."""
    made = []
    for place in brace_places(rack):
        made.append(_brace(rack, place))
        for end in ENDS:
            made += _gussets(rack, place, end)
    return made


def _brace(rack: Rack, place: BracePlace) -> Piece:
    tube, slab, name = place.tube, place.slab, place.brace.name
    b, t, r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
    area, second = float(tube_area(b, b, t, r)), float(tube_inertia(b, b, t, r))
    long = place.axis_length * 1e-9
    mass = (rack.rows.materials[tube.material].density or 0.0) * area * long
    middle = place.at(place.start.setback + place.axis_length / 2)
    left, right = place.sides
    mitre = Mitre((place.start.angle, place.end.angle), round(max(left, right)), round(min(left, right)),
                  place.start.lean * place.end.lean > 0)  # fmt: skip
    return Piece(
        id=f"brace.{name}",
        kind="brace",
        title=f"brace, {name}",
        material=tube.material,
        stock=tube.stock,
        section=square_section(tube.side, tube.wall),
        boxes=(Box(*slab.box),),
        mass=mass,
        cg=_solid_point(slab, middle),
        inertia=_rod(slab, mass, long, second / area),
        path=f"brace.{name}",
        length=round(place.overall),
        notes=(mitre_words(mitre),),
        slab=slab,
        mitre=mitre,
    )


def mitre_words(mitre: Mitre) -> str:
    """The ends of a sawn piece for a note; its sides in inches as cut lengths are shown."""
    first, last = (f"{degrees(angle):.2f}" for angle in mitre.angles)
    long, short = (f"{nm / IN:.3f}" for nm in (mitre.long, mitre.short))
    if mitre.parallel:
        return f"mitred {first} and {last} deg from the square, ends parallel; sides {long} in"
    way = "one way" if mitre.same_way else "together"
    return f"mitred {first} and {last} deg from the square, ends lean {way}; sides {long} and {short} in"


def _gussets(rack: Rack, place: BracePlace, end: str) -> list[Piece]:
    make, name = rack.definition.gusset_make, place.brace.name
    assert make is not None
    row, made = rack.rows.materials[make.material], []
    hull = convex_hull(place.bolt_points(make, end))
    meeting = place.meeting(end)
    du, dv = place.along
    away = (du, dv) if end == "start" else (-du, -dv)
    for face, (low, high) in gusset_layers(rack, place).items():
        slab = Slab(place.normal, low, high, hull, make.edge, meeting.node, away)
        mass = (row.density or 0.0) * slab.area * make.thickness * 1e-9
        (a, b, c), (e, f, g) = slab.box
        size = tuple((hi - lo) * 1e-9 for lo, hi in ((a, e), (b, f), (c, g)))
        inertia = tuple(mass * (sum(s * s for s in size) - size[i] ** 2) / 12 for i in range(3))
        made.append(
            Piece(
                id=gusset_id(name, end, face),
                kind="gusset",
                title=f"gusset, {name} {end} {face}",
                material=make.material,
                stock=make.stock,
                section=f"{'SHEET' if row.form.startswith('sheet') else 'PLATE'} {inches(make.thickness)}",
                boxes=(Box(*slab.box),),
                mass=mass,
                cg=_solid_point(slab, slab.centre),
                inertia=(inertia[0], inertia[1], inertia[2]),
                path=f"brace.{name}.{end}",
                slab=slab,
            )
        )
    return made


def _solid_point(slab: Slab, point: XY) -> tuple[float, float, float]:
    """A point of the plane at the middle of the slab, m."""
    x, y, z = slab.rack_point(point, (slab.low + slab.high) / 2)
    return x * 1e-9, y * 1e-9, z * 1e-9


def _rod(slab: Slab, mass: float, long: float, spread: float) -> tuple[float, float, float]:
    """Of a bar that lies askew about the rack's axes, products left out: m (L²/12 (1 - d²) + k² (1 + d²))."""
    way = slab.rack_point(slab.along, 0.0)
    a, b, c = (mass * (long**2 / 12 * (1 - d * d) + spread * (1 + d * d)) for d in way)
    return a, b, c


# --- bolts ---------------------------------------------------------------------------------------


def brace_bolts(rack: Rack) -> list[Drilled]:
    """The bolts of every gusset, through it, the tube and the other gusset; a spacer keeps the tube from crushing."""
    make, drilled = rack.definition.gusset_make, []
    for place in brace_places(rack):
        assert make is not None
        for meeting in place.meetings:
            for n, point in enumerate(place.bolt_points(make, meeting.name)):
                tube = place.tube if n < make.on_brace else rack.definition.tube
                piece = f"brace.{place.brace.name}" if n < make.on_brace else meeting.member.id
                at = _solid_point(place.slab, point)
                drilled.append(
                    Drilled(f"brace.{place.brace.name}.{meeting.name}.{n + 1}", make.hardware,
                            (round(at[0] * 1e9), round(at[1] * 1e9), round(at[2] * 1e9)), "xyz"[place.normal],
                            _layers(rack, place, meeting.name, piece, tube.wall), "gusset_make.hardware",
                            tube.side - 2 * tube.wall)
                )  # fmt: skip
    return drilled


def _layers(rack: Rack, place: BracePlace, end: str, piece: str, wall: int) -> tuple[Layer, ...]:
    low, high = place.low, place.low + place.tube.side
    walls = [Layer(piece, low, low + wall), Layer(piece, high - wall, high)]
    plates = [Layer(gusset_id(place.brace.name, end, face), *layer)
              for face, layer in gusset_layers(rack, place).items()]  # fmt: skip
    return tuple(sorted((*walls, *plates), key=lambda layer: layer.low))

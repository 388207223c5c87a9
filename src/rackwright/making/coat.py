"""The powder coat: area, powder, what is masked, and what a film does where it should not be.

Parts are coated after take-apart, each by itself. Coated are the aluminium pieces, and rings only if the
definition's finish names them (`also = ["ring"]`). Of each piece:

* tubes: the outside. Their ends and insides are masked (faying faces over the spigot).
* blocks: the outside faces of the cube that no tube stands on; the spigots and the faces around them are masked.
* angles, rails, panels, pads and rings: the whole surface.
* bolt holes are plugged (a film would close the reamed fit) and taken off; vents and drains stay open, taken off too.

Bond pads and datum spots are masked too; their size is the drawing's, so their area is not taken off and the
powder is never too little. Powder is area over coverage: mass = A ρ f / η, at the middle and the upper end of the
film range. Masked faces get no film; the fits that would close if masking is forgotten are worked out beside it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from rackwright.formulas.coating import gap_after_coating, hole_after_coating, powder_coverage
from rackwright.formulas.electrical import leak_current
from rackwright.making.asked import Asked
from rackwright.pieces.build import Pieces
from rackwright.pieces.metals import metal_of
from rackwright.pieces.model import Bolt, Piece
from rackwright.pieces.surface import TUBES, hole_area, outside_area
from rackwright.rack import Rack
from rackwright.rack.model import Finish
from rackwright.shop.jig_and_oven import Booth

__all__ = [
    "CoatPlan",
    "Coated",
    "Fit",
    "Mask",
    "Vent",
    "coat_json",
    "coat_plan",
    "coated_area",
    "grip_growth",
    "ground",
    "is_coated",
    "powder_mass",
]

WATER = 1000.0  # kg/m3, of a specific gravity of one
INCH, SQUARE_FOOT, POUND, MIL = 0.0254, 0.3048**2, 0.45359237, 25.4e-6
DATUM_BLOCK = "block.bottom.front-left"

CAUTIONS = (
    "Clean hands and gloves after pretreatment; note lot and times.",
    "Powder is combustible dust: ground the part, no lighter, no phone, respirator on.",
    "A datum blasted round is lost: mask before blasting.",
    "A coated bond pad does not bond; a coated faying face does not fit.",
)


# --- area and powder -----------------------------------------------------------------------------


@dataclass(frozen=True)
class Coated:
    """One part number: how many in a rack, and the coated area of each (m²)."""

    part: str
    kind: str
    title: str
    count: int
    area: float


def is_coated(finish: Finish, piece: Piece) -> bool:
    """Aluminium is coated; rings are stainless and are coated only if the finish names them."""
    return metal_of(piece) == "aluminium" or piece.kind in finish.also


def coated_area(rack: Rack, piece: Piece) -> float:
    """Coated area of one piece, m², by the rule of this module.

    A 36 in tube of 1 in square with sharp corners has 4 x 36 = 144 in2; a block of 1.5 in shows 3 x 2.25 in2.
    """
    if piece.kind == "block":
        cube = piece.boxes[0]
        area = sum(cube.size(i) * cube.size((i + 1) % 3) for i in range(3)) * 1e-18
        own = [hole for hole in piece.holes if hole.bolt.startswith("pad.")]  # the others are in the spigots
        return area - hole_area(own, 1)
    return outside_area(rack, piece) - hole_area(piece.holes, 1 if piece.kind in TUBES else 2)


def powder_mass(finish: Finish, area: float, film: float) -> float:
    """Powder sprayed for this area (m²) and film (m), kg, with what does not stay on."""
    return area / float(powder_coverage(finish.specific_gravity * WATER, film, finish.transfer_efficiency))


# --- masking -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Mask:
    """One thing to mask, on every rack: where, what with what for, and how many."""

    number: int
    piece: str
    what: str
    why: str
    count: int


def _masks(rack: Rack, pieces: Pieces, finish: Finish) -> Iterator[tuple[str, str, str, int]]:
    d = rack.definition
    coated = [piece for piece in pieces.made if is_coated(finish, piece)]
    for piece in coated:
        if piece.kind == "brace":
            yield piece.id, "both sawn ends and the bore", "faying faces on the members", 2
        elif piece.kind in TUBES:
            yield piece.id, "both ends and the bore", "faying faces over the spigots", 2
        if piece.kind == "block":
            yield piece.id, "spigots and the faces around them", "faying faces in and against the tubes", 3
    for piece in coated:
        bores: dict[tuple[int, str], int] = {}
        for hole in piece.holes:
            if not hole.bolt.startswith("vent."):
                key = hole.diameter, hole.thread
                bores[key] = bores.get(key, 0) + 1
        for (diameter, thread), count in sorted(bores.items()):
            yield (
                piece.id,
                f"bores {diameter * 1e-9 / INCH:.4f} in",
                f"tapped {thread}" if thread else "reamed or clearance fit of a bolt",
                count,
            )
    for number, pad in enumerate(d.bond.pads if d.bond else (), start=1):
        yield (
            pad,
            f"bond pad {number}, size by the drawing",
            "bond path: bare metal, treated after the bake",
            1,
        )
    for face in ("-x", "-y", "-z"):
        yield DATUM_BLOCK, f"datum spot on {face}", "the rack is measured from here after coat", 1


# --- vents ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Vent:
    """Vent and drain holes of one closed tube: distances from its low end (nm), face and diameter (nm)."""

    tube: str
    at: tuple[int, ...]
    face: str
    diameter: int


def _vents(pieces: Pieces) -> Iterator[Vent]:
    for piece in pieces.made:
        if piece.kind in TUBES:
            holes = sorted(
                (piece.station(hole.centre), hole) for hole in piece.holes if hole.bolt.startswith("vent.")
            )
            at = tuple(station for station, _ in holes)
            face, diameter = (holes[0][1].face, holes[0][1].diameter) if holes else ("", 0)
            yield Vent(piece.id, at, face, diameter)


# --- fits ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Fit:
    """A fit with and without masking, m: `masked` as planned, `missed` with the upper film on both parts."""

    name: str
    masked: float
    missed: float
    note: str

    @property
    def closes(self) -> bool:
        return self.missed < 0


def _fits(rack: Rack, pieces: Pieces, finish: Finish) -> Iterator[Fit]:
    d, film = rack.definition, finish.film_high * 1e-9
    gap = d.block.spigot_gap * 1e-9
    yield Fit(
        "spigot in its tube",
        gap,
        float(gap_after_coating(gap, 4, film)),
        "two faces of each part across the fit",
    )
    for row, hole in sorted({(bolt.row, bolt.hole) for bolt in pieces.bolts}):
        shank = rack.rows.bolts[row].diameter
        left = float(hole_after_coating(hole * 1e-9, film)) - shank
        yield Fit(f"{row} in {hole * 1e-9 / INCH:.4f} in", hole * 1e-9 - shank, left, "hole less shank")


def grip_growth(bolt: Bolt, pieces: Pieces, finish: Finish) -> float:
    """How much longer the stack of a bolt is for the films that are clamped in it, at the upper end, m.

    A tube wall has film on one side, a spigot on none; plates, angles, rails and pads on two.
    """
    by_id = {piece.id: piece for piece in pieces.made}
    faces = 0
    for layer in bolt.layers:
        piece = by_id.get(layer.piece)
        if piece is not None and is_coated(finish, piece):
            faces += 1 if piece.kind in TUBES or (piece.kind == "block" and bolt.id.startswith("pad.")) else 0
            faces += 2 if piece.kind not in (*TUBES, "block") else 0
    return faces * finish.film_high * 1e-9


# --- ground --------------------------------------------------------------------------------------


def ground(booth: Booth, resistance: float, voltage: float) -> tuple[bool, str, float]:
    """(good?, why, leak current in A) of a reading of the hanger to ground, ohm and V."""
    current = float(leak_current(voltage, resistance)) if resistance > 0 else float("inf")
    if voltage < booth.ground_voltage:
        return (
            False,
            f"measured with {voltage:g} V, less than {booth.ground_voltage:g} V proves nothing",
            current,
        )
    if resistance > booth.ground_most:
        return (
            False,
            f"{resistance / 1e6:g} Mohm is over {booth.ground_most / 1e6:g} Mohm: strip the hanger",
            current,
        )
    return True, f"{resistance / 1e6:g} Mohm, at most {booth.ground_most / 1e6:g} Mohm", current


# --- the plan ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class CoatPlan:
    """The coat sheet of one design for its racks. Without a finish there is nothing but the reason."""

    design: str
    racks: int
    finish: Finish | None
    booth: Booth | None
    rows: tuple[Coated, ...] = ()
    masks: tuple[Mask, ...] = ()
    vents: tuple[Vent, ...] = ()
    fits: tuple[Fit, ...] = ()
    most_grip_growth: tuple[str, float] = ("", 0.0)  # bolt, m
    asked: tuple[Asked, ...] = ()

    @property
    def area(self) -> float:
        """Coated area of one rack, m²."""
        return sum(row.count * row.area for row in self.rows)

    def powder(self, film: float) -> float:
        """Powder for all racks of this design, kg."""
        return powder_mass(self.finish, self.racks * self.area, film) if self.finish else 0.0

    @property
    def films(self) -> tuple[float, float]:
        """Middle and upper film, m."""
        if self.finish is None:
            return 0.0, 0.0
        return (self.finish.film_low + self.finish.film_high) / 2 * 1e-9, self.finish.film_high * 1e-9


def coat_plan(rack: Rack, pieces: Pieces, racks: int, booth: Booth | None) -> CoatPlan:
    """What is coated and masked on one rack, and the powder for so many."""
    part, finish = rack.definition.part, rack.definition.finish
    if finish is None:
        return CoatPlan(part, racks, None, booth, asked=(Asked("finish", "the definition names no powder"),))
    coated = [piece for piece in pieces.made if is_coated(finish, piece)]
    first = {piece.part: piece for piece in reversed(coated)}
    rows = tuple(
        Coated(number, piece.kind, piece.title, pieces.quantity(number), coated_area(rack, piece))
        for number, piece in sorted(first.items())
    )
    masks = tuple(Mask(n, *row) for n, row in enumerate(_masks(rack, pieces, finish), start=1))
    growth = max(((bolt.id, grip_growth(bolt, pieces, finish)) for bolt in pieces.bolts), key=lambda one: one[1],
                 default=("", 0.0))  # fmt: skip
    asked = []
    if finish.document is None:
        asked.append(Asked("finish.document", "the powder maker's data sheet: film, cure window"))
    if booth is None:
        asked.append(Asked("[coat]", "the shop names no booth, so the ground check has no limit"))
    if rack.definition.bond is None:
        asked.append(Asked("bond", "no bond pads are named, so none is masked"))
    return CoatPlan(part, racks, finish, booth, rows, masks, tuple(_vents(pieces)),
                    tuple(_fits(rack, pieces, finish)), growth, tuple(asked))  # fmt: skip


def coat_json(plan: CoatPlan) -> dict[str, Any]:
    """The coat sheet as a document."""
    nominal, upper = plan.films
    booth = plan.booth
    return {
        "design": plan.design,
        "racks": plan.racks,
        "powder": plan.finish.powder if plan.finish else None,
        "document": plan.finish.document if plan.finish else None,
        "area_one_rack_m2": round(plan.area, 6),
        "area_one_rack_ft2": round(plan.area / SQUARE_FOOT, 4),
        "film_nominal_mil": round(nominal / MIL, 3),
        "film_upper_mil": round(upper / MIL, 3),
        "powder_nominal_kg": round(plan.powder(nominal), 4),
        "powder_upper_kg": round(plan.powder(upper), 4),
        "powder_nominal_lb": round(plan.powder(nominal) / POUND, 3),
        "powder_upper_lb": round(plan.powder(upper) / POUND, 3),
        "parts": [
            {
                "part_number": row.part, "kind": row.kind, "title": row.title, "per_rack": row.count,
                "area_each_in2": round(row.area / INCH**2, 3),
            }
            for row in plan.rows
        ],
        "masks": [
            {"number": one.number, "piece": one.piece, "what": one.what, "why": one.why, "count": one.count}
            for one in plan.masks
        ],
        "vents": [
            {
                "tube": one.tube, "from_low_end_in": [round(nm / 25_400_000, 4) for nm in one.at], "face": one.face,
                "diameter_in": round(one.diameter / 25_400_000, 4),
            }
            for one in plan.vents
        ],
        "fits": [
            {
                "fit": one.name, "clearance_masked_in": round(one.masked / INCH, 5),
                "clearance_if_not_masked_in": round(one.missed / INCH, 5), "closes_if_not_masked": one.closes,
                "note": one.note,
            }
            for one in plan.fits
        ],
        "grip_growth_most_in": round(plan.most_grip_growth[1] / INCH, 5),
        "grip_growth_most_at": plan.most_grip_growth[0],
        "ground": None if booth is None else {
            "booth": booth.name, "most_Mohm": booth.ground_most / 1e6, "least_V": booth.ground_voltage,
            "known": f"{booth.document} ({booth.how_known})",
        },
        "asked": [one.to_json() for one in plan.asked],
        "cautions": list(CAUTIONS),
    }  # fmt: skip

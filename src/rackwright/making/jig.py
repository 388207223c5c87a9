"""The drill jig: where every hole of the frame lies from the jig's datum, and how far two racks may differ.

Rack axes have their origin at the lower front left corner of the blocks; the jig's axes are parallel to them, so a
point of the jig is the rack's point plus the rack's origin in the jig. A hole is listed on the outside face that it
is drilled from, through tube, spigot and tube in one line. A pad's hole is drilled and counterbored in the pad alone:
that in the block is the mill's.

Interchange points are the holes that another rack must match: shelf and rail patterns in the posts, ring bolts, pad
centres. Two racks may differ there by no more than `tolerance.between_racks`. Each rack's deviation enters that
difference once, with either sign (see `formulas.stack`); what both share, being made in one jig, falls out of it.
A common contributor that was measured stands with its uncertainty in place of its tolerance. Three sigma of a
contributor are its half width if normal, √3 half widths if uniform, √1.5 if triangular. Statistics speaks of many
racks; for one rack its measured stack decides (`passport.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import asin, sqrt
from typing import Any, Literal

from rackwright.formulas.position import frame_lean
from rackwright.formulas.stack import (
    between_two,
    between_two_worst,
    clearance_float,
    root_sum_square,
    worst_case,
)
from rackwright.formulas.thermal import growth_apart
from rackwright.making.asked import Asked
from rackwright.making.jig_anchors import AnchorHole, anchor_holes, then
from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Bolt, Point, axis_index
from rackwright.rack import Rack
from rackwright.shop.jig_and_oven import Contributor, Jig
from rackwright.trouble import UNCONFIRMED

__all__ = ["Contribution", "JigHole", "JigPlan", "StackUp", "jig_json", "jig_plan", "squareness", "stack_up"]

INCH = 0.0254
REFERENCE = 293.15  # K, where drawings hold
THREE_SIGMA = {"normal": 1.0, "uniform": sqrt(3.0), "triangular": sqrt(1.5)}  # over the half width
FRAME = ("post", "width", "depth", "block", "brace")
Use = Literal["joint", "shelf", "rail", "ring", "pad", "brace"]
Governs = Literal["worst case", "statistical", "measured stacks"]

CAUTIONS = (
    "One rack is judged by its own measured stack; statistics speaks of many.",
    "Let parts come to the jig's temperature before they are located.",
    "A gap pulled closed with a bolt is out of tolerance, not in it.",
    "Drill before coating; chips of break-through cut; deburr both sides.",
)


# --- holes ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class JigHole:
    """One hole through the frame. `at` is in jig axes on the face it is drilled from, nm; `drill` 0: none fits."""

    bolt: str
    use: Use
    face: str
    at: Point
    rack_at: Point
    ream: int
    drill: int
    joins: tuple[str, ...]
    then: str = ""  # what a bolt without a nut turns into, as an instruction

    @property
    def interchange(self) -> bool:
        """Must it agree between any two racks?"""
        return self.use not in ("joint", "brace")  # these are drilled as a set, and stay one


def _holes(rack: Rack, pieces: Pieces, jig: Jig | None) -> Iterator[JigHole]:
    origin = jig.origin if jig else (0, 0, 0)
    for bolt in pieces.bolts:
        use = _use(bolt)
        if use is not None:
            face, at = _entry(rack, pieces, bolt)
            there = (at[0] + origin[0], at[1] + origin[1], at[2] + origin[2])
            hole = max(bolt.hole_in(piece) for piece in bolt.joins if pieces.get(piece).kind in FRAME)
            joins, after = tuple(piece for piece in bolt.joins if bolt.hole_in(piece) == hole), then(bolt)
            if use == "pad":  # the block's hole is the mill's
                pad, hole = bolt.layers[0].piece, bolt.hole
                notes = (*pieces.get(pad).notes, "over the block's hole, which the mill makes")
                joins, after = (pad,), "; ".join(notes)
            yield JigHole(bolt.id, use, face, there, at, hole, _drill(hole, jig), joins, after)


def _use(bolt: Bolt) -> Use | None:
    """What the hole is for; None for screws that are drilled from their own part (panels, equipment)."""
    first = bolt.id.split(".")[0]
    if first == "joint":
        return "ring" if any(piece.startswith("ring.") for piece in bolt.joins) else "joint"
    return first if first in ("shelf", "rail", "pad", "brace") else None  # type: ignore[return-value]


def _entry(rack: Rack, pieces: Pieces, bolt: Bolt) -> tuple[str, Point]:
    """The outside face that the bolt's line is nearer to, and the point on it."""
    i, outside = axis_index(bolt.axis), rack.definition.outside
    size = (outside.width, outside.depth, outside.height)[i]
    frame = [layer for layer in bolt.layers if pieces.get(layer.piece).kind in FRAME]
    low, high = frame[0].low, frame[-1].high
    at = list(bolt.point)
    at[i] = low if low + high < size else high
    return ("-" if low + high < size else "+") + bolt.axis, (at[0], at[1], at[2])


def _drill(hole: int, jig: Jig | None) -> int:
    """The largest drill of the crib that leaves the reamer its allowance."""
    return max((one for one in jig.drills if one <= hole - jig.ream_allowance), default=0) if jig else 0


# --- stack-up ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Contribution:
    """One contributor, m: plus or minus `half` about `offset`. `common` ones are the same on both racks."""

    name: str
    half: float
    offset: float
    distribution: str
    common: bool
    known: str
    unconfirmed: bool = False

    @property
    def three_sigma(self) -> float:
        return self.half * THREE_SIGMA[self.distribution]


@dataclass(frozen=True)
class StackUp:
    """The stack of one rack's interchange point along an axis, and of the difference of two; metres.

    Hand-worked: three own contributors of 1, 2 and 2 (normal) and a common one of 4. One rack: worst 9, statistical
    √(1+4+4+16) = 5. Two racks of one jig: worst 2 (1+2+2) = 10, statistical √2 √9 = 4.243; of two jigs worst 18.
    """

    contributions: tuple[Contribution, ...]
    limit: float | None

    @property
    def own(self) -> tuple[Contribution, ...]:
        return tuple(one for one in self.contributions if not one.common)

    @property
    def offset(self) -> float:
        """Known deviation that every rack of this jig has."""
        return sum(one.offset for one in self.contributions)

    @property
    def worst_one(self) -> float:
        return float(worst_case([one.half for one in self.contributions]))

    @property
    def statistical_one(self) -> float:
        """Three sigma, and never more than the worst."""
        return min(float(root_sum_square([one.three_sigma for one in self.contributions])), self.worst_one)

    @property
    def worst_two(self) -> float:
        return float(between_two_worst([one.half for one in self.own]))

    @property
    def statistical_two(self) -> float:
        return min(float(between_two([one.three_sigma for one in self.own])), self.worst_two)

    @property
    def worst_two_jigs(self) -> float:
        """Racks of two jigs, or of one that was rebuilt between them: nothing falls out."""
        return float(between_two_worst([one.half for one in self.contributions]))

    @property
    def governs(self) -> Governs:
        """What the promise for any two racks of one jig rests on."""
        if self.limit is not None and self.worst_two <= self.limit:
            return "worst case"
        if self.limit is not None and self.statistical_two <= self.limit:
            return "statistical"
        return "measured stacks"

    @property
    def answer(self) -> str:
        """One sentence for the sheet."""
        if self.limit is None:
            return "no tolerance between racks is given; the measured stack of each rack decides"
        said = {
            "worst case": "any two racks of this jig agree even at worst",
            "statistical": "worst case is over; two racks agree in all but few cases, so each is measured",
            "measured stacks": "neither worst case nor statistics keeps the tolerance: measure every rack",
        }[self.governs]
        return f"{said}; for one rack its measured stack decides"


def stack_up(rack: Rack, holes: tuple[JigHole, ...], jig: Jig) -> StackUp:
    """The shop's contributors and those that follow from the definition: growth, spigot fit, bolt in its hole."""
    tolerance, joint = rack.definition.tolerance, rack.definition.joint.hardware
    reach = max((max(hole.rack_at) for hole in holes if hole.interchange), default=0) * 1e-9
    part, metal = rack.rows.expansions[jig.part_expansion], rack.rows.expansions[jig.expansion]
    half, mean = (jig.warmest - jig.coldest) / 2, (jig.warmest + jig.coldest) / 2 - REFERENCE
    grows = [growth_apart(reach, part.alpha_per_K, metal.alpha_per_K, dT) for dT in (half, mean)]
    inside = rack.definition.tube.side - 2 * rack.definition.tube.wall
    spigot = float(clearance_float(inside, inside - rack.definition.block.spigot_gap)) * 1e-9
    bolt = float(clearance_float(joint.hole * 1e-9, rack.rows.bolts[joint.bolt].diameter))
    return StackUp(
        (
            *map(_contribution, jig.contributor),
            Contribution(
                "thermal growth", abs(grows[0]), grows[1], "uniform", False,
                f"{part.id} in a jig of {metal.id}, {reach / INCH:.2f} in from the datum; {part.known}",
                part.unconfirmed or metal.unconfirmed,
            ),
            Contribution("spigot fit", spigot, 0.0, "uniform", False, "half of block.spigot_gap: where the block "
                         "settles before it is drilled"),
            Contribution("bolt in its hole", max(bolt, 0.0), 0.0, "uniform", False,
                         f"{joint.bolt} in the reamed hole, when put together again",
                         rack.rows.bolts[joint.bolt].known_of("diameter").unconfirmed),
        ),
        tolerance.between_racks * 1e-9 if tolerance else None,
    )  # fmt: skip


def _contribution(row: Contributor) -> Contribution:
    half, offset, known = row.tolerance, 0, f"{row.document} ({row.how_known})"
    if row.measured is not None and row.uncertainty is not None:
        half, offset, known = (
            row.uncertainty,
            row.measured,
            f"{known}, in place of ±{row.tolerance * 1e-9 / INCH:.4f} in",
        )
    return Contribution(
        row.name, half * 1e-9, offset * 1e-9, row.distribution, row.common, known, row.how_known == "memory"
    )


def squareness(a: float, b: float, d1: float, d2: float) -> tuple[float, float]:
    """(angle out of square in rad, lean of side b) of a frame with sides a, b and diagonals d1, d2, one unit.

    Raises ValueError when no parallelogram has these sides and diagonals.
    """
    lean = float(frame_lean(a, d1, d2))
    return asin(lean / b), lean


# --- the plan ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class JigPlan:
    """The jig sheet of one design: holes by face, the stack, and what the shop must still say."""

    design: str
    jig: Jig | None
    holes: tuple[JigHole, ...]
    stack: StackUp | None
    asked: tuple[Asked, ...]
    anchors: tuple[AnchorHole, ...] = ()  # of screws, and the rivet holes of every nutplate

    @property
    def faces(self) -> dict[str, tuple[JigHole, ...]]:
        """Holes by the face they are drilled from, left to right and bottom up."""
        names = sorted({hole.face for hole in self.holes}, key=lambda face: (face[1], face[0]))
        return {name: tuple(hole for hole in self.holes if hole.face == name) for name in names}

    @property
    def marks(self) -> tuple[str, ...]:
        doubtful = self.stack is not None and any(one.unconfirmed for one in self.stack.contributions)
        return (UNCONFIRMED,) * doubtful


def jig_plan(rack: Rack, pieces: Pieces, jig: Jig | None) -> JigPlan:
    """Holes and stack of one rack. Without [jig] the holes are in rack axes and there is no stack."""
    holes = tuple(
        sorted(_holes(rack, pieces, jig), key=lambda one: (one.face[1], one.face[0], one.at, one.bolt))
    )
    asked = []
    if jig is None:
        asked.append(Asked("[jig]", "the shop names no jig, so drills and stack-up are not known"))
    undrilled = sorted({hole.ream for hole in holes if not hole.drill}) if jig else []
    asked += [
        Asked("jig.drills", f"none leaves the ream allowance in a {nm * 1e-9 / INCH:.4f} in hole")
        for nm in undrilled
    ]
    if jig is not None and not jig.contributor:
        asked.append(Asked("jig.contributor", "the jig's own contributors are not measured"))
    if rack.definition.tolerance is None:
        asked.append(Asked("tolerance.between_racks", "what two racks may differ by is not given"))
    stack = stack_up(rack, holes, jig) if jig and jig.contributor else None
    anchors = anchor_holes(pieces, jig.origin if jig else (0, 0, 0))
    without = dict.fromkeys(one.part for one in anchors if one.kind == "nutplate" and not one.rivets)
    asked += [
        Asked("nutplate.rivets", f"where do the rivets of nutplate {part} stand, by which document?")
        for part in without
    ]
    return JigPlan(rack.definition.part, jig, holes, stack, tuple(asked), anchors)


def jig_json(plan: JigPlan) -> dict[str, Any]:
    """The jig sheet as a document; lengths in inches unless the key says otherwise."""
    jig, stack = plan.jig, plan.stack
    return {
        "design": plan.design,
        "jig": jig.name if jig else None,
        "datum": jig.datum if jig else "rack axes: lower front left corner of the blocks",
        "rack_origin_in_jig_in": [_in(nm) for nm in jig.origin] if jig else None,
        "faces": {face: [_hole(hole) for hole in holes] for face, holes in plan.faces.items()},
        "anchors": [
            {"bolt": one.bolt, "piece": one.piece, "at_in": [_in(nm) for nm in one.at], "then": one.then,
             "rivet_holes_in": [[_in(nm) for nm in at] for at in one.rivets],
             "rivet_hole_diameter_in": _in(one.rivet_hole) if one.rivets else None}
            for one in plan.anchors
        ],
        "interchange": [hole.bolt for hole in plan.holes if hole.interchange],
        "stack": None if stack is None else {
            "of": "one interchange point along one axis",
            "contributors": [
                {
                    "name": one.name, "plus_or_minus_in": round(one.half / INCH, 6),
                    "offset_in": round(one.offset / INCH, 6), "distribution": one.distribution,
                    "common": one.common, "known": one.known,
                }
                for one in stack.contributions
            ],
            "limit_between_racks_in": None if stack.limit is None else round(stack.limit / INCH, 6),
            "one_rack_worst_in": round(stack.worst_one / INCH, 6),
            "one_rack_statistical_in": round(stack.statistical_one / INCH, 6),
            "two_racks_worst_in": round(stack.worst_two / INCH, 6),
            "two_racks_statistical_in": round(stack.statistical_two / INCH, 6),
            "two_jigs_worst_in": round(stack.worst_two_jigs / INCH, 6),
            "governs": stack.governs,
            "answer": stack.answer,
        },
        "asked": [one.to_json() for one in plan.asked],
        "marks": list(plan.marks),
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _hole(hole: JigHole) -> dict[str, Any]:
    return {
        "bolt": hole.bolt, "use": hole.use, "at_in": [_in(nm) for nm in hole.at],
        "at_nm": list(hole.at), "drill_in": _in(hole.drill) if hole.drill else None, "ream_in": _in(hole.ream),
        "joins": list(hole.joins), "then": hole.then or None,
    }  # fmt: skip


def _in(nm: int) -> float:
    return round(nm / 25_400_000, 6)

"""The flat blank of a tie-down ring: how long, where its bend line lies, where its holes are.

The definition gives the reaches on the mid-plane, to the point where the mid-planes of flat part and leg meet, so

    F = a + b - 2 tan(A/2) (R + t/2) + A (R + K t)

with a = square end to that point, b = that point to the rounded end. The square end lies `eye_edge` behind the
middle of the bolts, as the rounded end lies beyond the eye. K comes from the shop's test bend of this thickness, punch
and die, and its inside radius with it; without one, from a reference row, and a test bend is asked for.

Everything is drawn seen from outside the rack: x from the square end, y to the left of the way to the eye, bend towards
the reader. A ring whose holes are turned the other way has the same flat turned over.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import tan

from rackwright.formulas.bend import bend_allowance, flat_length_mid
from rackwright.making.asked import Asked
from rackwright.making.flat import Flat, FlatHole, Segment
from rackwright.making.sawing.cutting import Demand, Racked
from rackwright.pieces.model import Piece
from rackwright.pieces.tiedown import ring_place
from rackwright.rack.model import RingMake
from rackwright.shop import Shop, StockItem, checks_of
from rackwright.shop.machines import BendTest, Brake
from rackwright.trouble import UNCONFIRMED, Fault

__all__ = ["Blank", "Blanks", "Neutral", "Step", "blanks", "neutral_axis", "usable"]

Step = tuple[str, dict[str, float]]  # card name, SI values
ACROSS = "across the grain"
ALONG = (0, 180)  # degrees that a bent blank may be turned against the grain


@dataclass(frozen=True)
class Neutral:
    """The neutral axis and inside radius that a blank is laid out with, and where each is from."""

    K: float
    radius: int
    source: str
    test: str  # id of the test bend, "" when it is a reference row
    heat: str  # of the test bend
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Blank:
    """The flat of one part number. Positions along it from the square end, nm; angle in rad."""

    part: str
    design: str
    title: str
    quantity: int  # in the order
    flat: Flat
    length: int
    bend_at: int
    bend_zone: tuple[int, int]
    angle: float
    neutral: Neutral
    flat_of: str  # the part number whose flat it shares, its own when it is the first
    turned_over: bool  # against that flat
    mirror: tuple[str, ...]  # part numbers that are its mirror image
    steps: tuple[Step, ...]

    @property
    def bend_from_tip(self) -> int:
        return self.length - self.bend_at

    @property
    def after_bend(self) -> tuple[FlatHole, ...]:
        """Holes that lie so near the bend that they are finished after it."""
        return tuple(hole for hole in self.flat.holes if hole.finished_after_bend)


@dataclass(frozen=True)
class Blanks:
    """All ring blanks of an order, in the order of part numbers, with what is asked for and what cannot be bent."""

    made: tuple[Blank, ...]
    asked: tuple[Asked, ...] = ()
    faults: tuple[Fault, ...] = ()

    @property
    def marks(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(mark for blank in self.made for mark in blank.neutral.marks))


def blanks(demand: Demand, items: Sequence[StockItem] | None, shop: Shop) -> Blanks:
    """The blanks of every ring part number of the order."""
    made: dict[str, Blank] = {}
    asked: list[Asked] = []
    faults: list[Fault] = []
    for design, quantity in demand:
        make = design.rack.definition.ring_make
        rings = [piece for piece in design.pieces.made if piece.kind == "ring"]
        if make is None or not rings:
            continue
        least = _least_radius(make, shop)
        faults += _tight_drawing(design, make, least)
        plates = usable(items, rings[0].section, rings[0].stock, shop)
        neutral, wanted = neutral_axis(make, plates, shop)
        asked += wanted
        if neutral is None or shop.brake is None:
            continue
        wrong = [*_tight_tools(design, make, neutral, least), *_room(design, make, neutral)]
        faults += wrong
        for piece in [] if wrong else rings:
            if piece.part in made:
                made[piece.part] = replace(made[piece.part], quantity=made[piece.part].quantity + quantity)
            else:
                made[piece.part] = _blank(design, piece, make, neutral, shop.brake, quantity)
    if shop.brake is not None and any(hole.cut == 0 for blank in made.values() for hole in blank.flat.holes):
        asked.append(
            Asked("brake.after_bend_stock", "holes near the bend are finished after it: how much is left")
        )
    return Blanks(_handed(made), tuple(dict.fromkeys(asked)), tuple(dict.fromkeys(faults)))


def usable(items: Sequence[StockItem] | None, section: str, stock: str, shop: Shop) -> tuple[StockItem, ...]:
    """Counted stock of this section and specification whose certificate will do, in the order of the stock."""
    return tuple(
        item
        for item in items or ()
        if (item.section, item.stock) == (section, stock)
        and item.count > 0
        and all(check.ok for check in checks_of(shop, item.certificate, item.heat, stock))
    )


# --- neutral axis --------------------------------------------------------------------------------


def neutral_axis(
    make: RingMake, plates: Sequence[StockItem], shop: Shop
) -> tuple[Neutral | None, tuple[Asked, ...]]:
    """K and radius for this metal: of the newest test bend in the plate's heat, of another heat, of a row."""
    brake = shop.brake
    if brake is None:
        return None, (Asked("brake", "rings are bent: punch radius, die opening and the brake's load chart"),)
    heat = plates[0].heat if plates else ""
    tests = [test for test in shop.bend_test if _fits(test, make, brake)]
    own = [test for test in tests if test.heat == heat] or tests
    if own:
        test = own[-1]
        source = f"{test.document}, heat {test.heat}"
        found = Neutral(test.K, test.inside_radius, source, test.id, test.heat)
        if not heat or test.heat == heat:
            return found, ()
        return found, (Asked("bend_test", f"the plate is of heat {heat}, the test bend of heat {test.heat}"),)
    metal = next((row for row in shop.bend_metal if row.stock == make.stock), None)
    size = f"{make.thickness / 25_400_000:g} in {make.stock}"
    if metal is None or metal.k_factor is None:
        return None, (Asked("bend_test", f"no test bend and no [[bend_metal]] k_factor for {size}"),)
    row = shop.rows.k_factors[metal.k_factor]
    marks = (UNCONFIRMED,) if row.known_of("K").unconfirmed else ()
    source = f"{row.known_of('K')}; no row is of this thickness, and the radius is the punch's"
    asked = (
        Asked("bend_test", f"K of {size} is a start value from {row.id}: a test bend of the heat decides"),
    )
    return Neutral(row.K, brake.punch_radius, source, "", "", marks), asked


def _fits(test: BendTest, make: RingMake, brake: Brake) -> bool:
    same = (test.stock, test.thickness) == (make.stock, make.thickness)
    tools = (test.punch_radius, test.die_opening) == (brake.punch_radius, brake.die_opening)
    return same and tools and test.bend_line == ACROSS


# --- the flat ------------------------------------------------------------------------------------


def _least_radius(make: RingMake, shop: Shop) -> tuple[int, str] | None:
    """The least inside radius of the ring's metal (nm) and the document that states it, where the shop has one."""
    metal = next((row for row in shop.bend_metal if row.stock == make.stock), None)
    if make.bend == 0 or metal is None or metal.least_radius is None:
        return None
    return metal.least_radius, metal.least_radius_document or ""


def _tight_drawing(design: Racked, make: RingMake, least: tuple[int, str] | None) -> Iterator[Fault]:
    if least is not None and make.root is not None and make.root.inside_radius < least[0]:
        where = design.rack.where("ring_make.root.inside_radius")
        found = f"{make.stock} bent to an inside radius of {_inches(make.root.inside_radius)}"
        yield Fault("RW413", where, found, f"at least {_inches(least[0])}, by {least[1]}")


def _tight_tools(
    design: Racked, make: RingMake, neutral: Neutral, least: tuple[int, str] | None
) -> Iterator[Fault]:
    """The radius that this shop's punch bends to, whatever the drawing says."""
    if least is not None and neutral.radius < least[0]:
        of = f"test bend {neutral.test}" if neutral.test else "the punch"
        found = f"{make.stock} would be bent to an inside radius of {_inches(neutral.radius)}, that of {of}"
        do = f"at least {_inches(least[0])}, by {least[1]}: bend over a larger punch, and test that"
        yield Fault("RW413", design.rack.where("ring_make.bend"), found, do)


def _inches(nm: int) -> str:
    return f"{nm / 25_400_000:.4g} in"


def _room(design: Racked, make: RingMake, neutral: Neutral) -> Iterator[Fault]:
    """The bend must leave a straight before the bolts' middle and before the eye."""
    back = tan(make.bend / 2) * (neutral.radius + make.thickness / 2)
    for name, reach, keep in (
        ("flat_reach", make.flat_reach, 0.0),
        ("leg_reach", make.leg_reach, make.eye / 2),
    ):
        if reach - back <= keep:
            found = f"the bend takes {back / 25_400_000:.3f} in of a reach of {reach / 25_400_000:.3f} in"
            where = design.rack.where(f"ring_make.{name}")
            yield Fault("RW411", where, found, "give a longer reach, or bend with a smaller radius")


def _blank(
    design: Racked, piece: Piece, make: RingMake, neutral: Neutral, brake: Brake, quantity: int
) -> Blank:
    A, R, t = make.bend, neutral.radius * 1e-9, make.thickness * 1e-9
    a, b = (make.eye_edge + make.flat_reach) * 1e-9, (make.leg_reach + make.eye_edge) * 1e-9
    lay = {"A": A, "R": R, "K": neutral.K, "t": t}
    length = round(float(flat_length_mid(a, b, **lay)) * 1e9)
    allowance = round(float(bend_allowance(**lay)) * 1e9)
    start = make.eye_edge + make.flat_reach - round(tan(A / 2) * (neutral.radius + make.thickness / 2))
    zone = (start, start + allowance)
    holes = tuple(sorted(_holes(design, piece, make, zone, length, brake)))
    turns = ALONG if make.bend else (0, 90, 180, 270)
    flat = Flat(
        piece.part, piece.section, piece.stock, make.thickness, _outline(length, make.width), holes, turns
    )
    return Blank(
        part=piece.part,
        design=design.rack.definition.part,
        title=piece.title,
        quantity=quantity,
        flat=flat,
        length=length,
        bend_at=start + allowance // 2,
        bend_zone=zone,
        angle=A,
        neutral=neutral,
        flat_of=piece.part,
        turned_over=False,
        mirror=(),
        steps=(("flat_length_mid", {"a": a, "b": b, **lay}), ("bend_allowance", lay)),
    )


def _outline(length: int, width: int) -> tuple[Segment, ...]:
    """Square at the near end, half round at the far one."""
    low, high, straight = -(width // 2), width - width // 2, length - width // 2
    return (
        Segment((0, low), (straight, low)),
        Segment((straight, low), (straight, high), (straight, 0)),
        Segment((straight, high), (0, high)),
        Segment((0, high), (0, low)),
    )


def _holes(
    design: Racked, piece: Piece, make: RingMake, zone: tuple[int, int], length: int, brake: Brake
) -> Iterator[FlatHole]:
    """The eye, and the bolt holes where the post's joint has them, seen from outside the rack."""
    rack = design.rack
    ring = next(one for one in rack.definition.ring if f"ring.{one.name}" == piece.id)
    place = ring_place(rack, ring)

    def hole(name: str, x: int, y: int, diameter: int) -> FlatHole:
        clear = (zone[0] - x if x < zone[0] else x - zone[1]) - diameter // 2
        return FlatHole(name, (x, y), diameter, _cut(diameter, clear, make, brake), clear)

    yield hole("eye", length - make.eye_edge, 0, make.eye)
    for number, one in enumerate(sorted(piece.holes, key=lambda h: h.centre), start=1):
        away = [value * 1e-9 - middle for value, middle in zip(one.centre, place.root, strict=True)]
        u, v = (sum(d * w for d, w in zip(away, way, strict=True)) for way in (place.along, place.across))
        yield hole(f"bolt {number}", make.eye_edge + round(u * 1e9), round(v * 1e9), one.diameter)


def _cut(diameter: int, clear: int, make: RingMake, brake: Brake) -> int:
    """What is cut in the flat: the hole itself, or less where the bend would draw it out of round.

    Without the shop's own distance a hole edge is kept 2 t + R from the tangent (common practice, no source). 0 when
    it is not known how much to leave.
    """
    least = brake.hole_clear if brake.hole_clear is not None else 2 * make.thickness + brake.punch_radius
    if make.bend == 0 or clear >= least:
        return diameter
    return 0 if brake.after_bend_stock is None else max(0, diameter - 2 * brake.after_bend_stock)


# --- hands ---------------------------------------------------------------------------------------


def _shape(blank: Blank, over: bool = False) -> tuple[object, ...]:
    """What makes two flats alike; `over`: turned over about its length."""
    sign = -1 if over else 1
    holes = sorted((hole.at[0], sign * hole.at[1], hole.diameter, hole.cut) for hole in blank.flat.holes)
    return blank.length, blank.bend_zone, blank.angle, blank.flat.outline, blank.flat.thickness, tuple(holes)


def _handed(made: dict[str, Blank]) -> tuple[Blank, ...]:
    """Which part numbers share a flat, as it lies or turned over, and which are mirror images."""
    first: dict[tuple[object, ...], str] = {}
    found = []
    for part in sorted(made):
        blank = made[part]
        shape, over = _shape(blank), _shape(blank, over=True)
        mirror = tuple(other for other in sorted(made) if _shape(made[other]) == over and over != shape)
        if shape in first:
            of, turned = first[shape], False
        elif over in first:
            of, turned = first[over], True
        else:
            of, turned = part, False
        first.setdefault(shape if not turned else over, of)
        found.append(replace(blank, flat_of=of, turned_over=turned, mirror=mirror))
    return tuple(found)

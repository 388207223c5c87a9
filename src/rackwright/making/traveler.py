"""The traveler of one rack: its steps in order, and what is written down at each, with the limits beside the blank.

A blank is a name, its unit and limits: the papers set it as a line to write on. Values that the record must hold
before the next step are the same ones. Cautions are the usual mistakes of the station and what hurts there; common
practice of the trade, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor

from rackwright.making.assembly import Assembly, Joint, in_lbf
from rackwright.making.inspected import characteristics_of
from rackwright.making.mill import SpigotFit
from rackwright.making.route import STAGES, Route, Step
from rackwright.making.sawing.cutting import Racked
from rackwright.pieces.characteristics import shown
from rackwright.rack import open_questions
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY, UNCONFIRMED

__all__ = ["Blank", "Traveler", "TravelerStep", "torque_card", "traveler"]


@dataclass(frozen=True)
class Blank:
    """Something to be written down: texts with units; "" where there is no limit. `balloon` 0 = not on the drawing."""

    name: str
    unit: str = ""
    low: str = ""
    high: str = ""
    balloon: int = 0


@dataclass(frozen=True)
class TravelerStep:
    """One step: where, on what, what to write down, and whether work stops until it is signed off."""

    number: int  # on this traveler, from 1
    operation: str
    title: str
    station: str
    parts: tuple[tuple[str, int], ...]
    hours: float | None
    supplier: str
    hold: str
    blanks: tuple[Blank, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Traveler:
    """The steps of one rack of an order, counted from 1."""

    part: str
    revision: str
    drawing: str
    rack: int
    of: int
    steps: tuple[TravelerStep, ...]
    marks: tuple[str, ...]


#: what is written down at a step beside person and date: name, unit
RECORD: dict[str, tuple[tuple[str, str], ...]] = {
    "receive": (("certificate", ""), ("sizes at three places", "in"), ("place", "")),
    "issue": (("bar, blank and lot ids", ""), ("frozen revision", ""), ("approval reference", "")),
    "saw": (("machine and blade", ""), ("kerf measured", "in"), ("stop checked with master bar", "in"),
            ("part temperature", "degF")),
    "waterjet": (("sheet heat and rolling direction", ""), ("kerf measured", "in"), ("abrasive lot", ""),
                 ("counted out", "")),
    "bend": (("die and punch", ""), ("test bend K", ""), ("angle under load", "deg"), ("angle free", "deg"),
             ("inside radius", "in"), ("crack check", "")),
    "mill": (("stock heat and grain direction", ""), ("program and revision", ""), ("tools measured", "in"),
             ("first piece", "in")),
    "deburr_parts": (("pieces counted", ""), ("marks read back", "")),
    "fit_up": (("jig and its passport", ""), ("temperature", "degF"), ("gaps before pulling", "in"), ("shims", "in")),
    "drill": (("drilled size", "in"), ("reamed size", "in"), ("diagonals", "in")),
    "take_apart": (("set kept together", ""),),
    "deburr": (("holes deburred, chips out", ""),),
    "pretreat": (("process lot and times", ""), ("counted out", ""), ("counted in", "")),
    "coat": (("powder lot and last day of use", ""), ("humidity", "%"), ("ground", "Mohm"),
             ("masking by the list", "")),
    "bake": (("oven load", "lb"), ("probe places", ""), ("minutes at metal temperature", "min"),
             ("cumulative bake minutes", "min"), ("thermocouple file", "")),
    "bond_pads": (("pads and faces bared", ""), ("treatment lot", "")),
    "weigh": (("scales, zero and tare", ""), ("pad front-left", "lb"), ("pad front-right", "lb"),
              ("pad rear-left", "lb"), ("pad rear-right", "lb")),
    "release": (("serial", ""), ("dossier hash", "")),
}  # fmt: skip

CAUTIONS: dict[str, tuple[str, ...]] = {
    "receive": (
        "A certificate of another heat with the same size is the commonest mistake.",
        "Banded bundles spring; two people for 20 ft bars.",
    ),
    "issue": ("Label the remnant before the next cut.",),
    "saw": (
        "Do not measure from an end that moves: kerf accumulates.",
        "Approach the stop from one side.",
        "Clamp both sides; no gloves at a turning blade.",
    ),
    "waterjet": (
        "Bend lines run across the rolling direction.",
        "Kerf is today's, not last month's.",
        "Treat any injection by the jet as an emergency.",
    ),
    "bend": (
        "The angle is the one bent through, not the included angle.",
        "A cracked test bend is scrap.",
        "Hands outside the pinch.",
    ),
    "mill": ("Handed blocks: read the part number, not the shape.", "No compressed air at eyes."),
    "fit_up": (
        "Never pull a gap closed with the bolt and call it in tolerance.",
        "Parts at room temperature first.",
    ),
    "drill": ("Not through coat.", "Break-through grabs: clamp."),
    "bake": (
        "The clock starts on metal temperature at the slowest probe.",
        "A recoat adds to the cumulative minutes.",
        "Ventilate before the door opens.",
    ),
    "coat": (
        "Powder is combustible dust: ground below 1 megohm, no lighter, no phone.",
        "Mask bond pads, bores, threads and datum faces.",
    ),
    "pretreat": ("Count against the list that goes out and again when it comes in.",),
    "assemble": (
        "Measure the running torque of every self-locking nut; add it.",
        "A crowfoot in line changes the wrench's setting.",
        "Sealant and primer vapours.",
    ),
    "inspect_metal": ("Write the reading unrounded.", "Who made it does not inspect it."),
    "weigh": ("Scales zeroed with the cart off.",),
}


def traveler(
    design: Racked, made: Assembly, plan: Route, shop: Shop, rack: int, of: int, fit: SpigotFit | None = None
) -> Traveler:
    """The traveler of rack number `rack` of `of`: batch steps and its own; `fit` of its spigots in the bars issued."""
    d = design.rack.definition
    mine = (step for step in plan.steps if step.rack in (0, rack))
    steps = tuple(_step(n, design, made, step, shop, fit) for n, step in enumerate(mine, start=1))
    doubtful = any(joint.marks for joint in made.joints)
    marks = (PRELIMINARY,) * bool(open_questions(design.rack)) + (UNCONFIRMED,) * doubtful
    return Traveler(d.part, d.revision, d.drawing, rack, of, steps, marks)


def _step(
    number: int, design: Racked, made: Assembly, step: Step, shop: Shop, fit: SpigotFit | None
) -> TravelerStep:
    one = step.operation
    blanks = [Blank(name, unit) for name, unit in RECORD.get(one.id, ())]
    if one.id == "mill" and fit is not None:
        blanks += list(_spigots(fit))
    if one.id == "assemble":
        blanks += [blank for joint in made.ours for blank in torque_card(joint)]
    if one.id in STAGES:
        blanks += list(_readings(design, STAGES[one.id], shop))
    supplier = step.outside.supplier if step.outside else ""
    hours = None if step.labour is None else step.labour / 3600
    return TravelerStep(number, one.id, one.title, one.station, step.parts, hours, supplier, one.hold,
                        tuple(blanks), CAUTIONS.get(one.id, ()))  # fmt: skip


def _spigots(fit: SpigotFit) -> Iterator[Blank]:
    """The inside of each bar that was not measured, then the size to mill for the bars in hand."""
    missing = [one.bar.bar for one in fit.bars if not one.bar.widths] if fit.bars else ["issued"]
    for bar in missing:
        yield Blank(
            f"inside of bar {bar} at both ends, corner radius; not measured, nominal tolerance used", "in"
        )
    if fit.to_mill is not None:
        low, high = (size / 0.0254e-4 for size in fit.to_mill)  # printed within the limits
        yield Blank(
            "spigot across flats, milled",
            "in",
            f"{ceil(low - 1e-6) / 1e4:.4f}",
            f"{floor(high + 1e-6) / 1e4:.4f}",
        )


def _readings(design: Racked, stage: str, shop: Shop) -> Iterator[Blank]:
    for each in characteristics_of(design, shop):
        if each.stage == stage:
            asked = f"{each.id}: {each.asks}; yes or no" if each.by_gauge else each.id
            yield Blank(asked, each.unit, shown(each, each.low), shown(each, each.high), each.number)


def torque_card(joint: Joint) -> Sequence[Blank]:
    """What is written down for one joint: lots, wrench, running torque, and final torque within its range.

    The range is before drag; the person adds the running torque that was measured on this nut.
    """
    name = f"{joint.number} {joint.id}"
    washers = f"{joint.head_washers} + {joint.nut_washers}" if joint.nut else f"{joint.head_washers}"
    hardware = f"{joint.bolt}, {washers} {joint.washer}, {joint.nut or joint.anchor}"
    first = Blank(f"{name}: lots of {hardware}{f', {joint.spacer}' if joint.spacer else ''}")
    running = Blank(f"{name}: running torque", "in*lbf")
    if joint.torque is None:
        return (first, running, Blank(f"{name}: final torque, asked for: {joint.missing}", "in*lbf"))
    low, high, limit = (
        _whole(in_lbf(value)) for value in (joint.torque.low, joint.torque.high, joint.torque.limit)
    )
    final = f"{name}: final torque, running torque added to the range, never over {limit} in*lbf + running"
    return (first, running, Blank(final, "in*lbf", low, high))


def _whole(value: float) -> str:
    """A torque in inch-pounds to the tenth, without a trailing zero."""
    tenths = round(Fraction(value) * 10)
    return f"{tenths // 10}" if tenths % 10 == 0 else f"{tenths / 10:.1f}"

"""What an order costs: material, hardware, labour, outside work, overhead and profit, line by line.

Every amount is exact and rounded to the cent only when shown. Material is what leaves stores for the order: sawn
stock as its cutting plan books it and plates as their layouts do (remnants credited); blocks, powder, and flat blanks
that lie on no plate, by mass at the shop's price; hardware by the piece with its spares. Sealant, abrasive, gas and
other small stores are in the overhead.
A line without a price or a time is asked for; then there is no total, only the sum of what is known. With a
question open that blocks the quote the price is PRELIMINARY, however complete.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from rackwright.making.asked import Asked
from rackwright.making.fasteners import FastenerLine
from rackwright.making.plate import PlateJob, PlatePlan
from rackwright.making.plate_value import PlateValue, plate_value
from rackwright.making.route import Route
from rackwright.making.sawing.cut_sheet import CuttingPlan
from rackwright.making.sawing.cutting import Demand, Slot
from rackwright.pieces.model import Piece
from rackwright.rack import Question, Rack, open_questions
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY

__all__ = ["Price", "PriceLine", "amount", "price"]

KINDS = ("material", "hardware", "labour", "outside", "overhead", "profit")


@dataclass(frozen=True)
class PriceLine:
    """One line: how much of what, at which rate, by which document; `cost` is None while it is asked for."""

    kind: str  # of KINDS
    name: str
    quantity: Fraction | None
    unit: str
    rate: Fraction | None
    cost: Fraction | None
    document: str = ""
    asked: Asked | None = None


@dataclass(frozen=True)
class Price:
    """The price of an order, in the shop's currency."""

    racks: int
    lines: tuple[PriceLine, ...]
    questions: tuple[Question, ...]  # open ones that block the quote
    plates: tuple[PlateValue, ...] = ()  # whose full value and credit are lines

    def sum_of(self, *kinds: str) -> Fraction:
        """Of the lines that are known."""
        return sum((line.cost or Fraction() for line in self.lines if line.kind in kinds), Fraction())

    @cached_property
    def asked(self) -> tuple[Asked, ...]:
        return tuple(dict.fromkeys(line.asked for line in self.lines if line.asked is not None))

    @property
    def known(self) -> Fraction:
        """The sum of all lines that are known."""
        return self.sum_of(*KINDS)

    @property
    def total(self) -> Fraction | None:
        """The price of the order; None while a line is asked for."""
        return None if self.asked else self.known

    @property
    def per_rack(self) -> Fraction | None:
        return None if self.total is None or not self.racks else self.total / self.racks

    @property
    def marks(self) -> tuple[str, ...]:
        """PRELIMINARY while a question blocks the quote or a line is asked for."""
        return (PRELIMINARY,) if self.questions or self.asked else ()


def price(
    demand: Demand, shop: Shop, saw: Sequence[CuttingPlan], plate: PlatePlan, hardware: Sequence[FastenerLine],
    route: Route, powder: Sequence[tuple[str, float | None]],
) -> Price:  # fmt: skip
    """The price of an order. `powder` is each powder with its mass in kg for the order, None when not computed."""
    values = {
        (job.section, job.stock): value
        for job in plate.jobs
        if (value := _value(demand, job, shop)) is not None
    }
    costs = [
        *_sawn(saw, shop), *_plates(plate, values, shop), *_blanks(demand, plate, shop), *_powder(powder, shop),
        *_hardware(hardware, shop), *_labour(route, shop), *_outside(route),
    ]  # fmt: skip
    questions = [question for design, _ in demand for question in open_questions(design.rack)
                 if "quote" in question.blocks]  # fmt: skip
    return Price(sum(n for _, n in demand), (*costs, *_shares(costs, shop)), tuple(dict.fromkeys(questions)),
                 tuple(values.values()))  # fmt: skip


def amount(text: str) -> Fraction:
    """The exact amount of a money text such as "12.50 USD"."""
    return Fraction(text.split()[0])


# --- material ------------------------------------------------------------------------------------


def _sawn(saw: Sequence[CuttingPlan], shop: Shop) -> Iterator[PriceLine]:
    for section in saw:
        cost, quoted = section.objective, shop.price_of(section.stock)
        asked = None
        if section.missing:
            asked = Asked("stock", f"{len(section.missing)} pieces of {section.section} find no bar")
        elif cost is None:
            asked = Asked(f"price.{section.stock}", f"what does {section.section} cost by mass?")
        name, metres = f"{section.section}, {section.stock}", Fraction(section.balance.pieces, 10**9)
        yield PriceLine("material", name, metres, "m of pieces", None, None if asked else cost,
                        quoted.document if quoted else "", asked)  # fmt: skip


def _plates(
    plate: PlatePlan, values: Mapping[tuple[str, str], PlateValue], shop: Shop
) -> Iterator[PriceLine]:
    """Opened plates at full, and beside them the credit for what goes back."""
    for job in plate.jobs:
        value, quoted = values.get((job.section, job.stock)), shop.price_of(job.stock)
        if value is None or quoted is None:
            if job.layouts:
                asked = _priced(job.section, job.stock, shop) or _weighed(job.section, job.stock)
                yield PriceLine("material", f"{job.section}, {job.stock}", None, "kg", None, None, "", asked)
            continue
        opened = f"{value.name}, {value.plates} opened"
        yield PriceLine("material", opened, value.opened, "kg", value.rate, value.full, quoted.document)
        if value.back:
            document = f"{quoted.document}; stock_value.credit_share {float(value.share):g}"
            yield PriceLine("material", f"{value.name}, back to store", -value.back, "kg", value.rate * value.share,
                            -value.credit, document)  # fmt: skip


def _value(demand: Demand, job: PlateJob, shop: Shop) -> PlateValue | None:
    density = _density_of(demand, job)
    return None if density is None or not job.layouts else plate_value(job, density, shop)


def _density_of(demand: Demand, job: PlateJob) -> float | None:
    """kg/m³, of the metal of a job's blanks."""
    pieces = ((design.rack, piece) for design, _ in demand for piece in design.pieces.made)
    return next((_density(rack, piece) for rack, piece in pieces if piece.part in job.flats), None)


def _blanks(demand: Demand, plate: PlatePlan, shop: Shop) -> Iterator[PriceLine]:
    """Blocks, and flat pieces that lie on no plate, by the mass of their blanks."""
    laid = {one.slot for job in plate.jobs for layout in job.layouts for one in layout.placed}
    mass: dict[tuple[str, str], list[float | None]] = {}
    racks = 0
    for design, quantity in demand:
        for n in range(1, quantity + 1):
            for piece in design.pieces.made:
                slot = Slot(racks + n, design.rack.definition.part, piece.id, piece.part)
                if piece.length is None and slot not in laid:
                    mass.setdefault((piece.section, piece.stock), []).append(blank_mass(design.rack, piece))
        racks += quantity
    for (section, stock), each in sorted(mass.items()):
        quoted, known = shop.price_of(stock), [one for one in each if one is not None]
        asked = _priced(section, stock, shop)
        if len(known) < len(each):
            asked = _weighed(section, stock)
        rate = quoted.per_kilogram if quoted else None
        kilograms = sum((Fraction(one) for one in known), Fraction())
        cost = None if rate is None or asked else rate * kilograms
        yield PriceLine("material", f"{section}, {stock}, {len(each)} blanks", kilograms, "kg", rate, cost,
                        quoted.document if quoted else "", asked)  # fmt: skip


def _priced(section: str, stock: str, shop: Shop) -> Asked | None:
    if shop.price_of(stock) is not None:
        return None
    return Asked(f"price.{stock}", f"what does {section} cost by mass?")


def _weighed(section: str, stock: str) -> Asked:
    return Asked(f"density of {stock}", f"the mass of {section} is not known without it")


def blank_mass(rack: Rack, piece: Piece) -> float | None:
    """Mass (kg) of the blank a piece is made from: the cube of a block, the rectangle of a flat piece.

    A ring's is its width by the straight length before bending, without what the nest leaves over.
    """
    d, density = rack.definition, _density(rack, piece)
    if density is None:
        return None
    if piece.kind == "ring":
        make = d.ring_make
        assert make is not None
        length = (make.eye_edge + make.flat_reach + make.leg_reach + make.width // 2) * 1e-9
        return density * length * make.width * 1e-9 * make.thickness * 1e-9
    if piece.kind == "block":
        return density * float((d.tube.side + d.block.spigot_length) * 1e-9) ** 3
    volume = 1.0
    for i in range(3):
        volume *= (piece.hi[i] - piece.lo[i]) * 1e-9
    return density * volume


def _density(rack: Rack, piece: Piece) -> float | None:
    """kg/m³, as stated with the rings, else of the material's row."""
    if piece.kind == "ring" and rack.definition.ring_make is not None:
        return rack.definition.ring_make.density
    row = rack.rows.materials.get(piece.material)
    return None if row is None else row.density


def _powder(powder: Iterable[tuple[str, float | None]], shop: Shop) -> Iterator[PriceLine]:
    for name, kilograms in powder:
        quoted = shop.price_of(name)
        rate = quoted.per_kilogram if quoted else None
        asked = Asked(f"price.{name}", f"what does powder {name} cost by mass?") if rate is None else None
        if kilograms is None:
            asked = Asked("coat", f"the mass of powder {name} is not computed")
        mass = None if kilograms is None else Fraction(kilograms)
        cost = None if rate is None or mass is None else rate * mass
        yield PriceLine("material", f"powder {name}", mass, "kg", rate, None if asked else cost,
                        quoted.document if quoted else "", asked)  # fmt: skip


def _hardware(hardware: Sequence[FastenerLine], shop: Shop) -> Iterator[PriceLine]:
    rows = {row.part: row for row in shop.part_price}
    if hardware and shop.spares is None:
        asked = Asked("spares", "how much spare hardware goes with an order?")
        yield PriceLine("hardware", "spares", None, "", None, None, "", asked)
    for line in hardware:
        row = rows.get(line.part)
        if row is None:
            asked = Asked(f"part_price.{line.part}", f"what does one {line.part} cost?")
            yield PriceLine("hardware", line.part, Fraction(line.wanted), "each", None, None, "", asked)
        else:
            each = amount(row.each)
            yield PriceLine(
                "hardware", line.part, Fraction(line.wanted), "each", each, each * line.wanted, row.document
            )


# --- work ----------------------------------------------------------------------------------------


def _labour(route: Route, shop: Shop) -> Iterator[PriceLine]:
    """Hours of each operation over all racks, at the rate of its role."""
    rates = {row.role: row for row in shop.labour}
    for one in route.operations:
        steps = [step for step in route.steps if step.operation.id == one.id and step.outside is None]
        if not steps:
            continue
        asked = next((step.asked for step in steps if step.asked), None)
        row = rates.get(steps[0].role)
        if asked is None and row is None:
            asked = Asked(f"labour.{steps[0].role}", f"what does an hour of {steps[0].role} cost?")
        hours = sum((Fraction(step.labour or 0.0) for step in steps), Fraction()) / 3600
        rate = amount(row.per_hour) if row else None
        cost = None if asked or rate is None else hours * rate
        yield PriceLine(
            "labour", one.id, None if asked else hours, "h", rate, cost, row.document if row else "", asked
        )


def _outside(route: Route) -> Iterator[PriceLine]:
    for step in route.steps:
        if step.outside is not None:
            each = amount(step.outside.per_piece) if step.outside.per_piece else Fraction()
            cost = amount(step.outside.price) + each * step.pieces
            name = f"{step.operation.id} at {step.outside.supplier}"
            document = step.outside.document
            yield PriceLine("outside", name, Fraction(step.pieces), "pieces", each or None, cost, document)


def _shares(costs: Sequence[PriceLine], shop: Shop) -> Iterator[PriceLine]:
    """Overhead on labour, profit on everything."""
    if shop.pricing is None:
        for kind in ("overhead", "profit"):
            asked = Asked(f"pricing.{kind}_share", f"which share does the shop add for {kind}?")
            yield PriceLine(kind, kind, None, "", None, None, "", asked)
        return
    labour = sum((line.cost or Fraction() for line in costs if line.kind == "labour"), Fraction())
    share = Fraction(str(shop.pricing.overhead_share))
    overhead = labour * share
    yield PriceLine(
        "overhead", "overhead on labour", share, "of labour", None, overhead, shop.pricing.document
    )
    everything = sum((line.cost or Fraction() for line in costs), Fraction()) + overhead
    share = Fraction(str(shop.pricing.profit_share))
    yield PriceLine(
        "profit", "profit on all costs", share, "of costs", None, everything * share, shop.pricing.document
    )

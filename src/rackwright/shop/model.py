"""What a shop is, as frozen data: the tables of `shop.toml`.

Lengths are whole nanometres, strengths Pa. Prices are money by mass of a stock specification: a bar's worth
follows from its section and length. What an opened bar gives back is booked at one rate: a remnant counts
`credit_share` of new material when it is put back *and* when it is taken, so that using remnants is neither
rewarded nor punished. A bought bar costs its price and `purchase_surcharge` of it (freight, receiving).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Annotated, Literal

from rackwright.fields import Angle, Length, Money, Name, Number, Quantity, Stress, Temperature, Whole
from rackwright.fields import definition as _definition
from rackwright.reference import Rows, shipped
from rackwright.reference.rows import Known, Material
from rackwright.shop.jig_and_oven import Booth, Jig, Oven
from rackwright.shop.labour import (
    Calendar,
    Labour,
    Learning,
    OperationTime,
    OutsideWork,
    PartPrice,
    Place,
    Pricing,
    Spares,
    Spread,
    WetTorque,
)
from rackwright.shop.machines import BendMetal, BendTest, Brake, Mill, PlateCut
from rackwright.units import unit_factor

__all__ = [
    "SHOP_FORMAT",
    "Minimum",
    "Price",
    "Saw",
    "Shop",
    "ShopTube",
    "Specification",
    "StockValue",
    "Style",
]

SHOP_FORMAT = "rackwright/shop/1"
NotNegative = Annotated[int, Quantity("length", nm=True, low=0.0)]


@_definition
class Style:
    """House style: the grid that saw plans are made on, the unit shown, and whether posts share a heat."""

    grid: Length
    unit: Literal["in", "mm"]
    posts_from_one_heat: bool  # the posts of one rack come from one heat


@_definition
class SawExpansion:
    """Which expansion row the metal of a stock specification has."""

    stock: Name
    row: Name


@_definition
class Saw:
    """The saw as measured. Plans use the upper value of the kerf and the lower value of a bar's length.

    `scale` says whether the stop's scale compensates for temperature, found with a master bar at two temperatures;
    `scale_expansion` is the expansion row of one that does not.
    """

    name: Name
    kerf: Length
    kerf_uncertainty: NotNegative
    kerf_known: str  # when and how the kerf was measured
    mill_end_trim: NotNegative  # off the first end of a mill bar, the squaring cut included
    clamp_tail: NotNegative  # must stay in the clamp behind the last cut
    remnant_min: Length  # the shortest rest that goes back to the rack
    bar_length_uncertainty: NotNegative
    cut_tolerance: Length  # plus or minus, of a cut piece
    stop_resolution: Length
    scale: Literal["compensated", "not compensated"] | None = None
    scale_expansion: Name | None = None
    scale_document: str | None = None
    expansion: tuple[SawExpansion, ...] = ()
    mitre_most: Angle | None = None  # from the square, to either side
    mitre_document: str | None = None

    @property
    def planned_kerf(self) -> int:
        """Upper value of the kerf, nm."""
        return self.kerf + self.kerf_uncertainty


@_definition
class Inspection:
    """The decision rule: limits are moved inward by `guard_band` times the gauge's uncertainty (work/guard_band.py)."""

    guard_band: Number  # 0: the limits themselves decide


@_definition
class StockValue:
    """How stock is booked: shares of the price of new material. `level_share` of a plan's value may be spent on fewer
    bars opened and fewer stop moves; absent: nothing."""

    credit_share: Number
    purchase_surcharge: Number
    level_share: Number | None = None
    change_share: Number | None = (
        None  # may be spent on leaving pieces on their bars where an order is planned anew
    )


@_definition
class Price:
    """What new material of a stock specification costs by mass, and the lengths it can be bought in."""

    stock: Name
    per_kg: Money | None = None
    per_lb: Money | None = None
    purchase_lengths: tuple[Length, ...] = ()
    days: Whole | None = None  # working days from the order until it is there
    document: str  # the quotation it is from

    @property
    def per_kilogram(self) -> Fraction:
        """Exact amount per kg in the shop's currency."""
        text = self.per_kg or self.per_lb or "0"
        amount = Fraction(text.split()[0])
        return amount if self.per_kg else amount / unit_factor("lb")


@_definition
class ShopTube:
    """A square tube that the shop buys and has tools for; `prove --envelope` tries each in the rack's place."""

    side: Length
    wall: Length
    corner_radius: Length  # outside
    material: Name  # a reference row
    stock: Name  # stock specification
    inside_low: Length | None = (
        None  # across the inside, as bought: what the wall's tolerance leaves, or as measured
    )
    inside_high: Length | None = None
    document: str | None = None


@_definition
class Specification:
    """Least values that a certificate of this stock specification must show.

    Those of a reference row in one direction, and values of the shop's own with their source, which go before.
    """

    stock: Name
    row: Name | None = None
    direction: Literal["L", "LT"] | None = None
    conformance: bool = False  # a lot whose certificate prints no values: one of conformance will do
    Ftu: Stress | None = None
    Fty: Stress | None = None
    elongation: Number | None = None  # as a share: 0.08 is 8 percent
    source: str | None = None
    place: str | None = None
    how_known: str | None = None
    # asked of the metal itself when it comes in (work/metal/examining.py)
    wall_tolerance: Length | None = None  # either way of the nominal wall or thickness, at three places
    conductivity: tuple[Number, Number] | None = None  # least and most, % IACS
    # must be read off the metal as well; `label`: one is put on, and it is signed out by it
    read: tuple[Literal["conductivity", "hardness", "weight", "label"], ...] = ()
    side_tolerance: Length | None = (
        None  # either way of a tube's side or an angle's leg; with that of the wall, the band of its weight
    )
    hardness: Name | None = None  # "at least 60 HRB", "at most 92 HRB" or "60 to 92 HRB"
    receiving_document: str | None = None  # where these are from
    # which papers stock comes with: the mill's (or maker's) certificate as a file, the distributor's certificate or
    # packing slip as a file, the number of the shop's own purchase order
    papers: tuple[Literal["mill", "distributor", "purchase_order"], ...] = ()
    storage: tuple[Temperature, Temperature] | None = None  # of what ages: coldest and warmest
    storage_document: str | None = None  # the maker's sheet


@dataclass(frozen=True)
class Minimum:
    """One least value (Pa, or a plain share for the elongation) and where it is known from."""

    name: str
    value: float
    known: Known


@_definition
class ShopFile:
    """A shop's file. Names of `price` and `specification` rows are their stock specification."""

    format: str
    name: str
    currency: str  # three letters
    style: Style
    saw: Saw
    stock_value: StockValue
    inspection: Inspection | None = None
    price: tuple[Price, ...] = ()
    specification: tuple[Specification, ...] = ()
    tube: tuple[ShopTube, ...] = ()
    # people, time and money (labour.py); what is absent is asked for, never guessed
    labour: tuple[Labour, ...] = ()
    operation_time: tuple[OperationTime, ...] = ()
    outside: tuple[OutsideWork, ...] = ()
    wet_torque: tuple[WetTorque, ...] = ()
    part_price: tuple[PartPrice, ...] = ()
    place: tuple[Place, ...] = ()
    calendar: Calendar | None = None
    spares: Spares | None = None
    pricing: Pricing | None = None
    spread: tuple[Spread, ...] = ()
    learning: Learning | None = None
    # jig_and_oven.py
    jig: Jig | None = None
    coat: Booth | None = None
    oven: Oven | None = None
    # machines.py
    brake: Brake | None = None
    bend_test: tuple[BendTest, ...] = ()
    bend_metal: tuple[BendMetal, ...] = ()
    plate: PlateCut | None = None
    mill: Mill | None = None


@dataclass(frozen=True, kw_only=True)
class Shop(ShopFile):
    """A shop with the reference rows that its file may name: the shipped ones, its own over them."""

    rows: Rows = field(default_factory=shipped, hash=False, repr=False)

    @property
    def guard_band(self) -> float:
        """r of the decision rule; a shop that states none accepts by the limits themselves."""
        return self.inspection.guard_band if self.inspection else 0.0

    def places(self, station: str) -> tuple[str, ...]:
        """What takes the operations of a station: any one of these."""
        return tuple(row.name for row in self.place if station in row.stations) or (station,)

    def price_of(self, stock: str) -> Price | None:
        return next((row for row in self.price if row.stock == stock), None)

    def conformance(self, stock: str) -> bool:
        """Does a certificate of conformance, without values, do for this stock specification?"""
        return any(row.stock == stock and row.conformance for row in self.specification)

    def form(self, stock: str) -> str | None:
        """How the metal of a stock specification is made, by its row of allowables; None without such a row."""
        spec = next((row for row in self.specification if row.stock == stock), None)
        row = self.rows.materials.get(spec.row) if spec and spec.row else None
        return row.form if row else None

    def minima(self, stock: str) -> tuple[Minimum, ...]:
        """Least certificate values of a stock specification; empty when nothing is known of it."""
        spec = next((row for row in self.specification if row.stock == stock), None)
        return () if spec is None else _minima(spec, self.rows.materials)


def _minima(spec: Specification, rows: Mapping[str, Material]) -> tuple[Minimum, ...]:
    found: dict[str, Minimum] = {}
    row = rows.get(spec.row) if spec.row else None
    if row is not None:
        for name in ("Ftu", "Fty"):
            value = row.strength(name, spec.direction or "")
            if value is not None:
                found[name] = Minimum(name, value, row.known_of(name))
        if row.elongation is not None:
            found["elongation"] = Minimum("elongation", row.elongation, row.known_of("elongation"))
    own = Known(spec.source or "", spec.place or "", spec.how_known or "given")
    for name in ("Ftu", "Fty", "elongation"):
        value = getattr(spec, name)
        if value is not None:
            found[name] = Minimum(name, value, own)
    return tuple(found.values())

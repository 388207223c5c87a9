"""What work takes and costs in this shop, as frozen data: the tables of `shop.toml` about people, time and money.

Times are recorded cycles of the shop, each with the log it comes from; none has a default. An operation without a
row has no time: it is asked for. Amounts are money texts in the shop's currency.
"""

from __future__ import annotations

from datetime import date
from typing import Literal

from rackwright.fields import Moment, Money, Name, Number, Text, Time, Whole
from rackwright.fields import definition as _definition

__all__ = [
    "OPERATIONS",
    "Calendar",
    "Labour",
    "Learning",
    "OperationName",
    "OperationTime",
    "OutsideWork",
    "PartPrice",
    "Place",
    "Pricing",
    "Spares",
    "Spread",
    "WetTorque",
    "day_of",
]

OperationName = Literal[
    "receive", "issue", "saw", "waterjet", "bend", "mill", "deburr_parts", "fit_up", "drill", "take_apart", "deburr",
    "inspect_metal", "pretreat", "coat", "bake", "bond_pads", "inspect_film", "assemble", "inspect", "weigh", "release",
]  # fmt: skip
OPERATIONS: tuple[OperationName, ...] = OperationName.__args__  # type: ignore[attr-defined]


@_definition
class Labour:
    """What an hour of a role costs."""

    role: Name
    per_hour: Money
    document: Text


@_definition
class OperationTime:
    """How long an operation takes: once to set up, then for each of what it is counted by.

    Where a machine's cycle is computed by its station, these are the handling on top of it, unless
    `cycle_included` says that they were timed whole. Without `attended` nobody stands by during the cycle.
    """

    operation: OperationName
    role: Name
    setup: Time
    per_rack: Time | None = None
    per_part: Time | None = None  # for each part number: a change of program or stop
    per_piece: Time | None = None
    per_cut: Time | None = None
    per_hole: Time | None = None
    per_joint: Time | None = None
    per_reading: Time | None = None
    per_lot: Time | None = None  # bars, items and lots taken
    cycle_included: bool = False
    attended: bool = True
    known: Text  # the log or time study


@_definition
class OutsideWork:
    """An operation that a supplier does: pieces are counted out and in again."""

    operation: OperationName
    supplier: Name
    price: Money  # for the consignment
    per_piece: Money | None = None
    days: Whole  # working days away
    clauses: tuple[Text, ...] = ()  # what the purchase order must ask of the supplier (flow-down)
    document: Text


@_definition
class Place:
    """A machine, bench or booth by its name, and the stations whose operations it takes. A station without a row has
    one place, which goes by the station's name; with several rows any of them will do."""

    name: Name
    stations: tuple[Name, ...]
    document: Text


@_definition
class Calendar:
    """One shift: hours a day from Monday to Friday, less the days named in `closed` (each YYYY-MM-DD)."""

    hours_a_day: Number
    start: Text | None = None  # YYYY-MM-DD, the first day of work on an order
    closed: tuple[Text, ...] = ()


@_definition
class WetTorque:
    """Torque, without drag, of a thread installed wet, into a nut or an anchor: the dry table does not hold for it."""

    thread: Name
    nut: Literal["tension", "shear"] | None = None
    anchor: Name | None = None  # part of an insert or nutplate, where it is of no nut
    wet: Name  # what it is wet with, as the protection names it
    low: Moment
    high: Moment
    limit: Moment
    document: Text


@_definition
class PartPrice:
    """What one bought part costs."""

    part: Name
    each: Money
    document: Text


@_definition
class Spares:
    """Spare hardware for an order: a share of each part's need, rounded up, and at least so many."""

    share: Number
    least: Whole
    document: Text


@_definition
class Pricing:
    """What is laid on the costs: a share of labour for overhead, and a share of all costs for profit."""

    overhead_share: Number
    profit_share: Number
    document: Text


@_definition
class Spread:
    """By which shares what was paid has lain below and above what was quoted, of a kind of cost or one of its lines."""

    kind: Literal["material", "hardware", "labour", "outside"]
    name: Name | None = None  # a line as the price names it, such as an operation
    below: Number
    above: Number
    document: Text


@_definition
class Learning:
    """How the hours of a rack fall with the number built. The two models differ much at one rate: it is named."""

    model: Literal["unit", "cumulative average"]
    rate: Number  # hours at twice the number, as a share: 0.9
    built: Whole  # racks of this kind built before the order
    known: Text


def day_of(text: str) -> date | None:
    """The day that YYYY-MM-DD names, of the years 1900 to 2200; None when it names none."""
    try:
        day = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None
    return day if day and 1900 <= day.year <= 2200 else None

"""How what ages was stored: powder, primer, sealant, threadlock have a range of temperatures by their row in shop.toml.

A stated storage is compared with the range of the maker's sheet (`storage` of the specification row). Out of it, the
stock is quarantined: it is accepted anew only when a named person decided, with a reason and a document, that it may
be used. A later good storage undoes no bad one. Stock with a range is accepted only when its storage was stated.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor
from typing import TYPE_CHECKING, Any

from rackwright.record import Appended, Refs, State, Stock
from rackwright.trouble import Refusal
from rackwright.units import parse_quantity
from rackwright.work.gates import first, gauge_may_measure, no, person_may
from rackwright.work.people.founding import LEAD, RECEIVING
from rackwright.work.station import Draft, Station, perform

if TYPE_CHECKING:
    from rackwright.shop import Shop

__all__ = [
    "Stored",
    "decide_storage",
    "may_be_decided",
    "may_be_stated",
    "not_stated",
    "state_storage",
    "storage_rows",
    "within",
]

FREEZING = 273.15  # K
Row = tuple[str, str, str, bool]  # of an acceptance: name, required, found, will it do


@dataclass(frozen=True)
class Stored:
    """The lowest and highest temperature seen (quantities as text), from a day to a day, in which log, by what."""

    lowest: str
    highest: str
    since: str
    until: str
    document: str
    gauge: str = ""


def state_storage(station: Station, shop: Shop, stock_id: str, stored: Stored, act_id: str = "") -> Appended:
    """Where stock was kept until a day. Out of its range, the event itself quarantines it."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        low, high = _range(shop, stock)
        body: dict[str, Any] = {
            "stock_id": stock_id, "lowest": stored.lowest, "highest": stored.highest, "least": low, "most": high,
            "since": stored.since, "until": stored.until, "document": stored.document,
        }  # fmt: skip
        body |= {"gauge": stored.gauge} if stored.gauge else {}
        refused = first(
            person_may(state, station.person, RECEIVING, station.today),
            may_be_stated(state, body, station.today),
        )
        if refused is not None or stock is None:
            return refused or []
        drafted = Draft("storage", body | {"within": within(body)}, Refs.of(lots=[stock.lot]))
        return [drafted]

    return perform(station, "storage", decide, act_id)


def decide_storage(
    station: Station, stock_id: str, use: bool, reason: str, document: str, act_id: str = ""
) -> Appended:
    """A lead decides whether what was stored out of its range may be used; it is accepted anew before it is."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, LEAD, station.today), may_be_decided(state, stock_id)
        )
        stock = state.stock.get(stock_id)
        if refused is not None or stock is None:
            return refused or []
        body = {"stock_id": stock_id, "use": use, "reason": reason, "document": document}
        return [Draft("storage_decided", body, Refs.of(lots=[stock.lot]))]

    return perform(station, "storage_decided", decide, act_id)


def may_be_stated(state: State, body: Mapping[str, Any], today: str) -> Refusal | None:
    """Of stock that is there, with a range in its row; days that have been, a lowest that is not the higher."""
    name = body["stock_id"]
    if name not in state.stock:
        return no("RW503", name, f"{name} is not in the record", "receive it first")
    if not body["least"]:
        return no("RW517", name, f"the row of {state.stock[name].stock_spec} has no storage range",
                  "give `storage` and `storage_document` in shop.toml, by the maker's sheet")  # fmt: skip
    if _kelvin(body["lowest"]) > _kelvin(body["highest"]):
        return no(
            "RW517",
            name,
            f"lowest {body['lowest']} is above highest {body['highest']}",
            "compare with the log",
        )
    if not body["since"] <= body["until"] <= today:
        return no(
            "RW517",
            name,
            f"from {body['since']} to {body['until']}, today is {today}",
            "give days that have been",
        )
    return gauge_may_measure(state, body["gauge"], today) if "gauge" in body else None


def may_be_decided(state: State, stock_id: str) -> Refusal | None:
    """Only where a storage out of its range is recorded."""
    stock = state.stock.get(stock_id)
    if stock is not None and stock.stored and not stock.stored["within"]:
        return None
    return no("RW503", stock_id, f"no storage of {stock_id} is out of its range", "check the id")


def within(body: Mapping[str, Any]) -> bool:
    """Was it stored in its range, by the numbers of the event?"""
    low, high = _kelvin(body["least"]), _kelvin(body["most"])
    return low <= _kelvin(body["lowest"]) and _kelvin(body["highest"]) <= high


def storage_rows(stock: Stock) -> Iterator[Row]:
    """A row of the acceptance of stock whose storage was stated."""
    kept = stock.stored
    if not kept:
        return
    found, decided = f"{kept['lowest']} to {kept['highest']}", kept.get("use", False)
    if not kept["within"]:
        found += (
            f"; {kept['decided_by']} lets it be used: {kept['decided']}"
            if decided
            else "; nobody lets it be used"
        )
    yield ("storage", f"{kept['least']} to {kept['most']}", found, kept["within"] or decided)


def not_stated(shop: Shop, stock: Stock) -> Iterator[Row]:
    """A row of the acceptance of stock that has a range by its row, and whose storage nobody stated."""
    low, high = _range(shop, stock)
    if low and not stock.stored:
        yield ("storage", f"{low} to {high}", "not stated", False)


def _kelvin(text: str) -> Fraction:
    return Fraction(parse_quantity(text, "temperature"))


def _range(shop: Shop, stock: Stock | None) -> tuple[str, str]:
    """As recorded: to a hundredth of a degree, outwards, so that a limit of the sheet is within; empty for none."""
    row = next((one for one in shop.specification if stock and one.stock == stock.stock_spec), None)
    if row is None or row.storage is None:
        return "", ""
    low, high = row.storage
    return (
        f"{floor((low - FREEZING) * 100 + 1e-6) / 100:.2f} degC",
        f"{ceil((high - FREEZING) * 100 - 1e-6) / 100:.2f} degC",
    )

"""Assembly: every joint with its fastener lot, wrench, torque and person."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.units import QuantityError, parse_quantity
from rackwright.work.controlled import controlled, means_named, reads
from rackwright.work.gates import (
    first,
    gauge_may_measure,
    lot_may_be_used,
    no,
    not_held,
    person_may,
    stock_may_be_issued,
)
from rackwright.work.metal.drawn import of_serials
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import lot_was_drawn, piece_may_be_assembled, rack_here

__all__ = ["Tightened", "assemble", "draw_lot", "joints_complete", "return_lot"]


@dataclass(frozen=True)
class Tightened:
    """One joint as tightened: bolt id, the lots used, the wrench, running torque and final torque (texts)."""

    bolt: str
    lots: tuple[str, ...]
    wrench: str
    running: str
    torque: str
    low: str  # range asked for, running torque included
    high: str

    def to_json(self) -> dict[str, object]:
        """As the assemble event keeps it."""
        return {"lots": list(self.lots), "wrench": self.wrench, "running": self.running, "torque": self.torque,
                "low": self.low, "high": self.high}  # fmt: skip

    def moments(self) -> tuple[Fraction, Fraction, Fraction]:
        """Final torque and its range in N*m. Raises Stopped (RW104, RW105) for a text that is no torque."""
        found, faults = [], []
        for name, text in (("torque", self.torque), ("low", self.low), ("high", self.high)):
            try:
                found.append(parse_quantity(text, "moment"))
            except QuantityError as error:
                faults.append(Fault(error.code, Where(f"joint {self.bolt}", 0, name), error.found, error.do))
        if faults:
            raise Stopped(faults)
        return found[0], found[1], found[2]

    def refused(self) -> Refusal | None:
        """Is every field there, and the final torque inside its range?"""
        missing = [name for name in ("lots", "wrench", "torque") if not getattr(self, name)]
        if missing:
            return no(
                "RW521", self.bolt, f"joint {self.bolt} has no {', '.join(missing)}", "record the joint whole"
            )
        value, low, high = self.moments()
        if not low <= value <= high:
            return no("RW521", self.bolt, f"joint {self.bolt} is at {self.torque}, asked {self.low} to {self.high}",
                      "tighten it anew or replace the hardware")  # fmt: skip
        return None


def draw_lot(station: Station, stock_id: str, order: str, revision: str, quantity: int, serials: Sequence[str],
             act_id: str = "") -> Appended:  # fmt: skip
    """Take hardware from its lot for named serials; the lot counts down."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(person_may(state, station.person, "assembly", station.today),
                        stock_may_be_issued(state, stock_id, order, revision, station.today, serials),
                        _some(stock_id, quantity, serials), of_serials(state, order, revision, serials))  # fmt: skip
        if refused is None and stock is not None and stock.quantity < quantity:
            refused = no(
                "RW511",
                stock_id,
                f"{stock.quantity} of {stock_id} are left, {quantity} are needed",
                "receive more",
            )
        if refused is not None or stock is None:
            return refused or []
        body = {
            "stock_id": stock_id,
            "job": order,
            "revision": revision,
            "quantity": quantity,
            "serials": list(serials),
        }
        return [Draft("issue", body, Refs.of(lots=[stock.lot or stock_id], serials=serials))]

    return perform(station, "issue", decide, act_id)


def _some(stock_id: str, quantity: int, serials: Sequence[str]) -> Refusal | None:
    if quantity > 0 and serials:
        return None
    return no("RW517", stock_id, f"{quantity} for {len(serials)} racks", "give how many, and for which racks")


def return_lot(station: Station, stock_id: str, order: str, quantity: int, act_id: str = "") -> Appended:
    """Hardware that was drawn and not used goes back to its lot; never more than is out for the order."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = person_may(state, station.person, "assembly", station.today)
        if refused is None and stock is None:
            refused = no("RW503", stock_id, f"{stock_id} is not in the record", "check the id on the label")
        out = stock.drawn.get(order, 0) if stock else 0
        if refused is None and not 0 < quantity <= out:
            found = f"{quantity} of {stock_id} are to come back, {out} are out for {order}"
            refused = no("RW511", stock_id, found, "count what is there; mixed lots are scrap")
        if refused is not None or stock is None:
            return refused or []
        body = {"stock_id": stock_id, "job": order, "quantity": quantity}
        return [Draft("return", body, Refs.of(lots=[stock.lot or stock_id]))]

    return perform(station, "return", decide, act_id)


def assemble(station: Station, serial: str, pieces: Sequence[str], joints: Iterable[Tightened], jig: str,
             coated: Collection[str], act_id: str = "") -> Appended:  # fmt: skip
    """Put a serial together from its pieces; those that are `coated` must have passed the oven.

    Refused for pieces that did not, wrenches past due, joints not whole; and, once the record holds a jig, for one that
    is not in it or past its day.
    """
    done, must_be_baked = tuple(joints), frozenset(coated)

    def decide(state: State) -> list[Draft] | Refusal:
        wrenches = sorted({joint.wrench for joint in done if joint.wrench})
        lots = sorted({lot for joint in done for lot in joint.lots})
        kinds = controlled(state, "assemble")
        gauges = [*wrenches, jig] if kinds else wrenches
        refused = first(
            person_may(state, station.person, "assembly", station.today),
            *(gauge_may_measure(state, wrench, station.today) for wrench in wrenches),
            *(reads(state, wrench, "moment", "torque wrench") for wrench in wrenches),
            *(joint.refused() for joint in done),
            rack_here(state, serial),
            *(piece_may_be_assembled(state, serial, piece, piece in must_be_baked) for piece in pieces),
            *(lot_was_drawn(state, lot, serial) for lot in lots),
            *(lot_may_be_used(state, lot, station.today) for lot in lots),
            not_held(state, serial=serial),
            means_named(state, "assemble", kinds, gauges, station.today),
        )
        if refused is not None:
            return refused
        values = {joint.bolt: joint.to_json() for joint in done}
        body = {
            "serial": serial,
            "pieces": list(pieces),
            "lots": lots,
            "jig": jig,
            "values": values,
            "gauges": gauges,
            "controlled": list(kinds),
        }
        return [Draft("assemble", body, Refs.of(pieces=pieces, serials=[serial], lots=lots, gauges=gauges))]

    return perform(station, "assemble", decide, act_id)


def joints_complete(state: State, serial: str, bolts: Iterable[str]) -> Refusal | None:
    """Every bolt of the rack has its torque, wrench, lot and person."""
    rack = state.serials.get(serial)
    for bolt in bolts:
        if rack is None or bolt not in rack.joints:
            return no("RW521", bolt, f"joint {bolt} of {serial} is not recorded", "tighten and record it")
    return None

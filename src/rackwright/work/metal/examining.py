"""What is seen and measured of metal when it comes in: its marking, the wall at three places, and what else is asked.

What each value is held against at the acceptance: `readings.py`. Of a value for which no sourced limit is known nobody
decides by silence: a lead does, by name, with a reason and a document.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, gauge_may_measure, no, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["READINGS", "decide_reading", "examine", "may_be_decided", "may_be_examined"]

READINGS = ("conductivity", "hardness", "weight")
ROLES = ("receiving", "inspector")


def examine(
    station: Station, stock_id: str, marking: str, gauges: tuple[str, ...] = (),
    walls_nm: Mapping[str, int] | None = None, read: Mapping[str, str] | None = None, act_id: str = "",
) -> Appended:  # fmt: skip
    """`walls_nm`: place -> wall or thickness; `read`: conductivity (% IACS, a plain number), hardness, weight."""
    walls, others = dict(walls_nm or {}), dict(read or {})

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        answers = [person_may(state, station.person, role, station.today) for role in ROLES]
        refused = first(answers[0] if all(answers) else None,
                        may_be_examined(state, stock_id, bool(walls or others), gauges, station.today))  # fmt: skip
        if refused is not None or stock is None:
            return refused or []
        body: dict[str, object] = {"stock_id": stock_id, "marking": marking, "gauges": list(gauges), **others}
        if walls:
            body["walls"] = [{"place": place, "wall_nm": nm} for place, nm in walls.items()]
        return [Draft("examine", body, Refs.of(heats=[stock.heat], lots=[stock.lot], gauges=gauges))]

    return perform(station, "examine", decide, act_id)


def may_be_examined(
    state: State, stock_id: str, measured: bool, gauges: Sequence[str], today: str
) -> Refusal | None:
    """It is there and not accepted yet; what was `measured` names gauges in calibration."""
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
    if stock.state not in ("received", "quarantined"):
        return no("RW517", stock_id, f"{stock_id} is {stock.state}", "quarantine it first, then examine it")
    if measured and not gauges:
        return no("RW515", stock_id, "values without what measured them", "name the gauges")
    return first(*(gauge_may_measure(state, gauge, today) for gauge in gauges))


def decide_reading(
    station: Station, stock_id: str, reading: str, use: bool, reason: str, document: str, act_id: str = ""
) -> Appended:
    """A lead decides of a value for which no limit is known, as it was read, whether the metal may be used."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            may_be_decided(state, stock_id, reading),
        )
        if refused is not None or stock is None:
            return refused or []
        body = {"stock_id": stock_id, "reading": reading, "value": stock.examined[reading], "use": use,
                "reason": reason, "document": document}  # fmt: skip
        return [Draft("reading_decided", body, Refs.of(heats=[stock.heat], lots=[stock.lot]))]

    return perform(station, "reading_decided", decide, act_id)


def may_be_decided(state: State, stock_id: str, reading: str) -> Refusal | None:
    """Of stock that is not accepted, and a value that was read."""
    stock = state.stock.get(stock_id)
    if stock is None or reading not in READINGS or reading not in stock.examined:
        do = f"examine it first; readings are {', '.join(READINGS)}"
        return no("RW503", stock_id, f"no {reading} of {stock_id} was read", do)
    if stock.state not in ("received", "quarantined"):
        return no(
            "RW517",
            stock_id,
            f"{stock_id}, whose {reading} is decided, is {stock.state}",
            "quarantine it first",
        )
    return None

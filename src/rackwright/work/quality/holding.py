"""A hold: nothing more may be done with what it names until a named person lifts it with a reason.

It is lifted by `nonconforming.release_hold`, never by the passing of time or by a measurement.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import no, person_may
from rackwright.work.people.founding import INSPECTOR, LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["hold", "may_hold"]


def hold(
    station: Station, name: str, reason: str, pieces: Sequence[str] = (), serials: Sequence[str] = (),
    stock_ids: Sequence[str] = (), heats: Sequence[str] = (), act_id: str = "",
) -> Appended:  # fmt: skip
    """Hold pieces, serials, stock, heats or lots. By the lead or an inspector; everything named must be known."""
    named = {"pieces": pieces, "serials": serials, "stock_ids": stock_ids, "heats": heats}

    def decide(state: State) -> list[Draft] | Refusal:
        as_lead = person_may(state, station.person, LEAD, station.today)
        refused = as_lead and person_may(state, station.person, INSPECTOR, station.today)
        refused = refused or may_hold(state, name, named)
        if refused is not None:
            return refused
        body: dict[str, object] = {"hold": name, "reason": reason}
        body |= {key: list(ids) for key, ids in named.items() if ids}
        return [Draft("hold", body, Refs.of(pieces=pieces, serials=serials, heats=heats))]

    return perform(station, "hold", decide, act_id)


def may_hold(state: State, name: str, named: Mapping[str, Sequence[str]]) -> Refusal | None:
    """A name of its own, on something that is known."""
    if name in state.holds:
        return no("RW517", name, f"{name} is used already", "give the hold its own name")
    if not any(named.values()):
        return no("RW517", name, "the hold names nothing", "name pieces, serials, stock_ids or heats")
    return _unknown(state, named)


def _unknown(state: State, named: Mapping[str, Sequence[str]]) -> Refusal | None:
    heats = {name for stock in state.stock.values() for name in (stock.heat, stock.lot)}
    known: dict[str, Collection[str]] = {
        "pieces": state.pieces,
        "serials": state.serials,
        "stock_ids": state.stock,
        "heats": heats,
    }
    for key, ids in named.items():
        for id in ids:
            if id not in known[key]:
                return no("RW503", id, f"{id} is not in the record", "check it on the label")
    return None

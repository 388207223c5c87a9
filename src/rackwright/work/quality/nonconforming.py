"""Something is not as it should be: raise it, contain it, prove it anew with what was measured, decide.

"Use as is" and "repair" need the acceptance of the holder of the design approval (document, signer, date), and the
customer's beside it where a clause of the order asks it (a clause before `disposition`); rework to drawing and scrap
are the shop's. A hold lifts only by a named person with a reason, and not while the nonconformance behind it is
undecided.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from rackwright.record import Appended, Refs, State
from rackwright.record.state import Nonconformance
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, person_may, serial_known
from rackwright.work.metal.counting import Unusable, was_made_unusable
from rackwright.work.metal.witnessing import awaiting
from rackwright.work.people.founding import INSPECTOR, LEAD
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import rack_here

__all__ = [
    "CUSTOMER",
    "DECISIONS",
    "NEEDS_ACCEPTANCE",
    "Acceptance",
    "condemned",
    "dispose",
    "is_written",
    "may_be_decided",
    "may_be_lifted",
    "may_be_raised",
    "rack_may_be_scrapped",
    "raise_nonconformance",
    "release_hold",
]

DECISIONS = ("use_as_is", "repair", "rework", "scrap")
NEEDS_ACCEPTANCE = ("use_as_is", "repair")
CUSTOMER = "disposition"  # what such a clause comes before


@dataclass(frozen=True)
class Acceptance:
    """Where the approval holder's acceptance is documented. Recording it here accepts nothing."""

    document: str
    signer: str
    date: str

    @property
    def whole(self) -> bool:
        return all(text.strip() for text in (self.document, self.signer, self.date))

    def to_json(self) -> dict[str, str]:
        return {"document": self.document, "signer": self.signer, "date": self.date}


def raise_nonconformance(
    station: Station, name: str, text: str, pieces: Sequence[str], characteristic: str, values: Mapping[str, str],
    act_id: str = "", serials: Sequence[str] = (),
) -> Appended:  # fmt: skip
    """Raise it and contain it: pieces or whole racks are held from now on.

    `values` are margins as designed and as measured.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today),
            may_be_raised(state, name, pieces, serials),
        )
        if refused is not None:
            return refused
        refs = Refs.of(pieces=pieces, serials=[*serials, *(state.pieces[piece].serial for piece in pieces)])
        body: dict[str, object] = {"nonconformance": name, "text": text, "pieces": list(pieces),
                                   "characteristic": characteristic, "values": dict(values)}  # fmt: skip
        hold: dict[str, object] = {
            "hold": f"hold {name}",
            "reason": f"{name}: {text}",
            "pieces": list(pieces),
        }
        if serials:
            body["serials"] = hold["serials"] = list(serials)
        return [Draft("nonconformance", body, refs), Draft("hold", hold, refs)]

    return perform(station, "nonconformance", decide, act_id)


def may_be_raised(state: State, name: str, pieces: Sequence[str], serials: Sequence[str]) -> Refusal | None:
    """A number of its own, on something that is there."""
    unknown = [piece for piece in pieces if piece not in state.pieces]
    unknown += [serial for serial in serials if serial not in state.serials]
    scrapped = [name for name in serials if name in state.serials and rack_here(state, name)]
    if not (pieces or serials):
        return no("RW517", name, f"{name} names nothing", "name the pieces or racks that are in doubt")
    if unknown:
        return no("RW503", unknown[0], f"{unknown[0]} is not in the record", "check the label")
    if name in state.nonconformances:
        return no("RW517", name, f"{name} is raised already", "give it its own number")
    gone = next((piece for piece in pieces if state.pieces[piece].state == "scrapped"), *scrapped[:1] or [""])
    if gone:
        return no("RW517", gone, f"{gone} is scrapped", "raise it on what is still there, or on its heat")
    return None


def dispose(
    station: Station, name: str, decision: str, reason: str, acceptance: Acceptance | None, values: Mapping[str, str],
    act_id: str = "", cause: str = "", unusable: Unusable | None = None, customer: Acceptance | None = None,
) -> Appended:  # fmt: skip
    """Decide what is done. Scrap also scraps the racks, each whole, and the pieces, made `unusable` before a witness.
    `cause` in few words: what came again is found by it."""

    def decide(state: State) -> list[Draft] | Refusal:
        about = state.nonconformances.get(name)
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            may_be_decided(state, name, decision, acceptance, customer),
            *(
                is_written(name, one.document, one.date, station.today)
                for one in (acceptance, customer)
                if one
            ),
        )
        if refused is not None or about is None:
            return refused or []
        gone = condemned(state, about) if decision == "scrap" else ()
        racks = [name for name in gone if name in state.serials]
        refused = first(*(rack_may_be_scrapped(state, name) for name in racks))
        if gone and refused is None:
            refused = was_made_unusable(state, station.person, gone[0], unusable, station.today)
        if refused is not None:
            return refused
        body: dict[str, object] = {
            "nonconformance": name,
            "decision": decision,
            "reason": reason,
            "values": dict(values),
        }
        if cause.strip():
            body["cause"] = " ".join(cause.split())
        if acceptance is not None:
            body |= acceptance.to_json()
        if customer is not None:
            body["customer"] = customer.to_json()
        refs = Refs.of(pieces=about.pieces, serials=about.serials)
        how: dict[str, str | bool] = unusable.to_json() if unusable else {}
        how |= {"reason": f"{name}: {reason}"}
        scrapped = [
            Draft("scrap_rack", {"serial": one, **how}, Refs.of(serials=[one])) if one in racks else
            Draft("scrap", {"piece": one, **how}, Refs.of(pieces=[one])) for one in gone
        ]  # fmt: skip
        return [Draft("disposition", body, refs), *scrapped]

    return perform(station, "disposition", decide, act_id)


def is_written(about: str, what: str, day: str, today: str) -> Refusal | None:
    """A document that gives authority is dated today or before; a day on where the shop lies east of UTC."""
    if day <= (date.fromisoformat(today) + timedelta(days=1)).isoformat():
        return None
    do = "give the day that stands on it; what is still to be written gives no authority"
    return no("RW517", about, f"{what} is dated {day}, today is {today}", do)


def may_be_decided(
    state: State, name: str, decision: str, acceptance: Acceptance | None, customer: Acceptance | None
) -> Refusal | None:
    """Raised, not decided yet, and accepted by the holder of the design approval, and the customer, where that is
    needed."""
    about = state.nonconformances.get(name)
    if about is None:
        return no("RW503", name, f"{name} is not in the record", "check its number")
    if decision not in DECISIONS:
        return no("RW517", name, f"{decision!r} is not a decision", f"decide {', '.join(DECISIONS)}")
    if not about.open:
        return no("RW517", name, f"{name} was decided: {about.decision}", "raise what is new as another one")
    if decision in NEEDS_ACCEPTANCE and not (acceptance and acceptance.whole):
        return no("RW520", name, f"{decision} of {name} has no acceptance by the holder of the design approval",
                  "record its document, signer and date; or rework to drawing, or scrap")  # fmt: skip
    asked = _asks_customer(state, about) if decision in NEEDS_ACCEPTANCE else ""
    if asked and not (customer and customer.whole):
        return no("RW520", name, f"{decision} of {name} has no acceptance by the customer, which {asked} asks",
                  "record the customer's document, signer and date beside the holder's")  # fmt: skip
    return None


def _asks_customer(state: State, about: Nonconformance) -> str:
    """The clause by which an order of these pieces and racks has its customer accept too, "" for none."""
    serials = {*about.serials, *(state.pieces[name].serial for name in about.pieces if name in state.pieces)}
    orders = {state.serials[serial].order for serial in serials if serial in state.serials}
    for order in sorted(orders):
        for one in state.clauses.get(order, {}).values():
            if one.before == CUSTOMER and not one.withdrawn:
                return f"clause {one.clause} of {order} ({one.document})"
    return ""


def condemned(state: State, about: Nonconformance) -> tuple[str, ...]:
    """What scrap scraps: the racks, each with the pieces in it, and the pieces. Not what was scrapped meanwhile by
    another decision, nor a piece made anew under the same id after this was raised."""
    racks = [name for name in about.serials if state.serials[name].state != "scrapped"]
    within = [piece for name in racks for piece in state.serials[name].pieces]
    alone = [piece for piece in about.pieces if state.pieces[piece].seq < about.seq]
    pieces = [piece for piece in (*within, *alone) if state.pieces[piece].state != "scrapped"]
    return *racks, *dict.fromkeys(pieces)


def rack_may_be_scrapped(state: State, serial: str) -> Refusal | None:
    """It is here, not at its customer's."""
    rack = state.serials.get(serial)
    if rack is not None and rack.state == "shipped":
        found = f"{serial} is with {rack.shipped_to}"
        return no("RW517", serial, found, "what is not here is not scrapped here; it comes back first")
    return serial_known(state, serial)


def release_hold(station: Station, hold: str, reason: str, act_id: str = "") -> Appended:
    """Lift a hold: a named person, a reason, and no undecided nonconformance behind it."""

    def decide(state: State) -> list[Draft] | Refusal:
        known = state.holds.get(hold)
        refused = first(
            person_may(state, station.person, LEAD, station.today), may_be_lifted(state, hold, reason)
        )
        if refused is not None or known is None:
            return refused or []
        return [
            Draft(
                "lift", {"hold": hold, "reason": reason}, Refs.of(pieces=known.pieces, serials=known.serials)
            )
        ]

    return perform(station, "lift", decide, act_id)


def may_be_lifted(state: State, hold: str, reason: str) -> Refusal | None:
    """Open, with a reason, and nothing undecided behind it."""
    known = state.holds.get(hold)
    if known is None or not known.open:
        return no("RW503", hold, f"{hold} is not an open hold", "check its name")
    if not reason.strip():
        return no("RW517", hold, "no reason is given", "give the reason for lifting it")
    names = (*known.pieces, *known.serials, *known.stock_ids)
    return first(*(_undecided(state, name) for name in names), awaiting(state, names))


def _undecided(state: State, name: str) -> Refusal | None:
    for each in state.nonconformances.values():
        if each.open and name in (*each.pieces, *each.serials):
            return no(
                "RW520",
                each.nonconformance,
                f"{each.nonconformance} on {name} is not decided",
                "disposition it first",
            )
    return None

"""The witness of scrap signs what they saw, by an act of their own.

Who scraps names a witness; a name that somebody else wrote proves nothing. Until the witness has signed, the piece or
rack is scrap, not yet witnessed: it stands on `due`, no hold on it is lifted, and the rack that it came out of is
neither released nor put back to service. Scrap that an older program recorded stands by the name.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import Appended, Refs, State
from rackwright.record.service import Unseen
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, person_may
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.station import Draft, Station, perform

__all__ = ["awaiting", "may_witness", "scrap_seen", "witness"]


def witness(station: Station, about: Sequence[str], text: str, act_id: str = "") -> Appended:
    """Sign that this scrap was made unusable: pieces, stock, or a rack, with what was scrapped with it."""

    def decide(state: State) -> list[Draft] | Refusal:
        whole = dict.fromkeys(
            one.about
            for name in about
            for one in state.unseen.values()
            if name in (one.about, _rack(state, one))
        )
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today),
            may_witness(state, station.person, about),
            may_witness(state, station.person, [*whole]),
        )
        if refused is not None:
            return refused
        pieces, serials = (
            [name for name in whole if name in table] for table in (state.pieces, state.serials)
        )
        return [Draft("witness", {"about": [*whole], "text": text}, Refs.of(pieces=pieces, serials=serials))]

    return perform(station, "witness", decide, act_id)


def _rack(state: State, one: Unseen) -> str:
    """The rack that a piece was scrapped with, whole."""
    name = state.pieces[one.about].serial if one.about in state.pieces else ""
    return name if any(each.about == name for each in state.unseen.values()) else ""


def may_witness(state: State, person: str, about: Sequence[str]) -> Refusal | None:
    """Each is scrap that awaits its witness, and another made it so."""
    if not about:
        return no(
            "RW517", "witness", "nothing is named", "name the pieces, stock or rack that were made unusable"
        )
    for name in about:
        mine = [one for one in state.unseen.values() if one.about == name]
        if not mine:
            found = f"{name} is no scrap that awaits a witness"
            return no("RW517", name, found, "see `rackwright due` for what does")
        if any(one.by == person for one in mine):
            found = f"{person} scrapped {name} and cannot be its witness"
            return no("RW516", person, found, f"who saw it made unusable signs, with the role {INSPECTOR}")
    return None


def awaiting(state: State, names: Sequence[str]) -> Refusal | None:
    """None of these is scrap that nobody has witnessed yet."""
    one = next((each for each in state.unseen.values() if each.about in names), None)
    if one is None:
        return None
    found = f"{one.about} is scrap, not yet witnessed ({one.how}, by {one.by}; to be signed by {one.witness})"
    return no("RW520", one.about, found, f"the witness signs it: rackwright log witness about={one.about}")


def scrap_seen(state: State, serial: str) -> Refusal | None:
    """No piece that came out of this rack, or was made for it, awaits the witness of its scrapping."""
    mine = [
        one.about for one in state.unseen.values()
        if one.about in state.pieces and state.pieces[one.about].serial == serial
    ]  # fmt: skip
    return awaiting(state, [serial, *mine])

"""Corrective action: what is done so that a cause does not come again, and whether it held.

The cause is named at the disposition and stays as it was named; causes are the same when they read the same, blanks and
capitals apart. One that came again while no action stands against it is said aloud (`work/office/due.py`); nothing is
held by it, for that is a person's to decide. Who owns an action never says that it was effective.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, of_the_shop, person_may
from rackwright.work.people.founding import INSPECTOR, LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "action_done",
    "action_may_be_done",
    "action_may_be_taken",
    "action_may_be_verified",
    "again",
    "correct",
    "same_cause",
    "verify_action",
]


def correct(
    station: Station, action: str, cause: str, text: str, owner: str, due: str, about: Sequence[str] = (),
    act_id: str = "",
) -> Appended:  # fmt: skip
    """An action against a cause: who does what until when. `about` are the nonconformances it answers."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            action_may_be_taken(state, action, text, owner, about),
        )
        body = {"action": action, "cause": cause, "text": text, "owner": owner, "due": due,
                "nonconformances": list(about)}  # fmt: skip
        return refused or [Draft("corrective_action", body, _touched(state, about))]

    return perform(station, "corrective_action", decide, act_id)


def action_done(station: Station, action: str, text: str, document: str = "", act_id: str = "") -> Appended:
    """Its owner, or the lead, says what was done."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = action_may_be_done(state, action, station.person, station.today)
        body = {"action": action, "text": text} | ({"document": document} if document else {})
        return refused or [Draft("action_done", body)]

    return perform(station, "action_done", decide, act_id)


def verify_action(
    station: Station, action: str, effective: bool, found: str, document: str = "", act_id: str = ""
) -> Appended:
    """An inspector who neither owns nor did it looks whether it holds; one that does not is open again."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today),
            action_may_be_verified(state, action, station.person, found),
        )
        body = {"action": action, "effective": effective, "found": found}
        body |= {"document": document} if document else {}
        return refused or [Draft("action_verified", body)]

    return perform(station, "action_verified", decide, act_id)


# --- the gates -----------------------------------------------------------------------------------


def action_may_be_taken(
    state: State, action: str, text: str, owner: str, about: Sequence[str]
) -> Refusal | None:
    """A number of its own, something to do, by a person of the shop, about what was raised."""
    if refused := of_the_shop(state, owner):
        return refused
    unknown = [name for name in about if name not in state.nonconformances]
    if unknown:
        return no("RW503", unknown[0], f"{unknown[0]} is not in the record", "check its number")
    if action in state.actions:
        return no("RW517", action, f"{action} is in the record", "give it its own number")
    if not text.strip():
        return no("RW517", action, "nothing is to be done", "say what is done against the cause")
    return None


def action_may_be_done(state: State, action: str, person: str, today: str) -> Refusal | None:
    """Open, and its owner's or the lead's to do."""
    known = state.actions.get(action)
    if refused := of_the_shop(state, person) or _known(action, state):
        return refused
    if known and person != known.owner and (refused := person_may(state, person, LEAD, today)):
        return refused
    if known and known.state not in ("open", "open again"):
        return no("RW517", action, f"{action} is {known.state}", "it waits for another person's look")
    return None


def action_may_be_verified(state: State, action: str, person: str, found: str) -> Refusal | None:
    """Done, looked at by somebody who neither owns nor did it, and something was seen."""
    known = state.actions.get(action)
    if known is None:
        return _known(action, state)
    if person in (known.owner, known.done_by):
        return no("RW516", action, f"{person} owns or did {action}", "another person must look")
    if known.state != "done":
        return no("RW517", action, f"{action} is {known.state}", "it is looked at once it is done")
    if not found.strip():
        return no("RW517", action, "nothing was found", "say what was looked at and found")
    return None


# --- what came again -----------------------------------------------------------------------------


def again(state: State) -> dict[str, tuple[str, ...]]:
    """Causes that came more than once, the last time after every action against them was taken up: their
    nonconformances, in order."""
    causes: dict[str, list[str]] = {}
    for each in state.nonconformances.values():
        if each.cause:
            causes.setdefault(same_cause(each.cause), []).append(each.nonconformance)
    acted = {same_cause(each.cause): each.seq for each in state.actions.values()}
    return {
        cause: tuple(names) for cause, names in causes.items()
        if len(names) > 1 and state.nonconformances[names[-1]].decided_seq > acted.get(cause, 0)
    }  # fmt: skip


def same_cause(cause: str) -> str:
    return " ".join(cause.casefold().split())


def _known(action: str, state: State) -> Refusal | None:
    if action in state.actions:
        return None
    return no("RW503", action, f"{action} is not in the record", "check its number")


def _touched(state: State, about: Sequence[str]) -> Refs:
    rows = [state.nonconformances[name] for name in about if name in state.nonconformances]
    return Refs.of(
        pieces=[p for row in rows for p in row.pieces], serials=[s for row in rows for s in row.serials]
    )

"""The keys that a record's own events hand over and revoke, and those events that are not as they should be.

Read as recorded: a correction changes no signature.
"""

from __future__ import annotations

from collections.abc import Iterable

from rackwright.record.envelope import Event
from rackwright.seal import Handover, Malformed, Revocation, Trust, read_handover, read_revocation

__all__ = ["KEY_EVENTS", "trust_of", "unsound"]

KEY_EVENTS = ("key", "key_revoked")


def trust_of(events: Iterable[Event]) -> Trust:
    """The handovers and revocations that hold."""
    handovers: list[Handover] = []
    revocations: list[Revocation] = []
    for event in events:
        try:
            if event.type == "key":
                handovers.append(read_handover(event.body.get("handover")))
            elif event.type == "key_revoked":
                revocations.append(read_revocation(event.body.get("revocation")))
        except Malformed:
            continue  # told by `unsound`
    return Trust.of(handovers, revocations)


def unsound(event: Event, trust: Trust) -> str:
    """Why the handover or revocation of this event counts for nothing; "" where it counts."""
    try:
        if event.type == "key":
            handover = read_handover(event.body.get("handover"))
            return "" if handover in trust.handovers else "this handover is not signed by both keys"
        revocation = read_revocation(event.body.get("revocation"))
    except Malformed as error:
        return f"it cannot be read: {error.found}"
    if revocation in trust.revocations:
        return ""
    return f"key {revocation.key_id} is not revoked by a key that it handed over to"

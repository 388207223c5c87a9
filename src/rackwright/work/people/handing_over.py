"""The shop's key hands over to a new one, and a key that is lost or known to others is revoked.

Every private key lies in the shop's folder under the start of its id, so that none is ever written over; `shop.key` is
the one that signs now. The new key is on the disk before the event that names it, and `shop.key` becomes it after: cut
between, `seed_of` still finds the key that the record names, and the next act here puts it in its place.
"""

from __future__ import annotations

from pathlib import Path

from rackwright.record import Appended, State, state_of
from rackwright.seal import (
    Handover,
    Revocation,
    Trust,
    hand_over,
    key_id,
    new_seed,
    public_key,
    revoke,
    write_key,
    write_public_key,
)
from rackwright.trouble import Refusal, Stopped
from rackwright.work.gates import no, person_may
from rackwright.work.keeping.shop_folder import KEY, PUBLIC, kept_key, seed_of, write_whole
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["hand_over_key", "may_be_revoked", "may_hand_over", "revoke_key"]


def hand_over_key(station: Station, folder: Path, reason: str, act_id: str = "") -> Appended:
    """The key of the shop signs a new one, which signs from this event on. Raises Stopped (RW604, RW002, RW517)."""
    _put_in_place(folder, station)
    old, new = seed_of(folder), new_seed()
    name = kept_key(folder, key_id(public_key(new)))

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today) or _reasoned(reason)
        if refused:
            return refused
        if state.demo or old is None:
            return _no_key(state)
        handover = hand_over(old, new, station.record.head().size, station.now())
        if refused := may_hand_over(state.key_id, handover):
            return refused
        write_whole(name, write_key(new).encode(), private=True)
        return [Draft("key", {"handover": handover.to_json(), "reason": reason})]

    try:
        done = perform(station, "key", decide, act_id)
    except Stopped as stopped:
        if all(isinstance(trouble, Refusal) for trouble in stopped.troubles):
            name.unlink(missing_ok=True)  # refused for certain: nothing names it
        raise
    _put_in_place(folder, station)
    return done


def revoke_key(
    station: Station, folder: Path, key: str, since: int, reason: str, act_id: str = ""
) -> Appended:
    """Heads of more than `since` events that an earlier key signed are believed no more."""
    _put_in_place(folder, station)
    seed = seed_of(folder)

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today) or _reasoned(reason)
        if refused:
            return refused
        if state.demo or seed is None or key_id(public_key(seed)) != state.key_id:
            return _no_key(state)
        revocation = revoke(key, since, station.now(), reason, station.person, seed)
        if refused := may_be_revoked(Trust.of(state.handovers), state.key_id, revocation):
            return refused
        return [Draft("key_revoked", {"revocation": revocation.to_json(), "reason": reason})]

    return perform(station, "key_revoked", decide, act_id)


def may_hand_over(present: str, handover: Handover) -> Refusal | None:
    """Only the key that signs now hands over, and both sign it."""
    if handover.old != present:
        found = f"key {handover.old} would hand over, and the shop signs with {present or 'none'}"
        return no("RW604", "key", found, f"put the shop's present key there as {KEY}")
    if not handover.holds():
        return no("RW604", "key", "the handover is not signed by both keys", "see who made it")
    return None


def may_be_revoked(trust: Trust, present: str, revocation: Revocation) -> Refusal | None:
    """A key that led to the present one, revoked by the present one."""
    key = revocation.key_id
    if key == present:
        return no("RW517", "key", "this key signs now", "hand over to a new one first: `rackwright log key`")
    if revocation.signer != present or not revocation.holds():
        return no("RW604", "key", "the revocation is not signed by the shop's present key", "see who made it")
    if not trust.leads(key, present):
        return no(
            "RW503",
            "key",
            f"{key:.64} was never the shop's key",
            "give the id of an earlier key, 64 hex digits",
        )
    return None


def _reasoned(reason: str) -> Refusal | None:
    return None if reason.strip() else no("RW517", "key", "no reason is given", "say why")


def _no_key(state: State) -> Refusal:
    if state.demo:
        return no(
            "RW604",
            "key",
            "the DEMO key is known to everyone: it hands over to none",
            "make a shop of your own",
        )
    return no("RW604", "key", f"the key {state.key_id} is not in the shop's folder", f"put it there as {KEY}")


def _put_in_place(folder: Path, station: Station) -> None:
    """`shop.key` becomes the key that the record names, after the one that stood there is kept under its own name."""
    present, there = state_of(station.record).key_id, seed_of(folder)
    if there is None or key_id(public_key(there)) == present:
        return
    seed = seed_of(folder, present)
    if seed is None or key_id(public_key(seed)) != present:
        return
    write_whole(kept_key(folder, key_id(public_key(there))), write_key(there).encode(), private=True)
    write_whole(folder / KEY, write_key(seed).encode(), private=True)
    write_whole(folder / PUBLIC, write_public_key(public_key(seed)).encode())

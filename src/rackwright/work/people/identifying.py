"""Is this person who they say they are? Asked where someone sits down at a page, and where a visit to the saw begins.

Nothing is recorded of a right PIN or password: the acts that follow say by what they were signed. A wrong one is a
refusal of its person, as at any act, and a row of them makes the person wait. What is turned away while a person waits,
or under a name that is none, is not recorded: whoever knocks without a secret cannot fill the record. A name that is
none takes as long as one that is.
"""

from __future__ import annotations

from rackwright.record import Person
from rackwright.record.fold_people import WRONG_SECRET
from rackwright.trouble import Refusal, Stopped
from rackwright.work.gates import no
from rackwright.work.people.signing import SIGN_IN, signature
from rackwright.work.station import Station, perform

__all__ = ["identify"]


def identify(station: Station, act: str) -> str:
    """The hash of the verifier by which the person at the station is known; `act` decides whether a PIN does.

    Raises Stopped: RW546 not theirs, which is recorded · RW545 they must wait, or have nothing to be known by.
    """
    _, state = station.follower.look(station.record)
    person = state.persons.get(station.person)
    if person is None or not person.active:
        _as_slow_as_any(station.secret)
        raise Stopped([_stranger(station.person)])
    known = signature(state, person.person, act, station.secret, station.home, station.now())
    if isinstance(known, Refusal):
        if known.code == WRONG_SECRET:
            perform(station, act, lambda _: known)
        raise Stopped([known])
    return _verifier(person, known, act)


def _as_slow_as_any(secret: str) -> None:
    from argon2 import PasswordHasher

    PasswordHasher().hash(secret)


def _stranger(name: str) -> Refusal:
    return no(WRONG_SECRET, name, f"this is not the password of {name}", "try again; a forgotten one is set anew with "
              "a one-time code of the lead's")  # fmt: skip


def _verifier(person: Person, known: str, act: str) -> str:
    if known not in person.secrets:  # by name only
        kind = "password" if act == SIGN_IN else "pin"
        do = f"set one: rackwright log secret --by '{person.person}' kind={kind}"
        raise Stopped([no("RW545", person.person, f"{person.person} has no {kind}", do)])
    return person.secrets[known]

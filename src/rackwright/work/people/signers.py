"""What people sign with: a PIN or a password of their own, a lead's one-time code to set it, and whether all must."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from functools import cache

from rackwright.record import Appended, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, of_the_shop, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.people.signing import PASSWORD, PIN, SALT, SECRET, keep, weakness
from rackwright.work.station import Draft, Station, perform

__all__ = ["draw_code", "give_code", "require_signatures", "set_secret"]

LETTERS = "ABCDEFGHJKMNPQRSTVWXYZ23456789"  # none that is taken for another
CODE_LENGTH, CODE_DAYS = 12, 7  # 58 bits


def set_secret(station: Station, kind: str, new: str, act_id: str = "") -> Appended:
    """The person at this station signs with a new PIN or password from now on; `Station.secret` is the one that stood
    before, or a one-time code. The first of all is set by a lead without."""
    verifier = cache(
        lambda: keep(station.home, new, station.chance(SALT))
    )  # slow on purpose: once, though another station writes first

    def decide(state: State) -> list[Draft] | Refusal:
        if kind not in (PIN, PASSWORD):
            return no("RW517", kind, f"{kind!r} is not a kind of secret", f"give {PIN} or {PASSWORD}")
        known = state.persons.get(station.person)
        refused = person_may(
            state, station.person, known.roles[0] if known and known.roles else LEAD, station.today
        )
        if refused is None and (weak := weakness(kind, new)):
            refused = no("RW517", station.person, weak, "choose another")
        if refused:
            return refused
        return [Draft("secret", {"person": station.person, "kind": kind, "verifier": verifier()})]

    return perform(station, SECRET, decide, act_id)


def give_code(station: Station, person: str, act_id: str = "") -> tuple[Appended, str]:
    """A one-time code with which this person sets a PIN or password within a week; shown once, kept nowhere."""
    code = draw_code(station.chance)
    verifier = cache(lambda: keep(station.home, code, station.chance(SALT)))

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, LEAD, station.today), of_the_shop(state, person))
        if refused:
            return refused
        until = (date.fromisoformat(station.today) + timedelta(days=CODE_DAYS)).isoformat()
        return [Draft("code", {"person": person, "verifier": verifier(), "until": until})]

    return perform(station, "code", decide, act_id), code


def draw_code(chance: Callable[[int], bytes]) -> str:
    """Letters that are each as likely as the others."""
    fair = 256 - 256 % len(LETTERS)
    code = ""
    while len(code) < CODE_LENGTH:
        code += "".join(LETTERS[byte % len(LETTERS)] for byte in chance(4 * CODE_LENGTH) if byte < fair)
    return code[:CODE_LENGTH]


def require_signatures(station: Station, required: bool, reason: str, act_id: str = "") -> Appended:
    """From now on every act is signed, or need not be, with the lead's reason. Who asks for it must be able to sign."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, LEAD, station.today)
        if refused is None and not reason.strip():
            refused = no("RW517", "signatures", "no reason is given", "say why")
        if refused is None and required and not state.persons[station.person].signs:
            refused = no("RW545", station.person, f"{station.person} has no password", "set one first: "
                         "`rackwright log secret kind=password`")  # fmt: skip
        return refused or [Draft("signatures", {"required": required, "reason": reason})]

    return perform(station, "signatures", decide, act_id)

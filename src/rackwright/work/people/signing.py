"""Who acts: the name on an act is signed with the PIN or password that its person alone knows.

Theory: Argon2id with the second recommended parameters of RFC 9106 (section 4), by a kept library. What a secret is
checked against, its verifier, stands in `signers/` beside the record under its own SHA-256, and the record names that
hash: a verifier put in another's place is not believed, and none leaves the shop with an export, a backup or a dossier.
A short PIN resists guessing at the bench, where every wrong one is recorded and a row of them makes its person wait
(NIST SP 800-63B asks for a limit); it does not resist somebody who has copied `signers/`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

from rackwright.record import Person, State
from rackwright.record.fold_people import BY_SESSION
from rackwright.seal import key_id, public_key
from rackwright.trouble import Refusal
from rackwright.work.gates import no
from rackwright.work.keeping.shop_folder import SIGNERS, seed_of, write_whole

__all__ = [
    "CODE",
    "PASSWORD",
    "PIN",
    "SALT",
    "SECRET",
    "SHOP_KEY",
    "SIGN_IN",
    "TAP",
    "first_of_all",
    "keep",
    "signature",
    "weakness",
]

PIN, PASSWORD, CODE, SHOP_KEY = "pin", "password", "code", "shop key"
OWN = (PIN, PASSWORD)
SECRET = "secret"  # the act of setting a PIN or password: the only one that a one-time code signs
SIGN_IN = "sign_in"  # no event: a person sits down at a page
BY_PASSWORD = frozenset({"person", "signatures", "code", SIGN_IN})  # who may act at all
TAP = "label"  # at the saw one signature a visit, then one tap a piece
FREE, MOST_MINUTES = 5, 60  # wrong ones without waiting; then 1, 2, 4 ... minutes. Common practice, no source
SALT = 16  # bytes of chance in each verifier (RFC 9106, section 3.1)
LEAST_PASSWORD, MOST_PASSWORD = (
    15,
    256,
)  # NIST SP 800-63B-4 asks for 15 where it stands alone, and to allow 64 (memory)
COMMON = frozenset(
    {"passwordpassword", "password1234567", "123456789012345", "1234567890123456", "qwertyuiopasdfgh"}
)


def signature(
    state: State, name: str, act: str, secret: str, home: Path, at: str, session: str = ""
) -> str | Refusal:
    """By what the person is known at this act (pin, password, code, shop key, session), "" by name only where that is
    enough.

    `home` is the folder of the record, `at` the time of the act. `session`: the hash of the verifier by which the
    person was known when the visit began; it signs a tap until the person has another or has left. Somebody who is not
    of the shop is left to the gates.
    """
    person = state.persons.get(name)
    if person is None or not person.active:
        return ""
    kinds = _kinds(person, act)
    if not kinds:
        return _without(state, person, act)
    if act == SECRET and person.lead and not any(_file(home, person.secrets[one]).is_file() for one in kinds):
        return _by_key(state, person, home)
    if not secret and act == TAP and session in [person.secrets[kind] for kind in kinds]:
        return BY_SESSION
    if not secret:
        words = f"{act} is signed with the {' or '.join(kinds)} of {name}"
        return no("RW545", name, words, "give it when asked, or with --sign FILE")
    return _known_by(person, secret, kinds, home, at)


def _kinds(person: Person, act: str) -> tuple[str, ...]:
    """What this act of the person may be signed with, of what stands."""
    if act == SECRET:
        allowed: Sequence[str] = (*OWN, CODE)
    else:
        allowed = (PASSWORD,) if act in BY_PASSWORD and person.signs else OWN
    return tuple(kind for kind in allowed if kind in person.secrets)


def _without(state: State, person: Person, act: str) -> str | Refusal:
    """Nothing stands that this act could be signed with."""
    if person.signs:
        return no("RW545", person.person, f"{act} is signed with a password, and {person.person} has only a PIN",
                  "set a password: `rackwright log secret kind=password`")  # fmt: skip
    if first_of_all(state, person, act):
        return ""
    if state.signatures and first_of_all(state, person, SECRET):
        return no("RW545", person.person, f"every act is signed, and nobody of {state.shop} can sign yet",
                  "set your password first: `rackwright log secret kind=password`")  # fmt: skip
    if act == SECRET or state.signatures:
        return no("RW545", person.person, f"{person.person} has no PIN or password",
                  "have the lead give a one-time code (`rackwright log code`), and set one with it")  # fmt: skip
    return ""


def first_of_all(state: State, person: Person, act: str) -> bool:
    """A lead sets the secret from which all others come: before it nobody can sign."""
    return act == SECRET and person.lead and not any(one.signs for one in state.persons.values())


def _by_key(state: State, person: Person, home: Path) -> str | Refusal:
    """A lead whose verifiers are lost, as on another machine, is known by the shop's private key."""
    seed = seed_of(home, state.key_id)
    if seed is not None and key_id(public_key(seed)) == state.key_id:
        return SHOP_KEY
    return no("RW545", person.person, f"what {person.person} signs with is not beside the record",
              f"put back the folder {SIGNERS}/ from its copy, or the shop's private key")  # fmt: skip


def _known_by(person: Person, secret: str, kinds: Sequence[str], home: Path, at: str) -> str | Refusal:
    name = person.person
    if until := _waits(person, at):
        return no(
            "RW545", name, f"{person.wrong} wrong PINs or passwords of {name} in a row", f"wait until {until}"
        )
    lost = [kind for kind in kinds if not _file(home, person.secrets[kind]).is_file()]
    for kind in kinds:
        if kind not in lost and _fits(home, person.secrets[kind], secret):
            if kind == CODE and person.code_until < at[:10]:
                return no("RW545", name, f"the one-time code ended on {person.code_until}", "ask for another")
            return kind
    if len(lost) == len(kinds):
        return no("RW545", name, f"what {name} signs with is not beside the record", f"put back {SIGNERS}/, or have "
                  "the lead give a one-time code (`rackwright log code`)")  # fmt: skip
    return no("RW546", name, f"this is not the {' or '.join(kinds)} of {name}", "try again; a forgotten one is set "
              "anew with a one-time code of the lead's")  # fmt: skip


def _waits(person: Person, at: str) -> str:
    """The time until which a person must wait after a row of wrong secrets, "" if not."""
    if person.wrong < FREE:
        return ""
    minutes = min(MOST_MINUTES, 2 ** (person.wrong - FREE))
    until = datetime.fromisoformat(person.wrong_at) + timedelta(minutes=minutes)
    text = until.strftime("%Y-%m-%dT%H:%M:%SZ")
    return text if at < text else ""


# --- secrets and their verifiers -----------------------------------------------------------------


def weakness(kind: str, secret: str) -> str:
    """Why this is no PIN or password, "" if it is one. No kind of character is asked for (NIST SP 800-63B)."""
    if kind == PIN:
        if not re.fullmatch(r"[0-9]{4,12}", secret):
            return "a PIN has 4 to 12 digits"
        steps = {int(b) - int(a) for a, b in pairwise(secret)}
        return "its digits are all the same or run in order" if steps in ({0}, {1}, {-1}) else ""
    if not LEAST_PASSWORD <= len(secret) <= MOST_PASSWORD:
        return f"a password has {LEAST_PASSWORD} to {MOST_PASSWORD} characters; a few words will do"
    if secret.lower() in COMMON or len(set(secret)) < 4:
        return "it is among the first that anybody would try"
    return ""


def keep(home: Path, secret: str, salt: bytes) -> str:
    """Write the verifier of a secret beside the record; its SHA-256. Raises Stopped (RW002)."""
    from argon2 import PasswordHasher

    verifier = PasswordHasher().hash(secret, salt=salt).encode()
    name = sha256(verifier).hexdigest()
    path = _file(home, name)
    path.parent.mkdir(mode=0o700, exist_ok=True)
    write_whole(path, verifier, private=True)
    return name


def _file(home: Path, name: str) -> Path:
    return home / SIGNERS / name


@lru_cache(maxsize=64)  # a verifier is slow on purpose; the acts of one command are signed by one secret
def _fits(home: Path, name: str, secret: str) -> bool:
    from argon2 import PasswordHasher
    from argon2.exceptions import Argon2Error, InvalidHashError

    try:
        verifier = _file(home, name).read_bytes()
        return sha256(verifier).hexdigest() == name and PasswordHasher().verify(verifier, secret)
    except (Argon2Error, InvalidHashError, OSError):
        return False

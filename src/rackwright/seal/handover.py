"""The shop's keys over the years: one hands over to the next, and one may be revoked.

A handover (`rackwright/handover/1`) is signed by the old key *and* by the new one (Ed25519, RFC 8032) over the same
canonical JSON. The old key's signature leads a reader who knows it on to the new one. The new key's leads a reader who
knows only that back to the old one: without it a stranger could "hand over" a key of his own to the shop's, and what he
signed would hold. A reader follows the handovers one way, on or back, never both: a key to which a lost key was handed
over twice is reached from neither side.

A revocation (`rackwright/revocation/1`) says from which size of the record on heads of a key are believed no more. It
is signed by a key that the revoked one handed over to. The size in a head is what its signer wrote: a thief may write a
small one, and only the record shows that such a head is not among its own; that is the audit's to compare.

`keys.json` (`rackwright/keys/1`) beside a dossier holds both, for `verify`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rackwright.seal.canonical import MAX_INT, Malformed, canonical, read_canonical
from rackwright.seal.keys import check_signature, is_demo, is_hex, key_id, public_key, sign
from rackwright.trouble import Fault, Stopped, Where

__all__ = [
    "KEYS_FILE",
    "Handover",
    "Revocation",
    "Trust",
    "hand_over",
    "read_handover",
    "read_keys",
    "read_revocation",
    "revoke",
    "trust_beside",
    "write_keys",
]

HANDOVER, REVOCATION, KEYS = "rackwright/handover/1", "rackwright/revocation/1", "rackwright/keys/1"
KEYS_FILE = "keys.json"


@dataclass(frozen=True)
class Handover:
    """From one public key to the next, made when the record had `size` events. Keys and signatures in hex."""

    from_key: str
    to_key: str
    size: int
    at: str
    from_signature: str = ""
    to_signature: str = ""

    @property
    def old(self) -> str:
        """The id of the key that hands over."""
        return key_id(bytes.fromhex(self.from_key))

    @property
    def new(self) -> str:
        return key_id(bytes.fromhex(self.to_key))

    def holds(self) -> bool:
        """Signed by both keys, of which neither is the DEMO key: everyone can sign with that."""
        signed = canonical(self._signed())
        pairs = ((self.from_key, self.from_signature), (self.to_key, self.to_signature))
        return self.from_key != self.to_key and all(
            not is_demo(bytes.fromhex(key))
            and check_signature(bytes.fromhex(key), bytes.fromhex(own), signed)
            for key, own in pairs
        )

    def to_json(self) -> dict[str, Any]:
        return {
            **self._signed(),
            "from_signature": self.from_signature,
            "to_signature": self.to_signature,
        }

    def _signed(self) -> dict[str, Any]:
        return {
            "format": HANDOVER,
            "from_key": self.from_key,
            "to_key": self.to_key,
            "size": self.size,
            "at": self.at,
        }


@dataclass(frozen=True)
class Revocation:
    """Heads of more than `size` events that this key signed are not believed; `public` signs it, for `by`."""

    key_id: str
    size: int
    at: str
    reason: str
    by: str
    public: str
    signature: str = ""

    @property
    def signer(self) -> str:
        """The id of the key that signed this."""
        return key_id(bytes.fromhex(self.public))

    @property
    def words(self) -> str:
        return f"revoked from event {self.size + 1} on by {self.by}: {self.reason}"

    def holds(self) -> bool:
        public, signature = bytes.fromhex(self.public), bytes.fromhex(self.signature)
        return check_signature(public, signature, canonical(self._signed()))

    def to_json(self) -> dict[str, Any]:
        return {**self._signed(), "signature": self.signature}

    def _signed(self) -> dict[str, Any]:
        return {
            "format": REVOCATION, "key_id": self.key_id, "size": self.size, "at": self.at, "reason": self.reason,
            "by": self.by, "public": self.public,
        }  # fmt: skip


@dataclass(frozen=True)
class Trust:
    """Which keys are one shop's, and from when on one is not. `of` makes one of what holds."""

    handovers: tuple[Handover, ...] = ()
    revocations: tuple[Revocation, ...] = ()

    @staticmethod
    def of(handovers: Iterable[Handover], revocations: Iterable[Revocation] = ()) -> Trust:
        """With only those that hold: a revocation by the revoked key itself or one that its handovers lead to."""
        sound = Trust(tuple(each for each in handovers if each.holds()))
        kept = [each for each in revocations if each.holds() and sound.leads(each.key_id, each.signer)]
        return Trust(sound.handovers, tuple(kept))

    def joins(self, trusted: str, key: str) -> bool:
        """Is `key` the trusted one, or joined to it by handovers, on or back? Both are key ids."""
        return self.leads(trusted, key) or self.leads(key, trusted)

    def leads(self, old: str, new: str) -> bool:
        """Do handovers lead from the one key to the other? One who handed over twice leads nowhere."""
        seen, here = {old}, old
        while here != new:
            on = {each.new for each in self.handovers if each.old == here and not self._late(each)}
            if len(on) != 1 or on & seen:
                return False
            here = on.pop()
            seen.add(here)
        return True

    def revoked(self, key: str) -> Revocation | None:
        """The revocation of this key that begins first."""
        return min(
            (each for each in self.revocations if each.key_id == key), key=lambda one: one.size, default=None
        )

    def doubt(self, trusted: str | None, key: str, size: int) -> str:
        """Why a head of `size` events that `key` signed is not believed; "" where it is."""
        if trusted is not None and not self.joins(trusted, key):
            return f"signed by key {key}, not by the trusted key {trusted} nor one that handovers join to it"
        gone = self.revoked(key)
        return f"signed by key {key} over {size} events, {gone.words}" if gone and size > gone.size else ""

    def _late(self, handover: Handover) -> bool:
        gone = self.revoked(handover.old)
        return gone is not None and handover.size > gone.size


def hand_over(old: bytes, new: bytes, size: int, at: str) -> Handover:
    """From the key of one seed to that of another, at a record of `size` events."""
    bare = Handover(public_key(old).hex(), public_key(new).hex(), size, at)
    signed = canonical(bare._signed())
    return Handover(bare.from_key, bare.to_key, size, at, sign(old, signed).hex(), sign(new, signed).hex())


def revoke(key: str, size: int, at: str, reason: str, by: str, seed: bytes) -> Revocation:
    """The key id `key` signs nothing beyond `size` events, says who holds the key of `seed`."""
    bare = Revocation(key, size, at, reason, by, public_key(seed).hex())
    return Revocation(key, size, at, reason, by, bare.public, sign(seed, canonical(bare._signed())).hex())


# --- reading and writing -------------------------------------------------------------------------


def read_handover(value: Any, place: str = "") -> Handover:
    """From its JSON value. Raises Malformed; does not check the signatures."""
    hexes = {"from_key": 32, "to_key": 32, "from_signature": 64, "to_signature": 64}
    _checked(value, place, HANDOVER, hexes, ("at",))
    return Handover(**{name: value[name] for name in value if name != "format"})


def read_revocation(value: Any, place: str = "") -> Revocation:
    """From its JSON value. Raises Malformed; does not check the signature."""
    _checked(value, place, REVOCATION, {"key_id": 32, "public": 32, "signature": 64}, ("at", "reason", "by"))
    return Revocation(**{name: value[name] for name in value if name != "format"})


def _checked(value: Any, place: str, format: str, hexes: Mapping[str, int], texts: tuple[str, ...]) -> None:
    names = {"format", "size", *hexes, *texts}
    if not isinstance(value, dict) or set(value) != names:
        raise Malformed(place, f"must have exactly the fields {', '.join(sorted(names))}")
    if value["format"] != format:
        raise Malformed(f"{place}/format", f"{value['format']!r:.60} where {format} must stand")
    for name, length in hexes.items():
        if not is_hex(value[name], length):
            raise Malformed(f"{place}/{name}", f"not {length} bytes in lower-case hex")
    for name in texts:
        if not isinstance(value[name], str):
            raise Malformed(f"{place}/{name}", "not a text")
    size = value["size"]
    if not isinstance(size, int) or isinstance(size, bool) or not 0 <= size <= MAX_INT:
        raise Malformed(f"{place}/size", "not a number of events")


def write_keys(trust: Trust) -> bytes:
    """The bytes of `keys.json`."""
    body = {
        "format": KEYS,
        "handovers": [each.to_json() for each in trust.handovers],
        "revoked": [each.to_json() for each in trust.revocations],
    }
    return canonical(body) + b"\n"


def read_keys(data: bytes, file: str = KEYS_FILE) -> tuple[Trust, list[Fault]]:
    """What a `keys.json` says and holds by its signatures, or why it is none (RW604)."""
    try:
        value = read_canonical(data.removesuffix(b"\n"))
        if not isinstance(value, dict) or set(value) != {"format", "handovers", "revoked"}:
            raise Malformed("", "must have exactly the fields format, handovers, revoked")
        if value["format"] != KEYS:
            raise Malformed("/format", f"{value['format']!r:.60} where {KEYS} must stand")
        for name in ("handovers", "revoked"):
            if not isinstance(value[name], list):
                raise Malformed(f"/{name}", "not a list")
        handovers = [read_handover(each, f"/handovers/{n}") for n, each in enumerate(value["handovers"])]
        revoked = [read_revocation(each, f"/revoked/{n}") for n, each in enumerate(value["revoked"])]
    except Malformed as error:
        do = "get the file again from the shop, or take it away"
        return Trust(), [
            Fault("RW604", Where(file, 0, error.place), f"not a list of keys: {error.found}", do)
        ]
    return Trust.of(handovers, revoked), []


def trust_beside(pdf: Path, read: Callable[[Path], bytes]) -> Trust:
    """What the `keys.json` beside a dossier says, if there is one; `read` gets its bytes. Raises Stopped (RW604)."""
    path = pdf.with_name(KEYS_FILE)
    if not path.exists():
        return Trust()
    trust, faults = read_keys(read(path), str(path))
    if faults:
        raise Stopped(faults)
    return trust

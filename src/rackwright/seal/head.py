"""A tree head: how many events a record holds and the root over them; and its signed form.

A signed head (`rackwright/head/1`) leaves the building on every dossier, traveler and label run. The
record can later be compared with the highest head ever seen outside: a cut tail, a rewritten history
and a fork are then visible, which a bare chain of hashes cannot show. The signature covers the
canonical JSON of all other fields; `at` is when the shop says it signed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rackwright.seal.canonical import MAX_INT, Malformed, canonical
from rackwright.seal.keys import check_signature, is_hex, key_id, public_key, sign
from rackwright.seal.merkle import EMPTY_ROOT

__all__ = ["FORMAT", "Head", "SignedHead", "read_signed_head", "sign_head"]

FORMAT = "rackwright/head/1"


@dataclass(frozen=True, order=True)
class Head:
    """`size` events, `root` in hex."""

    size: int = 0
    root: str = EMPTY_ROOT.hex()

    def __str__(self) -> str:
        return f"{self.size} events, root {self.root[:16]}…"


@dataclass(frozen=True)
class SignedHead:
    head: Head
    at: str
    public: str  # hex
    signature: str  # hex

    @property
    def key_id(self) -> str:
        return key_id(bytes.fromhex(self.public))

    @property
    def words(self) -> str:
        """The line that a paper carries: size, and the starts of root and key id."""
        return f"{self.head.size} events, root {self.head.root[:16]}, key {self.key_id[:16]}"

    def to_json(self) -> dict[str, Any]:
        return {**self._signed(), "signature": self.signature}

    def holds(self) -> bool:
        """Is the signature that of the public key named here?"""
        public, signature = bytes.fromhex(self.public), bytes.fromhex(self.signature)
        return check_signature(public, signature, canonical(self._signed()))

    def _signed(self) -> dict[str, Any]:
        return {
            "format": FORMAT, "at": self.at, "size": self.head.size, "root": self.head.root,
            "public": self.public,
        }  # fmt: skip


def sign_head(head: Head, at: str, seed: bytes) -> SignedHead:
    unsigned = SignedHead(head, at, public_key(seed).hex(), "")
    return SignedHead(head, at, unsigned.public, sign(seed, canonical(unsigned._signed())).hex())


def read_signed_head(value: Any, place: str = "") -> SignedHead:
    """A signed head from its JSON value. Raises Malformed; does not check the signature."""
    wanted = {"format", "at", "size", "root", "public", "signature"}
    if not isinstance(value, dict) or set(value) != wanted:
        raise Malformed(place, f"a signed head has the fields {', '.join(sorted(wanted))}")
    if value["format"] != FORMAT:
        raise Malformed(f"{place}/format", f"{value['format']!r:.60} where {FORMAT} must stand")
    if not isinstance(value["at"], str):
        raise Malformed(f"{place}/at", "not a text")
    size = value["size"]
    if not isinstance(size, int) or isinstance(size, bool) or not 0 <= size <= MAX_INT:
        raise Malformed(f"{place}/size", "not a number of events")
    for name, length in (("root", 32), ("public", 32), ("signature", 64)):
        if not is_hex(value[name], length):
            raise Malformed(f"{place}/{name}", f"not {length} bytes in lower-case hex")
    return SignedHead(Head(size, value["root"]), value["at"], value["public"], value["signature"])

"""The signed head that travelers and label runs carry out of the building, so that paper witnesses the record.

The paper shows size and the starts of root and key id, which a person can compare; the whole head (RFC 9162 root,
Ed25519) lies beside it as `NAME.head`, for audits, and is recorded where somebody says that the paper goes out.
"""

from __future__ import annotations

from rackwright.record import Appended, Record, Refs, State
from rackwright.seal import SignedHead, canonical, read_canonical, sign_head
from rackwright.trouble import Refusal
from rackwright.work.gates import of_the_shop
from rackwright.work.station import Draft, Station, perform

__all__ = ["head_file", "record_head", "witness_of"]


def witness_of(record: Record, seed: bytes, date: str) -> SignedHead:
    """The record's head as it is now, signed."""
    return sign_head(record.head(), f"{date}T00:00:00Z", seed)


def head_file(witness: SignedHead) -> bytes:
    """The bytes of `NAME.head`."""
    return canonical(witness.to_json()) + b"\n"


def record_head(station: Station, data: bytes, paper: str, act_id: str = "") -> Appended:
    """The paper of this name left the building with the head of these bytes. Raises Stopped (RW516)."""

    def decide(state: State) -> list[Draft] | Refusal:
        body = {"head": read_canonical(data.removesuffix(b"\n")), "paper": paper}
        return of_the_shop(state, station.person) or [Draft("head", body, Refs())]

    return perform(station, "head", decide, act_id)

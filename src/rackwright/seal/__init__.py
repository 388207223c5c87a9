"""Hashes, the Merkle tree, signatures and the offline verification of a dossier.

    canonical.py  one value, one sequence of bytes (RFC 8785 without floats)
    merkle.py     the tree over events, inclusion and consistency proofs (RFC 9162)
    keys.py       Ed25519 keys and their ids
    head.py       a tree head (size, root) and its signed form
    handover.py   one key hands over to the next, or is revoked; `keys.json`
    dossier.py    `SERIAL.seal`: made, read, verified, two of them compared
    standalone.py `verify.pyz`, all of this as one file for whoever receives a dossier

May import: units, trouble. Needs the standard library and one cryptography package, so that a
dossier can be verified in decades. A new check of a dossier goes into `dossier.py`.
"""

from rackwright.seal.canonical import Malformed, canonical, read_canonical
from rackwright.seal.dossier import Check, Seal, compare, make_seal, read_seal, verify
from rackwright.seal.handover import (
    Handover,
    Revocation,
    Trust,
    hand_over,
    read_handover,
    read_keys,
    read_revocation,
    revoke,
    write_keys,
)
from rackwright.seal.head import Head, SignedHead, read_signed_head, sign_head
from rackwright.seal.keys import (
    DEMO_SEED,
    is_demo,
    key_id,
    new_seed,
    public_key,
    read_key,
    trusted,
    write_key,
    write_public_key,
)
from rackwright.seal.merkle import Peaks, Tree, leaf_hash, verify_consistency, verify_inclusion

__all__ = [
    "DEMO_SEED",
    "Check",
    "Handover",
    "Head",
    "Malformed",
    "Peaks",
    "Revocation",
    "Seal",
    "SignedHead",
    "Tree",
    "Trust",
    "canonical",
    "compare",
    "hand_over",
    "is_demo",
    "key_id",
    "leaf_hash",
    "make_seal",
    "new_seed",
    "public_key",
    "read_canonical",
    "read_handover",
    "read_key",
    "read_keys",
    "read_revocation",
    "read_seal",
    "read_signed_head",
    "revoke",
    "sign_head",
    "trusted",
    "verify",
    "verify_consistency",
    "verify_inclusion",
    "write_key",
    "write_keys",
    "write_public_key",
]

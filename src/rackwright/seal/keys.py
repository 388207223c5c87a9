"""Ed25519 keys (RFC 8032). A key's id is the SHA-256 of its 32 public bytes, in hex.

A shop's private key is its 32-byte seed. The DEMO seed is made from a public sentence: whatever it
signs is marked DEMO, proves that nothing was altered by accident, and proves nothing about who signed.
The cryptography package is imported late, so that hashing and the tree work without it.
"""

from __future__ import annotations

import re
import secrets
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

from rackwright.trouble import Fault, Stopped, Where

__all__ = [
    "DEMO_SEED",
    "check_signature",
    "is_demo",
    "is_hex",
    "key_id",
    "new_seed",
    "public_key",
    "read_key",
    "read_public_key",
    "sign",
    "trusted",
    "write_key",
    "write_public_key",
]

DEMO_SEED = sha256(b"rackwright DEMO key: known to everyone, proves nothing about who signed").digest()
_FORMAT, _PUBLIC = "rackwright/key/1", "rackwright/public-key/1"


def new_seed() -> bytes:
    """A new private key from the operating system's random source."""
    return secrets.token_bytes(32)


def public_key(seed: bytes) -> bytes:
    private: bytes = _ed25519().Ed25519PrivateKey.from_private_bytes(seed).public_key().public_bytes_raw()
    return private


def key_id(public: bytes) -> str:
    return sha256(public).hexdigest()


def is_demo(public: bytes) -> bool:
    return public == public_key(DEMO_SEED)


def sign(seed: bytes, message: bytes) -> bytes:
    signature: bytes = _ed25519().Ed25519PrivateKey.from_private_bytes(seed).sign(message)
    return signature


def check_signature(public: bytes, signature: bytes, message: bytes) -> bool:
    key = _ed25519().Ed25519PublicKey
    try:
        key.from_public_bytes(public).verify(signature, message)
    except Exception as error:  # InvalidSignature, or a public key that is no point of the curve
        if type(error).__name__ in ("InvalidSignature", "ValueError"):
            return False
        raise
    return True


def is_hex(text: Any, size: int) -> bool:
    """Is this exactly `size` bytes in lower-case hex? (Upper case would be a second spelling.)"""
    return isinstance(text, str) and re.fullmatch(rf"[0-9a-f]{{{2 * size}}}", text) is not None


def write_key(seed: bytes) -> str:
    """The text of a key file: format line, key id (not secret), seed (secret)."""
    return f"{_FORMAT}\nid {key_id(public_key(seed))}\nseed {seed.hex()}\n"


def read_key(text: str, file: str = "key") -> tuple[bytes | None, list[Fault]]:
    """The seed of a key file, or why it is none (RW604)."""
    match = re.fullmatch(rf"{_FORMAT}\nid ([0-9a-f]{{64}})\nseed ([0-9a-f]{{64}})\n?", text)
    if match is None:
        return None, [Fault("RW604", Where(file), "not a key file", f"give a {_FORMAT} file")]
    seed = bytes.fromhex(match[2])
    if key_id(public_key(seed)) != match[1]:
        return None, [
            Fault("RW604", Where(file, 2), "the id is not the id of this seed", "get the key again")
        ]
    return seed, []


def write_public_key(public: bytes) -> str:
    """The text of a public key file, for whoever receives dossiers: format line, key id, the 32 bytes. No secret."""
    return f"{_PUBLIC}\nid {key_id(public)}\npublic {public.hex()}\n"


def read_public_key(text: str, file: str = "key") -> tuple[str | None, list[Fault]]:
    """The key id of a public key file, or why it is none (RW604)."""
    match = re.fullmatch(rf"{_PUBLIC}\r?\nid ([0-9a-f]{{64}})\r?\npublic ([0-9a-f]{{64}})(\r?\n)?", text)
    if match is not None:
        if key_id(bytes.fromhex(match[2])) == match[1]:
            return match[1], []
        do = "get the file again, and compare its id by telephone"
        return None, [Fault("RW604", Where(file, 2), "the id is not the id of this public key", do)]
    secret = text.startswith(f"{_FORMAT}\n")
    found = "this is the private key, which leaves the shop never" if secret else "not a public key file"
    return None, [
        Fault("RW604", Where(file), found, f"give the shop's {_PUBLIC} file, or the 64 digits of its id")
    ]


def trusted(given: str, read: Callable[[Path], bytes]) -> str:
    """The key id that a person gives: as it is, or that of the public key file of this name.

    Raises Stopped (RW604), and what `read` raises.
    """
    if is_hex(given, 32):
        return given
    path = Path(given)
    if not path.is_file():
        found = f"{given!r:.80} is no key id, and no file is called so"
        raise Stopped(
            [Fault("RW604", Where("key"), found, "give its 64 hex digits, or the shop's public key file")]
        )
    id, faults = read_public_key(read(path).decode("utf-8", "replace"), given)
    if id is None:
        raise Stopped(faults)
    return id


def _ed25519() -> Any:
    try:
        from cryptography.hazmat.primitives.asymmetric import ed25519
    except ImportError:
        raise Stopped(
            [Fault("RW603", Where("cryptography"), "the cryptography package is not installed",
                   "install it: pip install cryptography")]
        ) from None  # fmt: skip
    return ed25519

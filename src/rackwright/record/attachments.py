"""Files beside the record (certificates, photos, frozen texts), each named by its SHA-256.

A name that exists is a whole file (`durable.py`). A file is stored before the event that names it.
"""

from __future__ import annotations

import re
from hashlib import sha256
from pathlib import Path

from rackwright.record.durable import cannot_write, write_whole
from rackwright.trouble import Fault, Refusal, Stopped, Where

__all__ = ["get", "put"]


def put(folder: Path, data: bytes) -> str:
    """Keep the bytes; their SHA-256 in hex. Raises Stopped (RW501) where they cannot be written."""
    name = sha256(data).hexdigest()
    target = folder / name
    try:
        if not (target.is_file() and target.read_bytes() == data):
            folder.mkdir(parents=True, exist_ok=True)
            write_whole(target, data)
    except OSError as error:
        raise Stopped([cannot_write("RW501", target, error, "check the disk and the folder")]) from error
    return name


def get(folder: Path, name: str) -> bytes:
    """The bytes of this SHA-256. Raises Stopped (RW507) where they are missing or altered."""
    path = folder / name
    if not re.fullmatch(r"[0-9a-f]{64}", name):
        raise Stopped([Fault("RW507", Where(name[:80]), "not a SHA-256", "give 64 lower-case hex digits")])
    try:
        data = path.read_bytes()
    except OSError:
        raise _gone(path, "the file is missing") from None
    if sha256(data).hexdigest() != name:
        raise _gone(path, "the file was altered")
    return data


def _gone(path: Path, found: str) -> Stopped:
    return Stopped([Refusal("RW507", Where(str(path)), found, "restore it from backup")])

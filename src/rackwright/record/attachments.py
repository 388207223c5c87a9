"""Files beside the record (certificates, photos, frozen texts), each named by its SHA-256.

Written beside under another name, synced, renamed, folder synced: a name that exists is a whole file.
A file is stored before the event that names it.
"""

from __future__ import annotations

import os
import re
from hashlib import sha256
from pathlib import Path
from secrets import token_hex

from rackwright.trouble import Fault, Refusal, Stopped, Where

__all__ = ["get", "put", "sync_folder"]


def put(folder: Path, data: bytes) -> str:
    """Keep the bytes; their SHA-256 in hex. Raises Stopped (RW501) where they cannot be written."""
    name = sha256(data).hexdigest()
    target, beside = folder / name, folder / f".{name[:16]}.{token_hex(4)}.new"
    try:
        if target.is_file() and target.read_bytes() == data:
            return name
        folder.mkdir(parents=True, exist_ok=True)
        with open(beside, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.rename(target)
        sync_folder(folder)
    except OSError as error:
        beside.unlink(missing_ok=True)
        raise Stopped(
            [
                Fault(
                    "RW501",
                    Where(str(target)),
                    f"cannot be written: {error}",
                    "check the disk and the folder",
                )
            ]
        ) from error
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


def sync_folder(folder: Path) -> None:
    """Make a rename in this folder survive a power cut (where the system can sync a folder)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _gone(path: Path, found: str) -> Stopped:
    return Stopped([Refusal("RW507", Where(str(path)), found, "restore it from backup")])

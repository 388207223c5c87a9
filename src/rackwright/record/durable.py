"""Files and folders that survive a power cut: under its name stands the whole one, the old or the new, or none.

Written beside under another name, synced, renamed, the folder synced. A rename without the sync before it may
leave an empty file after a cut; a rename without the sync of the folder may be forgotten.
"""

from __future__ import annotations

import errno
import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from secrets import token_hex

from rackwright.trouble import Failure, Fault, Stopped, Trouble, Where

__all__ = ["cannot_write", "folder_made", "put_in_place", "write_whole"]

#: what the disk says when it is full or failing, whoever asks and wherever
_FAILING = (errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EROFS)


def write_whole(path: Path, data: bytes, private: bool = False) -> None:
    """Write a file whole or not at all. `private`: only its owner may read it. Raises OSError, ValueError.

    What stood there before is there until the new file is whole; nothing half-written is left behind.
    """
    if path.exists() and not path.is_file():  # a device or pipe would be replaced, and a folder cannot be
        raise OSError(
            errno.EISDIR if path.is_dir() else errno.EINVAL,
            "Is a directory" if path.is_dir() else "Is no file",
        )
    # 255 bytes a name: 60 characters of four bytes and what is put around them fit in
    beside = path.with_name(f".{path.name[:60]}.{token_hex(4)}.new")
    try:
        handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600 if private else 0o666)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(beside, path)
        _sync_folder(path.parent)
    except (OSError, ValueError):
        _forget(beside)
        raise


def put_in_place(made: Path, path: Path) -> None:
    """Give a file or folder that was made and synced under another name its own. Raises OSError."""
    os.replace(made, path)
    _sync_folder(path.parent)


@contextmanager
def folder_made(path: Path) -> Iterator[Path]:
    """The name of a folder beside, for whoever makes and fills it; when all went well it stands at `path`, synced.

    `path` is missing or an empty folder. Nothing half-made is left behind. Raises Stopped: RW001 something stands
    there already, or it is the folder one stands in; RW002 it cannot be written.
    """
    building = path.parent / f".{path.name}.new"
    try:
        if path.exists() and (not path.is_dir() or any(path.iterdir())):
            raise _not_there(path, "something stands there already")
        if not path.name:
            raise _not_there(path, "a folder cannot be made where one stands in it")
        shutil.rmtree(building, ignore_errors=True)  # of one that was cut off
        building.parent.mkdir(parents=True, exist_ok=True)
        yield building
        _sync_tree(building)
        if path.exists():
            path.rmdir()
        put_in_place(building, path)
    except OSError as error:
        raise Stopped([cannot_write("RW002", path, error, "give a folder of yours")]) from None
    finally:
        shutil.rmtree(building, ignore_errors=True)


def _not_there(path: Path, found: str) -> Stopped:
    do = "give a folder that is empty or not there yet"
    return Stopped([Fault("RW001", Where(str(path)), found, do)])


def _sync_folder(folder: Path) -> None:
    """Make a rename in this folder survive a power cut (where the system can sync a folder)."""
    if os.name == "posix":
        _sync(folder)


def _sync_tree(folder: Path) -> None:
    """Everything below a folder onto the disk, whoever wrote it there. Raises OSError."""
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            _sync(path)
        elif path.is_dir():
            _sync_folder(path)
    _sync_folder(folder)


def cannot_write(code: str, path: Path, error: Exception, do: str) -> Trouble:
    """The trouble of a file that could not be written: a Failure where the disk is full or failing."""
    words = (getattr(error, "strerror", None) or str(error)).lower()
    if isinstance(error, OSError) and error.errno in _FAILING:
        safe = (
            "free or mend the disk, then do it again: nothing half-written is left, what was recorded is safe"
        )
        return Failure(code, Where(str(path)), f"the disk failed: {words}", safe)
    return Fault(code, Where(str(path)), f"cannot be written: {words}", do)


def _sync(path: Path) -> None:
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _forget(path: Path) -> None:
    """Take a half-written file away, where it came to be at all."""
    try:
        os.unlink(path)
    except (OSError, ValueError):
        return

"""Files named on the command line: their bytes, or the trouble that keeps them from being read."""

from __future__ import annotations

import sys
from pathlib import Path

from rackwright.located import MAX_BYTES
from rackwright.trouble import Fault, Stopped, Where

__all__ = ["read_bytes"]


def read_bytes(path: str | Path, limit: int = MAX_BYTES) -> bytes:
    """All bytes of a file, or of standard input for `-`.

    Never reads more than `limit` bytes. Raises Stopped with RW002 (missing, a folder, not permitted) or
    RW005 (larger than `limit`).
    """
    name = str(path)
    try:
        if name == "-":
            data = sys.stdin.buffer.read(limit + 1)
        else:
            with open(path, "rb") as file:
                data = file.read(limit + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL character in the path
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise Stopped([Fault("RW002", Where(name), what.lower(), "give a file that can be read")]) from None
    if len(data) > limit:
        found, do = f"more than {limit} bytes", f"at most {limit} are read"
        raise Stopped([Fault("RW005", Where(name), found, do)])
    return data

"""What the program did, one JSON object a line, for whoever keeps the computers: RACKWRIGHT_LOG=FILE, - for stderr.

It is no record and proves nothing. Commands, exit codes, trouble codes with file and line, numbers and types of events
stand in it; never values, secrets or people's names. Lines are appended whole, so stations may
share a file. A log that cannot be written is told once and stops nobody.
"""

from __future__ import annotations

import json
import logging
import os
import sys
from datetime import UTC, datetime
from typing import Any

__all__ = ["begin", "did"]

_log = logging.getLogger("rackwright")
_log.addHandler(logging.NullHandler())  # where nobody asks, the library would write warnings to stderr itself


def begin() -> None:
    """Write to where the environment says, if it says so. Asked again, the place may be another."""
    for handler in [one for one in _log.handlers if not isinstance(one, logging.NullHandler)]:
        _log.removeHandler(handler)
        handler.close()
    place = os.environ.get("RACKWRIGHT_LOG", "")
    if not place:
        return
    try:
        handler = _ToStream(sys.stderr) if place == "-" else _ToFile(place, encoding="ascii")
    except OSError as error:
        _silent(error)
        return
    handler.setFormatter(_Line())
    _log.addHandler(handler)
    _log.setLevel(logging.INFO)
    _log.propagate = False


def did(what: str, level: int = logging.INFO, **held: Any) -> None:
    """Something of a command, with what belongs to it."""
    _log.log(level, what, extra={"held": held})


class _Line(logging.Formatter):
    def format(self, record: logging.LogRecord) -> str:
        at = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        held = {"at": at, "level": record.levelname.lower(), "from": record.name, "process": record.process,
                "what": record.getMessage(), **getattr(record, "held", {})}  # fmt: skip
        return json.dumps(
            held, allow_nan=False, default=str
        )  # ASCII: nothing in it turns a line around or ends it


class _Quiet(logging.Handler):
    def handleError(self, record: logging.LogRecord) -> None:
        _log.removeHandler(self)
        _silent(sys.exc_info()[1])


class _ToStream(_Quiet, logging.StreamHandler[Any]):
    pass


class _ToFile(_Quiet, logging.FileHandler):
    pass


def _silent(error: BaseException | None) -> None:
    print(f"RACKWRIGHT_LOG: nothing is logged: {error}", file=sys.stderr)

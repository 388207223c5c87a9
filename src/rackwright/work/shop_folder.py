"""A shop's folder: where its record, its key and its papers lie, and a station that acts in it.

    DIR/shop.toml  standards/  variations/  stock.toml  record.db  attachments/  papers/  shop.key

The private key stands beside the record, never in it, and goes into no backup. This module needs no engineering
library until somebody acts: a record is listed, traced and audited where only the record's own needs are met.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

from rackwright import record as records
from rackwright.record import Event, Record, durable
from rackwright.seal import key_id, public_key, read_key
from rackwright.trouble import Fault, Stopped, Where

if TYPE_CHECKING:
    from rackwright.work.station import Station

__all__ = ["KEY", "PAPERS", "RECORD", "folder_of", "new_id", "now", "open_record", "open_station", "seed_of",
           "trusted_key", "write_whole"]  # fmt: skip

SHOP_FILE, RECORD, KEY, PAPERS = "shop.toml", "record.db", "shop.key", "papers"
ENVIRONMENT = "RACKWRIGHT_SHOP"


def folder_of(explicit: str | Path | None = None) -> Path:
    """The folder given, else the nearest one from here upwards with a shop.toml, else the environment's.

    Raises Stopped (RW002) where there is none.
    """
    if explicit is not None:
        return Path(explicit)
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / SHOP_FILE).is_file():
            return Path() if folder == here else folder
    if named := os.environ.get(ENVIRONMENT):
        return Path(named)
    do = f"give --shop DIR, work below a folder with {SHOP_FILE}, or set {ENVIRONMENT}"
    raise Stopped([Fault("RW002", Where(SHOP_FILE), "no shop folder was found", do)])


def open_record(folder: str | Path) -> Record:
    """The shop's record. Raises Stopped (RW501) where there is none."""
    return records.open(Path(folder) / RECORD)


def open_station(folder: str | Path, by: str) -> Station:
    """A station at the shop's record with the real clock and fresh act ids. Close its record when done."""
    from rackwright.work.station import Station

    return Station(open_record(folder), by, now, new_id)


def write_whole(path: Path, data: bytes, private: bool = False) -> None:
    """Write a file whole or not at all (`record.durable`). Raises Stopped (RW002) where it cannot be written."""
    try:
        durable.write_whole(path, data, private)
    except (OSError, ValueError) as error:
        raise Stopped(
            [durable.cannot_write("RW002", path, error, "give a file in a folder of yours")]
        ) from None


def now() -> str:
    """UTC, as events have it."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def new_id() -> str:
    return str(uuid4())


def seed_of(folder: str | Path) -> bytes | None:
    """The shop's private key; None where it lies elsewhere. Raises Stopped (RW604, RW002)."""
    path = Path(folder) / KEY
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        return None
    except (OSError, UnicodeDecodeError) as error:
        raise Stopped(
            [Fault("RW002", Where(str(path)), f"cannot be read: {error}", "mend the file")]
        ) from None
    seed, faults = read_key(text, str(path))
    if seed is None:
        raise Stopped(faults)
    return seed


def trusted_key(folder: str | Path, events: Sequence[Event]) -> str | None:
    """The id of the key that the shop signs with: of its key file, else as its founding names it."""
    seed = seed_of(folder)
    if seed is not None:
        return key_id(public_key(seed))
    founded = next((event for event in events if event.type == "found"), None)
    named = founded.body.get("key_id") if founded else None
    return named if isinstance(named, str) else None

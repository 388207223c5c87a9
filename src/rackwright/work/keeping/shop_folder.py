"""A shop's folder: where its record, its key and its papers lie.

    DIR/shop.toml  standards/  variations/  reference/  stock.toml  record.db  attachments/  papers/  shop.key

Where the shop has many stations, record.url stands in the place of record.db and names a PostgreSQL database.
The private key stands beside the record, never in it, and goes into no backup. This module needs no engineering
library until somebody acts: a record is listed, traced and audited where only the record's own needs are met.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from rackwright import record as records
from rackwright.record import Event, Record, durable, state_of
from rackwright.record.engine import FILE, URL_FILE
from rackwright.seal import key_id, public_key, read_key
from rackwright.trouble import Fault, Stopped, Where

__all__ = ["KEY", "PAPERS", "PUBLIC", "SIGNERS", "folder_of", "is_demo", "kept_apart", "kept_key", "new_place",
           "open_record", "place_of", "seed_of", "trusted_key", "write_out", "write_whole"]  # fmt: skip

SHOP_FILE, KEY, PUBLIC, PAPERS = "shop.toml", "shop.key", "shop.pub", "papers"
ENVIRONMENT, SIGNERS = "RACKWRIGHT_SHOP", "signers"
OWN = {SHOP_FILE, KEY, PUBLIC, FILE, f"{FILE}-wal", f"{FILE}-shm", URL_FILE}


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


def kept_apart(path: Path) -> bool:
    """Is a path in the shop's folder one of the record itself, or of what signs and never leaves: keys, verifiers?"""
    first = path.parts[0] if path.parts else ""
    return first in OWN - {SHOP_FILE} or first == SIGNERS or first.startswith(KEY)


def open_record(folder: str | Path) -> Record:
    """The shop's record. Raises Stopped (RW501) where there is none."""
    return records.open(place_of(folder))


def is_demo(folder: str | Path | None) -> bool:
    """Is this the folder of an invented shop, by its record? No folder or no record is none."""
    if folder is None or not place_of(folder).exists():
        return False
    with open_record(folder) as record:
        return bool(state_of(record).demo)


def place_of(folder: str | Path) -> Path:
    """The file that stands for the shop's record, there or not. Raises Stopped (RW501) where two do."""
    file, url = Path(folder) / FILE, Path(folder) / URL_FILE
    if file.exists() and url.exists():
        do = f"find out which is the shop's record (`rackwright audit`), and take the other out of {folder}"
        raise Stopped([Fault("RW501", Where(str(url)), f"a {FILE} stands beside it", do)])
    return url if url.exists() else file


@contextmanager
def new_place(folder: Path, url: str | None) -> Iterator[Path]:
    """Where a new record of this folder is to be made: in the database of the URL, which the folder then names.

    Without one, where `place_of` says. Raises Stopped (RW501) where the URL cannot be used, or a record is there.
    """
    if url is None:
        yield place_of(folder)
        return
    from rackwright.record.postgres import checked_url

    checked_url(url, Path("command line"), field="--record")
    path = folder / URL_FILE
    if place_of(folder).exists():
        do = "choose another folder"
        raise Stopped([Fault("RW501", Where(str(place_of(folder))), "this folder has a record", do)])
    folder.mkdir(parents=True, exist_ok=True)
    write_whole(path, f"{url}\n".encode())
    try:
        yield path
    except BaseException:
        path.unlink(missing_ok=True)  # a folder does not name a record that was not made
        raise


def write_whole(path: Path, data: bytes, private: bool = False) -> None:
    """Write a file whole or not at all (`record.durable`). Raises Stopped (RW002) where it cannot be written."""
    try:
        durable.write_whole(path, data, private)
    except (OSError, ValueError) as error:
        raise Stopped(
            [durable.cannot_write("RW002", path, error, "give a file in a folder of yours")]
        ) from None


def write_out(path: Path, data: bytes) -> None:
    """Write what the user asked for under a name of theirs, never over what the shop itself lives in (RW001)."""
    with suppress(OSError, ValueError):
        store = path.is_file() and path.read_bytes()[:15] == b"SQLite format 3"
        if store or _own(path.name) or _own(path.resolve().name):
            do = "choose another name: the shop lives in this file"
            raise Stopped([Fault("RW001", Where(str(path)), "this would overwrite the shop's own file", do)])
    write_whole(path, data)


def _own(name: str) -> bool:
    return name in OWN or name.startswith(f"{KEY}.")


def kept_key(folder: str | Path, id: str) -> Path:
    """Where the private key of this id is kept, whether it signs now or not."""
    return Path(folder) / f"{KEY}.{id[:16]}"


def seed_of(folder: str | Path, wanted: str = "") -> bytes | None:
    """The shop's private key, that of the id `wanted` where it is kept; None where it lies elsewhere.

    Raises Stopped (RW604, RW002)."""
    kept = kept_key(folder, wanted)
    path = kept if wanted and kept.is_file() else Path(folder) / KEY
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

"""A shop's folder as one file, and back.

The file is a zip: `manifest.json` (rackwright/backup/1: the record's head, and every file with its SHA-256 and
length), the record as its export, the files that events name, the shop's texts and its papers with their seals.
Its last 64 bytes are the SHA-256 of all before them (the comment of the zip), so that an altered byte is found
wherever it stands. The same folder gives the same bytes. The private key is not in it. Restoring compares every
file with the manifest, grows the record anew, and makes the folder whole or not at all.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from hashlib import sha256
from io import BytesIO
from pathlib import Path, PurePosixPath
from typing import Any
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo
from zlib import error as ZlibError

from rackwright.record import durable, export_lines, import_export
from rackwright.seal import Head, Malformed, canonical, read_canonical
from rackwright.trouble import Fault, Refusal, Stopped, Trouble, Where
from rackwright.work.keeping.shop_folder import PAPERS, new_place, open_record

__all__ = ["EXPORT", "Backup", "closed", "contents_of", "make_backup", "restore_backup"]

FORMAT = "rackwright/backup/1"
MANIFEST, EXPORT, ATTACHMENTS = "manifest.json", "export.jsonl", "attachments"
FOLDERS = ("standards", "variations", "reference", PAPERS)
MAX_BYTES = 8_000_000_000  # of all files together


@dataclass(frozen=True)
class Backup:
    """A backup: its bytes, the head it holds, how many files, and what could not be taken along."""

    data: bytes
    head: Head
    files: int
    troubles: tuple[Trouble, ...]


def make_backup(folder: Path) -> Backup:
    """Everything of a shop but its key. Raises Stopped: no record (RW501), or an altered event (RW505).

    A file that an event names and that is missing or altered does not stop the backup of the rest.
    """
    with open_record(folder) as record:
        head, events = record.look()
        contents = {EXPORT: b"".join(export_lines(events))}
        troubles: list[Trouble] = []
        for name in sorted({name for event in events for name in event.refs.files}):
            try:
                contents[f"{ATTACHMENTS}/{name}"] = record.get_file(name)
            except Stopped as stopped:
                troubles += stopped.troubles
    for path in _texts(folder):
        try:
            contents[path.relative_to(folder).as_posix()] = path.read_bytes()
        except OSError as error:
            found = f"cannot be read: {(error.strerror or str(error)).lower()}"
            troubles.append(
                Refusal("RW507", Where(str(path)), found, "look at the file; it is not in the backup")
            )
    return Backup(_zip(contents, head), head, len(contents), tuple(troubles))


def _texts(folder: Path) -> Iterator[Path]:
    """The shop's texts and papers; nothing hidden, no links out of the folder."""
    found = [*folder.glob("*.toml"), *(path for name in FOLDERS for path in (folder / name).rglob("*"))]
    for path in sorted(found):
        parts = path.relative_to(folder).parts
        if path.is_file() and not path.is_symlink() and not any(part.startswith(".") for part in parts):
            yield path


def _zip(contents: Mapping[str, bytes], head: Head) -> bytes:
    files = [{"name": name, "sha256": sha256(data).hexdigest(), "length": len(data)}
             for name, data in sorted(contents.items())]  # fmt: skip
    manifest = canonical({"format": FORMAT, "head": {"size": head.size, "root": head.root}, "files": files})
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED, compresslevel=6) as archive:
        for name, data in [(MANIFEST, manifest), *sorted(contents.items())]:
            entry = ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type, entry.external_attr = ZIP_DEFLATED, 0o644 << 16
            archive.writestr(entry, data)
        archive.comment = bytes(64)
    return closed(out.getvalue()[:-64])


def closed(archive: bytes) -> bytes:
    """The bytes with their SHA-256 behind them."""
    return archive + sha256(archive).hexdigest().encode()


# --- back ----------------------------------------------------------------------------------------


def restore_backup(data: bytes, file: str, folder: Path, url: str | None = None) -> Head:
    """Make the folder (missing or empty) from a backup; the head of its record, in the database of the URL if given.

    Raises Stopped: RW523 no backup (a fault) or a damaged one (a refusal), RW001 the folder holds something,
    RW002 it cannot be written, and whatever is wrong with the record inside.
    """
    contents, head = _unzip(data, file)
    with durable.folder_made(folder) as building:
        for name, content in contents.items():
            path = building / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        name = f"{file}: {EXPORT}"
        with new_place(building, url) as place, import_export(contents[EXPORT], place, name) as record:
            restored = record.head()
        (building / EXPORT).unlink()
        if restored != head:
            raise Stopped([_damaged(file, f"its record is at {restored}, the manifest names {head}")])
    return restored


def _unzip(data: bytes, file: str) -> tuple[dict[str, bytes], Head]:
    """The files of a backup, each as the manifest says."""
    try:
        with ZipFile(BytesIO(data)) as archive:
            if closed(data[:-64]) != data:
                raise Stopped([_damaged(file, "its last 64 bytes are not the SHA-256 of those before")])
            names = archive.namelist()
            if MANIFEST not in names:
                raise BadZipFile("it has no manifest")
            listed, head = _manifest(archive.read(MANIFEST))
            if sorted(names) != sorted([MANIFEST, *listed]):
                raise Stopped([_damaged(file, "it does not hold the files that its manifest names")])
            if sum(length for _, length in listed.values()) > MAX_BYTES:
                raise Stopped([_damaged(file, f"more than {MAX_BYTES} bytes")])
            contents = {}
            for name, (digest, length) in listed.items():
                if archive.getinfo(name).file_size != length:
                    raise Stopped([_damaged(file, f"{name} has not the length that the manifest names")])
                contents[name] = archive.read(name)
                if sha256(contents[name]).hexdigest() != digest:
                    raise Stopped([_damaged(file, f"{name} was altered")])
    except Malformed as error:
        raise Stopped([_damaged(file, f"its manifest cannot be read: {error.found}")]) from None
    except (BadZipFile, ZlibError, EOFError, RuntimeError, ValueError, OSError) as error:
        if data.startswith(b"PK"):
            raise Stopped([_damaged(file, f"it cannot be unpacked: {error}")]) from None
        do = "give a file written by `rackwright backup`"
        raise Stopped([Fault("RW523", Where(file), "this is not a backup", do)]) from None
    return contents, head


def contents_of(data: bytes, file: str) -> dict[str, bytes]:
    """The files of a backup by name, each as it was. Raises Stopped (RW523)."""
    return _unzip(data, file)[0]


def _manifest(data: bytes) -> tuple[dict[str, tuple[str, int]], Head]:
    """name -> (SHA-256, length), and the head. Raises Malformed."""
    value: Any = read_canonical(data)
    if (
        not isinstance(value, dict)
        or value.get("format") != FORMAT
        or set(value) != {"format", "head", "files"}
    ):
        raise Malformed("", f"it is not {FORMAT}")
    head, files = value["head"], value["files"]
    if not isinstance(head, dict) or set(head) != {"size", "root"} or not isinstance(files, list):
        raise Malformed("/head", "not a head and a list of files")
    listed: dict[str, tuple[str, int]] = {}
    for row in files:
        if (
            not isinstance(row, dict)
            or set(row) != {"name", "sha256", "length"}
            or not isinstance(row["length"], int)
        ):
            raise Malformed("/files", "a row is not name, sha256 and length")
        name = row["name"]
        if not isinstance(name, str) or not _belongs(name) or name in listed:
            raise Malformed("/files", f"{name!r:.80} is not a name that a backup holds")
        listed[name] = (row["sha256"], row["length"])
    if EXPORT not in listed:
        raise Malformed("/files", "it holds no record")
    return listed, Head(head["size"], head["root"])


def _belongs(name: str) -> bool:
    """Is this a name that `make_backup` writes, below the folder and nowhere else?"""
    parts = PurePosixPath(name).parts
    plain = not name.startswith("/") and "/".join(parts) == name and not re.search(r'[\\:*?"<>|\0]', name)
    hidden = any(part.startswith(".") for part in parts)
    if not plain or hidden or not parts:
        return False
    if len(parts) == 1:
        return name == EXPORT or name.endswith(".toml")
    return parts[0] in (ATTACHMENTS, *FOLDERS)


def _damaged(file: str, found: str) -> Refusal:
    return Refusal(
        "RW523", Where(file), f"the backup is damaged: {found}", "use another copy or an older backup"
    )

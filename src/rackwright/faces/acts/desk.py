"""Where an act is entered, and what the acts of `rackwright log` share."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rackwright.faces.acts.values import Values

if TYPE_CHECKING:
    from rackwright.record import Appended
    from rackwright.work.engineering.frozen import Frozen
    from rackwright.work.quality.nonconforming import Acceptance
    from rackwright.work.station import Station

__all__ = [
    "MAX_NAME",
    "MAX_PAPER",
    "Desk",
    "Do",
    "acceptance_of",
    "attachments",
    "frozen_of",
    "paper_of",
    "part",
    "serials_of",
    "shop_of",
]

MAX_PAPER = 50_000_000  # bytes of a scanned certificate
MAX_NAME = 80  # characters of an attached file's name, as paper prints it


@dataclass(frozen=True)
class Desk:
    """Where an act is entered: the station, the shop's folder, the file it came from, its act id, a new PIN."""

    station: Station
    folder: Path
    source: str | None
    act_id: str
    new_secret: str = field(default="", repr=False)


Do = Callable[[Desk, Values], "Appended | Iterator[Appended]"]


def paper_of(desk: Desk, v: Values, key: str) -> bytes:
    """A scan in the shop's folder, b"" where none is named. Nothing outside of it is taken along, and nothing that the
    shop keeps to itself: what an act names is kept beside the record, and leaves with every backup.

    Raises Stopped: RW504 it lies elsewhere or is not for papers; RW002 as `read_bytes`.
    """
    from rackwright.faces.cli.files import read_bytes
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.keeping.shop_folder import kept_apart

    if key not in v:
        return b""
    home = desk.folder.resolve()
    path = (home / v[key]).resolve()
    if not path.is_relative_to(home) or kept_apart(path.relative_to(home)):
        do = "put the scan into the shop's folder, and name it from there"
        raise Stopped(
            [Fault("RW504", Where("command line", 0, key), f"{v[key]!r:.80} is no paper of this shop", do)]
        )
    return read_bytes(path, MAX_PAPER)


def attachments(given: Iterable[tuple[str, str, bytes]]) -> dict[str, bytes]:
    """Files that go with an act, by their names; given with where each is from. Raises Stopped (RW504) for one that is
    empty or too large, is named as another, or by what cannot be printed."""
    from rackwright.trouble import Fault, Stopped, Where

    files: dict[str, bytes] = {}
    for where, name, data in given:
        found = ""
        if not data:
            found, do = f"{name!r:.60} holds nothing", "attach what was seen or recorded"
        elif len(data) > MAX_PAPER:
            found, do = f"{name!r:.60} has {len(data)} bytes", f"attach one of at most {MAX_PAPER}"
        elif name in files:
            found, do = f"{name!r:.60} is attached twice", "attach each file once, under a name of its own"
        elif not name.isprintable() or not name.strip() or len(name) > MAX_NAME:
            found, do = (
                f"{name!r:.60} is no name for paper",
                f"give it a printable name of up to {MAX_NAME} characters",
            )
        if found:
            raise Stopped([Fault("RW504", Where(where, 0, "--attach"), found, do)])
        files[name] = data
    return files


def serials_of(pieces: list[str]) -> list[str]:
    """Piece ids are SERIAL/piece."""
    return sorted({piece.partition("/")[0] for piece in pieces if "/" in piece})


def frozen_of(desk: Desk, serial: str) -> Frozen:
    """What the serial's revision was frozen as. Raises Stopped (RW503, RW514)."""
    from rackwright.work.engineering.frozen import frozen_for

    return frozen_for(desk.station.record, serial)


def shop_of(desk: Desk, held: Frozen) -> Any:
    from rackwright.work.load import load_shop

    return held.shop or load_shop(desk.folder)


def part(desk: Desk, id: str) -> str:
    """One act id for each of several acts that were asked for together."""
    return f"{desk.act_id} {id}" if desk.act_id else ""


def acceptance_of(v: Values, whose: str) -> Acceptance | None:
    """Document, signer and date, of the holder or of the customer; none of them, or all."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.quality.nonconforming import Acceptance

    names = [f"{whose}{name}" for name in ("document", "signer", "date")]
    given = [name for name in names if name in v]
    if given and len(given) < 3:
        do = f"give {', '.join(names)}, or none of them"
        raise Stopped([Fault("RW504", Where("command line", 0, given[0]), "half of an acceptance", do)])
    return Acceptance(*(v[name] for name in names)) if given else None

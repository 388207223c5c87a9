"""`rackwright audit`: is the record whole, balanced and believed?"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rackwright.faces.cli.show import one_line

if TYPE_CHECKING:
    from rackwright.record import Audit

__all__ = ["answer_of", "audit", "print_audit"]

MAX_EXPORT = 2_000_000_000  # bytes; a record of millions of events
WORDS = {None: "not asked: the record is not whole", True: "yes", False: "NO"}


@click.command()
@click.argument("target", metavar="[DIR|FILE.jsonl]", required=False)
@click.option(
    "--papers",
    metavar="DIR",
    multiple=True,
    help="More seals to compare with, kept elsewhere; may be repeated.",
)
@click.option(
    "--against",
    metavar="DIR|FILE",
    help="Another copy of this record (a shop's folder, a backup, an export): do they part, and where.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def audit(target: str | None, papers: tuple[str, ...], against: str | None, as_json: bool) -> int:
    """Recompute a shop's record, or an export of one, and compare it with every head that left the building.

    \b
    Example:   rackwright audit
               rackwright audit demo-shop
               rackwright audit export.jsonl
               rackwright audit shop-again --against /media/stick/shop.zip

    \b
    whole      no event, hash, head or named file was altered, moved or lost
    balanced   received = pieces + kerf + trim + remnants + scrap; every gate holds in hindsight
    believed   heads are signed by the shop's key, and the record leads from every one seen outside

    Exit code 1: something was found.
    """
    from rackwright.faces.cli.files import read_bytes
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.keeping.heads import audit_export_file, audit_folder
    from rackwright.work.keeping.shop_folder import PAPERS, folder_of, place_of

    path, elsewhere = folder_of(target or None), [Path(folder) for folder in papers]
    for folder in elsewhere:
        if not folder.is_dir():
            where, do = Where(str(folder), 0, "--papers"), "name the folder that holds the seals"
            raise Stopped([Fault("RW002", where, "there is no such folder", do)])
    if path.is_dir() or target is None:
        found, name = audit_folder(path, elsewhere), str(place_of(path))
    else:
        data = read_bytes(path, MAX_EXPORT)
        found, name = audit_export_file(data, str(path), path.parent / PAPERS, elsewhere), str(path)
    if against is not None and not found.whole:
        found = _against(found, path, Path(against))
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(answer_of(found, name))
        for trouble in found.troubles:
            click.echo(str(trouble), err=True)
    else:
        print_audit(found, name)
    return 0 if found.ok else 1


def _against(found: Audit, path: Path, other: Path) -> Audit:
    """The audit with what the comparison with another copy says."""
    from dataclasses import replace

    from rackwright.faces.cli.files import read_bytes
    from rackwright.work.keeping.forks import history_of, parting

    mine, theirs = (
        history_of(each, None if each.is_dir() else read_bytes(each, MAX_EXPORT)) for each in (path, other)
    )
    parted = parting(mine, theirs, str(other))
    words = f"{other}: {len(theirs)} events compared one by one"
    more = () if parted is None else (parted,)
    return replace(found, believed=(*found.believed, *more), checked=(*found.checked, words))


def answer_of(found: Audit, name: str) -> dict[str, Any]:
    """The JSON document of an audit. A word is null where it could not be asked."""
    from rackwright.work.keeping.heads import words_of

    document: dict[str, Any] = {
        "format": "rackwright/audit/1",
        "file": name,
        "head": {"size": found.head.size, "root": found.head.root},
        "answers": dict(words_of(found)),
        "found": {
            word: [trouble.to_json() for trouble in getattr(found, word)] for word, _ in words_of(found)
        },
        "checked": list(found.checked),
    }
    if not found.ok:
        document["trouble"] = [trouble.to_json() for trouble in found.troubles]
    return document


def print_audit(found: Audit, name: str) -> None:
    """The three words, what was found under each, and what was looked at."""
    from rackwright.work.keeping.heads import words_of

    click.echo(f"{name}: {found.head.size} events, root {found.head.root}")
    for word, answer in words_of(found):
        click.echo(f"  {word:9} {WORDS[answer]}")
        for trouble in getattr(found, word):
            click.echo(f"    {one_line(str(trouble))}")
    for line in found.checked:
        click.echo(f"  looked at {line}")

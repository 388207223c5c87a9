"""`rackwright backup` and `restore`: a shop as one file, and back with an audit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

__all__ = ["backup", "restore"]

MAX_BYTES = 8_000_000_000


@click.command()
@click.option(
    "--out", metavar="FILE", help="The file to write.  [default: backup-N.zip, N the number of events]"
)
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def backup(out: str | None, shop: str | None, as_json: bool) -> int:
    """Write a whole shop into one file: record, the files it names, definitions, stock, papers and seals.

    \b
    Example:   rackwright backup --out /media/stick/shop.zip

    The same folder gives the same bytes. The private key is not in it: keep a copy of shop.key elsewhere.
    Exit code 1: a file that the record names is missing or altered; the rest is in the backup.
    """
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.keeping.backup import make_backup
    from rackwright.work.keeping.shop_folder import folder_of, write_whole

    made = make_backup(folder_of(shop))
    path = Path(out or f"backup-{made.head.size}.zip")
    if path.exists() and not (path.is_file() and path.read_bytes() == made.data):
        do = "choose another name; a backup overwrites nothing"
        raise Stopped([Fault("RW001", Where(str(path)), "another file stands there", do)])
    write_whole(path, made.data)
    for trouble in made.troubles:
        click.echo(str(trouble), err=True)
    if as_json:
        from rackwright.faces.cli.main import print_json

        document: dict[str, Any] = {
            "format": "rackwright/backup/1", "file": str(path), "bytes": len(made.data), "files": made.files,
            "head": {"size": made.head.size, "root": made.head.root},
        }  # fmt: skip
        if made.troubles:
            document["trouble"] = [trouble.to_json() for trouble in made.troubles]
        print_json(document)
    else:
        click.echo(f"{path}: {made.files} files, {len(made.data)} bytes, {made.head}; the key is not in it")
    return 1 if made.troubles else 0


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--into", metavar="DIR", help="A folder that is empty or not there yet.")
@click.option(
    "--drill",
    is_flag=True,
    help="Into a folder of a moment: restore, audit, back up again, compare the bytes.",
)
@click.option(
    "--papers", metavar="DIR", multiple=True, help="Seals kept elsewhere, to compare with; may be repeated."
)
@click.option(
    "--record", "url", metavar="URL", help="A PostgreSQL database for the record, instead of record.db."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def restore(
    file: str, into: str | None, drill: bool, papers: tuple[str, ...], url: str | None, as_json: bool
) -> int:
    """Make a shop's folder from a backup, and audit it.

    \b
    Example:   rackwright restore /media/stick/shop.zip --into shop-again
               rackwright restore /media/stick/shop.zip --drill
               rackwright restore shop.zip --into shop-again --papers dossiers-sent
               rackwright restore shop.zip --into shop-again --record postgresql://quill@db.example/again

    Every byte is compared with the backup's own list; a damaged backup makes no folder. The audit compares with
    the seals in the backup and in the folders given: a backup older than a dossier is behind it, and is told so
    (exit code 1). Put shop.key back from where you keep it.

    With --drill nothing is left behind: what was restored is audited and backed up again, and must be the same bytes.
    """
    from tempfile import TemporaryDirectory

    if drill == (into is not None) or (drill and url is not None):
        raise click.UsageError("Give --into DIR, or --drill without it and without --record.")
    if into is not None:
        return _restore(file, Path(into), papers, url, as_json, drill)
    with TemporaryDirectory(prefix="rackwright-drill-") as folder:
        return _restore(file, Path(folder) / "shop", papers, url, as_json, drill)


def _restore(
    file: str, into: Path, papers: tuple[str, ...], url: str | None, as_json: bool, drill: bool
) -> int:
    from dataclasses import replace

    from rackwright.faces.cli.audit import answer_of, print_audit
    from rackwright.faces.cli.files import read_bytes
    from rackwright.trouble import Refusal, Where
    from rackwright.work.keeping.backup import make_backup, restore_backup
    from rackwright.work.keeping.heads import audit_folder
    from rackwright.work.keeping.shop_folder import place_of

    data = read_bytes(file, MAX_BYTES)
    restore_backup(data, file, into, url)
    found, name = audit_folder(into, [Path(folder) for folder in papers]), str(place_of(into))
    if drill:
        words = f"{file}: restored, and backed up again to the same {len(data)} bytes"
        if make_backup(into).data == data:
            found = replace(found, checked=(*found.checked, words))
        else:
            other = Refusal("RW523", Where(file), "backed up again, what was restored is other bytes",
                            "make a new backup with this program, and drill it")  # fmt: skip
            found = replace(found, whole=(*found.whole, other))
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(answer_of(found, name))
        for trouble in found.troubles:
            click.echo(str(trouble), err=True)
    else:
        print_audit(found, name)
    return 0 if found.ok else 1

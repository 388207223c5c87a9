"""`rackwright export` and `import`: the whole record as canonical JSON lines, and back."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

__all__ = ["export", "import_"]

MAX_EXPORT = 2_000_000_000


@click.command()
@click.option("--out", metavar="FILE", help="Write to this file instead of stdout.")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="With --out: print one JSON document about the file.")
def export(out: str | None, shop: str | None, as_json: bool) -> None:
    """Write the whole record as canonical JSON lines: a head line, then one event a line.

    \b
    Example:   rackwright export --out record.jsonl

    Identical histories give identical bytes. Files named by events (certificates, frozen texts) are not in it:
    see `rackwright backup`. The export is checked by `rackwright audit FILE`.
    """
    from rackwright.record import export_lines
    from rackwright.work.keeping.shop_folder import folder_of, open_record, write_out

    if as_json and out is None:
        raise click.UsageError("The export itself goes to stdout; --json goes with --out.")
    with open_record(folder_of(shop)) as record:
        head, events = record.look()
    if out is None:
        for line in export_lines(events):
            sys.stdout.buffer.write(line)
        sys.stdout.buffer.flush()
        return
    write_out(Path(out), b"".join(export_lines(events)))
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"file": out, "size": head.size, "root": head.root, "bytes": os.path.getsize(out)})
    else:
        click.echo(f"{out}: {head}")


@click.command("import")
@click.argument("file", metavar="FILE")
@click.option("--into", metavar="DIR", required=True, help="A folder without a record.")
@click.option(
    "--record", "url", metavar="URL", help="A PostgreSQL database for the record, instead of record.db."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def import_(file: str, into: str, url: str | None, as_json: bool) -> None:
    """Make a record from an export: the same events, the same root.

    \b
    Example:   rackwright import record.jsonl --into copy/

    A folder with a record.url, or --record, puts it into that PostgreSQL database; an export of either is the same.

    Refused with everything that is wrong unless the export is whole. Files named by events are not in an export;
    put them into attachments/, or use `rackwright restore` with a backup.
    """
    from rackwright.faces.cli.files import read_bytes
    from rackwright.record import import_export
    from rackwright.work.keeping.shop_folder import new_place

    data = read_bytes(file, MAX_EXPORT)
    with new_place(Path(into), url) as path, import_export(data, path, file) as record:
        head = record.head()
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"file": str(path), "size": head.size, "root": head.root})
    else:
        click.echo(f"{path}: {head}")

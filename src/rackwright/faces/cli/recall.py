"""`rackwright recall KIND ID`: from what is in doubt to every serial and place, and a letter to each customer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from rackwright.faces.cli.show import day_of, one_line, table
from rackwright.faces.cli.sign import SIGN, signing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rackwright.work.serials.recalling import Affected

__all__ = ["recall"]


@click.command()
@click.argument("kind", metavar="KIND", type=click.Choice(("heat", "lot", "gauge", "person", "revision")))
@click.argument("about", metavar="ID")
@click.option(
    "--since", metavar="YYYY-MM-DD", help="Only what was done from this day (of a gauge or a person)."
)
@click.option("--number", metavar="ID", help="Write the letters and record them under this number.")
@click.option("--reason", metavar="TEXT", help="What is in doubt, as the letters say it.")
@click.option("--out", metavar="DIR", help="The folder for the letters.")
@click.option("--by", metavar="NAME", help="The lead who sends them, as recorded.")
@click.option("--act", metavar="ID", default="", help="An id of your own: repeating it does nothing twice.")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def recall(
    kind: str, about: str, since: str | None, number: str | None, reason: str | None, out: str | None, by: str | None,
    act: str, sign: str | None, shop: str | None, as_json: bool,
) -> int:  # fmt: skip
    """Every serial in doubt and where it is, the least margin first; and a letter to each customer.

    \b
    heat, lot   of what it is made
    gauge       what it passed, or from the day it is in doubt
    person      what they did after their credential ended, or from --since
    revision    the racks made to it
    \b
    Example:   rackwright recall heat H4471
               rackwright recall heat H4471 --number RC-1 --reason 'Fty in doubt' --by 'A. Quill' --out letters

    Letters go to customers whose racks have left the shop. Nothing is held by a recall: `rackwright log hold` is an act
    of its own. Exit code 1: the record does not know the ID.
    """
    from rackwright.record import project
    from rackwright.work.keeping.shop_folder import folder_of, open_record
    from rackwright.work.serials.recalling import affected

    folder, day = folder_of(shop), day_of("--since", since) if since else ""
    with open_record(folder) as record:
        events = record.events()
    state = project(events)
    rows = affected(events, state, kind, about, day)
    letters = [] if number is None else _send(
        rows, kind, about, day, number, reason, out, by, act, sign, folder)  # fmt: skip
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(_document(kind, about, day, rows, letters))
    else:
        _print(kind, about, rows, letters)
    return 0


recall.params.insert(-2, SIGN)


def _send(
    rows: Sequence[Affected], kind: str, about: str, since: str, number: str, reason: str | None, out: str | None,
    by: str | None, act: str, sign: str | None, folder: Path,
) -> list[str]:  # fmt: skip
    """The letters, recorded first and then written. The paths."""
    if not (reason and out and by):
        raise click.UsageError("--number needs --reason, --out and --by.")
    from rackwright.faces.cli.sign import given
    from rackwright.work.papers import write
    from rackwright.work.papers.recall import recall_letter
    from rackwright.work.serials.recalling import by_customer, record_recall
    from rackwright.work.station import open_station

    lines, station = given(sign), open_station(folder, by)
    try:
        station = signing(station, lines)
        state = station.follower.look(station.record)[1]
        letters = {
            customer: recall_letter(state, number, kind, about, reason, customer, each, station.today)
            for customer, each in by_customer(rows).items()
        }
        record_recall(station, number, kind, about, reason, rows, letters, since, act)
    finally:
        station.record.close()
    names = [f"{number}-{n}.pdf" for n in range(1, len(letters) + 1)]
    return [str(write(Path(out) / name, data)) for name, data in zip(names, letters.values(), strict=True)]


def _document(
    kind: str, about: str, since: str, rows: Sequence[Affected], letters: Sequence[str]
) -> dict[str, Any]:
    from dataclasses import asdict

    from rackwright.trouble import DEFERENCE

    return {"format": "rackwright/recall/1", "caution": DEFERENCE, "kind": kind, "about": about, "since": since or None,
            "serials": [asdict(row) for row in rows], "letters": list(letters)}  # fmt: skip


def _print(kind: str, about: str, rows: Sequence[Affected], letters: Sequence[str]) -> None:
    from rackwright.trouble import DEFERENCE

    click.echo(f"{kind} {one_line(about)}: {len(rows)} serials in doubt")
    table(
        "serial< customer< where< margin> check< pieces> note<",
        [(one_line(row.serial), one_line(row.customer), one_line(row.place),
          f"{float(row.margin):+.3f}" if row.margin else "", row.check, _count(row), one_line(row.note))
         for row in rows],
    )  # fmt: skip
    for path in letters:
        click.echo(f"wrote {path}")
    click.echo(f"\n{DEFERENCE}")


def _count(row: Affected) -> str:
    return "none now" if row.only_was else str(len(row.pieces) or "all")

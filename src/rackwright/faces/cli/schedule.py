"""`rackwright schedule`: what each station does when, over all open orders, and which are late and why."""

from __future__ import annotations

import json
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.making.dates.placing import Sequenced
    from rackwright.making.dates.shop_load import Load

__all__ = ["schedule"]


@click.command(short_help="what each station does when, over all open orders")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one from here, or RACKWRIGHT_SHOP."
)
@click.option(
    "--today", metavar="YYYY-MM-DD", help="The first day that can be planned.  [default: today, UTC]"
)
@click.option("--effort", type=click.FloatRange(0, 10**6),
              help="Work of the search; the same effort gives the same schedule. 0: the list rule.")  # fmt: skip
@click.option(
    "--seconds", type=click.FloatRange(0.5, 86_400), help="Stop after this long, instead of --effort."
)
@click.option("--against", metavar="FILE", help="An earlier --json of this command: say what moved.")
@click.option("--paper", metavar="FILE", help="Write the sheet for the wall, seven days by station (PDF).")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def schedule(
    shop: str | None, today: str | None, effort: float | None, seconds: float | None, against: str | None,
    paper: str | None, as_json: bool,
) -> int:  # fmt: skip
    """Sequence everything that is open in the shop's record: least weighted lateness, then the earliest finish.

    \b
    What is recorded is done; people do what their roles let them; machines, people and suppliers that
    `rackwright log away` names are gone round. Needs the extra `schedule`, or --effort 0.
    Exit 1 when an order is late.
    """
    from rackwright.faces.cli.show import day_of
    from rackwright.making.dates.lateness import moved
    from rackwright.work.keeping.shop_folder import folder_of, open_record, write_out
    from rackwright.work.office.schedule_document import schedule_document
    from rackwright.work.office.scheduling import floor_of
    from rackwright.work.stations.bending import shop_as_bent

    if effort is not None and seconds is not None:
        raise click.UsageError("Give --effort or --seconds, not both.")
    folder, day = folder_of(shop), day_of("--today", today)
    before = _earlier(against) if against else None
    house = shop_as_bent(folder)
    with open_record(folder) as record:
        floor = floor_of(record, house, day)
        demo = any(event.type == "found" and event.body["demo"] for event in record.events()[:1])
    document = schedule_document(floor, _found(floor.load, effort, seconds), house.name, demo)
    if before is not None:
        orders, works = moved(before, document)
        document["moved"] = {"orders": orders, "operations": works}
    if paper:
        from rackwright.work.papers.week import week_sheet

        write_out(Path(paper), week_sheet(document, day))
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(document)
    else:
        _print(document)
    return 1 if any(row["late_h"] for row in document["orders"]) else 0


def _found(load: Load, effort: float | None, seconds: float | None) -> Sequenced:
    from rackwright.making.dates.placing import Stuck
    from rackwright.making.dates.sequence import EFFORT, sequence, solver
    from rackwright.trouble import Refusal, Stopped, Where
    from rackwright.work.office.schedule_document import sequence_in_time

    try:
        if seconds is None:
            return sequence(load, EFFORT if effort is None else effort)
        deadline = time.monotonic() + seconds
        solver()
        found = sequence_in_time(load, deadline, lambda words: click.echo(words, err=True))
        return found or sequence(load, 0)
    except Stuck as stuck:
        found_, do = (
            f"{stuck}: everybody who may check it made it",
            "another inspector must, or another maker",
        )
        raise Stopped([Refusal("RW443", Where("schedule"), found_, do)]) from None


def _earlier(path: str) -> Any:
    """An earlier schedule. Raises Stopped: RW002, RW007."""
    from rackwright.faces.cli.files import read_bytes
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.office.schedule_document import SCHEDULE_FORMAT

    try:
        document = json.loads(read_bytes(path))
    except ValueError as error:
        do = "give what `rackwright schedule --json` printed"
        raise Stopped([Fault("RW007", Where(path), str(error), do)]) from None
    if not isinstance(document, dict) or document.get("format") != SCHEDULE_FORMAT:
        do = f"give what `rackwright schedule --json` printed: format {SCHEDULE_FORMAT}"
        raise Stopped([Fault("RW103", Where(path, 0, "format"), "it is no schedule", do)])
    return document


# --- for people ----------------------------------------------------------------------------------


def _print(document: Any) -> None:
    from rackwright.faces.cli.plan import _table
    from rackwright.trouble import DEFERENCE

    state = "proven best" if document["optimal"] else f"feasible, gap {100 * document['gap']:.1f} %"
    click.echo(f"{document['shop']}, from {document['from']}: {len(document['orders'])} orders,"
               f" all done {document['finish']}")  # fmt: skip
    for mark in document["marks"]:
        click.echo(mark)
    click.echo(f"{document['how']}, {state}; weighted lateness {document['weighted_lateness_h']:.1f} h, at least"
               f" {document['weighted_lateness_at_least_h']:.1f} h")  # fmt: skip
    for place in sorted({row["place"] for row in document["operations"] if row["place"]}):
        click.echo(f"\n{place}")
        rows = [
            (row["first_day"], f"{row['from_h']:.1f}", f"{row['hours']:.1f}", row["order"], row["operation"],
             row["person"], row["last_day"])
            for row in document["operations"] if row["place"] == place
        ]  # fmt: skip
        _table("day< hours_in> hours> order< operation< person< ends<", rows)
    click.echo()
    _table("order< due< done< late_h>", [
        (row["order"], row["due"], row["finish"], f"{row['late_h']:.1f}" if row["late_h"] else "")
        for row in document["orders"]
    ])  # fmt: skip
    for row in document["orders"]:
        if row["why_late"]:
            click.echo(f"\n{row['order']} is late {row['late_h']:.1f} working hours; first to last:")
            for line in row["why_late"]:
                click.echo(f"  {line}")
        for line in row["open"]:
            click.echo(f"open on {row['order']}, taken as settled on the first day: {line}")
    for one in document["asked"]:
        click.echo(f"asked for: {one}")
    for row in document["left_out"]:
        click.echo(f"{row['order']} is not in it: {row['why']}")
    _print_moved(document)
    click.echo(f"\n{DEFERENCE}")


def _print_moved(document: Any) -> None:
    if "moved" not in document:
        return
    orders, works = document["moved"]["orders"], document["moved"]["operations"]
    click.echo(f"\nmoved: {len(orders)} orders, {len(works)} operations")
    for row in orders:
        click.echo(f"  {row['order']}: done {row['to']}, was {row['from']}")
    for row in works:
        click.echo(f"  {row['id']}: {row['to']}, was {row['from']}")

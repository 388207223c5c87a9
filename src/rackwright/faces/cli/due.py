"""`rackwright due`: what waits for somebody today, late things first."""

from __future__ import annotations

import click

from rackwright.faces.cli.show import one_line, table

__all__ = ["due"]


@click.command()
@click.option("--on", "day", metavar="YYYY-MM-DD", help="The day it is asked for.  [default: today, UTC]")
@click.option(
    "--days", type=click.IntRange(0, 3650), default=30, show_default=True, help="What ends within so many."
)
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def due(day: str | None, days: int, shop: str | None, as_json: bool) -> None:
    """What waits for somebody: questions, answers that changed, contracts, nonconformances, actions, gauges,
    credentials, outside work.

    \b
    Example:   rackwright due --days 60

    What one order lacks: rackwright show ORDER.
    """
    from dataclasses import asdict

    from rackwright.faces.cli.show import day_of
    from rackwright.record import project
    from rackwright.work.keeping.shop_folder import folder_of, open_record
    from rackwright.work.office import due as waiting

    on = day_of("--on", day)
    with open_record(folder_of(shop)) as record:
        events = record.events()
    rows = waiting.due(project(events), on, days, events)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(
            {"format": "rackwright/due/1", "on": on, "days": days, "due": [asdict(row) for row in rows]}
        )
        return
    click.echo(
        f"{len(rows)} wait on {on}, {sum(row.late for row in rows)} late"
        if rows
        else f"nothing waits on {on}"
    )
    table(
        "late< until< kind< about< what< whose<",
        [("late" if row.late else "", row.until, row.kind, one_line(row.about), one_line(row.words)[:100],
          one_line(row.whose)) for row in rows],
    )  # fmt: skip

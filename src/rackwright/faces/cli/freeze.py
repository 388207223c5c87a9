"""`rackwright freeze FILE`: a revision and the texts it consists of, kept by their hash."""

from __future__ import annotations

import click

__all__ = ["freeze"]


@click.command()
@click.argument("file", metavar="FILE")
@click.option("--by", metavar="NAME", required=True, help="The person who freezes it, as recorded.")
@click.option("--order", "number", metavar="ID", required=True, help="The order it is frozen for.")
@click.option("--act", metavar="ID", default="", help="An id of your own: repeating it does nothing twice.")
@click.option(
    "--sign", metavar="FILE", help="A file whose first line is the PIN or password; else it is asked for."
)
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above FILE, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def freeze(
    file: str, by: str, number: str, act: str, sign: str | None, shop: str | None, as_json: bool
) -> None:
    """Freeze a revision: definition, bases, own reference rows and shop.toml by hash, with what was computed of them.

    \b
    Example:   rackwright freeze variations/er-47-v12.toml --by 'A. Quill' --order PO-7

    Metal is issued, and racks are released, only against a frozen revision whose design-approval reference is
    recorded. A design whose margins do not hold may be frozen; the release gate judges that.
    """
    from rackwright.design import Design
    from rackwright.faces.cli.sign import given, signing
    from rackwright.work.engineering.frozen_texts import SHOP
    from rackwright.work.keeping.shop_folder import SHOP_FILE, folder_of
    from rackwright.work.load import find_shop, load_rack, load_shop, read_file, texts_of
    from rackwright.work.office import ordering
    from rackwright.work.station import open_station

    folder = folder_of(find_shop(file, shop))
    rack = load_rack(file, folder)
    load_shop(folder)  # a shop file that cannot be read again must not be frozen
    texts = texts_of(file, folder) | {SHOP: read_file(folder / SHOP_FILE).data}
    lines = given(sign)
    station = open_station(folder, by)
    try:
        done = ordering.freeze(signing(station, lines), Design(rack), texts, number, act)
    finally:
        station.record.close()
    for event in done.events:
        click.echo(f"recorded {event.seq} {event.type}", err=as_json)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(
            {"format": "rackwright/recorded/1", "recorded": [event.to_json() for event in done.events]}
        )

"""`rackwright passport A [B]`: do two racks agree at every point that a replaced part must fit?"""

from __future__ import annotations

from typing import Any

import click

from rackwright.faces.cli.show import one_line, table

__all__ = ["passport"]


@click.command()
@click.argument("serial", metavar="SERIAL")
@click.argument("other", metavar="[OTHER]", required=False, default="")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def passport(serial: str, other: str, shop: str | None, as_json: bool) -> int:
    """How the measured interchange points of SERIAL differ from those of OTHER, or else from the drawing.

    \b
    Example:   rackwright passport ER47V12-0003 ER47V12-0001

    Datum-fixed is what a part located on the datum sees, and what is judged; the fits tell how far the shapes
    differ once one rack is laid on the other. Exit code 1: they differ by more than two racks may.
    """
    from rackwright.faces.cli.main import print_json
    from rackwright.work.keeping.shop_folder import folder_of, open_record
    from rackwright.work.stations.passports import passport_of

    folder = folder_of(shop)
    with open_record(folder) as record:
        found = passport_of(record, folder, serial, other)
    if as_json:
        print_json(found)
    else:
        _print(found)
    return 0 if found["within"] is not False else 1


def _print(found: dict[str, Any]) -> None:
    against = one_line(found["against"] or "the drawing")
    click.echo(f"{one_line(found['serial'])} less {against}: {len(found['points'])} points, inches")
    table(
        "point< x> y> z> fitted_x> fitted_y> fitted_z>",
        [(one_line(name), *(f"{value:+.4f}" for value in row["fixed_in"]),
          *(f"{value:+.4f}" for value in row["minimax_in"] or ())) if row["minimax_in"] else
         (one_line(name), *(f"{value:+.4f}" for value in row["fixed_in"]), "", "", "")
         for name, row in found["points"].items()],
    )  # fmt: skip
    for name in found["only_one"]:
        click.echo(f"  {one_line(name)} is measured on one of the two")
    if found["mirrored"]:
        click.echo("  MIRRORED: one of them is a left-hand rack")
    name, most = found["most_fixed"]["point"], found["most_fixed"]["in"]
    click.echo(f"\nmost, datum-fixed      {most:.4f} in at {one_line(name)}")
    if found["most_minimax"]:
        click.echo(f"most, least possible   {found['most_minimax']['in']:.4f} in: no placing does better")
        click.echo(f"least squares          {found['rms_least_squares_in']:.4f} in root mean square")
    limit = found["limit_in"]
    if limit is None:
        click.echo("limit                  the definition gives none")
    else:
        said = "within" if found["within"] else "OVER"
        click.echo(f"limit between racks    {limit:.4f} in: {said}")
    click.echo(f"\n{found['deference']}")

"""`rackwright again SERIAL`: a released rack computed again by today's program, and what is otherwise."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from rackwright.faces.cli.show import one_line, table

if TYPE_CHECKING:
    from rackwright.work.serials.again import Again

__all__ = ["again"]


@click.command()
@click.argument("serial", metavar="SERIAL")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def again(serial: str, shop: str | None, as_json: bool) -> int:
    """Compute a released rack again, and list every number that is another one now, and why.

    \b
    Example:   rackwright again ER47V12-0001

    Takes the texts as frozen and the measurements as they were before the release, computes with today's program, and
    compares masses, centres of gravity, margins, floor reactions, deflections, buckling factors, modes and what one
    rack costs with those kept at the release; what that did not keep is named. The quote that the order accepted stands
    beside the same racks priced now. A difference names its reference row
    with the source, the formula's card, or the program.

    Exit code 1: a margin changed its sign, a gate its answer, or the record knows no such release.
    """
    from rackwright.faces.cli.main import print_json
    from rackwright.trouble import DEFERENCE
    from rackwright.work.keeping.shop_folder import folder_of, open_record
    from rackwright.work.load import load_shop
    from rackwright.work.serials.again import again as computed_again

    folder = folder_of(shop)
    with open_record(folder) as record:
        found = computed_again(record, serial, load_shop(folder))
    if as_json:
        print_json(
            {"format": "rackwright/again/1", "caution": DEFERENCE, **asdict(found), "stands": found.stands}
        )
    else:
        _print(found)
        click.echo(f"\n{DEFERENCE}")
    return 0 if found.stands else 1


def _print(found: Again) -> None:
    click.echo(f"{one_line(found.serial)}, released {found.day} (event {found.release})")
    then = one_line(found.program_then or "a program not recorded")
    click.echo(f"  computed then by {then}, now by {found.program_now}")
    texts = ", ".join(f"{name} {hash[:12]}" for name, hash in found.texts)
    click.echo(f"  the definition is the same, by its hash: {one_line(texts)}")
    if not found.whole:
        click.echo("  that release kept only the least margin of each piece, to six places")
    if found.not_kept:
        click.echo(f"  not compared, since that release kept none: {', '.join(found.not_kept)}")
    click.echo(
        "\nthe program brings otherwise" if found.brought else "\nrows, formulas and program are the same"
    )
    for words in found.brought:
        click.echo(f"  {one_line(words)}")
    click.echo(f"\n{len(found.changed)} of {found.compared} numbers changed")
    rows = [(one_line(one.name), _number(one.then), _number(one.now), _number(one.by),
             "SIGN" if one.turned else "", one_line("; ".join(one.why))) for one in found.changed]  # fmt: skip
    table("number< then> now> difference> _< why<", rows)
    if found.quoted is not None:
        one = found.quoted
        band = f" ({one_line(one.low)} to {one_line(one.high)})" if one.low else ""
        click.echo(f"\nquote {one_line(one.quote)} revision {one_line(one.revision)}, which the order accepted (event "
                   f"{one.agreed}), of {one.racks} racks: {one_line(one.price)}{band}")  # fmt: skip
        click.echo(f"  not computed: {one_line(one.why_not)}" if one.why_not else f"  now: by {one.by}")
        table(
            "of_these_racks< as_agreed> now>",
            [tuple(map(one_line, row)) for row in one.rows if row[1] != row[2]],
        )
    else:
        click.echo("\nits order came of no quote in this record")
    for name, words in found.gates:
        click.echo(f"gate {name}: passed then, no now: {one_line(words)}")
    stands = "No margin changed its sign and no gate its answer."
    click.echo(f"\n{stands if found.stands else 'A margin changed its sign or a gate its answer.'}")


def _number(value: float | None) -> str:
    return "missing" if value is None else f"{value:.6g}"

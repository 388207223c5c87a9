"""`rackwright show SERIAL|REVISION|ORDER`: a rack as it stands; the serials of a revision; what an order lacks."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rackwright.faces.cli.lacking import show_order
from rackwright.faces.cli.show import day_of, one_line, table
from rackwright.faces.cli.trace import evidence_table

if TYPE_CHECKING:
    from rackwright.record import Record, State
    from rackwright.work.service.effectivity import At
    from rackwright.work.service.standing import Standing

__all__ = ["show"]


@click.command()
@click.argument("name", metavar="SERIAL|REVISION|ORDER")
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def show(name: str, shop: str | None, as_json: bool) -> int:
    """A rack as designed, as built and as maintained, side by side; the serials of a revision; or an order.

    \b
    Example:   rackwright show ER47V12-0001
               rackwright show 'ER-47-V12 rev A'
               rackwright show PO-7

    SERIAL: revision, masses, boxes, oven time and governing margin in three columns, every piece that is another one
    than was built in, and what was done since the release.
    ORDER: its lines, and what each of them and of its racks still lacks: questions, contract, gates, steps.
    REVISION: every serial that was built to it, where it is, and in what it departs from it.

    Exit code 1: the rack as maintained has a negative margin or one that is not assessed, or the record knows no such
    serial or revision.
    """
    from rackwright.record import state_of
    from rackwright.trouble import DEFERENCE
    from rackwright.work.keeping.shop_folder import folder_of, open_record
    from rackwright.work.service.effectivity import effectivity

    folder = folder_of(shop)
    with open_record(folder) as record:
        state = state_of(record)
        if name in state.serials:
            return _serial(record, state, name, as_json)
        if name in state.orders:
            show_order(record, name, folder, day_of("--on", None), as_json)
            return 0
        rows = effectivity(state, name)
    if as_json:
        _json({"revision": name, "serials": [{**vars(row), "at_it": row.at_it} for row in rows]})
    else:
        _print_revision(name, rows)
        click.echo(f"\n{DEFERENCE}")
    return 0


def _serial(record: Record, state: State, serial: str, as_json: bool) -> int:
    from dataclasses import asdict

    from rackwright.trouble import DEFERENCE
    from rackwright.work.engineering.frozen import frozen_for
    from rackwright.work.serials.evidence import standing_of
    from rackwright.work.service.standing import standing

    evidence = [one.to_json() for one in standing_of(state, serial)]
    found = standing(record.events(), serial, frozen_for(record, serial).design, record.get_file)
    no = bool(found.now.not_assessed or found.now.design.refusals())
    if as_json:
        told = {name: value for name, value in vars(found).items() if name not in ("rows", "pieces", "now")}
        _json(
            {
                **told,
                "rows": [asdict(row) for row in found.rows],
                "pieces": [asdict(one) for one in found.pieces],
                "evidence": evidence,
            }
        )
    else:
        _print_serial(found)
        evidence_table(evidence)
        click.echo(f"\n{DEFERENCE}")
    return 1 if no else 0


def _json(document: dict[str, Any]) -> None:
    from rackwright.faces.cli.main import print_json
    from rackwright.trouble import DEFERENCE

    print_json({"format": "rackwright/show/1", "caution": DEFERENCE, **document})


def _print_serial(found: Standing) -> None:
    click.echo(
        f"{one_line(found.serial)}, {one_line(found.revision)}: {found.state}, {one_line(found.where)}"
    )
    for row in found.rows:
        click.echo(f"\n{row.what}")
        for name, words in (("designed", row.designed), ("built", row.built), ("maintained", row.maintained)):
            if words != "–":
                click.echo(f"  as {name:<11}{one_line(words)}")
    changed = [one for one in found.pieces if one.changed]
    click.echo(f"\n{len(found.pieces)} pieces, {len(changed)} replaced since they were built in")
    table("place< as_built< as_maintained< heat< was<",
          [(one_line(one.place), one_line(one.built), one_line(one.piece), one_line(one.heat),
            one_line("; ".join(one.was))) for one in changed])  # fmt: skip
    heats = sorted({one.heat for one in found.pieces})
    click.echo(f"  heats that fly: {one_line(', '.join(heats))}")
    if found.history:
        click.echo("\nsince its release")
    table(
        "event> day< what< by<",
        [(seq, day, one_line(words), one_line(by)) for seq, day, words, by in found.history],
    )
    for words in found.left:
        click.echo(f"waits: {one_line(words)}")


def _print_revision(name: str, rows: tuple[At, ...]) -> None:
    built = [row for row in rows if row.built]
    click.echo(
        f"{one_line(name)}: {len(built)} serials built to it, {sum(row.at_it for row in rows)} still at it"
    )
    table(
        "serial< order< state< where< at_it< departs_in<",
        [(one_line(row.serial), one_line(row.order), row.state, one_line(row.where),
          "yes" if row.at_it else "not built" if not row.built else "but for",
          one_line("; ".join(row.departs))) for row in rows],
    )  # fmt: skip

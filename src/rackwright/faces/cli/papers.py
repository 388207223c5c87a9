"""`rackwright papers FILE|SERIAL|ORDER|STOCK --out DIR`: drawings, sheets, labels, dossier with its seal."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rackwright.faces.cli.show import day_of

if TYPE_CHECKING:
    from rackwright.making.sawing.stop import AtSaw
    from rackwright.record import Record
    from rackwright.work.papers import Made

__all__ = ["papers"]

#: as `work.papers.KINDS`, written here so that --help need not load it
KINDS = (
    "drawing", "pieces", "balloons", "blocks", "mill", "traveler", "saw-sheet", "brake", "plate", "jig", "coat",
    "inspection", "labels", "balance", "conformity", "first-article", "placard", "damage", "report", "dossier",
)  # fmt: skip
FORMAT = "rackwright/papers/1"


@click.command()
@click.argument("target", metavar="FILE|SERIAL|ORDER|STOCK")
@click.option(
    "--out", metavar="DIR", required=True, help="The folder to write to; it is made where it is missing."
)
@click.option(
    "--only", type=click.Choice(KINDS), help="Make this one alone, and say why where it cannot be made."
)
@click.option(
    "--shop",
    metavar="DIR",
    help="The shop's folder; else the nearest one above FILE or here, or RACKWRIGHT_SHOP.",
)
@click.option("--quantity", type=click.IntRange(1, 1000), default=1, show_default=True, help="Racks of FILE.")
@click.option(
    "--stock",
    metavar="FILE",
    help="What is on the shelf (stock.toml) for FILE. Without it everything is bought.",
)
@click.option("--date", metavar="YYYY-MM-DD", help="The date on the papers.  [default: today, UTC]")
@click.option(
    "--metal-at", metavar="T", help="Measured of the bars of FILE, as '95 degF': stops are set for it."
)
@click.option("--scale-at", metavar="T", help="Measured of a stop's scale that does not compensate itself.")
@click.option(
    "--by",
    metavar="NAME",
    help="Who lets dossier, travelers or labels go out: the head they carry is recorded.",
)
@click.option("--sign", metavar="FILE", help="As of `rackwright log`: the PIN or password of NAME.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def papers(
    target: str, out: str, only: str | None, shop: str | None, quantity: int, stock: str | None, date: str | None,
    metal_at: str | None, scale_at: str | None, by: str | None, sign: str | None, as_json: bool,
) -> int:  # fmt: skip
    """Write the papers of a definition, or of a serial as the record holds it.

    \b
    FILE     a standard or a variation: drawing, pieces, strength report (a draft), and with a shop folder the
             sheets of every station
    SERIAL   a rack of the shop's record: dossier with its seal, conformity, balance, inspection, coat,
             drawings, labels; all made from the texts that were frozen, never from the folder
    ORDER    the numbered saw sheet of an order that holds now, as `rackwright log saw_plan` recorded it; with
             --only mill or traveler, these for the bars that were issued, as measured
    STOCK    labels of bars, plates or lots of the record, with commas between: put on, and read back with
             `rackwright log stock_label`
    """
    from rackwright.faces.acts.values import at_saw
    from rackwright.work.papers import write

    day = day_of("--date", date)
    if _is_file(target):
        if by is not None:
            raise click.UsageError("--by goes with a SERIAL, ORDER or STOCK: a FILE has no record.")
        made = _of_file(target, shop, stock, quantity, day, only, at_saw(metal_at, scale_at))
    else:
        if stock is not None:
            raise click.UsageError("--stock goes with a FILE; what a SERIAL was cut from is recorded.")
        made = _of_serial(target, shop, day, only)
    paths = [write(Path(out) / paper.name, paper.data) for paper in made.papers]
    if by is not None:
        _record_heads(made, shop, by, sign)
    elif any(paper.name.endswith((".head", ".seal")) for paper in made.papers):
        click.echo("not recorded that these leave: --by NAME records the signed head they carry", err=True)
    _show(made, paths, as_json)
    return 0


def _record_heads(made: Made, shop: str | None, by: str, sign: str | None) -> None:
    """The heads that the papers just written carry, each an event: of a dossier of a released rack with its bytes."""
    from rackwright.faces.cli.sign import given, signing
    from rackwright.work.keeping.shop_folder import folder_of
    from rackwright.work.papers.witness import record_head
    from rackwright.work.serials.releasing import record_dossier
    from rackwright.work.station import open_station

    station = open_station(folder_of(shop), by)
    try:
        signed, bytes_of = signing(station, given(sign)), {paper.name: paper.data for paper in made.papers}
        for name, data in bytes_of.items():
            stem, _, end = name.rpartition(".")
            if end == "head":
                done = record_head(signed, data, stem)
            elif end == "seal":
                done = record_dossier(signed, stem, bytes_of[f"{stem}.pdf"], data)
            else:
                continue
            for event in done.events:
                click.echo(f"recorded {event.seq} {event.type}", err=True)
    finally:
        station.record.close()


def _is_file(target: str) -> bool:
    return target.endswith(".toml") or Path(target).exists()


def _of_file(
    target: str,
    shop: str | None,
    stock: str | None,
    quantity: int,
    day: str,
    only: str | None,
    at: AtSaw | None,
) -> Made:
    from rackwright.design import Design
    from rackwright.plan import Plan
    from rackwright.work.keeping.shop_folder import is_demo
    from rackwright.work.load import find_shop, load_rack, load_stock_items
    from rackwright.work.metal.planning import order_plan
    from rackwright.work.papers import papers_of_file
    from rackwright.work.run import shared
    from rackwright.work.stations.bending import shop_as_bent

    folder = find_shop(target, shop)
    design, texts = Design(load_rack(target, shop), each=shared), _hashes(target, shop)
    bars, items = (None, None) if stock is None else load_stock_items(stock)
    plan = None
    if folder is not None:
        given = Plan(((design, quantity),), bars, shop_as_bent(folder), items=items, at_saw=at)
        plan = order_plan(given, folder)
    return papers_of_file(design, plan, day, only, texts, is_demo(folder))


def _hashes(target: str, shop: str | None) -> dict[str, str]:
    """SHA-256 of the definition's texts, by the names under which a freeze keeps them."""
    from hashlib import sha256

    from rackwright.work.load import texts_of

    return {name: sha256(data).hexdigest() for name, data in texts_of(target, shop).items()}


def _of_serial(serial: str, shop: str | None, day: str, only: str | None) -> Made:
    from rackwright.record import state_of
    from rackwright.record.keys import KEY_EVENTS, trust_of
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.keeping.heads import seals_below, strange_key
    from rackwright.work.keeping.shop_folder import KEY, PAPERS, folder_of, open_record, seed_of, trusted_key
    from rackwright.work.load import load_shop
    from rackwright.work.papers import papers_of_order, papers_of_serial, papers_of_stock

    folder = folder_of(shop)
    with open_record(folder) as record:
        founding = record.of_types("found", most=1)
        key, trust = trusted_key(folder, founding), trust_of(record.of_types(*KEY_EVENTS))
        if strange := strange_key(folder, founding, key, trust):
            raise Stopped(strange)
        if _is_order(record, serial):
            if only not in (None, "saw-sheet", "mill", "traveler"):
                has = "an order has a saw sheet, a mill sheet and travelers"
                raise click.UsageError(f"{has}; --only {only} goes with a FILE or SERIAL.")
            known = state_of(record).key_id
            own = seed_of(folder, known) or _demo_seed(known)
            return papers_of_order(record, serial, load_shop(folder), day, only, own)
        if (ids := _stock_of(record, serial)) and only in (None, "labels"):
            known = state_of(record).key_id
            return papers_of_stock(
                record, ids, load_shop(folder), day, seed_of(folder, known) or _demo_seed(known)
            )
        seed = seed_of(folder, state_of(record).key_id) or _demo_seed(key)
        if seed is None:
            do = f"put the key file there as {KEY}"
            raise Stopped(
                [Fault("RW604", Where(str(folder / KEY)), "the shop's key is not in its folder", do)]
            )
        heads = [head for head, _ in seals_below(folder / PAPERS, key, trust=trust).heads]
        return papers_of_serial(record, serial, load_shop(folder), seed, day, heads, only)


def _is_order(record: Record, target: str) -> bool:
    from rackwright.record import state_of

    state = state_of(record)
    return target in state.orders and target not in state.serials


def _stock_of(record: Record, target: str) -> list[str]:
    """The stock that `target` names, one id or several with commas between; none where one of them is not there."""
    from rackwright.record import state_of

    state = state_of(record)
    ids = list(dict.fromkeys(name.strip() for name in target.split(",")))
    return ids if target not in state.serials and all(id in state.stock for id in ids) else []


def _demo_seed(key: str | None) -> bytes | None:
    """The DEMO seed where the record was founded with the DEMO key, which everyone knows."""
    from rackwright.seal import DEMO_SEED, key_id, public_key

    return DEMO_SEED if key == key_id(public_key(DEMO_SEED)) else None


def _show(made: Made, paths: list[Path], as_json: bool) -> None:
    from hashlib import sha256

    from rackwright.trouble import DEFERENCE

    for kind, trouble in made.left_out:
        click.echo(f"no {kind}: {trouble.found}; {trouble.do} [{trouble.code}]", err=True)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({
            "format": FORMAT,
            "caution": DEFERENCE,
            "papers": [
                {"kind": paper.kind, "file": str(path), "about": paper.about, "bytes": len(paper.data),
                 "sha256": sha256(paper.data).hexdigest()}
                for paper, path in zip(made.papers, paths, strict=True)
            ],
            "left_out": [{"kind": kind, **trouble.to_json()} for kind, trouble in made.left_out],
        })  # fmt: skip
        return
    wide = max((len(str(path)) for path in paths), default=0)
    for paper, path in zip(made.papers, paths, strict=True):
        click.echo(f"{path!s:{wide}}  {paper.about}")
    click.echo(f"\n{DEFERENCE}")

"""`rackwright new DIR`: a shop's folder with examples to be replaced, a key of its own and a record that begins."""

from __future__ import annotations

import json
import re
import shlex
import shutil
from importlib.resources import as_file, files
from pathlib import Path

import click

from rackwright.faces.cli.show import one_line
from rackwright.faces.cli.sign import first_password, given

__all__ = ["new"]

HEADER = """\
# Everything below but the name is the example of an invented shop. Replace prices, quotations, saw and least
# values by your own, each with its document, before relying on any plan.
"""


@click.command()
@click.argument("folder", metavar="DIR")
@click.option("--name", required=True, help="The shop's name, as papers and record show it.")
@click.option("--by", metavar="NAME", required=True, help="The first person: the shop's lead.")
@click.option(
    "--record", "url", metavar="URL", help="A PostgreSQL database for the record, instead of record.db."
)
@click.option(
    "--sign", metavar="FILE", help="A file whose first line is to be the lead's password; - for standard input. "
    "Else it is asked for.",
)  # fmt: skip
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def new(folder: str, name: str, by: str, url: str | None, sign: str | None, as_json: bool) -> None:
    """Make a shop's folder. Refused where anything stands already.

    From its first act on every act in it is signed. The lead's password is asked for here, or read with --sign; where
    neither can be, the lead sets it as the first act: rackwright log secret kind=password. The lead gives each person
    a one-time code (rackwright log code), and with it they set a PIN or password of their own (rackwright log secret).
    Nobody else knows it.

    \b
    Example:   rackwright new myshop --name 'Fell Bench Works' --by 'A. Quill'

    \b
    shop.toml      machines, prices, least values of certificates, house style   (examples: replace them)
    standards/     the shop's standard racks      variations/   customers' variations of them
    reference/     (make it where needed) rows of the shop's own: metals, fasteners, rules, each with its source
    stock.toml     bars and counted stock with their certificates
    record.db      the record, begun with the shop and its lead
    signers/       what passwords and PINs are checked against: keep a copy elsewhere; no backup holds it
    shop.key       the private key that signs dossiers: keep a copy elsewhere; no backup holds it
    shop.pub       its public half, for whoever receives dossiers: rackwright verify SERIAL.pdf --key shop.pub

    \b
    For many stations:   --record postgresql://NAME@HOST/DATABASE

    \b
    record.url     instead of record.db: the database, without a password (keep that in ~/.pgpass); all stations
                   share the folder, and no backup takes this file along
    """
    from rackwright.record import durable
    from rackwright.seal import key_id, new_seed, public_key, write_key, write_public_key
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.keeping.shop_folder import KEY, PUBLIC

    path = Path(folder)
    empty = [Fault("RW001", Where("command line", 0, option), "it is empty", f"give {option} a text")
             for option, text in (("--name", name), ("--by", by)) if not text.strip()]  # fmt: skip
    if empty:
        raise Stopped(empty)
    seed = new_seed()
    with durable.folder_made(path) as building:
        password = first_password(given(sign), by.strip())  # once it is known that the folder can be made
        _copy_examples(building, name.strip())
        _write_key(building / KEY, write_key(seed))
        (building / PUBLIC).write_text(write_public_key(public_key(seed)), "ascii")
        events = _begin(building, name.strip(), by.strip(), key_id(public_key(seed)), url, password)
    for seq, type in events:
        click.echo(f"recorded {seq} {type}", err=as_json)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"format": "rackwright/new/1", "folder": folder, "key_id": key_id(public_key(seed)),
                    "files": sorted(str(p.relative_to(path)) for p in path.rglob("*") if p.is_file())})  # fmt: skip
        return
    click.echo(f"\n{one_line(name)} in {folder}, key {key_id(public_key(seed))}")
    click.echo(
        "Give this key id, or shop.pub, to whoever receives dossiers, by another way than the dossier."
    )
    lead = shlex.quote(one_line(by.strip()))
    click.echo("Every act is signed. " + (
        f"{one_line(by.strip())} signs with the password; the others set a PIN or password with a code of the lead's."
        if password else f"Nobody can sign yet: first   rackwright log secret --by {lead} kind=password"
    ))  # fmt: skip
    click.echo(f"Next:   cd {shlex.quote(folder)} && rackwright check standards/*.toml variations/*.toml")
    click.echo(f"        rackwright log person --by {lead} person='B. Tarrow' roles=receiving,saw")
    click.echo(f"        rackwright log code --by {lead} person='B. Tarrow'")
    click.echo("        rackwright log secret --by 'B. Tarrow' kind=pin")


def _copy_examples(folder: Path, name: str) -> None:
    """The example texts, with the shop's own name, and read once: what `new` writes is sound."""
    from rackwright.work.load import load_shop

    with as_file(files("rackwright.demo") / "shop") as shop:
        shutil.copytree(shop, folder, ignore=shutil.ignore_patterns("__pycache__", "*.py"))
    path = folder / "shop.toml"
    text = re.sub(r"\A(#[^\n]*\n)+", "", path.read_text("utf-8"))
    named = f"name = {json.dumps(name, ensure_ascii=False)}".replace("\x7f", "\\u007f")
    text = re.sub(r"(?m)^name = .*$", lambda _: named, text, count=1)
    path.write_text(HEADER + text, "utf-8")
    load_shop(folder)


def _write_key(path: Path, text: str) -> None:
    from rackwright.work.keeping.shop_folder import write_whole

    write_whole(path, text.encode(), private=True)


def _begin(
    folder: Path, name: str, by: str, key: str, url: str | None, password: str
) -> list[tuple[int, str]]:
    """The founding events, on the disk."""
    from rackwright import record as records
    from rackwright.work.keeping.shop_folder import new_place
    from rackwright.work.people.founding import found
    from rackwright.work.people.signers import set_secret
    from rackwright.work.people.signing import PASSWORD
    from rackwright.work.station import open_station

    with new_place(folder, url) as place:
        records.create(place).close()
    station = open_station(folder, by)
    try:
        done = list(found(station, name, False, key).events)
        if password:
            done += set_secret(station, PASSWORD, password).events
    finally:
        station.record.close()
    return [(event.seq, event.type) for event in done]

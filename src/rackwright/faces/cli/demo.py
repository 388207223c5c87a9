"""`rackwright demo`: the whole job on the invented shop, without questions."""

from __future__ import annotations

from pathlib import Path

import click

from rackwright.faces.cli.main import print_json
from rackwright.trouble import DEFERENCE

__all__ = ["demo"]


@click.command(short_help="the whole job on an invented shop")
@click.argument("folder", default="demo-shop", type=click.Path(path_type=Path))
@click.option(
    "--variation", type=click.Path(path_type=Path), help="Play the order with this edited variation."
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout; progress on stderr.")
def demo(folder: Path, variation: Path | None, as_json: bool) -> int:
    """Play the invented shop's job: from a customer's variation to released serials with dossier and record.

    \b
    rackwright demo                         into demo-shop/
    rackwright demo DIR --variation FILE    the same order with an edited copy of the variation

    Everything is computed again each time. An event is printed `recorded N TYPE` only after its commit; a job
    that was cut off goes on where it stopped. Clock, ids and key are the demo's own. Exit 1 when a gate ends
    the job early.
    """
    from rackwright.demo import SECRETS, play
    from rackwright.faces.cli.files import read_bytes

    if variation is not None:
        read_bytes(variation)  # a missing or unreadable file is told before anything is made
    left = play(folder, variation, lambda line: click.echo(line, err=as_json))
    if as_json:
        print_json({
            "format": "rackwright/demo/1", "caution": DEFERENCE, "folder": str(folder),
            "files": dict(left.files),
            "trouble": [trouble.to_json() for trouble in left.troubles],
        })  # fmt: skip
        return 1 if left.troubles else 0
    click.echo(f"\nin {folder}:")
    for name, words in left.files:
        click.echo(f"  {name:35s} {words}")
    lead, *others = SECRETS.items()
    pins = ", ".join(f"{name} {pin}" for name, pin in others)
    click.echo(f"\nevery act was signed: {lead[0]} by the password {lead[1]!r}, by PIN {pins}; all that is known to "
               "everybody, as the key is")  # fmt: skip
    if left.troubles:
        click.echo("the job ended early: see the refusal above", err=True)
    click.echo(f"\n{DEFERENCE}")
    return 1 if left.troubles else 0

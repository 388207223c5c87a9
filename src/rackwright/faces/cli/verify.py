"""`rackwright verify DOSSIER.pdf`: offline, is this dossier whole and signed by that shop.

Needs the seal room and click alone, so that it answers where no engineering library is installed.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from rackwright.seal import Check, Seal, compare, read_seal
from rackwright.seal import trusted as trusted_of
from rackwright.seal import verify as checks_of
from rackwright.seal.handover import trust_beside
from rackwright.trouble import DEFERENCE, Fault, Refusal, Stopped, Where

__all__ = ["verify"]

MAX_BYTES = 500_000_000
SEAL_STARTS = b'{"earlier":['  # canonical JSON sorts its keys


@click.command()
@click.argument("dossier", metavar="DOSSIER.pdf")
@click.argument("other", metavar="[OTHER.pdf]", required=False)
@click.option(
    "--key",
    "given",
    metavar="KEYID|FILE",
    help="The shop's key id or public key file (shop.pub), as it came to you another way.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def verify(dossier: str, other: str | None, given: str | None, as_json: bool) -> int:
    """Is a dossier as it was sealed, and who signed it? Works offline, with the two files alone.

    \b
    Example:   rackwright verify papers/ER47V12-0001.pdf --key KEYID
               rackwright verify papers/ER47V12-0001.pdf --key shop.pub
               rackwright verify papers/ER47V12-0001.pdf papers/ER47V12-0002.pdf

    The seal is read beside the PDF: SERIAL.seal; and keys.json where the shop sent it, which joins the key of an
    older dossier to the one you know, or says that one is revoked. With OTHER both are verified and compared:
    are they of one record that was only ever appended to?

    Exit code 1: altered, forked, or not signed by the key you gave. 2: not a dossier at all.
    """
    trusted = None if given is None else trusted_of(given, _bytes)
    first, checks = _verified(dossier, trusted)
    document: dict[str, Any] = {
        "format": "rackwright/verify/1",
        "caution": DEFERENCE,
        **_document(dossier, first, checks),
    }
    everything = list(checks)
    if other is not None:
        second, more = _verified(other, trusted)
        compared = compare(first, second)
        everything += [*more, *compared]
        document["other"] = _document(other, second, more)
        document["compared"] = [_row(check) for check in compared]
        document["good"] = all(check.ok for check in everything)
    if not document["good"]:
        document["trouble"] = [refusal.to_json() for refusal in _refusals(dossier, everything)]
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(document)
    else:
        _print(dossier, checks)
        if other is not None:
            _print(other, more)
            _print("the two together", compared)
        words = "as sealed" if document["good"] else "NOT as sealed, see above"
        click.echo(f"\n{'The dossiers are' if other else 'The dossier is'} {words}.\n{DEFERENCE}")
    return 0 if document["good"] else 1


def _verified(pdf: str, trusted: str | None) -> tuple[Seal, list[Check]]:
    path = Path(pdf)
    if not path.name:
        raise Stopped(
            [Fault("RW602", Where(pdf), "this names no file", "give SERIAL.pdf with SERIAL.seal beside it")]
        )
    beside = path.with_suffix(".seal")
    if path.suffix.lower() == ".seal":
        path = path.with_suffix(".pdf")
    data, sealed = _bytes(path), _bytes(beside)
    seal, faults = read_seal(sealed, str(beside))
    if seal is None:
        if sealed.startswith(SEAL_STARTS):  # it was a seal
            found = "; ".join(fault.found for fault in faults)
            raise Stopped([Refusal("RW601", Where(str(beside)), f"the seal is broken: {found}",
                                   "get a fresh copy of both files from the shop")])  # fmt: skip
        raise Stopped(faults)
    return seal, checks_of(data, sealed, trusted, str(beside), trust_beside(path, _bytes))


def _bytes(path: Path) -> bytes:
    do = "give SERIAL.pdf with SERIAL.seal beside it"
    try:
        with open(path, "rb") as file:
            data = file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL character in the path
        what = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise Stopped([Fault("RW602", Where(str(path)), what.lower(), do)]) from None
    if len(data) > MAX_BYTES:
        raise Stopped([Fault("RW602", Where(str(path)), f"more than {MAX_BYTES} bytes", do)])
    return data


def _document(pdf: str, seal: Seal, checks: Sequence[Check]) -> dict[str, Any]:
    head = seal.head.head
    return {
        "dossier": pdf, "serial": seal.serial, "mark": seal.mark, "key_id": seal.key_id,
        "head": {"size": head.size, "root": head.root}, "checks": [_row(check) for check in checks],
        "good": all(check.ok for check in checks),
    }  # fmt: skip


def _row(check: Check) -> dict[str, Any]:
    return {"name": check.name, "ok": check.ok, "words": check.words}


def _refusals(pdf: str, checks: Sequence[Check]) -> list[Refusal]:
    return [Refusal("RW601", Where(pdf, 0, check.name), check.words, "get a fresh copy from the shop")
            for check in checks if not check.ok]  # fmt: skip


def _print(title: str, checks: Sequence[Check]) -> None:
    click.echo(title)
    for check in checks:
        words = "".join(c if c.isprintable() else "?" for c in check.words)
        click.echo(f"  {'ok' if check.ok else 'NO'}  {check.name}: {words}")

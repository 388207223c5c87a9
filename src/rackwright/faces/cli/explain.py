"""`rackwright explain RW104`: what a trouble code means, and the usual remedy."""

from __future__ import annotations

from difflib import get_close_matches

import click

from rackwright.trouble import CODES, FAMILIES, Fault, Stopped, Where

__all__ = ["explain"]


@click.command()
@click.argument("codes", metavar="[CODE]...", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def explain(codes: tuple[str, ...], as_json: bool) -> None:
    """What a trouble code means, and the usual remedy; without a code, all of them.

    \b
    Example:   rackwright explain RW104
    """
    wanted = [code.upper() for code in codes] or list(CODES)
    unknown = [_unknown(code) for code in wanted if code not in CODES]
    if unknown:
        raise Stopped(unknown)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"codes": [_document(code) for code in wanted]})
        return
    for code in wanted:
        click.echo(f"{code}  {CODES[code].meaning}\n       {CODES[code].remedy}")


def _document(code: str) -> dict[str, str]:
    known = CODES[code]
    return {"code": code, "family": FAMILIES[code[:3]], "meaning": known.meaning, "remedy": known.remedy}


def _unknown(code: str) -> Fault:
    near = get_close_matches(code, CODES, n=1)
    do = f"did you mean {near[0]}?" if near else "`rackwright explain` lists all codes"
    return Fault("RW001", Where("command line", 0, "CODE"), f"{code[:20]!r} is not a trouble code", do)

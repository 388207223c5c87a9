"""`rackwright check FILE…`: is a definition sound; every fault at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.design import Design

__all__ = ["check"]


@click.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True)
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above FILE, or RACKWRIGHT_SHOP."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def check(files: tuple[str, ...], shop: str | None, as_json: bool) -> None:
    """Is a standard or a variation sound: can it be read, and can it be built?

    \b
    Example:   rackwright check variations/*.toml

    All faults of all files are told at once, each with file, line, field, what was found and what would do;
    then the exit code is 2. Open questions are no faults: the file is PRELIMINARY until they are answered.
    """
    from rackwright.design import Design
    from rackwright.trouble import Stopped, Trouble
    from rackwright.work.load import load_rack

    designs: list[tuple[str, Design]] = []
    troubles: dict[Trouble, None] = {}  # files may share a base, and so its faults
    for file in files:
        try:
            design = Design(load_rack(file, shop))
        except Stopped as stopped:
            troubles |= dict.fromkeys(stopped.troubles)
            continue
        troubles |= dict.fromkeys(design.faults)
        designs.append((file, design))
    if troubles:
        raise Stopped(troubles)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"files": [_document(file, design) for file, design in designs]})
        return
    for file, design in designs:
        _print(file, design)


def _document(file: str, design: Design) -> dict[str, Any]:
    d = design.rack.definition
    questions = [{"id": q.id, "text": q.text, "blocks": list(q.blocks)} for q in design.questions]
    return {"file": file, "part": d.part, "revision": d.revision, "standard": design.rack.standard,
            "questions": questions, "marks": list(design.marks)}  # fmt: skip


def _print(file: str, design: Design) -> None:
    d = design.rack.definition
    asked = len(design.questions)
    words = f"; {asked} open question{'s' if asked > 1 else ''}:" if asked else ""
    marks = f" {', '.join(design.marks)}" if design.marks else ""
    click.echo(f"{file}: {d.part} revision {d.revision}, {len(design.pieces.made)} pieces{marks}{words}")
    for question in design.questions:
        click.echo(f"  {question.id}: {question.text} (blocks {', '.join(question.blocks)})")

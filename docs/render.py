"""Renders the documents that follow from the code, so that they cannot lie.

    python docs/render.py            writes codes.md, commands.md, formulas.md and schema/*.json beside this file
    python docs/render.py --check    writes nothing; exit code 1 and the names of those that are stale

A new file format is added to `SCHEMAS`; everything else is found in the code.
"""

from __future__ import annotations

import importlib
import json
import sys
from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

import click

HERE = Path(__file__).parent

#: format name -> (module, name of the model, title)
SCHEMAS: dict[str, tuple[str, str, str]] = {
    "rack-1": ("rackwright.rack.model", "Definition", "rackwright/rack/1: a standard rack"),
    "variation-1": ("rackwright.rack.vary", "Variation", "rackwright/variation/1: a variation of a standard"),
    "shop-1": ("rackwright.shop.model", "ShopFile", "rackwright/shop/1: a shop"),
    "stock-1": (
        "rackwright.shop.read_stock",
        "StockFile",
        "rackwright/stock/1: bars, plates and items of stock",
    ),
}

RENDERED = "<!-- written by docs/render.py; run `make docs` instead of editing -->\n\n"


def pages() -> dict[str, str]:
    """Every rendered document: path below docs/ -> text."""
    made = {"codes.md": codes(), "commands.md": commands(), "formulas.md": formulas()}
    return made | {f"schema/{name}.json": text for name, text in schemas()}


def codes() -> str:
    from rackwright.trouble import CODES, FAMILIES

    text = RENDERED + "# Trouble codes\n\n"
    text += "Every message of rackwright ends in its code. `rackwright explain CODE` prints the same rows.\n"
    text += "A code keeps its meaning for good.\n"
    for family, group in groupby(CODES, key=lambda code: code[:3]):
        text += f"\n## {family}xx: {FAMILIES[family]}\n\n| code | meaning | usual remedy |\n|---|---|---|\n"
        text += "".join(
            f"| {code} | {_cell(CODES[code].meaning)} | {_cell(CODES[code].remedy)} |\n" for code in group
        )
    return text


def commands() -> str:
    from rackwright.faces.cli.main import cli

    context = click.Context(cli, info_name="rackwright", terminal_width=100, **cli.context_settings)
    text = RENDERED + "# Commands\n"
    for words, help_text in _helps(cli, context):
        text += f"\n{'#' * min(4, 1 + len(words))} {' '.join(words)}\n\n```text\n{help_text}\n```\n"
    return text


def formulas() -> str:
    from rackwright.formulas.cards import cards

    text = (
        RENDERED
        + "# Formulas\n\nWhat is printed here is what is computed: a test compares every printed formula "
    )
    text += "with its function.\n`rackwright calc NAME` works one with values.\n"
    for chapter, group in groupby(cards().values(), key=lambda card: card.chapter):
        text += f"\n## {chapter.replace('_', ' ')}\n"
        for card in group:
            text += f"\n### {card.name}\n\n{card.title}\n\n```text\n{card.equation}\n"
            text += "".join(f"  with {name} = {steps}\n" for name, steps in card.where) + "```\n\n"
            text += "| symbol | meaning | SI | US |\n|---|---|---|---|\n"
            for symbol in (*card.symbols, card.result):
                many = " (one for each item)" if symbol.many else ""
                text += f"| `{symbol.name}` | {_cell(symbol.meaning)}{many} | {symbol.si_unit} | {symbol.unit} |\n"
            text += "".join(f"\nHolds for {limit}.\n" for limit in card.limits)
            text += f"\nSource: {card.source} ({card.how_known}).\n" + (
                f"\n{card.note}\n" if card.note else ""
            )
    return text


def schemas() -> Iterator[tuple[str, str]]:
    from rackwright.fields import schema

    for name, (module, model, title) in SCHEMAS.items():
        document = schema(getattr(importlib.import_module(module), model), title)
        yield name, json.dumps(document, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def _helps(command: click.Command, context: click.Context) -> Iterator[tuple[tuple[str, ...], str]]:
    """The help of a command and of all below it, with the words that call it."""
    yield tuple(context.command_path.split()), command.get_help(context).rstrip()
    if isinstance(command, click.Group):
        for name in command.list_commands(context):
            below = command.get_command(context, name)
            if below is not None:
                yield from _helps(
                    below, click.Context(below, parent=context, info_name=name, terminal_width=100)
                )


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def main(arguments: list[str]) -> int:
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    made = pages()
    stale = [name for name, text in made.items() if not _is(HERE / name, text)]
    left = [f"schema/{path.name}" for path in HERE.glob("schema/*.json") if f"schema/{path.name}" not in made]
    if arguments:
        for name in stale + left:
            print(f"docs/{name} is stale: run `make docs`", file=sys.stderr)
        return 1 if stale or left else 0
    for name in stale:
        (HERE / name).parent.mkdir(exist_ok=True)
        (HERE / name).write_text(made[name], "utf-8")
    for name in left:
        (HERE / name).unlink()
    return 0


def _is(path: Path, text: str) -> bool:
    return path.is_file() and path.read_text("utf-8") == text


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""`rackwright calc`: any formula with its card, worked with the values given."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.formulas.cards import Card, Symbol, Worked
    from rackwright.trouble import Fault

__all__ = ["calc"]


@click.command()
@click.argument("name")
@click.argument("values", metavar="[SYMBOL=VALUE]...", nargs=-1)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def calc(name: str, values: tuple[str, ...], as_json: bool) -> int:
    """Work a formula of the handbook chapters with numbers of your own.

    \b
    rackwright calc list                               every formula, chapter by chapter
    rackwright calc euler_load                         its card: symbols, range, source
    rackwright calc shank_shear Fsu="75 ksi" D="1/4 in" n=1
    rackwright calc centre m="22 kg, 14 kg" x="0.30, 0.32 m"

    A value carries its unit; a plain number has none. A row of values is comma-separated, and its items may
    leave the unit to the last. Outside its range a formula says so beside the result.
    """
    if name == "list" and not values:
        return _list(as_json)
    card = _find(name)
    if not values:
        return _card(card, as_json)
    worked = _work(card, values)
    if as_json:
        _print_json(_worked_document(worked))
    else:
        click.echo(_worked_text(worked))
    return 0


# --- read ----------------------------------------------------------------------------------------


def _find(name: str) -> Card:
    from rackwright.formulas.cards import cards
    from rackwright.trouble import Fault, Stopped, Where

    card = cards().get(name)
    if card is None:
        near = difflib.get_close_matches(name, cards(), n=3)
        do = f"did you mean {' or '.join(near)}?" if near else "`rackwright calc list` names them all"
        found = f"there is no formula {name[:60]!r}"
        raise Stopped([Fault("RW112", Where("command line", 0, "NAME"), found, do)])
    return card


def _work(card: Card, texts: tuple[str, ...]) -> Worked:
    """The formula worked with the values of the command line. Raises Stopped with every fault at once."""
    import numpy as np

    from rackwright.formulas.cards import explain
    from rackwright.trouble import Refusal, Stopped, Where

    values, faults = _values(card, texts)
    faults += _uneven(card, values)
    if faults:
        raise Stopped(faults)
    with np.errstate(all="ignore"):
        worked = explain(card.name, values)
    if not np.all(np.isfinite(worked.result)):
        do = next((note for note in worked.notes if note.startswith("outside")), "see the card for its range")
        found = f"{card.name} has no value for these numbers"
        raise Stopped([Refusal("RW114", Where("command line", 0, card.result.name), found, do)])
    return worked


def _values(card: Card, texts: tuple[str, ...]) -> tuple[dict[str, Any], list[Fault]]:
    from rackwright.trouble import Fault, Where
    from rackwright.units import QuantityError

    symbols = {one.name: one for one in card.symbols}
    given: dict[str, Any] = {}
    faults: list[Fault] = []
    for text in texts:
        key, equals, value = (part.strip() for part in text.partition("="))
        where = Where("command line", 0, key[:40])
        if not equals:
            faults.append(Fault("RW001", where, f"{text[:40]!r} gives no value", f"write {key[:40]}=VALUE"))
        elif key not in symbols:
            near = difflib.get_close_matches(key, symbols, n=1)
            hint = f", perhaps {near[0]}" if near else ""
            faults.append(Fault("RW113", where, f"{card.name} has no symbol {key[:40]!r}",
                                f"its symbols are {', '.join(symbols)}{hint}"))  # fmt: skip
        elif key in given:
            faults.append(Fault("RW113", where, f"{key} is given twice", "give it once"))
        else:
            try:
                given[key] = _read(symbols[key], value)
            except QuantityError as error:
                given[key] = None
                faults.append(Fault(error.code, where, error.found, error.do))
    for one in card.symbols:
        if one.name not in given:
            unit = f" {one.unit}" if one.unit else ""
            faults.append(Fault("RW113", Where("command line", 0, one.name), f"{one.name} is missing",
                                f'give {one.meaning}: {one.name}="…{unit}"'))  # fmt: skip
    return given, faults


def _read(one: Symbol, text: str) -> Any:
    import numpy as np

    if not one.many:
        return np.float64(one.read(text))
    items = [item.strip() for item in text.split(",")]
    unit = re.search(r"[A-Za-z].*$", items[-1])
    last = f" {unit[0]}" if unit else ""
    return np.array([one.read(item if re.search("[A-Za-z]", item) else item + last) for item in items])


def _uneven(card: Card, values: Mapping[str, Any]) -> list[Fault]:
    from rackwright.trouble import Fault, Where

    lengths = {
        one.name: len(values[one.name])
        for one in card.symbols
        if one.many and values.get(one.name) is not None
    }
    if len(set(lengths.values())) < 2:
        return []
    found = "rows of different length: " + ", ".join(f"{name} has {n}" for name, n in lengths.items())
    return [Fault("RW106", Where("command line"), found, "give each row one value for each item")]


# --- show ----------------------------------------------------------------------------------------


def _list(as_json: bool) -> int:
    from rackwright.formulas.cards import cards

    if as_json:
        _print_json(
            {"format": "rackwright/calc-list/1", "formulas": [_card_document(c) for c in cards().values()]}
        )
        return 0
    chapter = ""
    for card in cards().values():
        if card.chapter != chapter:
            chapter = card.chapter
            click.echo(f"{chapter.replace('_', ' ')}")
        click.echo(f"  {card.name:24s} {card.title}")
    click.echo("\n`rackwright calc NAME` shows a card, `rackwright calc NAME SYMBOL=VALUE …` works it.")
    return 0


def _card(card: Card, as_json: bool) -> int:
    if as_json:
        _print_json({"format": "rackwright/card/1", **_card_document(card)})
        return 0
    from rackwright.trouble import DEFERENCE

    given = " ".join(f'{one.name}="… {one.unit}"' if one.unit else f"{one.name}=…" for one in card.symbols)
    click.echo(f"{card}\n  work it: rackwright calc {card.name} {given}\n\n{DEFERENCE}")
    return 0


def _worked_text(worked: Worked) -> str:
    from rackwright.trouble import DEFERENCE

    card = worked.card
    lines = [f"{card.title}", f"  {card.equation}"]
    lines += [f"    with {name} = {text} = {_number(value)}" for name, text, value in worked.steps()]
    for one, si, us in worked.table():
        both = f"{_number(si)} {one.si_unit}" + (
            f" = {_number(us)} {one.unit}" if one.unit != one.si_unit else ""
        )
        mark = "→" if one is card.result else " "
        lines.append(f"{mark} {one.name:10s} = {both.strip()}   {one.meaning}")
    lines += [f"! {note}" for note in worked.notes]
    lines += [f"  source: {card.source} ({card.how_known})"] + [f"  {mark}" for mark in _marks(card)]
    if card.note:
        lines.append(f"  note: {card.note}")
    return "\n".join([*lines, "", DEFERENCE])


def _card_document(card: Card) -> dict[str, Any]:
    return {
        "name": card.name,
        "chapter": card.chapter,
        "title": card.title,
        "equation": card.equation,
        "where": [{"name": name, "expression": text} for name, text in card.where],
        "symbols": [_symbol_document(one) for one in card.symbols],
        "result": _symbol_document(card.result),
        "holds_for": [str(limit) for limit in card.limits],
        "source": card.source,
        "how_known": card.how_known,
        "note": card.note,
    }


def _symbol_document(one: Symbol) -> dict[str, Any]:
    return {"symbol": one.name, "meaning": one.meaning, "dimension": one.dimension, "unit_si": one.si_unit,
            "unit_us": one.unit, "units": list(one.words()), "row": one.many}  # fmt: skip


def _worked_document(worked: Worked) -> dict[str, Any]:
    card = worked.card
    rows = [
        {"symbol": one.name, "meaning": one.meaning, "value_si": _plain(si), "unit_si": one.si_unit,
         "value_us": _plain(us), "unit_us": one.unit}
        for one, si, us in worked.table()
    ]  # fmt: skip
    return {
        "format": "rackwright/calc/1",
        "name": card.name,
        "title": card.title,
        "equation": card.equation,
        "substituted_si": worked.substituted,
        "steps": [{"name": n, "expression": t, "value_si": _plain(v)} for n, t, v in worked.steps()],
        "values": rows[:-1],
        "result": rows[-1],
        "notes": list(worked.notes),
        "marks": _marks(card),
        "source": card.source,
        "how_known": card.how_known,
    }


def _marks(card: Card) -> list[str]:
    from rackwright.trouble import UNCONFIRMED

    return [UNCONFIRMED] if card.how_known == "memory" else []


def _print_json(document: dict[str, Any]) -> None:
    from rackwright.faces.cli.main import print_json
    from rackwright.trouble import DEFERENCE

    print_json({**document, "caution": DEFERENCE})
    click.echo(DEFERENCE, err=True)


def _plain(value: Any) -> Any:
    return value.tolist() if hasattr(value, "tolist") else float(value)


def _number(value: Any) -> str:
    plain = _plain(value)
    return ", ".join(f"{one:.7g}" for one in plain) if isinstance(plain, list) else f"{plain:.7g}"

"""`rackwright prove FILE`: mass, centre of gravity, margins, modes, reactions; what changed against the standard."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.design import Design
    from rackwright.shop import Shop

__all__ = ["prove"]

SHOWN = 12  # reasons told on the terminal; a rack that is not held has hundreds


@click.command()
@click.argument("file", metavar="FILE")
@click.option(
    "--against", metavar="BASE", help="Compare with this definition.  [default: the variation's standard]"
)
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above FILE, or RACKWRIGHT_SHOP."
)
@click.option(
    "--units", type=click.Choice(["us", "si"]), default="us", show_default=True,
    help="For the tables; JSON is SI, with the unit in each key.",
)  # fmt: skip
@click.option(
    "--payload", metavar="NAME=MASS", multiple=True,
    help='Also whether it holds with this total mass of an item or of what a shelf carries, as "recorder=30 lb".',
)  # fmt: skip
@click.option(
    "--envelope", is_flag=True,
    help="Also the question turned round: largest payloads, payload against CG, places of fittings, smallest tube.",
)  # fmt: skip
@click.option(
    "--damage",
    is_flag=True,
    help="Also how much damage may stay: least thickness and edge, largest hole, a bolt missing.",
)
@click.option(
    "--sensitivity",
    is_flag=True,
    help="Also which measurement matters most to which margin, by proving it anew.",
)
@click.option("--worked", is_flag=True, help="Work the governing margins in full: formula, numbers, source.")
@click.option(
    "--test-plan", metavar="ID", help="Print the test plan for a missing margin of this id, and no more."
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def prove(
    file: str,
    against: str | None,
    shop: str | None,
    units: str,
    payload: tuple[str, ...],
    envelope: bool,
    damage: bool,
    sensitivity: bool,
    worked: bool,
    test_plan: str | None,
    as_json: bool,
) -> int:
    """What a rack weighs and what it carries: mass, CG, load cases, margins, modes, reactions on the floor.

    \b
    Example:   rackwright prove variations/er-47-v12.toml
               rackwright prove new.toml --against old.toml --worked

    Exit code 1: a required margin is negative or missing, or a case has no equilibrium; the answer is still
    given in full, with the reasons (in JSON under `trouble`). Open questions alone (PRELIMINARY) are no reason.
    """
    from rackwright.design import Design
    from rackwright.trouble import Stopped
    from rackwright.work.load import load_rack
    from rackwright.work.run import shared

    design = Design(load_rack(file, shop), each=shared)
    if design.faults:
        raise Stopped(design.faults)
    if test_plan is not None:
        return _test_plan(design, test_plan, as_json)
    base = _base(file, against, shop)
    document, refusals = _answer(design, base, worked), list(design.refusals())
    if payload:
        from rackwright.faces.cli.prove_more import asked_of

        document["asked"], refused = asked_of(design, payload)
        refusals += refused
        document["trouble"] = [*document.get("trouble", []), *(refusal.to_json() for refusal in refused)]
    if envelope:
        from rackwright.faces.cli.prove_more import envelope_of

        document["envelope"] = _numbers(envelope_of(design, _shop_of(file, shop)))
    if damage:
        from rackwright.faces.cli.prove_more import damage_of

        document["damage"] = _numbers(damage_of(design))
    if sensitivity:
        from rackwright.faces.cli.prove_more import sensitivity_of

        document["sensitivity"] = _numbers(sensitivity_of(design))
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(document)
    else:
        from rackwright.faces.cli.prove_text import write

        write(document, us=units == "us")
    for refusal in refusals[:SHOWN]:
        click.echo(str(refusal), err=True)
    if len(refusals) > SHOWN:
        click.echo(f"and {len(refusals) - SHOWN} more: --json lists all under `trouble`", err=True)
    return 1 if refusals else 0


def _test_plan(design: Design, id: str, as_json: bool) -> int:
    """The plan of the test that a missing margin needs."""
    from rackwright.strength.evidence import needed
    from rackwright.strength.plan_of_test import plan_text
    from rackwright.trouble import Refusal, Stopped, Where

    found = {one.margin.id: one for one in needed(design.strength.margins)}
    if id not in found:
        known = ", ".join(found) or "none is missing for want of a value"
        raise Stopped(
            [
                Refusal(
                    "RW320",
                    Where(design.rack.file, 0, id),
                    "no missing margin has this id",
                    f"one of: {known}",
                )
            ]
        )
    text = plan_text(design.rack, design.pieces, found[id])
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json({"format": "rackwright/test-plan/1", "margin": id, "text": text})
    else:
        click.echo(text, nl=False)
    return 0


def _shop_of(file: str, shop: str | None) -> Shop | None:
    from rackwright.work.load import find_shop, load_shop

    folder = find_shop(file, shop)
    return None if folder is None else load_shop(folder)


def _base(file: str, against: str | None, shop: str | None) -> Design | None:
    """What to compare with: the definition named, else the standard that a variation stands on."""
    from rackwright.design import Design
    from rackwright.rack import base_of, read_rack
    from rackwright.trouble import Stopped
    from rackwright.work.load import find_shop, gather, load_rack, load_rows

    if against is not None:
        named = Design(load_rack(against, shop))
        if named.faults:
            raise Stopped(named.faults)
        return named
    source, bases = gather(file, shop)
    if not bases:
        return None
    while (name := base_of(source)) is not None:
        source = bases[name.lower()]
    standard, faults = read_rack(source, bases, load_rows(find_shop(file, shop)))
    base = Design(standard) if standard else None
    for fault in base.faults if base else faults:  # the variation itself is sound
        click.echo(f"nothing to compare with: {fault}", err=True)
    return base if base and not base.faults else None


def _answer(design: Design, base: Design | None, worked: bool) -> dict[str, Any]:
    from rackwright.answers import changes_json, prove_json

    document = prove_json(design)
    if base is not None:
        d = base.rack.definition
        document["against"] = {**changes_json(design, base), "against": f"{d.part} rev {d.revision}"}
    if worked:
        document["worked"] = _worked(design)
    if design.refusals():
        document["trouble"] = [refusal.to_json() for refusal in design.refusals()]
    plain: dict[str, Any] = _numbers(document)
    return plain


def _worked(design: Design) -> dict[str, Any]:
    """The governing margins, each as the formulas it went through."""
    from rackwright.formulas.cards import explain

    rows: dict[str, Any] = {}
    for margin in design.strength.governing:
        steps = [explain(name, values) for name, values in margin.steps]
        rows[margin.id] = [
            {
                "formula": step.card.name, "title": step.card.title, "equation": step.card.equation,
                "where": [{"name": name, "expression": text, "value_si": value} for name, text, value in step.steps()],
                "symbols": [{"name": one.name, "meaning": one.meaning, "value": value, "unit": one.si_unit,
                             "value_us": us, "unit_us": one.unit} for one, value, us in step.table()],
                "substituted": step.substituted, "result_si": step.result, "notes": list(step.notes),
                "source": step.card.source, "how_known": step.card.how_known,
            }
            for step in steps
        ]  # fmt: skip
    return rows


def _numbers(value: Any) -> Any:
    """Plain numbers for JSON. A number that a case without equilibrium does not have is null."""
    if isinstance(value, dict):
        return {key: _numbers(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_numbers(one) for one in value]
    if hasattr(value, "tolist"):
        return _numbers(value.tolist())
    return None if isinstance(value, float) and not math.isfinite(value) else value

"""What `rackwright prove` answers beyond the margins, each part told on stderr as it is begun."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from itertools import chain
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.design import Design
    from rackwright.shop import Shop
    from rackwright.trouble import Fault, Refusal, Where

__all__ = ["asked_of", "damage_of", "envelope_of", "sensitivity_of"]


def asked_of(design: Design, given: Sequence[str]) -> tuple[dict[str, Any], list[Refusal]]:
    """Does the rack hold with these masses, each `NAME=MASS`? Raises Stopped with every fault of what was given."""
    from math import isfinite

    from rackwright.strength import inverse
    from rackwright.trouble import Fault, Refusal, Stopped, Where

    known = inverse.places(design.rack)
    masses: dict[str, float] = {}
    faults: list[Fault] = []
    for number, text in enumerate(given, start=1):
        where = Where("command line", 0, f"--payload {number}")
        name, given_one, mass = text.rpartition("=")
        if not given_one:
            raise click.UsageError(f'--payload {text!r}: write NAME=MASS, as "recorder=30 lb".')
        found = [place for place in (name, f"equipment.{name}", f"shelf.{name}") if known.get(place)]
        kg, fault = _mass(mass, where)
        if not found:
            empty = any(place in known for place in (name, f"shelf.{name}"))
            what = (
                f"shelf {name!r} carries nothing"
                if empty
                else f"{name!r} is no item and no shelf of this rack"
            )
            faults.append(
                Fault("RW108", where, what, f"name one of {', '.join(p for p, on in known.items() if on)}")
            )
        elif any(set(known[found[0]]) & set(known[place]) for place in masses):
            faults.append(Fault("RW107", where, f"{name!r} is given a mass twice", "give each item one mass"))
        elif kg is not None:
            masses[found[0]] = kg
        if fault is not None:
            faults.append(fault)
    if faults:
        raise Stopped(faults)
    answer = inverse.asked(design.batch, masses)
    margin, holds = float(answer.margin[0]), bool(answer.holds[0])
    no = Refusal("RW303", Where("command line", 0, "--payload"), f"{answer.governing[0]}: margin {margin:+.3f}",
                 "carry less, or strengthen it: --envelope says how much")  # fmt: skip
    document = {"mass_kg": masses, "margin": margin if isfinite(margin) else None,
                "governing": answer.governing[0], "holds": holds}  # fmt: skip
    return document, [] if holds else [no]


def _mass(text: str, where: Where) -> tuple[float | None, Fault | None]:
    from rackwright.trouble import Fault
    from rackwright.units import QuantityError, parse_quantity

    try:
        kg = float(parse_quantity(text, "mass"))
    except QuantityError as error:
        return None, Fault(error.code, where, error.found, error.do)
    if not 0 <= kg <= 1e4:
        return None, Fault("RW106", where, f"found {text.strip()!r}", "give a mass from 0 to 10 000 kg")
    return kg, None


def envelope_of(design: Design, shop: Shop | None) -> dict[str, Any]:
    """Largest payloads, their envelope, where fittings may lie, the smallest tube of the shop's list."""
    from rackwright.strength import inverse
    from rackwright.strength.inverse import as_json

    batch, d = design.batch, design.rack.definition
    missing = batch.missing  # before it is shared out: every part needs it
    parts: list[tuple[str, str, Callable[[], Any]]] = [
        (
            "boundary",
            f"{one.name}: payload against centre of gravity",
            partial(inverse.envelope, batch, only=one.name),
        )
        for one in d.equipment
    ]
    parts += [
        ("fitting", f"{one.name}: where it may lie", partial(inverse.fitting_ranges, batch, only=one.name))
        for one in d.floor_fitting
        if any(strap.fitting == one.name for strap in d.strap)
    ]
    parts += [
        ("payload", "largest payloads", lambda: design.payloads),
        ("together", "all items at once", lambda: design.together),
    ]
    if shop is not None and shop.tube:
        parts.append(("tubes", "tubes of the shop's list", partial(design.tubes_tried, shop.tube)))

    def answered(n: int) -> Any:
        _say(parts[n][1])
        return parts[n][2]()

    answers = design.each(answered, len(parts))
    found = {key: [one for part, one in zip(parts, answers, strict=True) if part[0] == key] for key in
             ("payload", "together", "boundary", "fitting", "tubes")}  # fmt: skip
    return {
        "marks": list(design.marks),
        "left_aside": {margin.id: margin.why_missing for margin in missing},
        "payload": as_json.payloads_json(*found["payload"]),
        "together": as_json.together_json(*found["together"]),
        "boundary": as_json.boundaries_json(tuple(chain(*found["boundary"]))),
        "fitting": as_json.fittings_json(tuple(chain(*found["fitting"]))),
        "tubes": as_json.tubes_json(*found["tubes"]) if found["tubes"] else None,
    }


def damage_of(design: Design) -> dict[str, Any]:
    """How much damage may stay, and every joint with a bolt missing."""
    from rackwright.strength.inverse.as_json import damage_json

    _say("limits of damage")
    return damage_json(*design.damage)


def sensitivity_of(design: Design) -> list[dict[str, Any]]:
    """What a deviation of each kind of measurement takes off the margins, the most important first."""
    _say("sensitivity to measurements")
    return [
        {"measurement": one.what, "step": one.unit, "adverse": one.adverse, "least_margin_loses": one.least,
         "margin": one.margin or None, "margin_loses": one.loss, "margin_adverse": one.margin_adverse}
        for one in design.sensitivities
    ]  # fmt: skip


def _say(what: str) -> None:
    click.echo(f"  {what} ...", err=True)

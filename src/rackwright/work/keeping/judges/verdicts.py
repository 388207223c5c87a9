"""Whether what was written down as good follows from the numbers written down beside it.

A measurement says "within" of a value between two limits, a weighing of a mass beside the one computed: both are worked
out again here, exactly, from the texts.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from rackwright.trouble import Refusal
from rackwright.units import UNITS, QuantityError, parse_number, parse_quantity
from rackwright.work.gates import no, within
from rackwright.work.outcome import PLACES

__all__ = ["AGREEMENT", "true_verdict", "true_weight", "verdict_of"]

AGREEMENT = Fraction(1, 100)  # of the computed mass: common practice, no source
ROUNDED = Fraction(1, 10_000)  # kg, the last digit of a recorded mass


def true_verdict(body: Mapping[str, Any]) -> Refusal | None:
    """A measurement's verdict follows from its value and limits, by the rule and uncertainty stored with it."""
    guard = body["guard"]
    texts = [body["value"], body.get("lower", ""), body.get("upper", "")]
    if parse_number(guard["r"]):
        return _true_guard(body, guard, texts)
    value, low, high = _in_one_unit(texts)
    if value is None or body["within"] == within(value, low, high):
        return None
    return _wrong(body, texts)


def verdict_of(body: Mapping[str, Any]) -> dict[str, Any]:
    """`within` and `guard` as they follow from a measurement's value and the limits recorded with it."""
    guard = {name: value for name, value in body["guard"].items() if name != "undecided"}
    texts = [body["value"], body.get("lower", ""), body.get("upper", "")]
    texts += [guard.get("lower", ""), guard.get("upper", "")]
    value, low, high, in_low, in_high = _in_one_unit(texts)
    if value is None:
        return {}
    inside, held = within(value, low, high), within(value, in_low, in_high)
    if not parse_number(guard["r"]):
        return {"within": inside, "guard": guard}
    return {"within": held, "guard": guard | ({"undecided": True} if inside and not held else {})}


def _true_guard(body: Mapping[str, Any], guard: Mapping[str, Any], texts: list[str]) -> Refusal | None:
    """The limits that decided are the limits moved inward by r * U, and the verdict is theirs.

    Both are texts of four decimals: they may differ by a last place and the half that the limit was rounded by.
    """
    unit = (texts[1] or texts[2]).partition(" ")[2]
    moved = [guard.get("lower", ""), guard.get("upper", "")]
    place = f"{1 / 10**PLACES:.{PLACES}f} {unit}" if unit else ""
    value, low, high, in_low, in_high, spread, last = _in_one_unit(
        [*texts, *moved, guard.get("uncertainty", ""), place]
    )
    if value is None:
        return None
    if spread is None or last is None:
        return None if not unit and body["within"] else _wrong(body, texts)
    band = parse_number(guard["r"]) * spread
    for limit, inner, way in ((low, in_low, 1), (high, in_high, -1)):
        if (limit is None) != (inner is None):
            return _wrong(body, texts, moved)
        if (
            limit is not None
            and inner is not None
            and abs((inner - limit) * way - band) > Fraction(3, 2) * last
        ):
            return _wrong(body, texts, moved)
    held, inside = within(value, in_low, in_high), within(value, low, high)
    at_edge = any(limit is not None and abs(value - limit) <= last for limit in (low, high))
    undecided = bool(guard.get("undecided"))
    if body["within"] != held or (undecided and held) or (not at_edge and undecided != (inside and not held)):
        return _wrong(body, texts, moved)
    return None


def _wrong(body: Mapping[str, Any], texts: list[str], moved: Sequence[str] = ()) -> Refusal:
    about = body.get("piece") or body.get("serial", "")
    limits = f"{texts[1] or 'no limit'} to {texts[2] or 'no limit'}"
    said = "within" if body["within"] else "outside"
    by = f" by the guard band, {moved[0] or 'no limit'} to {moved[1] or 'no limit'}" if moved else ""
    found = f"{body['characteristic']} of {about} is {texts[0]}, said to be {said} {limits}{by}"
    return no("RW515", about, found, "measure it again")


def true_weight(body: Mapping[str, Any]) -> Refusal | None:
    """A weighing's mass is the sum of its readings, and its verdict follows from it."""
    try:
        mass, computed = (parse_quantity(body[name], "mass") for name in ("mass", "computed"))
        total = sum((parse_quantity(str(text), "mass") for text in body["readings"].values()), Fraction(0))
    except QuantityError:
        return None  # the layout of an event asks for quantities; one in another unit says nothing here
    near = (
        abs(mass - computed) - AGREEMENT * computed
    )  # both are kept rounded: at the very edge either verdict may be
    wrong = (near > 0) == body["within"] and abs(near) > 2 * ROUNDED
    if not wrong and (not body["readings"] or abs(total - mass) <= ROUNDED):
        return None
    found = f"{body['serial']}: {body['mass']} beside {body['computed']} computed, said to be " + (
        "within" if body["within"] else "outside"
    )
    return no("RW522", body["serial"], found, "weigh it again")


def _in_one_unit(texts: list[str]) -> list[Fraction | None]:
    """The quantities as numbers of one unit, None for an empty text; all None where they cannot be compared."""
    parts = [text.partition(" ") for text in texts]
    if len({unit for number, _, unit in parts if number}) == 1:
        try:
            return [Fraction(Decimal(number)) if number else None for number, _, _ in parts]
        except InvalidOperation:
            pass
    for dimension in UNITS:
        try:
            return [parse_quantity(text, dimension) if text else None for text in texts]
        except QuantityError:
            continue
    try:
        return [parse_number(text) if text else None for text in texts]
    except QuantityError:
        return [None] * len(texts)

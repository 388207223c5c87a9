"""What the papers of `work` share: heads, and numbers written for people with their units.

US units lead, SI follows where room is; a minus sign is a minus sign, not a hyphen.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from rackwright.design import Design
from rackwright.papers.house import Head, content_hash
from rackwright.rack.model import FloorFitting
from rackwright.record.office import Order
from rackwright.shop import Shop
from rackwright.strength.margin import Margin
from rackwright.trouble import REPLACED, UNCONFIRMED, Stopped
from rackwright.units import unit_factor

__all__ = [
    "AXES",
    "DEMO",
    "OWN_NOTE",
    "VARIANT_NOTE",
    "axis",
    "definition_hash",
    "digits",
    "force",
    "head",
    "in_unit",
    "load",
    "mark_note",
    "mark_of",
    "ms",
    "must_fit",
    "number",
    "ordered_words",
    "points_of",
    "pretty",
    "same_way",
    "short_names",
    "side_of",
    "signed",
    "variant",
]

DEMO = "DEMO"
NO_SHOP = "shop not given"
VARIANT_NOTE = (
    "Low, high: the straps' pretension; f.: with flexible joints; hot, cold: that extreme, else as fixed; CG: a "
    "corner of the items' CG tolerance, rack axes."
)
MARK_NOTE = "U: UNCONFIRMED, the margin rests on a reference row not yet compared with its source."
OWN_NOTE = "O: OWN ROW, a reference row of the shop's own stands where one was shipped."
AXES = "xyz"
SIDES = {"-x": "left", "+x": "right", "-y": "front", "+y": "rear", "-z": "bottom", "+z": "top"}


def definition_hash(design: Design) -> str:
    """SHA-256, in hex, of the resolved definition: the same for everything made from it."""
    return content_hash(design.rack.definition)


def head(
    design: Design,
    shop: Shop | None,
    title: str,
    number: str,
    date: str,
    demo: bool,
    more: Iterable[str] = (),
) -> Head:
    """The head of a paper about one design, with its marks."""
    d = design.rack.definition
    marks = tuple(dict.fromkeys((*((DEMO,) if demo else ()), *design.marks, *more)))
    return Head(
        shop.name if shop else NO_SHOP,
        title,
        number,
        d.revision,
        date,
        definition_hash(design),
        marks,
        notes=design.asked,
    )


def must_fit(design: Design) -> None:
    """Raises Stopped with the faults of a design that cannot be built: nothing is drawn of it."""
    if design.faults:
        raise Stopped(design.faults)


def axis(name: str) -> str:
    """`-y` as `−y`."""
    return name.replace("-", "−")


def side_of(face: str) -> str:
    """`-y` as `front −y`."""
    return f"{SIDES[face]} {axis(face)}"


def number(value: float, places: int) -> str:
    """A decimal with a true minus sign; a zero has no sign. Thousands are set apart by a thin space.

    What could not be computed (a case without equilibrium) is `none`.
    """
    if not np.isfinite(value):
        return "none"
    text = f"{value:,.{places}f}".replace(",", "\u2009")
    if text.strip("-0.") == "":
        text = text.lstrip("-")
    return text.replace("-", "−")


def signed(value: float, places: int) -> str:
    """With its sign, also where it is positive."""
    text = number(value, places)
    return text if text.startswith("−") or float(value) == 0 else f"+{text}"


def in_unit(value: float, word: str, places: int, unit: bool = True) -> str:
    """An SI value in the unit of this word."""
    text = number(value / float(unit_factor(word)), places)
    return f"{text} {pretty(word)}" if unit else text


def force(vector: NDArray[np.float64]) -> tuple[str, str, str]:
    """A force vector (N) in lbf, one text a component."""
    x, y, z = (in_unit(float(v), "lbf", 0, unit=False) for v in vector)
    return x, y, z


def ms(margin: float | None) -> str:
    """A margin of safety to two places, cut off downward so that it is never shown larger than it is."""
    if margin is None:
        return "missing"
    if margin >= 99.995:
        return "> 99"
    return signed(float(np.floor(margin * 100 + 1e-9)) / 100, 2)


def pretty(word: str) -> str:
    """A unit word as it is printed: `lb*in2` as `lb·in²`."""
    return word.translate(str.maketrans("*234", "·²³⁴")).replace("deg", "°")


def digits(value: float, significant: int = 5) -> str:
    """So many significant digits, with a power of ten where the number is very small or large."""
    if value == 0 or not np.isfinite(value):
        return "0" if value == 0 else "not a finite number"
    power = int(np.floor(np.log10(abs(value))))
    if -4 <= power < 6:
        text = number(value, max(0, significant - 1 - power))
        return text.rstrip("0").rstrip(".") if "." in text else text
    raised = str(power).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    return f"{number(value / 10.0**power, significant - 1)} × 10{raised}"


def load(value: float | None, unit: str) -> str:
    """An applied or allowable value of a margin in US units; an interaction is a plain number."""
    if value is None:
        return "–"
    if unit == "1":
        return number(value, 3)
    words = {"N": ("lbf", 0), "Pa": ("ksi", 2), "N*m": ("in*lbf", 0), "N/m": ("lbf/in", 1), "m": ("in", 3)}
    return in_unit(value, *words[unit])


def mark_of(margin: Margin) -> str:
    """`U` for a margin that rests on an unconfirmed row, `O` on an own one in a shipped one's place.

    Else a blank: an empty cell prints a dash.
    """
    letters = {UNCONFIRMED: "U", REPLACED: "O"}
    return "".join(letters[one] for one in margin.marks if one in letters) or " "


def mark_note(margins: Iterable[Margin]) -> str:
    """What the letters of these margins mean."""
    own = any(REPLACED in margin.marks for margin in margins)
    return f"{MARK_NOTE} {OWN_NOTE}" if own else MARK_NOTE


def variant(name: str) -> str:
    """A variant of the frame in a narrow column: `high, flexible joints, hot` as `high f., hot`."""
    return name.replace(", flexible joints", " f.")


def same_way(mode: NDArray[np.float64]) -> NDArray[np.float64]:
    """A mode with its sign, which means nothing, chosen: the first of its largest values is positive."""
    values = np.ravel(mode)
    first = int(np.argmax(np.abs(values) >= 0.999 * np.abs(values).max()))
    return mode if values[first] >= 0 else -mode


def short_names(letter: str, names: Sequence[str]) -> dict[str, str]:
    """Names as they are where all are short enough for a drawing's views, else a letter and a number."""
    if all(len(name) <= 4 for name in names):
        return {name: name for name in names}
    return {name: f"{letter}{n}" for n, name in enumerate(names, start=1)}


def points_of(fitting: FloorFitting) -> str:
    """The allowables of a floor fitting by angle above the floor, each level apart; "" where none is stated."""
    words = []
    for level in ("ultimate", "limit"):
        rows = [(one.pull, getattr(one, f"allowable_{level}")) for one in fitting.allowable or ()]
        texts = [f"{in_unit(force, 'lbf', 0, unit=False)} at {in_unit(pull, 'deg', 0, unit=False)}°"
                 for pull, force in rows if force is not None]  # fmt: skip
        if texts:
            words.append(f"{', '.join(texts)} ({level}, lbf)")
    return "; ".join(words)


def ordered_words(order: Order, line: str) -> str:
    """An order in words, or the line of it that a rack is of."""
    of = order.lines.get(line)
    if of is None:
        return f"{order.order} for {order.customer}"
    due = f", due {of.due}" if of.due else ""
    return (
        f"{order.named(line)}, {of.quantity} rack{'' if of.quantity == 1 else 's'} for {order.customer}{due}"
    )

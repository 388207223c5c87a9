"""What a formula is: its card, as data beside the function.

A card says symbols, dimensions, the printed formula, where it holds, its source and how that is known.
The printed text is written once, in a small algebra (`expression.py`): the dossier typesets it, `calc`
prints it, and a test evaluates it with an independent algebra library against the function.
"""

from __future__ import annotations

import importlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Any, TypeAlias

import numpy as np

from rackwright.formulas import expression
from rackwright.units import UNITS, parse_number, parse_quantity, unit_factor

__all__ = ["CHAPTERS", "Card", "Limit", "Num", "Symbol", "Worked", "cards", "explain"]

#: a float or a numpy array: every formula takes either, and mixes them by numpy's broadcasting
Num: TypeAlias = Any

CHAPTERS = (
    "section", "column", "interaction", "lug", "cone", "floor", "fastener", "fastener_group", "share", "net_section",
    "plate_buckling", "plate", "gusset", "joint_flexibility", "spigot", "thin_wall", "loads", "mass_props", "strap",
    "kerf", "thermal", "bend", "tightening", "clamp", "thread", "prying", "carrying_leg", "coating", "stack",
    "position", "oven", "electrical", "learning", "machining", "fits", "jet", "vibration",
)  # fmt: skip

_INCH = Fraction(254, 10_000)
_POUND = Fraction(45_359_237, 100_000_000)
_LBF = _POUND * Fraction(980_665, 100_000)
_BTU = Fraction("1055.05585262")  # J, international table

#: dimensions of formulas that no file asks for, each with its unit words and factors to SI (first = SI)
_MORE: dict[str, dict[str, Fraction]] = {
    "second_moment": {"m4": Fraction(1), "in4": _INCH**4, "mm4": Fraction(1, 10**12)},
    "section_modulus": {"m3": Fraction(1), "in3": _INCH**3, "mm3": Fraction(1, 10**9)},
    "mass_moment": {"kg*m2": Fraction(1), "lb*in2": _POUND * _INCH**2},
    "expansion": {"1/K": Fraction(1), "1/degF": Fraction(9, 5)},
    "temperature_change": {"K": Fraction(1), "degC": Fraction(1), "degF": Fraction(5, 9)},
    "compliance": {"m/N": Fraction(1), "in/lbf": _INCH / _LBF},
    "rotational_stiffness": {"N*m/rad": Fraction(1), "in*lbf/rad": _INCH * _LBF},
    "acceleration_density": {"g2/Hz": Fraction(1)},
    "acceleration": {"g": Fraction(1)},
    "volume_rate": {"m3/s": Fraction(1), "in3/min": _INCH**3 / 60},
    "area_rate": {"m2/s": Fraction(1), "in2/min": _INCH**2 / 60},
    "current": {"A": Fraction(1), "mA": Fraction(1, 1000), "uA": Fraction(1, 10**6)},
    "heat": {"J": Fraction(1), "Btu": _BTU, "kWh": Fraction(3_600_000)},
    "specific_heat": {"J/(kg*K)": Fraction(1), "Btu/(lb*degF)": _BTU / _POUND * Fraction(9, 5)},
    "conductivity": {"W/(m*K)": Fraction(1), "Btu/(h*ft*degF)": _BTU / 3600 / (12 * _INCH) * Fraction(9, 5)},
    "heat_transfer": {
        "W/(m2*K)": Fraction(1),
        "Btu/(h*ft2*degF)": _BTU / 3600 / (12 * _INCH) ** 2 * Fraction(9, 5),
    },
    "coverage": {"m2/kg": Fraction(1), "ft2/lb": (12 * _INCH) ** 2 / _POUND},
}


@dataclass(frozen=True)
class Symbol:
    """One symbol: its name in the formula, its dimension ("1" = plain number), US unit word and meaning."""

    name: str
    dimension: str
    unit: str  # the unit of the US display; SI is the first word of the dimension
    meaning: str
    many: bool = False  # a row of values, one for each item

    @property
    def si_unit(self) -> str:
        return self.words()[0]

    def words(self) -> tuple[str, ...]:
        """The unit words allowed for this symbol, SI first; empty text for a plain number."""
        if self.dimension == "1":
            return ("",)
        return tuple(_MORE[self.dimension]) if self.dimension in _MORE else UNITS[self.dimension]

    def factor(self, word: str = "") -> float:
        """Factor from a unit word (default: the US display) to SI."""
        word = word or self.unit
        if self.dimension == "1":
            return 1.0
        return float(_MORE[self.dimension][word] if self.dimension in _MORE else unit_factor(word))

    def read(self, text: str) -> float:
        """The SI value of `number unit` text. Raises QuantityError when number or unit are not right."""
        from rackwright.units import QuantityError

        if self.dimension == "1":
            return float(parse_number(text))
        if self.dimension not in _MORE:
            return float(parse_quantity(text, self.dimension))
        for word in sorted(self.words(), key=len, reverse=True):
            if text.strip().endswith(word):
                number = text.strip().removesuffix(word)
                return float(parse_number(number) * _MORE[self.dimension][word])
        raise QuantityError("RW104", f"{text!r} has no unit of {self.dimension.replace('_', ' ')}",
                            f"use one of {', '.join(self.words())}")  # fmt: skip


@dataclass(frozen=True)
class Limit:
    """Where a formula holds: an expression in its symbols, its bounds, and why."""

    of: str
    low: float | None = None
    high: float | None = None
    why: str = ""

    def note(self, values: Mapping[str, Num]) -> str | None:
        """What to tell when values (SI) lie outside; None when inside."""
        value = np.asarray(expression.evaluate(self.of, values))
        below = self.low is not None and bool(np.any(~(value >= self.low - 1e-12 * abs(self.low))))
        beyond = self.high is not None and bool(np.any(~(value <= self.high + 1e-12 * abs(self.high))))
        if not below and not beyond:
            return None
        found = float(value.min() if below else value.max())
        return f"outside its range: {self.of} = {found:.4g}, but {self}"

    def __str__(self) -> str:
        why = f" ({self.why})" if self.why else ""
        low = "" if self.low is None else f"{self.low:g} ≤ "
        return f"{low}{self.of}{'' if self.high is None else f' ≤ {self.high:g}'}{why}"


@dataclass(frozen=True)
class Card:
    """One formula. `printed` is an expression for the result, or an equation that the result solves."""

    name: str
    title: str
    symbols: tuple[Symbol, ...]
    result: Symbol
    printed: str
    source: str
    how_known: str
    function: Callable[..., Num]
    where: tuple[tuple[str, str], ...] = ()  # steps before: name, expression
    limits: tuple[Limit, ...] = ()
    note: str = ""

    @property
    def chapter(self) -> str:
        return self.function.__module__.rpartition(".")[2]

    @property
    def equation(self) -> str:
        """The formula as text: `result = expression`, or the equation the result solves."""
        return self.printed if _is_equation(self.printed) else f"{self.result.name} = {self.printed}"

    @property
    def typst(self) -> str:
        """The formula as Typst math markup."""
        return _typeset(self, expression.typst)

    def __str__(self) -> str:
        rows = [f"{self.name}: {self.title} [chapter {self.chapter}]", f"  {self.equation}"]
        rows += [f"    with {name} = {text}" for name, text in self.where]
        for one in (*self.symbols, self.result):
            unit = "plain number" if one.dimension == "1" else f"{one.si_unit} ({one.unit})"
            many = ", comma-separated" if one.many else ""
            rows.append(f"  {one.name:10s} {one.meaning} [{unit}{many}]")
        rows += [f"  holds for {limit}" for limit in self.limits]
        rows += [f"  source: {self.source} ({self.how_known})"] + (
            [f"  note: {self.note}"] if self.note else []
        )
        return "\n".join(rows)


@dataclass(frozen=True)
class Worked:
    """A formula with numbers put in: what a dossier prints and a reader can follow."""

    card: Card
    values: Mapping[str, Num]  # SI
    result: Num  # SI
    notes: tuple[str, ...]

    @property
    def substituted(self) -> str:
        """The formula as text with SI values in place of symbols."""
        texts = {name: _shown(value) for name, value in self._all().items()}
        return expression.substitute(self.card.printed, texts)

    @property
    def typst(self) -> str:
        """The formula with SI values in place of symbols, as Typst math markup."""
        texts = {name: _shown(value) for name, value in self._all().items()}
        return _typeset(self.card, lambda text: expression.typst(text, texts))

    def steps(self) -> tuple[tuple[str, str, Num], ...]:
        """The steps before the result: name, expression, value."""
        values = self._all()
        return tuple((name, text, values[name]) for name, text in self.card.where)

    def table(self) -> tuple[tuple[Symbol, Num, Num], ...]:
        """Every symbol with its value in SI and in the US unit; the result last."""
        rows = [(one, self.values[one.name]) for one in self.card.symbols] + [(self.card.result, self.result)]
        return tuple((one, value, value / one.factor()) for one, value in rows)

    def _all(self) -> dict[str, Num]:
        values = dict(self.values)
        for name, text in self.card.where:
            values[name] = expression.evaluate(text, values)
        return values


@cache
def cards() -> Mapping[str, Card]:
    """Every card by name, chapter by chapter."""
    found: dict[str, Card] = {}
    for chapter in CHAPTERS:
        for card in importlib.import_module(f"rackwright.formulas.{chapter}").CARDS:
            if card.name in found:
                raise ValueError(f"two cards are named {card.name}")
            found[card.name] = card
    return found


def explain(name: str, values: Mapping[str, Num]) -> Worked:
    """The formula of this name worked with SI values. Raises KeyError for a name or symbol that is not there."""
    card = cards()[name]
    wanted = {one.name for one in card.symbols}
    if wanted != set(values):
        raise KeyError(f"{name} takes {', '.join(sorted(wanted))}, not {', '.join(sorted(values))}")
    values = {
        s.name: np.asarray(values[s.name], dtype=float) if s.many else values[s.name] for s in card.symbols
    }
    result = card.function(**values)
    notes = [note for limit in card.limits if (note := limit.note(values))]
    if not np.all(np.isfinite(np.asarray(result, dtype=float))):
        notes.append("the result is not a finite number")
    return Worked(card, values, result, tuple(notes))


def _is_equation(text: str) -> bool:
    return "==" in text


def _typeset(card: Card, show: Callable[[str], str]) -> str:
    if _is_equation(card.printed):
        left, _, right = card.printed.partition("==")
        return f"{show(left.strip())} = {show(right.strip())}"
    return f"{expression.typst(card.result.name)} = {show(card.printed)}"


def _shown(value: Num) -> str:
    array = np.asarray(value, dtype=float)
    if array.ndim == 0:
        return f"{float(array):.6g}"
    return "(" + ", ".join(f"{float(v):.6g}" for v in array.ravel()) + ")"

"""What is printed is what is computed: every card against its function, with an independent algebra library."""

from __future__ import annotations

import importlib
import inspect
from typing import Any

import numpy as np
import pytest
import sympy
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.formulas import expression
from rackwright.formulas.cards import CHAPTERS, Card, Symbol, cards, explain
from rackwright.units import QuantityError

NAMES = sorted(cards())
ITEMS = 4  # items in a row symbol

#: where random values of a dimension are drawn from, in SI; a card's limits then select
DRAW = {
    "1": (0.05, 3.0), "length": (0.002, 1.0), "area": (1e-5, 1e-2), "mass": (0.1, 90.0), "force": (10.0, 5e4),
    "stress": (1e7, 6e8), "density": (900.0, 8000.0), "moment": (1.0, 500.0), "line_load": (10.0, 1e3),
    "angle": (0.05, 1.4), "stiffness": (1e3, 1e7), "frequency": (5.0, 500.0), "second_moment": (1e-9, 1e-5),
    "section_modulus": (1e-7, 1e-4), "mass_moment": (1e-3, 5.0), "expansion": (5e-6, 3e-5),
    "temperature_change": (-30.0, 30.0), "acceleration_density": (1e-4, 0.1), "acceleration": (0.01, 20.0),
    "voltage": (1e-3, 1e3), "current": (1e-6, 10.0), "resistance": (1e-3, 1e6), "heat": (1e3, 1e7),
    "specific_heat": (300.0, 1000.0), "conductivity": (10.0, 250.0), "heat_transfer": (5.0, 60.0),
    "time": (60.0, 7200.0), "speed": (1e-3, 5.0), "power": (100.0, 2e4), "volume": (1e-6, 1e-3),
    "volume_rate": (1e-7, 1e-5), "area_rate": (1e-5, 1e-3), "compliance": (1e-9, 1e-7),
    "rotational_stiffness": (1e3, 1e6),
}  # fmt: skip


def draw(card: Card, rng: np.random.Generator) -> dict[str, Any]:
    """Random values inside the card's range."""
    for _ in range(3000):
        values = {one.name: _draw(one, rng) for one in card.symbols}
        if not any(limit.note(values) for limit in card.limits):
            return values
    raise AssertionError(f"{card.name}: no values found inside its range")


def _draw(one: Symbol, rng: np.random.Generator) -> Any:
    low, high = DRAW[one.dimension]
    if one.name in ("E", "G"):
        low, high = 1e10, 2.1e11
    if one.name == "Q":
        low, high = 5.0, 50.0
    if one.name in ("t", "kerf", "trim", "f", "p", "r", "r1", "r2"):
        low, high = 0.0002, 0.02
    size = ITEMS if one.many else None
    return np.exp(rng.uniform(np.log(low), np.log(high), size)) if low > 0 else rng.uniform(low, high, size)


def algebra(card: Card, values: dict[str, Any]) -> list[sympy.Expr]:
    """The printed formula by computer algebra, one result an item; an equation gives left minus right."""
    many = {one.name for one in card.symbols if one.many}
    local = {name: sympy.Symbol(name) for name in _names(card)}
    local |= {"total": sympy.Function("total")}
    left, equation, right = card.printed.partition("==")
    printed = sympy.sympify(left, locals=local)
    if equation:
        printed -= sympy.sympify(right, locals=local)
    for name, text in reversed(card.where):
        printed = printed.subs(local[name], sympy.sympify(text, locals=local))

    def item(of: sympy.Expr, i: int) -> sympy.Expr:
        return of.subs({local[name]: sympy.Symbol(f"{name}{i}") for name in many})

    def inner(of: sympy.Expr) -> sympy.Expr:
        """Sums from the inside out."""
        if not of.args:
            return of
        of = of.func(*(inner(arg) for arg in of.args))
        return sympy.Add(*(item(of.args[0], i) for i in range(ITEMS))) if of.func == local["total"] else of

    printed = inner(printed)
    numbers = {}
    for name, value in values.items():
        for i, one in enumerate(np.atleast_1d(value)):
            numbers[sympy.Symbol(f"{name}{i}") if name in many else local[name]] = sympy.Float(float(one), 60)
    count = ITEMS if card.result.many else 1
    return [item(printed, i).subs(numbers) for i in range(count)]


def _names(card: Card) -> set[str]:
    texts = [text for _, text in card.where] + card.printed.split("==")
    return set().union(*(expression.names(text) for text in texts)) | {name for name, _ in card.where}


@pytest.mark.parametrize("name", NAMES)
def test_printed_formula_is_the_function(name: str) -> None:
    card = cards()[name]
    rng = np.random.default_rng(len(name))
    for _ in range(6):
        values = draw(card, rng)
        ours = np.atleast_1d(card.function(**values))
        theirs = algebra(card, values)
        assert len(ours) == len(theirs)
        for mine, other in zip(ours, theirs, strict=True):
            if "==" in card.printed:  # the result must solve it, and no smaller positive value may
                result = sympy.Symbol(card.result.name)
                root = float(sympy.nsolve(other, result, mine, prec=40))
                assert mine == pytest.approx(root, rel=1e-12)
                assert all(float(other.subs(result, part * mine)) < 0 for part in (0.1, 0.5, 0.9))
            else:
                assert mine == pytest.approx(float(other.evalf(40)), rel=1e-12, abs=1e-300)


@pytest.mark.parametrize("name", NAMES)
def test_arrays_give_what_scalars_give(name: str) -> None:
    card = cards()[name]
    rng = np.random.default_rng(7)
    draws = [draw(card, rng) for _ in range(3)]
    stacked = {s.name: np.array([d[s.name] for d in draws]) for s in card.symbols}
    one_by_one = np.array([card.function(**values) for values in draws])
    assert card.function(**stacked) == pytest.approx(one_by_one, rel=1e-13)


@pytest.mark.parametrize("name", NAMES)
def test_own_algebra_agrees_with_the_function(name: str) -> None:
    """The steps a dossier prints lead to the result it prints."""
    card = cards()[name]
    worked = explain(name, draw(card, np.random.default_rng(3)))
    values = dict(worked.values) | {step: value for step, _, value in worked.steps()}
    left, equation, right = card.printed.partition("==")
    if equation:
        values[card.result.name] = worked.result
        assert expression.evaluate(left, values) == pytest.approx(float(right), rel=1e-12)
    else:
        assert expression.evaluate(left, values) == pytest.approx(worked.result, rel=1e-12)
    assert worked.notes == ()


@pytest.mark.parametrize("chapter", CHAPTERS)
def test_every_public_formula_has_its_card(chapter: str) -> None:
    module = importlib.import_module(f"rackwright.formulas.{chapter}")
    functions = {name for name in module.__all__ if callable(getattr(module, name))}
    assert {card.name for card in module.CARDS} == functions
    for card in module.CARDS:
        assert card.function is getattr(module, card.name)
        assert card.chapter == chapter


@pytest.mark.parametrize("name", NAMES)
def test_a_card_says_what_a_reader_needs(name: str) -> None:
    card = cards()[name]
    assert [one.name for one in card.symbols] == list(inspect.signature(card.function).parameters)
    for one in (*card.symbols, card.result):
        assert one.meaning, one.name
        assert one.unit in one.words()
        assert one.factor(one.si_unit) == 1.0
        assert one.factor() > 0
    known = {one.name for one in card.symbols} | {step for step, _ in card.where}
    assert _names(card) <= known | {card.result.name}
    assert card.source
    assert card.how_known in ("read", "memory", "derived", "common practice")
    assert card.printed in str(card)


def test_typeset_formulas_compile() -> None:
    """Symbols and numbers: the markup of every card is accepted by the typesetter that prints the dossier."""
    typst = pytest.importorskip("typst")
    rng = np.random.default_rng(5)
    lines = []
    for card in cards().values():
        lines.append(f"$ {card.typst} $ $ {explain(card.name, draw(card, rng)).typst} $")
        lines += [f"$ {expression.typst(step)} = {expression.typst(text)} $" for step, text in card.where]
    pdf = typst.compile("\n\n".join(lines).encode())
    assert pdf.startswith(b"%PDF")


@pytest.mark.parametrize(
    ("text", "markup"),
    [
        ("a*(b + c)", "a (b + c)"),
        ("(t/b)**2", "((t)/(b))^(2)"),
        ("a - (b - c)", "a - (b - c)"),
        ("-a*b", "(-a) b"),
        ("(-a)**2", "(-a)^(2)"),
        ("a*b/c", "(a b)/(c)"),
        ("Fsu*rho", 'F_"su" rho'),
        ("applied*factor", '"applied" dot "factor"'),
        ("allowable/MS", '("allowable")/("MS")'),
    ],
)
def test_markup_keeps_brackets_where_they_matter(text: str, markup: str) -> None:
    assert expression.typst(text) == markup


def test_markup_of_numbers_keeps_sign_and_power() -> None:
    assert expression.typst("a*b**2", {"a": "-2", "b": "1.5e+06"}) == "(-2) dot (1.5 times 10^(6))^(2)"


def test_outside_its_range_the_card_says_so() -> None:
    inside = {"F15": 64.0, "F20": 82.0, "ed": 1.75}
    assert explain("bearing_allowable", inside).notes == ()
    low = explain("bearing_allowable", inside | {"ed": 1.49})
    assert np.isnan(low.result)
    assert "no value exists" in " ".join(low.notes)


@given(text=st.text(alphabet="ab+*()/ .0123", max_size=12))
@settings(max_examples=60)
def test_the_algebra_takes_nothing_else(text: str) -> None:
    """Whatever is not in the small algebra is refused, never run."""
    try:
        value = expression.evaluate(text, {"a": 1.5, "b": 2.0})
    except (SyntaxError, ValueError, KeyError, ZeroDivisionError, TypeError, OverflowError, MemoryError):
        return
    assert isinstance(value, (int, float))


@pytest.mark.parametrize("text", ["__import__('os')", "a.real", "[1]", "lambda: 1", "a if a else a"])
def test_code_is_not_algebra(text: str) -> None:
    with pytest.raises((ValueError, KeyError)):
        expression.evaluate(text, {"a": 1.0})


def test_symbols_read_quantities_in_any_of_their_units() -> None:
    inertia = Symbol("I", "second_moment", "in4", "")
    assert inertia.read("1 in4") == pytest.approx(0.0254**4, rel=1e-15)
    assert inertia.read("1/2 mm4") == pytest.approx(5e-13)
    with pytest.raises(QuantityError):
        inertia.read("1 in")
    with pytest.raises(QuantityError):
        Symbol("n", "1", "", "").read("2 in")


def test_an_unknown_symbol_is_named() -> None:
    with pytest.raises(KeyError, match="takes"):
        explain("shank_shear", {"Fsu": 1.0})

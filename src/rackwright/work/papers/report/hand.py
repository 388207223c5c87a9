"""A margin worked by hand: what a reader with paper and a pocket calculator gets from the figures that are printed.

Every step's formula with its numbers as printed to six digits, evaluated in decimal arithmetic from that text alone,
beside what the program's function gave.
"""

from __future__ import annotations

import ast
import math
from collections.abc import Iterator, Mapping
from decimal import Decimal, localcontext

import numpy as np

from rackwright.design import Design
from rackwright.formulas import expression
from rackwright.formulas.cards import Worked, explain
from rackwright.papers.table import Block, Table, Text
from rackwright.strength.margin import Margin
from rackwright.work.papers.words import digits, ms

__all__ = ["apart", "by_decimal", "margin_by_hand"]

PI = Decimal("3.14159265358979323846264338327950288")


# --- decimal arithmetic on printed formulas ------------------------------------------------------


def by_decimal(text: str, values: Mapping[str, Decimal] | None = None) -> Decimal:
    """The value of a printed formula with its numbers in place, in decimal arithmetic of 30 digits.

    Nothing of the program's own functions is used, except that angles go through the machine's sine and cosine.
    Raises ValueError for what is not in the small algebra, or holds a row of values.
    """
    with localcontext() as context:
        context.prec = 30
        return _decimal(ast.parse(text.strip(), mode="eval").body, values or {})


def _decimal(node: ast.expr, values: Mapping[str, Decimal]) -> Decimal:
    match node:
        case ast.Constant(value=int(figure) | float(figure)):
            return Decimal(repr(figure))
        case ast.Name(id="pi"):
            return PI
        case ast.Name(id=name):
            return values[name]
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_decimal(inner, values)
        case ast.BinOp(left=left, op=op, right=right):
            a, b = _decimal(left, values), _decimal(right, values)
            match op:
                case ast.Add():
                    return a + b
                case ast.Sub():
                    return a - b
                case ast.Mult():
                    return a * b
                case ast.Div():
                    return a / b
                case ast.Pow():
                    return a**b if a or b < 0 else Decimal(int(b == 0))
        case ast.Call(func=ast.Name(id="Piecewise"), args=branches):
            for branch in branches:
                assert isinstance(branch, ast.Tuple)
                value, condition = branch.elts
                if _true(condition, values):
                    return _decimal(value, values)
        case ast.Call(func=ast.Name(id=name), args=args):
            return _call(name, [_decimal(arg, values) for arg in args])
    raise ValueError(f"not worked by hand: {ast.dump(node)}")


def _true(node: ast.expr, values: Mapping[str, Decimal]) -> bool:
    if isinstance(node, ast.Constant):
        return bool(node.value)
    assert isinstance(node, ast.Compare)
    a, b = _decimal(node.left, values), _decimal(node.comparators[0], values)
    return {ast.Lt: a < b, ast.LtE: a <= b, ast.Gt: a > b, ast.GtE: a >= b}[type(node.ops[0])]


def _call(name: str, args: list[Decimal]) -> Decimal:
    match name:
        case "sqrt":
            return args[0].sqrt()
        case "Abs":
            return abs(args[0])
        case "Max":
            return max(args)
        case "Min":
            return min(args)
        case "log":
            return args[0].ln()
        case "sin" | "cos" | "tan" | "atan":
            return Decimal(repr(getattr(math, name)(float(args[0]))))
    raise ValueError(f"{name} is not worked by hand")


# --- one margin ----------------------------------------------------------------------------------


def margin_by_hand(design: Design) -> Iterator[Block]:
    """The least margin all of whose steps are of single numbers."""
    for margin in sorted((m for m in design.strength.margins if m.margin is not None and m.steps),
                         key=lambda m: (m.margin or 0.0, m.id)):  # fmt: skip
        try:
            rows = list(_steps(margin))
        except (ValueError, SyntaxError, KeyError):
            continue
        assert margin.margin is not None
        yield Text(
            f"{margin.id} in {margin.case}, {margin.pretension} pretension"
            f"{', ' + margin.place if margin.place else ''}: M.S. {ms(margin.margin)} ({digits(margin.margin, 6)})."
        )
        yield Table(
            "",
            ("step", "formula with its numbers, SI", "by hand", "by the program", "differ by"),
            tuple(rows),
            align="lirrr",
            widths=(1.9, 4.4, 1.2, 1.2, 0.95),
            note="By hand: the text of the second column evaluated in decimal arithmetic, from the "
            "digits printed. Where "
            "the formula is an equation, its left and its right side with the program's result put in. What differs is "
            "what rounding to six "
            "digits leaves. The first load or moment is the frame's; the free body below shows where it comes from.",
        )
        return
    yield Text("There is no margin to work.")


def _steps(margin: Margin) -> Iterator[tuple[str, str, str, str, str]]:
    for name, values in margin.steps:
        done = explain(name, values)
        if any(symbol.many for symbol in done.card.symbols):
            raise ValueError("a row of values")
        yield from _where(done)
        ours = float(np.max(done.result))
        left, equation, right = done.substituted.partition("==")
        if equation:
            name, put_in = done.card.result.name, f"{ours:.9g}"
            sides = [by_decimal(one, {name: Decimal(put_in)}) for one in (left, right)]
            text = f"{_readable(left)} = {_readable(right)}, with the {name} that the program found, {put_in}"
            yield (done.card.title, text, f"left side {digits(float(sides[0]), 9)}",
                   f"right side {digits(float(sides[1]), 9)}", apart(sides[0], float(sides[1])))  # fmt: skip
        else:
            found = by_decimal(done.substituted)
            text = f"{done.card.result.name} = {_readable(done.substituted)}"
            yield done.card.title, text, _six(found), digits(ours, 6), apart(found, ours)


def _where(done: Worked) -> Iterator[tuple[str, str, str, str, str]]:
    texts = {name: f"{float(value):.6g}" for name, value in done.values.items()}
    for name, text, value in done.steps():
        put_in = expression.substitute(text, texts)
        found = by_decimal(put_in)
        texts[name] = f"{float(value):.6g}"
        yield (f"in it, {name}", f"{name} = {_readable(put_in)}", _six(found), digits(float(value), 6),
               apart(found, float(value)))  # fmt: skip


def _six(value: Decimal) -> str:
    return digits(float(value), 6)


def apart(found: Decimal, ours: float) -> str:
    size = max(abs(ours), 1e-30)
    share = abs(float(found) - ours) / size
    return "0" if share < 5e-7 else f"{100 * share:.4f} %"


def _readable(text: str) -> str:
    return text.replace("**", "^").replace("*", " · ").replace("-", "−")

"""The small algebra printed formulas are written in: read once, evaluated, substituted and typeset.

Numbers, names, + - * / **, comparisons inside `Piecewise((value, condition), …)`, and the functions below.
`total(x)` sums over the items of a row; `pi` is π. The text is also valid input for a computer-algebra
library, which is how a test compares it with the function it stands beside.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Mapping
from functools import cache, reduce
from typing import Any

import numpy as np

__all__ = ["evaluate", "names", "substitute", "typst"]

_FUNCTIONS: dict[str, Any] = {
    "sqrt": np.sqrt, "sin": np.sin, "cos": np.cos, "tan": np.tan, "atan": np.arctan, "log": np.log, "floor": np.floor,
    "ceiling": np.ceil, "Abs": np.abs,
    "Max": lambda *several: reduce(np.maximum, several), "Min": lambda *several: reduce(np.minimum, several),
    "total": lambda row: np.sum(np.asarray(row), axis=-1, keepdims=True),
}  # fmt: skip
_BINARY: dict[type, Any] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}  # fmt: skip
_COMPARE: dict[type, tuple[Any, str]] = {
    ast.Lt: (operator.lt, "<"), ast.LtE: (operator.le, "<="), ast.Gt: (operator.gt, ">"),
    ast.GtE: (operator.ge, ">="),
}  # fmt: skip
_GREEK = frozenset((
    "alpha", "beta", "gamma", "delta", "epsilon", "zeta", "eta", "theta", "kappa", "lambda", "mu", "nu", "pi",
    "rho", "sigma", "tau", "phi", "psi", "omega",
))  # fmt: skip
_SPECIAL = {"MS": '"MS"', "dT": "Delta T", "bar": '"bar"', "use": '"use"', "epsilon": "epsilon.alt"}


def names(text: str) -> set[str]:
    """The symbols of an expression."""
    nodes = {node.id for node in ast.walk(_parse(text)) if isinstance(node, ast.Name)}
    return nodes - _FUNCTIONS.keys() - {"pi", "Piecewise"}


def evaluate(text: str, values: Mapping[str, Any]) -> Any:
    """The value of an expression; symbols may be floats or arrays."""
    return _value(_parse(text), values)


def substitute(text: str, values: Mapping[str, str]) -> str:
    """The expression with texts in place of symbols."""
    return re.sub(r"[A-Za-z_]\w*", lambda m: values.get(m[0], m[0]), text)


def typst(text: str, values: Mapping[str, str] | None = None) -> str:
    """The expression as Typst math markup; `values` puts numbers in place of symbols."""
    return _markup(_parse(text), values or {}, 0)


@cache
def _parse(text: str) -> ast.expr:
    return ast.parse(text.strip(), mode="eval").body


def _value(node: ast.expr, values: Mapping[str, Any]) -> Any:
    match node:
        case ast.Constant(value=bool(value)):
            return value
        case ast.Constant(value=int(value) | float(value)):
            return float(value)
        case ast.Name(id=name):
            return math.pi if name == "pi" else values[name]
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, values)
        case ast.BinOp(left=left, op=op, right=right):
            return _BINARY[type(op)](_value(left, values), _value(right, values))
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return _COMPARE[type(op)][0](_value(left, values), _value(right, values))
        case ast.Call(func=ast.Name(id="Piecewise"), args=branches):
            pairs = [branch.elts for branch in branches if isinstance(branch, ast.Tuple)]
            conditions = [np.asarray(_value(condition, values)) for _, condition in pairs]
            return np.select(conditions, [_value(value, values) for value, _ in pairs])[()]
        case ast.Call(func=ast.Name(id=name), args=args):
            return _FUNCTIONS[name](*(_value(arg, values) for arg in args))
    raise ValueError(f"not in the algebra of formulas: {ast.dump(node)}")


# --- typesetting ---------------------------------------------------------------------------------
# binding strength: 0 sum, 1 product, 2 power; brackets go where a weaker node stands in a stronger place


def _markup(node: ast.expr, values: Mapping[str, str], place: int) -> str:
    match node:
        case ast.Constant(value=int(value) | float(value)):
            return _number(f"{value:g}", place)
        case ast.Name(id=name):
            return _number(values[name], place) if name in values else _name(name)
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return _bracket(f"-{_markup(inner, values, 1)}", place > 0)
        case ast.BinOp(left=left, op=ast.Div(), right=right):
            return _bracket(f"({_markup(left, values, 0)})/({_markup(right, values, 0)})", place > 2)
        case ast.BinOp(left=left, op=ast.Pow(), right=right):
            return f"{_markup(left, values, 3)}^({_markup(right, values, 0)})"
        case ast.BinOp(left=left, op=ast.Mult(), right=right):
            factors = _markup(left, values, 1), _markup(right, values, 1)
            spell = values or isinstance(right, ast.Constant) or any(f.startswith('"') for f in factors)
            return _bracket((" dot " if spell else " ").join(factors), place > 2)
        case ast.BinOp(left=left, op=op, right=right):
            sign = "+" if isinstance(op, ast.Add) else "-"
            right_place = 1 if sign == "-" else 0
            return _bracket(
                f"{_markup(left, values, 0)} {sign} {_markup(right, values, right_place)}", place > 0
            )
        case ast.Compare(left=left, ops=[op], comparators=[right]):
            return f"{_markup(left, values, 0)} {_COMPARE[type(op)][1]} {_markup(right, values, 0)}"
        case ast.Call(func=ast.Name(id="Piecewise"), args=branches):
            return "cases(" + ", ".join(_branch(branch, values) for branch in branches) + ")"
        case ast.Call(func=ast.Name(id=name), args=args):
            return _call(name, [_markup(arg, values, 0) for arg in args])
    raise ValueError(f"not in the algebra of formulas: {ast.dump(node)}")


def _branch(branch: ast.expr, values: Mapping[str, str]) -> str:
    assert isinstance(branch, ast.Tuple)
    value, condition = branch.elts
    if isinstance(condition, ast.Constant):
        return f'{_markup(value, values, 0)} "otherwise"'
    return f'{_markup(value, values, 0)} "if" {_markup(condition, values, 0)}'


def _call(name: str, args: list[str]) -> str:
    inside = ", ".join(args)
    match name:
        case "sqrt" | "floor" | "abs":
            return f"{name}({inside})"
        case "ceiling":
            return f"ceil({inside})"
        case "Abs":
            return f"abs({inside})"
        case "total":
            return f"sum ({inside})"
        case "log":
            return f"ln({inside})"
        case "atan":
            return f"arctan({inside})"
    return f"{name.lower()}({inside})"


def _number(text: str, place: int) -> str:
    """A number, its power of ten written out; in brackets where its sign or power could be misread."""
    digits, e, power = text.partition("e")
    plain = not e or text.startswith("(")
    shown = text if plain else f"{digits} times 10^({int(power)})"
    return _bracket(shown, (text.startswith("-") and place > 0) or (not plain and place > 2))


def _name(name: str) -> str:
    """`Fsu` → F with subscript su; Greek names → the letter; words (`allowable`, `MS`) stay words."""
    if name in _SPECIAL:
        return _SPECIAL[name]
    base, _, under = name.partition("_")
    if len(name) > 3 and name.islower() and name not in _GREEK:
        return f'"{name}"'
    if base not in _GREEK and len(base) > 1:
        base, under = base[0], base[1:] + under
    return f'{base}_"{under}"' if under else base


def _bracket(text: str, needed: bool) -> str:
    return f"({text})" if needed else text

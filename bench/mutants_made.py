"""The mutants of a module, by cosmic-ray's operators: each one change of its syntax tree."""

from __future__ import annotations

import ast
import hashlib
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import CodeType
from typing import Any

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.plugins import get_operator, operator_names


@dataclass(frozen=True)
class Mutant:
    """The nth change of an operator; none: a control that changes nothing. `inside`: of a function's body?"""

    path: Path
    operator: str
    nth: int
    lines: range
    inside: bool
    node: int = 0  # of the module's tree, and the number of the change that the operator makes of it
    change: int = 0

    @property
    def key(self) -> str:
        return f"{_hash(self.path)} {self.operator} {self.nth}"

    def text(self) -> str | None:
        """The changed source; None where nothing that matters is changed, or where cosmic-ray cannot make it."""
        source = source_of(self.path)
        if not self.operator:
            return source
        nodes = (
            _nodes.pop(self.path) if self.path in _nodes else _tree(self.path)
        )  # it is changed, so used up
        node = nodes[self.node]
        try:
            new = get_operator(self.operator)().mutate(node, self.change)
        except AttributeError:  # an exception's name with a dot
            return None
        if new is not node:
            beside = node.parent.children
            at = next(nth for nth, one in enumerate(beside) if one is node)
            beside[at : at + 1] = [] if new is None else [new]
        changed = nodes[0].get_code()
        return None if _plain(changed) in (_plain(source), "") else changed

    def row(self) -> str:
        """As the list of survivors names it."""
        rows = (self.text() or "").splitlines()[self.lines.start - 1 : self.lines.stop - 1]
        return f"{self.path.name}: {' '.join(' '.join(rows).split())}".strip()


@cache
def source_of(path: Path) -> str:
    return path.read_text(encoding="utf-8")


@cache
def _hash(path: Path) -> str:
    return hashlib.sha256(path.name.encode() + source_of(path).encode()).hexdigest()[:16]


def _tree(path: Path) -> list[Any]:
    return list(ast_nodes(get_ast(source_of(path))))


_nodes: dict[Path, list[Any]] = {}


def ready(path: Path) -> None:
    """Does once what every forked process would do again."""
    _plain(source_of(path))
    codes_of(source_of(path), path)
    _nodes[path] = _nodes.get(path) or _tree(path)


def mutants(path: Path) -> Iterator[Mutant]:
    text = source_of(path)
    bodies = [range(node.body[0].lineno, (node.end_lineno or 0) + 1) for node in ast.walk(ast.parse(text))
              if isinstance(node, ast.FunctionDef)]  # fmt: skip
    nodes = _tree(path)
    for name in operator_names():
        if get_operator(name).arguments():
            continue
        operator = get_operator(name)()
        places = [(node, change, place) for node, one in enumerate(nodes)
                  for change, place in enumerate(operator.mutation_positions(one))]  # fmt: skip
        for nth, (node, change, (start, end)) in enumerate(places):
            inside = any(start[0] in body for body in bodies)
            yield Mutant(path, name, nth, range(start[0], end[0] + 1), inside, node, change)


@cache
def _plain(text: str) -> str:
    """What matters of a source: its syntax tree without the annotations that are never evaluated."""
    try:
        tree = ast.parse(text)
        with warnings.catch_warnings(action="error", category=SyntaxWarning):
            compile(tree, "", "exec")
    except SyntaxError:  # a warning too, as it is an error
        return ""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            node.returns = None
        if isinstance(node, ast.FunctionDef | ast.Module):
            for part in ast.walk(node) if isinstance(node, ast.FunctionDef) else node.body:
                if isinstance(part, ast.AnnAssign):
                    part.annotation = ast.Constant("")
        elif isinstance(node, ast.arg):
            node.annotation = None
    return ast.dump(tree)


@cache
def codes_of(source: str, path: Path) -> list[CodeType]:
    """The code objects of a module, each after the one that it stands in."""
    found = [compile(source, str(path), "exec", dont_inherit=True)]
    for code in found:
        found += [inner for inner in code.co_consts if isinstance(inner, CodeType)]
    return found

"""JSON with lines: the standard parser gives the values, a scan of our own the line of every member.

Language: RFC 8259, and stricter where that leaves room: a name given twice in one object, `NaN` and
`Infinity` are faults. A path is a JSON Pointer (RFC 6901), as in `/members/3/E`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

from rackwright.located.document import (
    MAX_DEPTH,
    Document,
    Node,
    Notation,
    Path,
    Places,
    decode,
    empty,
    too_deep,
    unusable,
)
from rackwright.located.slips import slip_in
from rackwright.trouble import Fault, Where

__all__ = ["read_json"]

_TOKEN = re.compile(
    r'(?P<text>"(?:[^"\\]++|\\.)*+"?)|(?P<mark>[\[\]{},:])|(?P<end>\n)|(?P<word>[^\s\[\]{},:"]++)'
)


#: the parser's message in other words, where no slip is known
_SAID = {
    "Expecting ',' delimiter": "a comma is missing before this",
    "Expecting ':' delimiter": "a colon is missing before this",
    "Expecting value": "a value is missing here",
    "Extra data": "something stands behind the end",
    "Expecting property name enclosed in double quotes": 'a name in double quotes " is missing here',
}


def read_json(data: bytes | str, file: str) -> tuple[Document | None, list[Fault]]:
    """The object in `data`, or the faults that keep it out (RW003 to RW005, RW007; RW103: not an object).

    `file` is only the name shown to the user; nothing is opened.
    """
    text, faults = decode(data, file)
    if faults:
        return None, faults
    if not text.strip(" \t\n\r"):
        return None, [empty(file)]
    line = _deep_line(text)
    if line:
        return None, [too_deep(Where(file, line))]
    twice = False

    def pairs(members: list[tuple[str, Any]]) -> dict[str, Any]:
        nonlocal twice
        made = dict(members)
        twice = twice or len(made) < len(members)
        return made

    try:
        values = json.loads(text, object_pairs_hook=pairs)
    except json.JSONDecodeError as error:
        where = Where(file, error.lineno)
        slip, do = slip_in(text, error.lineno, error.colno, json=True)
        slip = slip or _SAID.get(error.msg, error.msg)
        found = f"column {error.colno}: {slip}"
        return None, [Fault("RW007", where, found, do or "mend this line")]
    except ValueError:  # Python refuses to convert integers of more than 4300 digits
        huge = re.search(r"\d{4000}", text)
        line = text.count("\n", 0, huge.start()) + 1 if huge else 0
        return None, [
            Fault("RW007", Where(file, line), "a number of thousands of digits", "use fewer digits")
        ]
    if not isinstance(values, dict):
        where = Where(file, 1)
        return None, [
            Fault("RW103", where, f"a {type(values).__name__} was found", "give one object, { ... }")
        ]
    places = Places(file, text, NOTATION)
    faults = _given_twice(text, file) if twice else []
    faults += unusable(values, places, "RW007")
    return (None, faults) if faults else (Document(values, places), [])


def write_pointer(path: Path) -> str:
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def split_pointer(text: str) -> Path:
    return tuple(part.replace("~1", "/").replace("~0", "~") for part in text.split("/")[1:])


def _deep_line(text: str) -> int:
    depth = 0
    for kind, token, line in _tokens(text):
        if kind == "mark":
            depth += (token in "[{") - (token in "]}")
            if depth > MAX_DEPTH:
                return line
    return 0


def _tokens(text: str) -> Iterator[tuple[str, str, int]]:
    line = 1
    for match in _TOKEN.finditer(text):
        kind = match.lastgroup or ""
        if kind == "end":
            line += 1
        else:
            yield kind, match[0], line


def _given_twice(text: str, file: str) -> list[Fault]:
    repeats: list[tuple[Path, int, int]] = []
    _grow(text, repeats)
    return [
        Fault(
            "RW007", Where(file, line, write_pointer(path)), f"given twice, first in line {first}", "keep one"
        )
        for path, first, line in repeats
    ]


def _grow(text: str, repeats: list[tuple[Path, int, int]]) -> Node:
    """The tree of lines of sound text; `repeats` collects path, first and later line of repeated names."""
    root = Node(0)
    tokens = _tokens(text)

    def value(node: Node, path: Path, kind: str, token: str) -> None:
        if kind != "mark":
            return
        kind, below, line = next(tokens)
        while below not in ("]", "}") or kind != "mark":
            part: str | int = len(node.children)
            if token == "{":
                part = json.loads(below)
                next(tokens)  # the colon
                if part in node.children:
                    repeats.append(((*path, part), node.children[part].line, line))
            child = node.children[part] = Node(line)
            if token == "{":
                kind, below, _ = next(tokens)
            value(child, (*path, part), kind, below)
            kind, below, line = next(tokens)
            if kind == "mark" and below == ",":
                kind, below, line = next(tokens)

    kind, token, _ = next(tokens)
    value(root, (), kind, token)
    return root


def _index(text: str) -> Node:
    return _grow(text, [])


NOTATION = Notation(_index, write_pointer, split_pointer)

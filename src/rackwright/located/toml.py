"""TOML with lines: `tomllib` gives the values, a scan of our own the line of every key and element.

Language: TOML v1.0.0 (https://toml.io/en/v1.0.0). The scan splits the text into strings, words, marks and
line ends, and walks headers, dotted keys, arrays and inline tables. It runs only over text that `tomllib`
has accepted, or over the sound part before its error, so it need not check the grammar again.
A path is written `shelf[2].height`, indices from 0, keys that are not bare in double quotes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

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

__all__ = ["read_toml"]

_TOKEN = re.compile(
    r'''(?P<skip>[ \t]++|\#[^\n]*+)
      | (?P<end>\n)
      | (?P<text> """ (?: [^"\\]++ | \\(?:[\s\S]|\Z) | "{1,2}(?!") )*+ (?:"{3,5}|\Z)
                | \'\'\' (?: [^']++ | '{1,2}(?!') )*+ (?:'{3,5}|\Z)
                | " (?: [^"\\\n]++ | \\[^\n] )*+ "?
                | ' [^'\n]*+ '? )
      | (?P<mark>[\[\]{},=.])
      | (?P<word>[^\s\[\]{},=.\#"']++)
      | (?P<odd>[\s\S])''',
    re.VERBOSE,
)
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_PART = re.compile(r'\[(\d+)\]|"((?:[^"\\]|\\.)*)"|([^.\[\]"]+)|\.')
_AT = re.compile(r"(?P<what>.*) \(at (?:line (?P<line>\d+), column (?P<column>\d+)|end of document)\)", re.S)

Token = tuple[str, str, int]  # kind, text, line


def read_toml(data: bytes | str, file: str) -> tuple[Document | None, list[Fault]]:
    """The document in `data`, or the faults that keep it out (RW003 to RW006; RW106 for `nan` and `inf`).

    `file` is only the name shown to the user; nothing is opened.
    """
    text, faults = decode(data, file)
    if faults:
        return None, faults
    line = _deep_line(text)
    if line:
        return None, [too_deep(Where(file, line))]
    try:
        values = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        return None, [_syntax(text, str(error), file)]
    except ValueError:  # Python refuses to convert decimal integers of more than 4300 digits
        huge = re.search(r"\d(?:_?\d){4000}", text)
        line = text.count("\n", 0, huge.start()) + 1 if huge else 0
        return None, [
            Fault("RW106", Where(file, line), "a number of thousands of digits", "use fewer digits")
        ]
    if not values:
        return None, [empty(file)]
    places = Places(file, text, NOTATION)
    faults = unusable(values, places, "RW106")
    return (None, faults) if faults else (Document(values, places), [])


def write_path(path: Path) -> str:
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            bare = part if _BARE.fullmatch(part) else '"' + re.sub(r'(["\\])', r"\\\1", part) + '"'
            text += f".{bare}" if text else bare
    return text


def split_path(text: str) -> Path:
    parts: list[str | int] = []
    for match in _PART.finditer(text):
        index, quoted, bare = match.groups()
        if index is not None:
            parts.append(int(index))
        elif quoted is not None:
            parts.append(re.sub(r"\\(.)", r"\1", quoted))
        elif bare is not None:
            parts.append(bare)
    return tuple(parts)


# --- before and instead of a document ------------------------------------------------------------


def _deep_line(text: str) -> int:
    """The first line whose brackets or dotted keys nest deeper than allowed; 0 when none does."""
    brackets = dots = 0
    for kind, token, line in _tokens(text):
        if kind == "mark":
            brackets = max(0, brackets + (token in "[{") - (token in "]}"))
            dots = dots + 1 if token == "." else 0
            if brackets > MAX_DEPTH or dots >= MAX_DEPTH:
                return line
        elif kind == "end":
            dots = 0
    return 0


def _syntax(text: str, message: str, file: str) -> Fault:
    """One located fault from the parser's message, naming the key where a key is the trouble."""
    match = _AT.fullmatch(message)
    what = match["what"] if match else message
    if match and match["line"]:
        line, column = int(match["line"]), int(match["column"])
        start = 0
        for _ in range(line - 1):
            start = text.index("\n", start) + 1
        before = text[: start + column - 1]
    else:  # at the end of the document
        before = text.rstrip()
        line, column = before.count("\n") + 1, len(before) - before.rfind("\n")
    field, found = "", what[:200]
    slip, do = slip_in(text, line, column)
    if re.match(r"Cannot|Duplicate", what):
        walk = _Walk(before)
        walk.run()
        field = write_path(walk.key_path)
        line = walk.key_line or line  # the parser stops behind the value, which may be lines below
        if walk.first_line:
            found = f"the key {field} is given twice, first in line {walk.first_line}"
        else:
            found = f"the key {field} cannot stand here: {found}"
        do = "write [[name]] over each row of a list, [name] over a table, once; a key once in each"
    elif "'\\r'" in what:
        found, do = "line ends of one carriage return", "save the file with line ends LF or CRLF"
    else:
        found = slip or found
    if before.rstrip() == text.rstrip() and not text.endswith("\n"):
        do = f"{do or 'mend this line'}; the file ends here: is it whole?"
    return Fault("RW006", Where(file, line, field), f"column {column}: {found}", do or "mend this line")


# --- the lines -----------------------------------------------------------------------------------


def _tokens(text: str) -> Iterator[Token]:
    line = 1
    for match in _TOKEN.finditer(text):
        kind, token = match.lastgroup or "odd", match[0]
        if kind != "skip":
            yield kind, token, line
        if kind == "end" or kind == "text":
            line += token.count("\n")


class _Walk:
    """Walks the tokens once and grows the tree. `key_path`, `key_line` and `first_line` (of the same key
    given before, else 0) tell of the last key seen, for messages."""

    def __init__(self, text: str) -> None:
        self.root = Node(0)
        self.key_path: Path = ()
        self.key_line = self.first_line = 0
        self._tokens = _tokens(text)
        self._next()

    def run(self) -> Node:
        table, path = self.root, ()  # type: tuple[Node, Path]
        while self.kind:
            if self.kind == "end":
                self._next()
            elif self.token == "[" and self.kind == "mark":
                table, path = self._header()
            else:
                self._pair(table, path)
        return self.root

    def _next(self) -> None:
        self.kind, self.token, self.line = next(self._tokens, ("", "", 0))

    def _is(self, marks: str) -> bool:
        return self.kind == "mark" and self.token in marks

    def _header(self) -> tuple[Node, Path]:
        """`[a.b]` or `[[a.b]]`: the table it opens. A list of tables on the way means its last element."""
        line, depth = self.line, 0
        while self._is("["):
            depth += 1
            self._next()
        keys = self._key()
        while self._is("]"):
            self._next()
        node, path = self.root, ()  # type: tuple[Node, Path]
        self.first_line = 0
        for place, key in enumerate(keys):
            last = place == len(keys) - 1
            path = (*path, key)
            if last and key in node.children and depth == 1:
                self.first_line = node.children[key].line
                node.children[key].line = line  # declared here, only mentioned before
            node = node.children.setdefault(key, Node(line))
            if last and depth == 2:
                node.table_array = True
                node.children[len(node.children)] = Node(line)
            if node.table_array:
                path = (*path, len(node.children) - 1)
                node = node.children[len(node.children) - 1]
        self.key_path, self.key_line = path, line
        return node, path

    def _pair(self, node: Node, path: Path) -> None:
        """`a.b = value` in the table `node`."""
        line = self.line
        keys = self._key()
        for key in keys[:-1]:
            node = node.children.setdefault(key, Node(line))
        before = node.children.get(keys[-1])
        path = (*path, *keys)
        self.key_path, self.key_line, self.first_line = path, line, before.line if before else 0
        child = node.children[keys[-1]] = Node(line)
        if self._is("="):
            self._next()
            self._value(child, path)

    def _key(self) -> list[str]:
        """Takes at least one token, so that no walk over unsound text can stand still."""
        keys = [_plain(self.token)]
        self._next()
        while self._is("."):
            self._next()
            keys.append(_plain(self.token))
            self._next()
        return keys

    def _value(self, node: Node, path: Path) -> None:
        if self._is("["):
            self._next()
            while self._inside("]"):
                index = len(node.children)
                below = node.children[index] = Node(self.line)
                self._value(below, (*path, index))
        elif self._is("{"):
            self._next()
            while self._inside("}"):
                self._pair(node, path)
        elif self.kind == "text":
            self._next()
        else:  # a number, date or boolean; a date and its time are two words
            self._next()
            while self.kind == "word" or self._is("."):
                self._next()

    def _inside(self, close: str) -> bool:
        """Skips what separates; True while another element follows, False behind the closing mark."""
        while self.kind == "end" or self._is(","):
            self._next()
        if self._is(close):
            self._next()
            return False
        return bool(self.kind)


def _plain(token: str) -> str:
    """The key that a token spells."""
    if token[:1] == '"' and "\\" in token:
        try:
            return str(tomllib.loads(f"k = {token}")["k"])
        except tomllib.TOMLDecodeError:  # cut off, in text that was refused
            return token
    return token[1:-1] if token[:1] in ('"', "'") else token


def _index(text: str) -> Node:
    return _Walk(text).run()


NOTATION = Notation(_index, write_path, split_path)

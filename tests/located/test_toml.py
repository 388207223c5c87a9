"""Every value of a TOML text has the line on which a person would look for it."""

from __future__ import annotations

import pickle
import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.located import MAX_BYTES, Path, read_toml

KEYS = st.one_of(
    st.sampled_from(["shelf", "upper", "height", "a-b", "1"]),
    st.text(alphabet="ab.\"# =[]{}\\'é", max_size=4),
)
SCALARS = st.one_of(
    st.integers(-9, 99).map(str),
    st.sampled_from(['"17 1/2 in"', "'#[{'", "true", "1979-05-27 07:32:00Z", "1.5e3", '"""\na"" # b\n"""']),
    st.sampled_from(["'''\n\n''x\n'''", '"\\"[\\u00e9"', '"""\\\n  x\\""""']),
)


class Writer:
    """Writes a random TOML text and notes the line of each key and element as it goes."""

    def __init__(self, draw: Any) -> None:
        self.draw, self.text = draw, ""
        self.lines: dict[Path, int] = {}

    def put(self, text: str) -> None:
        self.text += text

    def note(self, path: Path) -> None:
        self.lines.setdefault(path, self.text.count("\n") + 1)

    def some(self, *options: str) -> str:
        return self.draw(st.sampled_from(options))

    def key(self, name: str) -> str:
        bare = bool(name) and name.isascii() and name.replace("-", "").isalnum()
        if bare and self.draw(st.booleans()):
            return name
        if "'" not in name and self.draw(st.booleans()):
            return f"'{name}'"
        return (
            '"' + name.replace("\\", "\\\\").replace('"', '\\"').replace("é", self.some("é", "\\u00e9")) + '"'
        )

    def keys(self, most: int = 3) -> list[str]:
        return self.draw(st.lists(KEYS, max_size=most, unique=True))

    def gap(self) -> None:
        self.put(self.some("", " ", "\t"))

    def breaks(self) -> None:
        self.put(self.some("", " ", "\n", " # ]} '\n", "\n\n\t"))

    def value(self, path: Path, depth: int) -> None:
        kind = self.some("scalar", "scalar", "list", "inline") if depth else "scalar"
        if kind == "scalar":
            self.put(self.draw(SCALARS))
        elif kind == "list":
            self.put("[")
            count = self.draw(st.integers(0, 3))
            for i in range(count):
                self.breaks()
                self.note((*path, i))
                self.value((*path, i), depth - 1)
                self.breaks()
                self.put("," if i < count - 1 else self.some("", ","))
            self.breaks()
            self.put("]")
        else:
            self.put("{")
            for i, name in enumerate(self.keys()):
                self.put(", " if i else self.some("", " "))
                self.pair(path, name, depth - 1)
            self.put(" }")

    def pair(self, path: Path, name: str, depth: int) -> None:
        """`name = value`, or a dotted `name.rest = value`."""
        self.put(self.key(name))
        self.note(path := (*path, name))
        for rest in self.draw(st.lists(KEYS, max_size=2)):
            self.gap()
            self.put(".")
            self.gap()
            self.put(self.key(rest))
            self.note(path := (*path, rest))
        self.gap()
        self.put("=")
        self.gap()
        self.value(path, depth)

    def table(self, path: Path, header: list[str], depth: int) -> None:
        names = self.keys(6)
        tables = names[3:] if depth else []
        for name in names[:3]:
            self.breaks()
            self.pair(path, name, 2)
            self.put(self.some("", " # ' \" [") + "\n")
        for name in tables:
            below = [*header, self.key(name)]
            kind = self.some("[", "[[", "skip")
            for i in range(self.draw(st.integers(1, 3)) if kind == "[[" else 1):
                if kind == "skip":  # a table mentioned only by the header of a table in it
                    inner = self.draw(KEYS)
                    self.put(f"[{'.'.join([*below, self.key(inner)])}]\n")
                    line = self.text.count("\n")
                    self.lines.update({(*path, name): line, (*path, name, inner): line})
                    continue
                close = "]" * len(kind)
                self.put(self.some("", "\n", " ") + kind + self.some("", " ") + " . ".join(below) + close)
                self.note((*path, name))
                place = (*path, name, i) if kind == "[[" else (*path, name)
                self.note(place)
                self.put(self.some("", " # ]") + "\n")
                self.table(place, below, depth - 1)


@st.composite
def documents(draw: Any) -> tuple[str, dict[Path, int]]:
    writer = Writer(draw)
    writer.put(draw(st.sampled_from(["", "# first\n", "\n"])))
    writer.table((), [], 2)
    return writer.text, writer.lines


def paths(value: Any, path: Path = ()) -> set[Path]:
    below = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return {path}.union(*(paths(v, (*path, k)) for k, v in below))


@given(documents(), st.booleans(), st.booleans())
def test_every_path_has_its_line(made: tuple[str, dict[Path, int]], crlf: bool, mark: bool) -> None:
    text, lines = made
    if crlf:
        text = text.replace("\n", "\r\n")
    values = tomllib.loads(text)
    document, faults = read_toml(("\ufeff" if mark else "") + text, "f.toml")
    if not values:
        assert [fault.code for fault in faults] == ["RW004"]
        return
    assert document is not None, faults
    assert document.values == values
    assert paths(values) == {*lines, ()}
    for path, line in lines.items():
        where = document.places.where(path)
        assert (path, where.line) == (path, line)
        assert path in document.places
        assert document.places.where(where.field) == where  # a path's text means the path


@given(documents(), st.data())
def test_a_missing_field_is_placed_at_the_table_around_it(
    made: tuple[str, dict[Path, int]], data: Any
) -> None:
    text, lines = made
    document, _ = read_toml(text, "f.toml")
    if document is None:
        return
    path = data.draw(st.sampled_from(sorted(lines, key=str)))
    where = document.places.where((*path, "not here", 3))
    assert where.line == lines[path]
    assert where.field.endswith('."not here"[3]')
    assert (*path, "not here", 3) not in document.places


@given(st.one_of(st.binary(), st.text(), st.text(alphabet="ab=.[]{}\"'\n\\# ,1")))
def test_no_text_raises(data: bytes | str) -> None:
    document, faults = read_toml(data, "f.toml")
    assert (document is None) == bool(faults)
    for fault in faults:
        assert fault.where.file == "f.toml"
        text = data if isinstance(data, str) else data.decode("utf-8", "replace")
        assert 0 <= fault.where.line <= text.count("\n") + 1


def test_a_later_header_moves_the_place_of_a_table_mentioned_before() -> None:
    document, _ = read_toml("[rack.shelf]\nz = 1\n[rack]\nname = 'r'\n", "f.toml")
    assert document is not None
    assert document.places.where("rack.height").line == 3
    assert str(document.places.where("rack.shelf.z")) == "f.toml:2 rack.shelf.z"


BROKEN = {
    # text: (code, line, field, a part of what was found)
    "": ("RW004", 0, "", "nothing"),
    " \n# only words\n": ("RW004", 0, "", "nothing"),
    "a = 1\nb = \n": ("RW006", 2, "", "column 5: no value behind the key"),
    "a = 1\r\nb = [1,\r\n": ("RW006", 2, "", "column 8"),
    "[s]\nz = 1\n\nz = 2": ("RW006", 4, "s.z", "the key s.z is given twice, first in line 2"),
    "z = 1\nz = [\n1,\n2]": ("RW006", 2, "z", "given twice, first in line 1"),
    "[s]\n[t]\n[s]": ("RW006", 3, "s", "given twice, first in line 1"),
    "z = 1\nz.y = 2": ("RW006", 2, "z.y", "the key z.y cannot stand here"),
    "q = {\"a b\" = 1, 'a b' = 2}": ("RW006", 1, 'q."a b"', "given twice, first in line 1"),
    "[[s]]\nz = 1\n[[s]]\nz = 1\nz = 2": ("RW006", 5, "s[1].z", "given twice, first in line 4"),
    "m = 1\nload = nan": ("RW106", 2, "load", "nan is not a finite number"),
    "load = [\n1.0,\n-inf]": ("RW106", 3, "load[1]", "-inf is not a finite number"),
    "n = 0xffff_ffff_ffff_ffff_f": ("RW106", 1, "n", "64 bits"),
    "m = 1\nn = " + "9" * 5000: ("RW106", 2, "", "thousands of digits"),
    "a = 1\n\0": ("RW003", 2, "", "byte 6 (0x00)"),
    "a = '\ud800'": ("RW003", 1, "", "0xed"),
    "x = 1\na = " + "[" * 65 + "]" * 65: ("RW005", 2, "", "64"),
    "a = " + "{a=[" * 40 + "]}" * 40: ("RW005", 1, "", "64"),
    "\n" + ".".join("a" * 65) + " = 1": ("RW005", 2, "", "64"),
    f"[{'.'.join('a' * 50)}]\n{'.'.join('b' * 15)} = 1": ("RW005", 2, ".".join("a" * 50 + "b" * 15), "64"),
    "a = 1\n" + "#" * MAX_BYTES: ("RW005", 0, "", "5000006 bytes"),
}


@pytest.mark.parametrize("text", BROKEN, ids=lambda text: text[:20])
def test_what_is_refused_and_where(text: str) -> None:
    code, line, field, found = BROKEN[text]
    document, faults = read_toml(text, "f.toml")
    assert document is None
    assert [(f.code, f.where.line, f.where.field) for f in faults] == [(code, line, field)]
    assert found in faults[0].found


def test_sixty_four_levels_are_read() -> None:
    for text in ("a = " + "[" * 63 + "]" * 63, ".".join("a" * 64) + " = 1", "b = '" + "[" * 99 + "'"):
        document, faults = read_toml(text, "f.toml")
        assert document is not None, faults


def test_binary_is_refused_by_its_first_bad_byte() -> None:
    _, faults = read_toml(b"a = 1\n\x89PNG", "f.toml")
    assert [(f.code, f.where.line) for f in faults] == [("RW003", 2)]
    _, faults = read_toml("a = 1".encode("utf-16"), "f.toml")
    assert [f.code for f in faults] == ["RW003"]


def test_all_unusable_values_are_named_at_once() -> None:
    _, faults = read_toml("a = nan\nb = inf\n[c]\nd = [1e999]\n", "f.toml")
    assert [f.where.line for f in faults] == [1, 2, 4]


def test_a_document_travels_to_another_process() -> None:
    document, _ = read_toml("a = 1\n[b]\nc = 2", "f.toml")
    assert document is not None
    assert pickle.loads(pickle.dumps(document)).places.where("b.c").line == 3

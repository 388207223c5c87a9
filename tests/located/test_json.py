"""Every value of a JSON text has its pointer and line; what plain parsers let pass is refused."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.located import MAX_BYTES, Path, read_json

KEYS = st.text(alphabet='ab~/"\\[]{}:,0é\n', max_size=4)
VALUES = st.recursive(
    st.one_of(
        st.none(), st.booleans(), st.integers(-99, 99), KEYS, st.floats(allow_nan=False, allow_infinity=False)
    ),
    lambda below: st.one_of(st.lists(below, max_size=3), st.dictionaries(KEYS, below, max_size=3)),
    max_leaves=12,
)


def write(value: Any, path: Path, text: list[str], lines: dict[Path, int], breaks: Any) -> None:
    """Writes the value with line breaks drawn from `breaks`, and notes the line of every path."""

    def put(piece: str) -> None:
        text.append(piece)

    def gap() -> None:
        text.append(next(breaks))

    if not isinstance(value, dict | list):
        put(json.dumps(value))
        return
    put("[" if isinstance(value, list) else "{")
    for i, (key, below) in enumerate(value.items() if isinstance(value, dict) else enumerate(value)):
        put("," if i else "")
        gap()
        lines[(*path, key)] = "".join(text).count("\n") + 1
        if isinstance(value, dict):
            put(json.dumps(key))
            gap()
            put(":")
            gap()
        write(below, (*path, key), text, lines, breaks)
        gap()
    put("]" if isinstance(value, list) else "}")


@given(st.dictionaries(KEYS, VALUES, max_size=4), st.randoms(use_true_random=False))
def test_every_pointer_has_its_line(values: dict[str, Any], random: Any) -> None:
    text: list[str] = []
    lines: dict[Path, int] = {}
    breaks = iter(lambda: random.choice(["", "", " ", "\n", "\r\n\t"]), None)
    write(values, (), text, lines, breaks)
    document, faults = read_json("".join(text), "f.json")
    assert document is not None, faults
    assert document.values == values
    for path, line in lines.items():
        where = document.places.where(path)
        assert (path, where.line) == (path, line)
        assert path in document.places
        assert document.places.where(where.field) == where
        assert document.places.where((*path, "nowhere")).line == line


@given(st.one_of(st.binary(), st.text(), st.text(alphabet='{}[]",:1\\\nNae')))
def test_no_text_raises(data: bytes | str) -> None:
    document, faults = read_json(data, "f.json")
    assert (document is None) == bool(faults)


def test_a_place_is_a_json_pointer() -> None:
    document, _ = read_json('{"members": [{"E": 1},\n {"E": 2,\n "a/b~": 3}]}', "case.json")
    assert document is not None
    assert str(document.places.where(("members", 1, "E"))) == "case.json:2 /members/1/E"
    assert str(document.places.where("/members/1/a~1b~0")) == "case.json:3 /members/1/a~1b~0"
    assert str(document.places.where("/members/1/G")) == "case.json:2 /members/1/G"


BROKEN = {
    "": ("RW004", 0, "", "nothing"),
    " \n\t": ("RW004", 0, "", "nothing"),
    '{"a": 1,\n\n]': ("RW007", 3, "", "column 1"),
    '{"a": 1\n"b": 2}': ("RW007", 2, "", "column 1"),
    '{"a": 1} {': ("RW007", 1, "", "behind the end"),
    '{"m": [1,\n{"a": 1,\n"\\u0061": 2}]}': ("RW007", 3, "/m/1/a", "given twice, first in line 2"),
    '{"a": [1,\n NaN]}': ("RW007", 2, "/a/1", "nan is not a finite number"),
    '{"a": -Infinity}': ("RW007", 1, "/a", "-inf is not a finite number"),
    '{"a": 1e999}': ("RW007", 1, "/a", "inf is not a finite number"),
    '{"a": 99999999999999999999}': ("RW007", 1, "/a", "64 bits"),
    '{"a":\n' + "1" * 5000 + "}": ("RW007", 2, "", "thousands of digits"),
    '{"a": "\\ud800"}': ("RW007", 1, "/a", "surrogate"),
    '{"a":\n{"\\udfff": 1}}': ("RW007", 1, "/a", "surrogate"),
    '{"a":\n' + "[" * 64 + "]" * 64 + "}": ("RW005", 2, "", "64"),
    "[1, 2]": ("RW103", 1, "", "a list was found"),
    "null": ("RW103", 1, "", "a NoneType was found"),
    " " * (MAX_BYTES + 1): ("RW005", 0, "", "5000001 bytes"),
}


@pytest.mark.parametrize("text", BROKEN, ids=lambda text: text[:20])
def test_what_is_refused_and_where(text: str) -> None:
    code, line, field, found = BROKEN[text]
    document, faults = read_json(text, "f.json")
    assert document is None
    assert [(f.code, f.where.line, f.where.field) for f in faults] == [(code, line, field)]
    assert found in faults[0].found


def test_sixty_four_levels_are_read() -> None:
    document, faults = read_json('{"a":' + "[" * 63 + "]" * 63 + "}", "f.json")
    assert document is not None, faults


def test_every_repeated_name_is_told() -> None:
    _, faults = read_json('{"a": 1, "a": 2,\n"a": NaN, "b": {"c": 1, "c": 1}}', "f.json")
    assert [f.where.field for f in faults] == ["/a", "/a", "/b/c", "/a"]

"""Kinds of field: what each takes, what it says of the rest, and that the published schema says the same."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Annotated, Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.fields import (
    Angle,
    Axis,
    Length,
    Mass,
    Money,
    Name,
    Number,
    Quantity,
    Signed,
    Text,
    Whole,
    definition,
    schema,
    validate,
)
from rackwright.trouble import Fault, Where
from rackwright.units import UNITS, parse_quantity


@definition
class Leaf:
    length: Length
    at: tuple[Signed, Signed]


@definition
class Tree:
    name: Name
    mass: Mass | None = None
    turn: Angle | None = None
    axis: Axis = "+x"
    price: Money | None = None
    count: Whole = 1
    factor: Number = 1.0
    words: Text | None = None
    leaf: tuple[Leaf, ...] = ()


Tenth = Annotated[float, Quantity("time", low=0.1, above=True)]


@definition
class Timed:
    time: Tenth


def where(path: tuple[str | int, ...]) -> Where:
    return Where("file", 1, ".".join(map(str, path)))


def read(**values: Any) -> tuple[Tree | None, list[Fault]]:
    return validate(Tree, {"name": "n", **values}, where)


def one_fault(**values: Any) -> Fault:
    tree, faults = read(**values)
    assert tree is None
    assert len(faults) == 1
    return faults[0]


MICROMETRES = st.integers(1, 10**9)  # up to a kilometre


@settings(deadline=None)
@given(MICROMETRES)
def test_a_length_is_read_to_the_nanometre(um: int) -> None:
    tree, faults = read(leaf=[{"length": f"{um} um", "at": [f"-{um} um", "0 in"]}])
    assert faults == []
    assert tree is not None
    assert tree.leaf[0].length == um * 1000
    assert tree.leaf[0].at == (-um * 1000, 0)


@settings(deadline=None)
@given(st.integers(0, 40), st.integers(1, 63))
def test_a_shop_fraction_is_exact(whole: int, sixty_fourths: int) -> None:
    tree, _ = read(leaf=[{"length": f"{whole} {sixty_fourths}/64 in", "at": ["0 m", "0 m"]}])
    assert tree is not None
    assert tree.leaf[0].length == Fraction(64 * whole + sixty_fourths, 64) * 25_400_000


@settings(deadline=None)
@given(st.sampled_from([d for d in UNITS if d != "money_rate"]), st.data())
def test_a_quantity_is_the_number_times_its_unit(dimension: str, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(UNITS[dimension]))
    number = data.draw(st.integers(1, 100))
    assert Quantity(dimension).read(f"{number} {unit}") == float(
        parse_quantity(f"{number} {unit}", dimension)
    )


REFUSED = [
    ({"mass": "0 lb"}, "RW106", "mass", "more than 0"),
    ({"mass": "5"}, "RW104", "mass", "use one of kg, lb, oz, gram"),
    ({"mass": 5}, "RW104", "mass", "units of mass"),
    ({"mass": [5]}, "RW104", "mass", "units of mass"),
    ({"mass": None}, "", "", ""),
    ({"turn": "90"}, "RW104", "turn", "rad, deg"),
    ({"axis": "z"}, "RW103", "axis", "-y"),
    ({"axis": "+X"}, "RW103", "axis", "-y"),
    ({"price": "12.5"}, "RW103", "price", "12.50 USD"),
    ({"price": "-1.00 USD"}, "RW103", "price", "12.50 USD"),
    ({"count": True}, "RW103", "count", "a whole number from 0 to 100000"),
    ({"count": 2.0}, "RW103", "count", "a whole number"),
    ({"count": -1}, "RW106", "count", "from 0"),
    ({"count": "3"}, "RW103", "count", "a whole number"),
    ({"factor": "1.15"}, "RW103", "factor", "a plain number"),
    ({"factor": 10**12}, "RW106", "factor", "1e+09"),
    ({"words": ""}, "RW106", "words", "1 to 1000 characters"),
    ({"words": 7}, "RW103", "words", "text in quotes"),
    ({"name": "-n"}, "RW103", "name", "at most 64"),
    ({"name": "n" * 65}, "RW103", "name", "at most 64"),
    ({"name": "n\n"}, "RW103", "name", "at most 64"),
    ({"leaf": {"length": "1 in"}}, "RW103", "leaf", "tables under [[ ]]"),
    ({"leaf": [5]}, "RW103", "leaf.0", "a table of fields"),
    ({"leaf": [{"length": "1 in", "at": ["0 m"]}]}, "RW101", "leaf.0.at.1", "one more value"),
    ({"leaf": [{"length": "1 in", "at": ["0 m"] * 3}]}, "RW103", "leaf.0.at", "give 2"),
    ({"leaf": [{"length": "1001 m", "at": ["0 m", "0 m"]}]}, "RW106", "leaf.0.length", "at most 1000 m"),
    ({"leaf": [{"length": "0 in", "at": ["0 m", "0 m"]}]}, "RW106", "leaf.0.length", "more than 0"),
    ({"leaf": [{"at": ["0 m", "0 m"]}]}, "RW101", "leaf.0.length", "add `length`"),
    ({"colour": "red"}, "RW102", "colour", "spelling"),
]


@pytest.mark.parametrize(("values", "code", "field", "do"), [row for row in REFUSED if row[1]])
def test_what_is_refused_and_what_would_do(values: dict[str, Any], code: str, field: str, do: str) -> None:
    fault = one_fault(**values)
    assert (fault.code, fault.where.field) == (code, field)
    assert do in fault.do
    assert fault.found


def test_every_fault_comes_at_once() -> None:
    tree, faults = validate(
        Tree, {"mass": "5", "axis": "z", "count": -1, "leaf": [{"at": [1, 2]}], "x": 0}, where
    )
    assert tree is None
    assert {fault.where.field for fault in faults} == {
        "name", "mass", "axis", "count", "leaf.0.length", "leaf.0.at.0", "leaf.0.at.1", "x",
    }  # fmt: skip


@settings(deadline=None)
@given(st.text(max_size=80))
def test_any_text_in_any_field_gives_words_not_a_crash(text: str) -> None:
    for field in ("mass", "turn", "axis", "price", "count", "factor", "name", "words"):
        tree, faults = validate(Tree, {"name": "n", field: text}, where)
        assert (tree is None) == bool(faults)
        for fault in faults:
            assert fault.where.field == field
            assert len(fault.found) < 400


def test_letters_that_look_alike_are_called_by_name() -> None:
    assert "U+0430 cyrillic small letter a" in one_fault(name="п\u0430").found
    assert "U+2212 minus sign" in one_fault(mass="\u22125 lb").found


def test_a_long_value_is_shown_short() -> None:
    for values in ({"mass": "9" * 10_000}, {"name": "n" * 10_000}, {"axis": "x" * 10_000}, {"y" * 9_999: 1}):
        assert len(one_fault(**values).found) < 200


# --- the schema ------------------------------------------------------------------------------------------


def test_the_schema_takes_what_the_reader_takes() -> None:
    document = schema(Tree, "a tree")
    assert document["title"] == "a tree"
    assert document["additionalProperties"] is False
    mass = document["properties"]["mass"]["anyOf"][0]
    for text in ("5 lb", "1/2 kg", "17 1/2 oz", "-3 gram", "+ 4 lb", "1e-3 kg", ".5 lb"):
        assert re.fullmatch(mass["pattern"].strip("^$"), text), text
        parse_quantity(text, "mass")
    for text in ("5", "5 in", "lb", "5,0 lb", "1/2/3 kg", "5 lb lb"):
        assert not re.fullmatch(mass["pattern"].strip("^$"), text), text
    assert document["properties"]["count"] == {
        "default": 1,
        "maximum": 100000,
        "minimum": 0,
        "title": "Count",
        "type": "integer",
    }


@settings(deadline=None)
@given(
    st.from_regex(
        r"[+-]?\s?(\d{1,3} \d{1,2}/\d{1,2}|\d{1,3}/\d{1,2}|\d{1,4}(\.\d{1,4})?) (in|mm|ft)", fullmatch=True
    )
)
def test_what_the_reader_takes_the_schema_takes(text: str) -> None:
    pattern = schema(Leaf, "x")["properties"]["length"]["pattern"]
    tree, _ = validate(Leaf, {"length": text, "at": ["0 m", "0 m"]}, where)
    if tree is not None:
        assert re.fullmatch(pattern, text)


def test_kinds_may_be_bounded_where_they_are_used() -> None:
    assert validate(Timed, {"time": "0.2 s"}, where) == (Timed(time=0.2), [])
    _, (fault,) = validate(Timed, {"time": "0.1 s"}, where)
    assert fault.do == "give more than 0.1"

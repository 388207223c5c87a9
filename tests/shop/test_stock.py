"""What a mill certificate must show before its bar may be cut."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rackwright.reference.rows import Known
from rackwright.shop import Certificate, Minimum, StockBar, certificate_checks
from rackwright.shop.stock import write_value
from rackwright.units import parse_quantity

KNOWN = Known("a handbook", "a table", "read")
SPEC = "AMS-WW-T-700/6"


def pa(text: str) -> float:
    return float(parse_quantity(text, "stress"))


MINIMA = (
    Minimum("Ftu", pa("42 ksi"), KNOWN),
    Minimum("Fty", pa("35 ksi"), KNOWN),
    Minimum("elongation", 0.08, KNOWN),
)
GOOD = Certificate("C-1", "a mill", "H1", SPEC, "drawn tube", "T6", pa("42.0 ksi"), pa("35.0 ksi"), 0.08)


def failed(
    certificate: Certificate | None, heat: str = "H1", minima: tuple[Minimum, ...] = MINIMA
) -> list[str]:
    return [check.name for check in certificate_checks(certificate, heat, SPEC, minima) if not check.ok]


def test_the_least_value_itself_passes() -> None:
    assert failed(GOOD) == []


@given(st.tuples(*[st.integers(-3, 3)] * 3))
def test_exactly_the_values_below_their_minimum_fail(tenths: tuple[int, int, int]) -> None:
    a, b, c = tenths
    certificate = replace(
        GOOD, Ftu=pa(f"{42 + a / 10:.1f} ksi"), Fty=pa(f"{35 + b / 10:.1f} ksi"), elongation=(8 + c) / 100
    )
    wrong = [name for name, off in (("Ftu", a), ("Fty", b), ("elongation", c)) if off < 0]
    assert failed(certificate) == wrong


@pytest.mark.parametrize(
    ("certificate", "heat", "names"),
    [
        (None, "H1", ["certificate"]),
        (GOOD, "H2", ["heat"]),
        (GOOD, "", ["heat"]),
        (replace(GOOD, stock="AMS-QQ-A-200/8"), "H1", ["stock"]),
        (replace(GOOD, Fty=None), "H1", ["Fty"]),
        (replace(GOOD, Ftu=None, heat="H2"), "H1", ["heat", "Ftu"]),
    ],
)
def test_what_a_certificate_may_lack(certificate: Certificate | None, heat: str, names: list[str]) -> None:
    assert failed(certificate, heat) == names


def test_a_specification_without_known_minima_cannot_be_judged() -> None:
    assert failed(GOOD, minima=()) == ["minima"]


def test_a_shortfall_is_told_with_its_amount() -> None:
    check = next(
        check
        for check in certificate_checks(replace(GOOD, Fty=pa("34.2 ksi")), "H1", SPEC, MINIMA)
        if not check.ok
    )
    assert str(check) == "Fty: 34.2 ksi, short by 0.8 ksi, required at least 35 ksi"
    assert write_value("elongation", 0.08) == "8 %"


def test_a_mill_bar_has_an_end_to_square_and_a_remnant_has_none() -> None:
    bar = StockBar("T-1", "SQ 1.5x0.125", SPEC, "bar", 10**9, "H1", GOOD)
    assert bar.mill_end
    assert not replace(bar, kind="remnant").mill_end


@pytest.mark.parametrize(
    ("printed", "row", "good"),
    [
        ("drawn tube", "drawn tube", True),
        ("extruded tube", "drawn tube", False),
        ("drawn tube", "extruded rod, bar, shapes", False),
        ("cold-finished bar", "rolled, drawn or cold-finished rod and shapes", True),
        ("extruded bar", "rolled, drawn or cold-finished rod and shapes", False),
        ("plate", "plate", True),
        ("sheet", "plate", False),
        ("tube", "drawn tube", False),  # does not say how it was made
        ("", "drawn tube", False),
    ],
)
def test_the_form_on_a_certificate_is_that_of_the_row(printed: str, row: str, good: bool) -> None:
    """Strengths of 6061-T6 differ by form: drawn tube 42 ksi, extruded 38 (MIL-HDBK-5J tables 3.6.2.0)."""
    checks = certificate_checks(replace(GOOD, form=printed), "H1", SPEC, MINIMA, form=row)
    assert [check.name for check in checks if not check.ok] == ([] if good else ["form"])

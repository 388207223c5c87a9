"""`rackwright calc` as a person types it: cards, worked numbers, every mistake at once."""

from __future__ import annotations

import json
from typing import Any

import pytest

from rackwright.faces.cli.main import _run
from rackwright.formulas.cards import cards
from rackwright.trouble import DEFERENCE, UNCONFIRMED


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = _run(["calc", *words])
    out, err = capsys.readouterr()
    return code, out, err


def document(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, Any]:
    code, out, _ = run(capsys, *words, "--json")
    return code, json.loads(out)


def test_list_names_every_formula_by_chapter(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "list")
    assert code == 0
    assert all(f"\n  {name} " in out for name in cards())
    code, found = document(capsys, "list")
    assert code == 0
    assert [one["name"] for one in found["formulas"]] == list(cards())
    assert found["caution"] == DEFERENCE


def test_a_name_alone_shows_the_card(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "bearing_allowable")
    assert code == 0
    assert "Fbr = F15 + (F20 - F15)*(Min(ed, 2) - 1.5)/0.5" in out
    assert "1.5 ≤ ed" in out
    assert "MIL-HDBK-5J section 1.4.7.1" in out
    assert DEFERENCE in out
    code, found = document(capsys, "bearing_allowable")
    assert code == 0
    assert found["symbols"][0]["units"] == ["Pa", "psi", "ksi", "MPa", "GPa", "Msi"]


def test_values_carry_units_and_the_answer_shows_both_systems(capsys: pytest.CaptureFixture[str]) -> None:
    """A 1/4 in bolt at 75 ksi in single shear holds 3681.6 lbf."""
    code, out, _ = run(capsys, "shank_shear", "Fsu=75 ksi", "D=1/4 in", "n=1")
    assert code == 0
    assert "= 3681.554 lbf" in out
    assert "16376.37 N" in out
    assert out.endswith(DEFERENCE + "\n")
    code, found = document(capsys, "shank_shear", "Fsu=75 ksi", "D=1/4 in", "n=1")
    assert code == 0
    assert found["result"]["value_us"] == pytest.approx(3681.553891)
    assert found["result"]["unit_us"] == "lbf"
    assert found["result"]["value_si"] == pytest.approx(16376.3671)
    assert found["notes"] == []


def test_metric_and_inch_values_meet(capsys: pytest.CaptureFixture[str]) -> None:
    _, one = document(capsys, "rectangle_area", "b=1 in", "h=2 in")
    _, other = document(capsys, "rectangle_area", "b=25.4 mm", "h=50.8 mm")
    assert one["result"]["value_si"] == pytest.approx(other["result"]["value_si"], rel=1e-15)


def test_rows_are_comma_separated(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = document(capsys, "centre", "m=22 kg, 14 kg, 9 kg", "x=0.30, 0.32, 0.25 m")
    assert code == 0
    assert found["result"]["value_si"] == pytest.approx(0.2962222222)


def test_outside_its_range_the_note_stands_beside_the_result(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = run(capsys, "margin_of_safety", "allowable=10", "applied=8", "factor=0.5")
    assert code == 0
    assert "! outside its range: factor = 0.5" in out


def test_what_is_from_memory_is_marked(capsys: pytest.CaptureFixture[str]) -> None:
    _, found = document(capsys, "shear_tension", "Rs=0.6", "Rt=0.7")
    assert found["marks"] == [UNCONFIRMED]
    _, found = document(capsys, "tension_bending", "Rt=0.6", "Rb=0.7")
    assert found["marks"] == []


@pytest.mark.parametrize(
    "words",
    [
        ("bearing_allowable", "F15=64 ksi", "F20=82 ksi", "ed=1.4"),
        ("euler_load", "E=10 Msi", "I=0.2 in4", "L=0 in"),
        ("centre", "m=0 kg", "x=1 m"),
        ("wall_from_weight", "w=9000 lb", "rho=0.1 lb/in3", "L=1 in", "b=1 in"),
    ],
)
def test_no_value_is_an_answer_of_no(capsys: pytest.CaptureFixture[str], words: tuple[str, ...]) -> None:
    code, found = document(capsys, *words)
    assert code == 1
    assert [one["code"] for one in found["trouble"]] == ["RW114"]


def test_every_mistake_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = document(capsys, "johnson_euler", "E=10", "Fcc=34 lbf", "Q=1", "E=9 Msi", "34 ksi")
    assert code == 2
    assert [(one["code"], one["field"]) for one in found["trouble"]] == [
        ("RW104", "E"), ("RW104", "Fcc"), ("RW113", "Q"), ("RW113", "E"), ("RW001", "34 ksi"), ("RW113", "s"),
    ]  # fmt: skip


def test_an_unknown_formula_names_its_neighbours(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = run(capsys, "shank_sheer")
    assert (code, out) == (2, "")
    assert "shank_shear" in err
    assert "RW112" in err
    code, _, err = run(capsys, "zzzz")
    assert code == 2
    assert "calc list" in err


def test_rows_of_different_length_are_a_fault(capsys: pytest.CaptureFixture[str]) -> None:
    code, found = document(capsys, "centre", "m=1, 2 kg", "x=1, 2, 3 m")
    assert code == 2
    assert found["trouble"][0]["code"] == "RW106"


@pytest.mark.parametrize("name", sorted(cards()))
def test_every_card_can_be_worked_by_typing_it(capsys: pytest.CaptureFixture[str], name: str) -> None:
    """With ones in the US unit of each symbol: an answer, or a plain no."""
    words = [f"{one.name}={'1, 2' if one.many else '1'} {one.unit}".strip() for one in cards()[name].symbols]
    code, found = document(capsys, name, *words)
    assert code in (0, 1)
    assert "result" in found or [one["code"] for one in found["trouble"]] == ["RW114"]

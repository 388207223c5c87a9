"""`rackwright prove` as it is typed: the whole answer, also when the answer is no."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from faces.cli.shop_desk import DEMO, STANDARD, VARIATION, Run, answer, edited, runner, shop_copy
from rackwright.trouble import DEFERENCE


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


def test_the_tables_say_what_the_document_says(run: Run) -> None:
    code, out, err = run("prove", VARIATION)
    document = answer(run, "prove", VARIATION)
    assert (code, err) == (0, "")
    assert out.rstrip().endswith(DEFERENCE)
    assert "rack -y points to the nose of KR-9" in out
    assert document["orientation"]["signs"] in out
    loaded = document["mass"]["loaded"]
    assert re.search(rf"loaded +{loaded['mass_kg'] / 0.45359237:.2f} lb +± 5.00 lb", out)
    for name in document["governing"]:
        margin = document["margins"][name]
        assert re.search(rf"{re.escape(format(margin['margin'], '+.3f'))}  {re.escape(name)} ", out), name
    x, _, z = document["reactions_aircraft_N"]["fitting.F3"]["emergency/forward"]["low"]
    forward, up = (re.escape(format(round(n / 4.4482216), "+d")) for n in (x, z))
    assert re.search(rf"fitting.F3 +emergency/forward +{forward} .* {up} ", out)


def test_in_si_units(run: Run) -> None:
    _, out, _ = run("prove", VARIATION, "--units", "si")
    document = answer(run, "prove", VARIATION)
    assert f"{document['mass']['bare']['mass_kg']:.3f} kg" in out
    assert " lbf" not in out
    assert "MPa" in out


def test_a_variation_is_compared_with_its_own_standard(run: Run) -> None:
    against = answer(run, "prove", VARIATION)["against"]
    base = answer(run, "prove", STANDARD, code=1 if _refused(run, STANDARD) else 0)
    assert against["against"] == "ER-47 rev D"
    assert against["mass_bare_kg"]["before"] == base["mass"]["bare"]["mass_kg"]
    assert "against" not in base


def _refused(run: Run, file: Path) -> bool:
    return run("prove", file)[0] == 1


def test_a_variation_of_a_variation_too(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    (shop / "standards" / "er-47-v12.toml").write_text(VARIATION.read_text("utf-8"), "utf-8")
    file = shop / "v14.toml"
    file.write_text(
        'format = "rackwright/variation/1"\npart = "V14"\ntitle = "t"\ndrawing = "d"\nrevision = "A"\n'
        'base = "ER-47-V12"\nbase_revision = "A"\nreason = "r"\n'
        '[[change]]\nwhy = "lighter"\n[[change.equipment]]\nname = "recorder"\nmass = "18 lb"\n', "utf-8",
    )  # fmt: skip
    assert answer(run, "prove", file)["against"]["against"] == "ER-47 rev D"
    named = answer(run, "prove", file, "--against", VARIATION)["against"]
    assert named["against"] == "ER-47-V12 rev A"
    lighter = named["mass_loaded_kg"]["before"] - named["mass_loaded_kg"]["after"]
    assert lighter == pytest.approx(2 * 0.45359237, abs=1e-9)  # 20 lb to 18 lb, by hand


def test_margins_worked_in_full(run: Run) -> None:
    document = answer(run, "prove", VARIATION, "--worked")
    assert list(document["worked"]) == sorted(document["governing"])  # the document's keys are sorted
    for name, steps in document["worked"].items():
        last = steps[-1]
        assert last["result_si"] == pytest.approx(document["margins"][name]["margin"], rel=1e-9), name
        assert last["source"]
    _, out, _ = run("prove", VARIATION, "--worked")
    assert "margin of safety: MS = allowable/(applied*factor) - 1" in out


def test_a_negative_margin_is_a_no_with_the_whole_answer(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    file = edited(shop / "variations" / "er-47-v12.toml", ('mass = "41 lb"', 'mass = "140 lb"'))
    document = answer(run, "prove", file, code=1)
    assert document["holds"] is False
    refused = {trouble["code"] for trouble in document["trouble"]}
    assert refused == {"RW303", "RW305"}  # too weak, and so heavy that it nears a harmonic
    negative = [name for name, margin in document["margins"].items() if margin["margin"] < 0]
    assert sum(trouble["code"] == "RW303" for trouble in document["trouble"]) == len(negative)
    code, out, err = run("prove", file)
    assert code == 1
    assert out.rstrip().endswith(DEFERENCE)
    assert "[RW303]" in err


def test_a_missing_value_gives_no_margin_and_an_open_question(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    edited(shop / "standards" / "er-47.toml", ('allowable_ultimate = "2400 lbf"\n', ""))
    document = answer(run, "prove", shop / "variations" / "er-47-v12.toml", code=1)
    assert "PRELIMINARY" in document["marks"]
    assert "pad.allowable_ultimate" in document["questions"]
    assert {trouble["code"] for trouble in document["trouble"]} == {"RW304"}
    code, out, _ = run("prove", shop / "variations" / "er-47-v12.toml")
    assert code == 1
    assert re.search(r"missing  pad\.front-left/floor", out)
    assert "open questions:\n  pad.allowable_ultimate:" in out


def test_an_open_question_alone_is_no_no(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    edited(shop / "standards" / "er-47.toml", ('mass_tolerance = "1 lb"\n', ""))
    file = edited(shop / "variations" / "er-47-v12.toml", ('mass_tolerance = "1.5 lb"\n', ""))
    document = answer(run, "prove", file)
    assert document["marks"][0] == "PRELIMINARY"
    assert "trouble" not in document


def test_without_orientation_or_straps_the_answer_is_still_a_document(run: Run, tmp_path: Path) -> None:
    tables = re.split(r"(?m)^(?=\[)", STANDARD.read_text("utf-8"))
    for name, dropped in (("unturned", "[aircraft]"), ("loose", "[[strap]]")):
        file = tmp_path / f"{name}.toml"
        file.write_text("".join(part for part in tables if not part.startswith(dropped)), "utf-8")
    unturned = answer(run, "prove", tmp_path / "unturned.toml", code=1)
    assert (unturned["cases"], unturned["margins"], unturned["orientation"]["forward"]) == ({}, {}, None)
    loose = answer(run, "prove", tmp_path / "loose.toml", code=1)
    assert set(loose["no_equilibrium"]) == set(loose["cases"])
    assert set(loose["deflection_m"].values()) == {None}
    code, out, err = run("prove", tmp_path / "loose.toml")
    assert code == 1
    assert "margins are missing: a case has no equilibrium" in out
    for reason in loose["no_equilibrium"].values():
        assert f"no equilibrium: {reason}\n" in out
    assert err.count("\n") == 13, "the first twelve reasons, and how many more there are"
    assert run("prove", tmp_path / "unturned.toml")[0] == 1


@pytest.mark.parametrize(
    ("args", "code"),
    [([], "RW001"), (["nowhere.toml"], "RW002"), ([VARIATION, "--against", "nowhere.toml"], "RW002"),
     ([VARIATION, "--units", "furlongs"], "RW001"), ([DEMO / "stock.toml"], "RW110")],
)  # fmt: skip
def test_wrong_input_is_exit_2(run: Run, args: list[str | Path], code: str) -> None:
    assert answer(run, "prove", *args, code=2)["trouble"][0]["code"] == code


def test_a_rack_that_cannot_be_built_is_faults_and_no_numbers(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    file = edited(shop / "variations" / "er-47-v12.toml", ('height = "24 in"', 'height = "31 in"'))
    document = answer(run, "prove", file, code=2)
    assert set(document) == {"trouble"}


def test_the_same_file_gives_the_same_bytes(run: Run) -> None:
    first, second = (run("prove", VARIATION, "--worked", "--json")[1] for _ in range(2))
    assert first == second
    assert json.loads(first)

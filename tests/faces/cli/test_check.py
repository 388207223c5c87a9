"""`rackwright check` as it is typed."""

from __future__ import annotations

from pathlib import Path

import pytest

from faces.cli.shop_desk import DEMO, STANDARD, VARIATION, Run, answer, edited, runner, shop_copy


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


def test_sound_files_one_line_each(run: Run) -> None:
    code, out, err = run("check", VARIATION, STANDARD)
    assert (code, err) == (0, "")
    assert [line.partition(":")[2].split(",")[0] for line in out.splitlines()] == [
        " ER-47-V12 revision A", " ER-47 revision D",
    ]  # fmt: skip


def test_sound_files_for_programs(run: Run) -> None:
    first, second = answer(run, "check", VARIATION, STANDARD)["files"]
    assert (first["file"], first["part"], first["revision"]) == (str(VARIATION), "ER-47-V12", "A")
    assert first["standard"] == second["standard"] == "ER-47 rev D"
    assert first["questions"] == []
    assert "PRELIMINARY" not in first["marks"]


def test_an_open_question_is_told_and_is_no_fault(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    standard = edited(shop / "standards" / "er-47.toml", ('mass_tolerance = "0.5 lb"\nsize = ["17.25 in", "11 in"',
                                                          'size = ["17.25 in", "11 in"'))  # fmt: skip
    code, out, _ = run("check", standard)
    assert code == 0
    assert "PRELIMINARY, UNCONFIRMED; 1 open question:\n" in out
    assert "  equipment.radio tray.mass_tolerance: How well is the mass of radio tray known?" in out
    (file,) = answer(run, "check", standard)["files"]
    assert file["marks"][0] == "PRELIMINARY"
    assert file["questions"][0]["id"] == "equipment.radio tray.mass_tolerance"


def test_all_faults_of_all_files_at_once_each_once(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    edited(shop / "standards" / "er-47.toml", ('wall = "0.125 in"', 'wall = "0.125"'))
    v12 = shop / "variations" / "er-47-v12.toml"
    other = shop / "variations" / "er-47-v13.toml"
    other.write_text(v12.read_text("utf-8").replace("ER-47-V12", "ER-47-V13"), "utf-8")
    (shop / "empty.toml").write_text("", "utf-8")
    found = answer(run, "check", v12, other, shop / "empty.toml", tmp_path / "nowhere.toml", code=2)[
        "trouble"
    ]
    assert [(t["code"], t["field"]) for t in found] == [
        ("RW104", "tube.wall"), ("RW004", ""), ("RW002", ""),
    ]  # the two variations share their standard, so its fault is told once  # fmt: skip
    assert found[0]["line"] == 15
    _, out, err = run("check", v12, shop / "empty.toml")
    assert out == ""
    assert "er-47.toml:15 tube.wall: '0.125' has no unit" in err


def test_a_definition_that_reads_but_cannot_be_built_is_a_fault(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    file = edited(shop / "variations" / "er-47-v12.toml", ('height = "24 in"', 'height = "31 in"'))
    found = answer(run, "check", file, code=2)["trouble"]
    assert all(trouble["code"].startswith("RW2") for trouble in found)
    assert all(trouble["line"] > 0 for trouble in found)


def test_the_shop_may_be_named(run: Run, tmp_path: Path) -> None:
    alone = tmp_path / "v.toml"
    alone.write_text(VARIATION.read_text("utf-8"), "utf-8")
    assert answer(run, "check", alone, code=2)["trouble"][0]["code"] == "RW108"
    assert answer(run, "check", alone, "--shop", DEMO)["files"][0]["part"] == "ER-47-V12"

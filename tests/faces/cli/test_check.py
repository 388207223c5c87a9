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


# --- twenty ways of being broken -----------------------------------------------------------------

V, S = "variations/er-47-v12.toml", "standards/er-47.toml"

#: what is wrong, file, text, in its place, the codes that must be among the faults, the field one of them names
BROKEN = {
    "no unit": (V, 'height = "43.5 in"', 'height = "43.5"', "RW104", "outside.height"),
    "a unit of something else": (V, 'height = "43.5 in"', 'height = "43.5 lb"', "RW104", "outside.height"),
    "a shop fraction misread": (S, 'corner_radius = "3/16 in"', 'corner_radius = "3//16 in"', "RW105",
                                "tube.corner_radius"),
    "a comma for a point": (S, 'wall = "0.125 in"', 'wall = "0,125 in"', "RW10", "tube.wall"),
    "a number where a text must stand": (V, 'mass = "41 lb"', "mass = 41", "RW10", "equipment.lidar controller.mass"),
    "negative mass": (V, 'mass = "41 lb"', 'mass = "-41 lb"', "RW106", "equipment.lidar controller.mass"),
    "shelf outside the frame": (V, 'height = "32 in"', 'height = "52 in"', "RW201", "shelf.upper.height"),
    "shelves that overlap": (V, 'height = "24 in"', 'height = "31.9 in"', "RW20", ""),
    "unknown material": (S, '"6061-T6-drawn-tube-S"', '"6061-T6-unobtainium"', "RW108", "tube.material"),
    "unknown bolt": (S, 'bolt = "AN4"', 'bolt = "AN4Q"', "RW108", ""),
    "two shelves of one name": (S, 'name = "upper"\nheight = "36 in"', 'name = "lower"\nheight = "36 in"', "RW107",
                                ""),
    "a field that does not exist": (S, 'wall = "0.125 in"', 'wall = "0.125 in"\nwal = "1 in"', "RW102", "tube.wal"),
    "a field that is missing": (S, 'side = "1.5 in"\nwall', "wall", "RW101", "tube.side"),
    "a strap to no ring": (S, 'ring = "top front left"', 'ring = "nowhere"', "RW108", ""),
    "equipment on no shelf": (V, 'shelf = "middle"', 'shelf = "attic"', "RW108", ""),
    "a base of another revision": (V, 'base_revision = "D"', 'base_revision = "C"', "RW106", "base_revision"),
    "a base that is not there": (V, 'base = "ER-47"', 'base = "ER-99"', "RW108", "base"),
    "a base that is itself": (V, 'base = "ER-47"', 'base = "ER-47-V12"', "RW109", "base"),
    "no format": (V, 'format = "rackwright/variation/1"\n', "", "RW110", ""),
    "a change without a reason": (V, 'why = "lower rack; the controller must stay reachable from the seat"\n', "",
                                  "RW101", ""),
    "not TOML": (V, "[[change]]", "[[change", "RW006", ""),
    "a wall thicker than the tube": (S, 'wall = "0.125 in"', 'wall = "0.8 in"', "RW10", ""),
    "a rack lower than its blocks": (V, 'height = "43.5 in"', 'height = "2 in"', "RW2", ""),
    "no nose": (S, 'forward = "-y"', 'forward = "north"', "RW10", "aircraft.forward"),
}  # fmt: skip


@pytest.mark.parametrize("wrong", BROKEN)
def test_a_broken_definition_is_told_with_its_place(run: Run, tmp_path: Path, wrong: str) -> None:
    name, old, new, code, field = BROKEN[wrong]
    shop = shop_copy(tmp_path / "shop")
    text = (shop / name).read_text("utf-8")
    assert old in text
    (shop / name).write_text(text.replace(old, new, 1), "utf-8")
    found = answer(run, "check", shop / V, code=2)["trouble"]
    assert any(trouble["code"].startswith(code) for trouble in found), found
    about = [trouble for trouble in found if trouble["field"] == field] if field else found
    assert about, found
    assert all(trouble["found"] and trouble["do"] for trouble in found)
    assert all(trouble["line"] > 0 for trouble in about if trouble["code"] != "RW110"), about
    assert all(trouble["file"].endswith((V, S)) for trouble in found)


@pytest.mark.parametrize(
    ("name", "data", "code"),
    [
        ("binary", bytes(range(256)) * 8, "RW003"),
        ("Latin-1", 'format = "Wörks"'.encode("latin-1"), "RW003"),
        ("empty", b"", "RW004"),
        ("ten megabytes", b"# nothing\n" * 1_000_000, "RW005"),
        ("deep", b"x = " + b"[" * 5000 + b"]" * 5000, "RW00"),
        ("a text", b"Dear Sir or Madam,\n", "RW006"),
    ],
)
def test_what_is_no_definition_at_all(run: Run, tmp_path: Path, name: str, data: bytes, code: str) -> None:
    path = tmp_path / "rack.toml"
    path.write_bytes(data)
    (trouble,) = answer(run, "check", path, code=2)["trouble"]
    assert trouble["code"].startswith(code)
    assert trouble["file"] == str(path)
    assert answer(run, "prove", path, code=2)["trouble"] == [trouble]


def test_a_cycle_of_bases_is_told(run: Run, tmp_path: Path) -> None:
    shop = shop_copy(tmp_path / "shop")
    text = (shop / V).read_text("utf-8")
    for name, base in (("ONE", "TWO"), ("TWO", "ONE")):
        turned = text.replace('part = "ER-47-V12"', f'part = "{name}"').replace(
            'base = "ER-47"', f'base = "{base}"'
        )
        (shop / "standards" / f"{name.lower()}.toml").write_text(turned, "utf-8")
    assert answer(run, "check", shop / "standards" / "one.toml", code=2)["trouble"][0]["code"] == "RW109"
    assert answer(run, "check", tmp_path, code=2)["trouble"][0]["code"] == "RW002"

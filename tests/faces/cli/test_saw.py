"""`rackwright saw` as a person types it: documents, exit codes, deadlines."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from rackwright.faces.cli.main import _run
from rackwright.trouble import DEFERENCE


def instance(folder: Path, **changes: Any) -> str:
    """Thirty lengths on bars of 1000, made by a fixed rule."""
    pieces = [{"length": 150 + (37 * n * n) % 301, "count": 1 + n % 3} for n in range(30)]
    document = {
        "name": "thirty",
        "kerf": 2,
        "stock": [{"length": 1000, "count": -1, "cost": 1}],
        "pieces": pieces,
    }
    path = folder / "case.json"
    path.write_text(json.dumps({**document, **changes}))
    return str(path)


def run(capfd: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = _run(["saw", *words])
    out, err = capfd.readouterr()
    return code, out, err


def test_the_answer_is_one_document(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, _ = run(capfd, instance(tmp_path), "--json", "--seconds", "20")
    document = json.loads(out)
    assert code == 0
    assert document["status"] == "optimal"
    assert document["objective"] == document["lower_bound"] <= document["first_fit"]
    cut: dict[str, int] = {}
    for bar in document["bars"]:
        total = sum(int(length) * n for length, n in bar["cut"].items())
        pieces = sum(bar["cut"].values())
        assert bar["leftover"] == bar["length"] - total - 2 * (pieces - 1) >= 0
        for length, n in bar["cut"].items():
            cut[length] = cut.get(length, 0) + n * bar["bars"]
    asked: dict[str, int] = {}
    for piece in json.loads(Path(instance(tmp_path)).read_text())["pieces"]:
        asked[str(piece["length"])] = asked.get(str(piece["length"]), 0) + piece["count"]
    assert cut == asked


def test_a_person_sees_the_bars_and_the_caution(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, _ = run(capfd, instance(tmp_path), "--seconds", "20")
    assert code == 0
    assert out.startswith("thirty: optimal")
    assert "first fit" in out
    assert DEFERENCE in out


def test_a_tenth_of_a_second_still_gives_a_plan_and_a_bound(
    capfd: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    pieces = [{"length": 20_000 + (7919 * n * n) % 15_000, "count": 1} for n in range(150)]
    stock = [{"length": 100_000, "count": -1, "cost": 1}]
    path = instance(tmp_path, stock=stock, pieces=pieces)
    code, out, _ = run(capfd, path, "--json", "--seconds", "0.1")
    document = json.loads(out)
    assert code == 0
    assert 0 < document["lower_bound"] <= document["objective"]


def test_too_little_stock_is_an_answer_of_no(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, err = run(capfd, instance(tmp_path, stock=[{"length": 1000, "count": 3, "cost": 1}]), "--json")
    document = json.loads(out)
    assert code == 1
    assert document["status"] == "infeasible"
    assert all(row["missing"] > 0 for row in document["short"])
    assert "RW402" in err


def test_what_to_buy_is_said_by_section(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """By hand: three posts of 10 fit on either heat, four from one heat are asked for; two bars of 26 hold them for 52,
    one of 52 for 60."""
    bar = {"section": "T", "count": 1, "cost": 300, "kind": "bar", "lead_trim": 0}
    offer = {"section": "T", "count": 1, "kind": "purchase", "heat": "NEW", "lead_trim": 0}
    rows = {
        "format": "saw-1", "name": "posts", "kerf": 1, "tail_min": 2, "remnant_min": 10, "remnant_credit": 1,
        "stock": [
            {**bar, "id": "a", "length": 35, "heat": "H1"}, {**bar, "id": "b", "length": 35, "heat": "H2"},
            {**offer, "id": "short", "length": 26, "cost": 26}, {**offer, "id": "long", "length": 52, "cost": 60},
        ],
        "pieces": [{"id": "post", "section": "T", "length": 10, "use": 11, "count": 8, "role": "post"}],
        "groups": [{"section": "T", "length": 10, "role": "post", "per_rack": 4, "racks": 2, "rule": "same_heat"}],
    }  # fmt: skip
    path = tmp_path / "posts.json"
    path.write_text(json.dumps(rows))
    code, out, err = run(capfd, str(path), "--json")
    document = json.loads(out)
    assert code == 1
    (short,) = document["short"]
    assert (short["missing"], short["from_one_heat"]) == (4, True)
    assert short["most_by_heat"] == {"H1": 3, "H2": 3, "NEW": 6}
    (buy,) = document["purchase"]
    assert {bar["id"]: bar["count"] for bar in buy["buy"]} == {"short": 4}
    assert (buy["cost"], buy["cost_at_least"]) == (104, 104)
    assert "H1 has room for 3" in err
    code, out, _ = run(capfd, str(path))
    assert "section T: buy 4 x 26 (short): cost 104, proven least" in out


def test_a_bad_instance_is_troubles_and_exit_2(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    code, out, err = run(capfd, instance(tmp_path, kerf=0.5, stock=[{"length": -1}]), "--json")
    assert code == 2
    assert [trouble["field"] for trouble in json.loads(out)["trouble"]] == [
        "/kerf", "/stock/0/length", "/stock/0/cost", "/stock/0/count",
    ]  # fmt: skip
    assert "case.json" in err


@pytest.mark.parametrize("seconds", ["0", "-1", "nan", "much"])
def test_the_time_must_be_a_time(capfd: pytest.CaptureFixture[str], tmp_path: Path, seconds: str) -> None:
    code, out, _ = run(capfd, instance(tmp_path), "--json", "--seconds", seconds)
    assert code == 2
    assert json.loads(out)["trouble"][0]["code"] == "RW001"

"""A shop's own reference rows, from their file to the margins they decide, the freeze, the comparison, the report."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from faces.cli.shop_desk import Run, answer, by_name, runner, troubles
from rackwright import record
from rackwright.record import project

LEAD, ENGINEER, OF, TUBE = "A. Quill", "G. Marl", "ER-47-V12 rev A", "6061-T6-drawn-tube-S"

OWN = """format = "rackwright/reference/1"

[[material]]
id = "6061-T6-drawn-tube-S"
alloy = "6061"
temper = "T6"
form = "drawn tube"
basis = "S"
t_min = "0.025 in"
t_max = "0.5 in"
Ftu_L = "40 ksi"
Fty_L = "34 ksi"
Fcy_L = "33 ksi"
Fsu = "26.7 ksi"
Fbru_15 = "66 ksi"
Fbru_20 = "86 ksi"
E = "9900 ksi"
Ec = "10100 ksi"
G = "3800 ksi"
nu = 0.33
density = "0.098 lb/in3"
source = "invented specification 7"
place = "page 2"
how_known = "memory"
"""


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    return runner(capsys, monkeypatch)


def _least_of_the_tube(document: Any) -> Any:
    of_it = [
        one for one in document["margins"].values() if TUBE in one["source"] and one["margin"] is not None
    ]
    return min(of_it, key=lambda one: one["margin"])


def test_a_shops_row_decides_margins_and_is_frozen_with_them(run: Run, tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    file, own = shop / "variations" / "er-47-v12.toml", shop / "reference" / "own.toml"
    assert run("new", shop, "--name", "Fell Bench Works (invented)", "--by", LEAD)[0] == 0
    by_name(shop, LEAD)
    before = answer(run, "prove", file)
    own.parent.mkdir()

    # faults of the file, located, before anything is computed
    own.write_text(OWN.replace('"40 ksi"', '"40 kg"').replace("memory", "hope"), "utf-8")
    assert troubles(run, "check", file, code=2) == ["RW111", "RW104"]

    # the row decides, and every margin that rests on it says so
    own.write_text(OWN, "utf-8")
    proven = answer(run, "prove", file)
    assert before["own_rows"] == []
    assert [(one["row"], one["kind"]) for one in proven["own_rows"]] == [(TUBE, "Material")]
    assert proven["own_rows"][0]["known"].startswith("invented specification 7, page 2 (memory")
    wall, was = (_least_of_the_tube(one) for one in (proven, before))
    assert wall["margin"] < was["margin"]
    assert wall["marks"] == ["UNCONFIRMED", "OWN ROW"]
    assert "OWN ROW: Material" in run("prove", file)[1]

    # frozen by hash with the definition: the folder may change
    log = ["--shop", shop]
    assert run("log", "order", "order=PO-7", "customer=A survey", f"file={file}", "quantity=1", "due=2999-06-01",
               "document=CT-1", "--by", LEAD, *log)[0] == 0  # fmt: skip
    assert run("freeze", file, "--by", LEAD, "--order", "PO-7")[0] == 0
    for person in (ENGINEER, "H. Orrest"):
        assert run("log", "person", f"person={person}", "roles=engineer", "--by", LEAD, *log)[0] == 0
    compare = [
        "log",
        "row_confirmed",
        f"row={TUBE}",
        "document=SPEC-7",
        "place=page 2",
        "--by",
        ENGINEER,
        *log,
    ]
    assert run(*compare)[0] == 0
    own.write_text(OWN.replace('"40 ksi"', '"39 ksi"'), "utf-8")
    report = ["log", "report", "report=SR-1", f"revision={OF}", "--by", ENGINEER, *log]
    assert run(*report)[0] == 0
    with record.open(shop / "record.db") as kept:
        state = project(kept.events())
        held, last = state.revisions[OF], state.report_of(OF)
        assert last is not None
        assert kept.get_file(held.texts["reference/own.toml"]) == OWN.encode()
        inputs = json.loads(kept.get_file(last.results))["inputs"]
    assert inputs["text reference/own.toml"] == held.texts["reference/own.toml"]
    assert inputs[f"used Material {TUBE}"] == state.confirmed[TUBE].row_hash
    assert not any(TUBE in words for _, words in last.reasons)  # compared as it stands in the freeze

    # a comparison is of the row as it stands now: the frozen one is compared no more
    assert run(*compare)[0] == 0
    assert run(*report)[0] == 0
    with record.open(shop / "record.db") as kept:
        state = project(kept.events())
    assert any(TUBE in words for _, words in state.report_of(OF).reasons)  # type: ignore[union-attr]

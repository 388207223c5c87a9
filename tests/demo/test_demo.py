"""The played job, as a user runs it: what it prints and leaves, twice the same, and edited variations.

Each run is a process of its own. The first, whole one is kept for the session; the edits are made on a copy of the
shipped variation, as a user makes them.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from importlib.resources import as_file, files
from pathlib import Path

import pytest

import racks
from played import Ran, run
from rackwright import record as records
from rackwright.demo import SECRETS
from rackwright.record import project
from rackwright.work.keeping.hindsight import in_hindsight

pytestmark = pytest.mark.long

HEAVY = ('mass = "41 lb"', 'mass = "900 lb"')
THIN = ("[change.outside]\nheight", '[change.tube]\nwall = "0.095 in"\n[change.outside]\nheight')
FAULTY = ('mass = "41 lb"', 'mass = "41 elephants"')
OPEN = ('document = "RC-8 outline drawing (invented)"\n', "")


def edited(folder: Path, *edits: tuple[str, str]) -> Path:
    path = folder / "edited.toml"
    path.write_text(racks.swap(racks.VARIATION, *edits), "utf-8")
    return path


def test_every_event_that_was_printed_recorded_is_in_the_export(played_demo: Ran) -> None:
    assert played_demo.code == 0, played_demo.err
    lines = [
        json.loads(line) for line in (played_demo.folder / "export.jsonl").read_text("utf-8").splitlines()
    ]
    there = [(line["seq"], line["type"]) for line in lines if "seq" in line]
    printed = [
        (int(n), type) for n, type in re.findall(r"^recorded (\d+) (\w+)", played_demo.out, re.MULTILINE)
    ]
    assert printed == there
    assert len(printed) > 300


def test_it_ends_with_two_racks_shipped_one_back_and_a_record_that_is_whole(played_demo: Ran) -> None:
    with records.open(played_demo.folder / "record.db") as record:
        state, audit = project(record.events()), records.audit(record, judge=in_hindsight)
    assert sorted(rack.state for rack in state.serials.values()) == ["back", "shipped", "shipped"]
    assert audit.troubles == ()
    for name in re.findall(r"^  (\S+) {2,}\S", played_demo.out, re.MULTILINE):
        assert (played_demo.folder / name).stat().st_size > 0


def test_the_gates_say_no_on_the_way(played_demo: Ran) -> None:
    refused = {event.body["code"] for event in played_demo.events if event.type == "refusal"}
    expected = {"RW510", "RW511", "RW512", "RW513", "RW514", "RW515", "RW516", "RW517", "RW518", "RW519", "RW520",
                "RW521"}  # fmt: skip
    assert expected <= refused


def test_a_second_run_elsewhere_leaves_the_same_bytes(played_demo: Ran, tmp_path: Path) -> None:
    """Every file but record.db, whose export is one of them."""
    second = run(tmp_path / "elsewhere" / "another name")
    ours, theirs = played_demo.files, second.files
    assert set(ours) == set(theirs)
    assert [name for name in ours if ours[name] != theirs[name] and name != "record.db"] == []


def test_a_dossier_that_leaves_is_recorded_and_an_older_backup_is_behind_its_head(
    played_demo: Ran, tmp_path: Path
) -> None:
    shop, lead = tmp_path / "shop", played_demo.events[-1].by
    serial = played_demo.events[-1].body["serial"]
    shutil.copytree(played_demo.folder, shop)
    (tmp_path / "sign").write_text(SECRETS[lead], "utf-8")

    def rackwright(*args: str, code: int = 0) -> str:
        done = subprocess.run(
            [sys.executable, "-m", "rackwright.faces.cli.main", *args],
            cwd=shop, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert done.returncode == code, done.stderr
        return done.stdout + done.stderr

    rackwright("backup", "--out", "../old.zip")
    size = len(played_demo.events)
    for n in (1, 2):
        said = rackwright(
            "papers", serial, "--only", "dossier", "--out", "papers", "--by", lead, "--sign", "../sign"
        )
        assert f"recorded {size + n} dossier" in said
    rackwright("audit")
    said = rackwright("restore", "../old.zip", "--into", "../again", "--papers", "papers", code=1)
    assert f"this record is 1 event behind the head on the dossier of {serial}" in said


def test_a_folder_that_is_not_ours_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "mine"
    folder.mkdir()
    (folder / "record.db").write_text("years of work")
    ran = run(folder)
    assert ran.code == 2
    assert "was not made by the demo" in ran.err
    assert ran.files == {"record.db": b"years of work"}


def test_a_heavier_controller_ends_at_the_release_with_papers_but_no_rack(
    played_demo: Ran, tmp_path: Path
) -> None:
    """Played into a finished demo: everything is made anew, nothing of before is left, nothing is released."""
    folder = shutil.copytree(played_demo.folder, tmp_path / "shop")
    (folder / "papers" / "left over.txt").write_text("of the last time")
    ran = run(folder, edited(tmp_path, HEAVY))
    state = project(ran.events)
    assert ran.code == 1
    assert {rack.state for rack in state.serials.values()} == {"planned"}
    assert [event.body["code"] for event in ran.events if event.type == "refusal"][-1].startswith("RW3")
    assert ran.files["prove.json"] != played_demo.files["prove.json"]
    papers = {name for name in ran.files if name.startswith("papers/")}
    assert {"papers/drawing.pdf", "papers/saw-sheet.pdf"} <= papers
    assert not [name for name in papers if "left over" in name or name.endswith(".seal")]


@pytest.mark.soak
def test_a_thinner_wall_is_bought_and_the_job_goes_on_or_ends_at_a_gate(tmp_path: Path) -> None:
    ran = run(tmp_path / "shop", edited(tmp_path, THIN))
    plan = json.loads(ran.files["plan.json"])
    assert "SQ 1.5x0.095" in json.dumps(plan)
    state = project(ran.events)
    tubes = [piece for piece in state.pieces.values() if "/post." in piece.piece]
    assert len(tubes) == 12
    assert all(piece.heat.startswith("DEMO-") for piece in tubes)
    released = [rack for rack in state.serials.values() if rack.state in ("released", "shipped")]
    assert (ran.code, len(released)) in ((0, 3), (1, 0))
    assert ran.code == 0 or "refused:" in ran.out


def test_a_braced_rack_goes_through_the_record_from_sign_out_to_dossier(tmp_path: Path) -> None:
    """The second variation: braces sawn at an angle and measured, gussets made, both bolted, three racks released."""
    with as_file(files("rackwright.demo") / "shop" / "variations" / "er-47-v13.toml") as braced:
        ran = run(tmp_path / "shop", braced)
    assert ran.code == 0
    with records.open(ran.folder / "record.db") as record:
        assert records.audit(record, judge=in_hindsight).troubles == ()
    state = project(ran.events)
    braces, gussets = (
        [piece for piece in state.pieces.values() if f"/{kind}." in piece.piece]
        for kind in ("brace", "gusset")
    )
    assert (len(braces), len(gussets)) == (9, 36)
    assert {piece.state for piece in (*braces, *gussets)} == {"assembled"}
    assert all(piece.length_nm and piece.heat for piece in braces)
    for piece in braces:
        read = {one.characteristic: one for one in state.measured(piece.piece)}
        assert {"length", "mitre at the start", "mitre at the end"} <= read.keys()
        assert all(one.within and one.by not in piece.makers for one in read.values())
    for rack in state.serials.values():
        held = {bolt: joint for bolt, joint in rack.joints.items() if bolt.startswith("brace.")}
        assert len(held) >= 3 * 2 * 4
        assert all(
            joint["torque"] and joint["lots"] and joint["wrench"] and joint["by"] for joint in held.values()
        )
        assert (ran.folder / "papers" / f"{rack.serial}.pdf").stat().st_size > 0


def test_a_faulty_variation_is_told_at_its_line_and_leaves_everything_as_it_was(
    played_demo: Ran, tmp_path: Path
) -> None:
    variation = edited(tmp_path, FAULTY)
    line = variation.read_text("utf-8").splitlines().index(FAULTY[1]) + 1
    anew, over = (
        run(tmp_path / "new", variation),
        run(shutil.copytree(played_demo.folder, tmp_path / "old"), variation),
    )
    assert (anew.code, over.code) == (2, 2)
    assert f"{variation}:{line}" in anew.err
    assert not anew.folder.exists()
    assert over.files == played_demo.files


@pytest.mark.soak
def test_a_question_that_the_definition_leaves_open_stops_the_sign_out(tmp_path: Path) -> None:
    ran = run(tmp_path / "shop", edited(tmp_path, OPEN))
    refused = [event.body for event in ran.events if event.type == "refusal"]
    assert ran.code == 1
    assert refused[-1]["code"] == "RW513"
    assert "equipment.recorder.document" in refused[-1]["found"]
    assert not [event for event in ran.events if event.type in ("cut", "release")]

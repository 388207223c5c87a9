"""`rackwright schedule` on the demo's shop: the sheet, the document, what moved, and what is refused."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from itertools import groupby
from pathlib import Path

import pytest

from faces.cli.shop_desk import Run, answer, runner, shop_copy, troubles
from papers.reading import flat, pages
from played import Ran
from rackwright import record as records
from rackwright.demo import SECRETS

run = pytest.fixture(runner)


@pytest.fixture
def shop(played_demo: Ran, tmp_path: Path) -> Path:
    """The demo's shop on the morning after drilling."""
    folder = shop_copy(tmp_path / "shop")
    with records.create(folder / "record.db") as record:
        before = (event for event in played_demo.events if event.at[:10] < "2026-03-16")
        for _, events in groupby(before, key=lambda event: event.act_id):
            record.append([replace(event, seq=0) for event in events], record.head())
    with records.open(played_demo.folder / "record.db") as old, records.open(folder / "record.db") as record:
        for revision in {digest for event in record.events() for digest in event.refs.files}:
            record.put_file(old.get_file(revision))
    shutil.copytree(played_demo.folder / "signers", folder / "signers")
    return folder


def test_the_sheet_shows_what_is_left_by_station_and_a_machine_down_moves_it(
    run: Run, shop: Path, tmp_path: Path
):
    day = ("--shop", shop, "--today", "2026-03-16", "--effort", "0.5")
    paper = tmp_path / "week.pdf"
    first = answer(run, "schedule", *day, "--paper", paper)
    assert first["orders"][0]["late_h"] == 0
    places = {row["place"] for row in first["operations"]}
    assert {"booth", "oven", "assembly", "scales", "Fellside Conversion (invented)"} <= places
    assert not places & {"saw", "mill", "jig"}
    assert answer(run, "schedule", *day) == first
    text = flat(" ".join(pages(paper.read_bytes())))
    assert "Schedulebystation" in text
    assert "F.Ansty" in text
    earlier = tmp_path / "monday.json"
    earlier.write_text(json.dumps(first), "utf-8")
    (tmp_path / "sign").write_text(SECRETS["A. Quill"], "utf-8")
    signed = ("--sign", tmp_path / "sign")
    code, _, err = run("log", "away", "--shop", shop, "--by", "A. Quill", *signed, "what=oven", "first=2026-03-19",
                       "last=2026-04-20", "reason=burner")  # fmt: skip
    assert code == 0, err
    code, out, _ = run("schedule", *day, "--against", earlier)
    assert code == 1
    assert "PO-2231 line 1: done 2026-04-2" in out
    assert "oven is away: burner, until 2026-04-20" in out
    assert "moved: 2 orders" in out


def test_what_is_no_schedule_is_a_located_fault(run: Run, shop: Path, tmp_path: Path) -> None:
    other = tmp_path / "other.json"
    for text, code in (("{", "RW007"), ("[]", "RW103"), ('{"format": "rackwright/plan/1"}', "RW103")):
        other.write_text(text, "utf-8")
        assert troubles(run, "schedule", "--shop", shop, "--against", other, "--effort", "0", code=2) == [
            code
        ]
    assert troubles(run, "schedule", "--shop", shop, "--effort", "1", "--seconds", "1", code=2) == ["RW001"]

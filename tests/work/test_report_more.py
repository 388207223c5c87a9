"""Payloads and the ranking of measurements stand in a report where they are asked for, and only there."""

from __future__ import annotations

from dataclasses import replace
from importlib import import_module
from pathlib import Path
from typing import Any

import pytest

import small_shop as small
from rackwright.papers.table import Facts, Items, Section, Table, Text
from rackwright.seal import canonical, read_canonical
from rackwright.trouble import Stopped
from rackwright.work.engineering.reporting import prepare_report
from rackwright.work.papers.report import ASKED, Issue
from rackwright.work.papers.report.more import more_sections, printed
from rackwright.work.papers.reprint import reprinted_sections

OF = small.revision()


def sections(issue: Issue) -> dict[str, Section]:
    return {one.title: one for one in more_sections(issue)}


def test_what_was_not_asked_for_is_said_to_be_absent_and_changes_no_hash() -> None:
    issue = Issue(small.design(), {})
    for section in sections(issue).values():
        (block,) = section.blocks
        assert isinstance(block, Text)
        assert block.text.startswith("Not asked for in this revision, since it takes ")
        assert "`rackwright log report … more=" in block.text
        assert "`rackwright prove --" in block.text
    assert ASKED not in issue.inputs
    assert replace(issue, more=("sensitivity",)).inputs_hash != issue.inputs_hash


def test_the_ranking_is_the_one_of_the_design() -> None:
    design = small.design()
    section = sections(Issue(design, {}, more=("sensitivity",)))["Which measurement matters most"]
    (table,) = section.blocks
    assert isinstance(table, Table)
    assert [row[0] for row in table.rows] == [one.what for one in design.sensitivities]
    assert [row[3] for row in table.rows] == [f"{one.least:.4f}" for one in design.sensitivities]
    losses = [float(row[3]) for row in table.rows]
    assert losses == sorted(losses, reverse=True)


def kept(issue: Issue) -> Any:
    """As the record gives it back."""
    return read_canonical(canonical(printed(issue)))


def test_a_dossier_prints_again_what_the_report_printed() -> None:
    issue = Issue(small.design(), {}, more=("sensitivity",))
    absent, again = reprinted_sections(kept(issue), "SR-1 revision A")
    said, *blocks = again.blocks
    assert said == Text("As the strength report SR-1 revision A printed it, of the rack as frozen.", "note")
    assert tuple(blocks) == sections(issue)[again.title].blocks
    assert absent.blocks == (
        Text("The strength report SR-1 revision A does not hold it; `rackwright prove --envelope` tells it."),
    )


def test_where_no_report_is_recorded_the_dossier_says_so() -> None:
    for section in reprinted_sections({}, ""):
        (block,) = section.blocks
        assert isinstance(block, Text)
        assert block.text.startswith("No strength report is recorded; `rackwright prove --")


def test_payloads_come_back_as_they_were_printed(monkeypatch: pytest.MonkeyPatch) -> None:
    blocks = (Text("a"), Items(("b", "c")), Facts((("d", "e"),), "f"),
              Table("g", ("h", "i"), (("1", "2"),), "lr", "note", (1.5, 0.25)))  # fmt: skip
    monkeypatch.setattr(
        import_module("rackwright.work.papers.report.more"), "placard_blocks", lambda _: blocks
    )
    again, _ = reprinted_sections(kept(Issue(small.design(), {}, more=("payloads",))), "SR-1")
    assert again.blocks[1:] == blocks


def test_an_unknown_section_is_refused(stages: Path, tmp_path: Path) -> None:
    with small.stage("ordered", stages, tmp_path) as record, pytest.raises(Stopped) as stopped:
        prepare_report(
            small.station(record, "engineer"), "SR-1", OF, small.design(), small.shop(), more=("poem",)
        )
    (trouble,) = stopped.value.troubles
    assert (trouble.code, trouble.found) == ("RW517", "'poem' is no section")


def test_a_report_that_asks_for_more_is_another_revision(stages: Path, tmp_path: Path) -> None:
    with small.stage("ordered", stages, tmp_path) as record:
        engineer = small.station(record, "engineer")
        prepare_report(engineer, "SR-1", OF, small.design(), small.shop())
        prepare_report(engineer, "SR-1", OF, small.design(), small.shop(), more=("sensitivity",))
        a, b = small.state(record).reports["SR-1"]
    assert (a.revision, b.revision) == ("A", "B")
    assert a.inputs != b.inputs

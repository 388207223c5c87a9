"""Photos, charts and machines' logs go with any act, by their hash: kept, audited, backed up, listed in the dossier."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import small_shop as small
from rackwright import record as records
from rackwright.papers.table import Table
from rackwright.record import Record, audit
from rackwright.trouble import Stopped
from rackwright.work.keeping.backup import make_backup, restore_backup
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.papers.attached import attached_blocks
from rackwright.work.quality.amending import Amendment, amend
from rackwright.work.station import attach
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, step
from stories.conftest import Begin

POST, PHOTO, LOG = "SN-1/post.front-left", b"\x89PNG a photo", b"t,rpm\n0,900\n"
FILES = {"post.png": PHOTO, "drill.csv": LOG}


def pretreated(record: Record) -> records.Event:
    done = step(attach(small.station(record, "assembler"), FILES), Step("pretreat"), [POST], ["SN-1"])
    return done.events[0]


def troubles(record: Record) -> list[str]:
    return [str(trouble) for trouble in audit(record, judge=in_hindsight).troubles]


def test_what_is_attached_is_kept_with_the_act_and_its_refusal(begin: Begin) -> None:
    record = begin("made").record
    event = pretreated(record)
    kept = {one["name"]: record.get_file(one["file"]) for one in event.body["attached"]}
    assert kept == FILES
    assert set(event.refs.files) == {one["file"] for one in event.body["attached"]}
    with pytest.raises(Stopped):
        step(attach(small.station(record, "stores"), {"x.png": b"x"}), Step("coat"), [POST], ["SN-1"])
    last = record.events()[-1]
    assert (last.type, [record.get_file(name) for name in last.refs.files]) == ("refusal", [b"x"])
    assert troubles(record) == []


def test_each_reading_of_an_act_has_the_chart(begin: Begin) -> None:
    record = begin("made").record
    readings = next(iter(small.by_piece_and_gauge("before coat")))
    at = attach(small.station(record, "inspector"), {"chart.pdf": b"%PDF"})
    events = measure(at, "SN-1", readings, small.GAUGES[next(iter(readings)).gauge]).events
    assert {event.body["attached"][0]["name"] for event in events} == {"chart.pdf"}
    (table,) = attached_blocks(events, record.get_file)
    assert isinstance(table, Table)
    assert len(table.rows) == 1, "one act, one row"


def test_what_is_missing_or_altered_is_found_by_audit_and_dossier(begin: Begin) -> None:
    record = begin("made").record
    event = pretreated(record)
    (table,) = attached_blocks([event], record.get_file)
    assert isinstance(table, Table)
    assert [row[0] for row in table.rows] == ["post.png", "drill.csv"]
    assert table.rows[0][5] == str(len(PHOTO))
    file = record.attachments / event.body["attached"][0]["file"]
    file.write_bytes(PHOTO + b".")
    assert [line for line in troubles(record) if "RW507" in line]
    with pytest.raises(Stopped, match="RW507"):
        list(attached_blocks([event], record.get_file))
    file.unlink()
    assert [line for line in troubles(record) if "RW507" in line]


def test_an_event_that_names_a_file_it_does_not_keep_is_found(begin: Begin) -> None:
    record = begin("made").record
    event = pretreated(record)
    past = replace(event, refs=replace(event.refs, files=event.refs.files[:1]))
    found = in_hindsight([*record.events()[:-1], past])
    assert [one.code for one in found] == ["RW507"]


def test_attachments_are_not_corrected(begin: Begin) -> None:
    record = begin("made").record
    seq = pretreated(record).seq
    said = Amendment(seq, "another photo", {"attached": []})
    with pytest.raises(Stopped, match="attached of event"):
        amend(small.station(record, "lead"), said)


def test_they_go_with_export_and_backup(stages: Path, tmp_path: Path) -> None:
    with small.stage("made", stages, tmp_path / "shop") as record:
        event = pretreated(record)
        lines = b"".join(records.export_lines(record.events()))
    with records.import_export(lines, tmp_path / "again.db") as again:
        assert again.events()[-1].body["attached"] == event.body["attached"]
    made = make_backup(tmp_path / "shop")
    restore_backup(made.data, "b.zip", tmp_path / "restored")
    with records.open(tmp_path / "restored" / "record.db") as restored:
        assert {one["name"]: restored.get_file(one["file"]) for one in event.body["attached"]} == FILES
        assert troubles(restored) == []

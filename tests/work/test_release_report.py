"""No rack leaves without a released strength report behind it, but by an engineer's name and reason; nor with numbers
that its frozen texts no longer give."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

import small_shop as small
from racks import STANDARD
from rackwright.design import Design
from rackwright.rack import Source, read_definition, read_rack
from rackwright.rack.check import check
from rackwright.record import Record, State
from rackwright.record.state import Revision
from rackwright.trouble import Refusal
from rackwright.work.engineering.as_frozen import governing_numbers, proof_hash, since_frozen
from rackwright.work.engineering.reporting import check_report, confirm_row, prepare_report, release_report
from rackwright.work.engineering.rows_used import used_rows
from rackwright.work.serials.releasing import Gate, _behind, release, release_gates, without_report

SERIAL, OF = "SN-1", small.revision()


def gate(state: State, name: str, design: Design | None = None) -> Gate:
    gates = release_gates(
        state, SERIAL, design or small.design(), small.shop(), None, small.PEOPLE["inspector"], small.DAY
    )
    return next(one for one in gates if one.name == name)


def with_revision(state: State, **changes: Any) -> State:
    return replace(state, revisions={**state.revisions, OF: replace(state.revisions[OF], **changes)})


def report(record: Record, letter: str) -> None:
    prepare_report(small.station(record, "engineer"), "SR-1", OF, small.design(), small.shop())
    check_report(small.station(record, "checker"), "SR-1", letter)


def released_values(record: Record) -> Mapping[str, Any]:
    release(small.station(record, "inspector"), SERIAL, small.design(), small.shop())
    values: Mapping[str, Any] = [one for one in record.events() if one.type == "release"][-1].body["values"]
    return values


def test_without_report_or_reason_no_rack_leaves(stages: Path, tmp_path: Path) -> None:
    with small.stage("assembled", stages, tmp_path) as record:
        refusal = gate(with_revision(small.state(record), without_report_by=""), "strength report").refusal
        assert isinstance(refusal, Refusal)
        assert refusal.code == "RW535"
        assert refusal.found == f"no strength report of {OF} is in the record"
        report(record, "A")
        refusal = gate(with_revision(small.state(record), without_report_by=""), "strength report").refusal
        assert isinstance(refusal, Refusal)
        assert refusal.found == "SR-1 revision A is not released"


def test_a_named_reason_stands_on_the_gate_and_in_the_release(stages: Path, tmp_path: Path) -> None:
    with small.stage("assembled", stages, tmp_path) as record:
        words = gate(small.state(record), "strength report").words
        assert words.startswith("passed: without a released report by G. Marl (event ")
        assert words.endswith("the holder has a substantiation of its own")
        values = released_values(record)
        assert values["without_report"] == without_report(small.state(record), OF)
        assert set(values) == {"without_report", "oven"}


def test_a_released_report_is_named_with_the_hash_of_its_inputs(stages: Path, tmp_path: Path) -> None:
    with small.stage("assembled", stages, tmp_path) as record:
        for _, row in used_rows(small.design()):
            if row.unconfirmed:
                confirm_row(small.station(record, "engineer"), row.id, "INVENTED-HANDBOOK-1")
        report(record, "A")
        release_report(small.station(record, "checker"), "SR-1", "A")
        last = small.state(record).reports["SR-1"][-1]
        assert gate(small.state(record), "strength report").words == "passed"
        values = released_values(record)
        assert values["report"] == "SR-1"
        assert values["report_revision"] == "A"
        assert (values["report_inputs"], values["report_file"]) == (last.inputs, last.file)
        assert values["design_hash"] == proof_hash(small.design())


@pytest.mark.parametrize("name", ["text definition", "used "])
def test_a_report_made_of_something_else_does_not_stand_behind_a_rack(
    stages: Path, tmp_path: Path, name: str
) -> None:
    """Past every gate but the last look: the bytes that the released report was made of are compared once more."""
    with small.stage("assembled", stages, tmp_path) as record:
        for _, row in used_rows(small.design()):
            if row.unconfirmed:
                confirm_row(small.station(record, "engineer"), row.id, "INVENTED-HANDBOOK-1")
        report(record, "A")
        release_report(small.station(record, "checker"), "SR-1", "A")
        state = small.state(record)
        last = state.reports["SR-1"][-1]
        results = json.loads(record.get_file(last.results))
        key = next(one for one in results["inputs"] if one.startswith(name))
        results["inputs"][key] = "0" * 64
        other = replace(last, results=record.put_file(json.dumps(results).encode()))
        told = _behind(
            small.station(record, "inspector"), replace(state, reports={"SR-1": (other,)}), small.design()
        )
        assert isinstance(told, Refusal)
        assert told.code == "RW534"
        assert told.found == f"SR-1 revision A was made of another {key} than {OF} holds"


def test_other_numbers_than_frozen_are_named(stages: Path, tmp_path: Path) -> None:
    with small.stage("assembled", stages, tmp_path) as record:
        state = small.state(record)
        assert gate(state, "numbers as frozen").refusal is None
        then = state.revisions[OF]
        mode, now = next(
            (mode, text) for mode, text in governing_numbers(small.design()).items() if text != "missing"
        )
        kept = {**then.values, "governing": {**then.values["governing"], mode: f"{float(now) + 0.25:.6f}"}}
        moved = with_revision(state, design_hash="0" * 64, values=kept)
        refusal = gate(moved, "numbers as frozen").refusal
        assert isinstance(refusal, Refusal)
        assert refusal.code == "RW536"
        assert f"{mode}: {float(now) + 0.25:.6f} when frozen, {now} today" in refusal.found


def frozen_as(**changes: Any) -> Revision:
    design = small.design()
    values = {"governing": governing_numbers(design)}
    return replace(Revision(OF, "", "", "", {}, proof_hash(design), values, 1), **changes)


def test_only_digits_beyond_the_kept_ones_do_not_stop_it() -> None:
    assert since_frozen(frozen_as(), small.design()) == ()
    assert since_frozen(frozen_as(design_hash="0" * 64), small.design()) == ()


def test_a_check_that_came_or_went_is_named() -> None:
    values = {"governing": {**governing_numbers(small.design()), "a check of old": "0.500000"}}
    (line,) = since_frozen(frozen_as(design_hash="0" * 64, values=values), small.design())
    assert line == "a check of old: 0.500000 when frozen, absent today"


def test_what_a_later_program_refuses_is_read_from_a_freeze_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fitting half a kilometre away, as an earlier program let it be frozen."""
    text = next(line for line in STANDARD.splitlines() if line.startswith("at = ") and "-18 in" in line)
    far = Source("frozen.toml", STANDARD.replace(text, text.replace("-18 in", "-20000 in"), 1).encode())
    assert read_rack(far, {})[0] is None
    rack, faults = read_definition(far, {})
    assert rack is not None
    assert faults == []
    told = check(rack)
    assert {fault.where.field for fault in told} == {"floor_fitting.F1.at.0"}
    monkeypatch.setattr("rackwright.work.engineering.as_frozen.check", lambda _: told)
    (line,) = since_frozen(frozen_as(), small.design())
    assert line == f"floor_fitting.F1.at.0: {told[0].found}, which is refused today"

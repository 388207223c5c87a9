"""What people, scanners and enemies type: refused in words, or kept and shown safely; what was there stays there."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import small_shop as small
from histories import act
from rackwright import record as records
from rackwright.faces.cli.main import _run
from rackwright.record import Record, check
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.lookalike import alike, seen_as
from rackwright.work.metal.receiving import receive_bar
from rackwright.work.office.ordering import serials
from rackwright.work.people.founding import add_person
from rackwright.work.quality.holding import hold
from rackwright.work.serials.tracing import trace
from stories.conftest import Begin

UNSEEN = [
    "A\x1b[31m",
    "A\r\nB",
    "A\u202eB",
    "A\u2066B",
    "A\u200bB",
    "A\ufeff",
    "A\x00",
    "A\u2028B",
    "A\xadB",
    "\tA",
]
SQL = [
    "Robert'); DROP TABLE event;--",
    "' OR 1=1 --",
    '"; DELETE FROM head; --',
    "%s %(x)s ? :x {0}",
    "a\\'b",
]


def told(call: Any) -> list[str]:
    with pytest.raises(Stopped) as caught:
        call()
    return [trouble.code for trouble in caught.value.troubles]


@pytest.mark.parametrize("name", UNSEEN, ids=ascii)
def test_characters_that_cannot_be_seen_are_in_no_name(begin: Begin, name: str) -> None:
    record = begin("founded").record
    before = record.head()
    lead, stores = small.station(record, "lead"), small.station(record, "stores")
    for call in (
        lambda: add_person(lead, name, ["saw"]),
        lambda: receive_bar(stores, replace(small.bar("T-09"), heat=name), 0),
        lambda: receive_bar(stores, replace(small.bar("T-09"), id=name), 0),
        lambda: add_person(replace(lead, name=name), "G. Moss", ["saw"]),
        lambda: add_person(lead, "G. Moss", ["saw"], act_id=name),
    ):
        assert set(told(call)) == {"RW504"}
    assert record.head() == before


def test_what_is_free_text_is_kept_and_shown_on_one_line(
    begin: Begin, capsys: pytest.CaptureFixture[str]
) -> None:
    record = begin("stocked").record
    hold(small.station(record, "inspector"), "H-1", "a \x1b[31mdoubt\u202e\nsecond line", heats=["H4471"])
    assert record.events()[-1].body["reason"] == "a \x1b[31mdoubt\u202e\nsecond line"
    assert _run(["log", "list", "--type", "hold", "--shop", str(record.path.parent)]) == 0
    shown = capsys.readouterr().out
    assert "a ?[31mdoubt??second line" in shown
    assert all(each.isprintable() or each == "\n" for each in shown)


@pytest.mark.parametrize("name", SQL)
def test_sql_in_a_name_is_a_name(begin: Begin, name: str) -> None:
    record = begin("founded").record
    add_person(small.station(record, "lead"), name, ["receiving"])
    receive_bar(small.station(record, name), small.bar(name, heat=name), 0)
    assert (small.state(record).persons[name].person, small.state(record).stock[name].heat) == (name, name)
    assert record.act("' OR 1=1") == ()
    assert records.audit(record, judge=in_hindsight).ok


def test_ten_megabytes_are_a_file_and_not_a_note(begin: Begin) -> None:
    record = begin("stocked").record
    before, inspector = record.head(), small.station(record, "inspector")
    assert told(lambda: hold(inspector, "H-1", "x" * 10_000_000, heats=["H4471"])) == ["RW504"]
    assert record.head() == before
    hold(inspector, "H-1", "x" * 900_000, heats=["H4471"])
    assert records.audit(record, judge=in_hindsight).ok


def test_a_serial_is_given_once(begin: Begin) -> None:
    record = begin("ordered").record
    lead = small.station(record, "lead")
    assert told(lambda: serials(lead, small.ORDER, small.revision(), ["SN-1"])) == ["RW517"]
    twice = told(lambda: serials(lead, small.ORDER, small.revision(), ["SN-7", "SN-7"]))
    assert twice == ["RW517"]


def test_a_forged_hash_and_a_missing_or_other_file_are_found(begin: Begin) -> None:
    record = begin("ordered").record
    name = next(name for event in record.events() for name in event.refs.files)
    good = (record.attachments / name).read_bytes()
    (record.attachments / name).write_bytes(b"another certificate, of the right length"[: len(good)])
    assert "the file was altered" in str(records.audit(record).whole[0])
    (record.attachments / name).unlink()
    assert "the file is missing" in str(records.audit(record).whole[0])
    assert told(lambda: record.get_file(name)) == ["RW507"]
    for forged in ("0" * 63, "Z" * 64, name.upper(), "../" + name):
        plain = act(1, "receive", {}).to_json()
        with pytest.raises(ValueError, match="files"):
            records.parse_event({**plain, "refs": {**plain["refs"], "files": [forged]}})
    (record.attachments / name).write_bytes(good)
    assert records.audit(record).ok


def test_what_was_done_before_its_metal_came_in_is_found(begin: Begin) -> None:
    """By the verbs it cannot be (the clock gate refuses); here it is appended raw, as from a forged import."""
    record = begin("stocked").record
    events = [act(800, "issue", {"stock_id": "T-05", "job": "PO-1", "revision": "A", "pieces": ["SN-1/x"]})]
    early = [replace(event, at="2024-02-01T08:00:00Z") for event in events]
    record.append(early, record.head())
    audit = records.audit(record, judge=in_hindsight)
    assert any("2024-02-01" in str(trouble) and "RW526" in str(trouble) for trouble in audit.balanced)
    assert "before event" in audit.checked[-1]


# --- letters that look alike ---------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "other"),
    [("HO071", "H0071"), ("H1I7", "HII7"), ("HI-22", "H1 22"), ("h0071", "HO071"), ("НО071", "HO071"),  # Cyrillic Н
     ("ΑΒ12", "AB12"), ("L5B8", "LSBB"), ("Ｈ4471", "H4471"), ("H|2", "Hl2")],
)  # fmt: skip
def test_heats_that_look_alike_are_warned_of_and_received(begin: Begin, one: str, other: str) -> None:
    record = begin("founded").record
    stores = small.station(record, "stores")
    receive_bar(stores, small.bar("T-08", heat=one), 0)
    done = receive_bar(stores, small.bar("T-09", heat=other), 0)
    assert f"{other} looks like {one}" in done.events[0].body["note"]
    assert small.state(record).stock["T-09"].heat == other, "a warning changes nothing"
    assert "note" not in receive_bar(stores, small.bar("T-10", heat="H9999"), 0).events[0].body
    with pytest.raises(Stopped, match=f"did you mean .*{one}"):
        trace(record.events(), "heat", f"{other}-")


def test_heats_that_differ_are_not_warned_of() -> None:
    known = ["H4471", "H4502", "LB-61", "M1001", ""]
    for heat in ("H4472", "H5402", "LB-67", "M1007", "H447", "H4471"):
        assert alike(heat, known) == []


@given(st.text("ABO0I1l5S8B-", min_size=1, max_size=8), st.text("ABO0I1l5S8B-", min_size=1, max_size=8))
def test_looking_alike_goes_both_ways(one: str, other: str) -> None:
    assert (
        bool(alike(one, [other]))
        == bool(alike(other, [one]))
        == (one != other and seen_as(one) == seen_as(other))
    )


def test_the_note_is_said_at_the_command_line(
    begin: Begin, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record: Record = begin("founded").record
    (record.path.parent / "shop.toml").write_text((Path(__file__).parents[2] / "src/rackwright/demo/shop/shop.toml")
                                                  .read_text("utf-8"), "utf-8")  # fmt: skip
    stock = (Path(__file__).parents[2] / "src/rackwright/demo/shop/stock.toml").read_text("utf-8")
    (tmp_path / "stock.toml").write_text(stock, "utf-8")
    heat = next(line.split('"')[1] for line in stock.splitlines() if line.startswith("heat"))
    assert "0" in heat or "1" in heat or "5" in heat or "8" in heat or "2" in heat
    other = heat.translate(str.maketrans("01258", "OIZSB"))
    receive_bar(small.station(record, "stores"), small.bar("T-99", heat=other), 0)
    words = ["log", "receive", "--by", small.PEOPLE["stores"], "--shop", str(record.path.parent), "--from",
             str(tmp_path / "stock.toml")]  # fmt: skip
    assert _run(words) == 0, capsys.readouterr().err
    assert f"{heat} looks like {other}" in capsys.readouterr().err


def test_a_well_formed_event_has_no_fault() -> None:
    assert check(act(1, "supplier", {"supplier": "Fell Coaters", "scope": ["coat"]})) == []

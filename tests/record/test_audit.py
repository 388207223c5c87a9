"""The audit: whatever is altered is found, with the first bad event; and what only heads seen outside show."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Sequence
from hashlib import sha256
from pathlib import Path

import pytest

from failing_disk import in_memory
from histories import act, append_all, make_record, notes, shop_history
from rackwright import record
from rackwright.record import Audit, Event, Head, Record, Refs, State, schema, sqlite
from rackwright.seal import DEMO_SEED, Peaks, key_id, public_key, sign_head
from rackwright.trouble import Refusal, Stopped, Where
from soaked import ROUND

AT = "2031-05-06T08:00:00Z"
COLUMNS = [column.name for column in schema.event.columns if column.name != "seq"]


@pytest.fixture
def shop(tmp_path: Path) -> Record:
    return make_record(tmp_path / "record.db")


def tamper(shop: Record, *statements: str, keep_triggers: bool = True) -> Audit:
    """Change the file as someone with a database tool would, triggers put back; then audit it."""
    shop.close()
    file = sqlite3.connect(shop.path, isolation_level=None)
    triggers = [name for name in sqlite.STATEMENTS if "_" in name]
    for name in triggers:
        file.execute(f"DROP TRIGGER {name}")
    for statement in statements:
        file.execute(statement)
    for name in triggers:
        if keep_triggers:
            file.execute(sqlite.STATEMENTS[name])
    file.close()
    with record.open(shop.path) as again:
        return record.audit(again)


def places(audit: Audit) -> list[str]:
    return [trouble.where.field for trouble in audit.whole]


def test_a_sound_record_is_whole_balanced_and_believed(shop: Record) -> None:
    audit = record.audit(shop, seen=[(shop.heads()[3], "label run 1"), (shop.head(), "dossier SN-0001")])
    assert (audit.whole, audit.balanced, audit.believed) == ((), (), ())
    assert audit.ok
    assert audit.head == shop.head()
    assert "16 events" in audit.checked[0]
    assert "2 from outside" in audit.checked[-2]


def test_a_flipped_byte_of_body_is_found(shop: Record) -> None:
    body = "replace(body, '40001', '40002')", "replace(body, '40.001', '40.002')"
    audit = tamper(shop, *(f"UPDATE event SET body = {each} WHERE type = 'measure'" for each in body))
    assert places(audit)[0] == "event 14"
    assert "not what was recorded" in audit.whole[0].found


@pytest.mark.parametrize("column", COLUMNS)
@pytest.mark.parametrize("seq", [1, 9, 16])
def test_each_column_of_each_event_is_covered(shop: Record, column: str, seq: int) -> None:
    other = {"v": "2", "corrects": "1", "leaf": "replace(replace(leaf, '0', 'z'), '1', '0')"}
    change = other.get(column, f"{column} || 'x'")
    audit = tamper(shop, f"UPDATE event SET {column} = {change} WHERE seq = {seq}")
    assert places(audit)[0] == f"event {seq}"


@pytest.mark.parametrize(
    ("statements", "first"),
    [
        (["PRAGMA foreign_keys=OFF", "DELETE FROM event WHERE seq = 7"], "event 7"),
        (["PRAGMA foreign_keys=OFF", "DELETE FROM event WHERE seq = 16"], "event 16"),
        (["PRAGMA foreign_keys=OFF", "DELETE FROM event WHERE seq = 7",
          "UPDATE event SET seq = seq - 1 WHERE seq > 7"], "event 7"),
        (["UPDATE event SET seq = 99 WHERE seq = 5", "UPDATE event SET seq = 5 WHERE seq = 6",
          "UPDATE event SET seq = 6 WHERE seq = 99"], "event 5"),
        ([f"INSERT INTO event SELECT 17, {', '.join(COLUMNS)} FROM event WHERE seq = 16"], "event 17"),
        (["DELETE FROM head WHERE size = 16"], "event 16"),
        (["DELETE FROM head WHERE size = 7"], "event 7"),
        (["DELETE FROM head"], "event 1"),
        (["UPDATE head SET act_id = act_id || 'x' WHERE size = 7"], "event 7"),
        (["UPDATE head SET root = replace(root, 'a', 'b') WHERE size = 7"], "event 7"),
        (["UPDATE head SET peaks = replace(peaks, 'a', 'b') WHERE size = 7"], "event 7"),
        (["UPDATE head SET peaks = peaks || '00' WHERE size = 16"], "event 16"),
        (["UPDATE head SET size = 40 WHERE size = 16"], "event 17"),
    ],
)  # fmt: skip
def test_events_and_commits_deleted_moved_repeated(shop: Record, statements: list[str], first: str) -> None:
    audit = tamper(shop, *statements)
    assert not audit.ok
    assert first in places(audit)


def test_missing_triggers_and_added_tables_are_found(shop: Record) -> None:
    audit = tamper(shop, "CREATE TABLE more (x)", keep_triggers=False)
    found = " ".join(trouble.found for trouble in audit.whole)
    for name in ("event_keep", "event_stay", "event_next", "head_keep", "more"):
        assert f"the table or trigger {name} is not as it was made" in found


def rewrite(path: Path, acts: Sequence[Sequence[Event]]) -> Record:
    """What someone with the program, but without the papers, can make: another history, whole in itself."""
    return make_record(path, acts)


def test_a_cut_tail_is_whole_in_itself_and_found_by_a_head_seen_outside(shop: Record, tmp_path: Path) -> None:
    old = rewrite(tmp_path / "old" / "record.db", shop_history()[:-3])
    assert record.audit(old).ok
    audit = record.audit(old, seen=[(shop.head(), "dossier SN-0001"), (shop.heads()[2], "label run 1")])
    assert [trouble.code for trouble in audit.believed] == ["RW509"]
    assert "3 events behind the head on dossier SN-0001" in audit.believed[0].found
    assert audit.whole == ()


def test_a_rewritten_history_and_a_fork_are_found_by_heads_seen_outside(shop: Record, tmp_path: Path) -> None:
    acts = shop_history()
    acts[12] = [act(12, "measure", {**acts[12][0].body, "value": "39.995 in"}, by="Bram Oole")]
    other = rewrite(tmp_path / "other" / "record.db", acts)
    assert record.audit(other).ok
    audit = record.audit(other, seen=[(head, f"label {head.size}") for head in shop.heads()])
    assert ["label 14" in audit.believed[0].found, len(audit.believed)] == [True, 3]
    assert "rewritten, or two copies were both continued" in audit.believed[0].found


def test_signed_heads_in_the_record_are_checked(shop: Record) -> None:
    signed = sign_head(shop.head(), AT, DEMO_SEED)
    append_all(shop, [[act(50, "head", {"head": signed.to_json(), "paper": "label run 1"})]])
    assert record.audit(shop, trusted_key=signed.key_id).ok
    assert record.project(shop.events()).heads == ((signed.head, "label run 1"),)
    audit = record.audit(shop, trusted_key="00" * 32)
    assert "not by the trusted key" in audit.believed[0].found
    wrong = [
        signed.to_json() | {"at": "2031-05-06T08:00:01Z"},
        signed.to_json() | {"root": "zz"},
        sign_head(Head(9, "11" * 32), AT, DEMO_SEED).to_json(),
        sign_head(Head(99, "11" * 32), AT, DEMO_SEED).to_json(),
    ]
    append_all(shop, [[act(60 + i, "head", {"head": each})] for i, each in enumerate(wrong)])
    found = [trouble.found for trouble in record.audit(shop).troubles]
    assert len(found) == 4
    assert key_id(public_key(DEMO_SEED)) == signed.key_id


def test_files_named_by_events_must_be_there_unaltered(tmp_path: Path) -> None:
    name = sha256(b"certificate (invented)").hexdigest()
    shop = make_record(tmp_path / "record.db", shop_history(attachment=name))
    assert [trouble.code for trouble in record.audit(shop).whole] == ["RW507"]
    assert "event 9: the file is missing" in record.audit(shop).whole[0].found
    shop.put_file(b"certificate (invented)")
    assert record.audit(shop).ok
    (shop.attachments / name).write_bytes(b"certificate (Invented)")
    assert "event 9: the file was altered" in record.audit(shop).whole[0].found


def test_the_judge_is_asked_about_a_whole_history_only(shop: Record) -> None:
    def judge(events: Sequence[Event], steps: Iterable[tuple[Event, State]]) -> Iterable[Refusal]:
        pieces = [len(state.pieces) for _, state in steps]  # of one that grows: each as it was just before
        words = f"{len(events)} events judged, {pieces[0]} to {pieces[-1]} pieces"
        yield Refusal("RW517", Where("record.db", 0, "event 12"), words, "see the message")

    audit = record.audit(shop, judge=judge)
    assert [trouble.found for trouble in audit.balanced] == ["16 events judged, 0 to 2 pieces"]
    assert not audit.ok
    tamper(shop, "UPDATE event SET by = 'nobody' WHERE seq = 4")
    with record.open(shop.path) as again:
        assert record.audit(again, judge=judge).balanced == ()


def test_reading_stops_at_an_altered_event(shop: Record) -> None:
    tamper(shop, "UPDATE event SET by = 'nobody' WHERE seq = 4")
    with record.open(shop.path) as again, pytest.raises(Stopped, match="event 4"):
        again.events()


def test_appending_stops_at_an_altered_head(shop: Record) -> None:
    shop.close()
    tamper(shop, "UPDATE head SET peaks = replace(peaks, 'a', 'b') WHERE size = 16")
    with record.open(shop.path) as again, pytest.raises(Stopped, match="RW505"):
        again.append(notes(1, 99)[0], again.head())


@pytest.mark.parametrize("number", [2**33, 2**62, 2**63 - 1])
def test_a_number_without_end_is_found_and_nothing_is_made_of_its_size(shop: Record, number: int) -> None:
    """One altered byte of a row's number: to weigh so many events would take more memory than there is."""
    last = shop.head().size
    found = tamper(shop, f"UPDATE event SET seq = {number} WHERE seq = {last}").whole
    assert (found[0].code, found[0].where.field) == ("RW505", f"event {last}")


def flips(live: Path, places: Iterable[int], bit: int) -> tuple[int, int, list[int]]:
    """Alter each byte in turn: how many were found, how many changed no event, which did and were missed."""
    whole = live.read_bytes()
    with record.open(live) as shop:
        before = [event.canonical() for event in shop.events()]
    found, harmless, missed = 0, 0, []
    with in_memory() as folder:
        for at in places:
            path = folder / f"{at}.db"
            path.write_bytes(whole[:at] + bytes([whole[at] ^ bit]) + whole[at + 1 :])
            try:
                with record.open(path) as shop:
                    if not record.audit(shop).ok:
                        found += 1
                    elif [event.canonical() for event in shop.events()] == before:
                        harmless += 1
                    else:
                        missed.append(at)
            except Stopped:
                found += 1
            path.unlink()
    return found, harmless, missed


def test_altered_bytes_of_the_live_file_are_found_or_change_no_event(shop: Record) -> None:
    shop.close()
    size = shop.path.stat().st_size
    found, harmless, missed = flips(shop.path, range(0, size, 61), 0x01)
    assert missed == []
    assert found > 100
    assert found + harmless == len(range(0, size, 61))


@pytest.mark.long
@pytest.mark.parametrize("lot", range(48 if ROUND else 1))
@pytest.mark.parametrize(("bit", "start"), [(0x01, 3), (0x80, 7), (0xFF, 11)])
def test_bytes_all_over_the_live_file(
    shop: Record, bit: int, start: int, lot: int, record_property: Callable[[str, int], None]
) -> None:
    """Each of the 24 576 bytes in `make soak` (by hand: 11 072 and 11 098 found, the rest harmless, 0 missed)."""
    shop.close()
    size = shop.path.stat().st_size
    places = range(lot, size, 48) if ROUND else range(start, size, 113)
    found, harmless, missed = flips(shop.path, places, bit)
    assert missed == []
    assert found + harmless == len(places)
    assert found > len(places) // 4
    record_property("done", len(places))


def test_every_altered_byte_of_body_in_the_file_is_found(shop: Record) -> None:
    body = b'"value":"40.001 in"'
    shop.close()
    start = shop.path.read_bytes().index(body)
    found, harmless, missed = flips(shop.path, range(start, start + len(body)), 0x04)
    assert (found, harmless, missed) == (len(body), 0, [])


def test_peaks_of_the_stored_heads_are_those_of_the_tree(shop: Record) -> None:
    peaks = Peaks()
    for event in shop.events():
        peaks = peaks.add(event.leaf())
    assert shop.moment().commits[-1][3] == "".join(each.hex() for each in peaks.peaks)
    assert Refs.of(heats=["b", "a", "b", ""]).heats == ("a", "b")

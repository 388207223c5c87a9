"""The export: identical bytes for identical histories, every altered byte found, and back without loss."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from histories import append_all, make_record, notes, shop_history
from private_postgres import Place
from rackwright import record
from rackwright.record import Head, Record, audit_export, export_lines, import_export, read_export
from rackwright.seal import DEMO_SEED, canonical, read_canonical, sign_head
from rackwright.trouble import Stopped


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Record:
    return make_record(tmp_path_factory.mktemp("shop") / "record.db")


def test_from_one_engine_to_the_other_and_back_the_bytes_are_the_same(
    shop: Record, place: Place, tmp_path: Path
) -> None:
    """SQLite, the other engine (or SQLite again), SQLite: export, heads after every commit, audit."""
    with import_export(exported(shop), place(tmp_path / "other")) as other:
        assert (exported(other), other.heads(), [*other.rows()]) == (
            exported(shop),
            shop.heads(),
            [*shop.rows()],
        )
        assert record.audit(other).ok
        append_all(other, notes(2, 50))
        longer = exported(other)
    with import_export(longer, tmp_path / "record.db") as back:
        assert exported(back) == longer
        assert back.heads()[: len(shop.heads())] == shop.heads()
        assert record.audit(back).ok


def exported(shop: Record, signed: bool = False) -> bytes:
    head = sign_head(shop.head(), "2031-05-06T08:00:00Z", DEMO_SEED) if signed else None
    return b"".join(export_lines(shop.events(), head))


def test_identical_histories_give_identical_bytes(shop: Record, tmp_path: Path) -> None:
    other = make_record(tmp_path / "record.db")
    assert exported(shop) == exported(other)
    lines = exported(shop).split(b"\n")
    leaves = "".join(event.leaf().hex()[:8] for event in shop.events())
    head = {"format": "rackwright/export/1", "leaves": leaves, "size": 16, "root": shop.head().root}
    assert read_canonical(lines[0]) == head
    assert lines[1:-1] == [event.canonical() for event in shop.events()]
    assert lines[-1] == b""


@pytest.mark.parametrize("signed", [False, True])
@pytest.mark.parametrize("bit", [0x01, 0x20])
def test_every_altered_byte_is_found(tmp_path: Path, signed: bool, bit: int) -> None:
    shop = make_record(tmp_path / "record.db", [*shop_history()[:2], *shop_history()[11:13]])
    whole = exported(shop, signed)
    assert audit_export(whole) == []
    missed = [
        at for at in range(len(whole))
        if not audit_export(whole[:at] + bytes([whole[at] ^ bit]) + whole[at + 1 :])
    ]  # fmt: skip
    assert missed == []


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_any_other_change_of_bytes_is_found(shop: Record, data: st.DataObject) -> None:
    whole = exported(shop)
    start = data.draw(st.integers(0, len(whole)))
    end = data.draw(st.integers(start, min(len(whole), start + 900)))
    altered = whole[:start] + data.draw(st.binary(max_size=3)) + whole[end:]
    assert bool(audit_export(altered)) == (altered != whole)


def test_lines_left_out_moved_and_repeated_name_the_first_bad_event(shop: Record) -> None:
    first, *lines = exported(shop).splitlines(keepends=True)
    moved = [*lines[:4], lines[5], lines[4], *lines[6:]]
    for other, event, line in (
        (lines[:4] + lines[5:], 5, 6),
        (moved, 5, 6),
        ([*lines[:5], *lines[4:]], 6, 7),
    ):
        trouble, *_, head = found = audit_export(first + b"".join(other))
        assert "the header names" in head.found
        assert len(found) <= 3  # what follows moved with it, and is not told again
        assert trouble.where.field == f"event {event}"
        assert trouble.where.line == line
    cut = audit_export(first + b"".join(lines[:-1]))
    assert ["the header names" in trouble.found for trouble in cut] == [True]


def test_heads_seen_outside_find_a_shorter_but_sound_export(shop: Record) -> None:
    shorter = b"".join(export_lines(shop.events()[:13]))
    assert audit_export(shorter) == []
    (trouble,) = audit_export(
        shorter, seen=[(shop.head(), "dossier SN-0001"), (shop.heads()[4], "label run 1")]
    )
    assert "3 events behind the head on dossier SN-0001" in trouble.found


def test_a_signed_head_must_be_of_these_events_and_hold(shop: Record) -> None:
    whole = exported(shop, signed=True)
    assert audit_export(whole) == []
    head, signed, troubles = read_export(whole)
    assert head is not None
    assert signed is not None
    assert (signed.head, troubles) == (shop.head(), [])
    with pytest.raises(ValueError, match="signed head"):
        list(export_lines(shop.events()[:3], signed))
    header = read_canonical(whole.split(b"\n")[0])
    header["signed_head"]["at"] = "2031-05-06T08:00:01Z"
    altered = canonical(header) + b"\n" + whole.split(b"\n", 1)[1]
    assert [trouble.where.field for trouble in audit_export(altered)] == ["signed_head"]


@pytest.mark.parametrize(
    "data", [b"", b"\n", b"{}\n", b"[1]\n", b"\xff\xfe", b"seq,type\n1,found\n", b'"x"', b"null\n"]
)
def test_not_an_export(data: bytes) -> None:
    assert [trouble.code for trouble in audit_export(data)] == ["RW508"]
    assert read_export(data)[0] is None


def test_the_export_of_an_empty_record(tmp_path: Path) -> None:
    empty = exported(record.create(tmp_path / "record.db"))
    assert audit_export(empty) == []
    assert import_export(empty, tmp_path / "two" / "record.db").head() == Head()


def test_import_gives_the_same_record_again(shop: Record, tmp_path: Path) -> None:
    whole = exported(shop)
    other = import_export(whole, tmp_path / "record.db")
    assert exported(other) == whole
    assert other.heads() == shop.heads()
    assert record.audit(other).ok
    append_all(other, notes(2, 50))  # and it goes on from there
    assert other.append(shop_history()[3], Head()).repeated


def test_nothing_is_imported_of_a_broken_export_or_over_a_record(shop: Record, tmp_path: Path) -> None:
    broken = exported(shop).replace(b"40.001 in", b"40.002 in")
    with pytest.raises(Stopped, match="the lines give"):
        import_export(broken, tmp_path / "record.db")
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(Stopped, match="RW501"):
        import_export(exported(shop), shop.path)

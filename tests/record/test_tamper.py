"""What leaves the shop as a file: every altered byte is found, and the first bad event is named.

An export, a backup and a dossier of two thousand events; `make soak` alters every byte of them, `make test` some
all over the file. The backup is what `rackwright backup` writes, a zip that holds the export and is closed by a hash;
the export is judged line by line. (The live database has unused space: test_audit.py.)
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from pathlib import Path
from random import Random

import pytest

from histories import act, append_all, shop_history
from rackwright import record
from rackwright.record import Head, Record, audit_export, export, export_lines, import_export
from rackwright.record.history import compare_heads
from rackwright.seal import DEMO_SEED, make_seal, sign_head, verify
from rackwright.trouble import Stopped
from rackwright.work.keeping.backup import make_backup, restore_backup
from soaked import ROUND

EVENTS = 2000
LOTS = 160 if ROUND else 1  # into which the bytes of a file are divided, each from all over it
Noted = Callable[[str, int], None]
PDF = b"%PDF-1.7 invented " + bytes(range(256)) * 400


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop of two thousand events; a commit holds many, so that it is made quickly."""
    folder = tmp_path_factory.mktemp("tamper") / "shop"
    with record.create(folder / "record.db") as shop:
        append_all(shop, shop_history())
        left = EVENTS - shop.head().size
        acts = [[act(200 + n, "supplier", {"supplier": f"S-{n}-{i}", "scope": ["coat"]}) for i in range(60)]
                for n in range(left // 60)]  # fmt: skip
        append_all(
            shop,
            [*acts, [act(900, "supplier", {"supplier": f"T-{i}", "scope": []}) for i in range(left % 60)]],
        )
        assert shop.head().size == EVENTS
    (folder / "shop.toml").write_text("# the invented shop\n")
    return folder


@pytest.fixture(scope="module")
def exported(folder: Path) -> bytes:
    with record.open(folder / "record.db") as shop:
        return b"".join(export_lines(shop.events()))


def altered(data: bytes, at: int, bit: int = 0x04) -> bytes:
    return data[:at] + bytes([data[at] ^ bit]) + data[at + 1 :]


def places(data: bytes, step: int, lot: int = 0, lots: int = 1) -> range:
    """Of this lot in `make soak`, all lots are each byte; some bytes in CI."""
    return range(lot, len(data), lots) if ROUND else range(5, len(data), step)


@pytest.mark.long
@pytest.mark.parametrize("lot", range(LOTS))
def test_every_altered_byte_of_an_export_names_its_event(
    exported: bytes, lot: int, monkeypatch: pytest.MonkeyPatch, record_property: Noted
) -> None:
    """What a line says depends on its bytes alone: those that stay as they were are read once for all altered ones."""
    monkeypatch.setattr(export, "read_event", cache(export.read_event))
    some = places(exported, len(exported) // 80, lot, LOTS)
    for at in some:
        trouble = audit_export(altered(exported, at))[0]
        line = exported.count(b"\n", 0, at)  # the header is line 0, event n is line n
        if line:
            assert trouble.where.field == f"event {line}"
            assert trouble.where.line == line + 1
    record_property("done", len(some))


def test_an_altered_act_id_is_named_and_not_the_event_after_it(exported: bytes) -> None:
    """Of an act of several events the next one seems to use its act's id again."""
    lines = exported.split(b"\n")
    n = next(
        n for n in range(1, EVENTS) if all(b'"act_id":"act-200"' in line for line in lines[n - 1 : n + 2])
    )
    lines[n] = lines[n].replace(b'"act_id":"act-200"', b'"act_id":"act-20p"')
    found = [trouble.where.field for trouble in audit_export(b"\n".join(lines))]
    assert found == [f"event {n}", f"event {n + 1}", "root"]


def test_every_altered_byte_of_a_backup_is_found(
    folder: Path, tmp_path: Path, record_property: Noted
) -> None:
    whole = make_backup(folder).data
    for at in places(whole, 101):
        with pytest.raises(Stopped, match="RW523"):
            restore_backup(altered(whole, at), "b.zip", tmp_path / "again")
    for other in (whole[:-1], whole[:-64], whole[: len(whole) // 2], whole + b"\n"):
        with pytest.raises(Stopped, match="RW523"):
            restore_backup(other, "b.zip", tmp_path / "again")
    assert list(tmp_path.iterdir()) == []
    assert restore_backup(whole, "b.zip", tmp_path / "again").size == EVENTS
    record_property("done", len(places(whole, 101)))


@pytest.mark.parametrize("lot", range(LOTS))
@pytest.mark.parametrize("what", ["pdf", "seal"])
def test_every_altered_byte_of_a_dossier_is_found(
    folder: Path, what: str, lot: int, record_property: Noted
) -> None:
    with record.open(folder / "record.db") as shop:
        events = [event.to_json() for event in shop.events()[:16]]
        seal = make_seal(
            "SN-0001", PDF, events, shop.tree(), "2031-05-06T08:00:00Z", DEMO_SEED, shop.heads()[2:5]
        )
    good = PDF if what == "pdf" else seal
    for at in places(good, 397, lot, LOTS):
        pdf, beside = (altered(PDF, at), seal) if what == "pdf" else (PDF, altered(seal, at))
        try:
            assert not all(check.ok for check in verify(pdf, beside)), at
        except Stopped as stopped:
            assert {trouble.code for trouble in stopped.troubles} == {"RW602"}  # noqa: PT017
    assert all(check.ok for check in verify(PDF, seal))
    record_property("done", len(places(good, 397, lot, LOTS)))


Change = Callable[[list[bytes], int], list[bytes]]
CHANGES: dict[str, tuple[Change, int]] = {
    "deleted": (lambda lines, n: lines[:n] + lines[n + 1 :], 0),
    "swapped with the next": (lambda lines, n: [*lines[:n], lines[n + 1], lines[n], *lines[n + 2 :]], 0),
    "repeated": (lambda lines, n: [*lines[: n + 1], *lines[n:]], 1),
    "moved to the end": (lambda lines, n: [*lines[:n], *lines[n + 1 :], lines[n]], 0),
    "put in from elsewhere": (lambda lines, n: [*lines[:n], lines[n - 7], *lines[n:]], 0),
}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_events_deleted_moved_and_repeated_name_the_first_bad_one(exported: bytes, name: str) -> None:
    header, *lines = exported.splitlines(keepends=True)
    change, later = CHANGES[name]
    for n in Random(name).sample(range(8, EVENTS - 2), 3):
        troubles = audit_export(header + b"".join(change(lines, n)))
        assert troubles[0].where.field == f"event {n + 1 + later}"


def test_an_edited_history_chained_anew_without_the_key_is_found_by_any_head_seen(
    exported: bytes, folder: Path, tmp_path: Path
) -> None:
    """Whole in itself: the enemy has the program and computed every hash. He cannot sign, nor change the paper."""
    with record.open(folder / "record.db") as shop:
        seen = [(head, f"the dossier at {head.size}") for head in shop.heads() if head.size > 20]
        signed = sign_head(shop.head(), "2031-05-06T08:00:00Z", DEMO_SEED)
    with make_forged(tmp_path / "record.db", folder) as forged:
        assert record.audit(forged).ok
        found = compare_heads(forged.tree(), seen, "record.db")
        assert len(found) == len(seen)
        assert "the dossier at 76" in found[0].found
        again = b"".join(export_lines(forged.events()))
    assert audit_export(again) == []
    with pytest.raises(ValueError, match="signed head"):
        list(export_lines(record.read_export(again)[0].events, signed))


def make_forged(path: Path, folder: Path) -> Record:
    with record.open(folder / "record.db") as shop:
        events = list(shop.events())
    cut = next(i for i, event in enumerate(events) if event.type == "measure")
    events[cut] = act(12, "measure", {**events[cut].body, "value": "40.000 in"}, by="Bram Oole").at_seq(
        cut + 1
    )
    lines = b"".join(export_lines(events))
    return import_export(lines, path)


def test_a_cut_tail_is_whole_in_itself_and_behind_the_head(exported: bytes) -> None:
    header, *lines = exported.splitlines(keepends=True)
    history, _, _ = record.read_export(exported)
    assert history is not None
    shorter = b"".join(export_lines(history.events[: EVENTS - 412]))
    assert audit_export(shorter) == []
    (trouble,) = audit_export(shorter, [(history.head, "the dossier of SN-0031")])
    assert "412 events behind the head on the dossier of SN-0031" in trouble.found
    assert sha256(b"".join([header, *lines])).hexdigest() == sha256(exported).hexdigest()
    assert history.head != Head()

"""The record's format as first released. These bytes are ours, kept so that they can never change unseen:
a record, an export and a seal written then must read, audit and verify in decades."""

from __future__ import annotations

import sqlite3
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

import layout_1
from histories import make_record, shop_history
from rackwright.record import audit_export, export_lines, sqlite
from rackwright.record.events import current
from rackwright.seal import (
    DEMO_SEED,
    Head,
    canonical,
    key_id,
    make_seal,
    public_key,
    read_canonical,
    sign_head,
)

ENVELOPE = (
    '{"act_id":"act-12","at":"2031-05-04T00:12:00Z","body":{"characteristic":"length","gauge":"CAL-3",'
    '"guard":{"r":"0"},"lower":"39.99 in","piece":"P-1","upper":"40.01 in","value":"40.001 in","within":true},'
    '"by":"Bram Oole",'
    '"corrects":null,"known":{"calibration_due":{"CAL-3":"2031-12-31"},"program":"0.1.0","reference_hash":"",'
    '"roles":["saw"]},"refs":{"files":[],"gauges":["CAL-3"],"heats":[],"lots":[],"pieces":["P-1"],'
    '"serials":["SN-0001"]},"seq":14,"station":"saw","type":"measure","v":2}'
)

OLD = ENVELOPE.replace('"guard":{"r":"0"},', "").replace('"v":2}', '"v":1}')  # as it was recorded before


def test_the_envelope_and_its_leaf() -> None:
    event = shop_history()[12][0].at_seq(14)
    assert event.canonical() == ENVELOPE.encode()
    assert event.leaf() == sha256(b"\x00" + ENVELOPE.encode()).digest()


def test_an_event_of_an_older_layout_keeps_its_leaf_and_is_read_in_the_newest() -> None:
    new = shop_history()[12][0].at_seq(14)
    old = replace(new, v=1, body={name: value for name, value in new.body.items() if name != "guard"})
    assert old.canonical() == OLD.encode()
    assert old.leaf().hex() == "0b4bd716d2f895c1f69a3e6c5d5a4683707e0880abd9eb6f445765969fa0fa3f"
    assert current(old) == new


def test_the_export_and_its_root(tmp_path: Path) -> None:
    with make_record(tmp_path / "record.db") as shop:
        whole = b"".join(export_lines(shop.events()))
    header, _, rest = whole.partition(b"\n")
    early = (
        b'{"format":"rackwright/export/1","root":"69670f0d7073a4bd7b0d0a4abbe2faf51ce55f25eaeaa35d6ce12126db011705","size":16}\n'
        + rest
    )
    assert sha256(early).hexdigest() == "0c4ed544be7f9dc9660b7f482ebfeca2ecd848b59355ff663109982249936079"
    assert audit_export(early) == audit_export(whole) == [], (
        "an early export, without `leaves`, is read as ever"
    )
    assert read_canonical(header).keys() == {"format", "leaves", "root", "size"}
    assert audit_export(early.replace(b"40.001 in", b"40.002 in")) != []


def test_the_tables_of_the_file(tmp_path: Path) -> None:
    make_record(tmp_path / "record.db").close()
    with sqlite3.connect(tmp_path / "record.db") as file:
        names = [row[0] for row in file.execute("SELECT name FROM pragma_table_info('event')")]
        leaf, body = file.execute("SELECT leaf, body FROM event WHERE seq = 14").fetchone()
    assert names == [
        "seq",
        "type",
        "v",
        "act_id",
        "at",
        "by",
        "station",
        "refs",
        "known",
        "corrects",
        "body",
        "leaf",
    ]
    assert leaf == sha256(b"\x00" + ENVELOPE.encode()).hexdigest()
    assert body == ENVELOPE[ENVELOPE.index('{"characteristic"') : ENVELOPE.index(',"by"')]
    assert (
        sha256("\n".join(layout_1.SQLITE).encode()).hexdigest()
        == "fd1aabcc5cafb93061edfd84f31dc76ac63c1caa7d4a7c61e9c50690e22a4e43"
    )
    assert (
        sha256("\n".join(sqlite.STATEMENTS.values()).encode()).hexdigest()
        == "0b10be9b7c0d0dec4307eba979b464905e6d44414123e4e83574c81549689be3"
    )


def test_the_demo_key_a_head_and_a_seal(tmp_path: Path) -> None:
    assert key_id(public_key(DEMO_SEED)) == "3a535cd7c3ccf662cc0095a6cc1b36e63556519466ea8d15cf43688c9fe81eab"
    head = sign_head(Head(3, "ab" * 32), "2031-05-04T13:00:00Z", DEMO_SEED)
    assert (
        sha256(canonical(head.to_json())).hexdigest()
        == "ff973d6bd81edaf1f4506bb06077ecdccb3fc6a43dbb2c37a711f590674044f4"
    )
    with make_record(tmp_path / "record.db") as shop:
        own = [event.to_json() for event in shop.events()[12:]]
        seal = make_seal("SN-0001", b"%PDF invented", own, shop.tree(), head.at, DEMO_SEED, shop.heads()[:2])
    assert sha256(seal).hexdigest() == "d0a8a267c9dbd2f7d9f10723c961756f71328e0fbe9e4e70f366142cabcf8a8d"

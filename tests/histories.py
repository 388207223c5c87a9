"""Invented histories of a small shop, used by the tests of seal, record and crash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from rackwright import record
from rackwright.record import Event, Known, Record, Refs, new_event

IN = 25_400_000  # nanometres


def act(number: int, type: str, body: dict[str, Any], **more: Any) -> Event:
    """One event of act `number`, by Ada at a time that goes on with the number."""
    minute, hour = number % 60, number // 60 % 24
    more.setdefault("by", "Ada Quill")
    return new_event(type, body, act_id=f"act-{number}", at=f"2031-05-04T{hour:02}:{minute:02}:00Z",
                     station="saw", **more)  # fmt: skip


def shop_history(attachment: str = "") -> list[list[Event]]:
    """A bar from its certificate to a released rack: a list of acts."""
    heat, serial = "H-7719", "SN-0001"
    refs = Refs.of(heats=[heat], files=[attachment])
    due = Known("0.1.0", "", ("saw",), {"CAL-3": "2031-12-31"})
    cut = {
        "stock_id": "B-1", "job": "J-1", "kerf_nm": 3 * IN // 8, "trim_nm": IN // 4, "scrap_nm": 0,
        "pieces": [{"piece": "P-1", "length_nm": 40 * IN, "serial": serial},
                   {"piece": "P-2", "length_nm": 20 * IN, "serial": serial}],
        "remnant": {"stock_id": "B-1-R", "length_nm": 144 * IN - 60 * IN - 3 * IN // 8 - IN // 4, "label": "L-9"},
    }  # fmt: skip
    pieces = Refs.of(heats=[heat], pieces=["P-1", "P-2"], serials=[serial])
    acts: list[list[Event]] = [
        [act(0, "found", {"shop": "Larkfield Racks (invented)", "demo": True})],
        [act(1, "person", {"person": "Ada Quill", "roles": ["saw", "receiving"]}),
         act(1, "person", {"person": "Bram Oole", "roles": ["inspector"]})],
        [act(2, "gauge", {"gauge": "CAL-3", "kind": "caliper", "due": "2031-12-31"}, refs=Refs.of(gauges=["CAL-3"]))],
        [act(3, "order", {"order": "O-1", "customer": "Invented Survey", "variation": "alpine", "quantity": 1})],
        [act(4, "question", {"question": "fittings.rating", "text": "rating of the floor fittings?",
                             "owner": "customer", "blocks": ["release"], "order": "O-1"})],
        [act(5, "freeze", {"revision": "A", "order": "O-1", "texts": [{"name": "rack.toml", "file": "ab" * 32}]})],
        [act(6, "approval_reference", {"revision": "A", "reference": "DOC-INVENTED-1"})],
        [act(7, "receive", {"stock_id": "B-1", "form": "drawn tube", "section": "1.5x1.5x0.125",
                            "stock_spec": "6061-T6", "heat": heat, "length_nm": 144 * IN,
                            "certificate": {"number": "C-1", "values": {"Ftu": "45.2 ksi"}}}, refs=refs)],
        [act(8, "accept", {"stock_id": "B-1", "checks": [
            {"name": "Ftu", "required": "42 ksi", "found": "45.2 ksi", "ok": True}]}, refs=refs)],
        [act(9, "serial", {"serial": serial, "order": "O-1", "revision": "A"}, refs=Refs.of(serials=[serial]))],
        [act(10, "issue", {"stock_id": "B-1", "job": "J-1", "revision": "A", "pieces": ["P-1", "P-2"],
                           "length_nm": 144 * IN}, refs=pieces)],
        [act(11, "cut", cut, refs=pieces)],
        [act(12, "measure", {"piece": "P-1", "characteristic": "length", "value": "40.001 in", "lower": "39.99 in",
                             "upper": "40.01 in", "gauge": "CAL-3", "within": True, "guard": {"r": "0"}},
             by="Bram Oole", known=due,
             refs=Refs.of(pieces=["P-1"], serials=[serial], gauges=["CAL-3"]))],
        [act(13, "answer", {"question": "fittings.rating", "answer": "5000 lbf", "document": "LTR-1 (invented)"})],
        [act(14, "release", {"serial": serial, "revision": "A", "margins": [
            {"piece": "P-1", "check": "buckling", "case": "forward", "margin": "0.42"}]}, refs=pieces)],
    ]  # fmt: skip
    return acts


def lawful_history(attachment: str = "") -> list[list[Event]]:
    """As far as a serial's number, by a lead: so far every gate would have let it pass."""
    acts = shop_history(attachment)[:10]
    acts[1][0] = replace(acts[1][0], body={"person": "Ada Quill", "roles": ["saw", "receiving", "lead"]})
    return acts


def append_all(target: Record, acts: Sequence[Sequence[Event]]) -> Record:
    for events in acts:
        target.append(events, target.head())
    return target


def make_record(path: Path, acts: Sequence[Sequence[Event]] | None = None) -> Record:
    """A record holding the acts (the shop's whole history unless given)."""
    return append_all(record.create(path), shop_history() if acts is None else acts)


def notes(count: int, start: int = 0) -> list[list[Event]]:
    """So many one-event acts, small and all different."""
    return [
        [act(start + i, "supplier", {"supplier": f"S-{start + i}", "scope": ["coat"]})] for i in range(count)
    ]

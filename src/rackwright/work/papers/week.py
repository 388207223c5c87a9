"""The sheet for the wall: what each station does in the days to come, who does it, which orders are late and why."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from hashlib import sha256
from typing import Any

from rackwright.papers.house import Head
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Items, Section, Table, Text

__all__ = ["week_sheet"]

DAYS = 7


def week_sheet(document: Mapping[str, Any], day: str) -> bytes:
    """PDF of a schedule (`schedule_document`) for the seven days from its first. `day` is the date on the sheet."""
    first = date.fromisoformat(document["from"])
    last = (first + timedelta(days=DAYS - 1)).isoformat()
    shown = [row for row in document["operations"] if row["first_day"] <= last]
    places = sorted({row["place"] for row in shown if row["place"]})
    late = [row for row in document["orders"] if row["late_h"]]
    hash_of = sha256(json.dumps(document, sort_keys=True).encode()).hexdigest()
    marks = (*(["DEMO"] if document["demo"] else []), *document["marks"])
    facts = Facts((
        ("Days", f"{document['from']} to {last}, {document['hours_a_day']:g} h a day"),
        ("Found by", f"{document['how']}, {'proven best' if document['optimal'] else 'feasible'}"),
        ("Weighted lateness", f"{document['weighted_lateness_h']:.1f} h, no sequence has less than "
                              f"{document['weighted_lateness_at_least_h']:.1f} h"),
        ("All done", document["finish"]),
    ))  # fmt: skip
    words = f"{len(late)} of {len(document['orders'])} orders are late" if late else "No order is late."
    sections = (
        Section("Orders", tuple(_orders(document))),
        *(Section(place, (_table(place, shown),)) for place in places),
    )
    head = Head(
        document["shop"], "Schedule by station", f"week of {document['from']}", "-", day, hash_of, marks
    )
    return set_station_sheet(StationSheet(head, facts, sections, answer=words))


def _orders(document: Mapping[str, Any]) -> Iterator[Block]:
    rows = tuple(
        (row["order"], row["due"] or "none", row["finish"], f"{row['late_h']:.1f} h" if row["late_h"] else "")
        for row in document["orders"]
    )
    yield Table("", ("order", "due", "done", "late"), rows, align="illr")
    for row in document["orders"]:
        if row["why_late"]:
            yield Text(f"Why {row['order']} is late, first to last:")
            yield Items(tuple(row["why_late"]))
        if row["open"]:
            yield Text(f"Open on {row['order']}, taken as settled on the first day:")
            yield Items(tuple(row["open"]))
    if document["asked"]:
        yield Text("Asked for:")
        yield Items(tuple(document["asked"]))
    for row in document["left_out"]:
        yield Text(f"{row['order']} is not in this schedule: {row['why']}", style="note")


def _table(place: str, rows: list[Any]) -> Table:
    """What a station does, in order."""
    mine = tuple(
        (row["first_day"], f"{row['from_h']:.1f}", f"{row['hours']:.1f}", row["order"], row["operation"],
         row["person"], row["last_day"])
        for row in rows if row["place"] == place
    )  # fmt: skip
    return Table("", ("day", "hours into it", "hours", "order", "operation", "person", "ends on"), mine,
                 align="lrrilll", widths=(1.1, 0.9, 0.7, 1, 2.2, 1.2, 1.1))  # fmt: skip

"""The letter to a customer about racks in doubt: which serials, where they are, what is in doubt.

Nothing in it says what must be done to an aircraft: that is for the holder of the design approval and the authority.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from hashlib import sha256

from rackwright.papers.house import Head
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import BLANK, Facts, Section, Table, Text
from rackwright.record import State
from rackwright.work.papers.words import DEMO, ms
from rackwright.work.serials.recalling import Affected

__all__ = ["recall_letter"]

ASKED = (
    "Please look where these racks are, tell us the aircraft and whether each was found, and pass this letter to "
    "whoever has the rack now. What is to be done with a rack that is installed is decided by the holder of the design "
    "approval and the airworthiness authority, not by this letter."
)
TITLES = {
    "heat": "Heat", "lot": "Lot", "gauge": "Gauge", "person": "Work of a person", "revision": "Drawing revision",
}  # fmt: skip


def recall_letter(
    state: State,
    recall: str,
    kind: str,
    about: str,
    reason: str,
    customer: str,
    rows: Sequence[Affected],
    date: str,
) -> bytes:
    """The letter, PDF. It names no price, no hours, no person of the shop, no other customer."""
    marks = (DEMO,) if state.demo else ()
    hash_of = sha256(json.dumps([asdict(row) for row in rows], sort_keys=True).encode()).hexdigest()
    what = "work done in a stated time" if kind == "person" else f"{TITLES[kind].lower()} {about}"
    facts = Facts((
        ("To", customer),
        ("In doubt", what),
        ("Why", reason),
        ("Your racks", ", ".join(row.serial for row in rows)),
    ))  # fmt: skip
    table = Table(
        "", ("serial", "revision", "where, as we know it", "least margin", "of", "pieces"),
        tuple((row.serial, row.revision, row.place, ms(float(row.margin)) if row.margin else "none stored", row.check,
               _pieces(row)) for row in rows),
        align="iilrll", widths=(1.4, 1.5, 1.6, 0.9, 1.2, 2.4),
        note="Margin: the least of the pieces in doubt as computed at release, with what is in doubt taken as good. "
             "It is evidence for whoever judges, not a statement that the rack is safe.",
    )  # fmt: skip
    answer = Table(
        "", ("serial", "found in aircraft", "found, date", "signed"),
        tuple((row.serial, BLANK, BLANK, BLANK) for row in rows), align="illl",
    )  # fmt: skip
    sheet = StationSheet(
        Head(state.shop, "Notice about racks in doubt", f"{recall}", "-", date, hash_of, marks), facts,
        (Section("Racks", (table,)), Section("What we ask", (Text(ASKED), answer))),
        answer=f"{len(rows)} of the racks you received {'is' if len(rows) == 1 else 'are'} in doubt.",
        signatures=("For the shop",),
    )  # fmt: skip
    return set_station_sheet(sheet)


def _pieces(row: Affected) -> str:
    names = [name.partition("/")[2] or name for name in row.pieces]
    was = f"was, {', '.join(row.was)}" if row.was else ""
    if row.only_was:
        return f"none now; {was}"
    now = ", ".join(names[:6]) + (f" and {len(names) - 6} more" if len(names) > 6 else "")
    return "; ".join(filter(None, (now or "the whole rack", was)))

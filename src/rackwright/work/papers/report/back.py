"""The report's last sections: motion, floor, vibration and fatigue, assumptions, what is left, changes, sources."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from rackwright.design import Design
from rackwright.papers.table import BLANK, Block, Facts, Items, Section, Table, Text
from rackwright.pieces.near_edges import said_of
from rackwright.strength.vibration.answer import NOT_ASSESSED
from rackwright.trouble import UNCONFIRMED
from rackwright.work.engineering.rows_used import used_rows
from rackwright.work.papers.dossier import NOT_COVERED
from rackwright.work.papers.installer import installer_sections
from rackwright.work.papers.margins import worked_step
from rackwright.work.papers.report.bodies import deformed_blocks, mode_pictures
from rackwright.work.papers.report.families import cards_table
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.sources import documents, how_known
from rackwright.work.papers.strength import (
    check_blocks,
    deflection_blocks,
    every_reaction,
    floor_blocks,
    mode_blocks,
)
from rackwright.work.papers.temperature import NOT_WARM
from rackwright.work.papers.vibration import vibration_blocks
from rackwright.work.papers.words import ms

__all__ = ["back_sections"]

MOST = 60  # margins that changed, in the table
#: what is asked for as evidence and never computed: subject, what is asked for
ASKED = (
    (
        "Flammability",
        "burn tests or material declarations of panels, coating, labels, cable covers, equipment",
    ),
    ("Egress", "that the rack, deflected as given, leaves aisles, exits and their controls free"),
    ("Occupants", "head and limb strike zones; sharp edges; nothing that comes loose can injure"),
    ("Fluids", "what a leak or spill onto or from the equipment does; drains kept open"),
    ("Electromagnetic interference", "ground and flight test of the equipment as installed"),
    (
        "Heat",
        "that the equipment is cooled in this rack; heat is at most added up here, cooling is not claimed",
    ),
    ("Electrical", "load analysis, wire protection, bonding beyond the bond of the rack that is measured"),
    ("Equipment", "that each item holds its own parts together at these load factors, by its maker"),
    (
        "Interference in motion",
        "clearance of the deflected rack and its cables to the aircraft at the installation",
    ),
    (
        "Floor",
        "the aircraft's structure under fittings and pads for the forces given, with everything else on it",
    ),
    ("Weight and balance", "the loading of the aircraft with this rack"),
    (
        "Instructions",
        "inspection, damage limits, removal and refitting, by the holder of the design approval",
    ),
)


def back_sections(issue: Issue) -> Iterator[Section]:
    design = issue.design
    yield Section("Deflections", (*deflection_blocks(design), *deformed_blocks(design)), new_page=True)
    yield Section("Forces on the aircraft's floor", tuple(floor_blocks(design)), new_page=True)
    yield from installer_sections(design)
    yield Section("Natural frequencies and mode shapes", (*mode_blocks(design), *mode_pictures(design)))
    yield Section("Vibration", tuple(vibration_blocks(design, margins=False)))
    yield Section("One peak worked in full", tuple(_peak_by_hand(design)), level=2)
    yield Section("Fatigue", tuple(_fatigue()))
    yield Section("Assumptions and limits", tuple(_assumptions(design)))
    yield Section("What was not checked", tuple(_not_checked(design)))
    yield Section("Open questions, and what keeps it from release", tuple(_questions(issue)))
    yield Section("Changes against the last revision", tuple(_changes(issue)))
    yield Section("Sources", tuple(_sources(issue)))
    yield Section("Appendix: floor forces in every case", tuple(every_reaction(design)), new_page=True)


def _peak_by_hand(design: Design) -> Iterator[Block]:
    """The least margin in vibration with its steps, where a document judges any peak."""
    judged = min(design.vibration.judged, key=lambda one: (one.margin or 0.0, one.id), default=None)
    if judged is None or not judged.steps:
        yield Text(f"{NOT_ASSESSED}: no document allows anything in vibration.")
        return
    place = ", ".join(filter(None, (judged.quantity.place, judged.state)))
    yield Text(f"The least margin in vibration: {judged.id}, {place}.")
    yield from (worked_step(n, len(judged.steps), step) for n, step in enumerate(judged.steps, 1))


def _fatigue() -> Iterator[Block]:
    yield Facts((
        ("Fatigue", f"{NOT_ASSESSED}: no load spectrum over life is entered; no stress and no peak here is a "
                    "statement on life, wear or crack growth"),
    ))  # fmt: skip


def _assumptions(design: Design) -> Iterator[Block]:
    warm = "at room temperature"
    if design.rack.definition.temperature:
        warm += (
            ", hot with the share of strength that is stated beside the temperatures; cold metal is taken as strong "
            "as at room temperature (common practice, no source)"
        )
    yield Text("What each check assumes, as it stands beside its code:")
    yield from check_blocks()
    yield Items((
        "The rack is followed to where it comes to rest, straps turned and stretched; its members bend little on the "
        "way, and loads keep their direction.",
        f"Materials are as the rows say, {warm}, coated aluminium with what the oven leaves of it; residual stress and "
        "wear are not counted.",
        "The rack is made to drawing and inspected; deviations are proven anew, serial by serial.",
        *filter(None, [said_of(design.near_edges)]),
    ))  # fmt: skip


def _not_checked(design: Design) -> Iterator[Block]:
    yield Text("Not computed here:")
    yield Items(NOT_COVERED if design.rack.definition.temperature else (*NOT_COVERED, NOT_WARM))
    yield Table(
        "Asked for as evidence, never computed",
        ("subject", "what is asked for", "document and revision", "answered by"),
        tuple((subject, asked, BLANK, BLANK) for subject, asked in ASKED),
        align="llll",
        widths=(1.5, 3.6, 1.8, 1.2),
    )


def _questions(issue: Issue) -> Iterator[Block]:
    rows = [(q.id, q.text, "the definition", "open") for q in issue.left_open]
    rows += [(id, words, "the record", "open") for id, words in issue.open]
    rows += [(id, words, "the record", "answered") for id, words in issue.answered]
    if rows:
        yield Table("", ("id", "question, or answer and document", "asked by", "state"), tuple(rows), align="illl",
                    widths=(1.8, 4.5, 1.1, 0.9))  # fmt: skip
    else:
        yield Text("No question: the definition leaves nothing open, and nothing was asked in the record.")
    if issue.reasons:
        yield Table("What keeps it from release", ("gate", "found"),
                    tuple((one.code, one.text) for one in issue.reasons), align="il", widths=(0.7, 8),
                    note="`rackwright explain CODE` says what each gate asks.")  # fmt: skip
    else:
        yield Text("Nothing computed or recorded keeps it from release by a named person.")


# --- changes -------------------------------------------------------------------------------------


def _changes(issue: Issue) -> Iterator[Block]:
    before = issue.before
    if before is None:
        yield Text(
            "This is the first revision of this report."
            if issue.of
            else "A print from a file has no last revision."
        )
        return
    yield Text(
        f"Against revision {issue.before_revision}. A signature under that revision does not apply to this one."
    )
    rows = _differ(before["inputs"], issue.results["inputs"])
    yield Table("Inputs that changed", ("input", "before", "now"), tuple(rows), align="iii", widths=(2, 3, 3),
                )  # fmt: skip
    then, now = (results["prove"] for results in (before, issue.results))
    rows = _differ(
        {path: str(change["after"] or "removed") for path, change in then["changes"].items()},
        {path: str(change["after"] or "removed") for path, change in now["changes"].items()},
    )
    if rows:
        yield Table("Values of the definition against its standard", ("field", "before", "now"), tuple(rows),
                    align="iii", widths=(2, 3, 3))  # fmt: skip
    changed = _margin_changes(then["margins"], now["margins"])
    shown = changed if len(changed) <= MOST else sorted(changed)[:MOST]
    more = "" if len(shown) == len(changed) else f" Shown are the {MOST} least."
    yield Table(
        "Margins of safety that changed",
        ("margin", "before", "now"),
        tuple(row for _, row in shown),
        align="irr",
        widths=(5, 1, 1),
        note=f"{len(changed)} of {len(now['margins'])}.{more}" if changed else "",
    )


def _differ(before: Mapping[str, str], now: Mapping[str, str]) -> list[tuple[str, str, str]]:
    return [
        (name, before.get(name, "–"), now.get(name, "–"))
        for name in sorted(before.keys() | now.keys())
        if before.get(name) != now.get(name)
    ]


def _margin_changes(
    before: Mapping[str, Any], now: Mapping[str, Any]
) -> list[tuple[float, tuple[str, str, str]]]:
    """(the smaller of both, the row) of every margin that is not the same to six places."""
    rows = []
    for id in sorted(before.keys() | now.keys()):
        a, b = (side[id]["margin"] if id in side else "absent" for side in (before, now))
        both = _is_number(a) and _is_number(b)
        if a == b or (both and abs(float(a) - float(b)) < 5e-7):
            continue
        least = min((float(x) for x in (a, b) if _is_number(x)), default=-1.0)
        rows.append((least, (id, _shown(a), _shown(b))))
    return rows


def _shown(value: Any) -> str:
    return ms(float(value)) if _is_number(value) else "missing" if value is None else str(value)


def _is_number(value: Any) -> bool:
    return isinstance(value, str) and value != "absent"


# --- sources -------------------------------------------------------------------------------------


def _sources(issue: Issue) -> Iterator[Block]:
    design = issue.design
    rows = []
    for what, row in used_rows(design):
        one = issue.confirmed.get(row.id)
        state = f"compared by {one.by} with {one.document} (event {one.seq})" if one and issue.read(row) else (
            UNCONFIRMED if row.unconfirmed else "–")  # fmt: skip
        rows.append((row.id, what, f"{row.known.source}, {row.known.place}", how_known(row), state))
    yield Table("Reference rows used", ("row", "what", "source and place", "how known", "state"), tuple(rows),
                align="illll", widths=(1.7, 0.9, 2.8, 2.6, 1.4))  # fmt: skip
    yield cards_table(design)
    count = len(tuple(documents(design)))
    yield Text(f"The {count} documents that the definition names stand in the data list.", "note")

"""Strength reports in the record: a row compared, a revision prepared, checked by another person, released.

A revision is its bytes. It is prepared of a frozen revision, and of what the record knows then: open questions,
answers, rows that people compared with their sources. Anything that changes these makes another revision, to which
no earlier signature applies. Release is an act of a named person, refused with its reasons; it is evidence and
never an approval: where that is documented, `approval_reference` says.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from rackwright.design import Design
from rackwright.record import Appended, Record, Refs, State
from rackwright.record.state import Report, Revision
from rackwright.reference import Rows, shipped
from rackwright.reference.rows import Row
from rackwright.seal import canonical
from rackwright.shop import Shop
from rackwright.trouble import Refusal
from rackwright.work.engineering.frozen import frozen
from rackwright.work.engineering.frozen_texts import of_definition
from rackwright.work.gates import first, no, person_may
from rackwright.work.papers.report import ASKED, MORE, Confirmed, Issue, report, row_hash
from rackwright.work.papers.report.more import printed
from rackwright.work.people.founding import ENGINEER
from rackwright.work.station import Draft, Station, perform

__all__ = ["check_report", "confirm_row", "prepare_report", "release_report"]


# --- rows ----------------------------------------------------------------------------------------


def confirm_row(
    station: Station, row: str, document: str, place: str = "", act_id: str = "", rows: Rows | None = None
) -> Appended:
    """A person compared a row, as it stands now, with its source in `document`.

    `rows` are the shop's: the shipped ones, its own over them; None: the shipped ones.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, ENGINEER, station.today)
        if refused is not None:
            return refused
        found = _row(rows or shipped(), row)
        if found is None:
            return no("RW503", row, f"{row} is not a reference row", "give the id as the report prints it")
        kind, held = found
        body = {"row": row, "kind": kind, "row_hash": row_hash(held), "document": document, "place": place}
        return [Draft("row_confirmed", body)]

    return perform(station, "row_confirmed", decide, act_id)


def _row(known: Rows, id: str) -> tuple[str, Row] | None:
    every = ((kind, rows[id]) for kind, rows in known.by_kind.items() if id in rows)
    return next(every, None)


# --- what a report is made of --------------------------------------------------------------------


def _issue(record: Record, state: State, held: Revision, design: Design, number: str, revision: str,
           person: str, before: Report | None, more: tuple[str, ...] = ()) -> Issue:  # fmt: skip
    """A revision of a report as the record stands: its texts, questions, comparisons, and the revision before."""
    texts = of_definition(held.texts)
    asked = [one for one in state.questions.values() if one.covers(held.order, held.variation)]
    return Issue(
        design,
        texts,
        number,
        revision,
        held.revision,
        person,
        tuple((one.question, f"{one.text}{one.told and f' ({one.told})'}") for one in asked if one.open),
        tuple((one.question, one.told) for one in asked if not one.open),
        {one.row: Confirmed(one.row_hash, one.by, one.document, one.seq) for one in state.confirmed.values()},
        None if before is None else _results(record, before),
        "" if before is None else before.revision,
        state.demo,
        more,
    )


def _results(record: Record, last: Report) -> Mapping[str, Any]:
    results: Mapping[str, Any] = json.loads(record.get_file(last.results))
    return results


def _last(state: State, number: str) -> Report | None:
    every = state.reports.get(number, ())
    return every[-1] if every else None


def _next(last: Report | None) -> str:
    """A, B ... Z, then AA, AB ...: the letter after the last revision's."""
    if last is None:
        return "A"
    letters = last.revision.rstrip("Z")
    carried = "A" * (len(last.revision) - len(letters))
    return f"{letters[:-1]}{chr(ord(letters[-1]) + 1)}{carried}" if letters else f"A{carried}"


# --- the acts ------------------------------------------------------------------------------------


def prepare_report(
    station: Station, number: str, revision: str, design: Design, shop: Shop, act_id: str = "",
    more: tuple[str, ...] = (),
) -> Appended:  # fmt: skip
    """The next revision of report `number` of a frozen `revision` (its texts rebuilt as `design`).

    `more` names sections that take minutes (`MORE`). Refused: RW516 the person, RW514 not frozen, RW517 the number is
    another rack's, no such section, or nothing has changed since the last
    revision. Raises Stopped with a design's faults.
    """
    made: dict[str, bytes] = {}  # where another station wrote first, only the record is looked at again

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, ENGINEER, station.today), _mine(state, number, revision)
        )
        if refused is not None:
            return refused
        if revision not in state.revisions:
            return no("RW514", revision, f"revision {revision} is not frozen", "freeze it first")
        unknown = [name for name in more if name not in MORE]
        if unknown:
            return no("RW517", number, f"{unknown[0]!r} is no section", f"ask for {' or '.join(MORE)}")
        last, held = _last(state, number), state.revisions[revision]
        issue = _issue(station.record, state, held, design, number, _next(last), station.person, last, more)
        if last is not None and last.inputs == issue.inputs_hash:
            return no("RW517", number, f"nothing has changed since {last.name}", "use that revision")
        if issue.inputs_hash not in made:
            made[issue.inputs_hash] = report(issue, shop, station.today)
        file = station.record.put_file(made[issue.inputs_hash])
        results = station.record.put_file(canonical(issue.results | printed(issue)))
        body = {
            "report": number, "revision": issue.revision, "of": revision, "inputs": issue.inputs_hash, "file": file,
            "results": results, "reasons": [{"code": one.code, "found": one.text} for one in issue.reasons],
            **({} if last is None else {"supersedes": last.revision}),
        }  # fmt: skip
        return [Draft("report", body, Refs.of(files=[file, results]))]

    return perform(station, "report", decide, act_id)


def _mine(state: State, number: str, revision: str) -> Refusal | None:
    """A report's number stays with one variation."""
    last, wanted = _last(state, number), state.revisions.get(revision)
    before = state.revisions.get(last.of) if last is not None else None
    if before is not None and wanted is not None and before.variation != wanted.variation:
        found = f"{number} is the report of {before.variation}"
        return no("RW517", number, found, "give each rack's report its own number")
    return None


def check_report(
    station: Station, number: str, revision: str, remarks: str = "", act_id: str = ""
) -> Appended:
    """Another person than the preparer checked the newest revision.

    Refused: RW533 by its preparer, RW534 for an older revision, RW517 where it is checked already.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        last = _newest(state, number, revision)
        refused = person_may(state, station.person, ENGINEER, station.today)
        if refused is not None or isinstance(last, Refusal):
            return refused or last  # type: ignore[return-value]
        if (refused := _check_gate(last, station.person)) is not None:
            return refused
        body = {"report": number, "revision": revision, "file": last.file, "remarks": remarks}
        return [Draft("report_checked", body, Refs.of(files=[last.file]))]

    return perform(station, "report_checked", decide, act_id)


def _check_gate(last: Report, person: str) -> Refusal | None:
    """Nobody checks what he prepared, nor what is checked."""
    if last.prepared_by == person:
        return no("RW533", last.report, f"{person} prepared {last.name}", "another person must check it")
    if last.checked_by:
        return no("RW517", last.report, f"{last.name} was checked by {last.checked_by}", "it is checked once")
    return None


def release_report(station: Station, number: str, revision: str, act_id: str = "") -> Appended:
    """Release the newest, checked revision, where what it was made of is what stands now.

    Refused: RW533 unchecked, RW534 where what it was made of has changed since, else with its first reason.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        last = _newest(state, number, revision)
        refused = person_may(state, station.person, ENGINEER, station.today)
        if refused is not None or isinstance(last, Refusal):
            return refused or last  # type: ignore[return-value]
        station.record.get_file(last.file)  # raises where its bytes are gone or altered
        body = {"report": number, "revision": revision, "file": last.file,
                "statement": "evidence for whoever decides on the design, never an approval"}  # fmt: skip
        design = frozen(station.record, last.of, state).design
        gate = _release_gate(station.record, state, last, design)
        return gate or [Draft("report_released", body, Refs.of(files=[last.file]))]

    return perform(station, "report_released", decide, act_id)


def _release_gate(record: Record, state: State, last: Report, design: Design) -> Refusal | None:
    if last.released_by:
        return no(
            "RW517", last.report, f"{last.name} was released by {last.released_by}", "it is released once"
        )
    if not last.checked_by:
        return no(
            "RW533", last.report, f"nobody has checked {last.name}", "another person than its preparer must"
        )
    then = _results(record, last)["inputs"]
    asked = tuple(then[ASKED].split(", ")) if ASKED in then else ()
    issue = _issue(record, state, state.revisions[last.of], design, last.report, last.revision, last.prepared_by, None,
                   asked)  # fmt: skip
    now = issue.inputs
    changed = [name for name in sorted(then.keys() | now.keys()) if then.get(name) != now.get(name)]
    if changed:
        found = f"{last.name} was prepared before this changed: {', '.join(changed[:3])}"
        return no("RW534", last.report, found, "prepare a new revision, and have it checked")
    if last.reasons:
        code, words = last.reasons[0]
        more = f" (and {len(last.reasons) - 1} more)" if len(last.reasons) > 1 else ""
        return no(code, last.report, f"{last.name}: {words}{more}", "see the reasons on its cover")
    return None


def _newest(state: State, number: str, revision: str) -> Report | Refusal:
    """The revision, where it is the newest of its number."""
    last = _last(state, number)
    if last is None:
        return no("RW503", number, f"report {number} is not in the record", "prepare it first")
    if revision not in {each.revision for each in state.reports[number]}:
        return no("RW503", number, f"{number} has no revision {revision}", f"the newest is {last.revision}")
    if last.revision != revision:
        found = f"{number} revision {revision} was superseded by revision {last.revision}"
        return no("RW534", number, found, "signatures do not pass to another revision: act on the newest")
    return last

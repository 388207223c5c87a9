"""What waits for somebody, on a day: the list that a lead opens in the morning. Nothing is decided here.

Open questions, answers that changed after something was done by them, contracts not reviewed, clauses without
evidence, documents that racks owe as evidence, undecided nonconformances, holds, red lines, corrective actions, causes
that came again, gauges and credentials that end, pieces overdue at suppliers, first articles that are missing, stock
set aside, racks that came back, quotes about to end. Each line says what, whose it is and until when; what is past its
day is late.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from rackwright.record import Event, State
from rackwright.work.office.answers import changed_answers
from rackwright.work.office.contracts import contract_faults
from rackwright.work.quality.correcting import again
from rackwright.work.serials.evidence import standing_of
from rackwright.work.stations.first_articles import first_article_of

__all__ = ["Due", "due"]


@dataclass(frozen=True)
class Due:
    """`until` is a date, "" where none is set."""

    kind: str
    about: str
    words: str
    whose: str
    until: str
    late: bool


def due(state: State, today: str, days: int = 30, events: Sequence[Event] = ()) -> tuple[Due, ...]:
    """Everything that waits on this day, late things first; what ends (gauges, credentials, quotes) within `days`.
    `events` of the record tell what had been done by an answer that changed since."""
    horizon = (date.fromisoformat(today) + timedelta(days=days)).isoformat()
    rows = [
        *_questions(state, today), *_contracts(state), *_evidence(state), *_wrong(state), *_actions(state, today),
        *_ending(state, today, horizon), *_away(state), *_first_articles(state), *_set_aside(state), *_back(state),
        *_answered_otherwise(events, state),
    ]  # fmt: skip
    return tuple(sorted(rows, key=lambda row: (not row.late, row.until or "9999", row.kind, row.about)))


def _questions(state: State, today: str) -> Iterator[Due]:
    for one in state.questions.values():
        if one.open:
            words = f"{one.text} (blocks {', '.join(one.blocks)})" if one.blocks else one.text
            words += f" ({one.told})" if one.told else ""
            words += f" (asked of {one.addressee})" if one.addressee else ""
            yield Due("question", one.question, words, one.owner, one.due, bool(one.due and one.due < today))


def _answered_otherwise(events: Sequence[Event], state: State) -> Iterator[Due]:
    """What was done by an answer that is another now, until all racks of its order have left."""
    for one in changed_answers(events, state):
        order = state.orders.get(one.question.order)
        racks = state.racks(order.order) if order else ()
        if not racks or any(rack.state != "shipped" for rack in racks):
            yield Due("changed answer", one.question.question, one.words, one.answer.by, "", False)


def _contracts(state: State) -> Iterator[Due]:
    for order in state.orders.values():
        gone = [rack for rack in state.racks(order.order) if rack.state == "shipped"]
        if len(gone) >= order.quantity:  # of an order of which no line stands there is nothing to ship
            continue
        for refusal in contract_faults(state, order.order):
            yield Due("contract", order.order, refusal.found, "lead", order.due, False)


def _evidence(state: State) -> Iterator[Due]:
    """Documents that racks not released yet, or back here, still owe; what stations will record comes by itself."""
    for order in state.orders.values():
        lacking: dict[str, list[str]] = {}
        for rack in state.serials.bearing("order", order.order):
            for one in standing_of(state, rack.serial) if rack.state in ("planned", "back") else ():
                if one.missing and not (one.owed.reading or one.owed.process):
                    lacking.setdefault(one.owed.evidence, []).append(rack.serial)
        for name, serials in lacking.items():
            yield Due(
                "evidence", order.order, f"{name}, for {', '.join(serials)}", "inspector", order.due, False
            )


def _wrong(state: State) -> Iterator[Due]:
    for one in state.nonconformances.values():
        if one.open:
            yield Due("nonconformance", one.nonconformance, one.text, "lead", "", False)
    decided = {f"hold {one.nonconformance}" for one in state.nonconformances.values() if one.open}
    for hold in state.holds.values():
        if hold.open and hold.hold not in decided:
            yield Due("hold", hold.hold, hold.reason, hold.by, "", False)
    for scrap in state.unseen.values():
        words = f"scrap, not yet witnessed: {scrap.how}, by {scrap.by} (event {scrap.seq})"
        yield Due("witness", scrap.about, words, scrap.witness, "", False)
    for red in state.red_lines.values():
        if red.left:
            words = f"{red.text}; anew: " + ", ".join(f"{what} of {about}" for about, what in red.left)
            yield Due("red line", red.red_line, words, red.by, "", False)
    for cause, names in again(state).items():
        words = f"came again ({', '.join(names)}) and no corrective action was taken up since"
        yield Due("cause", cause, words, "lead", "", True)


def _actions(state: State, today: str) -> Iterator[Due]:
    for one in state.actions.values():
        if one.state in ("open", "open again"):
            yield Due(
                "corrective action",
                one.action,
                f"{one.state}: {one.text}",
                one.owner,
                one.due,
                one.due < today,
            )
        elif one.state == "done":
            words = f"done by {one.done_by}; another person looks whether it holds"
            yield Due("corrective action", one.action, words, "inspector", one.due, one.due < today)


def _ending(state: State, today: str, horizon: str) -> Iterator[Due]:
    for gauge in state.gauges.values():
        if gauge.state == "in_use" and gauge.due <= horizon:
            yield Due(
                "gauge",
                gauge.gauge,
                f"{gauge.kind}: calibration due",
                "inspector",
                gauge.due,
                gauge.due < today,
            )
    for person in state.persons.values():
        if person.active and person.until and person.until <= horizon:
            late = person.until < today
            yield Due("credential", person.person, ", ".join(person.roles), person.person, person.until, late)
    for rows in state.quotes.values():
        last = rows[-1]
        if not last.agreed and last.until and today <= last.until <= horizon:
            words = f"revision {last.revision} to {last.customer}, {last.price}"
            yield Due("quote", last.quote, words, "lead", last.until, False)


def _set_aside(state: State) -> Iterator[Due]:
    """Stock in quarantine; what was stored out of its range waits for the lead, all else for receiving."""
    for stock in state.stock.values():
        if stock.state == "quarantined":
            undecided = stock.stored and not stock.stored["within"] and "use" not in stock.stored
            yield Due("stock", stock.stock_id, stock.reason, "lead" if undecided else "receiving", "", False)


def _back(state: State) -> Iterator[Due]:
    """Racks in the shop's hands again."""
    for rack in state.serials.values():
        if rack.state == "back":
            kept = state.service[rack.serial]
            came = (
                f"{kept.back[-1].reason}, from {kept.back[-1].whom}"
                if kept.back
                else "taken out of its release"
            )
            left = [*kept.loose, *(f"{what} of {about}" for about, what in kept.left)]
            left += [one.owed.evidence for one in standing_of(state, rack.serial) if one.missing]
            words = (
                f"{came}; {len(left)} things to do anew, as {left[0]}"
                if left
                else f"{came}; to be put back to service"
            )
            yield Due("rack", rack.serial, words, "inspector" if not left else "assembly", "", False)


def _away(state: State) -> Iterator[Due]:
    by_note: dict[tuple[str, str, str], int] = {}
    for piece in state.pieces.values():
        if piece.at_supplier:
            key = (piece.at_supplier, piece.for_process, piece.sent_at)
            by_note[key] = by_note.get(key, 0) + 1
    for (supplier, process, sent), number in by_note.items():
        yield Due(
            "outside work", supplier, f"{number} pieces for {process}, sent {sent}", supplier, "", False
        )


def _first_articles(state: State) -> Iterator[Due]:
    """A revision with a released serial and no first article, once the shop keeps such sets at all."""
    if not state.first_articles:
        return
    for revision in state.revisions:
        left = [
            rack.serial for rack in state.serials.values() if rack.revision == revision and rack.released_seq
        ]
        if left and not first_article_of(state, revision):
            words = f"none is recorded; released: {', '.join(left[:3])}"
            yield Due("first article", revision, words, "inspector", "", False)

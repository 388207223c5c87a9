"""Acts of the office: people, orders, revisions, reports."""

from __future__ import annotations

from rackwright.record import Event, State
from rackwright.record.office import FIRST
from rackwright.seal import Malformed, Trust, read_handover, read_revocation
from rackwright.work import gates as g
from rackwright.work.gates import no
from rackwright.work.keeping.judges.past import Judge, Maybe, Past, new
from rackwright.work.office.answers import may_be_answered
from rackwright.work.office.contracts import nothing_blocks_the_quote
from rackwright.work.office.lines import as_ordered, has_line, line_may_stand, may_be_numbered
from rackwright.work.people import founding as p
from rackwright.work.people.handing_over import may_be_revoked, may_hand_over

__all__ = ["JUDGES"]


def _frozen(past: Past, event: Event, state: State, today: str) -> Maybe:
    name = event.body["revision"]
    if name in state.revisions:
        return None
    return no("RW514", name, f"revision {name} is not frozen", "see its events")


def _person_row(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, name = event.body, event.body["person"]
    if twice := p.one_person(state, name, body.get("number", "")):
        return twice
    newer = body.get("every_act") or any(one.every_act for one in state.persons.values())
    if newer and (without := p.numbered(state, name, body.get("number", ""))):
        return without
    told = "again" in body or past.again  # an older program did not ask whether a row is of somebody known
    if told and (other := p.new_or_known(state, name, body.get("number", ""), body.get("again", False))):
        return other
    others = any(one.active and one.lead and one.person != name for one in state.persons.values())
    if others or not state.persons or (p.LEAD in body["roles"] and body.get("active", True)):
        return None
    return no("RW516", name, f"{name} was the only lead", "see its events")


def _serial(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, order = event.body, state.orders.get(event.body["order"])
    if body["serial"] in state.serials:
        return no("RW517", body["serial"], f"serial {body['serial']} is used", "see its events")
    if "line" in body and (refused := may_be_numbered(state, body["order"], body["line"], body["revision"])):
        return refused  # an older program knew one line, and did not compare the revision's variation with it
    line = order.lines.get(body.get("line", FIRST)) if order else None
    numbered = len(state.racks(body["order"], line.line if line else ""))
    if line is not None and numbered >= line.quantity:
        found = f"{body['order']} has {numbered} serials for {line.quantity} racks"
        return no("RW517", body["order"], found, "see its events")
    return g.order_known(state, body["order"]) or _frozen(past, event, state, today)


def _quote(past: Past, event: Event, state: State, today: str) -> Maybe:
    body, before = event.body, state.quotes.get(event.body["quote"], ())
    agreed = next((row for row in before if row.agreed), None)
    if agreed is not None:
        found = f"{body['quote']} revision {agreed.revision} was agreed for {agreed.order}"
        return no("RW517", body["quote"], found, "see its events")
    if before and before[-1].customer != body["customer"]:
        return no(
            "RW517", body["quote"], f"{body['quote']} was offered to {before[-1].customer}", "see its events"
        )
    if "variations" in body:  # an older program did not say of what it was, and asked only the definition
        return nothing_blocks_the_quote(state, body["variations"])
    return None


def _agree(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    rows = state.quotes.get(body["quote"], ())
    if not any(row.revision == body["revision"] for row in rows):
        return no("RW503", body["quote"], f"{body['quote']} revision {body['revision']} was not offered", "-")
    last = rows[-1]
    if last.revision != body["revision"] or last.agreed or (last.until and last.until < today):
        found = f"{body['quote']} revision {body['revision']} was not there to be agreed to"
        return no("RW517", body["quote"], found, "see its events")
    known = state.orders.get(body["order"])
    if known is not None and known.customer != last.customer:
        found = f"{body['order']} is of {known.customer}, the quote of {last.customer}"
        return no("RW517", body["order"], found, "see its events")
    return g.order_known(state, body["order"]) or as_ordered(state, body["order"], last)


def _order_line(past: Past, event: Event, state: State, today: str) -> Maybe:
    return line_may_stand(state, event.body)


def _question(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    line = has_line(state, body.get("order", ""), body["line"]) if "line" in body else None
    return new("questions", "question")(past, event, state, today) or line


def _answer(past: Past, event: Event, state: State, today: str) -> Maybe:
    """A question that an older program asked was answered again without a reason."""
    asked = state.questions.get(event.body["question"])
    if asked is None or not asked.scoped:
        return None  # one that was never asked, the fold finds odd
    return may_be_answered(state, asked.question, event.body.get("reason", ""))


def _clause_met(past: Past, event: Event, state: State, today: str) -> Maybe:
    body = event.body
    held = state.clauses.get(body["order"], {}).get(body["clause"])
    if held is not None and not held.withdrawn:
        return None
    return no("RW503", body["clause"], f"{body['order']} has no clause {body['clause']}", "see its events")


def _report(past: Past, event: Event, state: State, today: str) -> Maybe:
    """Checked by another than its preparer, released after that, and for nothing against it: the newest revision."""
    body, rows = event.body, state.reports.get(event.body["report"], ())
    last = rows[-1] if rows else None
    if last is None or last.revision != body["revision"] or last.file != body["file"]:
        found = f"{body['report']} revision {body['revision']} was not the newest"
        return no("RW534", body["report"], found, "see its events")
    if event.type == "report_checked":
        if last.prepared_by == event.by:
            return no(
                "RW533", last.report, f"{event.by} prepared {last.name}", "another person must check it"
            )
        return _once(last.report, last.name, "checked", last.checked_by)
    if not last.checked_by:
        return no("RW533", last.report, f"nobody had checked {last.name}", "see its events")
    if last.reasons:
        code, words = last.reasons[0]
        return no(code, last.report, f"{last.name}: {words}", "see the reasons on its cover")
    return _once(last.report, last.name, "released", last.released_by)


def _once(about: str, name: str, what: str, by: str) -> Maybe:
    return no("RW517", about, f"{name} was {what} by {by}", "see its events") if by else None


def _key(past: Past, event: Event, state: State, today: str) -> Maybe:
    """Handed over by the key that signed then, and signed by both; the DEMO key hands over nothing."""
    try:
        handover = read_handover(event.body["handover"])
    except Malformed as error:
        return no("RW604", "key", f"its handover cannot be read: {error.found}", "see who made it")
    if handover.size >= event.seq:
        return no(
            "RW604", "key", f"it names {handover.size} events, and is event {event.seq}", "see its events"
        )
    return may_hand_over(state.key_id, handover)


def _key_revoked(past: Past, event: Event, state: State, today: str) -> Maybe:
    try:
        revocation = read_revocation(event.body["revocation"])
    except Malformed as error:
        return no("RW604", "key", f"its revocation cannot be read: {error.found}", "see who made it")
    if revocation.by != event.by or revocation.reason != event.body["reason"]:
        return no("RW604", "key", "its person or reason is another than was signed", "see who made it")
    return may_be_revoked(Trust.of(state.handovers), state.key_id, revocation)


JUDGES: dict[str, Judge] = {
    "person": _person_row, "order": new("orders", "order"), "question": _question,
    "freeze": new("revisions", "revision"), "serial": _serial, "quote": _quote, "agree": _agree,
    "clause_met": _clause_met, "order_line": _order_line, "answer": _answer, "key": _key, "key_revoked": _key_revoked,
    "approval_reference": _frozen, "at_risk": _frozen, "without_report": _frozen,
    "report_checked": _report, "report_released": _report,
}  # fmt: skip

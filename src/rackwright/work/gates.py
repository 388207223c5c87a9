"""The gates: may this be done now? Pure functions of what the record holds; the first no is the answer.

Authority is separate from arithmetic: metal is issued only against a frozen revision whose design-approval
reference is recorded (or at risk, by a named person), and a rack is released only against the same. A
positive margin is evidence, never authority. Nothing here clears a hold: that needs a named person and a
reason, as an act of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from rackwright.metal_forms import of_form
from rackwright.record import State, Stock
from rackwright.record.clock import DAY, behind
from rackwright.record.fold_stock import LAST_DAY
from rackwright.record.office import Quote
from rackwright.record.state import Person
from rackwright.trouble import Refusal, Where
from rackwright.work.outcome import BETTER, missed

__all__ = [
    "accepted_as_is",
    "agreed_quote",
    "clauses_met",
    "clock_lost",
    "contract_allows",
    "contract_reviewed",
    "covers",
    "done_before",
    "gauge_may_measure",
    "lot_may_be_used",
    "not_held",
    "not_the_assembler",
    "not_who_entered",
    "of_the_shop",
    "order_known",
    "person_may",
    "piece_complete",
    "pieces_are_new",
    "question_open",
    "rack_complete",
    "revision_is_referenced",
    "serial_known",
    "stock_may_be_accepted",
    "stock_may_be_cut",
    "stock_may_be_issued",
    "within",
]

Maybe = Refusal | None
_WHEN = re.compile(r"\d{4}-\d\d-\d\d(T\d\d:\d\d(:\d\d)?Z)?", re.ASCII)


def no(code: str, about: str, found: str, do: str) -> Refusal:
    """A refusal about something in the record."""
    return Refusal(code, Where("the record", 0, about), found, do)


def order_known(state: State, order: str) -> Maybe:
    """Is there such an order?"""
    if order in state.orders:
        return None
    return no("RW503", order, f"order {order} is not in the record", "record the order first")


def serial_known(state: State, serial: str) -> Maybe:
    """Is there such a rack?"""
    if serial in state.serials:
        return None
    return no("RW503", serial, f"serial {serial} is not in the record", "check the number")


def first(*answers: Maybe) -> Maybe:
    """The first refusal, if any."""
    return next((answer for answer in answers if answer is not None), None)


def clock_lost(latest: str, at: str) -> Maybe:
    """A station more than a day behind what is recorded may not act: what has expired would be good again there."""
    if behind(at, latest) <= DAY:
        return None
    do = "set the clock; where the recorded time is the wrong one, the lead records `rackwright log clock`"
    return no("RW526", "clock", f"this station's clock says {at}, and something was recorded at {latest}", do)


def done_before(done: str, at: str) -> Maybe:
    """What is entered late was done before it is entered: a day or time in UTC that has begun."""
    said = done.removesuffix("Z")
    if _WHEN.fullmatch(done) and said <= at[: len(said)]:
        return None
    do = "give the day or the UTC time on the paper, as in 2031-05-04 or 2031-05-04T14:30Z"
    return no("RW517", "done", f"done at {done!r:.40}, entered at {at}", do)


# --- people --------------------------------------------------------------------------------------


def of_the_shop(state: State, person: str) -> Maybe:
    """A known person who has not left."""
    known = state.persons.get(person)
    if known is None or not known.active:
        return no("RW516", person, f"{person} is not a person of this shop", "record the person first")
    return None


def person_may(state: State, person: str, role: str, today: str) -> Maybe:
    """A known, active person with the role and a credential that has not ended. What its scopes cover:
    `people/scopes.py`."""
    if refused := of_the_shop(state, person):
        return refused
    known = state.persons[person]
    if role not in known.roles:
        return no(
            "RW516", person, f"{person} does not hold the role {role}", f"a person with the role {role} must"
        )
    if known.until and known.until < today:
        found = f"{person}'s credential ended on {known.until}"
        return no("RW516", person, found, "renew it, or another person must")
    return None


def covers(known: Person, step: str) -> Maybe:
    """A credential whose scopes are named covers the step, or one without scopes any."""
    if not step or not known.scopes or step in known.scopes:
        return None
    found = f"{known.person}'s credential covers {', '.join(known.scopes)}, not {step}"
    return no("RW516", known.person, found, "another person must, or the lead records a wider scope")


# --- authority -----------------------------------------------------------------------------------


def revision_is_referenced(state: State, revision: str, at_risk_allowed: bool) -> Maybe:
    """A frozen revision with its design-approval reference; for issue also at risk by a named person."""
    frozen = state.revisions.get(revision)
    if frozen is None:
        return no("RW514", revision, f"revision {revision} is not frozen", "freeze the definition first")
    if frozen.approvals or (at_risk_allowed and frozen.at_risk_by):
        return None
    return no("RW514", revision, f"no design-approval reference is recorded for {revision}",
              "record document, revision, date and holder of the design approval")  # fmt: skip


def question_open(state: State, what: str, order: str, revision: str, line: str = "") -> Maybe:
    """An open question that blocks `what`: asked in the record, or left open by the frozen definition. One of a
    variation that is not scoped was asked by an older program, and blocked quotes alone."""
    frozen = state.revisions.get(revision)
    of = (order, frozen.variation if frozen else "", line)
    asked = state.blocking(what, order=order, variation=of[1], line=line)
    for one in (each for each in asked if each.scoped or not each.variation):
        return no("RW513", one.question, f"question {one.question} is open ({one.owner}): {one.text}",
                  "record its answer with the document")  # fmt: skip
    left: Mapping[str, Any] = frozen.values.get("questions", {}) if frozen else {}
    for id, blocks in left.items():
        if what in blocks and not state.answered(id, *of):
            do = "answer it with a document, or freeze a revision"
            return no("RW513", id, f"the definition leaves {id} open", do)
    return None


def agreed_quote(state: State, order: str) -> Quote | None:
    """The quote revision that the customer ordered at."""
    rows = [row for every in state.quotes.values() for row in every if row.order == order and row.agreed]
    return max(rows, key=lambda row: row.agreed_seq, default=None)


def contract_allows(state: State, what: str, order: str) -> Maybe:
    """The contract is reviewed as it stands, and the clauses that `what` waits for are met."""
    return contract_reviewed(state, order) or clauses_met(state, what, order)


def contract_reviewed(state: State, order: str) -> Maybe:
    """An order with clauses, an agreed quote or amended lines was reviewed, and none of these came after the review."""
    quote = agreed_quote(state, order)
    clauses = [one.seq for one in state.clauses.get(order, {}).values()]
    known = state.orders.get(order)
    latest = max([*clauses, quote.agreed_seq if quote else 0, known.amended_seq if known else 0])
    review = state.reviews.get(order)
    if not latest or (review is not None and review.seq > latest):
        return None
    found = f"{order} has a clause, quote or line of event {latest}, " + (
        f"after its review of event {review.seq}" if review else "and no contract review"
    )
    return no("RW548", order, found, "the lead reviews it: rackwright log contract_review")


def clauses_met(state: State, what: str, order: str) -> Maybe:
    """Every clause that `what` (sign_out, release, ship) waits for has its evidence."""
    for one in state.clauses.get(order, {}).values():
        if one.open and one.before == what:
            found = f"clause {one.clause} of {order} ({one.document}), met by {one.met_by}, has no evidence"
            return no("RW548", one.clause, found, "record its document: rackwright log clause_met")
    return None


# --- stock ---------------------------------------------------------------------------------------


def stock_may_be_accepted(state: State, stock_id: str, checks: Sequence[tuple[str, str, str, bool]]) -> Maybe:
    """Received, with a certificate whose every value is good. `checks`: name, required, found, ok."""
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
    if stock.state not in ("received", "quarantined"):
        return no("RW517", stock_id, f"{stock_id} is {stock.state}", "only received stock is accepted")
    lacking = [f"{name} is {found}, required {required}" for name, required, found, ok in checks if not ok]
    if not lacking:
        return None
    marked = f"lot {stock.lot}" if stock.lot and not stock.heat else f"heat {stock.heat or 'unknown'}"
    return no("RW510", stock_id, f"{stock_id}, {marked}: {'; '.join(lacking)}",
              "keep it in quarantine; get what is missing, or other stock")  # fmt: skip


def not_who_entered(state: State, person: str, stock_id: str) -> Maybe:
    """Who entered the values of a certificate, or the papers between mill and shop, does not confirm them."""
    stock = state.stock.get(stock_id)
    if stock is None or person not in (stock.entered_by, *stock.origin_by):
        return None
    what = "the values of" if stock.entered_by == person else "the papers beside"
    found = f"{person} entered {what} {stock_id}'s certificate"
    return no("RW516", stock_id, found, "another person compares them with the paper, and accepts")


def stock_may_be_issued(
    state: State, stock_id: str, order: str, revision: str, today: str = "", racks: Iterable[str] = ()
) -> Maybe:
    """Accepted, not held, late or taken; the revision referenced (or at risk); no question of these racks open."""
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "check the id on the label")
    if stock.state != "accepted":
        taken = f" to {stock.job}" if stock.job else ""
        return no(
            "RW511",
            stock_id,
            f"{stock_id} is {stock.state}{taken}",
            "issue accepted stock that is still there",
        )
    return first(
        _not_late(stock, today),
        _form_is_the_rows(state, stock, revision),
        not_held(state, stock_id=stock_id, heat=stock.heat),
        revision_is_referenced(state, revision, at_risk_allowed=True),
        *(question_open(state, "sign_out", order, revision, line) for line in state.lines_of(racks)),
        contract_allows(state, "sign_out", order),
    )


def _form_is_the_rows(state: State, stock: Stock, revision: str) -> Maybe:
    """The form on the certificate decides the row of allowables: it is the one that the frozen revision was proven by.
    A certificate or revision recorded before forms were kept was compared when its bar was chosen."""
    frozen = state.revisions.get(revision)
    rows: Mapping[str, str] = frozen.values.get("rows", {}).get(stock.stock_spec, {}) if frozen else {}
    values: Mapping[str, Any] = (stock.certificate or {}).get("values", {})
    for form in sorted(set(rows.values())) if "form" in values else []:
        printed = str(values["form"])
        if not of_form(printed, form):
            said = printed or "none printed"
            found = f"{stock.stock_id}: the certificate says {said!r}, {revision} is proven with {form!r}"
            return no("RW511", stock.stock_id, found, "issue stock of that form")
    return None


def stock_may_be_cut(state: State, stock_id: str, order: str, pieces: Iterable[str]) -> Maybe:
    """Issued to this order, for these pieces, none of which is there already."""
    stock = state.stock.get(stock_id)
    if stock is None or stock.state != "issued" or stock.job != order:
        return no("RW511", stock_id, f"{stock_id} is not issued to {order}", "issue it first")
    names = list(pieces)
    for piece in names:
        if piece not in stock.planned:
            return no(
                "RW517", piece, f"{stock_id} was not issued for {piece}", "issue it for the piece first"
            )
    return first(*pieces_are_new(state, names), not_held(state, stock_id=stock_id, heat=stock.heat))


def pieces_are_new(state: State, pieces: Iterable[str]) -> list[Maybe]:
    """A piece comes to be once; only what was scrapped or replaced may be made again under its id."""
    seen: set[str] = set()
    answers: list[Maybe] = []
    for piece in pieces:
        if piece in seen:
            answers.append(no("RW517", piece, f"{piece} is named twice", "give each piece its own id"))
        elif piece in state.pieces and state.pieces[piece].state not in ("scrapped", "replaced"):
            there = f"{piece} is there already, from {state.pieces[piece].stock_id}"
            answers.append(no("RW517", piece, there, "check the label"))
        seen.add(piece)
    return answers


def lot_may_be_used(state: State, lot: str, today: str) -> Maybe:
    """A lot of hardware, powder or sealant: accepted, not held, not past its last day of use."""
    found = [*state.stock.bearing("lot", lot)]
    if not found:
        return no("RW503", lot, f"lot {lot} is not in the record", "receive and accept it first")
    accepted = [stock for stock in found if stock.state == "accepted"]
    if not accepted:
        return no("RW511", lot, f"lot {lot} is {found[0].state}", "use accepted stock")
    late = [_not_late(stock, today) for stock in accepted]
    return (late[0] if all(late) else None) or not_held(state, heat=lot)


def _not_late(stock: Stock, today: str) -> Maybe:
    last = str(stock.measured.get(LAST_DAY, ""))
    if last and today and last < today:
        found = f"{stock.stock_id}, lot {stock.lot}, was to be used by {last}, today is {today}"
        return no("RW511", stock.stock_id, found, "use a lot that is not late; scrap this one")
    return None


def not_held(state: State, *, piece: str = "", serial: str = "", stock_id: str = "", heat: str = "") -> Maybe:
    """No open hold lies on it, nor on what it is made of: a piece's bar, heat and rack; a rack's pieces and lots."""
    rack, stock = state.serials.get(serial), state.stock.get(stock_id)
    pieces = {piece, *(rack.pieces if rack else ())}
    serials, stocks, heats = {serial}, {stock_id}, {heat, *(rack.lots if rack else ())}
    if stock is not None:
        heats |= {stock.heat, stock.lot}
    for made in (state.pieces[name] for name in pieces if name in state.pieces):
        stocks.add(made.stock_id)
        heats |= {made.heat, made.lot}
        serials.add(made.serial)
    for hold in state.holds.values():
        named = (pieces & set(hold.pieces), serials & set(hold.serials), stocks & set(hold.stock_ids),
                 heats & set(hold.heats))  # fmt: skip
        if hold.open and any(named):
            return no("RW517", piece or serial or stock_id or heat, f"hold {hold.hold} by {hold.by}: {hold.reason}",
                      "a named person must lift it, with a reason")  # fmt: skip
    return None


# --- inspection ----------------------------------------------------------------------------------


def not_the_assembler(state: State, person: str, serial: str) -> Maybe:
    """Who tightened a joint of a rack does not measure or weigh it. A rack that is not there is another's question."""
    rack = state.serials.get(serial)
    if rack is None or all(joint["by"] != person for joint in rack.joints.values()):
        return None
    return no("RW516", serial, f"{person} assembled {serial}", "another inspector must measure it")


def gauge_may_measure(state: State, gauge: str, today: str) -> Maybe:
    """Known, in use, and not past its calibration date."""
    known = state.gauges.get(gauge)
    if known is None:
        return no(
            "RW503", gauge, f"gauge {gauge} is not in the record", "record the gauge with its calibration"
        )
    if known.state != "in_use":
        return no("RW512", gauge, f"gauge {gauge} is {known.state}", "use a gauge in calibration")
    if known.due < today:
        return no("RW512", gauge, f"gauge {gauge} was due for calibration on {known.due}, today is {today}",
                  "use a gauge in calibration")  # fmt: skip
    return None


def within(value: Fraction, lower: Fraction | None, upper: Fraction | None) -> bool:
    """Is a measured value inside its limits, unrounded?"""
    return (lower is None or value >= lower) and (upper is None or value <= upper)


def piece_complete(state: State, piece: str, characteristics: Iterable[str]) -> Maybe:
    """Made from accepted stock with a heat, and every characteristic measured, the last time within limits."""
    made = state.pieces.get(piece)
    if made is None or made.state in ("scrapped", "replaced"):
        return no("RW515", piece, f"{piece} is not made", "make it and measure it")
    if not made.heat and not made.lot:
        return no("RW510", piece, f"{piece} has no heat", "replace it by a piece whose heat is known")
    measured = _measured(state, piece, characteristics)
    if measured is not None:
        return measured
    return not_held(state, piece=piece)


def rack_complete(state: State, serial: str, characteristics: Iterable[str]) -> Maybe:
    """Everything that is measured on the assembled rack."""
    return _measured(state, serial, characteristics)


def _measured(state: State, about: str, characteristics: Iterable[str]) -> Maybe:
    """Each characteristic measured, the last time within its limits or accepted as it is by the approval holder."""
    last = {
        each.characteristic: each for each in state.measured(about) if _of_this_one(state, about, each.seq)
    }
    for name in characteristics:
        if name not in last:
            return no("RW515", about, f"{name} of {about} is not measured", "measure it")
        if not last[name].within and not accepted_as_is(state, about, name, last[name].seq):
            if last[name].value in ("yes", "no"):
                return no("RW515", about, f"{name} of {about} does not pass its GO/NO-GO gauge",
                          "raise a nonconformance and have it dispositioned")  # fmt: skip
            do = BETTER if last[name].undecided else "raise a nonconformance and have it dispositioned"
            return no("RW515", about, f"{name} of {about} is {last[name].value}, {missed(last[name])}", do)
    return None


def _of_this_one(state: State, about: str, seq: int) -> bool:
    """Is the event of the piece that is there now, not of one that was scrapped under the same id?"""
    return about not in state.pieces or seq > state.pieces[about].seq


def accepted_as_is(state: State, about: str, characteristic: str, measured: int) -> bool:
    """A decided nonconformance on just this, with the approval holder's document.

    "Use as is" is of the value known when it was decided (`measured` is its event); what a repair comes to is
    measured after it.
    """
    return any(
        each.document and each.characteristic == characteristic
        and (each.decision == "repair" or (each.decision == "use_as_is" and each.decided_seq > measured))
        for each in state.nonconformances.values()
        if about in (*each.pieces, *each.serials) and _of_this_one(state, about, each.seq)
    )  # fmt: skip

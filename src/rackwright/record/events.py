"""The table of event types: what may be recorded, and how each body is laid out (`checking.py` holds events to it).

What a layout is: `event_type.py`; events on metal have their table in `events_metal.py`, those on a rack after its
release in `events_service.py`.

A new type or field goes here. A changed meaning is a new version: raise `v` and add to `UPGRADES` the
function from the old body to the next; recorded events are never rewritten. Adding an optional field
needs no new version.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event, Known, Refs
from rackwright.record.event_type import EventType, Layout
from rackwright.record.events_metal import METAL
from rackwright.record.events_service import ANEW, FATE, SERVICE

__all__ = ["EVENTS", "EVERYWHERE", "UPGRADES", "EventType", "Layout", "current", "new_event", "newest"]

_MARGIN = {
    "piece?": "id", "place?": "text", "check": "id", "case?": "text", "margin": "number", "formula?": "text",
}  # fmt: skip

#: what any body may hold
EVERYWHERE: Layout = {
    "note?": "text", "late?": {"done": "id", "paper?": "sha256"}, "attached?": [{"name": "id", "file": "sha256"}],
}  # fmt: skip

EVENTS: dict[str, EventType] = {
    # the shop and its means
    "found": EventType(
        "the record begins; `signatures` true: every act is signed from here on, the lead's first secret apart",
        {"shop": "id", "demo": "bool", "key_id?": "sha256", "signatures?": "bool"},
    ),
    "person": EventType(
        "a person, their roles from now on; `active` false: left; `every_act`: scopes that are named bound every act, "
        "and a shop that numbers its people numbers each; `again` true: the person who is known by this name; `since`: "
        "of the shop from that day",
        {"person": "id", "roles": "ids", "active?": "bool", "credential?": "text", "until?": "date",
         "scopes?": "ids", "number?": "id", "every_act?": "bool", "again?": "bool", "since?": "date"},
    ),
    "secret": EventType(
        "a person signs with this pin or password from now on: the hash of its verifier, kept beside the record",
        {"person": "id", "kind": "id", "verifier": "sha256"},
    ),
    "code": EventType(
        "a person may set a pin or password with a one-time code until that day: the hash of its verifier",
        {"person": "id", "verifier": "sha256", "until": "date"},
    ),
    "signatures": EventType(
        "from now on every act is signed by its person's PIN or password, or need not be",
        {"required": "bool", "reason": "text"},
    ),
    "gauge": EventType(
        "a gauge, its calibration due from now on; `state` in_use, withdrawn or bad",
        {"gauge": "id", "kind": "text", "due": "date", "state?": "id", "uncertainty?": "quantity",
         "certificate?": "text", "file?": "sha256"},
    ),
    "gauge_bad": EventType(
        "a gauge was found bad: everything it passed since is in doubt",
        {"gauge": "id", "reason": "text", "since?": "date", "found?": "text"},
    ),
    "supplier": EventType(
        "a supplier and what it may do",
        {"supplier": "id", "scope": "ids", "until?": "date", "document?": "text"},
    ),
    "away": EventType(
        "a machine, a person or a supplier is not there from a day to a day, both included",
        {"what": "id", "first": "date", "last": "date", "reason": "text"},
    ),
    # the order and what is known about it
    "quote": EventType(
        "a revision of a price was offered, with the band that its uncertain lines leave and what it was made of",
        {"quote": "id", "revision?": "id", "order?": "id", "customer": "text", "price": "quantity", "low?": "quantity",
         "high?": "quantity", "until?": "date", "agreed?": "bool", "variations?": "ids", "racks?": "count",
         "lines?": [{"variation": "id", "quantity": "count"}], "hours?": "map", "costs?": "map", "file?": "sha256"},
    ),
    "agree": EventType(
        "the customer ordered at a revision of a quote", {"quote": "id", "revision": "id", "order": "id"}
    ),
    "clause": EventType(
        "a clause of an order, in its customer's document, and who meets it; `before` sign_out, release or ship: "
        "what waits until its evidence is there; disposition: the customer accepts what is used as is or repaired",
        {"order": "id", "clause": "id", "text": "text", "met_by": "id", "document": "id", "before?": "id",
         "withdrawn?": "bool"},
    ),
    "clause_met": EventType(
        "the evidence that a clause of an order is met",
        {"order": "id", "clause": "id", "document": "id", "serials?": "ids", "file?": "sha256"},
    ),
    "contract_review": EventType(
        "a named person compared an order, its clauses and its agreed quote with what the shop can do and will do",
        {"order": "id", "document": "id", "clauses": "ids", "lines?": "ids", "quote?": "id",
         "quote_revision?": "id", "remarks?": "text"},
    ),
    "hours": EventType(
        "what an operation of an order took", {"order": "id", "operation": "id", "hours": "number", "serials?": "ids",
                                               "day?": "date"},
    ),
    "invoice": EventType(
        "what was paid for an order: material, hardware or outside work",
        {"order": "id", "kind": "id", "amount": "quantity", "document": "id", "supplier?": "text"},
    ),
    "order": EventType(
        "an order for racks of one variation, its first line; others come by `order_line`",
        {"order": "id", "customer": "text", "variation": "id", "quantity": "count", "due?": "date",
         "serials?": "ids", "document?": "text", "aircraft?": "text", "aircraft_serials?": "ids",
         "price?": "quantity", "weight?": "count"},
    ),
    "order_line": EventType(
        "a line of an order as it stands from now on, in its customer's document; `without`: racks of it that are no "
        "longer to be made, all of those not released where the line is withdrawn",
        {"line": "id", "order": "id", "variation": "id", "quantity": "count", "due?": "date", "price?": "quantity",
         "aircraft_serials?": "ids", "document": "id", "reason?": "text", "withdrawn?": "bool", "without?": "ids"},
    ),
    "question": EventType(
        "something must be known; `blocks` names quote, sign_out, release; `field`: the open question of a definition "
        "that it asks; `assumed`: what is taken meanwhile; "
        "`scoped`: it blocks at every gate what it names, and its answer answers no more than that",
        {"question": "id", "order?": "id", "line?": "id", "variation?": "id", "text": "text", "owner": "text",
         "due?": "date", "blocks": "ids", "addressee?": "text", "field?": "id", "assumed?": "text",
         "scoped?": "bool"},
    ),
    "answer": EventType(
        "a question was answered, with its document; answered again, with the reason: both answers are kept",
        {"question": "id", "answer": "text", "document": "id", "file?": "sha256", "reason?": "text"},
    ),
    "freeze": EventType(
        "a revision was frozen: the texts it consists of, as files by hash",
        {"revision": "id", "order?": "id", "variation?": "id", "drawing?": "text",
         "texts": [{"name": "id", "file": "sha256"}], "design_hash?": "sha256", "values?": "map"},
    ),
    "approval_reference": EventType(
        "where the design approval of a revision is documented: a reference, never the approval itself",
        {"revision": "id", "reference": "id", "holder?": "text", "document?": "text", "date?": "date",
         "file?": "sha256"},
    ),
    "row_confirmed": EventType(
        "a person compared a reference row, as its hash says, with its source in a named document",
        {"row": "id", "kind": "id", "row_hash": "sha256", "document": "id", "place?": "text"},
    ),
    "report": EventType(
        "a revision of a strength report was prepared of a frozen revision: the hash of its inputs, its bytes and "
        "results as files, and every reason against its release",
        {"report": "id", "revision": "id", "of": "id", "inputs": "sha256", "file": "sha256", "results": "sha256",
         "reasons": [{"code": "id", "found": "text"}], "supersedes?": "id"},
    ),
    "report_checked": EventType(
        "another person than the preparer checked this revision of a report, as its bytes are",
        {"report": "id", "revision": "id", "file": "sha256", "remarks?": "text"},
    ),
    "report_released": EventType(
        "a named person released this checked revision of a report; it is evidence, never an approval",
        {"report": "id", "revision": "id", "file": "sha256", "statement?": "text"},
    ),
    "without_report": EventType(
        "a named person lets racks of a frozen revision be released without a released strength report of it",
        {"revision": "id", "reason": "text", "document?": "text"},
    ),
    "at_risk": EventType(
        "a named person lets work go on before the approval reference is there",
        {"revision": "id", "reason": "text", "until?": "date"},
    ),
    **METAL,
    # what went wrong
    "nonconformance": EventType(
        "something is not as it should be",
        {"nonconformance": "id", "text": "text", "pieces?": "ids", "serials?": "ids", "stock_ids?": "ids",
         "characteristic?": "id", "values?": "map"},
    ),
    "disposition": EventType(
        "what is done about it: use_as_is, rework, repair, scrap or return, on whose document, and the customer's",
        {"nonconformance": "id", "decision": "id", "reason": "text", "document?": "text", "signer?": "text",
         "date?": "date", "file?": "sha256", "values?": "map", "cause?": "id",
         "customer?": {"document": "id", "signer": "id", "date": "date"}},
    ),
    "corrective_action": EventType(
        "what is done so that a cause does not come again, by whom and until when",
        {"action": "id", "cause": "id", "text": "text", "owner": "id", "due": "date", "nonconformances?": "ids"},
    ),
    "action_done": EventType(
        "an owner did what the action asks", {"action": "id", "text": "text", "document?": "text"}
    ),
    "action_verified": EventType(
        "another person than its owner looked whether an action holds; one that does not is open again",
        {"action": "id", "effective": "bool", "found": "text", "document?": "text"},
    ),
    "red_line": EventType(
        "a drawing or definition revision was changed by hand or by order: which steps and characteristics, recorded "
        "before of these pieces and racks, are done and measured anew",
        {"red_line": "id", "revision": "id", "text": "text", "document": "id", "decided_by": "id", "pieces?": "ids",
         "serials?": "ids", "steps?": "ids", "characteristics?": "ids", "file?": "sha256"},
    ),
    "red_line_lifted": EventType(
        "what a red line still asked for need not be done anew, by a named person with a reason",
        {"red_line": "id", "reason": "text", "document?": "text"},
    ),
    "hold": EventType(
        "nothing more may be done with these until it is lifted",
        {"hold": "id", "reason": "text", "pieces?": "ids", "serials?": "ids", "stock_ids?": "ids",
         "heats?": "ids"},
    ),
    "lift": EventType("a hold was lifted, with a reason", {"hold": "id", "reason": "text"}),
    "refusal": EventType(
        "a gate said no to an act; `pieces`: what was done to them is done, though it does not "
        "count, and `logs` say what",
        {"act": "id", "code": "id", "found": "text", "do": "text", "about?": "text", "pieces?": "ids",
         "logs?": "ids"},
    ),
    # the racks
    "serial": EventType(
        "a rack of an order got its serial number and revision",
        {"serial": "id", "order": "id", "line?": "id", "revision": "id", "position?": "count"},
    ),
    "release": EventType(
        "a rack was released; each piece's governing margin as computed then, and every number as a file",
        {"serial": "id", "revision": "id", "margins": [_MARGIN], "pieces?": "ids", "statement?": "text",
         "values?": "map", "numbers?": "sha256"},
    ),
    "dossier": EventType(
        "a dossier left the building: its bytes, its seal and the head it carries",
        {"serial": "id", "pdf_sha256": "sha256", "pdf_length": "count", "seal_sha256": "sha256",
         "size": "count", "root": "sha256"},
    ),
    "evidence_owed": EventType(
        "a lead writes down what evidence the racks of an order or revision owe before release: on which document, of "
        "each revision, lot or serial, `of` which stock or pieces; `not_owed`: why what is on the list is not owed",
        {"evidence": "id", "kind": "text", "text": "text", "document": "id", "each": "id", "order?": "id",
         "revision?": "id", "of?": "ids", "process?": "text", "reading?": "text", "stated?": "text",
         "not_owed?": "text"},
    ),
    "evidence": EventType(
        "evidence that is owed is there, or did not pass: its document and paper, when, by whom, what it covers: "
        "a revision (by type test), lots, or serials",
        {"evidence": "id", "document": "id", "date": "date", "tested_by": "text", "passed": "bool", "found?": "text",
         "file": "sha256", "revision?": "id", "lots?": "ids", "serials?": "ids"},
    ),
    "first_article": EventType(
        "a serial is the first article of its revision: full, or partial with what it adds to and why",
        {"serial": "id", "kind": "id", "field_list": "id", "reason": "text", "baseline?": "id"},
    ),
    "installed": EventType(
        "a customer says in which aircraft a rack is", {"serial": "id", "aircraft": "id", "document": "id",
                                                        "day?": "date"},
    ),
    "recall": EventType(
        "letters about what is in doubt were written: one for each customer, its bytes by hash",
        {"recall": "id", "kind": "id", "about": "id", "reason": "text", "serials": "ids", "since?": "date",
         "letters": [{"to": "id", "serials": "ids", "file": "sha256"}]},
    ),
    "ship": EventType("racks were shipped", {"serials": "ids", "to": "text", "document?": "text"}),
    "scrap_rack": EventType(
        "a rack was scrapped whole, and its pieces with it: how it was made unusable, and who saw it; its number is "
        "never given again",
        {"serial": "id", "reason": "text", "unusable": "id", "witness": "id", "awaits?": "bool"},
    ),
    "replace": EventType(
        "a piece of a serial was replaced: as which work, which joints were taken apart for it, where the old one is",
        {"serial": "id", "old": "id", "new": "id", "reason": "text", "document?": "text", "work?": "id",
         "joints?": "ids", "characteristics?": ANEW, "fate?": FATE, "holder?": "id", "date?": "date"},
    ),
    **SERVICE,
    # the record itself
    "clock": EventType(
        "a named person states that the clock is right, though events before it carry later times",
        {"reason": "text"},
    ),
    "head": EventType("a signed head of this record left the building", {"head": "map", "paper?": "text"}),
    "key": EventType(
        "the shop's key hands over to a new one, signed by both: from this event on the new one signs",
        {"handover": "map", "reason": "text"},
    ),
    "key_revoked": EventType(
        "an earlier key is revoked: its heads beyond a size of the record are believed no more",
        {"revocation": "map", "reason": "text"},
    ),
    "correction": EventType(
        "an earlier event (`corrects`) is to be read with these body fields instead, or as void; `changes`: what later "
        "events no longer follow from it",
        {"reason": "text", "fields?": "map", "void?": "bool", "changes": "ids"},
        v=2,
    ),
}  # fmt: skip

#: (type, v) -> the function from a body of version v to one of version v + 1
UPGRADES: dict[tuple[str, int], Callable[[Mapping[str, Any]], Mapping[str, Any]]] = {
    ("scrap", 1): lambda body: {**body, "unusable": "", "witness": ""},  # not stated then
    ("correction", 1): lambda body: body,  # whether `changes` was asked is seen by its being there
    # before the shop stated a decision rule, the limits themselves decided
    ("measure", 1): lambda body: {**body, "guard": {"r": "0"}},
}


def newest(type: str) -> int:
    """The newest version of the type's body layout (1 for a type not in the table; `check` refuses it)."""
    return EVENTS[type].v if type in EVENTS else 1


def new_event(
    type: str,
    body: Mapping[str, Any],
    *,
    act_id: str,
    at: str,
    by: str,
    station: str = "",
    refs: Refs | None = None,
    known: Known | None = None,
    corrects: int | None = None,
    v: int = 0,
) -> Event:
    """An event not yet recorded (seq 0). `v` 0 means the newest layout of its type.

    Nothing is checked here: `checking.check` gives the faults, and `Record.append` asks it.
    """
    return Event(
        0, type, v or newest(type), act_id, at, by, station, refs or Refs(), known or Known(), corrects, body
    )


def current(event: Event) -> Event:
    """The event with its body brought to the newest layout; the recorded one stays as it is."""
    while (event.type, event.v) in UPGRADES:
        event = replace(event, v=event.v + 1, body=UPGRADES[event.type, event.v](event.body))
    return event

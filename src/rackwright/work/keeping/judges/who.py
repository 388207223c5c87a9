"""Who may do what: the roles that each type of event is done in, and the signature behind it."""

from __future__ import annotations

from rackwright.record import Event, State
from rackwright.record.fold_people import BY_SESSION
from rackwright.work import gates as g
from rackwright.work.gates import no
from rackwright.work.keeping.judges.past import Maybe
from rackwright.work.metal import counting, labelling
from rackwright.work.people import founding as p
from rackwright.work.people.scopes import BEFORE, in_scope
from rackwright.work.people.signing import TAP, first_of_all
from rackwright.work.quality import red_lining
from rackwright.work.service.working import ROLE_OF

__all__ = ["by_whom", "scoped", "signed"]

#: type -> the roles of which its verb asks one; a type that is not here is anybody's of the shop, or has rules below
ROLES: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(
        ("code", "signatures", "gauge", "supplier", "away", "clock", "order", "order_line", "quote", "agree", "clause",
         "invoice", "contract_review",
         "question", "answer", "freeze", "approval_reference", "at_risk", "serial", "ship",
         "installed", "scrap_rack", "replace", "disposition", "substitute", "corrective_action", "lift", "recall",
         "red_line_lifted", "correction", "storage_decided", "reading_decided", "evidence_owed", "swap"), (p.LEAD,)),
    "key": (p.LEAD,), "key_revoked": (p.LEAD,), "red_line": red_lining.DRAWERS,
    **dict.fromkeys(("row_confirmed", "report", "report_checked", "report_released", "without_report"), (p.ENGINEER,)),
    **dict.fromkeys(("receive", "certificate", "origin", "storage", "quarantine",
                      "inside", "send_out", "receive_back", "come_back"), (p.RECEIVING,)),
    **dict.fromkeys(("profile_cut", "piece", "mill", "bend", "test_bend"), (p.MACHINING,)),
    **dict.fromkeys(("drill", "coat", "bake", "operation", "assemble"), (p.ASSEMBLY,)),
    **dict.fromkeys(("gauge_bad", "measure", "gauge_check", "passport", "weigh", "release", "first_article", "evidence",
                     "nonconformance", "action_verified", "hold_point", "back_to_service", "witness"),
                    (p.INSPECTOR,)),
    **dict.fromkeys(("accept", "examine"), (p.RECEIVING, p.INSPECTOR)), "opened": (p.RECEIVING, p.ASSEMBLY),
    "label": (p.SAW,), "cut": (p.SAW,), "hold": (p.LEAD, p.INSPECTOR), "count": counting.COUNTERS,
    "stock_label": labelling.LABELLERS,
}  # fmt: skip
FREE = ("found", "refusal")  # of nobody: the first act, and what somebody was refused


def signed(event: Event, state: State) -> Maybe:
    if event.known.signed == BY_SESSION and event.type not in (TAP, "refusal"):
        found = f"{event.type} of {event.by} was to be signed by itself, and was a tap"
        return no("RW545", event.by, found, "see who did it")
    if not state.signatures or event.known.signed or event.type == "refusal" or _begins(event, state):
        return None
    found = f"{event.type} of {event.by} was to be signed, and is not"
    return no("RW545", event.by, found, "see who did it")


def _begins(event: Event, state: State) -> bool:
    """What founds a shop: its lead, and the lead's first secret."""
    lead = state.persons.get(event.by)
    return not state.persons if lead is None else first_of_all(state, lead, event.type)


def by_whom(event: Event, state: State, today: str) -> Maybe:
    if event.type in FREE or (event.type == "person" and not state.persons):
        return None
    roles = ROLES.get(event.type) or _roles_of_body(event, state)
    if not roles:
        return g.of_the_shop(state, event.by)
    return counting.one_of(state, event.by, roles, today)


def scoped(event: Event, state: State, begins: bool) -> Maybe:
    """The scopes of who acted cover it. What follows of an act, as the scrap of a disposition, is covered with what
    `begins` it; only what an older program asked of each is asked of each."""
    if not begins and event.type not in BEFORE:
        return None
    act = event.body["step"] if event.type == "operation" else event.type
    return in_scope(state, event.by, act, of_route=event.type == "operation")


def _roles_of_body(event: Event, state: State) -> tuple[str, ...]:
    """Where the role hangs on what is taken: bars, plates, blanks or hardware."""
    body, stock = event.body, state.stock.get(event.body.get("stock_id", ""))
    if event.type == "person":
        return (p.LEAD,)
    if event.type in ("issue", "return"):
        if "quantity" in body:
            return (p.MACHINING,) if body.get("pieces") else (p.ASSEMBLY,)
        return (p.MACHINING,) if stock is not None and stock.outline else (p.SAW,)
    if event.type == "service_work":
        return (ROLE_OF.get(body["kind"], p.ASSEMBLY),)
    if event.type == "scrap":
        return (p.LEAD,) if "piece" in body else counting.SCRAPPERS
    return ()

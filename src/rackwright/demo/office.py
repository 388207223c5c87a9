"""The office of the invented shop: a quote offered and agreed, the order's clauses and its review, what the order took,
and what is done so that a hole does not come out again.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.demo.job import (
    ASSEMBLER,
    CUSTOMER,
    INSPECTOR,
    LEAD,
    MACHINIST,
    ORDER,
    SAWYER,
    SUPPLIER,
    Act,
    Job,
    rack_serials,
)
from rackwright.work.office.contracts import clause, meet_clause, review
from rackwright.work.office.quoting import agree, offer
from rackwright.work.office.spent import invoice, log_hours
from rackwright.work.quality.correcting import action_done, correct, verify_action
from rackwright.work.serials.shipping import installed
from rackwright.work.stations.first_articles import first_article

__all__ = ["CAUSE", "QUOTE", "acting", "contract", "flying", "quoting", "reviewing", "settling"]

QUOTE, CAUSE = "Q-2231", "drill bushing worn"
CLAUSES = (
    ("C1", "mill certificates of all metal with the racks", "receiving", "release", "dossier, certificates"),
    (
        "C2",
        "conversion coating only by a supplier on the customer's list",
        "lead",
        "sign_out",
        "INVENTED-MAIL-61",
    ),
    ("C3", "first article with the first rack, forms with the delivery", "inspection", "", ""),
    ("C4", "notice of any nonconformance that is used as it is", "lead", "ship", "INVENTED-MAIL-84"),
    ("C5", "acceptance of each repair and use as it is", "customer", "disposition", ""),
)
TOOK = (("saw", SAWYER, "2.750"), ("mill", MACHINIST, "15.100"), ("drill", ASSEMBLER, "9.250"),
        ("assemble", ASSEMBLER, "24.250"), ("inspect_metal", INSPECTOR, "7.400"))  # fmt: skip


def quoting(job: Job) -> Iterator[Act]:
    """The first revision of the quote, and a second one with its last day."""
    price = job.plan.price
    no = "RW513" if price.questions else "RW547" if price.asked else ""
    for letter, until in (("A", "2026-02-27"), ("B", "2026-03-31")):
        yield Act(f"quote {letter}", LEAD, "2026-03-03",
                  lambda s, id, until=until: offer(s, QUOTE, CUSTOMER, job.plan, until, id), no)  # type: ignore[misc]  # fmt: skip


def contract(job: Job) -> Iterator[Act]:
    """The customer ordered at revision B; the clauses of their order, and who meets each."""
    day, never = "2026-03-04", bool(job.plan.price.questions or job.plan.price.asked)
    yield Act("agree to an older quote", LEAD, day, lambda s, id: agree(s, QUOTE, "A", ORDER, id),
              "RW503" if never else "RW517")  # fmt: skip
    yield Act("agree", LEAD, day, lambda s, id: agree(s, QUOTE, "B", ORDER, id), "RW503" if never else "")
    for name, text, met_by, before, _ in CLAUSES:
        yield Act(f"clause {name}", LEAD, day,
                  lambda s, id, n=name, t=text, m=met_by, b=before: clause(s, ORDER, n, t, m, "CT-2231 rev B", b,
                                                                           act_id=id))  # type: ignore[misc]  # fmt: skip


def reviewing(job: Job) -> Iterator[Act]:
    """The review of the contract, and the evidence that is there before the first cut."""
    day = "2026-03-10"
    yield Act("contract review", LEAD, day,
              lambda s, id: review(s, ORDER, "CR-2231", "oven and scales suffice; a week to spare", id))  # fmt: skip
    yield from _met(day, "C2")


def acting(job: Job) -> Iterator[Act]:
    """A worn bushing let the hole out: a corrective action, done by the one who owns it and looked at by another."""
    yield Act("corrective action", LEAD, "2026-03-17",
              lambda s, id: correct(s, "CA-3", CAUSE, "gauge the jig's bushings before each order", ASSEMBLER,
                                    "2026-03-24", ["NCR-14"], id))  # fmt: skip
    yield Act("corrective action done", ASSEMBLER, "2026-03-20",
              lambda s, id: action_done(s, "CA-3", "plug gauge at the jig, bushing 7 replaced", act_id=id))  # fmt: skip
    yield Act("look at one's own action", ASSEMBLER, "2026-03-20",
              lambda s, id: verify_action(s, "CA-3", True, "good", act_id=id), "RW516")  # fmt: skip
    yield Act("corrective action verified", INSPECTOR, "2026-03-26",
              lambda s, id: verify_action(s, "CA-3", True, "72 holes since, none out", act_id=id))  # fmt: skip
    yield from _met("2026-03-26", "C1")


def settling(job: Job) -> Iterator[Act]:
    """The first article, the customer's notice, what the order took, and where a rack flies."""
    first = rack_serials(job)[0]
    yield Act("first article", INSPECTOR, "2026-03-27",
              lambda s, id: first_article(s, first, "full", "C", f"first of {job.revision}", act_id=id))  # fmt: skip
    yield from _met("2026-03-27", "C3", "C4")
    for operation, person, hours in TOOK:
        yield Act(f"hours {operation}", person, "2026-03-30",
                  lambda s, id, o=operation, h=hours: log_hours(s, ORDER, o, h, act_id=id))  # type: ignore[misc]  # fmt: skip
    yield Act("invoice", LEAD, "2026-03-30",
              lambda s, id: invoice(s, ORDER, "outside", "581.00 USD", "INVENTED-IN-40", SUPPLIER, id))  # fmt: skip


def flying(job: Job) -> Iterator[Act]:
    """The customer says in which aircraft the first rack is."""
    first = rack_serials(job)[0]
    yield Act("installed", LEAD, "2026-03-30",
              lambda s, id: installed(s, first, "0007", "INVENTED-MAIL-92", "2026-03-29", id))  # fmt: skip


def _met(day: str, *names: str) -> Iterator[Act]:
    for name, _, _, _, document in CLAUSES:
        if name in names:
            paper = document or "first-article set of the first serial"
            yield Act(f"clause {name} met", LEAD, day,
                      lambda s, id, n=name, p=paper: meet_clause(s, ORDER, n, p, act_id=id))  # type: ignore[misc]  # fmt: skip

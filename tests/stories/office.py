"""Sentences of the office: quotes, clauses, reviews, hours, corrective actions, first articles, recalls."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import small_shop as small
from rackwright.plan import Plan
from rackwright.record import Appended
from rackwright.work.office.contracts import clause, meet_clause, review
from rackwright.work.office.lines import LineChange, order_line
from rackwright.work.office.ordering import serials
from rackwright.work.office.quoting import agree, offer
from rackwright.work.office.spent import invoice, log_hours
from rackwright.work.quality.correcting import action_done, correct, verify_action
from rackwright.work.serials.evidence import give, owe
from rackwright.work.serials.recalling import affected, record_recall
from rackwright.work.serials.shipping import installed
from rackwright.work.station import Station
from rackwright.work.stations.first_articles import first_article
from stories.shop import Day, Words, sentence


@sentence(r"offers (?P<quote>\S+) to (?P<customer>.+?)(?:, until (?P<until>\S+))?")
def _(day: Day, at: Station, w: Words) -> Appended:
    return offer(at, w["quote"], w["customer"], priced(), w["until"] or "")


@sentence(r"agrees to (?P<quote>\S+) revision (?P<letter>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return agree(at, w["quote"], w["letter"], small.ORDER)


@sentence(
    r"adds line (?P<line>\S+): (?P<number>\d+) x (?P<part>[^,]+), due (?P<due>[^,]+), by (?P<document>.+)"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    said = "" if w["document"] == "nothing" else w["document"]
    return order_line(at, small.ORDER, w["line"], LineChange(said, "", w["part"], int(w["number"]), w["due"]))


@sentence(
    r"changes line (?P<line>\S+) to (?P<number>\d+)(?: x (?P<part>[^,\s]+))?(?: without (?P<without>\S+))?, "
    r"by (?P<document>[^:]+)(?:: (?P<reason>.+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    without = w["without"].split(",") if w["without"] else []
    change = LineChange(w["document"], w["reason"] or "", w["part"] or "", int(w["number"]), without=without)
    return order_line(at, small.ORDER, w["line"], change)


@sentence(r"withdraws line (?P<line>\S+), by (?P<document>[^:]+): (?P<reason>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return order_line(at, small.ORDER, w["line"], LineChange(w["document"], w["reason"], withdrawn=True))


@sentence(r"numbers (?P<serial>\S+) of line (?P<line>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return serials(at, small.ORDER, small.revision(), [w["serial"]], line=w["line"])


@sentence(r"records clause (?P<name>\S+)(?: before (?P<before>\S+))?: (?P<text>.+?)(?P<gone>, withdrawn)?")
def _(day: Day, at: Station, w: Words) -> Appended:
    return clause(
        at, small.ORDER, w["name"], w["text"], "inspection", "CT-1", w["before"] or "", bool(w["gone"])
    )


@sentence(r"has evidence of clause (?P<name>\S+): (?P<document>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return meet_clause(at, small.ORDER, w["name"], w["document"])


@sentence(r"reviews the contract")
def _(day: Day, at: Station, w: Words) -> Appended:
    return review(at, small.ORDER, "CR-1")


@sentence(r"logs (?P<hours>\S+) h of (?P<operation>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return log_hours(at, small.ORDER, w["operation"], w["hours"])


@sentence(r"books (?P<amount>\S+ \S+) of (?P<kind>\S+) by (?P<document>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return invoice(at, small.ORDER, w["kind"], w["amount"], w["document"])


@sentence(r"takes up (?P<action>\S+) against '(?P<cause>[^']+)' by (?P<owner>.+) until (?P<due>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return correct(at, w["action"], w["cause"], "what is to be done", w["owner"], w["due"])


@sentence(r"says (?P<action>\S+) is done")
def _(day: Day, at: Station, w: Words) -> Appended:
    return action_done(at, w["action"], "done")


@sentence(r"finds that (?P<action>\S+) (?P<word>holds|fails)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return verify_action(at, w["action"], w["word"] == "holds", "as seen")


@sentence(
    r"makes (?P<serial>\S+) the (?P<kind>\S+) first article by list (?P<list>\S+)(?: on (?P<baseline>\S+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    return first_article(at, w["serial"], w["kind"], w["list"], "as asked", w["baseline"] or "")


@sentence(r"hears that (?P<serial>\S+) is in aircraft (?P<aircraft>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return installed(at, w["serial"], w["aircraft"], "MAIL-1")


@sentence(r"recalls (?P<kind>\S+) (?P<about>[^:]+) as (?P<name>[^\s:]+):(?P<reason>.*)")
def _(day: Day, at: Station, w: Words) -> Appended:
    rows = affected(day.record.events(), day.state, w["kind"], w["about"])
    letters = {row.customer: b"letter" for row in rows if row.state == "shipped"}
    return record_recall(at, w["name"], w["kind"], w["about"], w["reason"], rows, letters)


@cache
def priced() -> Plan:
    """The plan of the small shop's order, everything bought, with every time known."""
    house = small.shop()
    known = tuple(replace(row, cycle_included=True) for row in house.operation_time)
    return Plan(((small.design(), 2),), None, replace(house, operation_time=known), 20)


@sentence(
    r"owes (?P<name>.+) for (?P<scope>the order|nothing): each (?P<each>\w+)(?: of (?P<of>[^,]+))?"
    r"(?:, process (?P<process>\w+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    order = small.ORDER if w["scope"] == "the order" else ""
    each = "" if w["each"] == "nothing" else w["each"]
    return owe(at, w["name"], "CT-1", order=order, kind=w["name"], text="as the customer asks", each=each,
               of=[w["of"]] if w["of"] else [], process=w["process"] or "")  # fmt: skip


@sentence(r"says (?P<name>.+) is not owed by the order, (?P<document>\S+): (?P<why>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return owe(at, w["name"], w["document"], order=small.ORDER, not_owed=w["why"])


@sentence(
    r"has evidence (?P<document>\S+) of (?P<name>.+?)(?: dated (?P<date>\S+))?, for "
    r"(?P<what>the revision|revision \S+|nothing|lot \S+|SN-\d)(?P<bare>, without its paper)?"
    r"(?P<failed>, which did not pass: ?(?P<found>.*))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    what, paper = w["what"], b"" if w["bare"] else b"an invented report"
    revision = {"the revision": small.revision(), "revision": what.partition(" ")[2]}
    return give(
        at, w["name"], w["document"], w["date"] or day.date, "a laboratory", paper, passed=not w["failed"],
        found=w["found"] or "", revision=revision.get(what) or revision.get(what.partition(" ")[0], ""),
        lots=[what[4:]] if what.startswith("lot ") else [], serials=[what] if what.startswith("SN-") else [],
    )  # fmt: skip

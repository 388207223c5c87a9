"""The steps of the fold that concern the office: orders with their lines, questions, quotes, clauses with their
evidence, reviews, actions, red lines, recalls.
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.record.envelope import Event
from rackwright.record.fold_points import PointSteps
from rackwright.record.fold_tables import Body
from rackwright.record.office import (
    FIRST,
    Action,
    Answer,
    Clause,
    Evidence,
    FirstArticle,
    Hours,
    Installed,
    Invoice,
    Line,
    Order,
    Owed,
    Question,
    Quote,
    Recall,
    RedLine,
    Review,
)

__all__ = ["OfficeSteps"]


class OfficeSteps(PointSteps):
    """Mixed into the fold."""

    def on_order(self, event: Event, body: Body) -> None:
        """It begins with one line; others come by `order_line`."""
        first = Line(
            FIRST, body["variation"], body["quantity"], body.get("due", ""), event.seq,
            tuple(body.get("aircraft_serials", ())), body.get("document", ""), body.get("price", ""),
        )  # fmt: skip
        self.orders[body["order"]] = Order(
            body["order"], body["customer"], event.seq, {FIRST: first}, body.get("weight", 1),
            body.get("document", ""),
        )  # fmt: skip

    def on_order_line(self, event: Event, body: Body) -> None:
        order = self._known(self.orders, body["order"], event, "order")
        if not order:
            return
        line = Line(
            body["line"], body["variation"], body["quantity"], body.get("due", ""), event.seq,
            tuple(body.get("aircraft_serials", ())), body["document"], body.get("price", ""),
            body.get("withdrawn", False), body.get("reason", ""),
        )  # fmt: skip
        self.orders[order.order] = replace(order, lines={**order.lines, line.line: line})
        for name in self.serials.ids("order", order.order):
            rack = self.serials[name]
            dropped = line.withdrawn or name in body.get("without", ())
            if dropped and rack.line == line.line and rack.state == "planned":
                self.serials[name] = replace(rack, state="cancelled")

    def on_question(self, event: Event, body: Body) -> None:
        said = {
            name: body[name] for name in ("addressee", "line", "field", "assumed", "scoped") if name in body
        }
        self.questions[body["question"]] = Question(
            body["question"], body["text"], body["owner"], body.get("due", ""), tuple(body["blocks"]),
            body.get("order", ""), body.get("variation", ""), event.seq, **said,
        )  # fmt: skip

    def on_answer(self, event: Event, body: Body) -> None:
        asked = self._known(self.questions, body["question"], event, "question")
        if asked:
            given = Answer(
                body["answer"], body["document"], event.by, event.at, event.seq, body.get("reason", "")
            )
            self.questions[asked.question] = replace(asked, answers=(*asked.answers, given))

    def on_quote(self, event: Event, body: Body) -> None:
        made = Quote(
            body["quote"], body.get("revision", ""), body.get("order", ""), body["customer"], body["price"],
            body.get("low", ""), body.get("high", ""), body.get("until", ""), body.get("agreed", False),
            body.get("racks", 0), body.get("hours", {}), body.get("costs", {}), event.by, event.seq,
            lines=tuple((row["variation"], row["quantity"]) for row in body.get("lines", ())),
        )  # fmt: skip
        self.quotes[made.quote] = (*self.quotes.get(made.quote, ()), made)

    def on_agree(self, event: Event, body: Body) -> None:
        rows = self._known(self.quotes, body["quote"], event, "quote") or ()
        self.quotes[body["quote"]] = tuple(
            replace(row, agreed=True, order=body["order"], agreed_seq=event.seq)
            if row.revision == body["revision"]
            else row
            for row in rows
        )

    def on_clause(self, event: Event, body: Body) -> None:
        made = Clause(
            body["order"], body["clause"], body["text"], body["met_by"], body["document"], body.get("before", ""),
            body.get("withdrawn", False), event.seq,
        )  # fmt: skip
        held = self.clauses.get(made.order, {})
        self.clauses[made.order] = {**held, made.clause: made}

    def on_clause_met(self, event: Event, body: Body) -> None:
        held = self.clauses.get(body["order"], {})
        clause = self._known(held, body["clause"], event, "clause")
        if clause:
            met = replace(clause, evidence=body["document"], met_seq=event.seq)
            self.clauses[clause.order] = {**held, clause.clause: met}

    def on_contract_review(self, event: Event, body: Body) -> None:
        self.reviews[body["order"]] = Review(
            body["order"], body["document"], tuple(body["clauses"]), body.get("quote", ""),
            body.get("quote_revision", ""), body.get("remarks", ""), event.by, event.at, event.seq,
            tuple(body.get("lines", ())),
        )  # fmt: skip

    def on_hours(self, event: Event, body: Body) -> None:
        serials = tuple(body.get("serials", ()))
        self.hours.append(
            Hours(body["order"], body["operation"], body["hours"], serials, event.by, event.seq)
        )

    def on_invoice(self, event: Event, body: Body) -> None:
        self.invoices.append(
            Invoice(body["order"], body["kind"], body["amount"], body["document"], body.get("supplier", ""), event.seq)
        )  # fmt: skip

    def on_corrective_action(self, event: Event, body: Body) -> None:
        self.actions[body["action"]] = Action(
            body["action"], body["cause"], body["text"], body["owner"], body["due"],
            tuple(body.get("nonconformances", ())), event.seq,
        )  # fmt: skip

    def on_action_done(self, event: Event, body: Body) -> None:
        action = self._known(self.actions, body["action"], event, "action")
        if action:
            self.actions[action.action] = replace(action, state="done", done_by=event.by, done_seq=event.seq)

    def on_action_verified(self, event: Event, body: Body) -> None:
        action = self._known(self.actions, body["action"], event, "action")
        if action:
            self.actions[action.action] = replace(
                action, state="effective" if body["effective"] else "open again", verified_by=event.by,
                verified_seq=event.seq, found=body["found"],
            )  # fmt: skip

    def on_red_line(self, event: Event, body: Body) -> None:
        pieces, serials = tuple(body.get("pieces", ())), tuple(body.get("serials", ()))
        steps = tuple((piece, step) for piece in pieces for step in body.get("steps", ()))
        readings = tuple(
            (one, name) for one in (*pieces, *serials) for name in body.get("characteristics", ())
        )
        self.red_lines[body["red_line"]] = RedLine(
            body["red_line"], body["revision"], body["text"], body["document"], body["decided_by"], pieces, serials,
            steps, readings, event.by, event.seq,
        )  # fmt: skip
        for one in (*pieces, *serials):
            self._undone(one, body.get("steps", ()), body.get("characteristics", ()))

    def on_red_line_lifted(self, event: Event, body: Body) -> None:
        red = self._known(self.red_lines, body["red_line"], event, "red line")
        if red:
            self.red_lines[red.red_line] = replace(
                red, lifted_by=event.by, lifted_seq=event.seq, reason=body["reason"]
            )

    def on_evidence_owed(self, event: Event, body: Body) -> None:
        one = Owed(
            body["evidence"], body["kind"], body["text"], body["document"], body["each"], event.by, event.seq,
            tuple(body.get("of", ())), body.get("process", ""), body.get("reading", ""), body.get("stated", ""),
            body.get("not_owed", ""),
        )  # fmt: skip
        scope = body.get("order", "") or body.get("revision", "")
        self.owed[scope] = {**self.owed.get(scope, {}), one.evidence: one}

    def on_evidence(self, event: Event, body: Body) -> None:
        one = Evidence(
            body["evidence"], body["document"], body["date"], body["tested_by"], body["passed"], body.get("found", ""),
            body["file"], body.get("revision", ""), tuple(body.get("lots", ())), tuple(body.get("serials", ())),
            event.by, event.seq,
        )  # fmt: skip
        self.evidence[one.evidence] = (*self.evidence.get(one.evidence, ()), one)

    def on_first_article(self, event: Event, body: Body) -> None:
        if self._known(self.serials, body["serial"], event, "serial"):
            self.first_articles[body["serial"]] = FirstArticle(
                body["serial"], body["kind"], body["field_list"], body["reason"], body.get("baseline", ""), event.by,
                event.seq,
            )  # fmt: skip

    def on_installed(self, event: Event, body: Body) -> None:
        if self._known(self.serials, body["serial"], event, "serial"):
            self.installed[body["serial"]] = Installed(
                body["aircraft"], body["document"], body.get("day", ""), event.seq
            )

    def on_recall(self, event: Event, body: Body) -> None:
        letters = tuple((letter["to"], letter["file"]) for letter in body["letters"])
        self.recalls[body["recall"]] = Recall(
            body["recall"], body["kind"], body["about"], body["reason"], tuple(body["serials"]), letters,
            event.by, event.at, event.seq,
        )  # fmt: skip

"""The fold itself: one method an event type, each laying one event over what came before.

A new event type gets a method `on_TYPE` here; a type without one changes nothing. What does not fit what came
before is kept in `odd`, and the fold goes on.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.fold_reports import ReportSteps
from rackwright.record.state import (
    Approval,
    Gauge,
    Hold,
    Measurement,
    Nonconformance,
    Order,
    Person,
    Piece,
    Question,
    Report,
    Revision,
    RowConfirmed,
    Serial,
    State,
    Stock,
    Supplier,
)
from rackwright.seal import Head

__all__ = ["Fold"]

Body = Mapping[str, Any]


class Fold(ReportSteps):
    """One method an event type; types without one change nothing here."""

    def __init__(self) -> None:
        self.shop, self.demo = "", False
        self.persons: dict[str, Person] = {}
        self.gauges: dict[str, Gauge] = {}
        self.suppliers: dict[str, Supplier] = {}
        self.orders: dict[str, Order] = {}
        self.questions: dict[str, Question] = {}
        self.revisions: dict[str, Revision] = {}
        self.reports: dict[str, tuple[Report, ...]] = {}
        self.confirmed: dict[str, RowConfirmed] = {}
        self.stock: dict[str, Stock] = {}
        self.pieces: dict[str, Piece] = {}
        self.serials: dict[str, Serial] = {}
        self.holds: dict[str, Hold] = {}
        self.nonconformances: dict[str, Nonconformance] = {}
        self.measurements: list[Measurement] = []
        self.heads: list[tuple[Head, str]] = []
        self.odd: list[tuple[int, str]] = []

    def state(self) -> State:
        lists = {name: tuple(getattr(self, name)) for name in ("measurements", "heads", "odd")}
        return State(**{**vars(self), **lists})

    def lay(self, event: Event) -> None:
        """Lay one event over what came before."""
        step = getattr(self, f"on_{event.type}", None)
        if step is not None:
            step(event, event.body)

    # the shop and its means

    def on_found(self, event: Event, body: Body) -> None:
        self.shop, self.demo = body["shop"], body["demo"]

    def on_person(self, event: Event, body: Body) -> None:
        name = body["person"]
        self.persons[name] = Person(
            name, tuple(body["roles"]), body.get("active", True), body.get("until", ""), event.seq
        )

    def on_gauge(self, event: Event, body: Body) -> None:
        name = body["gauge"]
        self.gauges[name] = Gauge(
            name,
            body["kind"],
            body["due"],
            body.get("state", "in_use"),
            body.get("uncertainty", ""),
            "",
            event.seq,
        )

    def on_gauge_bad(self, event: Event, body: Body) -> None:
        gauge = self._known(self.gauges, body["gauge"], event, "gauge")
        if gauge:
            self.gauges[gauge.gauge] = replace(gauge, state="bad", bad_since=body.get("since", event.at[:10]))

    def on_supplier(self, event: Event, body: Body) -> None:
        name = body["supplier"]
        self.suppliers[name] = Supplier(name, tuple(body["scope"]), body.get("until", ""), event.seq)

    # the order and what is known about it

    def on_order(self, event: Event, body: Body) -> None:
        self.orders[body["order"]] = Order(
            body["order"], body["customer"], body["variation"], body["quantity"], body.get("due", ""),
            tuple(body.get("serials", ())), event.seq,
        )  # fmt: skip

    def on_question(self, event: Event, body: Body) -> None:
        self.questions[body["question"]] = Question(
            body["question"], body["text"], body["owner"], body.get("due", ""), tuple(body["blocks"]),
            body.get("order", ""), body.get("variation", ""), event.seq,
        )  # fmt: skip

    def on_answer(self, event: Event, body: Body) -> None:
        asked = self._known(self.questions, body["question"], event, "question")
        if asked:
            self.questions[asked.question] = replace(
                asked, answer=body["answer"], document=body["document"], answered_seq=event.seq
            )

    def on_freeze(self, event: Event, body: Body) -> None:
        self.revisions[body["revision"]] = Revision(
            body["revision"], body.get("order", ""), body.get("variation", ""), body.get("drawing", ""),
            {text["name"]: text["file"] for text in body["texts"]}, body.get("design_hash", ""),
            body.get("values", {}), event.seq,
        )  # fmt: skip

    def on_approval_reference(self, event: Event, body: Body) -> None:
        revision = self._known(self.revisions, body["revision"], event, "revision")
        if revision:
            approval = Approval(
                body["reference"], body.get("holder", ""), body.get("document", ""), body.get("date", ""),
                event.by, event.seq,
            )  # fmt: skip
            self.revisions[revision.revision] = replace(revision, approvals=(*revision.approvals, approval))

    def on_at_risk(self, event: Event, body: Body) -> None:
        revision = self._known(self.revisions, body["revision"], event, "revision")
        if revision:
            self.revisions[revision.revision] = replace(
                revision, at_risk_by=event.by, at_risk_reason=body["reason"]
            )

    # stock

    def on_receive(self, event: Event, body: Body) -> None:
        length = body.get("length_nm", 0)
        self.stock[body["stock_id"]] = Stock(
            body["stock_id"], body["form"], body.get("section", ""), body["stock_spec"], body.get("heat", ""),
            body.get("lot", ""), length, length, body.get("length_uncertainty_nm", 0), body.get("quantity", 0),
            "received", body.get("certificate"), body.get("place", ""), "", "", event.seq,
            measured=body.get("measured", {}),
        )  # fmt: skip

    def on_accept(self, event: Event, body: Body) -> None:
        later = {"certificate": body["certificate"]} if "certificate" in body else {}
        self._stock(event, body, state="accepted", reason="", **later)

    def on_quarantine(self, event: Event, body: Body) -> None:
        self._stock(event, body, state="quarantined", reason=body["reason"])

    def on_issue(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock is None:
            return
        if "quantity" in body:  # a lot gives some of itself
            if body["quantity"] > stock.quantity:
                self._odd(
                    event, f"{body['quantity']} taken from {stock.stock_id}, which had {stock.quantity}"
                )
            out = (
                {} if "pieces" in body else {body["job"]: stock.drawn.get(body["job"], 0) + body["quantity"]}
            )
            self.stock[stock.stock_id] = replace(
                stock, quantity=stock.quantity - body["quantity"], drawn={**stock.drawn, **out}
            )
            for serial in body.get("serials", ()):
                self._into(serial, lots=(stock.lot or stock.stock_id,))
            return
        self.stock[stock.stock_id] = replace(
            stock,
            state="issued",
            job=body["job"],
            revision=body["revision"],
            planned=tuple(body.get("pieces", ())),
        )

    def on_return(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock and "quantity" in body:
            out = stock.drawn.get(body["job"], 0) - body["quantity"]
            if out < 0:
                self._odd(
                    event, f"{-out} more of {stock.stock_id} came back from {body['job']} than were drawn"
                )
            again = "received" if stock.state == "scrapped" else stock.state  # judged anew before it is used
            self.stock[stock.stock_id] = replace(
                stock,
                quantity=stock.quantity + body["quantity"],
                drawn={**stock.drawn, body["job"]: out},
                state=again,
            )
        elif stock:
            self._stock(event, body, state="accepted", job="", revision="", planned=())

    def on_cut(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock is None:
            return
        remnant = body.get("remnant")
        parts = sum(each["length_nm"] for each in body["pieces"]) + (remnant["length_nm"] if remnant else 0)
        total = parts + body["kerf_nm"] + body["trim_nm"] + body["scrap_nm"]
        if total != stock.length_nm:
            self._odd(event, f"{stock.stock_id} was {stock.length_nm} nm long, its parts are {total} nm: "
                             f"difference {total - stock.length_nm} nm")  # fmt: skip
        for each in body["pieces"]:
            self._piece(event, stock, each["piece"], each.get("serial", ""), body["job"], each["length_nm"])
        if remnant:
            self.stock[remnant["stock_id"]] = replace(
                stock, stock_id=remnant["stock_id"], received_nm=remnant["length_nm"], length_nm=remnant["length_nm"],
                state="accepted", place=remnant.get("place", stock.place), label=remnant["label"],
                parent=stock.stock_id, seq=event.seq, job="", revision="", planned=(), counted_nm=None,
            )  # fmt: skip
        self.stock[stock.stock_id] = replace(stock, state="cut", length_nm=0)

    def on_scrap(self, event: Event, body: Body) -> None:
        if "piece" in body:
            piece = self._known(self.pieces, body["piece"], event, "piece")
            if piece:
                self.pieces[piece.piece] = replace(piece, state="scrapped", reason=body["reason"])
            return
        stock = self._known(self.stock, body.get("stock_id", ""), event, "stock")
        if stock:
            length = stock.length_nm - body.get("length_nm", stock.length_nm)
            quantity = stock.quantity - body.get("quantity", stock.quantity)
            if length < 0 or quantity < 0:
                self._odd(event, f"more of {stock.stock_id} was scrapped than there was")
            left = stock.state if length > 0 or quantity > 0 else "scrapped"
            self.stock[stock.stock_id] = replace(
                stock, state=left, length_nm=length, quantity=quantity, reason=body["reason"]
            )

    def on_count(self, event: Event, body: Body) -> None:
        self._stock(event, body, counted_nm=body.get("length_nm"))

    def on_label(self, event: Event, body: Body) -> None:
        if "stock_id" in body:
            self._stock(event, body, label=body["label"])

    # making

    def on_piece(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            self._piece(event, stock, body["piece"], body.get("serial", ""), body.get("job", ""), 0)

    def _process(self, event: Event, body: Body) -> None:
        for name in body.get("pieces", ()):
            piece = self._known(self.pieces, name, event, "piece")
            if piece:
                step = body.get("step", event.type)
                self.pieces[name] = replace(
                    piece, makers=_with(piece.makers, event.by), done=(*piece.done, step)
                )
        for serial in body.get("serials", ()):
            self._into(serial, lots=tuple(body.get("lots", ())))

    on_mill = on_bend = on_drill = on_coat = on_bake = on_operation = _process

    def on_assemble(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        for name in body["pieces"]:
            piece = self._known(self.pieces, name, event, "piece")
            if piece:
                self.pieces[name] = replace(
                    piece, state="assembled", serial=body["serial"], makers=_with(piece.makers, event.by),
                    done=(*piece.done, "assemble"),
                )  # fmt: skip
        if serial:
            self._into(serial.serial, pieces=tuple(body["pieces"]), lots=tuple(body.get("lots", ())))
            torqued = {bolt: {**joint, "by": event.by} for bolt, joint in body.get("values", {}).items()}
            held = self.serials[serial.serial]
            self.serials[serial.serial] = replace(held, joints={**held.joints, **torqued})

    def on_weigh(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            self.serials[serial.serial] = replace(serial, weighed=body["within"])

    def on_passport(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            self.serials[serial.serial] = replace(serial, points=body["points"], points_seq=event.seq)

    def on_measure(self, event: Event, body: Body) -> None:
        gauge = body["gauge"]
        self.measurements.append(Measurement(
            body.get("piece", ""), body.get("serial", ""), body["characteristic"], body["value"],
            body.get("nominal", ""), body.get("lower", ""), body.get("upper", ""), body["within"], gauge,
            event.known.calibration_due.get(gauge, ""), event.by, event.at, event.seq,
        ))  # fmt: skip

    def on_send_out(self, event: Event, body: Body) -> None:
        self._moved(event, body, "sent_out", "sent_out")

    def on_receive_back(self, event: Event, body: Body) -> None:
        self._moved(event, body, "made", "received")
        for name in body.get("pieces", ()):
            if name in self.pieces:
                piece = self.pieces[name]
                self.pieces[name] = replace(piece, done=(*piece.done, body["process"]))

    # what went wrong

    def on_nonconformance(self, event: Event, body: Body) -> None:
        name = body["nonconformance"]
        self.nonconformances[name] = Nonconformance(
            name, body["text"], *_three(body), event.seq, body.get("characteristic", "")
        )

    def on_disposition(self, event: Event, body: Body) -> None:
        about = self._known(self.nonconformances, body["nonconformance"], event, "nonconformance")
        if about:
            self.nonconformances[about.nonconformance] = replace(
                about, decision=body["decision"], reason=body["reason"], document=body.get("document", ""),
                decided_by=event.by, decided_seq=event.seq,
            )  # fmt: skip

    def on_hold(self, event: Event, body: Body) -> None:
        heats = tuple(body.get("heats", ()))
        self.holds[body["hold"]] = Hold(
            body["hold"], body["reason"], event.by, *_three(body), heats, event.seq
        )

    def on_lift(self, event: Event, body: Body) -> None:
        hold = self._known(self.holds, body["hold"], event, "hold")
        if hold:
            self.holds[hold.hold] = replace(hold, lifted_seq=event.seq)

    # the racks

    def on_serial(self, event: Event, body: Body) -> None:
        name = body["serial"]
        self.serials[name] = Serial(name, body["order"], body["revision"], "planned", (), (), event.seq)
        self._into(name, pieces=tuple(each.piece for each in self.pieces.values() if each.serial == name))

    def on_release(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            self.serials[serial.serial] = replace(
                serial, state="released", revision=body["revision"], released_seq=event.seq,
                margins=tuple(body["margins"]),
            )  # fmt: skip
            self._into(serial.serial, pieces=tuple(body.get("pieces", ())))

    def on_ship(self, event: Event, body: Body) -> None:
        for name in body["serials"]:
            serial = self._known(self.serials, name, event, "serial")
            if serial:
                self.serials[name] = replace(serial, state="shipped")

    def on_replace(self, event: Event, body: Body) -> None:
        old = self._known(self.pieces, body["old"], event, "piece")
        new = self._known(self.pieces, body["new"], event, "piece")
        serial = self._known(self.serials, body["serial"], event, "serial")
        if old and new and serial:
            self.pieces[old.piece] = replace(old, state="replaced", reason=body["reason"])
            self.pieces[new.piece] = replace(new, state="assembled", serial=serial.serial)
            self._into(serial.serial, pieces=(new.piece,), out=old.piece)

    def on_dossier(self, event: Event, body: Body) -> None:
        self.heads.append((Head(body["size"], body["root"]), f"dossier {body['serial']}"))

    def on_head(self, event: Event, body: Body) -> None:
        head = body["head"]
        if isinstance(head.get("size"), int) and isinstance(head.get("root"), str):
            self.heads.append((Head(head["size"], head["root"]), body.get("paper", "a signed head")))

    # what several of them do

    def _known(self, table: Mapping[str, Any], name: str, event: Event, noun: str) -> Any:
        if name not in table:
            self._odd(event, f"{noun} {name!r} is not known")
        return table.get(name)

    def _odd(self, event: Event, words: str) -> None:
        self.odd.append((event.seq, f"{event.type}: {words}"))

    def _stock(self, event: Event, body: Body, **changes: Any) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            self.stock[stock.stock_id] = replace(stock, **changes)

    def _piece(self, event: Event, stock: Stock, name: str, serial: str, job: str, length: int) -> None:
        if name in self.pieces and self.pieces[name].state not in ("scrapped", "replaced"):
            self._odd(event, f"piece {name!r} was made before, in event {self.pieces[name].seq}")
        self.pieces[name] = Piece(
            name, stock.stock_id, stock.heat, stock.lot, serial, job, stock.revision, length, "made",
            (event.by,), event.seq,
        )  # fmt: skip
        if serial in self.serials:
            self._into(serial, pieces=(name,))

    def _moved(self, event: Event, body: Body, piece_state: str, stock_state: str) -> None:
        for name in body.get("pieces", ()):
            piece = self._known(self.pieces, name, event, "piece")
            if piece:
                self.pieces[name] = replace(piece, state=piece_state)
        for name in body.get("stock_ids", ()):
            stock = self._known(self.stock, name, event, "stock")
            if stock:
                self.stock[name] = replace(stock, state=stock_state)

    def _into(
        self, name: str, pieces: tuple[str, ...] = (), lots: tuple[str, ...] = (), out: str = ""
    ) -> None:
        serial = self.serials.get(name)
        if serial:
            kept = tuple(piece for piece in serial.pieces if piece != out)
            self.serials[name] = replace(serial, pieces=_with(kept, *pieces), lots=_with(serial.lots, *lots))


def _with(names: tuple[str, ...], *more: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*names, *more)))


def _three(body: Body) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    pieces, serials, stock_ids = (tuple(body.get(name, ())) for name in ("pieces", "serials", "stock_ids"))
    return pieces, serials, stock_ids

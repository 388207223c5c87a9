"""The fold itself: one method an event type, each laying one event over what came before.

Steps on stock stand in `fold_stock.py`, on reports in `fold_reports.py`, on people in `fold_people.py`, on hold points
in `fold_points.py`, of the office in `fold_office.py`, of a rack after its release in `fold_service.py`; the tables, in
`fold_tables.py`. A new event type gets a method `on_TYPE`; a type without one changes nothing. What does not fit what
came before is kept in `odd`; the fold goes on.
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.record.envelope import Event
from rackwright.record.fold_office import OfficeSteps
from rackwright.record.fold_people import PeopleSteps
from rackwright.record.fold_reports import ReportSteps
from rackwright.record.fold_service import ServiceSteps
from rackwright.record.fold_stock import StockSteps
from rackwright.record.fold_tables import Body, with_names
from rackwright.record.office import FIRST
from rackwright.record.state import (
    Absence,
    Approval,
    Gauge,
    Hold,
    Measurement,
    Nonconformance,
    Revision,
    Serial,
    Supplier,
    TestBend,
)
from rackwright.seal import Head, Malformed, read_handover

__all__ = ["Fold"]


class Fold(OfficeSteps, PeopleSteps, ReportSteps, ServiceSteps, StockSteps):
    """One method an event type; types without one change nothing here."""

    def lay(self, event: Event) -> None:
        """Lay one event over what came before."""
        if event.type != "refusal":
            self.latest = event.at if event.type == "clock" else max(self.latest, event.at)
        self._right_again(event)
        step = getattr(self, f"on_{event.type}", None)
        if step is not None:
            step(event, event.body)

    # the shop and its means

    def on_found(self, event: Event, body: Body) -> None:
        self.shop, self.demo, self.key_id = body["shop"], body["demo"], body.get("key_id", "")
        self.signatures = body.get("signatures", False)

    def on_key(self, event: Event, body: Body) -> None:
        try:
            handover = read_handover(body["handover"])
        except Malformed as error:
            self._odd(event, f"its handover cannot be read: {error.found}")
            return
        if handover.old != self.key_id:
            self._odd(event, f"key {handover.old} hands over, which the shop did not sign with")
            return
        self.handovers.append(handover)
        self.key_id = handover.new

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
            event.at[:10],
        )

    def on_gauge_bad(self, event: Event, body: Body) -> None:
        gauge = self._known(self.gauges, body["gauge"], event, "gauge")
        if gauge:
            self.gauges[gauge.gauge] = replace(
                gauge, state="bad", bad_since=body.get("since", gauge.calibrated)
            )

    def on_supplier(self, event: Event, body: Body) -> None:
        name = body["supplier"]
        self.suppliers[name] = Supplier(name, tuple(body["scope"]), body.get("until", ""), event.seq)

    def on_away(self, event: Event, body: Body) -> None:
        self.absences.append(
            Absence(body["what"], body["first"], body["last"], body["reason"], event.by, event.seq)
        )

    # what is known about an order

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

    def on_without_report(self, event: Event, body: Body) -> None:
        revision = self._known(self.revisions, body["revision"], event, "revision")
        if revision:
            self.revisions[revision.revision] = replace(
                revision, without_report_by=event.by, without_report_reason=body["reason"],
                without_report_document=body.get("document", ""), without_report_seq=event.seq,
            )  # fmt: skip

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
                    piece, makers=with_names(piece.makers, event.by), done=(*piece.done, step)
                )
                self._anew(name, step=step)
                self._done_anew(name, step)
        for serial in body.get("serials", ()):
            self._into(serial, lots=tuple(body.get("lots", ())))

    on_mill = on_bend = on_drill = on_coat = on_operation = _process

    def on_bake(self, event: Event, body: Body) -> None:
        self._process(event, body)
        self._heated(event, body, counts=True)

    def on_refusal(self, event: Event, body: Body) -> None:
        """A bake that did not meet its rule heated the metal all the same."""
        super().on_refusal(event, body)
        if body["act"] == "bake" and body["code"] == "RW519":
            self._heated(event, body, counts=False)

    def on_assemble(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        for name in body["pieces"]:
            piece = self._known(self.pieces, name, event, "piece")
            if piece:
                self.pieces[name] = replace(
                    piece, state="assembled", serial=body["serial"], makers=with_names(piece.makers, event.by),
                    done=(*piece.done, "assemble"),
                )  # fmt: skip
        if serial:
            self._into(serial.serial, pieces=tuple(body["pieces"]), lots=tuple(body.get("lots", ())))
            torqued = {bolt: {**joint, "by": event.by} for bolt, joint in body.get("values", {}).items()}
            held = self.serials[serial.serial]
            self.serials[serial.serial] = replace(held, joints={**held.joints, **torqued})
            self._done_anew(serial.serial, "assemble")
            self._tightened(serial.serial, torqued)

    def on_test_bend(self, event: Event, body: Body) -> None:
        self.test_bends[body["bend"]] = TestBend(
            body["bend"], body["heat"], body["file"], body["K"], body["cracked"], tuple(body["cut"]), event.by,
            event.at, event.seq,
        )  # fmt: skip

    def on_weigh(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            self.serials[serial.serial] = replace(
                serial, weighed=body["within"],
                weighing={"readings": body.get("readings", {}), "gauge": body.get("gauge", ""), "seq": event.seq},
            )  # fmt: skip

    def on_passport(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            self.serials[serial.serial] = replace(serial, points=body["points"], points_seq=event.seq)

    def on_measure(self, event: Event, body: Body) -> None:
        gauge, guard = body["gauge"], body["guard"]
        self.measurements.append(Measurement(
            body.get("piece", ""), body.get("serial", ""), body["characteristic"], body["value"],
            body.get("nominal", ""), body.get("lower", ""), body.get("upper", ""), body["within"], gauge,
            event.known.calibration_due.get(gauge, ""), event.by, event.at, event.seq, guard["r"],
            guard.get("lower", ""), guard.get("upper", ""), guard.get("undecided", False),
        ))  # fmt: skip
        self._anew(body.get("piece") or body.get("serial", ""), reading=body["characteristic"])

    def on_gauge_check(self, event: Event, body: Body) -> None:
        gauge, passed = body["gauge"], body["passed"]
        self.measurements.append(Measurement(
            body.get("piece", ""), body.get("serial", ""), body["characteristic"], "yes" if passed else "no",
            body["asked"], "", "", passed, gauge, event.known.calibration_due.get(gauge, ""), event.by, event.at,
            event.seq,
        ))  # fmt: skip
        self._anew(body.get("piece") or body.get("serial", ""), reading=body["characteristic"])

    def on_send_out(self, event: Event, body: Body) -> None:
        self._moved(event, body, "sent_out", "sent_out")
        for name in body.get("pieces", ()):
            if name in self.pieces:
                self.pieces[name] = replace(
                    self.pieces[name], at_supplier=body["supplier"], for_process=body["process"],
                    sent_at=event.at[:10],
                )  # fmt: skip

    def on_receive_back(self, event: Event, body: Body) -> None:
        self._moved(event, body, "made", "received")
        number = body.get("certificate", {}).get("number", "")
        for name in body.get("pieces", ()):
            if name in self.pieces and "assemble" in self.pieces[name].done:  # of a rack that came back
                self.pieces[name] = replace(self.pieces[name], state="assembled")
        for name in body.get("pieces", ()):
            if name in self.pieces:
                piece = self.pieces[name]
                self.pieces[name] = replace(piece, done=(*piece.done, body["process"]), at_supplier="", for_process="",
                    sent_at="", outside_lots=with_names(piece.outside_lots, *filter(None, [body.get("lot")])),
                    outside_papers=(*piece.outside_papers, (body["process"], number, event.seq)),
                )  # fmt: skip
                self._anew(name, step=body["process"])
                self._done_anew(name, body["process"])

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
                decided_by=event.by, decided_seq=event.seq, cause=body.get("cause", ""),
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
        self.serials[name] = Serial(name, body["order"], body["revision"], "planned", (), (), event.seq,
                                    line=body.get("line", FIRST))  # fmt: skip
        self._into(name, pieces=self.pieces.ids("serial", name))

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
                self.serials[name] = replace(serial, state="shipped", shipped_to=body["to"])

    def on_scrap_rack(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            self.serials[serial.serial] = replace(serial, state="scrapped")
            self._awaits(event, serial.serial, body)

    def on_dossier(self, event: Event, body: Body) -> None:
        self.heads.append((Head(body["size"], body["root"]), f"dossier {body['serial']}"))

    def on_head(self, event: Event, body: Body) -> None:
        head = body["head"]
        if isinstance(head.get("size"), int) and isinstance(head.get("root"), str):
            self.heads.append((Head(head["size"], head["root"]), body.get("paper", "a signed head")))

    # what several of them do

    def _moved(self, event: Event, body: Body, piece_state: str, stock_state: str) -> None:
        for name in body.get("pieces", ()):
            piece = self._known(self.pieces, name, event, "piece")
            if piece:
                self.pieces[name] = replace(piece, state=piece_state)
        for name in body.get("stock_ids", ()):
            stock = self._known(self.stock, name, event, "stock")
            if stock:
                self.stock[name] = replace(stock, state=stock_state)


def _three(body: Body) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    pieces, serials, stock_ids = (tuple(body.get(name, ())) for name in ("pieces", "serials", "stock_ids"))
    return pieces, serials, stock_ids

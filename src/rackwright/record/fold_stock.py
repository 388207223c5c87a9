"""The steps of the fold that concern stock: what came in, where it is, what it became.

A remnant inherits heat and lot of the stock that it comes from.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.fold_tables import Body, Tables, day_done, with_names
from rackwright.record.metal import Substitution
from rackwright.record.outline import area_of, corners_of
from rackwright.record.state import Inside, SawPlan, Stock

__all__ = ["LAST_DAY", "StockSteps"]

LAST_DAY = "last day of use"  # as receiving records it of what ages
ORIGIN = (
    "distributor",
    "slip",
    "slip_file",
    "purchase_order",
    "order_file",
)  # the papers between mill and shop


class StockSteps(Tables):
    """Mixed into the fold."""

    def on_receive(self, event: Event, body: Body) -> None:
        length, outline = body.get("length_nm", 0), body.get("outline", ())
        self.stock[body["stock_id"]] = Stock(
            body["stock_id"], body["form"], body.get("section", ""), body["stock_spec"], body.get("heat", ""),
            body.get("lot", ""), length, length, body.get("length_uncertainty_nm", 0), body.get("quantity", 0),
            "received", body.get("certificate"), body.get("place", ""), "", "", event.seq,
            measured=body.get("measured", {}), entered_by=event.by, outline=corners_of(outline) if outline else (),
            area_nm2=area_of(outline) if outline else 0, came=body.get("came", ""),
        )  # fmt: skip

    def on_accept(self, event: Event, body: Body) -> None:
        later = {"certificate": body["certificate"]} if "certificate" in body else {}
        self._stock(event, body, state="accepted", reason="", **later)

    def on_certificate(self, event: Event, body: Body) -> None:
        self._stock(event, body, certificate=body["certificate"], entered_by=event.by)

    def on_examine(self, event: Event, body: Body) -> None:
        self._stock(event, body, examined={**body})

    def on_reading_decided(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            said = {name: body[name] for name in ("value", "use", "document")} | {"by": event.by}
            self._stock(event, body, decided={**stock.decided, body["reading"]: said})

    def on_origin(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            said = {name: value for name, value in body.items() if name in ORIGIN}
            by = with_names(stock.origin_by, event.by)
            self._stock(event, body, origin={**stock.origin, **said}, origin_by=by)

    def on_storage(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock is None or (body["within"] and stock.stored and not stock.stored["within"]):
            return  # a good week undoes no bad one
        self._stock(event, body, stored={**body})
        if not body["within"] and stock.state in ("received", "accepted", "quarantined"):
            was = f"stored at {body['lowest']} to {body['highest']}, its range is {body['least']} to {body['most']}"
            self._stock(event, body, state="quarantined", reason=was)

    def on_storage_decided(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            decided = {
                "use": body["use"],
                "decided_by": event.by,
                "why": body["reason"],
                "decided": body["document"],
            }
            self._stock(event, body, stored={**stock.stored, **decided})

    def on_opened(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            said = str(stock.measured.get(LAST_DAY, "")) or body["until"]
            self._stock(event, body, measured={**stock.measured, LAST_DAY: min(said, body["until"])})

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

    def on_substitute(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            self.stock[stock.stock_id] = replace(stock, let=(*stock.let, Substitution(
                tuple(body["pieces"]), body["reason"], body["document"], body["signer"], body["date"], event.by,
                event.seq)))  # fmt: skip

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
            self._stock(event, body, state="accepted", job="", revision="", planned=(), off=())

    def on_saw_plan(self, event: Event, body: Body) -> None:
        order = body["order"]
        made = SawPlan(body["plan"], order, body["file"], body["sheet"], body["inputs"], event.by, event.seq,
                       body.get("line", ""))  # fmt: skip
        self.saw_plans[order] = (*self.saw_plans.get(order, ()), made)

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
                parent=stock.stock_id, seq=event.seq, job="", revision="", planned=(), let=(), off=(),
                counted_nm=None, came=day_done(event) if stock.came else "",
            )  # fmt: skip
        self.stock[stock.stock_id] = replace(stock, state="cut", length_nm=0, off=())

    def on_profile_cut(self, event: Event, body: Body) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock is None:
            return
        rests = [(each, area_of(each["outline"])) for each in body["remnants"]]
        parts = sum(int(each["area_nm2"]) for each in body["pieces"]) + sum(area for _, area in rests)
        total = parts + int(body["kerf_nm2"]) + int(body["skeleton_nm2"])
        if total != stock.area_nm2:
            self._odd(event, f"{stock.stock_id} had {stock.area_nm2} nm², its parts are {total} nm²: "
                             f"difference {total - stock.area_nm2} nm²")  # fmt: skip
        for each in body["pieces"]:
            self._piece(
                event, stock, each["piece"], each.get("serial", ""), body["job"], 0, int(each["area_nm2"])
            )
        for each, area in rests:
            self.stock[each["stock_id"]] = replace(
                stock, stock_id=each["stock_id"], outline=corners_of(each["outline"]), area_nm2=area,
                state="accepted", place=each.get("place", stock.place), label=each["label"], parent=stock.stock_id,
                seq=event.seq, job="", revision="", planned=(), let=(), came=day_done(event) if stock.came else "",
            )  # fmt: skip
        self.stock[stock.stock_id] = replace(stock, state="cut", area_nm2=0)

    def on_witness(self, event: Event, body: Body) -> None:
        for key, one in [*self.unseen.items()]:
            if one.about in body["about"]:
                del self.unseen[key]

    def on_scrap(self, event: Event, body: Body) -> None:
        self._awaits(event, body.get("piece") or body.get("stock_id", ""), body)
        if "piece" in body:
            piece = self._known(self.pieces, body["piece"], event, "piece")
            if piece:
                self.pieces[piece.piece] = replace(piece, state="scrapped", reason=body["reason"])
            return
        stock = self._known(self.stock, body.get("stock_id", ""), event, "stock")
        if stock:
            if stock.outline:  # a plate goes whole
                self._stock(event, body, state="scrapped", area_nm2=0, reason=body["reason"])
                return
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

    def on_inside(self, event: Event, body: Body) -> None:
        widths = tuple(each["width_nm"] for each in body["widths"])
        found = Inside(widths, body["corner_nm"], body["gauge"], body["uncertainty_nm"], event.by, event.seq)
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            self.stock[stock.stock_id] = replace(stock, insides=(*stock.insides, found))

    def on_label(self, event: Event, body: Body) -> None:
        if "piece" in body and body.get("stock_id") in self.stock:
            off = self.stock[body["stock_id"]].off
            self._stock(event, body, off=with_names(off, body["piece"]))
        elif "stock_id" in body:
            self._stock(event, body, label=body["label"])

    def on_stock_label(self, event: Event, body: Body) -> None:
        self._stock(event, body, label=body["label"])

    # what several of them do

    def _stock(self, event: Event, body: Body, **changes: Any) -> None:
        stock = self._known(self.stock, body["stock_id"], event, "stock")
        if stock:
            self.stock[stock.stock_id] = replace(stock, **changes)

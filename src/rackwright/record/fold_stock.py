"""The steps of the fold that concern stock: what came in, where it is, what it became; and what other steps share.

A piece and a remnant inherit heat and lot of the stock that they come from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.state import Piece, Serial, Stock

__all__ = ["Body", "StockSteps", "with_names"]

Body = Mapping[str, Any]


class StockSteps:
    """Mixed into the fold, which holds all tables; what does not fit goes into `odd`."""

    stock: dict[str, Stock]
    pieces: dict[str, Piece]
    serials: dict[str, Serial]
    odd: list[tuple[int, str]]

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

    # what several steps do

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

    def _into(
        self, name: str, pieces: tuple[str, ...] = (), lots: tuple[str, ...] = (), out: str = ""
    ) -> None:
        serial = self.serials.get(name)
        if serial:
            kept = tuple(piece for piece in serial.pieces if piece != out)
            self.serials[name] = replace(
                serial, pieces=with_names(kept, *pieces), lots=with_names(serial.lots, *lots)
            )


def with_names(names: tuple[str, ...], *more: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*names, *more)))

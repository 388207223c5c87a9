"""The acts of `rackwright log`: each turns the keys of one type into the arguments of its verb in `work`.

People and means, the order, stock, and what went wrong; pieces and racks have theirs in `making.py`. Verbs are
imported when they are called, so that a record can be listed where no engineering library is installed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from rackwright.faces.acts.desk import MAX_PAPER, Desk, acceptance_of, paper_of, part, serials_of
from rackwright.faces.acts.values import Values
from rackwright.faces.cli.show import one_line

if TYPE_CHECKING:
    from rackwright.record import Appended
    from rackwright.shop import StockBar, StockItem


# --- the shop and its means ----------------------------------------------------------------------


def do_person(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.founding import add_person

    return add_person(
        desk.station, v["person"], v["roles"], desk.act_id,
        credential=v.get("credential", ""), until=v.get("until", ""),
        scopes=v.get("scopes", ()), active=v.get("active", True), number=v.get("number", ""),
        again=v.get("again", False), since=v.get("since", ""),
    )  # fmt: skip


def do_secret(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.signers import set_secret

    return set_secret(desk.station, v["kind"], desk.new_secret, desk.act_id)


def do_code(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.signers import give_code

    done, code = give_code(desk.station, v["person"], desk.act_id)
    said = "the act was recorded before, and its code is kept nowhere" if done.repeated else code
    click.echo(f"one-time code of {one_line(v['person'])}: {said}", err=True)
    return done


def do_signatures(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.signers import require_signatures

    return require_signatures(desk.station, v["required"], v["reason"], desk.act_id)


def do_gauge(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.founding import add_gauge

    return add_gauge(desk.station, v["gauge"], v["kind"], v["due"], v["uncertainty"], desk.act_id)


def do_gauge_bad(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.noting import gauge_is_bad

    return gauge_is_bad(desk.station, v["gauge"], v["reason"], v.get("since", ""), desk.act_id)


def do_away(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.noting import away

    return away(desk.station, v["what"], v["first"], v["last"], v["reason"], desk.act_id)


def do_supplier(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.noting import add_supplier

    return add_supplier(desk.station, v["supplier"], v["scope"], v.get("until", ""), v.get("document", ""),
                        desk.act_id)  # fmt: skip


def do_clock(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.noting import clock_is_right

    return clock_is_right(desk.station, v["reason"], desk.act_id)


def do_key(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.handing_over import hand_over_key

    return hand_over_key(desk.station, desk.folder, v["reason"], desk.act_id)


def do_key_revoked(desk: Desk, v: Values) -> Appended:
    from rackwright.work.people.handing_over import revoke_key

    return revoke_key(desk.station, desk.folder, v["key"], v["since"], v["reason"], desk.act_id)


# --- the order -----------------------------------------------------------------------------------


def do_order(desk: Desk, v: Values) -> Appended:
    from rackwright.design import Design
    from rackwright.work.load import load_rack
    from rackwright.work.office.ordering import order

    design = Design(load_rack(v["file"], desk.folder))
    return order(desk.station, v["order"], v["customer"], design, v["quantity"], v["due"], v["document"],
                 desk.act_id, v.get("weight", 1), v.get("aircraft_serials", ()))  # fmt: skip


def do_order_line(desk: Desk, v: Values) -> Appended:
    """The variation is that of the definition's file; what is not given stays as the line has it."""
    from rackwright.work.load import load_rack
    from rackwright.work.office.lines import LineChange, order_line

    part = load_rack(v["file"], desk.folder).definition.part if "file" in v else ""
    change = LineChange(
        v["document"], v.get("reason", ""), part, v.get("quantity"), v.get("due", ""), v.get("price", ""),
        v.get("aircraft_serials", ()), v.get("withdrawn", False), v.get("without", ()),
    )  # fmt: skip
    return order_line(desk.station, v["order"], v["line"], change, desk.act_id)


def do_question(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.ordering import ask

    return ask(desk.station, v["question"], v["text"], v["owner"], v["due"], v["blocks"], v.get("order", ""),
               desk.act_id, v.get("addressee", ""), v.get("variation", ""), v.get("line", ""),
               v.get("field", ""), v.get("assumed", ""))  # fmt: skip


def do_answer(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.ordering import answer

    paper = paper_of(desk, v, "file")
    return answer(
        desk.station, v["question"], v["answer"], v["document"], desk.act_id, paper, v.get("reason", "")
    )


def do_approval_reference(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.ordering import Approval, record_approval

    approval = Approval(v["reference"], v["holder"], v["document"], v["date"])
    return record_approval(desk.station, v["revision"], approval, desk.act_id)


def do_at_risk(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.noting import go_on_at_risk

    return go_on_at_risk(desk.station, v["revision"], v["reason"], desk.act_id)


def do_without_report(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.noting import go_without_report

    return go_without_report(desk.station, v["revision"], v["reason"], v.get("document", ""), desk.act_id)


def do_serial(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.ordering import serials

    return serials(desk.station, v["order"], v["revision"], v["serials"], desk.act_id, v.get("line", ""))


# --- stock ---------------------------------------------------------------------------------------


def do_receive(desk: Desk, v: Values) -> Iterator[Appended]:
    """Everything of the stock file that is not in the record yet, or exactly what was named."""
    from rackwright.record import state_of
    from rackwright.work.load import load_shop
    from rackwright.work.metal.receiving import receive_bar, receive_item

    bars, items = _stock_file(desk, v.get("stock_id", ()))
    uncertainty = load_shop(desk.folder).saw.bar_length_uncertainty
    there = {} if "stock_id" in v else state_of(desk.station.record).stock
    for bar in bars:
        if bar.id not in there:
            yield receive_bar(desk.station, bar, uncertainty, part(desk, bar.id), _paper_of(desk, bar))
    for counted in items:
        if counted.id not in there:
            yield receive_item(desk.station, counted, part(desk, counted.id), _paper_of(desk, counted))


def do_certificate(desk: Desk, v: Values) -> Iterator[Appended]:
    """As the stock file has it now."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.metal.receiving import enter_certificate

    bars, items = _stock_file(desk, v["stock_id"])
    received: list[StockBar | StockItem] = [*bars, *items]
    faults = [Fault("RW510", Where(_stock_path(desk), 0, one.id), f"{one.id} has no certificate there", "add it")
              for one in received if one.certificate is None]  # fmt: skip
    if faults:
        raise Stopped(faults)
    for one in received:
        if one.certificate is not None:
            paper = _paper_of(desk, one)
            yield enter_certificate(desk.station, one.id, one.certificate, part(desk, one.id), paper)


def _stock_path(desk: Desk) -> str:
    return desk.source or str(desk.folder / "stock.toml")


def _stock_file(desk: Desk, named: Sequence[str]) -> tuple[list[StockBar], list[StockItem]]:
    """Bars and counted stock of the stock file: all, or those named. Raises Stopped (RW108)."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.load import load_stock_items

    path = _stock_path(desk)
    bars, items = load_stock_items(path)
    there = {bar.id for bar in bars} | {item.id for item in items}
    unknown = [Fault("RW108", Where(path, 0, id), f"{id} is not in this file", "check the id") for id in named
               if id not in there]  # fmt: skip
    if unknown:
        raise Stopped(unknown)
    wanted = set(named) or there
    return [bar for bar in bars if bar.id in wanted], [item for item in items if item.id in wanted]


def _paper_of(desk: Desk, one: StockBar | StockItem) -> bytes:
    """The certificate's own file, which the stock file names beside it. Raises Stopped (RW002)."""
    from rackwright.faces.cli.files import read_bytes

    if one.certificate is None or not one.certificate.file:
        return b""
    return read_bytes(Path(_stock_path(desk)).parent / one.certificate.file, MAX_PAPER)


def do_accept(desk: Desk, v: Values) -> Iterator[Appended]:
    """Judged by the certificate as it was entered."""
    from rackwright.work.load import load_shop
    from rackwright.work.metal.receiving import accept

    shop = load_shop(desk.folder)
    for id in v["stock_id"]:
        yield accept(desk.station, shop, id, part(desk, id))


def do_quarantine(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.receiving import quarantine

    return quarantine(desk.station, v["stock_id"], v["reason"], desk.act_id)


def do_issue(desk: Desk, v: Values) -> Appended:
    """A bar for named pieces; a lot for named serials, by count."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.metal.sawing import issue
    from rackwright.work.stations.assembling import draw_lot

    pieces, serials = v.get("pieces", []), v.get("serials", [])
    if "quantity" in v and serials and not pieces:
        return draw_lot(
            desk.station, v["stock_id"], v["order"], v["revision"], v["quantity"], serials, desk.act_id
        )
    if not pieces or "quantity" in v:
        do = "give pieces for a bar; quantity and serials for a lot"
        raise Stopped([Fault("RW504", Where("command line", 0, "pieces"), "neither a bar nor a lot", do)])
    return issue(desk.station, v["stock_id"], v["order"], v["revision"], pieces, serials or serials_of(pieces),
                 desk.act_id, v.get("label", ""))  # fmt: skip


def do_substitute(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.drawn import substitute
    from rackwright.work.quality.nonconforming import Acceptance

    accepted = Acceptance(v["document"], v["signer"], v["date"])
    return substitute(
        desk.station, v["stock_id"], v["revision"], v["pieces"], v["reason"], accepted, desk.act_id
    )


def do_return(desk: Desk, v: Values) -> Appended:
    """A whole bar; or so many of a lot."""
    from rackwright.work.metal.sawing import return_stock
    from rackwright.work.stations.assembling import return_lot

    if "quantity" in v:
        return return_lot(desk.station, v["stock_id"], v["order"], v["quantity"], desk.act_id)
    return return_stock(desk.station, v["stock_id"], v["order"], desk.act_id)


def do_count(desk: Desk, v: Values) -> Appended:
    """The tape's uncertainty is that of the shop."""
    from rackwright.work.load import load_shop
    from rackwright.work.metal.counting import count

    tape = load_shop(desk.folder).saw.bar_length_uncertainty if "length" in v else 0
    return count(desk.station, v["stock_id"], v.get("length"), v.get("quantity"), tape, desk.act_id)


def do_witness(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.witnessing import witness

    return witness(desk.station, v["about"], v["text"], desk.act_id)


def do_scrap(desk: Desk, v: Values) -> Appended:
    """A piece; or stock, all of it or so much."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.metal.counting import Unusable, scrap_piece, scrap_stock

    if ("piece" in v) == ("stock_id" in v) or ("piece" in v and ("length" in v or "quantity" in v)):
        do = "give either piece, or stock_id with length or quantity where some of it is left"
        raise Stopped([Fault("RW504", Where("command line", 0, "piece"), "neither a piece nor stock", do)])
    gone = Unusable(v["unusable"], v["witness"])
    if "piece" in v:
        return scrap_piece(desk.station, v["piece"], v["reason"], gone, desk.act_id)
    return scrap_stock(
        desk.station, v["stock_id"], v["reason"], gone, v.get("length"), v.get("quantity"), desk.act_id
    )


def do_cut(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.sawing import CutPiece, Visit, cut

    made = tuple(
        CutPiece(id, id.partition("/")[0] if "/" in id else "", nm) for id, nm in v["pieces"].items()
    )
    visit = Visit(v["stock_id"], made, v["kerf"], v["trim"], v["rest"], v.get("remnant", ""), v.get("label", ""),
                  v["machine"], tuple(v.get("gauges", ())))  # fmt: skip
    return cut(desk.station, v["order"], visit, desk.act_id)


def do_label(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.labelling import read_piece_label

    return read_piece_label(desk.station, v["piece"], v["label"], desk.act_id)


def do_piece(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.sawing import CutPiece, make_from

    made = [CutPiece(id, id.partition("/")[0] if "/" in id else "", 0) for id in v["pieces"]]
    return make_from(desk.station, v["stock_id"], v["order"], v["revision"], made, desk.act_id)


# --- what went wrong -----------------------------------------------------------------------------


def do_nonconformance(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.nonconforming import raise_nonconformance

    return raise_nonconformance(desk.station, v["nonconformance"], v["text"], v.get("pieces", []),
                                v.get("characteristic", "as described"), v.get("values", {}), desk.act_id,
                                v.get("serials", []))  # fmt: skip


def do_disposition(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.counting import Unusable
    from rackwright.work.quality.nonconforming import dispose

    acceptance, customer = acceptance_of(v, ""), acceptance_of(v, "customer_")
    said = "unusable" in v or "witness" in v
    return dispose(
        desk.station,
        v["nonconformance"],
        v["decision"],
        v["reason"],
        acceptance,
        {},
        desk.act_id,
        v.get("cause", ""),
        Unusable(v.get("unusable", ""), v.get("witness", "")) if said else None,
        customer,
    )


def do_hold(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.holding import hold

    named = {name: v.get(name, []) for name in ("pieces", "serials", "stock_ids", "heats")}
    return hold(desk.station, v["hold"], v["reason"], **named, act_id=desk.act_id)


def do_lift(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.nonconforming import release_hold

    return release_hold(desk.station, v["hold"], v["reason"], desk.act_id)

"""Receiving: stock comes in, its certificate is compared with the specification, and it is accepted or not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from rackwright.record import Appended, Refs, State
from rackwright.record.fold_stock import LAST_DAY
from rackwright.shop import Certificate, Shop, StockBar, StockItem, checks_of
from rackwright.shop.stock import write_value
from rackwright.trouble import Refusal, Stopped
from rackwright.units import parse_number, parse_quantity
from rackwright.work.gates import first, no, not_who_entered, person_may, stock_may_be_accepted
from rackwright.work.metal.certified import one_certificate
from rackwright.work.metal.lookalike import alike
from rackwright.work.metal.origins import origin_rows
from rackwright.work.metal.readings import examined_checks
from rackwright.work.metal.storage import not_stated, storage_rows
from rackwright.work.people.founding import RECEIVING
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "accept",
    "certificate_of",
    "enter_certificate",
    "open_lot",
    "quarantine",
    "receive_bar",
    "receive_item",
]


def receive_bar(
    station: Station, bar: StockBar, uncertainty_nm: int, act_id: str = "", paper: bytes = b""
) -> Appended:
    """A bar or offcut with its measured length. Certificate or not, it is received; it is not yet usable. `paper`: the
    certificate itself, kept by its hash."""
    body: dict[str, Any] = {
        "stock_id": bar.id, "form": bar.kind, "section": bar.section, "stock_spec": bar.stock,
        "length_nm": bar.length_nm, "length_uncertainty_nm": uncertainty_nm, "place": bar.location,
    }  # fmt: skip
    return _receive(station, body, bar.heat, bar.certificate, act_id, paper)


def receive_item(station: Station, item: StockItem, act_id: str = "", paper: bytes = b"") -> Appended:
    """Stock that is counted: blanks, sheet, lots. A plate with a label of its own comes with its outline."""
    body: dict[str, Any] = {
        "stock_id": item.id, "form": item.form, "section": item.section, "stock_spec": item.stock,
        "place": item.location,
    }  # fmt: skip
    if item.by_shape:
        body["outline"] = [list(corner) for corner in item.corners]
    else:
        body["quantity"] = item.count
    if item.lot:
        body["lot"] = item.lot
    if item.expiry:
        body["measured"] = {LAST_DAY: item.expiry}
    return _receive(station, body, item.heat, item.certificate, act_id, paper)


def _receive(
    station: Station,
    body: dict[str, Any],
    heat: str,
    certificate: Certificate | None,
    act_id: str,
    paper: bytes,
) -> Appended:
    lot = body.get("lot", "")
    body["came"] = station.late.done[:10] if station.late else station.today
    if heat:
        body["heat"] = heat
    held = _paper(station, certificate, paper)
    body |= {"certificate": held} if held else {}

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, RECEIVING, station.today)
        if refused is None and body["stock_id"] in state.stock:
            refused = no(
                "RW517",
                body["stock_id"],
                f"{body['stock_id']} is in the record already",
                "give it its own id",
            )
        refused = refused or one_certificate(state, held)
        warned = body | _warning(state, heat or lot)
        return refused or [Draft("receive", warned, _refs(heat, lot, held))]

    return perform(station, "receive", decide, act_id, evidence=_refs(heat, lot, held).files)


def enter_certificate(
    station: Station, stock_id: str, certificate: Certificate, act_id: str = "", paper: bytes = b""
) -> Appended:
    """The certificate of stock that is here and not accepted yet: it came later, or its values were entered wrongly."""
    held = _paper(station, certificate, paper)

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = person_may(state, station.person, RECEIVING, station.today)
        if refused is None and stock is None:
            refused = no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
        if refused is None and stock is not None and stock.state not in ("received", "quarantined"):
            refused = no("RW517", stock_id, f"{stock_id} is {stock.state}", "quarantine it first")
        refused = refused or one_certificate(state, held, stock_id)
        if refused is not None or stock is None:
            return refused or []
        return [
            Draft(
                "certificate", {"stock_id": stock_id, "certificate": held}, _refs(stock.heat, stock.lot, held)
            )
        ]

    return perform(station, "certificate", decide, act_id, evidence=_refs("", "", held).files)


def _refs(heat: str, lot: str, certificate: Mapping[str, Any]) -> Refs:
    return Refs.of(heats=[heat], lots=[lot], files=[certificate.get("file", "")])


def _warning(state: State, heat: str) -> dict[str, str]:
    """A note where the heat or lot looks like another one that is known."""
    known = [name for stock in state.stock.values() for name in (stock.heat, stock.lot)]
    others = alike(heat, known)
    if not others:
        return {}
    return {
        "note": f"{heat} looks like {', '.join(others)}, which is known: compare the marking with the certificate"
    }


def _paper(station: Station, certificate: Certificate | None, paper: bytes) -> dict[str, Any]:
    """A certificate as events keep it, its paper by the hash; empty for none."""
    if certificate is None:
        return {}
    values = {name: write_value(name, value) for name in ("Ftu", "Fty", "elongation")
              if (value := getattr(certificate, name)) is not None}  # fmt: skip
    values |= {"heat": certificate.heat, "form": certificate.form, "temper": certificate.temper}
    kept = {"file": station.record.put_file(paper)} if paper else {}
    return {
        "number": certificate.number,
        "mill": certificate.mill,
        "spec": certificate.stock,
        "values": values,
    } | kept


def certificate_of(recorded: Mapping[str, Any] | None) -> Certificate | None:
    """A certificate as an event keeps it, read again."""
    if not recorded:
        return None
    values = recorded.get("values", {})
    strengths = {
        name: float(parse_quantity(values[name], "stress")) for name in ("Ftu", "Fty") if name in values
    }
    stretch = values.get("elongation")
    return Certificate(
        recorded["number"], recorded.get("mill", ""), values.get("heat", ""), recorded.get("spec", ""),
        values.get("form", ""), values.get("temper", ""), strengths.get("Ftu"), strengths.get("Fty"),
        float(parse_number(stretch.removesuffix("%")) / 100) if stretch else None,
    )  # fmt: skip


def accept(station: Station, shop: Shop, stock_id: str, act_id: str = "") -> Appended:
    """Another person than who entered the certificate's values compares them with the paper, and here with the
    specification row by row; all good, and the stock may be issued."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        paper = stock.certificate if stock else None
        spec, heat = (stock.stock_spec, stock.heat) if stock else ("", "")
        marked = heat or (stock.lot if stock else "")
        found = [*checks_of(shop, certificate_of(paper), marked, spec)]
        checks = [(check.name, check.required, check.found, check.ok) for check in found]
        if stock is not None:
            seen = [
                (check.name, check.required, check.found, check.ok) for check in examined_checks(shop, stock)
            ]
            checks += [*origin_rows(shop, stock), *not_stated(shop, stock), *storage_rows(stock), *seen]
        refused = first(_may_confirm(state, station), stock_may_be_accepted(state, stock_id, checks),
                        not_who_entered(state, station.person, stock_id), _paper_is_there(station, paper))  # fmt: skip
        if refused is not None:
            return refused
        rows = [dict(zip(("name", "required", "found", "ok"), check, strict=True)) for check in checks]
        by = stock.entered_by if stock else ""
        return [
            Draft("accept", {"stock_id": stock_id, "checks": rows, "entered_by": by}, Refs.of(heats=[heat]))
        ]

    return perform(station, "accept", decide, act_id)


def _may_confirm(state: State, station: Station) -> Refusal | None:
    """Somebody of receiving, or an inspector."""
    answers = [person_may(state, station.person, role, station.today) for role in (RECEIVING, "inspector")]
    return answers[0] if all(answers) else None


def _paper_is_there(station: Station, certificate: Mapping[str, Any] | None) -> Refusal | None:
    """The file of the certificate is beside the record, and is the one that was recorded."""
    if certificate is None or "file" not in certificate:
        return None
    try:
        station.record.get_file(certificate["file"])
    except Stopped as stopped:
        lost = stopped.troubles[0]
        return no(lost.code, certificate["number"], lost.found, lost.do)
    return None


def open_lot(station: Station, stock_id: str, until: str, document: str, act_id: str = "") -> Appended:
    """A lot is opened or mixed: its maker's sheet (`document`) says until which day it is then good. Never longer than
    before, however often it is opened."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        answers = [person_may(state, station.person, role, station.today) for role in (RECEIVING, "assembly")]
        refused = answers[0] if all(answers) else None
        if refused is None and stock is None:
            refused = no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
        if refused is None and stock is not None and (not stock.lot or stock.state != "accepted"):
            refused = no(
                "RW511", stock_id, f"{stock_id} is {stock.state} {stock.form}", "open an accepted lot"
            )
        if refused is None and until < station.today:
            refused = no("RW511", stock_id, f"good until {until}, today is {station.today}", "scrap it")
        if refused is not None or stock is None:
            return refused or []
        body = {"stock_id": stock_id, "until": until, "document": document}
        return [Draft("opened", body, Refs.of(lots=[stock.lot]))]

    return perform(station, "opened", decide, act_id)


def quarantine(station: Station, stock_id: str, reason: str, act_id: str = "") -> Appended:
    """Set stock aside until it is accepted."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, RECEIVING, station.today)
        if refused is None and stock_id not in state.stock:
            refused = no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
        if refused is None and state.stock[stock_id].state not in ("received", "quarantined", "accepted"):
            now = state.stock[stock_id].state
            refused = no("RW517", stock_id, f"{stock_id} is {now}", "return it first, or hold it")
        if refused is not None:
            return refused
        heat = state.stock[stock_id].heat
        return [Draft("quarantine", {"stock_id": stock_id, "reason": reason}, Refs.of(heats=[heat]))]

    return perform(station, "quarantine", decide, act_id)


def reasons(checks: Iterable[tuple[str, str, str, bool]]) -> str:
    """Why a certificate will not do, in one line."""
    return "; ".join(
        f"{name}: {found}, required {required}" for name, required, found, ok in checks if not ok
    )

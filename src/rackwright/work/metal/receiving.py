"""Receiving: stock comes in, its certificate is compared with the specification, and it is accepted or not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from rackwright.record import Appended, Refs, State
from rackwright.shop import Certificate, Shop, StockBar, StockItem, checks_of
from rackwright.shop.stock import write_value
from rackwright.trouble import Refusal
from rackwright.units import parse_number, parse_quantity
from rackwright.work.gates import LAST_DAY, first, no, person_may, stock_may_be_accepted
from rackwright.work.metal.lookalike import alike
from rackwright.work.station import Draft, Station, perform

__all__ = ["accept", "certificate_of", "quarantine", "receive_bar", "receive_item"]

RECEIVING = "receiving"


def receive_bar(station: Station, bar: StockBar, uncertainty_nm: int, act_id: str = "") -> Appended:
    """A bar or offcut with its measured length. Certificate or not, it is received; it is not yet usable."""
    body: dict[str, Any] = {
        "stock_id": bar.id, "form": bar.kind, "section": bar.section, "stock_spec": bar.stock,
        "length_nm": bar.length_nm, "length_uncertainty_nm": uncertainty_nm, "place": bar.location,
    }  # fmt: skip
    return _receive(station, body, bar.heat, bar.certificate, act_id)


def receive_item(station: Station, item: StockItem, act_id: str = "") -> Appended:
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
    return _receive(station, body, item.heat, item.certificate, act_id)


def _receive(
    station: Station, body: dict[str, Any], heat: str, certificate: Certificate | None, act_id: str
) -> Appended:
    if heat:
        body["heat"] = heat
    if certificate is not None:
        body["certificate"] = _paper(certificate)

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, RECEIVING, station.today)
        if refused is None and body["stock_id"] in state.stock:
            refused = no(
                "RW517",
                body["stock_id"],
                f"{body['stock_id']} is in the record already",
                "give it its own id",
            )
        warned = body | _warning(state, heat or body.get("lot", ""))
        return refused or [Draft("receive", warned, Refs.of(heats=[heat], lots=[body.get("lot", "")]))]

    return perform(station, "receive", decide, act_id)


def _warning(state: State, heat: str) -> dict[str, str]:
    """A note where the heat or lot looks like another one that is known."""
    known = [name for stock in state.stock.values() for name in (stock.heat, stock.lot)]
    others = alike(heat, known)
    if not others:
        return {}
    return {
        "note": f"{heat} looks like {', '.join(others)}, which is known: compare the marking with the certificate"
    }


def _paper(certificate: Certificate) -> dict[str, Any]:
    """A certificate as events keep it."""
    values = {name: write_value(name, value) for name in ("Ftu", "Fty", "elongation")
              if (value := getattr(certificate, name)) is not None}  # fmt: skip
    values |= {"heat": certificate.heat, "form": certificate.form, "temper": certificate.temper}
    return {
        "number": certificate.number,
        "mill": certificate.mill,
        "spec": certificate.stock,
        "values": values,
    }


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


def accept(
    station: Station, shop: Shop, stock_id: str, certificate: Certificate | None, act_id: str = ""
) -> Appended:
    """Compare the certificate with the specification row by row; all good, and the stock may be issued.

    A certificate that is not the one recorded at receiving (it came later) is kept with the acceptance.
    """

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        spec, heat = (stock.stock_spec, stock.heat) if stock else ("", "")
        marked = heat or (stock.lot if stock else "")
        found = checks_of(shop, certificate, marked, spec)
        checks = [(check.name, check.required, check.found, check.ok) for check in found]
        refused = first(person_may(state, station.person, RECEIVING, station.today),
                        stock_may_be_accepted(state, stock_id, checks))  # fmt: skip
        if refused is not None:
            return refused
        rows = [dict(zip(("name", "required", "found", "ok"), check, strict=True)) for check in checks]
        body: dict[str, Any] = {"stock_id": stock_id, "checks": rows}
        paper = _paper(certificate) if certificate is not None else None
        if paper is not None and stock is not None and paper != stock.certificate:
            body["certificate"] = paper
        return [Draft("accept", body, Refs.of(heats=[heat]))]

    return perform(station, "accept", decide, act_id)


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

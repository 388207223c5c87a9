"""The acts of `rackwright log` at the office: quotes, clauses, reviews, hours, invoices, corrective actions, places."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackwright.faces.acts.desk import Desk
from rackwright.faces.acts.values import Values

if TYPE_CHECKING:
    from rackwright.record import Appended

# --- the contract --------------------------------------------------------------------------------


def do_quote(desk: Desk, v: Values) -> Appended:
    """The price of the definitions as they stand in the folder, over the stock that is on the shelf."""
    from rackwright.design import Design
    from rackwright.plan import Plan
    from rackwright.work.load import load_rack, load_stock_items
    from rackwright.work.metal.planning import order_plan
    from rackwright.work.office.quoting import offer
    from rackwright.work.stations.bending import shop_as_bent

    bars, items = load_stock_items(desk.folder / "stock.toml")
    asked = {v["file"]: v["quantity"]} | {
        file: racks_of(file, text) for file, text in v.get("more", {}).items()
    }
    demand = tuple((Design(load_rack(file, desk.folder)), racks) for file, racks in asked.items())
    plan = Plan(demand, bars, shop_as_bent(desk.folder), items=items)
    plan = order_plan(plan, desk.folder)
    return offer(desk.station, v["quote"], v["customer"], plan, v.get("until", ""), desk.act_id)


def racks_of(file: str, text: str) -> int:
    """How many racks are typed. Raises Stopped."""
    from rackwright.trouble import Fault, Stopped, Where

    if text.isdecimal() and text.isascii() and 0 < int(text) <= 1000:
        return int(text)
    found = f"{file[:60]} is for {text!r:.40}, which is no number of racks"
    raise Stopped([Fault("RW504", Where("command line", 0, "more"), found, "write more='FILE=2', 1 to 1000")])


def do_agree(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.quoting import agree

    return agree(desk.station, v["quote"], v["revision"], v["order"], desk.act_id)


def do_clause(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.contracts import clause

    return clause(desk.station, v["order"], v["clause"], v["text"], v["met_by"], v["document"], v.get("before", ""),
                  v.get("withdrawn", False), desk.act_id)  # fmt: skip


def do_clause_met(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.contracts import meet_clause

    return meet_clause(
        desk.station, v["order"], v["clause"], v["document"], v.get("serials", ()), desk.act_id
    )


def do_contract_review(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.contracts import review

    return review(desk.station, v["order"], v["document"], v.get("remarks", ""), desk.act_id)


# --- what it took --------------------------------------------------------------------------------


def do_hours(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.spent import log_hours

    return log_hours(desk.station, v["order"], v["operation"], v["hours"], v.get("serials", ()), v.get("day", ""),
                     desk.act_id)  # fmt: skip


def do_invoice(desk: Desk, v: Values) -> Appended:
    from rackwright.work.office.spent import invoice

    return invoice(desk.station, v["order"], v["kind"], v["amount"], v["document"], v.get("supplier", ""),
                   desk.act_id)  # fmt: skip


# --- what is done about causes -------------------------------------------------------------------


def do_corrective_action(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.correcting import correct

    return correct(desk.station, v["action"], v["cause"], v["text"], v["owner"], v["due"],
                   v.get("nonconformances", ()), desk.act_id)  # fmt: skip


def do_action_done(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.correcting import action_done

    return action_done(desk.station, v["action"], v["text"], v.get("document", ""), desk.act_id)


def do_action_verified(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.correcting import verify_action

    return verify_action(
        desk.station, v["action"], v["effective"], v["found"], v.get("document", ""), desk.act_id
    )


def do_correction(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.amending import Amendment, amend, as_its_layout

    fields = as_its_layout(desk.station.record.events(), v["event"], v.get("fields", {}))
    return amend(desk.station, Amendment(v["event"], v["reason"], fields, v.get("void", False)), desk.act_id)


def do_red_line(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.red_lining import Change, red_line

    change = Change(v["revision"], v["text"], v["document"], v["decided_by"])
    named = {name: v.get(name, ()) for name in ("pieces", "serials", "steps", "characteristics")}
    return red_line(desk.station, v["red_line"], change, **named, act_id=desk.act_id)


def do_red_line_lifted(desk: Desk, v: Values) -> Appended:
    from rackwright.work.quality.red_lining import lift_red_line

    return lift_red_line(desk.station, v["red_line"], v["reason"], v.get("document", ""), desk.act_id)


# --- the racks -----------------------------------------------------------------------------------


def do_first_article(desk: Desk, v: Values) -> Appended:
    from rackwright.work.stations.first_articles import first_article

    return first_article(desk.station, v["serial"], v["kind"], v["field_list"], v["reason"], v.get("baseline", ""),
                         desk.act_id)  # fmt: skip


def do_installed(desk: Desk, v: Values) -> Appended:
    from rackwright.work.serials.shipping import installed

    return installed(desk.station, v["serial"], v["aircraft"], v["document"], v.get("day", ""), desk.act_id)

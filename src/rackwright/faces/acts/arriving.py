"""The acts on stock between its arrival and its acceptance, and on a lot that is opened; as those of `shop.py`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from rackwright.faces.acts.desk import Desk, paper_of, part
from rackwright.faces.acts.values import Values

if TYPE_CHECKING:
    from rackwright.record import Appended


def do_inside(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.insides import measure_inside

    return measure_inside(desk.station, v["stock_id"], v["widths"], v["corner"], v["gauge"], desk.act_id)


def do_examine(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.examining import examine

    names = ["conductivity", "hardness", "weight"]
    read: dict[str, str] = {name: v[name] for name in names if name in v}
    gauges = tuple(v.get("gauges", ()))
    return examine(desk.station, v["stock_id"], v["marking"], gauges, v.get("walls"), read, desk.act_id)


def do_reading_decided(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.examining import decide_reading

    return decide_reading(
        desk.station, v["stock_id"], v["reading"], v["use"], v["reason"], v["document"], desk.act_id
    )


def do_stock_label(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.labelling import label_stock

    return label_stock(desk.station, v["stock_id"], v["label"], desk.act_id)


def do_origin(desk: Desk, v: Values) -> Iterator[Appended]:
    from rackwright.work.metal.origins import enter_origin

    said: dict[str, str] = {name: v[name] for name in ("distributor", "slip", "purchase_order") if name in v}
    slip, order = (paper_of(desk, v, name) for name in ("slip_file", "order_file"))
    for id in v["stock_id"]:
        yield enter_origin(desk.station, id, said, slip, order, part(desk, id))


def do_storage(desk: Desk, v: Values) -> Appended:
    from rackwright.work.load import load_shop
    from rackwright.work.metal.storage import Stored, state_storage

    stored = Stored(v["lowest"], v["highest"], v["since"], v["until"], v["document"], v.get("gauge", ""))
    return state_storage(desk.station, load_shop(desk.folder), v["stock_id"], stored, desk.act_id)


def do_storage_decided(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.storage import decide_storage

    return decide_storage(desk.station, v["stock_id"], v["use"], v["reason"], v["document"], desk.act_id)


def do_opened(desk: Desk, v: Values) -> Appended:
    from rackwright.work.metal.receiving import open_lot

    return open_lot(desk.station, v["stock_id"], v["until"], v["document"], desk.act_id)

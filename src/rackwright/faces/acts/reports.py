"""The acts of `rackwright log` on strength reports; as those of `shop.py`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackwright.faces.acts.desk import Desk, shop_of
from rackwright.faces.acts.values import Values

if TYPE_CHECKING:
    from rackwright.record import Appended


def do_row_confirmed(desk: Desk, v: Values) -> Appended:
    from rackwright.work.engineering.reporting import confirm_row
    from rackwright.work.load import load_rows

    rows = load_rows(desk.folder)
    return confirm_row(desk.station, v["row"], v["document"], v.get("place", ""), desk.act_id, rows)


def do_report(desk: Desk, v: Values) -> Appended:
    """Made of the texts that were frozen, never of the folder."""
    from rackwright.work.engineering.frozen import frozen
    from rackwright.work.engineering.reporting import prepare_report

    held = frozen(desk.station.record, v["revision"])
    return prepare_report(
        desk.station,
        v["report"],
        v["revision"],
        held.design,
        shop_of(desk, held),
        desk.act_id,
        tuple(v.get("more", ())),
    )


def do_report_checked(desk: Desk, v: Values) -> Appended:
    from rackwright.work.engineering.reporting import check_report

    return check_report(desk.station, v["report"], v["letter"], v.get("remarks", ""), desk.act_id)


def do_report_released(desk: Desk, v: Values) -> Appended:
    from rackwright.work.engineering.reporting import release_report

    return release_report(desk.station, v["report"], v["letter"], desk.act_id)

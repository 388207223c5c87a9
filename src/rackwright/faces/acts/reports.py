"""The acts of `rackwright log` on strength reports and other evidence; as those of `shop.py`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rackwright.faces.acts.desk import MAX_PAPER, Desk, shop_of
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


def do_evidence_owed(desk: Desk, v: Values) -> Appended:
    from rackwright.work.serials.evidence import owe

    said = {name: v[name] for name in ("order", "revision", "kind", "text", "each", "of", "process", "not_owed")
            if name in v}  # fmt: skip
    return owe(desk.station, v["evidence"], v["document"], **said, act_id=desk.act_id)


def do_evidence(desk: Desk, v: Values) -> Appended:
    from rackwright.faces.cli.files import read_bytes
    from rackwright.work.serials.evidence import give

    said = {name: v[name] for name in ("passed", "found", "revision", "lots", "serials") if name in v}
    paper = read_bytes(desk.folder / v["file"], MAX_PAPER)
    return give(desk.station, v["evidence"], v["document"], v["date"], v["tested_by"], paper, **said,
                act_id=desk.act_id)  # fmt: skip

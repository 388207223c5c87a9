"""What comes in at the invented shop: each bar, plate and lot with its three papers, examined, accepted or set aside.

The papers are invented, and made of what the stock file says of them; so are the readings.
"""

from __future__ import annotations

from collections.abc import Iterator
from hashlib import sha256

from rackwright.demo.job import INSPECTOR, LEAD, STORES, Act, Job
from rackwright.making.sawing.cut_sheet import CutBar
from rackwright.metal_forms import section_of
from rackwright.shop import Certificate, StockBar, StockItem, checks_of
from rackwright.shop.limits import Weight, weight_of
from rackwright.shop.stock import write_value
from rackwright.units import unit_factor
from rackwright.work.metal.examining import examine
from rackwright.work.metal.labelling import label_stock
from rackwright.work.metal.origins import enter_origin
from rackwright.work.metal.receiving import accept, quarantine, receive_bar, receive_item
from rackwright.work.metal.storage import Stored, decide_storage, state_storage

__all__ = ["bought_bars", "receiving"]

DAY, DISTRIBUTOR, SEALANT = "2026-03-03", "Wether Metals and Fasteners (invented)", "sealant WS-8"
NEAR = (("end 1", 10_000), ("middle", -8_000), ("end 2", 3_000))  # nm off the nominal wall


def receiving(job: Job, bought: tuple[StockBar, ...]) -> Iterator[Act]:
    """All stock. The first bar is tried to be accepted before its papers are there."""
    uncertainty, first = job.shop.saw.bar_length_uncertainty, True
    for bar in (*job.bars, *bought):
        yield Act(f"receive {bar.id}", STORES, DAY,
                  lambda s, id, b=bar: receive_bar(s, b, uncertainty, id, _paper(b.certificate)))  # type: ignore[misc]  # fmt: skip
        if first:
            yield Act(f"accept {bar.id} without its papers", INSPECTOR, DAY,
                      lambda s, id, b=bar: accept(s, job.shop, b.id, id), "RW510")  # type: ignore[misc]  # fmt: skip
        first = False
        yield from _accepting(job, bar)
    for item in job.items:
        yield Act(f"receive {item.id}", STORES, DAY,
                  lambda s, id, i=item: receive_item(s, i, id, _paper(i.certificate)))  # type: ignore[misc]  # fmt: skip
        yield from _accepting(job, item)


def _accepting(job: Job, one: StockBar | StockItem) -> Iterator[Act]:
    marked = one.heat or (one.lot if isinstance(one, StockItem) else "")
    failed = [check for check in checks_of(job.shop, one.certificate, marked, one.stock) if not check.ok]
    yield Act(
        f"origin {one.id}",
        STORES,
        DAY,
        lambda s, id: enter_origin(s, one.id, *_sold(one.stock, marked), act_id=id),
    )
    if one.heat:
        yield Act(f"examine {one.id}", STORES, DAY, lambda s, id: examine(s, one.id, *_seen(job, one), id))
        yield Act(f"label {one.id}", STORES, DAY, lambda s, id: label_stock(s, one.id, one.id, id))
    if one.stock == SEALANT:
        yield from _too_warm(job, one.id)
    elif any(row.stock == one.stock and row.storage for row in job.shop.specification):
        kept = Stored("55 degF", "72 degF", "2026-03-01", DAY, "logger LG-19 (invented)", "TH-7")
        yield Act(f"accept {one.id}, of which nobody says how it was stored", INSPECTOR, DAY,
                  lambda s, id: accept(s, job.shop, one.id, id), "RW510")  # fmt: skip
        yield Act(
            f"storage {one.id}", STORES, DAY, lambda s, id: state_storage(s, job.shop, one.id, kept, id)
        )
    yield Act(f"accept {one.id}", INSPECTOR, DAY, lambda s, id: accept(s, job.shop, one.id, id),
              "RW510" if failed else "")  # fmt: skip
    if failed:
        why = "; ".join(map(str, failed))
        yield Act(f"quarantine {one.id}", STORES, DAY, lambda s, id: quarantine(s, one.id, why, id))


def _too_warm(job: Job, lot: str) -> Iterator[Act]:
    """The carrier's logger read more than the sheet allows: nobody accepts it until the lead decided."""
    kept = Stored("52 degF", "84 degF", "2026-03-01", DAY, "logger LG-19 (invented)", "TH-7")
    yield Act(f"storage {lot}", STORES, DAY, lambda s, id: state_storage(s, job.shop, lot, kept, id))
    yield Act(
        f"accept {lot} as it was stored", INSPECTOR, DAY, lambda s, id: accept(s, job.shop, lot, id), "RW510"
    )
    yield Act(f"storage decided {lot}", LEAD, DAY,
              lambda s, id: decide_storage(s, lot, True, "three hours in all, as the maker allows", "INVENTED-MAIL-58",
                                           id))  # fmt: skip


def _paper(certificate: Certificate | None) -> bytes:
    """An invented certificate as a text: what the stock file says that it prints."""
    if certificate is None:
        return b""
    values = [f"{name} {write_value(name, value)}" for name in ("Ftu", "Fty", "elongation")
              if (value := getattr(certificate, name)) is not None]  # fmt: skip
    lines = (f"INVENTED CERTIFICATE {certificate.number}", certificate.mill, f"heat or lot {certificate.heat}",
             f"{certificate.stock}, {certificate.form}, {certificate.temper}", *values)  # fmt: skip
    return ("\n".join(lines) + "\n").encode()


def _sold(spec: str, marked: str) -> tuple[dict[str, str], bytes]:
    """The distributor's packing slip of a heat or lot, an invented text, and the shop's purchase order."""
    number = "PS-" + sha256(f"{spec} {marked}".encode()).hexdigest()[:5].upper()
    said = {"distributor": DISTRIBUTOR, "slip": number, "purchase_order": "LB-2026-014"}
    return said, f"INVENTED PACKING SLIP {number}\n{DISTRIBUTOR}\n{spec}\nheat or lot {marked}\n".encode()


def _seen(job: Job, one: StockBar | StockItem) -> tuple[str, tuple[str, ...], dict[str, int], dict[str, str]]:
    """Marking, gauges, wall and other readings as the row of its specification asks them."""
    row = next(row for row in job.shop.specification if row.stock == one.stock)
    named = section_of(one.section)
    wall = named.wall if named else None
    walls = {place: wall + off for place, off in NEAR} if wall is not None else {}
    read = {"weight": _weight(job, one)} if "weight" in row.read else {}
    gauges = ["BW-2"] if walls else []
    gauges += ["SC-2"] if read else []
    if row.conductivity is not None:
        read, gauges = read | {"conductivity": "43.2"}, [*gauges, "EC-1"]
    if "hardness" in row.read:
        read, gauges = read | {"hardness": "82 HRB"}, [*gauges, "HT-3"]
    return f"{one.stock} {one.heat}", tuple(gauges), walls, read


def _weight(job: Job, one: StockBar | StockItem) -> str:
    """What a foot of it weighs, invented a little above what its section and density say."""
    limit = weight_of(job.shop, one.section, one.stock)
    assert isinstance(limit, Weight), limit
    return f"{(0.7 * limit.nominal + 0.3 * limit.most) / float(unit_factor('lb/ft')):.3f} lb/ft"


def bought_bars(job: Job) -> tuple[StockBar, ...]:
    """The bars that the plan buys, as they will come in."""
    return tuple(_bought(job, section.section, section.stock, bar) for section in job.plan.saw for bar in section.bars
                 if bar.kind == "purchase")  # fmt: skip


def _bought(job: Job, section: str, stock: str, bar: CutBar) -> StockBar:
    """An invented heat with values above the specification."""
    heat = "DEMO-" + sha256(section.encode()).hexdigest()[:5].upper()
    values = {minimum.name: minimum.value * 1.06 for minimum in job.shop.minima(stock)}
    certificate = Certificate(
        f"BUY-{heat}", "an invented mill", heat, stock, "as ordered", "T6", values.get("Ftu"), values.get("Fty"),
        values.get("elongation"),
    )  # fmt: skip
    return StockBar(bar.bar, section, stock, "bar", bar.measured_nm, heat, certificate, "D1")

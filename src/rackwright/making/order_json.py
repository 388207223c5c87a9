"""Assembly, hardware, route, price and traveler as plain JSON values: stable keys with the unit in the key.

Amounts are texts with their currency, torques inch-pounds, lengths whole nanometres, times hours.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

from rackwright.making.assembly import Assembly, Joint, in_lbf
from rackwright.making.band import Band
from rackwright.making.fasteners import FastenerLine
from rackwright.making.price import KINDS, Price
from rackwright.making.route import Route, Step
from rackwright.making.traveler import Traveler
from rackwright.shop import Shop

__all__ = ["assembly_json", "price_json", "route_json", "traveler_json"]

Money = Callable[[Fraction | None], str | None]


def assembly_json(
    designs: Sequence[tuple[str, Assembly]], hardware: Sequence[FastenerLine]
) -> dict[str, Any]:
    """The joints of each design and the hardware of the order."""
    return {
        "designs": {
            name: {
                "joints": [_joint(joint) for joint in made.joints],
                "torque_asked": sorted({joint.missing for joint in made.no_torque}),
                "no_room": [joint.id for joint in made.no_access],
                "spoiled_by_heat": [
                    {"name": heat.name, "with": heat.operation, "most_K": round(heat.most, 2), "source": heat.source}
                    for heat in made.heats
                ],
            }
            for name, made in designs
        },
        "hardware": [
            {
                "part": line.part, "kind": line.kind, "per_rack": list(line.per_rack), "need": line.need,
                "spares": line.spares, "wanted": line.wanted, "short": line.short,
                "lots": [{"item": take.item, "lot": take.lot, "count": take.count} for take in line.lots],
                "refused": [{"item": take.item, "lot": take.lot, "why": list(take.why_not)} for take in line.refused],
            }
            for line in hardware
        ],
    }  # fmt: skip


def _joint(joint: Joint) -> dict[str, Any]:
    torque = joint.torque
    return {
        "id": joint.id, "number": joint.number, "bolt": joint.bolt, "washer": joint.washer,
        "washers_under_head": joint.head_washers, "washers_under_nut": joint.nut_washers, "nut": joint.nut or None,
        "anchor": joint.anchor or None,
        "spacer": joint.spacer or None, "hole_nm": joint.hole, "joins": list(joint.joins),
        "at_installation": joint.at_installation, "head_on": joint.head,
        "stack_nm": joint.stack, "grip_range_nm": [joint.grip_low, joint.grip_high], "shank_reach_nm": joint.fill,
        "threads_past_nut": None if joint.threads is None else round(joint.threads, 2), "locking": joint.locking,
        "locking_most_K": None if joint.most_temperature is None else round(joint.most_temperature, 2),
        "torque": None if torque is None else {
            "low_inlbf": round(in_lbf(torque.low), 3), "high_inlbf": round(in_lbf(torque.high), 3),
            "limit_inlbf": round(in_lbf(torque.limit), 3), "wet_with": torque.wet or None, "source": torque.source,
            "add": "the running torque measured on this nut",
        },
        "torque_asked": joint.missing or None,
        "protection": [{"name": row.name, "method": row.method, "document": row.document} for row in joint.protections],
        "bond_path": joint.bond, "bare_faces": list(joint.bare), "room": joint.access.good, "notes": list(joint.notes),
        "marks": list(joint.marks),
    }  # fmt: skip


def route_json(route: Route, shop: Shop) -> dict[str, Any]:
    """The steps in order, with the days they fall on when every time is known."""
    return {
        "rule": "of what is ready the earliest start, one resource a station, one shift; not the shortest schedule",
        "steps": [_step(route, step, shop) for step in route.steps],
        "faults": [str(fault) for fault in route.faults],
        "asked": [one.to_json() for one in route.asked],
        "labour_h": None if route.hours is None else round(route.hours, 4),
        "start": None if route.start is None else route.start.isoformat(),
        "finish": {str(rack): day.isoformat() for rack, day in route.finish.items()},
        "ready": None if route.ready is None else route.ready.isoformat(),
        "due": None if route.due is None else route.due.isoformat(),
        "slack_working_days": route.slack,
    }


def _step(route: Route, step: Step, shop: Shop) -> dict[str, Any]:
    dates, placed = route.dates(step, shop), None if route.placed is None else route.placed[step.id]
    return {
        "number": step.number, "operation": step.operation.id, "title": step.operation.title,
        "rack": step.rack or None, "station": step.operation.station, "after": list(step.operation.after),
        "hold": step.operation.hold or None, "parts": dict(step.parts), "counts": dict(step.counts),
        "role": step.role or None, "setup_h": _h(step.setup), "run_h": _h(step.run), "cycle_h": _h(step.cycle),
        "labour_h": _h(step.labour), "times_from": step.known or None,
        "outside": None if step.outside is None else {
            "supplier": step.outside.supplier, "days": step.outside.days, "counted_out": step.pieces,
            "counted_in": step.pieces, "document": step.outside.document,
        },
        "asked": None if step.asked is None else step.asked.to_json(),
        "first_day": dates[0].isoformat() if dates else None, "last_day": dates[1].isoformat() if dates else None,
        "slack_h": None if placed is None else round(placed.slack, 3),
        "critical": None if placed is None else placed.critical,
    }  # fmt: skip


def _h(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds / 3600, 4)


def price_json(price: Price, band: Band | None, money: Money) -> dict[str, Any]:
    """Lines, sums, the band and what is missing. `money` writes an amount in the shop's currency."""
    return {
        "marks": list(price.marks),
        "total": money(price.total),
        "per_rack": money(price.per_rack),
        "known": money(price.known),
        "band": band and {
            "low": money(band.low), "high": money(band.high), "worst_low": money(band.worst_low),
            "worst_high": money(band.worst_high), "without_a_spread": list(band.without),
            "deviations": [
                {"kind": kind, "below": money(below), "above": money(above)} for kind, below, above in band.deviations
            ],
        },
        "sums": {kind: money(price.sum_of(kind)) for kind in KINDS},
        "lines": [
            {
                "kind": line.kind, "name": line.name, "unit": line.unit or None,
                "quantity": None if line.quantity is None else round(float(line.quantity), 4),
                "rate": money(line.rate), "cost": money(line.cost), "document": line.document or None,
            }
            for line in price.lines
        ],
        "plates": [
            {"name": one.name, "opened": one.plates, "opened_kg": float(one.opened), "back_kg": float(one.back),
             "full": money(one.full), "credit": money(one.credit), "net": money(one.net)}
            for one in price.plates
        ],
        "asked": [one.to_json() for one in price.asked],
        "questions": [{"id": question.id, "text": question.text} for question in price.questions],
    }  # fmt: skip


def traveler_json(one: Traveler) -> dict[str, Any]:
    """The traveler of one rack, blanks with their limits as texts."""
    return {
        "part": one.part, "revision": one.revision, "drawing": one.drawing, "rack": one.rack, "of": one.of,
        "marks": list(one.marks),
        "steps": [
            {
                "number": step.number, "operation": step.operation, "title": step.title, "station": step.station,
                "parts": dict(step.parts), "hours": None if step.hours is None else round(step.hours, 4),
                "supplier": step.supplier or None, "hold": step.hold or None, "cautions": list(step.cautions),
                "record": [
                    {"name": blank.name, "unit": blank.unit or None, "low": blank.low or None,
                     "high": blank.high or None, "balloon": blank.balloon or None}
                    for blank in step.blanks
                ],
            }
            for step in one.steps
        ],
    }  # fmt: skip

"""What the record holds of making one serial: steps with machine and lots, bakes with their chart, joints, the scales,
and what went wrong with its margins before and after."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from rackwright.design import Design
from rackwright.papers.table import Block, Facts, Table, Text
from rackwright.record import Event, State, corrected
from rackwright.shop import Shop
from rackwright.work.papers.bake import bake_blocks, bake_logs, ledger_blocks, logs_of
from rackwright.work.papers.balance import balance_blocks, weighed_of
from rackwright.work.papers.red_lines import red_line_blocks

__all__ = ["assembled_blocks", "limits", "step_blocks", "wrong_blocks"]

STEPS = ("mill", "bend", "drill", "coat", "bake", "operation", "send_out", "receive_back")
MOST_MARGINS = 12


def limits(lower: str, upper: str) -> str:
    """`40.4900 to 40.5100 in`: the unit once where it is the same; one-sided limits in words."""
    if not lower or not upper:
        return f"at least {lower}" if lower else f"at most {upper}" if upper else "none"
    (low, a), (_, b) = lower.rsplit(" ", 1), upper.rsplit(" ", 1)
    return f"{low if a == b else lower} to {upper}"


# --- steps and bakes -----------------------------------------------------------------------------


def step_blocks(
    own: Sequence[Event], serial: str, design: Design, shop: Shop, get: Callable[[str], bytes]
) -> Iterator[Block]:
    """Every step recorded on pieces of the serial, then the chart of each bake. Raises Stopped for a damaged file."""
    steps = [event for event in own if event.type in STEPS]
    if not steps:
        yield Text("No step after the saw is recorded.")
        return
    yield Table(
        "",
        ("event", "step", "pieces", "where", "read", "lots, gauges", "by", "on"),
        tuple(map(_step, steps)),
        align="rllllill",
        widths=(0.6, 1.1, 0.9, 1.4, 2.6, 1.7, 1, 1.2),
        note="Pieces are counted; which ones stands in the attached events.",
    )
    finish = design.rack.definition.finish
    logs = logs_of(bake_logs(steps, get))
    if finish is None or not logs:
        return
    for log in logs:
        yield from bake_blocks(log, finish, shop)
    yield from ledger_blocks(design, logs)


def _step(event: Event) -> tuple[str, ...]:
    body = event.body
    words = body.get("step") or body.get("process") or event.type
    values = ", ".join(f"{name} {value}" for name, value in body.get("values", {}).items())
    if "certificate" in body:
        values = f"certificate {body['certificate']['number']}"
    means = ", ".join((*body.get("lots", ()), *filter(None, [body.get("lot")]), *body.get("gauges", ())))
    where = body.get("machine") or body.get("supplier") or ""
    return (str(event.seq), str(words).replace("_", " "), str(len(body.get("pieces", ()))), str(where), values, means,
            event.by, _day(event))  # fmt: skip


def _day(event: Event) -> str:
    """When it was recorded; of what was entered late, from paper, also when it was done."""
    late = event.body.get("late")
    return f"{late['done'][:10]}, entered {event.at[:10]}" if late else event.at[:10]


# --- joints and scales ---------------------------------------------------------------------------


def assembled_blocks(own: Sequence[Event], state: State, serial: str, design: Design) -> Iterator[Block]:
    """Joints as tightened, and the rack on the scales."""
    rack = state.serials.get(serial)
    joints = rack.joints if rack else {}
    if joints:
        yield Table(
            f"{len(joints)} joints as tightened",
            ("joint", "lots", "wrench", "running", "torque", "asked", "by"),
            tuple(_joint(bolt, one) for bolt, one in joints.items()),
            align="iilrrrl",
            widths=(3.9, 3.3, 0.8, 1.3, 1.35, 1.75, 1.0),
            note="Torque as set, running torque included.",
        )
    else:
        yield Text("No joint is recorded as tightened.")
    weighed = weighed_of(own, serial)
    if weighed is None:
        yield Text("The rack is not weighed in this record.")
        return
    said = "agrees with" if weighed.within else "DIFFERS too much from"
    yield Facts((
        ("Weighed", f"it {said} the computed {weighed.computed}"),
        ("With", f"{weighed.gauge}, by {weighed.by}, {weighed.on} (event {weighed.seq})"),
    ), title="On the scales")  # fmt: skip
    yield from balance_blocks(design, weighed)


def _joint(bolt: str, one: Mapping[str, Any]) -> tuple[str, ...]:
    wrench, running, torque, low, high, by = (
        str(one.get(key, "")) for key in ("wrench", "running", "torque", "low", "high", "by")
    )
    return bolt, ", ".join(one.get("lots", ())), wrench, running, torque, limits(low, high), by


# --- what went wrong -----------------------------------------------------------------------------


def wrong_blocks(own: Sequence[Event], state: State, serial: str) -> Iterator[Block]:
    """Nonconformances with decision, acceptance and margins before and after; what was scrapped; holds."""
    own = corrected(own)
    pieces = {piece.piece for piece in state.pieces.values() if piece.serial == serial}
    found = [
        one for one in state.nonconformances.values() if serial in one.serials or pieces & set(one.pieces)
    ]
    holds = [one for one in state.holds.values() if serial in one.serials or pieces & set(one.pieces)]
    scrapped = [
        one for one in own if one.type == "scrap_rack" or (one.type == "scrap" and "piece" in one.body)
    ]
    red = tuple(red_line_blocks(state, serial))
    if not found and not holds and not scrapped and not red:
        yield Text("None are recorded for this serial or its pieces.")
        return
    for one in found:
        decided = _of(own, "disposition", one.nonconformance)
        raised = _of(own, "nonconformance", one.nonconformance)
        acceptance = _signed(decided)
        customer = decided.get("customer", {})
        yield Facts((
            ("What", one.text),
            ("Pieces", ", ".join(name.removeprefix(f"{serial}/") for name in one.pieces)),
            ("Decision", one.decision.replace("_", " ") or "open: not decided"),
            ("Reason", one.reason),
            ("Acceptance by the holder", acceptance or "none is recorded"),
            *([("Acceptance by the customer", _signed(customer))] if customer else []),
            ("Decided by", f"{one.decided_by} (event {one.decided_seq})" if one.decided_seq else ""),
        ), title=one.nonconformance)  # fmt: skip
        yield from _margins(decided.get("values") or raised.get("values") or {})
    yield from red
    if scrapped:
        yield Table(
            "Scrapped",
            ("piece", "reason", "made unusable", "seen by", "scrapped by"),
            tuple((one.body.get("piece", "the whole rack").removeprefix(f"{serial}/"), one.body["reason"],
                   one.body["unusable"] or "not stated",
                   f"{one.body['witness'] or 'not stated'}{', not signed yet' if str(one.seq) in state.unseen else ''}",
                   f"{one.by} (event {one.seq})") for one in scrapped),
            align="illll",
        )  # fmt: skip
    if holds:
        yield Table(
            "Holds",
            ("hold", "reason", "by", "state"),
            tuple((one.hold, one.reason, one.by, "open" if one.open else f"lifted in event {one.lifted_seq}")
                  for one in holds),
            align="illl",
        )  # fmt: skip


def _signed(held: Mapping[str, Any]) -> str:
    return "; ".join(str(held[key]) for key in ("document", "signer", "date") if held.get(key))


def _of(own: Sequence[Event], type: str, name: str) -> Mapping[str, Any]:
    """Body of the last event of this type about a nonconformance; empty when there is none."""
    found = [event for event in own if event.type == type and event.body["nonconformance"] == name]
    return found[-1].body if found else {}


def _margins(values: Mapping[str, Any]) -> Iterator[Block]:
    """Margins with the nominal and with the measured value: those that change most, and the least of all."""
    rows = []
    for name, text in values.items():
        before, arrow, after = str(text).partition(" -> ")
        if arrow:
            rows.append((_apart(before, after), name, before, after))
    if not rows:
        return
    shown = sorted(rows, key=lambda row: (-row[0], row[1]))[:MOST_MARGINS]
    least = values.get("least of all")
    note = f"{len(rows)} margins change; the {len(shown)} that change most are shown."
    yield Table(
        "Margins of safety, proven again with the measured value",
        ("margin", "as designed", "as measured"),
        (*((name, before, after) for _, name, before, after in shown),
         *((("least of all margins", "", str(least)),) if least else ())),
        align="irr",
        note=note,
    )  # fmt: skip


def _apart(before: str, after: str) -> float:
    try:
        return abs(float(after) - float(before))
    except ValueError:  # one of them is missing: shown first
        return float("inf")

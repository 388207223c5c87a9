"""A rack's passport: its interchange points as measured from the jig's datum, and what it can stand for.

record_points   what the instrument wrote out, kept by its hash and point by point
points_gate     before release: every point measured, and no rack of this revision that left differs by more
                than the definition allows between two racks
compare         one rack against another, or against the drawing
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from rackwright.design import Design
from rackwright.making.jig import JigHole, jig_plan
from rackwright.making.passport import PassportGap, passport_gap, read_points
from rackwright.record import Appended, Record, Refs, State, state_of
from rackwright.shop import Shop
from rackwright.trouble import DEFERENCE, Fault, Refusal, Stopped, Where
from rackwright.units import parse_quantity
from rackwright.work.controlled import controlled, means_named, reads
from rackwright.work.engineering.frozen import frozen_for
from rackwright.work.gates import accepted_as_is, gauge_may_measure, no, person_may, serial_known
from rackwright.work.load import load_shop
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import rack_here, rack_is_bolted_up
from rackwright.work.stations.inspecting import not_the_maker

__all__ = [
    "CHARACTERISTIC",
    "compare",
    "interchange",
    "passport_of",
    "points_gate",
    "points_of",
    "record_points",
]

CHARACTERISTIC = "interchange points"
INCH = 0.0254
Coordinates = tuple[float, float, float]


def interchange(design: Design, shop: Shop) -> tuple[JigHole, ...]:
    """The holes that any two racks must agree at, in jig axes."""
    return tuple(hole for hole in jig_plan(design.rack, design.pieces, shop.jig).holes if hole.interchange)


def record_points(
    station: Station,
    serial: str,
    design: Design,
    shop: Shop,
    file: str,
    data: bytes,
    gauge: str,
    act_id: str = "",
    gauges: Sequence[str] = (),
) -> Appended:
    """Record what was measured on an assembled rack: a CSV of points in jig axes (`making.passport.read_points`).
    `gauges`: the jig's bushings that it was measured by, where they are controlled.

    Raises Stopped: the faults of the file, a point that the rack has not (RW435), or the gate's refusal.
    """
    points, faults = read_points(data, file)
    known = {hole.bolt for hole in interchange(design, shop)}
    do = "name the points as on the jig sheet"
    faults += [Fault("RW435", Where(file, 0, name), f"{name[:60]!r} is no interchange point of this rack", do)
               for name in points if name not in known]  # fmt: skip
    if faults:
        raise Stopped(faults)
    kept = station.record.put_file(data)

    def decide(state: State) -> list[Draft] | Refusal:
        kinds = controlled(state, "passport")
        refused = person_may(state, station.person, INSPECTOR, station.today)
        refused = refused or means_named(state, "passport", kinds, gauges, station.today)
        refused = refused or gauge_may_measure(state, gauge, station.today)
        refused = refused or reads(state, gauge, "length", "coordinate measuring") or rack_here(state, serial)
        refused = refused or not_the_maker(state, station, serial, "")
        refused = refused or rack_is_bolted_up(state, serial)
        if refused is not None:
            return refused
        body = {"serial": serial, "gauge": gauge, "file": kept, "gauges": list(gauges), "controlled": list(kinds),
                "points": {name: [_text(value) for value in at] for name, at in points.items()}}  # fmt: skip
        return [Draft("passport", body, Refs.of(serials=[serial], gauges=[gauge, *gauges], files=[kept]))]

    return perform(station, "passport", decide, act_id, evidence=[kept])


def _text(metres: float) -> str:
    """Millimetres to a tenth of a micrometre, which no gauge of a shop resolves."""
    return f"{Decimal(repr(metres)) * 1000:.4f} mm"


def points_of(recorded: Mapping[str, Any]) -> dict[str, Coordinates]:
    """The measured points of a serial as its state keeps them, in m, jig axes."""
    return {name: (_metres(x), _metres(y), _metres(z)) for name, (x, y, z) in recorded.items()}


def _metres(text: str) -> float:
    return float(parse_quantity(text, "length"))


def compare(state: State, serial: str, other: str, design: Design, shop: Shop) -> PassportGap:
    """The points of a serial less those of another, or the drawing's for `other` "". Raises Stopped: RW503, RW524."""
    against = _measured(state, other) if other else _nominal(design, shop)
    return passport_gap(against, _measured(state, serial))


def _nominal(design: Design, shop: Shop) -> dict[str, Coordinates]:
    return {hole.bolt: (hole.at[0] * 1e-9, hole.at[1] * 1e-9, hole.at[2] * 1e-9)
            for hole in interchange(design, shop)}  # fmt: skip


def _measured(state: State, serial: str) -> Mapping[str, Coordinates]:
    unknown = serial_known(state, serial)
    if unknown is not None:
        raise Stopped([unknown])
    points = points_of(state.serials[serial].points)
    if not points:
        raise Stopped(
            [no("RW524", serial, f"the points of {serial} are not measured", "record its passport first")]
        )
    return points


def passport_of(record: Record, folder: Path, serial: str, other: str = "") -> dict[str, Any]:
    """The comparison as a document; `within` is None where the definition gives no limit or there is no other rack.

    Raises Stopped (RW503, RW524, and what a frozen revision cannot give).
    """
    state = state_of(record)
    held = frozen_for(record, serial, state)
    gap = compare(state, serial, other, held.design, held.shop or load_shop(folder))
    tolerance = held.design.rack.definition.tolerance
    limit = tolerance.between_racks * 1e-9 if tolerance else None
    points = {name: {"fixed_in": _inches(row), "least_squares_in": _inches(gap.fitted.get(name)),
                     "minimax_in": _inches(gap.least.get(name))} for name, row in gap.fixed.items()}  # fmt: skip
    return {
        "format": "rackwright/passport/1", "serial": serial, "against": other or None, "points": points,
        "only_one": list(gap.only_one), "mirrored": gap.mirrored, "most_fixed": _most(gap.most_fixed),
        "most_minimax": _most(gap.most_least) if gap.least else None,
        "rms_least_squares_in": round(gap.rms_fitted / INCH, 6) if gap.fitted else None,
        "limit_in": None if limit is None else round(limit / INCH, 6),
        "within": gap.within(limit) if limit is not None and other else None,
        "deference": DEFERENCE,
    }  # fmt: skip


def _most(found: tuple[str, float]) -> dict[str, Any]:
    return {"point": found[0], "in": round(found[1] / INCH, 6)}


def _inches(row: Coordinates | None) -> list[float] | None:
    return None if row is None else [round(value / INCH, 6) for value in row]


def points_gate(state: State, serial: str, design: Design, shop: Shop) -> Refusal | None:
    """Measured whole, and in agreement with every rack of this revision that was released."""
    tolerance, rack = design.rack.definition.tolerance, state.serials.get(serial)
    wanted = [hole.bolt for hole in interchange(design, shop)]
    if tolerance is None or not wanted or rack is None:
        return None
    missing = [name for name in wanted if name not in rack.points]
    if missing:
        found = f"{len(missing)} of {len(wanted)} interchange points of {serial} are not measured, as {missing[0]}"
        return no("RW524", serial, found, "measure them on the jig and record the passport")
    mine, limit = points_of(rack.points), tolerance.between_racks * 1e-9
    for other in state.serials.values():
        if (
            other.serial != serial
            and other.revision == rack.revision
            and other.state != "planned"
            and other.points
        ):
            name, most = passport_gap(points_of(other.points), mine).most_fixed
            if most > limit and not accepted_as_is(state, serial, CHARACTERISTIC, rack.points_seq):
                found = (f"{serial} differs from {other.serial} at {name} by {most / INCH:.4f} in, "
                         f"allowed {limit / INCH:.3f} in")  # fmt: skip
                return no("RW524", serial, found, "raise a nonconformance and have it dispositioned")
    return None

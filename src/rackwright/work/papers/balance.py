"""Weight and balance of one serial: what the scales read, where its centre of gravity lies, moments for the installer.

Centre by the rule of levers over the four pads, W = ΣR and x = Σ(R x)/W: a level rack on its pads tells x and y; the
height is the computed one, since it was not tilted. With equipment, the items of the definition are added to the rack
as weighed. Arms in the aircraft keep their sign: station positive aft, buttock line positive right, waterline up.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from rackwright.design import Design
from rackwright.papers.labels import Label, symbol
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.pieces.weight import equipment_cg, pad_places
from rackwright.rack.orient import SIGNS, station_of
from rackwright.record import Event, State, project
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.units import parse_quantity
from rackwright.work.engineering.as_weighed import on_scales
from rackwright.work.gates import no
from rackwright.work.papers.words import head, in_unit, must_fit, number, signed

__all__ = ["Weighed", "balance_blocks", "balance_report", "weighed_of"]

Vector = NDArray[np.float64]
POUND, INCH = 0.45359237, 0.0254


@dataclass(frozen=True)
class Weighed:
    """A weighing: readings (kg) by pad, gauge, person, day, event; whether it agreed with the computed mass."""

    readings: Mapping[str, Fraction]
    texts: Mapping[str, str]
    computed: str
    within: bool
    gauge: str
    by: str
    on: str
    seq: int

    @property
    def mass(self) -> float:
        return float(sum(self.readings.values()))

    def centre(self, pads: Mapping[str, tuple[float, float]]) -> tuple[float, float]:
        """x and y (m) of the centre of gravity. Pads at 0 and 1 with 1 kg and 3 kg: 0.75."""
        x, y = (
            sum(float(kg) * pads[pad][i] for pad, kg in self.readings.items()) / self.mass for i in (0, 1)
        )
        return x, y


def weighed_of(events: Sequence[Event], serial: str) -> Weighed | None:
    """The last weighing of a serial."""
    found = [event for event in events if event.type == "weigh" and event.body["serial"] == serial]
    if not found:
        return None
    event = found[-1]
    texts = {str(pad): str(text) for pad, text in event.body["readings"].items()}
    readings = {pad: parse_quantity(text, "mass") for pad, text in texts.items()}
    return Weighed(readings, texts, str(event.body["computed"]), bool(event.body["within"]), str(event.body["gauge"]),
                   event.by, event.at[:10], event.seq)  # fmt: skip


def balance_report(events: Sequence[Event], serial: str, design: Design, shop: Shop, date: str) -> bytes:
    """The report, PDF. Raises Stopped: RW522 when the serial is not weighed; a design's faults."""
    must_fit(design)
    weighed = weighed_of(events, serial)
    if weighed is None:
        raise Stopped([no("RW522", serial, f"{serial} is not weighed", "weigh it on its pads")])
    pads, state = pad_places(design.rack), project(events)
    x, y = weighed.centre(pads)
    centre = np.array([x, y, float(design.bare.cg[2])])
    d = design.rack.definition
    said = "agrees with" if weighed.within else "DIFFERS too much from"
    label = Label("RACK", serial, "", "", "", part=d.part)
    return set_station_sheet(
        StationSheet(
            head(design, shop, "Weight and balance", f"{serial}-WB", date, state.demo),
            Facts((
                ("Rack", f"{d.part} revision {d.revision}, serial {serial}"),
                ("Weighed", f"{weighed.on} by {weighed.by} on {_gauge(events, weighed.gauge)} (event {weighed.seq})"),
                ("Margins", _margins(state, design, serial)),
                ("Condition", "bare: pieces, hardware and coat, without equipment, straps and cart"),
                ("Aircraft", f"{d.aircraft.type}; {d.aircraft.document or 'no document'}" if d.aircraft else "–"),
            )),
            (
                Section("On the pads", tuple(_on_pads(design, weighed, pads))),
                Section("Mass and centre of gravity, rack axes", tuple(_rack(design, weighed, centre))),
                Section("In the aircraft, for the installer", tuple(_aircraft(design, weighed, centre))),
                Section("What this is not", (Text(
                    "These values feed the aircraft's own weight and balance record, which its operator keeps. "
                    "This page is no placard and changes no limit of the aircraft."),)),
            ),
            answer=f"{in_unit(weighed.mass, 'lb', 2)} bare as weighed: it {said} the computed "
            f"{in_unit(design.bare.mass, 'lb', 2)}.",
            signatures=("Weighed by", "Values taken over by the installer"),
            symbol=symbol(label),
            symbol_words=serial,
        )
    )  # fmt: skip


def _margins(state: State, design: Design, serial: str) -> str:
    one = on_scales(state, design, serial)
    return f"{one.words}; see the dossier, Proof as built" if one else "not weighed"


def balance_blocks(design: Design, weighed: Weighed) -> Iterator[Block]:
    """Pads, mass and centre, arms and moments, for a running paper."""
    x, y = weighed.centre(pad_places(design.rack))
    centre = np.array([x, y, float(design.bare.cg[2])])
    yield from _on_pads(design, weighed, pad_places(design.rack))
    yield from _rack(design, weighed, centre)
    yield from _aircraft(design, weighed, centre)


def _gauge(events: Sequence[Event], name: str) -> str:
    gauge = project(events).gauges.get(name)
    if gauge is None:
        return name
    return f"{name}, {gauge.kind}, uncertainty {gauge.uncertainty or 'not stated'}, due {gauge.due}"


def _on_pads(design: Design, weighed: Weighed, pads: Mapping[str, tuple[float, float]]) -> Iterator[Block]:
    rows = []
    for pad, kg in weighed.readings.items():
        x, y = pads[pad]
        rows.append((pad, weighed.texts[pad], in_unit(x, "in", 3), in_unit(y, "in", 3),
                     _moment(float(kg) * x), _moment(float(kg) * y)))  # fmt: skip
    x, y = weighed.centre(pads)
    rows.append(
        ("sum", in_unit(weighed.mass, "lb", 2), "", "", _moment(weighed.mass * x), _moment(weighed.mass * y))
    )
    yield Table("", ("pad", "reading", "arm x", "arm y", "moment x, lb·in", "moment y, lb·in"), tuple(rows),
                align="lrrrrr", note="Moment = reading × arm; centre = moments over readings.")  # fmt: skip


def _moment(value: float) -> str:
    return number(value / POUND / INCH, 1)


def _loaded(design: Design, mass: float, centre: Vector) -> tuple[float, Vector]:
    """Mass and centre of the rack as weighed with the equipment of the definition."""
    items = design.rack.definition.equipment
    total = mass + sum(item.mass for item in items)
    moment = mass * centre + sum((item.mass * equipment_cg(design.rack, item) for item in items), np.zeros(3))
    return total, moment / total


def _rack(design: Design, weighed: Weighed, centre: Vector) -> Iterator[Block]:
    total, loaded = _loaded(design, weighed.mass, centre)
    apart = weighed.mass - design.bare.mass
    rows = [
        _at("bare, computed", design.bare.mass, design.bare.cg),
        (*_at("bare, as weighed", weighed.mass, centre)[:4], f"{in_unit(float(centre[2]), 'in', 2)} computed"),
        ("weighed less computed", f"{signed(apart / POUND, 2)} lb ({signed(100 * apart / design.bare.mass, 2)} %)",
         *(f"{signed(float(centre[i] - design.bare.cg[i]) / INCH, 3)} in" for i in (0, 1)), "not weighed"),
        _at("with equipment, computed", design.loaded.mass, design.loaded.cg),
        _at("with equipment, on the rack as weighed", total, loaded),
    ]  # fmt: skip
    band = (
        f" Items' tolerances together: ± {in_unit(design.loaded.tolerance, 'lb', 2)}."
        if design.loaded.tolerance
        else ""
    )
    yield Table("", ("condition", "mass", "x", "y", "z"), tuple(rows), align="lrrrr",
                note="Rack axes: origin at the lower front left outside corner, x right, y rear, z up. Height is not "
                f"found on level scales.{band}")  # fmt: skip


def _at(name: str, mass: float, centre: Vector) -> tuple[str, ...]:
    return (name, in_unit(mass, "lb", 2), *(in_unit(float(v), "in", 2) for v in centre))


def _aircraft(design: Design, weighed: Weighed, centre: Vector) -> Iterator[Block]:
    aircraft = design.rack.definition.aircraft
    if aircraft is None or aircraft.origin is None:
        yield Text("Station, buttock line and waterline are not given: where the rack lies is an open question. "
                   "The installer adds the arms of the rack's origin to the arms above, with their signs.")  # fmt: skip
        return
    total, loaded = _loaded(design, weighed.mass, centre)
    yield Text(SIGNS)
    arms, moments = [], []
    for name, mass, at in (("bare, as weighed", weighed.mass, centre), ("with equipment", total, loaded)):
        place = station_of(aircraft, at)
        assert place is not None
        arms.append((name, in_unit(mass, "lb", 2), *(f"{signed(float(v) / INCH, 2)} in" for v in place)))
        moments.append((name, *(signed(mass * float(v) / POUND / INCH, 0) for v in place)))
    yield Table(
        "Arms", ("condition", "mass", "station", "buttock line", "waterline"), tuple(arms), align="lrrrr"
    )
    yield Table("Moments, lb·in", ("condition", "about station 0", "about buttock line 0", "about waterline 0"),
                tuple(moments), align="lrrr", note="Mass × arm, each with its sign.")  # fmt: skip

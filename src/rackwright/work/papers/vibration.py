"""The dossier on vibration: modes as ranges, distance from harmonics, what the floor's motion does, its spectra."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from rackwright.design import Design
from rackwright.papers.chart import Chart, Line, chart_svg
from rackwright.papers.table import Block, Items, Picture, Table, Text
from rackwright.rack.vibration import Spectrum
from rackwright.strength.margin import Margin, governing
from rackwright.strength.vibration.answer import NOT_ASSESSED, Peak, Vibration
from rackwright.strength.vibration.in_vibration import CASE, SIGMAS
from rackwright.work.papers.margins import Mark, governing_table
from rackwright.work.papers.words import digits, in_unit, mark_of, ms, number, same_way

__all__ = ["not_assessed", "shaken_blocks", "vibration_blocks", "vibration_summary"]

MODES = 12
DRAWN = 3  # items in a chart, beside the floor: those that answer most
UNITS = {"m": ("in", 4), "N": ("lbf", 1), "Pa": ("ksi", 3)}
JUDGED = {True: "yes", False: "NO", None: NOT_ASSESSED}


def vibration_blocks(design: Design, margins: bool = True) -> Iterator[Block]:
    """Everything of vibration, in the order of its questions; its margins where no other section has them."""
    vibration = design.vibration
    yield from _modes(vibration)
    yield from _harmonics(design)
    yield from _inputs(design)
    if vibration.why_no_peaks:
        yield Text(f"Response to vibration: {NOT_ASSESSED}, because {vibration.why_no_peaks}.", "caution")
        return
    yield from _peaks(vibration)
    if margins:
        yield from shaken_blocks(design)
    yield from _charts(vibration)
    yield Items(tuple(_remarks(vibration)))


def vibration_summary(design: Design) -> Iterator[Block]:
    """Distance from harmonics, and of each kind of quantity the largest peak; a report has the rest."""
    vibration = design.vibration
    yield from _harmonics(design)
    if vibration.why_no_peaks:
        yield Text(f"Response to vibration: {NOT_ASSESSED}, because {vibration.why_no_peaks}.", "caution")
        return
    largest: dict[str, Peak] = {}
    for one in vibration.peaks:
        kept = largest.get(one.quantity.kind)
        if kept is None or one.peak > kept.peak:
            largest[one.quantity.kind] = one
    yield _table("The largest peaks under the floor's vibration", list(largest.values()))
    yield from shaken_blocks(design)
    yield Items(tuple(_remarks(vibration)))


def shaken_blocks(design: Design, mark: Mark = mark_of) -> Iterator[Block]:
    """The governing margins in vibration, how they came about, and what has none and why."""
    vibration = design.vibration
    if vibration.why_no_margins:
        yield Text(f"Margins of checks in vibration: {NOT_ASSESSED}, {vibration.why_no_margins}.", "caution")
        return
    yield Text(
        f"Case “{CASE}”: the rack at rest under its weight and pretension, and the floor's vibration on it. What a "
        "check takes in is linear in the motion; its range about rest is the tones in their worst phase and "
        f"{SIGMAS:g} standard deviations of the random part, whose variance is that of the modes carried through the "
        "check (T Σ Tᵀ). The check judges at the worst corner of all ranges at once, as if every part peaked in one "
        "instant. The range is held to yield as it is, and to ultimate at the basis's factor of safety, weight and "
        "pretension with it. Prying stays proportional and is taken at its most. Modes are those with centres of "
        "gravity as stated; weight, and what inertia puts on fixings, act at the worst corner of tolerances. This is "
        "peak strength, not fatigue." + (
            " A strap with a load–stretch curve is as stiff as the curve is steep at its force at rest; no peak "
            "takes its force past a corner of the curve, else nothing would be judged here."
            if design.strength.model.curves else ""
        )
    )  # fmt: skip
    given = [one for one in governing(vibration.margins) if one.margin is not None]
    yield governing_table(
        f"Governing margins in vibration: least of each kind of check, case “{CASE}”", given, mark
    )
    gone = [one for one in vibration.margins if one.margin is None]
    if gone:
        yield Items(tuple(not_assessed(gone)))


def not_assessed(gone: Sequence[Margin]) -> Iterator[str]:
    """Why margins are missing, the like ones together."""
    why: dict[tuple[str, str], int] = Counter((one.mode, one.why_missing) for one in gone)
    for (mode, reason), count in why.items():
        yield f"{mode[:1].upper()}{mode[1:]} in vibration, {count} of them: {NOT_ASSESSED}, {reason}."


def _modes(vibration: Vibration) -> Iterator[Block]:
    yield Text(
        "A slack strap and a lifted pad have no stiffness, and joints lie between continuous and flexible: each "
        "natural frequency is a range over what acts at rest at low and high pretension, over all acting, and over "
        "what acts when the rack's own weight pushes it to a side at low pretension. More stiffness of straps and pads "
        "lowers no natural frequency, so what acts a part of the time lies within. Items turn as uniform boxes about "
        "their centre of gravity."
    )
    rows = tuple(
        (str(k), f"{number(one.low_hz, 2)}", f"{number(one.high_hz, 2)} Hz",
         *(f"{number(100 * float(share), 0)} %" for share in one.mass_share), one.low_state)
        for k, one in enumerate(vibration.modes[:MODES], 1)
    )  # fmt: skip
    yield Table(
        "Natural frequencies as ranges, and the largest share of the mass that each moves with the floor",
        ("mode", "from", "to", "x", "y", "z", "lowest when"), rows, align="rrrrrrl",
        widths=(0.5, 0.7, 1, 0.6, 0.6, 0.6, 5),
        note="Effective mass over mass, rack axes, the largest of any state. Tubes have no modes of their own between "
        "their nodes here.",
    )  # fmt: skip
    state = vibration.states[0]
    taken, mass = state.modal.effective_mass, float(state.modal.mass[0])
    rows = tuple(
        (str(k), f"{number(float(hz), 2)} Hz", *(number(float(v), 2) for v in same_way(part)),
         *(number(float(v**2), 1) for v in part))
        for k, (hz, part) in enumerate(zip(state.modal.hz[:MODES], state.modal.participation, strict=False), 1)
    )  # fmt: skip
    sums = ", ".join(
        f"{number(float(v), 1)} along {axis}" for v, axis in zip(taken.sum(axis=0), "xyz", strict=True)
    )
    yield Table(
        f"Modes with {state.names[0]}: participation in √kg, effective mass in kg",
        ("mode", "frequency", "x", "y", "z", "mass x", "mass y", "mass z"), rows, align="rrrrrrrr",
        note=f"The {len(state.modal.hz)} modes kept, up to {number(float(state.modal.hz[-1]), 0)} Hz, move {sums} of "
        f"{number(mass, 1)} kg (mass with upper tolerance); stiffer modes follow the floor.",
    )  # fmt: skip
    for state in vibration.states:
        if state.modal.loose:
            yield Text(f"{state.names[0]}: the rack is loose, {state.modal.loose}.", "caution")


def _harmonics(design: Design) -> Iterator[Block]:
    apart, given = design.vibration.apart, design.rack.definition.vibration
    if not apart:
        yield Text(f"Distance from rotor harmonics: {NOT_ASSESSED}, none is stated.", "caution")
        return
    rows = tuple(
        (one.harmonic, f"{number(one.low_hz, 2)}–{number(one.high_hz, 2)} Hz",
         "none counts" if one.mode_hz is None else f"{one.mode} at {number(one.mode_hz, 2)} Hz",
         "–" if one.apart is None else f"{number(100 * one.apart, 1)} %",
         "none stated" if one.required is None else f"{number(100 * one.required, 1)} %", JUDGED[one.holds],
         one.document or "no document")
        for one in apart
    )  # fmt: skip
    need = given.separation if given else None
    note = "Nearest mode of its range over what straps and pads do, from the near edge of the harmonic's own range."
    if need and need.effective_mass_percent:
        note += f" Modes that move less than {need.effective_mass_percent:g} % of the mass do not count"
    if need:
        note += f"{',' if need.effective_mass_percent else ' Distance'} by {need.document}."
    yield Table("Distance from the aircraft's harmonics",
                ("harmonic", "range", "nearest mode", "apart", "required", "kept", "document"), rows,
                align="llrrrll", note=note)  # fmt: skip


def _inputs(design: Design) -> Iterator[Block]:
    given = design.rack.definition.vibration
    if given is None:
        return
    for spectrum in given.spectrum:
        source = spectrum.document or "no document"
        yield Table(f"Vibration of the floor: {spectrum.name}, along {', '.join(spectrum.axes)}, {source}",
                    ("part", "frequency", "level"), tuple(_input_rows(spectrum)), align="lrr")  # fmt: skip
    if given.damping is not None:
        yield Text(f"Damping of the structure: {given.damping.ratio:g} of critical, by {given.damping.document}. A "
                   "mode's damping is weighted by its strain energy where isolators have their own.")  # fmt: skip


def _input_rows(spectrum: Spectrum) -> Iterator[tuple[str, str, str]]:
    for tone in spectrum.tone:
        spread = f" ± {tone.spread_percent:g} %" if tone.spread_percent else ""
        yield "sine, peak", f"{number(tone.frequency, 2)} Hz{spread}", f"{tone.peak:g} g"
    for point in spectrum.broadband:
        yield "random", f"{number(point.frequency, 1)} Hz", f"{digits(point.density, 3)} g²/Hz"


def _peaks(vibration: Vibration) -> Iterator[Block]:
    yield Text(
        f"Peaks about the state at rest: all tones in their worst phase and {SIGMAS:g} standard deviations of the "
        "random part, the floor moving along every axis at once (random parts as independent). Of all states at rest "
        "the worst. These are of level vibration, about rest: the margins of checks below set them on what rests."
    )
    for title, kind in (
        ("Acceleration of items at their centre of gravity", "acceleration"),
        ("Strokes of isolators", "sway"),
        ("Room between bodies", "gap"),
        ("Forces of straps", "strap"),
        ("Forces of pads", "pad"),
        ("Stresses of tubes, the worst corner of either end of any part", "stress"),
    ):
        chosen = [one for one in vibration.peaks if one.quantity.kind == kind]
        if chosen:
            yield _table(title, chosen)


def _table(title: str, chosen: Sequence[Peak]) -> Table:
    said = "; ".join(dict.fromkeys(_remark(one) for one in chosen))
    return Table(
        title, ("what", "random, rms", "tones", "peak", "allowed", "MS"), tuple(map(_row, chosen)), align="irrrrr",
        note=f"Random and tones: the axis of the floor with the most. Allowed: {said}.",
    )  # fmt: skip


def _remark(one: Peak) -> str:
    return f"{NOT_ASSESSED}, {one.why_not}" if one.why_not else one.source


def _row(one: Peak) -> tuple[str, ...]:
    margin = "–" if one.margin is None else ms(one.margin)
    return (one.id, _value(one, max(one.rms.values())), _value(one, max(one.tones.values())), _value(one, one.peak),
            "–" if one.allowable is None else _value(one, one.allowable), margin)  # fmt: skip


def _value(one: Peak, value: float) -> str:
    if one.quantity.unit == "g":
        return f"{number(value, 3)} g"
    return in_unit(value, *UNITS[one.quantity.unit])


def _charts(vibration: Vibration) -> Iterator[Block]:
    """One chart an axis: the floor and the items that answer most, on logarithmic scales."""
    for axis in dict.fromkeys(curve.axis for curve in vibration.curves):
        curves = [curve for curve in vibration.curves if curve.axis == axis]
        curves.sort(key=lambda curve: -float(curve.item_density.max()))
        floor = Line("floor", tuple(zip(curves[0].f.tolist(), curves[0].floor.tolist(), strict=True)))
        bottom = min(floor.points, key=lambda point: point[1])[1] / 100
        lines = [floor]
        for curve in curves[:DRAWN]:
            level = curve.item_density.clip(min=bottom).tolist()
            lines.append(Line(curve.item, tuple(zip(curve.f.tolist(), level, strict=True))))
        chart = Chart(
            f"Acceleration spectral density of the floor and of items along {axis}", "frequency, Hz",
            "acceleration spectral density, g²/Hz", tuple(lines), logarithmic=True,
        )  # fmt: skip
        yield Picture(
            chart_svg(chart), chart.alt, f"Random part along {axis}, {vibration.states[0].names[0]}.", 1.0
        )


def _remarks(vibration: Vibration) -> Sequence[str]:
    rows = [f"{state}: {name} {how} in vibration, so that the linear model does not hold; nothing is judged by it."
            for state, name, how in vibration.bent]  # fmt: skip
    rows += [
        f"Miles' equation along {one.axis}, mode at {number(one.hz, 1)} Hz: "
        + (f"{number(one.rms_g, 3)} g rms." if one.rms_g is not None else f"does not apply, {one.why_not}.")
        for one in vibration.miles
    ]
    parts = (
        "Hooks, ratchets, floor fittings, tracks and floor under vibration, stability of the whole frame, and what "
        "a panel bends between its feet towards a neighbour"
    )
    return (*rows, f"{parts}: {NOT_ASSESSED}.", f"Fatigue under vibration: {NOT_ASSESSED}.")

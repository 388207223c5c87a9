"""The dossier's sections on strength: basis and cases, idealisation, what acts, margins, floor forces, motion.

Every number is the design's own. What the model assumes is printed from where it is written: beside the code that
assumes it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator

import numpy as np

from rackwright.answers import motion_json
from rackwright.answers_items import isolators_json
from rackwright.design import Design
from rackwright.papers.table import Block, Facts, Items, Section, Table, Text
from rackwright.pieces.model import AXES
from rackwright.strength import idealise
from rackwright.strength.analyse import BALANCE, CHECKS, Reaction
from rackwright.strength.cases import NO_LIMIT_CASE, LoadCase, no_limit_case
from rackwright.strength.joint_springs import slip_travel
from rackwright.strength.rack_frame import PRETENSIONS
from rackwright.work.papers.margins import all_margins, governing_blocks, margin_sections
from rackwright.work.papers.temperature import oven_blocks, temperature_blocks
from rackwright.work.papers.vibration import vibration_blocks, vibration_summary
from rackwright.work.papers.words import VARIANT_NOTE, force, in_unit, number, points_of, short_names, variant

__all__ = [
    "LOAD_PATH",
    "active_blocks",
    "appendix_sections",
    "case_blocks",
    "check_blocks",
    "deflection_blocks",
    "every_reaction",
    "floor_blocks",
    "idealisation_blocks",
    "mode_blocks",
    "model_blocks",
    "motion_blocks",
    "strength_sections",
]  # fmt: skip

LOAD_PATH = (
    "Load path: equipment through its fixings into shelf panel or rails; panel and angles into the posts; posts "
    "and cross tubes through bolts and spigots into the corner blocks; blocks and rings through straps and their links "
    "into the floor fittings and tracks, and through pads onto the floor, or through bolted feet into their fittings."
)
#: share of the rack's height beyond which small displacements are doubted (judgement, no source)
LARGE = 0.05


def strength_sections(design: Design, report: Facts | None = None) -> tuple[Section, ...]:
    """The dossier's sections on strength. Where a report stands behind them (`report` names it), what it says at length
    is left to it: the governing margins, the floor forces and the motion are kept."""
    if report is not None:
        return (
            Section("Basis and load cases", tuple(case_blocks(design))),
            Section("Strength report", (report,)),
            Section("Governing margins of safety", tuple(governing_blocks(design))),
            Section("Forces on the aircraft's floor", tuple(floor_blocks(design))),
            Section("Natural frequencies and deflection", (*mode_blocks(design), *deflection_blocks(design))),
            Section("Vibration", tuple(vibration_summary(design))),
        )
    return (
        Section("Basis and load cases", tuple(case_blocks(design))),
        Section("Load path, idealisation and assumptions", tuple(idealisation_blocks())),
        Section("What acts in each case", tuple(active_blocks(design))),
        *margin_sections(design),
        Section("Forces on the aircraft's floor", tuple(floor_blocks(design))),
        Section("Natural frequencies and deflection", (*mode_blocks(design), *deflection_blocks(design))),
        Section("Vibration", tuple(vibration_blocks(design))),
    )


def appendix_sections(design: Design) -> tuple[Section, ...]:
    """The long tables, for the end of the dossier."""
    return (
        Section("Appendix: every margin of safety", tuple(all_margins(design)), new_page=True),
        Section("Appendix: floor forces in every case", tuple(every_reaction(design))),
    )


# --- cases ---------------------------------------------------------------------------------------


def case_blocks(design: Design) -> Iterator[Block]:
    d, cases = design.rack.definition, design.strength.cases
    if d.basis is None:
        yield Text("No certification basis is entered, so there are no emergency-landing cases.")
    else:
        yield Facts((
            ("Rule", design.rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"].cited),
            ("Stated by", d.basis.document),
            ("Fitting factor", d.basis.fitting_rule),
            ("Attachments removed often", d.basis.removal_rule or "no factor named"),
        ))  # fmt: skip
    for kind in ("ultimate", "limit"):
        rows = tuple(_case_row(case) for case in cases if case.kind == kind)
        if rows:
            yield Table(
                f"{kind.capitalize()} inertia cases, multiples of g",
                ("case", "aircraft x forward", "y left", "z up", "rack x", "rack y", "rack z"),
                rows,
                align="irrrrrr",
                note="The direction in which the masses are thrown. Each case acts alone; gravity is not added to "
                "emergency-landing cases.",
            )
    if no_limit_case(cases):
        yield Text(NO_LIMIT_CASE)
    else:
        yield Text("Limit and ultimate are kept apart: yield is judged at limit, strength at ultimate load.")
    sources = dict.fromkeys(case.source for case in cases)
    yield Items(tuple(sources))
    yield from temperature_blocks(design)
    yield from oven_blocks(design)


def _case_row(case: LoadCase) -> tuple[str, ...]:
    return (case.id, *(number(float(v), 2) for v in (*case.aircraft, *case.rack)))


# --- idealisation --------------------------------------------------------------------------------


def idealisation_blocks() -> Iterator[Block]:
    yield Text(LOAD_PATH)
    yield from model_blocks()
    yield from check_blocks()


def model_blocks() -> Iterator[Block]:
    """How a rack becomes a frame, as it stands beside the code that does it."""
    bullets = _bullets(idealise.__doc__ or "")
    assert bullets, "the idealisation is not stated"
    yield Items(tuple(bullets))


def check_blocks() -> Iterator[Block]:
    """What each module of checks assumes, as it stands beside its code."""
    for name in dict.fromkeys(check.__module__ for check in CHECKS):
        title, _, rest = (sys.modules[name].__doc__ or "").strip().partition("\n")
        assert rest, "a check does not say what it assumes"
        yield Facts((("", " ".join(rest.split())),), title=title)


def _bullets(text: str) -> list[str]:
    """The `- ` items of a docstring, each as one line."""
    found: list[str] = []
    inside = False
    for line in text.splitlines():
        if line.startswith("- "):
            found.append(line[2:3].upper() + line[3:].rstrip())
            inside = True
        elif inside and line.startswith("  "):
            found[-1] += f" {line.strip()}"
        else:
            inside = False
            if found and line.strip():
                found.append(line.strip())
    return [f"{one.rstrip('.;')}." for one in found]


def active_blocks(design: Design) -> Iterator[Block]:
    strength = design.strength
    yield Text(
        "Straps pull and pads push, never the other way; which of them act follows from equilibrium and is found for "
        "every case, for both ends of the straps' pretension range and both bounds of the joints."
    )
    straps, pads = strength.model.straps, strength.model.pads
    marks = short_names("S", straps)
    same: dict[tuple[str, tuple[str, ...]], list[str]] = {}  # case and idle ones -> variants
    for case, pretension, idle in strength.slack:
        same.setdefault((case, idle), []).append(variant(pretension))
    rows = []
    for (case, idle), variants in same.items():
        pulling = [marks[name] for name in straps if f"strap.{name}" not in idle]
        pushing = [name for name in pads if f"pad.{name}" not in idle]
        slack = [marks[one.removeprefix("strap.")] for one in idle if one.startswith("strap.")]
        lifted = [one.replace("pad.", "pad ") for one in idle if one.startswith("pad.")]
        every = "all" if len(variants) == len(strength.model.states) else ", ".join(variants)
        rows.append(
            (
                case,
                every,
                _all_or(pulling, straps),
                _all_or(pushing, pads),
                ", ".join((*slack, *lifted)) or "none",
            )
        )
    yield Table(
        "",
        ("case", "pretension", "straps that pull", "pads that push", "idle"),
        tuple(rows),
        align="illll",
        widths=(1.9, 1.4, 2.2, 1.8, 3),
        note=f"Straps by their marks in the tie-down table and on the drawing. {VARIANT_NOTE}",
    )
    if strength.loose:
        yield Items(tuple(f"{case} has no equilibrium: {why}" for case, why in strength.loose))
    yield Text(
        f"Equilibrium of the free body holds in every case to better than {BALANCE:.0e} of the applied load; otherwise "
        "nothing is reported.",
        "note",
    )


def _all_or(names: list[str], every: tuple[str, ...]) -> str:
    if len(names) == len(every):
        return "all"
    return ", ".join(names) or "none"


# --- floor forces --------------------------------------------------------------------------------


def _places(design: Design) -> dict[str, list[Reaction]]:
    places: dict[str, list[Reaction]] = {}
    for one in design.strength.reactions:
        places.setdefault(one.place, []).append(one)
    return places


def _size(one: Reaction) -> float:
    return float(np.linalg.norm(one.force))


def floor_blocks(design: Design) -> Iterator[Block]:
    yield Text(
        "Force of the rack on the aircraft in aircraft axes (x forward, y left, z up), lbf, at the factors of the "
        "case: of both pretensions the larger. The floor beyond each fitting's and pad's own allowable is for the "
        "aircraft's substantiation; the appendix has every value."
    )
    cases = [case.id for case in design.strength.cases]
    places = _places(design)
    for place, forces in places.items():
        if not place.startswith("fitting"):
            continue
        rows = []
        for case in cases:
            largest = max((one for one in forces if one.case == case), key=_size)
            if _size(largest) < 1e-6:
                rows.append((case, "–", "0", "0", "0", "0", "idle"))
                continue
            size = in_unit(_size(largest), "lbf", 0, unit=False)
            rows.append((case, largest.pretension, *force(largest.force), size, _angle(largest)))
        yield Table(
            _fitting_title(design, place),
            ("case", "pretension", "x", "y", "z", "resultant", "pull above floor"),
            tuple(rows),
            align="ilrrrrr",
        )
    pads = [place for place in places if place.startswith("pad")]
    if pads:
        yield _pads_table(design, {place: places[place] for place in pads}, cases)


def _pads_table(design: Design, pads: dict[str, list[Reaction]], cases: list[str]) -> Table:
    """Push of the pads on the floor, the larger of both pretensions."""
    pad = design.rack.definition.pad
    allowed = "no allowable" if pad.allowable_ultimate is None else in_unit(pad.allowable_ultimate, "lbf", 0)
    rows = []
    for case in cases:
        largest = [max((one for one in forces if one.case == case), key=_size) for forces in pads.values()]
        rows.append((case, *(in_unit(_size(one), "lbf", 0, unit=False) for one in largest)))
    return Table(
        f"Pads, push straight down on the floor: {allowed}, {pad.document or 'no document'}",
        ("case", *(place.removeprefix("pad.") for place in pads)),
        tuple(rows),
        align="i" + "r" * len(pads),
        note="No friction is counted.",
    )


def _angle(one: Reaction) -> str:
    x, y, z = (float(v) for v in one.force)
    return f"{number(float(np.degrees(np.arctan2(z, np.hypot(x, y)))), 1)}°"


def _fitting_title(design: Design, place: str) -> str:
    name = place.removeprefix("fitting.")
    fitting = next(one for one in design.rack.definition.floor_fitting if one.name == name)
    return f"Fitting {name}: {points_of(fitting) or 'no allowable'}, {fitting.document or 'no document'}"


def every_reaction(design: Design) -> Iterator[Block]:
    states, half = design.strength.model.states, len(PRETENSIONS) // 2
    for start in range(0, len(states), half):
        names = states[start : start + half]
        title = " ".join(("continuous" if start % len(PRETENSIONS) == 0 else "flexible", *_warmth(names[0])))
        rows = []
        for place, forces in _places(design).items():
            for case in [case.id for case in design.strength.cases]:
                by = {one.pretension: one for one in forces if one.case == case}
                if any(np.abs(by[name].force).max() > 1e-6 for name in names):
                    rows.append((place, case, *(text for name in names for text in force(by[name].force))))
        yield Table(
            f"Force of the rack on the aircraft, aircraft axes, lbf, joints {title}",
            ("place", "case", *(f"{axis}, {name.split(',')[0]}" for name in names for axis in "xyz")),
            tuple(rows),
            align="iirrrrrr",
            note="Low and high are the ends of the straps' pretension range. A place in no row of a case is idle.",
        )


def _warmth(name: str) -> tuple[str, ...]:
    """What a state's name says of temperature, where it is not as fixed."""
    last = name.rpartition(", ")[2]
    return (f", {last}",) if last in ("hot", "cold") else ()


# --- motion --------------------------------------------------------------------------------------


def mode_blocks(design: Design) -> Iterator[Block]:
    hz = design.modes_hz
    rows = tuple((str(n), f"{number(f, 2)} Hz", number(60 * f, 0)) for n, f in enumerate(hz, start=1))
    yield Table("First natural frequencies", ("mode", "frequency", "cycles a minute"), rows, align="rrr",
                note="Equipment at its centre of gravity; every strap and pad acting, each as stiff as "
                "it is anywhere at rest. The section on vibration has their ranges.")  # fmt: skip


def _slip(design: Design) -> str:
    slip, found = design.rack.definition.joint.slip, slip_travel(design.rack)
    if slip is None or found is None:
        return "The slip of the joints in their bolt holes is not stated: no travel by it is counted."
    return (
        f"Before the bolts bear, the top may stand {in_unit(found[1], 'in', 3)} off by the joints' slip of "
        f"{in_unit(slip.along * 1e-9, 'in', 4)} ({slip.document}); it comes on top of the table."
    )


def deflection_blocks(design: Design) -> Iterator[Block]:
    height = design.rack.definition.outside.height * 1e-9
    rows = tuple(
        (case, in_unit(size, "in", 2), in_unit(size, "mm", 1), f"{number(100 * size / height, 1)} %")
        for case, size in design.strength.deflection
    )
    yield Table(
        "Largest displacement of any node",
        ("case", "displacement", " ", "of the height"),
        rows,
        align="irrr",
        note="From the unloaded place, the largest of all variants. Clearance inside the rack is a margin with the "
        "rack so deflected; room around it is not an input and not judged.",
    )
    yield from motion_blocks(design)
    yield from isolator_blocks(design)
    yield Text(_slip(design))
    large = [case for case, size in design.strength.deflection if size > LARGE * height]
    if large:
        yield Text(
            f"In {', '.join(large)} more than {number(100 * LARGE, 0)} % of the height is reached (the limit is a "
            "judgement): a stiffer tie-down, or a test, would say more than this model.",
            "caution",
        )


def motion_blocks(design: Design) -> Iterator[Block]:
    """How far the rack goes and turns as a whole, and its straps turn and stretch, in each case."""
    rows, far = [], dict(design.strength.deflection)
    for case, one in motion_json(design.strength).items():
        straps = one["straps"]
        cells = ("–", "–", "–", "–")
        if straps:
            turns, longest = (max(straps, key=lambda name: float(straps[name][what]))
                              for what in ("turns_deg", "stretch_m"))  # fmt: skip
            cells = (number(straps[turns]["turns_deg"], 2), turns,
                     in_unit(straps[longest]["stretch_m"], "in", 3, unit=False), longest)  # fmt: skip
        rows.append((case, in_unit(far[case], "in", 3, unit=False), number(one["rack_turns_deg"], 2), *cells))
    if not rows:
        return
    yield Table(
        "Where it comes to rest, the most over all variants",
        ("case", "travel, in", "rack turns, deg", "a strap turns, deg", "which", "stretches, in", "which"),
        tuple(rows),
        align="irrrlrl",
        widths=(1.9, 0.9, 1.3, 1.5, 1.5, 1.1, 1.5),
        note="Each case is followed there: straps by their true length and their maker's curve where it is given, pads "
        "on a floor that stays, no friction; loads keep their direction. A small-displacement answer is not used where "
        "straps hold the rack.",
    )


def isolator_blocks(design: Design) -> Iterator[Block]:
    """How far items on isolators travel past their seats in each case, of what room, and which come to their stops."""
    rows: list[tuple[str, ...]] = []
    for name, item in isolators_json(design.strength).items():
        room, ways = item["sway_m"], [(case, one["travel_m"]) for case, one in item["cases"].items()]
        for case, way in [("sway space", room)] * bool(room) + ways:
            one = item["cases"].get(case)
            more = (", ".join(one["on_its_stop"]) or "–", number(one["turns_deg"], 2),
                    in_unit(one["centre_moves_m"], "in", 3, unit=False),
                    in_unit(one["isolator_holds_N"], "lbf", 0, unit=False)) if one else ("",) * 4  # fmt: skip
            rows.append((name, case, *(in_unit(way[axis], "in", 3, unit=False) for axis in AXES), *more))
    if rows:
        yield Table(
            "Items on isolators, past their seats, the most over all variants",
            ("item", "case", "x, in", "y, in", "z, in", "on its stop along", "turns, deg", "centre moves, in",
             "one holds, lbf"),
            tuple(rows), align="iirrrlrrr", widths=(1.2, 1.9, 0.7, 0.7, 0.7, 1, 0.8, 1, 0.9),
            note="In balance with the weight where it has come to: so it acts on the frame, its screws and every "
            "clearance. By the document's dynamic stiffness. On its stop an item is held captive, as is meant in a "
            "crash case; what holds it is a margin. The blow on a stop: NOT ASSESSED.",
        )  # fmt: skip

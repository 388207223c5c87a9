"""The dossier's first sections: what was changed, what is still asked, how the rack lies, what it weighs."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.answers import changes_json
from rackwright.design import Design
from rackwright.papers.drawing import drawing_svgs
from rackwright.papers.lengths import inches
from rackwright.papers.table import Block, Items, Picture, Section, Table, Text
from rackwright.pieces.weight import Mass
from rackwright.rack.model import Change
from rackwright.rack.orient import SIGNS, station_of
from rackwright.record import State
from rackwright.record.state import Question as Asked
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY
from rackwright.work.papers.drawing import rack_drawing
from rackwright.work.papers.words import axis, in_unit, ms, number, short_names, signed

__all__ = ["definition_sections", "mass_blocks", "orientation_blocks", "orientation_words", "pictures"]

RACK_AXES = (
    "Rack axes: origin at the lower front left outside corner seen from the front, x to the right, y to the rear, "
    "z up. Datum A is that origin."
)


def orientation_words(design: Design) -> str:
    """Forward axis, signs and datum, as the cover and the drawing say them."""
    aircraft = design.rack.definition.aircraft
    if aircraft is None:
        return f"The orientation in the aircraft is not stated. {RACK_AXES}"
    words = f"Rack {axis(aircraft.forward)} points to the nose of the {aircraft.type}"
    words += f", by {aircraft.document}." if aircraft.document else "; no document states it."
    if aircraft.origin is None:
        return f"{words} {RACK_AXES} Where the origin lies in the aircraft is an open question. {SIGNS}"
    at = aircraft.origin
    datum = (
        f"It lies at station {inches(at.station)} in, buttock line {inches(at.buttock_line)} in, "
        f"waterline {inches(at.waterline)} in."
    )
    return f"{words} {RACK_AXES} {datum} {SIGNS}"


def definition_sections(
    design: Design, standard: Design | None, state: State, serial: str, shop: Shop, date: str
) -> tuple[Section, ...]:
    """Sections on the definition. `standard` None: the rack is a standard itself."""
    return (
        Section("Definition and what changed", tuple(_changes(design, standard))),
        Section("What the changes did", tuple(_effects(design, standard)), level=2),
        Section("The rack", tuple(pictures(design, shop, date, state.demo))),
        _questions(design, state, serial),
        Section("Orientation in the aircraft", tuple(orientation_blocks(design))),
        Section("Equipment, mass and centre of gravity", tuple(mass_blocks(design))),
    )


# --- changes -------------------------------------------------------------------------------------


def _changes(design: Design, standard: Design | None) -> Iterator[Block]:
    rack = design.rack
    if standard is None or not rack.changes:
        yield Text(f"The rack follows {rack.standard} as it is; nothing was changed.")
        return
    d, s = rack.definition, standard.rack.definition
    yield Text(
        f"{d.part} revision {d.revision} ({d.title}; drawing {d.drawing}) is a variation of the standard "
        f"{rack.standard} ({s.title}; drawing {s.drawing}). {len(rack.changes)} values differ; every other value is "
        "the standard's. "
        "Lines are those of the frozen definition, attached to this PDF as definition.toml."
    )
    reasons: dict[str, list[Change]] = {}
    for change in rack.changes:
        reasons.setdefault(change.why, []).append(change)
    for why, changes in reasons.items():
        rows = tuple(
            (one.path, one.before or "absent", one.after or "removed", str(one.where.line)) for one in changes
        )
        yield Table(
            f"Why: {why}",
            ("field", "standard", "this rack", "line"),
            rows,
            align="illr",
            widths=(3, 2, 4, 0.6),
        )


def _effects(design: Design, standard: Design | None) -> Iterator[Block]:
    if standard is None:
        yield Text("There is no other standard to compare with.")
        return
    answer = changes_json(design, standard)
    rows = [
        _pounds("mass, bare", answer["mass_bare_kg"]),
        _pounds("mass with equipment", answer["mass_loaded_kg"]),
    ]
    before, after = (answer["modes_hz"][key] for key in ("before", "after"))
    for n, (was, now) in enumerate(zip(before, after, strict=False), start=1):
        rows.append((f"natural frequency {n}", f"{number(was, 2)} Hz", f"{number(now, 2)} Hz",
                     f"{signed(now - was, 2)} Hz"))  # fmt: skip
    yield Table(
        "Mass and natural frequencies", ("", "standard", "this rack", "difference"), tuple(rows), align="lrrr"
    )
    margins = [
        (mode, ms(row["before"]) if row["before_at"] else "–", row["before_at"] or "not there",
         ms(row["after"]) if row["after_at"] else "–", row["after_at"] or "not there")
        for mode, row in answer["margins"].items()
    ]  # fmt: skip
    yield Table(
        "Least margin of safety of each kind of check",
        ("check", "standard", "where", "this rack", "where"),
        tuple(margins),
        align="lriri",
        widths=(2.2, 0.9, 2.6, 0.9, 2.6),
        note="The standard is computed with the equipment and tie-down of its own definition.",
    )


def _pounds(name: str, row: dict[str, float]) -> tuple[str, str, str, str]:
    was, now = row["before"], row["after"]
    change = (now - was) / 0.45359237
    return name, in_unit(was, "lb", 2), in_unit(now, "lb", 2), f"{signed(change, 2)} lb"


def pictures(design: Design, shop: Shop, date: str, demo: bool) -> Iterator[Block]:
    sheets = drawing_svgs(rack_drawing(design, shop, date, demo))
    number_ = design.rack.definition.drawing
    shown = [(sheets[0], "General arrangement"), (sheets[1], "Isometric with parts")]
    if design.rack.definition.strap:
        shown.append((sheets[-1], "Tie-down"))
    for svg, what in shown:
        caption = f"{what}: from drawing {number_}, reduced; full size attached. Do not scale."
        yield Picture(svg, f"{what} of the rack", caption, 0.78)


# --- questions -----------------------------------------------------------------------------------


def _questions(design: Design, state: State, serial: str) -> Section:
    """What the definition leaves open and what was asked in the record, joined by id."""
    rack = state.serials.get(serial)
    part = design.rack.definition.part
    of = (rack.order if rack else "", part, rack.line if rack else "")
    asked = [one for one in state.questions.values() if one.covers(*of)]
    known = {name for one in asked for name in (one.question, one.field)}
    rows = [
        (left.id, left.text, "no owner", "no date", _blocks(left.blocks), "open", "")
        for left in design.questions
        if left.id not in known
    ]
    rows += [(f"{one.question}{one.field and f' ({one.field})'}", one.text, *_told(one)) for one in asked]
    is_open = any(row[5] == "open" for row in rows)
    marks = (PRELIMINARY,) if is_open else ()
    title = "Open questions and their answers"
    if not rows:
        nothing = "None: the definition leaves nothing open, and nothing was asked in the record."
        return Section(title, (Text(nothing),))
    table = Table(
        "",
        ("id", "question", "owner", "due", "blocks", "state", "answer and document"),
        tuple(rows),
        align="illllll",
        widths=(1.5, 3, 1.5, 1.3, 1.1, 1.1, 3),
        note="A question blocks what it says it blocks, never computing.",
    )
    return Section(title, (table,), marks=marks)


def _told(one: Asked) -> tuple[str, str, str, str, str]:
    """Owner, due date, what it blocks, state, answer."""
    answer = one.told
    owner = f"{one.owner}, asked of {one.addressee}" if one.addressee else one.owner
    return owner, one.due or "no date", _blocks(one.blocks), "open" if one.open else "answered", answer


def _blocks(blocks: tuple[str, ...]) -> str:
    return ", ".join(blocks).replace("_", " ")


# --- orientation and mass ------------------------------------------------------------------------


def orientation_blocks(design: Design) -> Iterator[Block]:
    d = design.rack.definition
    yield Text(orientation_words(design))
    if d.aircraft is not None:
        words = {"+x": "right", "-x": "left", "+y": "rear", "-y": "front", "+z": "top", "-z": "bottom"}
        yield Text(
            f"In words: the {words[d.aircraft.forward]} of the rack looks forward. A load factor gives the direction "
            "in which the masses are thrown; a reaction is the force of the rack on the aircraft. One function turns "
            "cases into rack axes and reactions back."
        )
    if not d.strap:
        return
    rings, straps = short_names("R", [r.name for r in d.ring]), short_names("S", [s.name for s in d.strap])
    kinds = {one.name: one for one in d.strap_type}
    rows = []
    for one in d.strap:
        kind = kinds[one.type]
        low, high = (
            in_unit(kind.pretension_low, "lbf", 0, unit=False),
            in_unit(kind.pretension_high, "lbf", 0),
        )
        ring = one.ring if rings[one.ring] == one.ring else f"{rings[one.ring]} {one.ring}"
        rows.append((straps[one.name], one.name, ring, one.fitting, one.type, f"{low} to {high}"))
    yield Table(
        "Tie-down",
        ("mark", "strap", "ring", "fitting", "strap type", "pretension"),
        tuple(rows),
        align="illill",
        note="Marks are those of the drawing.",
    )


def mass_blocks(design: Design) -> Iterator[Block]:
    rack, d = design.rack, design.rack.definition
    rows = tuple(
        (item.name, item.part, in_unit(item.mass, "lb", 1),
         "not stated" if item.mass_tolerance is None else f"± {in_unit(item.mass_tolerance, 'lb', 1)}",
         item.mass_basis, item.document or "no document",
         "rails" if item.on_rails else f"shelf {item.on_shelf.shelf}" if item.on_shelf else "–")
        for item in d.equipment
    )  # fmt: skip
    yield Table(
        "Equipment",
        ("item", "part", "mass", "tolerance", "how known", "document", "on"),
        rows,
        align="lirrlll",
    )
    named: tuple[tuple[str, Mass], ...] = (("bare", design.bare), ("with equipment", design.loaded))
    yield Table(
        "Mass and centre of gravity in rack axes",
        ("condition", "mass", "tolerance", "x", "y", "z"),
        tuple((name, in_unit(one.mass, "lb", 2), f"± {in_unit(one.tolerance, 'lb', 2)}" if one.tolerance else "–",
               *(in_unit(float(v), "in", 2) for v in one.cg)) for name, one in named),
        align="lrrrrr",
        note="Computed from the pieces; with equipment, the tolerance is the plain sum of the items' tolerances. "
        "Strength uses every item at its mass plus tolerance.",
    )  # fmt: skip
    inertia = float(0.45359237 * 0.0254**2)
    yield Table(
        "Moments of inertia about the centre of gravity, rack axes, lb·in²",
        ("condition", "Ixx", "Iyy", "Izz", "Ixy", "Ixz", "Iyz"),
        tuple((name, *(number(float(one.inertia[i, j]) / inertia, 0)
                       for i, j in ((0, 0), (1, 1), (2, 2), (0, 1), (0, 2), (1, 2)))) for name, one in named),
        align="lrrrrrr",
        note="Products as −Σ m x y.",
    )  # fmt: skip
    aircraft = rack.definition.aircraft
    places = [(name, None if aircraft is None else station_of(aircraft, one.cg)) for name, one in named]
    if all(at is not None for _, at in places):
        yield Table(
            "Centre of gravity in the aircraft",
            ("condition", "station", "buttock line", "waterline"),
            tuple((name, *(in_unit(float(v), "in", 2) for v in at)) for name, at in places if at is not None),
            align="lrrr",
            note="Station positive aft, buttock line positive right, waterline positive up.",
        )
    else:
        yield Items(
            ("Station, buttock line and waterline are not given: where the rack lies is not stated.",)
        )

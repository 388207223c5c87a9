"""A rack as designed, as built and as maintained, side by side.

As designed is the frozen revision. As built is the same with what the record held just before the release: measured
values, the metal and heat of each piece. As maintained is what it holds now: pieces replaced, boxes swapped, oven time.
All three are proven by the same code; the margins are evidence and say nothing about the rack's fitness to fly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rackwright.design import Design
from rackwright.rack.equipment import Equipment
from rackwright.record import Event, State, project, replay
from rackwright.record.service import Service
from rackwright.strength.margin import Margin
from rackwright.trouble import Stopped
from rackwright.units import NM_PER_M, parse_quantity
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.metal_as_made import NOT_ASSESSED, not_assessed, other_metal
from rackwright.work.engineering.oven_time import Get, Heated, oven_time
from rackwright.work.gates import serial_known
from rackwright.work.metal.drawn import in_place, role
from rackwright.work.serials.evidence import standing_of
from rackwright.work.serials.recalling import whereabouts
from rackwright.work.serials.undone import counts_oven
from rackwright.work.service.maintained import Maintained, as_maintained

__all__ = ["PieceNow", "Row", "Standing", "standing"]

POUND, INCH = 0.45359237, 0.0254
NONE = "–"


@dataclass(frozen=True)
class Row:
    """One thing in the three columns."""

    what: str
    designed: str
    built: str
    maintained: str


@dataclass(frozen=True)
class PieceNow:
    """One place of the definition: what is drawn, the heat that was built in, what stands there now with its heat."""

    place: str
    drawn: str
    built: str
    piece: str
    heat: str
    was: tuple[str, ...] = ()  # what stood there before: id, until when, its fate

    @property
    def changed(self) -> bool:
        return bool(self.was)


@dataclass(frozen=True)
class Standing:
    serial: str
    revision: str
    state: str
    where: str
    rows: tuple[Row, ...]
    pieces: tuple[PieceNow, ...]
    history: tuple[tuple[str, str, str, str], ...]  # event, day, words, by
    left: tuple[str, ...]  # what stands between a rack that is here and service
    now: Maintained


def standing(events: Sequence[Event], serial: str, design: Design, get: Get) -> Standing:
    """`design` is the frozen one, `get` gives a file of the record by its hash. Raises Stopped (RW503)."""
    state = project(events)
    if unknown := serial_known(state, serial):
        raise Stopped([unknown])
    rack = state.serials[serial]
    done = next((one for one in events if one.type == "release" and one.body["serial"] == serial), None)
    before = _before(events, done) if done else None
    now = as_maintained(state, design, serial, get)
    counted = get if done and counts_oven(done) else None  # an older release is shown as it was made
    built = as_measured(before, design, serial, counted) if before else None
    rows = [
        Row("revision", rack.revision, f"event {done.seq}, {done.at[:10]}, by {done.by}" if done else "not released",
            _since(state, serial)),
        *_weights(events, state, serial, design, built, now, done),
        *_boxes(design, now),
        *_ovens(before, design, built, serial, now, get),
        Row("governing margin", _least(design), _as_built(before, design, built, serial), _least_now(now)),
    ]  # fmt: skip
    kept = state.service.get(serial) or Service(serial)
    left = [f"joint {bolt} is not tightened since it was taken apart" for bolt in kept.loose]
    left += [f"{what} of {about} is not done anew" for about, what in kept.left]
    if rack.state == "back" and not rack.weighed:
        left.append("it is not weighed after the work")
    if rack.state == "back":
        left += [f"{one.owed.evidence}: {one.missing}" for one in standing_of(state, serial) if one.missing]
    return Standing(
        serial, rack.revision, rack.state, whereabouts(state, serial), tuple(rows),
        tuple(_pieces(state, before, design, serial)), tuple(_history(state, serial)), tuple(left), now,
    )  # fmt: skip


def _before(events: Sequence[Event], done: Event) -> State:
    """What the record held just before the release."""
    return next(then for event, then in replay(events) if event.seq == done.seq)


def _since(state: State, serial: str) -> str:
    kept, rack = state.service.get(serial), state.serials[serial]
    reds = [
        red.red_line
        for red in state.red_lines.values()
        if {serial, *rack.pieces} & {*red.serials, *red.pieces}
    ]
    words = [f"red lines {', '.join(reds)}"] if reds else []
    if kept and kept.cleared:
        words.append(
            f"put back to service in event {kept.cleared}, {kept.cleared_at[:10]}, by {kept.cleared_by}"
        )
    if rack.state == "back":
        words.append("in the shop's hands, not put back to service")
    return "; ".join(words) or ("as built" if rack.released_seq else "not released")


# --- rows ----------------------------------------------------------------------------------------


def _weights(
    events: Sequence[Event], state: State, serial: str, design: Design, built: Design | None, now: Maintained,
    done: Event | None,
) -> Iterator[Row]:  # fmt: skip
    yield Row(
        "bare mass, computed",
        _pounds(design.bare.mass),
        _pounds(built.bare.mass) if built else NONE,
        _pounds(now.design.bare.mass) if not now.design.faults else NOT_ASSESSED,
    )
    weighed = [one for one in events if one.type == "weigh" and one.body["serial"] == serial]
    first = [one for one in weighed if done and one.seq < done.seq]
    good = state.serials[serial].weighed
    yield Row("as weighed", NONE, _weighed(first[-1]) if first else NONE,
              _weighed_now(weighed[-1] if weighed else None, good is not None, now))  # fmt: skip
    yield Row("loaded mass", _pounds(design.loaded.mass), NONE,
              _pounds(now.design.loaded.mass) if not now.design.faults else NOT_ASSESSED)  # fmt: skip


def _weighed(event: Event) -> str:
    return f"{_pounds(float(parse_quantity(event.body['mass'], 'mass')))}, event {event.seq}"


def _weighed_now(last: Event | None, since: bool, now: Maintained) -> str:
    if last is None:
        return "not weighed"
    words = now.weight.words if now.weight else ""
    return (
        f"{_weighed(last)}{words and '; '}{words}"
        if since
        else f"{words or 'not weighed since it was worked on'}; then {_weighed(last)}"
    )


def _pounds(kilograms: float) -> str:
    return f"{kilograms / POUND:.2f} lb"


def _boxes(design: Design, now: Maintained) -> Iterator[Row]:
    """Every item: what the definition says of it, and the box that is there."""
    carried = {one.item: one for one in now.carried}
    items = {item.name: item for item in now.design.rack.definition.equipment}
    for item in design.rack.definition.equipment:
        said, one = _item(item), carried.get(item.name)
        if one is None:
            yield Row(f"carries {item.name}", said, NONE, said)
        else:
            box = f"box {one.box}, " if one.box else ""
            there = "nothing" if one.out else f"{box}{_item(items[item.name])}"
            moved = not one.place and bool(one.shelf or one.at)
            holes = "; what became of its holes is not recorded" if moved else ""
            holes += "".join(f"; OPEN: {hole}" for hole in one.open_holes)
            holes += "".join(f"; filled: {hole}" for hole in one.filled)
            yield Row(f"carries {item.name}", said, NONE, f"{there}; by the {one.by_whom}, {one.document}, "
                      f"event {one.seq}{holes}")  # fmt: skip


def _item(item: Equipment) -> str:
    cg = ", ".join(f"{at / NM_PER_M / INCH:.2f}" for at in item.cg)
    where = f" on {item.on_shelf.shelf}" if item.on_shelf else ""
    return f"{item.part}, {_pounds(item.mass)}, centre {cg} in{where}"


def _ovens(
    before: State | None, design: Design, built: Design | None, serial: str, now: Maintained, get: Get
) -> Iterator[Row]:
    first = {one.material: one for one in oven_time(before, built, serial, get)} if before and built else {}
    later = {one.material: one for one in now.heated}
    for material in dict.fromkeys((*first, *later)):
        yield Row(
            f"oven time, {material}",
            _planned(design, material),
            _heated(first.get(material)),
            _heated(later.get(material)),
        )


def _planned(design: Design, material: str) -> str:
    """What the definition's oven time leaves, which every margin counts at least."""
    left = [
        f"{one.name} {100 * one.share:.1f} %" for one in design.left if one.material == material and one.share
    ]
    return ", ".join(left) or "none stated"


def _heated(one: Heated | None) -> str:
    return one.words if one else NONE


def _least(design: Design) -> str:
    margins = design.strength.margins
    gone = next((one for one in margins if one.margin is None), None)
    least = min((one for one in margins if one.margin is not None), key=_value, default=None)
    if gone is not None or least is None:
        return f"{NOT_ASSESSED}: {gone.id}, {gone.why_missing}" if gone else "no margin is computed"
    words = f"{_value(least):+.3f} {least.mode}, {least.piece}, {least.case}"
    return f"NEGATIVE MARGIN {words}" if _value(least) < 0 else words


def _value(margin: Margin) -> float:
    return margin.margin if margin.margin is not None else 0.0


def _as_built(before: State | None, design: Design, built: Design | None, serial: str) -> str:
    if before is None or built is None:
        return NONE
    return NOT_ASSESSED if not_assessed(other_metal(before, design, serial)) else _least(built)


def _least_now(now: Maintained) -> str:
    return f"{NOT_ASSESSED}: {now.not_assessed[0]}" if now.not_assessed else _least(now.design)


# --- pieces and history --------------------------------------------------------------------------


def _pieces(state: State, before: State | None, design: Design, serial: str) -> Iterator[PieceNow]:
    gone: dict[str, list[str]] = {}
    for one in state.pieces.bearing("serial", serial):
        if one.state == "replaced":
            fate = f", {one.fate}" if one.fate else ""
            heat = one.heat or one.lot
            gone.setdefault(one.piece, []).append(
                f"{one.piece} of {heat}, until {one.out_at[:10]} (event {one.out_seq}){fate}"
            )
    for piece in design.pieces.made:
        id = in_place(state, serial, piece.id)
        first = in_place(before, serial, piece.id) if before else id
        was = [
            words
            for name, every in gone.items()
            for words in every
            if _same_place(state, serial, name, piece.id)
        ]
        yield PieceNow(
            piece.id,
            f"{piece.section}, {piece.stock}",
            _heat(before, first),
            id,
            _heat(state, id),
            tuple(was),
        )


def _same_place(state: State, serial: str, piece: str, place: str) -> bool:
    return role(state, state.serials[serial].revision, piece) == place


def _heat(state: State | None, id: str) -> str:
    one = state.pieces.get(id) if state else None
    return f"{one.heat or one.lot or 'no heat'} ({one.stock_id})" if one else NONE


def _history(state: State, serial: str) -> Iterator[tuple[str, str, str, str]]:
    """What happened to it since its release, in order."""
    kept = state.service.get(serial) or Service(serial)
    rows: list[tuple[int, str, str, str]] = []
    for one in kept.back:
        hours = f", {one.hours} h in service" if one.hours else ""
        rows.append((one.seq, one.day, f"came back from {one.whom}{hours}: {one.reason}; found: {one.condition}; "
                                       f"{one.document}", one.by))  # fmt: skip
    for work in kept.works:
        by_way = f", {work.method}" if work.method else ""
        after = f" after {work.nonconformance}" if work.nonconformance else ""
        whose = f", held by {work.holder}, {work.date}" if work.holder else ""
        rows.append((work.seq, work.at[:10], f"{work.kind} {work.work}{after}: {work.text}{by_way}; by {work.document}"
                                             f"{whose}", work.by))  # fmt: skip
    if kept.cleared:
        rows.append((kept.cleared, kept.cleared_at[:10], "put back to service", kept.cleared_by))
    return ((str(seq), day, words, by) for seq, day, words, by in sorted(rows))

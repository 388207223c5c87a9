"""Shipping, and what a serial needs in later years: part shipments, replacement pieces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal, Stopped
from rackwright.work.gates import clauses_met, first, no, not_held, person_may, piece_complete, serial_known
from rackwright.work.metal.counting import Unusable, was_made_unusable
from rackwright.work.metal.drawn import as_drawn, role
from rackwright.work.metal.sawing import piece_id
from rackwright.work.service.coming_back import in_hands, not_after
from rackwright.work.service.working import named_anew, work_is_new
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import not_red_lined

if TYPE_CHECKING:
    from rackwright.design import Design

__all__ = [
    "FATES", "Mended", "fits", "installed", "may_be_mended", "may_be_shipped", "replace_piece", "replacement", "ship",
]  # fmt: skip

FATES = ("scrapped", "customer", "kept")  # of a piece that was taken out


def ship(station: Station, names: Sequence[str], to: str, document: str, act_id: str = "") -> Appended:
    """Ship released serials; the rest of an order may follow later."""

    def decide(state: State) -> list[Draft] | Refusal:
        nothing = None if names else no("RW517", "ship", "no serial is named", "name what is shipped")
        twice = next((name for name in names if list(names).count(name) > 1), "")
        doubled = no("RW517", twice, f"{twice} is named twice", "name each serial once") if twice else None
        refused = first(person_may(state, station.person, "lead", station.today), nothing, doubled,
                        *(may_be_shipped(state, name) for name in names))  # fmt: skip
        body = {"serials": list(names), "to": to, "document": document}
        return refused or [Draft("ship", body, Refs.of(serials=names))]

    return perform(station, "ship", decide, act_id)


def installed(
    station: Station, serial: str, aircraft: str, document: str, day: str = "", act_id: str = ""
) -> Appended:
    """In which aircraft a customer says a rack is: where a recall looks for it."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(person_may(state, station.person, "lead", station.today), serial_known(state, serial))
        if refused is None and state.serials[serial].state != "shipped":
            found = f"{serial} is {state.serials[serial].state}"
            refused = no("RW517", serial, found, "it is in the shop: ship it first")
        body = {"serial": serial, "aircraft": aircraft, "document": document} | ({"day": day} if day else {})
        return refused or [Draft("installed", body, Refs.of(serials=[serial]))]

    return perform(station, "installed", decide, act_id)


def may_be_shipped(state: State, serial: str) -> Refusal | None:
    rack = state.serials.get(serial)
    if rack is None:
        return serial_known(state, serial)
    if rack.state != "released":
        return no(
            "RW517",
            serial,
            f"{serial} is {rack.state}",
            "only a released serial that is still here is shipped; one that came back goes back to service first",
        )
    return first(clauses_met(state, "ship", rack.order), not_held(state, serial=serial))


def replacement(state: State, design: Design, serial: str, piece: str) -> dict[str, Any]:
    """What a replacement piece of a serial must be, from what is recorded: its revision, heat and as-built values,
    and the accepted stock it could be cut from, the same heat first. Raises Stopped (RW503)."""
    made = state.pieces.get(piece_id(serial, piece))
    if made is None:
        raise Stopped(
            [no("RW503", piece_id(serial, piece), "the piece is not in the record", "check its id")]
        )
    nominal = design.pieces.get(piece)
    stock = [bar for bar in state.stock.values()
             if bar.state == "accepted" and bar.section == nominal.section and bar.stock_spec == nominal.stock
             and bar.length_nm >= (nominal.length or 0)]  # fmt: skip
    stock.sort(key=lambda bar: (bar.heat != made.heat, bar.length_nm, bar.stock_id))
    built = {each.characteristic: each.value for each in state.measured(made.piece)}
    sources = [{"stock_id": bar.stock_id, "heat": bar.heat, "length_nm": bar.length_nm} for bar in stock]
    return {
        "piece": made.piece, "part": nominal.part, "revision": made.revision, "heat": made.heat, "from": sources,
        "section": nominal.section, "stock": nominal.stock, "nominal_length_nm": nominal.length, "as_built": built,
    }  # fmt: skip


def fits(state: State, serial: str, old: str, new: str) -> Refusal | None:
    """The old piece is in this rack; the new one is free, made in the same place of the metal drawn, and what was
    done on the old one and measured of it is done on the new one, and measured and found good."""
    rack, fresh = state.serials.get(serial), state.pieces[new]
    if rack is None or old not in rack.pieces:
        return no("RW517", old, f"{old} is not in {serial}", "check the label")
    if new == old or fresh.state != "made" or fresh.serial not in ("", serial):
        return no("RW517", new, f"{new} is {fresh.state} for {fresh.serial or 'no rack'}", "make a new piece")
    if not fresh.heat and not fresh.lot:
        return no("RW510", new, f"{new} has no heat", "make it of stock whose heat is known")
    place, wanted = (role(state, rack.revision, piece) for piece in (new, old))
    if place != wanted:
        return no("RW517", new, f"{new} was made as {place}, not as {wanted}", "take the piece of that place")
    wrong = as_drawn(state, fresh.stock_id, rack.revision, [new])
    lacking = [step for step in state.pieces[old].done if step != "assemble" and step not in fresh.done]
    if wrong is None and lacking:
        wrong = no(
            "RW518", new, f"{new} has not had {lacking[0]}, as {old} has", f"do and record {lacking[0]}"
        )
    names = list(dict.fromkeys(each.characteristic for each in (*state.measured(old), *state.measured(new))))
    if wrong is None and not names:
        wrong = no("RW515", new, f"{new} is not measured", "measure it")
    return wrong or piece_complete(state, new, names) or not_red_lined(state, piece=new)


@dataclass(frozen=True)
class Mended:
    """What a replacement is as work on its rack: its number and data (a reference, never an approval), the joints taken
    apart for it, what is measured anew of the rack, and the fate of the old piece."""

    work: str
    holder: str
    date: str
    joints: tuple[str, ...]
    fate: str
    place: str = ""  # where it is kept
    unusable: Unusable | None = None
    anew: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def body(self) -> dict[str, object]:
        how: dict[str, str | bool] = self.unusable.to_json() if self.unusable else {}
        gone = {"what": self.fate, **how} | ({"place": self.place} if self.place else {})
        said: dict[str, object] = {"work": self.work, "holder": self.holder, "date": self.date, "fate": gone}
        more = {"joints": list(self.joints), "characteristics": named_anew(self.anew)}
        return said | {name: value for name, value in more.items() if value}


def may_be_mended(state: State, serial: str, mended: Mended, by: str, today: str) -> Refusal | None:
    """The rack is here; the work is new, by data of a day that has been; and it is said where the old piece is."""
    refused = first(
        in_hands(state, serial, "planned", "released", "back"),
        work_is_new(state, serial, mended.work),
        not_after(mended.work, mended.date, today),
    )
    if refused is None and mended.fate not in FATES:
        found = f"the piece taken out in work {mended.work} is {mended.fate!r:.40}"
        refused = no("RW517", mended.work, found, f"say what became of it: {', '.join(FATES)}")
    if refused is None and mended.fate == "kept" and not mended.place.strip():
        refused = no(
            "RW517", mended.work, f"the piece taken out in work {mended.work} is kept nowhere", "say where"
        )
    if refused is None and mended.fate == "scrapped":
        refused = was_made_unusable(
            state, by, f"the piece taken out in work {mended.work}", mended.unusable, today
        )
    return refused


def replace_piece(
    station: Station, serial: str, old: str, new: str, reason: str, document: str, mended: Mended, act_id: str = ""
) -> Appended:  # fmt: skip
    """Put a new piece in the place of an old one of a serial. The joints taken apart for it, and the rack's weight, are
    asked for anew; a rack that was released goes back to service before it leaves."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = person_may(state, station.person, "lead", station.today)
        absent = [piece for piece in (old, new) if piece not in state.pieces]
        if refused is None and absent:
            refused = no("RW503", absent[0], f"{absent[0]} is not in the record", "make and measure it first")
        refused = refused or may_be_mended(state, serial, mended, station.person, station.today)
        refused = refused or fits(state, serial, old, new) or not_held(state, piece=new)
        body: dict[str, object] = {
            "serial": serial, "old": old, "new": new, "reason": reason, "document": document, **mended.body(),
        }  # fmt: skip
        return refused or [Draft("replace", body, Refs.of(pieces=[old, new], serials=[serial]))]

    return perform(station, "replace", decide, act_id)

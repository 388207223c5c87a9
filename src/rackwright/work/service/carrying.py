"""What a rack carries: another box in an item's place, or none, by its customer where it flies or by the shop here.

A swap is a fact and is recorded, whatever comes of it. The margins are computed anew with all that the rack carries
then, by the same code as ever, and the least is recorded with it and said: a negative one, or one that cannot be
computed, plainly. Nothing here lets a rack fly; a negative margin keeps it from going back to service.

A box that is moved leaves its holes in the panel (`holes.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rackwright.design import Design
from rackwright.record import Appended, Refs, State
from rackwright.record.service import Carried
from rackwright.trouble import Fault, Refusal, Stopped, Where
from rackwright.units import QuantityError, parse_quantity
from rackwright.work.engineering.metal_as_made import NOT_ASSESSED
from rackwright.work.gates import first, person_may
from rackwright.work.people.founding import LEAD
from rackwright.work.service.holes import left_by, place_of, with_holes
from rackwright.work.service.maintained import Maintained, as_maintained
from rackwright.work.service.standing_gates import HOLES, holes_answered, may_be_swapped
from rackwright.work.station import Draft, Station, perform

__all__ = ["Swap", "least_of", "least_words", "swap"]


@dataclass(frozen=True)
class Swap:
    """What stands in an item's place from now on: quantities as text with units, "" or () where nothing changes."""

    item: str
    by_whom: str
    document: str
    out: bool = False
    part: str = ""
    box: str = ""
    mass: str = ""
    cg: tuple[str, ...] = ()
    shelf: str = ""
    at: tuple[str, ...] = ()
    day: str = ""
    holes: str = ""  # what becomes of those that it leaves: open, filled
    nonconformance: str = ""  # whose repair fills them

    def body(self, serial: str) -> dict[str, object]:
        said: dict[str, object] = {"serial": serial, "item": self.item, "by_whom": self.by_whom,
                                   "document": self.document}  # fmt: skip
        more: dict[str, object] = {
            "out": self.out, "part": self.part, "box": self.box, "mass": self.mass, "cg": list(self.cg),
            "shelf": self.shelf, "at": list(self.at), "day": self.day,
            "holes": self.holes, "nonconformance": self.nonconformance,
        }  # fmt: skip
        return said | {name: value for name, value in more.items() if value}

    def carried(self) -> Carried:
        return Carried(self.item, self.by_whom, self.document, self.day, self.out, self.part, self.box, self.mass,
                       self.cg, self.shelf, self.at, 0)  # fmt: skip


def swap(station: Station, serial: str, said: Swap, design: Design, act_id: str = "") -> Appended:
    """Record a swap with the least margin that the rack has then; `design` is the frozen one.

    Raises Stopped: every fault of what is said (RW504, or a quantity's own); the gate's refusal.
    """
    _readable(said, design)
    get = station.record.get_file
    item = next(one for one in design.rack.definition.equipment if one.name == said.item)

    def decide(state: State) -> list[Draft] | Refusal:
        before = state.carried.get(serial, {}).get(said.item)
        left = left_by(item, before, said.carried())
        refused = first(
            person_may(state, station.person, LEAD, station.today),
            may_be_swapped(state, serial, said.by_whom, said.day, station.today),
            holes_answered(state, serial, said.item, left, said.holes, said.nonconformance),
        )
        if refused is not None:
            return refused
        body = said.body(serial) | {"place": place_of(item, said.carried())}
        body |= {"left": list(left)} if left else {}
        now = {**state.carried.get(serial, {}), said.item: with_holes(before, said.carried(), body)}
        least = least_of(as_maintained(state, design, serial, get, now))
        return [Draft("swap", body | {"least": least}, Refs.of(serials=[serial]))]

    return perform(station, "swap", decide, act_id)


def _readable(said: Swap, design: Design) -> None:
    """An item and shelf of the definition, and quantities that can be read."""
    d, faults = design.rack.definition, list[Fault]()
    items = {one.name: one for one in d.equipment}
    shelves = [one.name for one in d.shelf]
    if said.item not in items:
        do = f"one of {', '.join(items) or 'none'}; what the definition has no place for needs a revision"
        faults.append(
            Fault("RW504", Where("swap", 0, "item"), f"{said.item!r:.60} is no item of this rack", do)
        )
    elif (said.shelf or said.at) and items[said.item].on_shelf is None:
        faults.append(
            Fault("RW504", Where("swap", 0, "shelf"), f"{said.item} stands on no shelf", "leave it out")
        )
    if said.shelf and said.shelf not in shelves:
        found = f"{said.shelf!r:.60} is no shelf of this rack"
        faults.append(Fault("RW504", Where("swap", 0, "shelf"), found, f"one of {', '.join(shelves)}"))
    for name, texts, needed in (("cg", said.cg, 3), ("at", said.at, 2)):
        if texts and len(texts) != needed:
            found = f"{len(texts)} lengths are given"
            faults.append(
                Fault("RW504", Where("swap", 0, name), found, f"give {needed}, as in 4 in, 5 in, 3 in")
            )
    if said.holes not in ("", *HOLES):
        faults.append(
            Fault("RW504", Where("swap", 0, "holes"), f"{said.holes!r:.60}", f"one of {', '.join(HOLES)}")
        )
    read = [("mass", said.mass, "mass"), *(("cg", one, "length") for one in said.cg)]
    for name, text, dimension in (*read, *(("at", one, "length") for one in said.at)):
        try:
            value = parse_quantity(text, dimension) if text else None
            if name == "mass" and value is not None and value <= 0:
                faults.append(Fault("RW504", Where("swap", 0, name), f"{text!r:.60} is no mass of a box",
                                    "give what it weighs; out=yes where nothing is there"))  # fmt: skip
        except QuantityError as error:
            faults.append(Fault(error.code, Where("swap", 0, name), error.found, error.do))
    if said.out and (said.mass or said.cg or said.part or said.box or said.shelf or said.at):
        faults.append(Fault("RW504", Where("swap", 0, "out"), "nothing is there, and something is",
                            "give either out=yes or what is there"))  # fmt: skip
    if not said.out and not said.mass:
        faults.append(Fault("RW504", Where("swap", 0, "mass"), "the box has no mass",
                            "give its mass as its document states it; or out=yes"))  # fmt: skip
    if faults:
        raise Stopped(faults)


def least_of(now: Maintained) -> dict[str, str]:
    """The least margin as the rack is then, as texts, or why there is none."""
    if now.not_assessed:
        return {"not_assessed": now.not_assessed[0]}
    margins = now.design.strength.margins
    missing = next((one for one in margins if one.margin is None), None)
    least = min(
        (one for one in margins if one.margin is not None), key=lambda one: one.margin or 0.0, default=None
    )
    if least is None or missing is not None:
        return {
            "not_assessed": f"{missing.id}: {missing.why_missing}" if missing else "no margin is computed"
        }
    told = {"margin": f"{least.margin:.6f}", "piece": least.piece, "check": least.mode, "case": least.case}
    refusals = now.design.refusals()
    return told | ({"refused": refusals[0].found} if refusals else {})


def least_words(least: Mapping[str, str]) -> str:
    """In words, as a person reads it after a swap."""
    if "not_assessed" in least:
        return f"{NOT_ASSESSED}: {least['not_assessed']}"
    said = f"least margin {float(least['margin']):+.3f}: {least['check']}, {least['piece']}, case {least['case']}"
    if float(least["margin"]) < 0:
        return f"NEGATIVE MARGIN. {said}"
    return f"NO: {least['refused']}; {said}" if "refused" in least else said

"""Work on a rack that was released: inspection, rework to the drawing, a repair, a coat stripped.

Each names its data: document, holder and date, a reference that approves nothing. A repair is what the holder of the
design approval accepted in a disposition, and names that document. What was undone (a joint taken apart, a coat taken
off) is asked for anew before the rack may go back to service; so is what is measured of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, lot_may_be_used, no, person_may
from rackwright.work.people.founding import ASSEMBLY, INSPECTOR
from rackwright.work.service.coming_back import in_hands, not_after
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import lot_was_drawn

__all__ = ["KINDS", "ROLE_OF", "STRIPPED", "Done", "may_be_done", "named_anew", "service_work"]

KINDS = ("inspection", "rework", "repair", "strip")
ROLE_OF = {"inspection": INSPECTOR}  # all else is assembly's
#: steps that a strip undoes, where they were done
STRIPPED = ("pretreat", "coat", "bake", "bond_pads")


@dataclass(frozen=True)
class Done:
    """What was done, by whose data. `anew`: what is to be measured of a piece, or of the rack, again."""

    work: str  # its number
    kind: str
    text: str
    document: str
    holder: str
    date: str
    pieces: tuple[str, ...] = ()
    joints: tuple[str, ...] = ()
    nonconformance: str = ""
    method: str = ""
    lots: tuple[str, ...] = ()
    anew: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    @property
    def steps(self) -> tuple[str, ...]:
        return STRIPPED if self.kind == "strip" else ()

    def body(self, serial: str) -> dict[str, object]:
        """Of the event; what is empty is left out."""
        said: dict[str, object] = {
            "serial": serial, "work": self.work, "kind": self.kind, "text": self.text, "document": self.document,
            "holder": self.holder, "date": self.date,
        }  # fmt: skip
        more: dict[str, object] = {
            "nonconformance": self.nonconformance, "pieces": list(self.pieces), "joints": list(self.joints),
            "steps": list(self.steps), "method": self.method, "lots": list(self.lots),
            "characteristics": named_anew(self.anew),
        }  # fmt: skip
        return said | {name: value for name, value in more.items() if value}


def named_anew(anew: Mapping[str, Iterable[str]]) -> list[dict[str, object]]:
    """What is measured anew, as an event names it."""
    return [{"about": about, "names": list(names)} for about, names in anew.items() if names]


def service_work(station: Station, serial: str, done: Done, act_id: str = "") -> Appended:
    """Record work on a rack that is back, or that was released and is still here: its release stands no longer."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, ROLE_OF.get(done.kind, ASSEMBLY), station.today),
            may_be_done(state, serial, done, station.today),
            *(lot_was_drawn(state, lot, serial) for lot in done.lots),
            *(lot_may_be_used(state, lot, station.today) for lot in done.lots),
        )
        refs = Refs.of(pieces=done.pieces, serials=[serial], lots=done.lots)
        return refused or [Draft("service_work", done.body(serial), refs)]

    return perform(station, "service_work", decide, act_id)


def may_be_done(state: State, serial: str, done: Done, today: str) -> Refusal | None:
    """The rack is here; the work has a number of its own, a kind, its pieces, joints of the rack, and its data."""
    return (
        in_hands(state, serial, "back", "released")
        or work_is_new(state, serial, done.work)
        or _kind(done)
        or not_after(done.work, done.date, today)
        or _of_this_rack(state, serial, done.pieces, done.joints)
        or _stripped(state, done)
        or _accepted(state, serial, done)
    )


def work_is_new(state: State, serial: str, work: str) -> Refusal | None:
    kept = state.service.get(serial)
    if kept is None or all(one.work != work for one in kept.works):
        return None
    return no("RW517", work, f"work {work} on {serial} is in the record", "give it its own number")


def _kind(done: Done) -> Refusal | None:
    if done.kind not in KINDS:
        return no("RW517", done.work, f"{done.kind!r:.40} is no kind of work", f"one of {', '.join(KINDS)}")
    if done.kind != "inspection" and not done.pieces:
        return no("RW517", done.work, f"{done.kind} {done.work} names no piece", "name what was worked on")
    if done.kind == "strip" and not done.method.strip():
        return no("RW517", done.work, f"strip {done.work} states no method", "say how the coat was taken off")
    return None


def _of_this_rack(state: State, serial: str, pieces: Sequence[str], joints: Sequence[str]) -> Refusal | None:
    rack = state.serials[serial]
    for piece in pieces:
        made = state.pieces.get(piece)
        if made is None or piece not in rack.pieces or made.state != "assembled":
            return no("RW517", piece, f"{piece} is not in {serial}", "check the label")
    tight = {*rack.joints, *(state.service[serial].loose if serial in state.service else ())}
    for joint in joints:
        if joint not in tight:
            return no("RW503", joint, f"{joint} is no joint of {serial}", "name it as on the torque card")
    return None


def _stripped(state: State, done: Done) -> Refusal | None:
    for piece in done.pieces if done.kind == "strip" else ():
        if not any(step in state.pieces[piece].done for step in STRIPPED):
            return no("RW518", piece, f"{piece} was never coated", "name the pieces that were")
    return None


def _accepted(state: State, serial: str, done: Done) -> Refusal | None:
    """A repair is by the document in which its disposition was accepted."""
    about = state.nonconformances.get(done.nonconformance)
    if done.nonconformance and about is None:
        found = f"{done.nonconformance} is not in the record"
        return no("RW503", done.nonconformance, found, "check its number")
    if about is not None and not {serial, *state.serials[serial].pieces} & {*about.serials, *about.pieces}:
        found = f"{done.nonconformance} is on nothing of {serial}"
        return no("RW517", done.nonconformance, found, "name that of this rack")
    if done.kind != "repair":
        return None
    if about is None or about.decision != "repair":
        found = f"repair {done.work} follows no disposition `repair` that the holder accepted"
        do = "raise a nonconformance, and have its repair accepted by the holder of the design approval"
        return no("RW520", done.work, found, do)
    if about.document != done.document:
        found = f"{about.nonconformance} is to be repaired by {about.document}, not by {done.document}"
        return no("RW520", done.work, found, "work by the accepted document, and name it")
    return None

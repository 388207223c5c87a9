"""A red line or engineering change after work began: what was done by the old drawing and is done anew by the new one.

It names pieces or racks, and the steps and characteristics recorded of them that the change undoes. Each is struck off
by the next record of it, good or bad (whether a value is within its limits is another gate's question); until none is
left no piece of them is assembled and no rack of them released (`station_gates.not_red_lined`). A named person may lift
the rest with a reason. Which steps a change undoes is a person's judgement: nothing is inferred from the drawing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rackwright.record import Appended, Refs, State
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, person_may, serial_known
from rackwright.work.metal.counting import one_of
from rackwright.work.people.founding import ENGINEER, LEAD
from rackwright.work.station import Draft, Station, perform
from rackwright.work.station_gates import STEPS

__all__ = ["DRAWERS", "Change", "lift_red_line", "may_be_lifted", "may_be_red_lined", "red_line"]

DRAWERS = (LEAD, ENGINEER)


@dataclass(frozen=True)
class Change:
    """What is changed: the revision, in words, by which document, and who decided it."""

    revision: str
    text: str
    document: str
    decided_by: str


def red_line(
    station: Station, name: str, change: Change, pieces: Sequence[str] = (), serials: Sequence[str] = (),
    steps: Sequence[str] = (), characteristics: Sequence[str] = (), act_id: str = "",
) -> Appended:  # fmt: skip
    """Every one of `steps` is done anew on every piece, every one of `characteristics` measured anew of each piece and
    rack. What differs from piece to piece is a red line of its own."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            one_of(state, station.person, DRAWERS, station.today),
            may_be_red_lined(state, name, change, pieces, serials, steps, characteristics),
        )
        if refused is not None:
            return refused
        body: dict[str, object] = {
            "red_line": name, "revision": change.revision, "text": change.text, "document": change.document,
            "decided_by": change.decided_by,
        }  # fmt: skip
        lists = {"pieces": pieces, "serials": serials, "steps": steps, "characteristics": characteristics}
        body |= {key: list(names) for key, names in lists.items() if names}
        racks = [*serials, *(state.pieces[piece].serial for piece in pieces)]
        return [Draft("red_line", body, Refs.of(pieces=pieces, serials=racks))]

    return perform(station, "red_line", decide, act_id)


def lift_red_line(station: Station, name: str, reason: str, document: str = "", act_id: str = "") -> Appended:
    """What is left of it need not be done anew: a named person and a reason."""

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, LEAD, station.today), may_be_lifted(state, name, reason)
        )
        if refused is not None:
            return refused
        red = state.red_lines[name]
        racks = [*red.serials, *(state.pieces[piece].serial for piece in red.pieces)]
        body = {"red_line": name, "reason": reason} | ({"document": document} if document else {})
        return [Draft("red_line_lifted", body, Refs.of(pieces=red.pieces, serials=racks))]

    return perform(station, "red_line_lifted", decide, act_id)


# --- the gates -----------------------------------------------------------------------------------


def may_be_red_lined(
    state: State, name: str, change: Change, pieces: Sequence[str], serials: Sequence[str], steps: Sequence[str],
    characteristics: Sequence[str],
) -> Refusal | None:  # fmt: skip
    """A number of its own, a frozen revision, words, a document and who decided; and something recorded to undo."""
    if name in state.red_lines:
        return no("RW517", name, f"{name} is in the record", "give the red line its own number")
    if change.revision not in state.revisions:
        return no(
            "RW514", change.revision, f"revision {change.revision} is not frozen", "name the frozen one"
        )
    blank = next(
        (field for field in ("text", "document", "decided_by") if not getattr(change, field).strip()), ""
    )
    if blank:
        return no(
            "RW517",
            name,
            f"{blank} of {name} is empty",
            "say what is changed, by which document, who decided",
        )
    if not (pieces or serials) or not (steps or characteristics):
        found, do = (
            f"{name} undoes nothing",
            "name pieces or serials, and the steps or characteristics of them",
        )
        return no("RW517", name, found, do)
    if steps and not pieces:
        return no("RW517", name, "steps are recorded of pieces, and none is named", "name the pieces")
    return first(
        *(serial_known(state, serial) or _still_here(state, serial) for serial in serials),
        *(_of_piece(state, piece, steps) for piece in pieces),
        *_measured(state, (*pieces, *serials), characteristics),
    )


def _still_here(state: State, serial: str) -> Refusal | None:
    rack = state.serials.get(serial)
    if rack is None or rack.state in ("planned", "back"):
        return None
    return no("RW517", serial, f"{serial} is {rack.state}", "what has left the gates is recalled")


def _of_piece(state: State, piece: str, steps: Sequence[str]) -> Refusal | None:
    """In the shop, and each of the steps recorded of it."""
    made = state.pieces.get(piece)
    if made is None:
        return no("RW503", piece, f"{piece} is not in the record", "check the label")
    if made.state in ("scrapped", "replaced"):
        return no("RW517", piece, f"{piece} is {made.state}", "name what is still there")
    unknown = next((step for step in steps if step not in STEPS), "")
    if unknown:
        return no("RW517", unknown, f"{unknown!r:.60} is not a step of the route", f"name {', '.join(STEPS)}")
    absent = next((step for step in steps if step not in made.done), "")
    if absent:
        return no(
            "RW517", piece, f"{absent} of {piece} is not recorded: nothing of it is undone", "leave it out"
        )
    return _still_here(state, made.serial)


def _measured(state: State, names: Sequence[str], characteristics: Sequence[str]) -> Iterable[Refusal | None]:
    for name in names:
        found = {each.characteristic for each in state.measured(name) if name == (each.piece or each.serial)}
        for each in characteristics:
            if each not in found:
                words = f"{each} of {name} is not measured: nothing of it is undone"
                yield no("RW517", name, words, "leave it out")


def may_be_lifted(state: State, name: str, reason: str) -> Refusal | None:
    """Something of it is left, and a reason is given."""
    red = state.red_lines.get(name)
    if red is None or not red.left:
        return no("RW503", name, f"{name} is not an open red line", "check its number")
    return (
        None if reason.strip() else no("RW517", name, "no reason is given", "give the reason for lifting it")
    )

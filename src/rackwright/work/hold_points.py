"""Hold points: work on a piece or rack stops until an inspector who did not make it has signed.

Which hold points a rack has was frozen with its revision (`values.hold_points`); a revision that an older program
froze, or one frozen without the shop's file and so without a route, asks none. What is done anew, or undone by a red
line, takes with it every sign-off that came after it (`record/fold_points.py`). Pure functions of what the record
holds: the gates of the next step ask them before an act, the judge of an audit after it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rackwright.record import State
from rackwright.record.state import Piece, Serial
from rackwright.work.gates import Maybe, first, no, not_held, not_the_assembler
from rackwright.work.route import ON_PIECES, ON_RACK, STEPS, operation, points_before, steps_before, takes

__all__ = ["may_be_signed_off", "points_asked", "points_signed", "rack_points_signed", "signed_whole"]


def points_asked(state: State, serial: str, revision: str = "") -> tuple[str, ...]:
    """The hold points that the revision of a rack (or of a piece of none) was frozen with."""
    rack = state.serials.get(serial)
    frozen = state.revisions.get(rack.revision if rack else revision)
    return tuple(frozen.values.get("hold_points", ())) if frozen else ()


def points_of_piece(state: State, made: Piece) -> tuple[str, ...]:
    """Those that this piece passes, of its kind and as it was coated."""
    kind, coated = kind_of(made.piece), "coat" in made.done
    asked = points_asked(state, made.serial, made.revision)
    return tuple(one for one in asked if one in ON_PIECES and takes(operation(one), kind, coated))


def kind_of(piece: str) -> str:
    """Pieces are SERIAL/kind.place."""
    return piece.partition("/")[2].partition(".")[0]


def points_signed(state: State, made: Piece, wanted: Sequence[str]) -> Maybe:
    """Each of the hold points wanted, of those that this piece passes, is signed off and stands."""
    standing = state.hold_points.get(made.piece, {})
    for point in points_of_piece(state, made):
        if point in wanted and point not in standing:
            return _not_signed(state, made.piece, point, made.makers)
    return None


def rack_points_signed(state: State, serial: str, wanted: Sequence[str]) -> Maybe:
    """The same of an assembled rack. A rack that is not there is another's question."""
    rack, standing = state.serials.get(serial), state.hold_points.get(serial, {})
    for point in points_asked(state, serial) if rack else ():
        if point in wanted and point in ON_RACK and point not in standing:
            return _not_signed(state, serial, point, _assemblers(rack))
    return None


def signed_whole(state: State, serial: str) -> Maybe:
    """Before a rack leaves: every hold point of it and of its pieces is signed off."""
    rack = state.serials.get(serial)
    made = [state.pieces[name] for name in (rack.pieces if rack else ()) if name in state.pieces]
    pieces = (
        points_signed(state, one, ON_PIECES) for one in made if one.state not in ("scrapped", "replaced")
    )
    return first(*pieces, rack_points_signed(state, serial, ON_RACK))


def _assemblers(rack: Serial | None) -> tuple[str, ...]:
    return tuple(joint["by"] for joint in rack.joints.values()) if rack else ()


def _not_signed(state: State, about: str, point: str, makers: Iterable[str]) -> Maybe:
    found = f"hold point {point} of {about} is not signed off: {operation(point).hold}"
    known = [one.person for one in state.persons.values() if one.active and "inspector" in one.roles]
    may = [person for person in known if person not in set(makers)]
    who = f"an inspector who did not make it ({', '.join(may) or 'nobody of the shop now'})"
    return no("RW555", about, found, f"{who} signs it: rackwright log hold_point point={point}")


# --- signing -------------------------------------------------------------------------------------


def may_be_signed_off(
    state: State, person: str, point: str, pieces: Sequence[str], serials: Sequence[str]
) -> Maybe:
    """A hold point of what is named, whose step is done and stands, by somebody who did not do it. Whether everything
    was measured that the definition asks there, the verb asks besides."""
    if point not in (*ON_PIECES, *ON_RACK):
        found, do = f"{point!r:.60} is no hold point", f"name one of {', '.join((*ON_PIECES, *ON_RACK))}"
        return no("RW517", point, found, do)
    about, other = (pieces, serials) if point in ON_PIECES else (serials, pieces)
    if not about or other:
        what = "pieces" if point in ON_PIECES else "racks"
        return no("RW517", point, f"{point} is a hold point of {what}", f"name the {what} alone")
    twice = next((name for n, name in enumerate(about) if name in about[:n]), "")
    if twice:
        return no("RW517", twice, f"{twice} is named twice", "name each once")
    of = _piece if point in ON_PIECES else _rack
    return first(*(of(state, person, point, name) or _once(state, name, point) for name in about))


def _once(state: State, about: str, point: str) -> Maybe:
    before = state.hold_points.get(about, {}).get(point)
    if before is None:
        return None
    found = f"{point} of {about} was signed off by {before.by} (event {before.seq})"
    return no("RW517", about, found, "it stands; leave it out")


def _piece(state: State, person: str, point: str, name: str) -> Maybe:
    made = state.pieces.get(name)
    if made is None:
        return no("RW503", name, f"{name} is not in the record", "check the label")
    if made.state not in ("made", "assembled"):
        return no("RW517", name, f"{name} is {made.state}", "only a piece in the shop is signed off")
    kind = kind_of(name)
    if point not in points_of_piece(state, made):
        found = f"{name} has no hold point {point}, as far as it is made"
        return no("RW517", name, found, "sign those of its traveler")
    for step in (point,) if point in STEPS else steps_before(point, kind):
        if step not in made.done:
            return no("RW518", name, f"{point} of {name} before {step}", f"do and record {step} first")
    if person in made.makers:
        return no("RW516", name, f"{person} made {name}", "an inspector who did not must sign it off")
    return first(
        points_signed(state, made, points_before(point, kind)),
        _anew(state, name, point),
        not_held(state, piece=name),
    )


def _anew(state: State, name: str, point: str) -> Maybe:
    """No red line asks for the step anew; at an inspection, for nothing anew that was before it."""
    for red in state.red_lines.values():
        for about, what in red.left:
            if about == name and (what == point or point not in STEPS):
                found = f"red line {red.red_line} ({red.document}): {what} of {name} is not done anew"
                return no("RW550", name, found, "do or measure it anew and record it first")
    return None


def _rack(state: State, person: str, point: str, serial: str) -> Maybe:
    rack = state.serials.get(serial)
    if rack is None:
        return no("RW503", serial, f"serial {serial} is not in the record", "check the number")
    if point not in points_asked(state, serial):
        return no("RW517", serial, f"{serial} has no hold point {point}", "sign those of its traveler")
    if rack.state != "planned":
        return no("RW517", serial, f"{serial} is {rack.state}", "it was signed off before it left, or never")
    loose = next((one.piece for one in state.pieces.bearing("serial", serial) if one.state == "made"), "")
    if loose or not rack.joints:
        found = f"{point} of {serial} before {loose or 'it'} is assembled"
        return no("RW518", serial, found, "assemble it whole and record it first")
    before = () if point == "assemble" else ("assemble",)
    return first(
        not_the_assembler(state, person, serial), rack_points_signed(state, serial, before),
        _anew(state, serial, point), not_held(state, serial=serial),
    )  # fmt: skip

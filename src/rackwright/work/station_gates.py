"""The gates of the stations after the saw: may this person work on, send out, measure, assemble, weigh this now?

Pure functions of what the record holds, as those of `gates.py`; verbs ask them before an act, the judge of an audit
after it. They open without the engineering libraries: what only the definition knows is asked by the verbs.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import State
from rackwright.work.gates import Maybe, accepted_as_is, no, not_held, serial_known
from rackwright.work.hold_points import kind_of, points_signed, rack_points_signed
from rackwright.work.route import STEPS, points_before, steps_before

__all__ = [
    "STEPS",
    "away_at",
    "comes_with_certificate",
    "lot_was_drawn",
    "named_once",
    "not_its_inspector",
    "not_its_maker",
    "not_red_lined",
    "piece_may_be_assembled",
    "piece_may_be_worked_on",
    "rack_here",
    "rack_is_bolted_up",
    "rack_may_be_weighed",
    "steps_before",
    "supplier_may",
    "weight_agrees",
]


def rack_here(state: State, serial: str) -> Maybe:
    """Is there such a rack, and not scrapped?"""
    if serial in state.serials and state.serials[serial].state == "scrapped":
        return no(
            "RW517", serial, f"{serial} is scrapped", "nothing is done on it any more; check the number"
        )
    return serial_known(state, serial)


# --- steps of the route ---------------------------------------------------------------------------


def piece_may_be_worked_on(state: State, name: str, piece: str) -> Maybe:
    """In the shop, not held, and every step done and hold point signed off that the route asks for before this one.
    What stands in a rack is worked on only where the rack came back."""
    made = state.pieces.get(piece)
    if made is None:
        return no("RW503", piece, f"{piece} is not in the record", "check the label")
    rack = state.serials.get(made.serial)
    if made.state != "made" and not (made.state == "assembled" and rack is not None and rack.state == "back"):
        return no("RW517", piece, f"{piece} is {made.state}", "only a piece in the shop can be worked on")
    kind = kind_of(piece)
    for needed in steps_before(name, kind):
        if needed not in made.done:
            return no("RW518", piece, f"{name} on {piece} before {needed}", f"do and record {needed} first")
    return not_held(state, piece=piece) or points_signed(state, made, points_before(name, kind))


def not_its_inspector(state: State, person: str, piece: str, measured: int) -> Maybe:
    """What somebody measured, in event `measured` (0 never), and that measurement stands, he does not work on
    afterwards; of a piece made anew under the same id nobody measured anything yet."""
    made = state.pieces.get(piece)
    if not measured or (made is not None and measured < made.seq):
        return None
    return no("RW516", piece, f"{person} measured {piece}", "another person must work on it")


# --- outside work ---------------------------------------------------------------------------------


def supplier_may(state: State, supplier: str, process: str, today: str) -> Maybe:
    """A recorded supplier whose scope holds the process and has not ended."""
    known = state.suppliers.get(supplier)
    if known is None or process not in known.scope:
        found, do = f"{supplier} is not recorded for {process}", "record the supplier's scope"
        return no("RW516", supplier, found, do)
    if known.until and known.until < today:
        return no("RW516", supplier, f"{supplier}'s scope ended on {known.until}", "renew it, or use another")
    return None


def named_once(pieces: Sequence[str]) -> Maybe:
    """Counted once each."""
    twice = next((piece for n, piece in enumerate(pieces) if piece in pieces[:n]), None)
    return no("RW517", twice, f"{twice} is named twice", "count each piece once") if twice else None


def away_at(state: State, piece: str, supplier: str, process: str) -> Maybe:
    """It is away, with this supplier, for this process."""
    gone = state.pieces.get(piece)
    if gone is None or gone.state != "sent_out":
        return no("RW517", piece, f"{piece} was not sent out", "count against the list that went out")
    if (gone.at_supplier, gone.for_process) != (supplier, process):
        found = f"{piece} went to {gone.at_supplier} for {gone.for_process}, not to {supplier} for {process}"
        return no("RW517", piece, found, "compare the delivery note with what was sent out")
    return None


def comes_with_certificate(pieces: Sequence[str], supplier: str, process: str, certificate: str) -> Maybe:
    """What comes back has the number of a certificate."""
    if certificate or not pieces:
        return None
    return no("RW510", pieces[0], f"{process} by {supplier} comes without a certificate",
              "give the number of its certificate; until it is there they are not back")  # fmt: skip


# --- inspection -----------------------------------------------------------------------------------


def not_its_maker(state: State, person: str, piece: str) -> Maybe:
    """In the shop, and who made it does not measure it."""
    made = state.pieces.get(piece)
    if made is None:
        return no("RW503", piece, f"{piece} is not in the record", "check the label")
    if made.state not in ("made", "assembled"):
        return no("RW517", piece, f"{piece} is {made.state}", "only a piece in the shop is measured")
    if person in made.makers:
        return no("RW516", piece, f"{person} made {piece}", "another inspector must measure it")
    return None


def rack_is_bolted_up(state: State, serial: str) -> Maybe:
    """Its points are measured once joints of it are tightened, and that is signed off.
    A rack that is not there is another's question."""
    if serial not in state.serials:
        return None
    if not state.serials[serial].joints:
        return no("RW524", serial, f"{serial} is not assembled", "measure it after it is bolted up")
    return rack_points_signed(state, serial, ("assemble",))


def rack_may_be_weighed(state: State, serial: str) -> Maybe:
    """Nothing of it lies loose, and what was found of it is signed off.
    A rack that is not there is another's question."""
    loose = next((piece for piece in state.pieces.bearing("serial", serial) if piece.state == "made"), None)
    if serial not in state.serials:
        return None
    if loose is None and state.serials[serial].joints:
        return rack_points_signed(state, serial, ("assemble", "inspect"))
    found = f"{loose.piece} is not assembled" if loose else f"{serial} is not assembled"
    return no("RW522", serial, found, "assemble the rack whole, then weigh it")


def weight_agrees(state: State, serial: str) -> Maybe:
    """Weighed, and near enough to the computed mass, or accepted as it is by the holder of the design approval."""
    rack = state.serials.get(serial)
    if rack is None or rack.weighed is None:
        return no("RW522", serial, f"{serial} is not weighed", "weigh it on its pads")
    if rack.weighed or accepted_as_is(state, serial, "weight", rack.weighing["seq"]):
        return None
    do = "find the difference, then weigh again; or the holder accepts it: a nonconformance on its `weight`"
    return no("RW522", serial, f"{serial} is too far from its computed mass", do)


# --- assembly -------------------------------------------------------------------------------------


def piece_may_be_assembled(state: State, serial: str, piece: str, must_be_baked: bool) -> Maybe:
    """A finished piece of this rack or of none, its hold points signed off, not held."""
    made = state.pieces.get(piece)
    if made is not None and made.serial not in ("", serial):
        return no(
            "RW517", piece, f"{piece} is of {made.serial}, not of {serial}", "take the piece of this rack"
        )
    if made is None or made.state != "made":
        return no(
            "RW517",
            piece,
            f"{piece} is {made.state if made else 'not made'}",
            "only a finished piece is assembled",
        )
    if must_be_baked and "bake" not in made.done:
        return no("RW518", piece, f"{piece} has not been baked", "coat and bake it first")
    kind = kind_of(piece)
    signed = points_signed(state, made, points_before("assemble", kind))
    return not_held(state, piece=piece) or not_red_lined(state, piece=piece) or signed


def not_red_lined(state: State, *, piece: str = "", serial: str = "") -> Maybe:
    """Nothing of it, nor of a rack's pieces, is still to be done or measured anew after a red line."""
    rack = state.serials.get(serial)
    names = {piece, serial, *(rack.pieces if rack else ())}
    for red in state.red_lines.values():
        for about, what in red.left:
            if about in names:
                found = f"red line {red.red_line} ({red.document}): {what} of {about} is not done anew"
                do = "do or measure it anew and record it; or the lead: rackwright log red_line_lifted"
                return no("RW550", about, found, do)
    return None


def lot_was_drawn(state: State, lot: str, serial: str) -> Maybe:
    """Hardware comes from a lot that was drawn for this rack."""
    rack = state.serials.get(serial)
    if rack is None or lot not in rack.lots:
        return no(
            "RW521", lot, f"lot {lot} was not drawn for {serial}", "draw the hardware from its lot first"
        )
    return None

"""Labels: put on metal when it comes in, on each piece as it comes off its bar, on the rest that goes back; and read.

A label is read as its symbol says (ISO/IEC 15434, as `papers/labels.py` prints it: id and heat must be those of what it
is put on) or as its number is typed; the record says which. No two things in the shop carry one label. Metal that bears
one is signed out by it: what is read off the metal at the saw or table is the label of that very bar, remnant or plate,
so that its neighbour is not taken. Where pieces of a visit were read as they came off, the visit is booked with these.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from rackwright.record import Appended, Refs, State, Stock
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, not_held, person_may
from rackwright.work.metal.counting import THERE, one_of
from rackwright.work.people.founding import MACHINING, RECEIVING, SAW
from rackwright.work.station import Draft, Station, perform

__all__ = [
    "LABELLERS",
    "AsRead",
    "as_read",
    "as_they_came_off",
    "came_off",
    "is_this_metal",
    "its_own_label",
    "label_stock",
    "may_be_labelled",
    "read_piece_label",
]

LABELLERS = (RECEIVING, SAW, MACHINING)


@dataclass(frozen=True)
class AsRead:
    """A label as it was read: the number typed, or the id and `heat` in its symbol (None: typed)."""

    said: str
    heat: str | None = None

    def to_json(self) -> dict[str, str]:
        return {"label": self.said} | ({} if self.heat is None else {"label_heat": self.heat})

    @classmethod
    def of(cls, body: Mapping[str, Any]) -> AsRead:
        """As an event keeps it."""
        return cls(body.get("label", ""), body.get("label_heat"))


def as_read(text: str) -> AsRead:
    """What a scanner or a person typed."""
    from rackwright.papers.labels import read_envelope

    try:
        found = read_envelope(text)
    except ValueError:
        return AsRead(text.strip())
    return AsRead(found.get("id", ""), found.get("heat", ""))


# --- stock ---------------------------------------------------------------------------------------


def label_stock(station: Station, stock_id: str, label: str, act_id: str = "") -> Appended:
    """A label was put on a bar, plate or lot and read back: anew where one was lost."""
    read = as_read(label)

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = one_of(state, station.person, LABELLERS, station.today)
        refused = refused or may_be_labelled(state, stock_id, read)
        if refused is not None or stock is None:
            return refused or []
        body = {"stock_id": stock_id, **read.to_json()}
        return [Draft("stock_label", body, Refs.of(heats=[stock.heat], lots=[stock.lot]))]

    return perform(station, "stock_label", decide, act_id)


def may_be_labelled(state: State, stock_id: str, label: AsRead) -> Refusal | None:
    """It is there, and the label is its own."""
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
    if stock.state not in THERE:
        return no("RW517", stock_id, f"{stock_id} to be labelled is {stock.state}", "label what is there")
    return its_own_label(state, stock_id, stock.heat or stock.lot, label)


def is_this_metal(state: State, stock_id: str, label: AsRead | None) -> Refusal | None:
    """The label read at the sign-out is that of just this bar, remnant or plate; metal that bears one is not signed out
    unread."""
    stock = state.stock.get(stock_id)
    if stock is None:
        return None  # which stock may be issued is another gate's question
    bears = f"{stock_id} bears label {stock.label}" if stock.label else f"{stock_id} bears no other label"
    if label is None:
        do = "read the label that is on the metal, and give it: label="
        return no("RW517", stock_id, f"{bears}, and nobody read it", do) if stock.label else None
    own = (stock_id, stock.heat)
    if (label.said, label.heat) == own if label.heat is not None else label.said == (stock.label or stock_id):
        return None
    said = label.said if label.heat is None else f"{label.said}, heat {label.heat}"
    found = f"the label read is {said or 'empty'}; {bears}, heat {stock.heat or 'unknown'}"
    return no("RW517", stock_id, found, "take the metal that is to be signed out, or sign out what was taken")


# --- pieces --------------------------------------------------------------------------------------


def read_piece_label(station: Station, piece: str, label: str, act_id: str = "") -> Appended:
    """A piece came off its bar, and the label put on it was read back."""
    read = as_read(label)

    def decide(state: State) -> list[Draft] | Refusal:
        bar = next(state.stock.bearing("planned", piece), None)
        refused = person_may(state, station.person, SAW, station.today)
        if refused is None and bar is None:
            refused = no(
                "RW511", piece, f"no bar is signed out for {piece}", "check the label; issue its bar first"
            )
        if refused is not None or bar is None:
            return refused or []
        wrong = came_off(state, bar, piece, read)
        body = {"piece": piece, "stock_id": bar.stock_id, **read.to_json()}
        return wrong or [Draft("label", body, Refs.of(heats=[bar.heat], pieces=[piece]))]

    return perform(station, "label", decide, act_id)


def came_off(state: State, bar: Stock, piece: str, label: AsRead) -> Refusal | None:
    """Once, off a bar that nobody holds, under a label of its own."""
    if piece in bar.off:
        return no("RW517", piece, f"{piece} came off {bar.stock_id} already", "read the label of this piece")
    return first(not_held(state, stock_id=bar.stock_id, heat=bar.heat),
                 its_own_label(state, piece, bar.heat, label))  # fmt: skip


def as_they_came_off(stock: Stock | None, pieces: Sequence[str]) -> Refusal | None:
    """Where pieces were read as they came off, the visit made just these."""
    if stock is None or not stock.off:
        return None
    for piece in pieces:
        if piece not in stock.off:
            return no("RW517", piece, f"the label of {piece} was not read when it came off {stock.stock_id}",
                      "read it: rackwright log label")  # fmt: skip
    for piece in stock.off:
        if piece not in pieces:
            return no(
                "RW517", piece, f"{piece} came off {stock.stock_id} and is not in the visit", "book it too"
            )
    return None


def its_own_label(state: State, id: str, heat: str, label: AsRead) -> Refusal | None:
    """The label is of just this, and on nothing else."""
    said = label.said
    if label.heat is not None and (said, label.heat) != (id, heat):
        found = f"the label read back is of {said}, heat {label.heat}; it is on {id}, heat {heat}"
        return no("RW517", id, found, "put on the label of this one, and read it")
    if said != id and (said in state.stock or said in state.pieces):
        return no("RW517", id, f"label {said} is that of another", "give it a label of its own")
    other = next((one for one in state.stock.ids("label", said) if one != id), None)
    if other is not None:
        return no("RW517", id, f"label {said} is on {other}", "give it a label of its own")
    return None

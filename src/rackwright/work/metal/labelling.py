"""Labels read back at the saw: each piece as it comes off the bar, one act a piece, and the rest that goes back.

A label is read as its symbol says (ISO/IEC 15434, as `papers/labels.py` prints it: id and heat must be those of what it
is put on) or as its number is typed. No two things in the shop carry one label. Where pieces of a visit were read as
they came off, the visit is booked with just these.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import Appended, Refs, State, Stock
from rackwright.trouble import Refusal
from rackwright.work.gates import first, no, not_held, person_may
from rackwright.work.station import Draft, Station, perform

__all__ = ["as_they_came_off", "its_own_label", "label_of", "read_piece_label"]

SAW = "saw"


def read_piece_label(station: Station, piece: str, label: str, act_id: str = "") -> Appended:
    """A piece came off its bar, and the label put on it was read back."""

    def decide(state: State) -> list[Draft] | Refusal:
        bar = next(state.stock.bearing("planned", piece), None)
        refused = person_may(state, station.person, SAW, station.today)
        if refused is None and bar is None:
            refused = no(
                "RW511", piece, f"no bar is signed out for {piece}", "check the label; issue its bar first"
            )
        if refused is not None or bar is None:
            return refused or []
        if piece in bar.off:
            return no(
                "RW517", piece, f"{piece} came off {bar.stock_id} already", "read the label of this piece"
            )
        wrong = first(not_held(state, stock_id=bar.stock_id, heat=bar.heat),
                      its_own_label(state, piece, bar.heat, label))  # fmt: skip
        body = {"piece": piece, "stock_id": bar.stock_id, "label": label_of(label)}
        return wrong or [Draft("label", body, Refs.of(heats=[bar.heat], pieces=[piece]))]

    return perform(station, "label", decide, act_id)


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


def its_own_label(state: State, id: str, heat: str, label: str) -> Refusal | None:
    """The label is of just this, and on nothing else."""
    said, of_heat = _read(label)
    if of_heat is not None and (said, of_heat) != (id, heat):
        found = f"the label read back is of {said}, heat {of_heat}; it is on {id}, heat {heat}"
        return no("RW517", id, found, "put on the label of this one, and read it")
    if said != id and (said in state.stock or said in state.pieces):
        return no("RW517", id, f"label {said} is that of another", "give it a label of its own")
    other = next((one for one in state.stock.ids("label", said) if one != id), None)
    if other is not None:
        return no("RW517", id, f"label {said} is on {other}", "give it a label of its own")
    return None


def label_of(label: str) -> str:
    """As it is recorded: the id in the symbol, or the number as typed."""
    return _read(label)[0]


def _read(label: str) -> tuple[str, str | None]:
    """Id and heat in a symbol; the text itself and no heat where it is typed."""
    from rackwright.papers.labels import read_envelope

    try:
        found = read_envelope(label)
    except ValueError:
        return label, None
    return found.get("id", ""), found.get("heat", "")

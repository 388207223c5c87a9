"""Where something went: the questions asked of a State when a heat, a lot or a gauge is in doubt, and
which events belong on a serial's dossier."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rackwright.record.envelope import Event
from rackwright.record.state import State

__all__ = ["Went", "events_of_serial", "where_gauge_went", "where_heat_went"]

_OF_THE_SHOP = ("quote", "agree", "hours", "invoice")


@dataclass(frozen=True)
class Went:
    """Where something went: stock, pieces, serials, sorted."""

    stock: tuple[str, ...]
    pieces: tuple[str, ...]
    serials: tuple[str, ...]


def where_heat_went(state: State, heat: str) -> Went:
    """All stock and pieces of a heat or lot (also a lot of outside work), and the serials they are in."""
    stock = [each.stock_id for each in state.stock.values() if heat in (each.heat, each.lot)]
    pieces = [each for each in state.pieces.values() if heat in (each.heat, each.lot, *each.outside_lots)]
    serials = {each.serial for each in pieces if each.serial}
    serials |= {each.serial for each in state.serials.values() if heat in each.lots}
    return Went(tuple(sorted(stock)), tuple(sorted(each.piece for each in pieces)), tuple(sorted(serials)))


def where_gauge_went(state: State, gauge: str) -> Went:
    """Everything a gauge passed, for the day it is found bad."""
    passed = [each for each in state.measurements if each.gauge == gauge and each.within]
    pieces = {each.piece for each in passed if each.piece}
    serials = {each.serial for each in passed if each.serial}
    serials |= {state.pieces[piece].serial for piece in pieces if piece in state.pieces} - {""}
    return Went((), tuple(sorted(pieces)), tuple(sorted(serials)))


def events_of_serial(events: Sequence[Event], state: State, serial: str) -> tuple[Event, ...]:
    """The events that belong on a serial's dossier: its own, its pieces', their heats', lots' and gauges',
    its order's and its revision's; and the corrections of any of these. A dossier goes where the rack goes: what was
    offered, paid and worked for it stays in the shop."""
    rack = state.serials.get(serial)
    pieces = {each.piece for each in state.pieces.values() if each.serial == serial} | set(
        rack.pieces if rack else ()
    )
    made_of = {state.pieces[piece] for piece in pieces if piece in state.pieces}
    heats = {each.heat for each in made_of}
    lots = {each.lot for each in made_of} | set(rack.lots if rack else ())
    gauges = {each.gauge for each in state.measurements if each.serial == serial or each.piece in pieces}
    order, revision = (rack.order, rack.revision) if rack else ("", "")
    chosen: set[int] = set()
    for event in events:
        refs, body = event.refs, event.body
        if event.type in _OF_THE_SHOP or "price" in body:
            continue
        named = (refs.serials, refs.pieces)
        own = serial in refs.serials or pieces & set(refs.pieces)
        means = not any(named) and (
            heats & set(refs.heats) or lots & set(refs.lots) or gauges & set(refs.gauges)
        )
        papers = (order and body.get("order") == order) or (revision and body.get("revision") == revision)
        question = event.type == "answer" and body.get("question") in _asked(state, order)
        if own or means or (papers and not any(named)) or question or event.corrects in chosen:
            chosen.add(event.seq)
    return tuple(event for event in events if event.seq in chosen)


def _asked(state: State, order: str) -> set[str]:
    return {each.question for each in state.questions.values() if each.order == order}

"""Effectivity of a revision: which serials were built to it, and which are still at it.

A rack is at its revision but for what was let depart from it, each with its document: a red line, a deviation used as
it is, a repair, a box that the definition does not name. A piece replaced by one to the drawing departs from nothing.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rackwright.record import State
from rackwright.trouble import Stopped
from rackwright.work.gates import no
from rackwright.work.serials.recalling import whereabouts

__all__ = ["At", "effectivity"]


@dataclass(frozen=True)
class At:
    """One serial of a revision, and everything in which it is not as that revision says."""

    serial: str
    order: str
    state: str
    where: str
    built: int  # the event of its release; 0: not built to it yet
    departs: tuple[str, ...]

    @property
    def at_it(self) -> bool:
        return bool(self.built) and not self.departs


def effectivity(state: State, revision: str) -> tuple[At, ...]:
    """Every serial of a frozen revision, in the order of their numbers. Raises Stopped (RW503)."""
    if revision not in state.revisions:
        raise Stopped(
            [no("RW503", revision, f"{revision} is not in the record", "give a serial, or PART rev LETTER")]
        )
    return tuple(
        At(one.serial, one.order, one.state, whereabouts(state, one.serial), one.released_seq,
           tuple(_departs(state, one.serial)))
        for one in sorted(state.serials.values(), key=lambda one: one.serial)
        if one.revision == revision
    )  # fmt: skip


def _departs(state: State, serial: str) -> Iterator[str]:
    rack = state.serials[serial]
    names = {serial, *rack.pieces}
    for red in state.red_lines.values():
        if names & {*red.serials, *red.pieces} and not red.lifted_seq:
            yield f"red line {red.red_line} ({red.document}): {red.text}"
    for one in state.nonconformances.values():
        if one.decision in ("use_as_is", "repair") and names & {*one.serials, *one.pieces}:
            yield f"{one.nonconformance} {one.decision.replace('_', ' ')} ({one.document}): {one.text}"
    for item in state.carried.get(serial, {}).values():
        what = "nothing in its place" if item.out else f"{item.part or 'another box'}, {item.mass}"
        yield from (f"{hole} open, where {item.item} was (event {item.seq})" for hole in item.open_holes)
        yield from (f"{hole} filled, where {item.item} was" for hole in item.filled)
        yield f"carries in place of {item.item} {what} ({item.document}, event {item.seq})"

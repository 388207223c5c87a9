"""What of a rack is asked for anew after work on it; only its definition knows.

The joints that hold a piece; of the whole rack what is measured once it is assembled, since a joint was taken apart;
of a stripped piece what is measured after its coat.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.making.coat import is_coated
from rackwright.making.inspected import characteristics_of
from rackwright.pieces.characteristics import RACK
from rackwright.record import State
from rackwright.shop import Shop
from rackwright.trouble import Fault, Stopped, Where
from rackwright.work.metal.drawn import in_place, role
from rackwright.work.service.working import Done

__all__ = ["coated", "joints_of", "rack_anew", "with_anew"]


def joints_of(state: State, design: Design, shop: Shop, serial: str, piece: str) -> tuple[str, ...]:
    """The joints of a rack that hold this piece and that were tightened here."""
    rack = state.serials.get(serial)
    place = role(state, rack.revision, piece) if rack else ""
    return tuple(
        joint.id
        for joint in assembly(design, shop).ours
        if rack is not None and place in joint.joins and joint.id in rack.joints
    )


def rack_anew(design: Design, shop: Shop, serial: str) -> dict[str, tuple[str, ...]]:
    """What is measured of the whole rack."""
    wanted = characteristics_of(design, shop)
    return {serial: tuple(one.name for one in wanted if one.piece == RACK)}


def coated(state: State, design: Design, serial: str) -> tuple[str, ...]:
    """The pieces of a rack that bear a coat, by their ids."""
    finish = design.rack.definition.finish
    named = [piece.id for piece in design.pieces.made if finish is not None and is_coated(finish, piece)]
    return tuple(in_place(state, serial, name) for name in named)


def with_anew(
    state: State, done: Done, design: Design, shop: Shop, serial: str, named: Sequence[str] = ()
) -> Done:
    """The work with what is measured anew: `named` of its pieces, what the nonconformance is about, and what follows
    of its kind and joints. Raises Stopped (RW504) for a name that none of its pieces has."""
    rack, anew = state.serials.get(serial), dict[str, list[str]]()
    wanted = characteristics_of(design, shop)
    about = state.nonconformances.get(done.nonconformance)
    asked = {*named, *((about.characteristic,) if about else ())}
    places = {role(state, rack.revision, piece): piece for piece in done.pieces} if rack else {}
    found = set()
    for one in wanted:
        of_coat = done.kind == "strip" and one.stage == "after coat"
        if one.piece in places and (one.name in asked or of_coat):
            anew.setdefault(places[one.piece], []).append(one.name)
            found.add(one.name)
    faults = _unknown(
        (name for name in named if name not in found), (one.name for one in wanted if one.piece in places)
    )
    if faults:
        raise Stopped(faults)
    more = rack_anew(design, shop, serial) if done.joints else {}
    made = {name: tuple(dict.fromkeys(each)) for name, each in anew.items()}
    return Done(**{**vars(done), "anew": {**made, **more}})


def _unknown(names: Iterable[str], there: Iterable[str]) -> list[Fault]:
    do = f"one of {', '.join(dict.fromkeys(there)) or 'those of its pieces'}"
    return [
        Fault(
            "RW504", Where("characteristics", 0, name), f"{name!r:.60} is measured of none of its pieces", do
        )
        for name in names
    ]

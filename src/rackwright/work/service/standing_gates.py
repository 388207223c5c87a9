"""Gates of a rack that is back, by what the record alone holds: the verb asks them before, the judge after."""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import State
from rackwright.record.service import Service
from rackwright.record.state import Nonconformance
from rackwright.work.gates import Maybe, no
from rackwright.work.metal.drawn import role
from rackwright.work.service.coming_back import in_hands, not_after

__all__ = [
    "HOLES",
    "all_works_named",
    "holes_answered",
    "may_be_swapped",
    "nothing_is_left",
    "nothing_undecided",
    "work_of_another",
]  # fmt: skip

HOLES = ("open", "filled")  # what becomes of those that a moved box leaves
BY = {
    "customer": ("shipped",),
    "shop": ("back",),
}  # who swaps a box -> the states in which that one has the rack


def _kept(state: State, serial: str) -> Service:
    return state.service.get(serial) or Service(serial)


def all_works_named(state: State, serial: str, works: Sequence[str]) -> Maybe:
    """The work since it was last put back to service, all of it, each once; some there is: at least somebody looked."""
    done = [one.work for one in _kept(state, serial).open_works]
    if not done:
        found = f"no work on {serial} is recorded since it came back"
        return no(
            "RW517",
            serial,
            found,
            "record what was done, an inspection at least: rackwright log service_work",
        )
    if sorted(done) == sorted(works):
        return None
    found = f"{', '.join(works) or 'nothing'} is named, the work on {serial} is {', '.join(done)}"
    return no("RW517", serial, found, "name all of it, each once")


def work_of_another(state: State, serial: str, person: str) -> Maybe:
    """Who did any of the work, or tightened a joint that it took apart, does not put the rack back to service."""
    for one in _kept(state, serial).open_works:
        if one.by == person:
            found = f"{person} did {one.kind} {one.work} on {serial}"
            return no("RW516", person, found, "another person who may release looks at it")
    rack = state.serials.get(serial)
    if rack is not None and any(joint["by"] == person for joint in rack.joints.values()):
        return no(
            "RW516", person, f"{person} tightened joints of {serial}", "another person who may release looks"
        )
    return None


def nothing_undecided(state: State, serial: str) -> Maybe:
    """No nonconformance on the rack or a piece of it is open."""
    rack = state.serials.get(serial)
    names = {serial, *(rack.pieces if rack else ())}
    for one in state.nonconformances.values():
        if one.open and names & {*one.pieces, *one.serials}:
            found = f"{one.nonconformance} on {serial} is not decided: {one.text}"
            return no("RW520", one.nonconformance, found, "disposition it first")
    return None


def nothing_is_left(state: State, serial: str) -> Maybe:
    """Every joint that was taken apart is tightened since, every step that was undone is done again, and what was to be
    measured anew is measured."""
    kept = _kept(state, serial)
    if kept.loose:
        more = f" and {len(kept.loose) - 1} more" if len(kept.loose) > 1 else ""
        found = f"joint {kept.loose[0]}{more} of {serial} was taken apart and is not tightened since"
        return no("RW521", kept.loose[0], found, "tighten and record it: rackwright log assemble")
    if kept.left:
        about, what = kept.left[0]
        more = f" (and {len(kept.left) - 1} more)" if len(kept.left) > 1 else ""
        found = f"{what} of {about} is not done anew{more}"
        return no("RW550", about, found, "do or measure it anew, and record it")
    return None


def may_be_swapped(state: State, serial: str, by_whom: str, day: str, today: str) -> Maybe:
    """By who has the rack: its customer once it was shipped, the shop once it came back; on a day that has been."""
    if by_whom not in BY:
        return no("RW517", serial, f"swapped by {by_whom!r:.40}", f"say by whom: {' or '.join(BY)}")
    return in_hands(state, serial, *BY[by_whom]) or not_after(serial, day, today)


def holes_answered(
    state: State, serial: str, item: str, left: Sequence[str], holes: str, nonconformance: str
) -> Maybe:
    """What becomes of the holes that are left is said; filled they are by a repair of this rack that was accepted."""
    kept = state.carried.get(serial, {}).get(item)
    open_ = (*(kept.open_holes if kept else ()), *left)
    if left and not holes:
        found = f"{item} leaves {left[0]}, and nothing says what becomes of them"
        do = "holes=open; or holes=filled and the nonconformance whose repair, accepted by the holder, fills them"
        return no("RW517", serial, found, do)
    if holes and not open_:
        return no("RW517", serial, f"{item} leaves no hole", "leave `holes` out")
    if holes != "filled":
        return None
    about = state.nonconformances.get(nonconformance)
    if about is None or about.decision != "repair" or not _of_these(state, serial, about, open_):
        found = f"{open_[0]}: filled by no repair of it that the holder accepted"
        do = (
            f"raise a nonconformance on {serial} or that panel, have its repair accepted, then name it; until then "
            "holes=open"
        )
        return no("RW520", nonconformance or serial, found, do)
    return None


def _of_these(state: State, serial: str, about: Nonconformance, holes: Sequence[str]) -> bool:
    """Is it on the whole rack, or on the panel of each of these holes? A repair of a post fills none."""
    rack = state.serials[serial]
    places = [role(state, rack.revision, piece) for piece in about.pieces if piece in rack.pieces]
    shelves = [place.removeprefix("panel.") for place in places if place.startswith("panel.")]
    return serial in about.serials or all(
        any(f" in shelf {shelf} at " in hole for shelf in shelves) for hole in holes
    )

"""Who signed the hold points of a rack and its pieces, as the traveler and the dossier print it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rackwright.papers.table import Block, Table
from rackwright.record import State
from rackwright.record.office import HoldPoint
from rackwright.work.hold_points import points_asked, points_of_piece
from rackwright.work.route import ON_RACK, operation

__all__ = ["hold_point_blocks", "signed_points"]


def _of(state: State, serial: str) -> Mapping[str, dict[str, HoldPoint | None]]:
    """Hold point -> what it is of -> its sign-off that stands; of what is scrapped or replaced, nothing."""
    rack, found = state.serials.get(serial), dict[str, dict[str, HoldPoint | None]]()
    for point in points_asked(state, serial) if rack else ():
        found[point] = {serial: state.hold_points.get(serial, {}).get(point)} if point in ON_RACK else {}
    for name in rack.pieces if rack else ():
        made = state.pieces.get(name)
        for point in (
            points_of_piece(state, made) if made and made.state not in ("scrapped", "replaced") else ()
        ):
            found[point][name] = state.hold_points.get(name, {}).get(point)
    return found


def signed_points(state: State, serial: str) -> dict[str, tuple[str, str]]:
    """Hold point -> by whom and when, of those that are signed off whole."""
    return {
        point: (
            ", ".join(dict.fromkeys(one.by for one in each)),
            ", ".join(dict.fromkeys(one.at[:10] for one in each)),
        )
        for point, of in _of(state, serial).items()
        if of and len(each := [one for one in of.values() if one]) == len(of)
    }


def hold_point_blocks(state: State, serial: str) -> Iterator[Block]:
    """One table: each hold point, what it asks, and each sign-off of it; nothing of a revision that asks none."""
    rows = []
    for point, of in _of(state, serial).items():
        acts: dict[tuple[str, ...], list[str]] = {}
        for name, one in of.items():
            said: tuple[str, ...] = (
                (one.by, one.at[:10], str(one.seq), one.remarks) if one else ("NOT SIGNED OFF", "", "", "")
            )
            acts.setdefault(said, []).append(name)
        for signed, names in acts.items():
            what = "the rack" if point in ON_RACK else f"{len(names)} of {len(of)} pieces"
            rows.append((point.replace("_", " "), operation(point).hold, what, *signed))
    if rows:
        columns = ("hold point", "what must hold", "of", "signed off by", "on", "event", "remarks")
        note = "By an inspector who did not make it. What is done anew afterwards is signed off anew."
        yield Table("", columns, tuple(rows), align="llllirl", widths=(1.1, 2.6, 1.1, 1.1, 0.9, 0.6, 1.6),
                    note=note)  # fmt: skip

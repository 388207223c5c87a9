"""Room for a bolt and its wrench: what lies along its axis on both sides, what a counterbore leaves round its head."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rackwright.pieces.model import IN, Bolt, Box, axis_index
from rackwright.rack import Rack
from rackwright.reference import Rows

__all__ = ["Access", "access_of", "pitch", "socket_room"]

#: the side the nut is on; groups that are not named have it towards the middle of the rack
NUT_SIDE = {("panel", "z"): "-", ("equipment", "z"): "-", ("equipment", "y"): "+"}


@dataclass(frozen=True)
class Access:
    """Free lengths (nm) on the head's and the nut's side, None where nothing is in the way, and what is needed."""

    head_free: int | None
    nut_free: int | None
    head_needs: int  # the bolt must go in
    nut_needs: int  # washers, nut and end of the bolt
    in_the_way: tuple[str, ...] = ()

    @property
    def good(self) -> bool:
        return all(
            free is None or free >= need
            for free, need in ((self.head_free, self.head_needs), (self.nut_free, self.nut_needs))
        )


def access_of(
    rack: Rack, bolt: Bolt, boxes: Sequence[tuple[str, tuple[Box, ...]]], length: int, nut_stack: int
) -> tuple[str, Access]:
    """The nut's side and the room on both sides. Equipment is not in yet; a wrench's own size is not asked."""
    i = axis_index(bolt.axis)
    middle = (rack.definition.outside.width, rack.definition.outside.depth, rack.definition.outside.height)[
        i
    ] / 2
    inward = "+" if (bolt.layers[0].low + bolt.layers[-1].high) / 2 <= middle else "-"
    wanted = NUT_SIDE.get((bolt.id.partition(".")[0], bolt.axis), inward)
    free = {sign: _free(bolt, rack.rows, boxes, sign) for sign in "-+"}
    inside = (
        bolt.anchor is not None and bolt.anchor.kind != "nutplate"
    )  # of its piece: nothing goes on behind
    needs = (length, 0 if inside else nut_stack + round(pitch(bolt, rack.rows)))

    def seen(sign: str) -> Access:
        head, nut = free["-" if sign == "+" else "+"], free[sign]
        access = Access(head[0], nut[0], *needs)
        named = [
            who
            for (room, who), need in ((head, needs[0]), (nut, needs[1]))
            if room is not None and room < need
        ]
        return Access(head[0], nut[0], *needs, tuple(named)) if not access.good else access

    if bolt.anchor is not None:
        return bolt.anchor.side + bolt.axis, seen(bolt.anchor.side)
    other = "-" if wanted == "+" else "+"
    first, second = seen(wanted), seen(other)
    sign, access = (other, second) if second.good and not first.good else (wanted, first)
    return sign + bolt.axis, access


def _free(
    bolt: Bolt, rows: Rows, boxes: Sequence[tuple[str, tuple[Box, ...]]], sign: str
) -> tuple[int | None, str]:
    """Length along the bolt's axis, as wide as its washer, that no piece is in; and the piece that ends it."""
    i, half = axis_index(bolt.axis), round(rows.washers[bolt.washer].outside_diameter * 5e8)
    start = bolt.layers[-1].high if sign == "+" else bolt.layers[0].low
    others = [k for k in range(3) if k != i]
    nearest: tuple[int | None, str] = (None, "")
    for id, some in boxes:
        if id.startswith("pad.") and id == bolt.layers[0].piece:
            continue  # its counterbore is open below
        for box in some:
            if any(box.hi[k] <= bolt.point[k] - half or box.lo[k] >= bolt.point[k] + half for k in others):
                continue
            near, far = (
                (box.lo[i] - start, box.hi[i] - start)
                if sign == "+"
                else (start - box.hi[i], start - box.lo[i])
            )
            if far > 0 and (nearest[0] is None or max(near, 0) < nearest[0]):
                nearest = (max(near, 0), id)
    return nearest


def socket_room(rack: Rack, bolt: Bolt) -> Iterator[str]:
    """What a counterbore leaves for the wrench round a hexagon's corners, at its smallest."""
    bore, corners = rack.definition.pad.counterbore, rack.rows.bolts[bolt.row].head_across_corners
    if bolt.id.startswith("pad.") and bore is not None and corners is not None:
        wide = bore.diameter - bore.tolerance
        yield (
            f"the head stands in a counterbore: a socket of at most {wide / IN:.3f} in outside, "
            f"its wall under {(wide * 1e-9 - corners) / 2 / 0.0254:.3f} in at the hexagon's corners"
        )


def pitch(bolt: Bolt, rows: Rows) -> float:
    """Pitch of a bolt's thread, nm."""
    return rows.bolts[bolt.row].pitch * 1e9

"""A hold point is signed off: by an inspector who did not make it, of pieces or of an assembled rack.

What the definition asks at that point is complete first: the characteristics of an inspection measured and good, the
joints of an assembly tightened. The revision was frozen with the same lists (`measured_by`, `joints`), by which an
audit asks it of the events alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.making.inspected import characteristics_of
from rackwright.making.route import STAGES, pieces_taken
from rackwright.pieces.characteristics import RACK
from rackwright.record import Appended, Refs, State
from rackwright.shop import Shop
from rackwright.trouble import Refusal
from rackwright.work.gates import first, person_may, rack_complete
from rackwright.work.hold_points import may_be_signed_off
from rackwright.work.metal.sawing import piece_id
from rackwright.work.people.founding import INSPECTOR
from rackwright.work.route import ON_PIECES, operation
from rackwright.work.station import Draft, Station, perform
from rackwright.work.stations.assembling import joints_complete

__all__ = ["Point", "point_of", "sign_off"]


@dataclass(frozen=True)
class Point:
    """A hold point of one rack: the pieces it is of (none: of the rack itself), and what must be complete at it."""

    serial: str
    pieces: tuple[str, ...]
    readings: Mapping[str, Sequence[str]] = field(default_factory=dict)  # piece or serial -> characteristics
    bolts: tuple[str, ...] = ()


def point_of(design: Design, shop: Shop, point: str, serial: str, only: Sequence[str] = ()) -> Point:
    """A hold point as the definition has it: of every piece that its operation takes, or of `only` these."""
    taken = pieces_taken(operation(point), design) if point in ON_PIECES else []
    pieces = tuple(only) or tuple(piece_id(serial, piece.id) for piece in taken)
    readings: dict[str, list[str]] = {}
    for one in characteristics_of(design, shop):
        about = serial if one.piece == RACK else piece_id(serial, one.piece)
        if one.stage == STAGES.get(point) and about in (serial, *pieces):
            readings.setdefault(about, []).append(one.name)
    bolts = [joint.id for joint in assembly(design, shop).ours] if point == "assemble" else []
    return Point(serial, pieces, readings, tuple(bolts))


def sign_off(
    station: Station, point: str, points: Sequence[Point], remarks: str = "", act_id: str = ""
) -> Appended:
    """One hold point of one or several racks: all of them are signed off, or none."""
    pieces = [piece for one in points for piece in one.pieces]
    racks = [one.serial for one in points]
    serials = [] if pieces else racks

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, INSPECTOR, station.today),
            may_be_signed_off(state, station.person, point, pieces, serials),
            *(joints_complete(state, one.serial, one.bolts) for one in points),
            *(rack_complete(state, about, names) for one in points for about, names in one.readings.items()),
        )
        if refused is not None:
            return refused
        body: dict[str, object] = {"point": point}
        body |= {key: names for key, names in (("pieces", pieces), ("serials", serials)) if names}
        body |= {"remarks": remarks} if remarks else {}
        return [Draft("hold_point", body, Refs.of(pieces=pieces, serials=racks))]

    return perform(station, "hold_point", decide, act_id)

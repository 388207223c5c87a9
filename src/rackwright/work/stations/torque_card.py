"""What a person read on the wrench, joined with the torque card: range, running torque added, and the lots used.

The card gives the range without drag; the running torque of the self-locking nut, as measured on the joint, is added
to both ends (`making.assembly`). Lots that are not named are those drawn for the serial that are parts of the joint.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rackwright.design import Design
from rackwright.making.assembly import Joint, assembly
from rackwright.making.fasteners import parts_of
from rackwright.record import State
from rackwright.shop import Shop
from rackwright.trouble import Fault, Stopped, Where
from rackwright.units import QuantityError, parse_quantity, unit_factor
from rackwright.work.stations.assembling import Tightened

__all__ = ["by_the_card"]


def by_the_card(
    state: State, design: Design, shop: Shop, serial: str, wrench: str, torques: Mapping[str, str],
    running: Mapping[str, str], lots: Sequence[str] = (),
) -> tuple[Tightened, ...]:  # fmt: skip
    """Joints as tightened: bolt id -> torque, and bolt id -> running torque, each as text with unit.

    Raises Stopped with every fault: a joint that the rack has not, a torque that cannot be read, a running torque
    that is missing, a joint for which the card knows no torque.
    """
    joints = {joint.id: joint for joint in assembly(design, shop).joints}
    faults: list[Fault] = []
    done = []
    for bolt in (*torques, *(bolt for bolt in running if bolt not in torques)):
        joint = joints.get(bolt)
        if joint is None:
            do = "name it as on the torque card"
            faults.append(
                Fault("RW504", Where("joint", 0, bolt), f"{bolt!r:.60} is no joint of this rack", do)
            )
        else:
            done.append(_tightened(state, design, serial, joint, wrench, torques, running, lots, faults))
    if faults:
        raise Stopped(faults)
    return tuple(one for one in done if one is not None)


def _tightened(
    state: State, design: Design, serial: str, joint: Joint, wrench: str, torques: Mapping[str, str],
    running: Mapping[str, str], lots: Sequence[str], faults: list[Fault],
) -> Tightened | None:  # fmt: skip
    if joint.torque is None:
        where = Where("joint", 0, joint.id)
        faults.append(
            Fault("RW504", where, f"no torque is known: {joint.missing}", "have the torque stated first")
        )
        return None
    texts = []
    for name, given in (("torque", torques), ("running", running)):
        where, text = Where("joint", 0, f"{joint.id}.{name}"), given.get(joint.id, "")
        try:
            parse_quantity(text, "moment")
        except QuantityError as error:
            faults.append(Fault(error.code, where, error.found or "nothing", error.do))
        texts.append(text)
    if faults:
        return None
    drag = float(parse_quantity(texts[1], "moment"))
    low, high, _ = joint.torque.final(drag)
    return Tightened(joint.id, tuple(lots) or _drawn(state, design, serial, joint), wrench, texts[1], texts[0],
                     _shown(low), _shown(high))  # fmt: skip


def _drawn(state: State, design: Design, serial: str, joint: Joint) -> tuple[str, ...]:
    """Lots drawn for this serial that hold a part of the joint."""
    bolt = next(one for one in design.pieces.bolts if one.id == joint.id)
    parts = {part for part, _ in parts_of(bolt, design.rack.rows)}
    rack = state.serials.get(serial)
    drawn = rack.lots if rack else ()
    return tuple(
        sorted({one.lot for one in state.stock.values() if one.lot in drawn and one.section in parts})
    )


def _shown(moment: float) -> str:
    return f"{round(moment / float(unit_factor('in*lbf')), 3):g} in*lbf"

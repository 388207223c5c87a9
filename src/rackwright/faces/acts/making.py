"""The acts of `rackwright log` on pieces and racks, from the machine to the shipment; as those of `shop.py`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rackwright.faces.acts.desk import Desk, Do, frozen_of, serials_of, shop_of
from rackwright.faces.acts.values import Values

if TYPE_CHECKING:
    from rackwright.record import Appended


def do_saw_plan(desk: Desk, v: Values) -> Appended:
    from rackwright.making.sawing.stop import AtSaw
    from rackwright.work.load import load_shop
    from rackwright.work.metal.saw_plans import plan_saw

    at = AtSaw(v["metal_at"], v.get("scale_at")) if "metal_at" in v else None
    return plan_saw(desk.station, v["order"], load_shop(desk.folder), v.get("reason", ""), at, desk.act_id,
                    v.get("line", ""))  # fmt: skip


def do_profile_cut(desk: Desk, v: Values) -> Appended:
    """Areas of the blanks follow from the frozen revision's flats; the skeleton is what is left."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.load import load_shop
    from rackwright.work.metal.plates import Remnant, profile_cut, visit_of_record

    rests, labels = v.get("remnants", {}), v.get("labels", {})
    faults = [Fault("RW504", Where(desk.source or "command line", 0, "labels"), f"{id!r:.60} is no remnant of this act",
                    "name the remnants alike in remnants and labels") for id in labels if id not in rests]  # fmt: skip
    if faults:
        raise Stopped(faults)
    remnants = [Remnant(id, corners, labels.get(id, "")) for id, corners in rests.items()]
    done = visit_of_record(desk.station.record, v["stock_id"], v.get("pieces", []), remnants, v["machine"],
                           load_shop(desk.folder), v.get("kerf"))  # fmt: skip
    return profile_cut(desk.station, v["order"], done, desk.act_id)


# --- making --------------------------------------------------------------------------------------


def do_step(name: str) -> Do:
    """A step of the route. A bake has an act of its own: only the oven's record can say that it met its rule."""

    def do(desk: Desk, v: Values) -> Appended:
        from rackwright.trouble import Fault, Stopped, Where
        from rackwright.work.stations.making import TYPES, Step, step

        said = v.get("step", name)
        if said != name and said in TYPES:
            at = Where(desk.source or "command line", 0, "step")
            raise Stopped([Fault("RW504", at, f"{said} is a type of its own", "see `rackwright log --help`")])
        done = Step(said, v.get("machine", ""), v.get("values", {}), tuple(v.get("lots", ())),
                    tuple(v.get("gauges", ())))  # fmt: skip
        return step(desk.station, done, v["pieces"], serials_of(v["pieces"]), desk.act_id)

    return do


def do_bake(desk: Desk, v: Values) -> Appended:
    """All pieces in the oven at once belong to racks of one revision: its finish says what cures."""
    from rackwright.record import state_of
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.stations.baking import bake

    serials = serials_of(v["pieces"])
    racks = state_of(desk.station.record).serials
    revisions = sorted({racks[serial].revision for serial in serials if serial in racks})
    if len(revisions) > 1 or not serials:
        found = f"the pieces are of {', '.join(revisions) or 'no serial'}"
        do = "record the pieces of each revision by themselves, as SERIAL/piece"
        raise Stopped([Fault("RW504", Where("command line", 0, "pieces"), found, do)])
    held = frozen_of(desk, serials[0])
    name, data = _recorded(desk, "the oven's thermocouple file")
    return bake(desk.station, name, data, v["machine"], held.design, shop_of(desk, held), v["pieces"], serials,
                desk.act_id, v.get("gauges", ()))  # fmt: skip


def _recorded(desk: Desk, what: str) -> tuple[str, bytes]:
    """Name and bytes of what an instrument recorded. Raises Stopped (RW002, RW504)."""
    from rackwright.faces.cli.files import read_bytes
    from rackwright.trouble import Fault, Stopped, Where

    if desk.source is None:
        raise Stopped(
            [Fault("RW504", Where("command line", 0, "--from"), "no file is named", f"give {what}")]
        )
    return Path(desk.source).name, read_bytes(desk.source)


def do_test_bend(desk: Desk, v: Values) -> Appended:
    from rackwright.work.stations.bending import record_test_bend

    name, data = _recorded(desk, "the test bend as measured")
    return record_test_bend(
        desk.station, name, data, v["gauge"], v["cracks"] != "none", desk.act_id, v.get("gauges", ())
    )


def do_send_out(desk: Desk, v: Values) -> Appended:
    from rackwright.work.load import load_shop
    from rackwright.work.stations.making import send_out

    rows = load_shop(desk.folder).outside
    row = next((one for one in rows if (one.operation, one.supplier) == (v["process"], v["supplier"])), None)
    return send_out(desk.station, v["supplier"], v["process"], v["pieces"], v["document"], desk.act_id,
                    row.clauses if row else (), v.get("back", ""))  # fmt: skip


def do_receive_back(desk: Desk, v: Values) -> Appended:
    from rackwright.work.stations.making import receive_back

    return receive_back(desk.station, v["supplier"], v["process"], v["pieces"], v.get("short", []),
                        v.get("certificate", ""), desk.act_id, v.get("lot", ""))  # fmt: skip


def do_assemble(desk: Desk, v: Values) -> Appended:
    from rackwright.making.coat import is_coated
    from rackwright.record import state_of
    from rackwright.work.metal.drawn import in_place
    from rackwright.work.stations.assembling import assemble
    from rackwright.work.stations.torque_card import by_the_card

    serial = v["serial"]
    held, state = frozen_of(desk, serial), state_of(desk.station.record)
    joints = by_the_card(state, held.design, shop_of(desk, held), serial, v["wrench"], v["torque"], v["running"],
                         v.get("lots", ()))  # fmt: skip
    made = {in_place(state, serial, piece.id): piece for piece in held.design.pieces.made}
    loose = [id for id in made if id not in state.pieces or state.pieces[id].state != "assembled"]
    finish = held.design.rack.definition.finish
    coated = [id for id, piece in made.items() if finish is not None and is_coated(finish, piece)]
    return assemble(desk.station, serial, v.get("pieces", loose), joints, v["jig"], coated, desk.act_id)


def do_weigh(desk: Desk, v: Values) -> Appended:
    from rackwright.work.stations.weighing import from_scales, weigh

    weighing = from_scales(frozen_of(desk, v["serial"]).design, v["readings"])
    return weigh(desk.station, v["serial"], weighing, v["gauge"], desk.act_id)


# --- inspection and release ----------------------------------------------------------------------


def do_measure(desk: Desk, v: Values) -> Appended:
    """A replacement has the characteristics of what it replaces, under its own name."""
    from dataclasses import replace

    from rackwright.making.inspected import characteristics_of
    from rackwright.pieces.characteristics import RACK
    from rackwright.record import state_of
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.metal.drawn import role
    from rackwright.work.office.ordering import revision_id
    from rackwright.work.stations.inspecting import measure

    serial, _, piece = v["piece"].partition("/")
    held = frozen_of(desk, serial)
    shop = shop_of(desk, held)
    name = (
        piece if piece == RACK else role(state_of(desk.station.record), revision_id(held.design), v["piece"])
    )
    wanted = characteristics_of(held.design, shop)
    asked = {one.name: replace(one, piece=piece) for one in wanted if one.piece == name}
    some, more = ", ".join([*asked][:12]), len(asked) - 12
    some += f", and {more} more of its inspection sheet" if more > 0 else ""
    do = f"one of {some}" if asked else "name a piece of this rack, or SERIAL/rack"
    faults = [Fault("RW504", Where("reading", 0, name), f"{name!r:.60} is no characteristic of {v['piece']}", do)
              for name in v["readings"] if name not in asked]  # fmt: skip
    if faults:
        raise Stopped(faults)
    readings = {asked[name]: text for name, text in v["readings"].items()}
    return measure(desk.station, serial, readings, v["gauge"], desk.act_id, shop.guard_band)


def do_hold_point(desk: Desk, v: Values) -> Appended:
    """Of every piece of the racks named that the point is of, or of the pieces named alone."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.route import ON_PIECES, ON_RACK
    from rackwright.work.stations.signing_off import point_of, sign_off

    point, serials, pieces = v["point"], v.get("serials", []), v.get("pieces", [])
    at = Where(desk.source or "command line", 0, "point")
    if point not in (*ON_PIECES, *ON_RACK):
        do = f"one of {', '.join((*ON_PIECES, *ON_RACK))}; what receives, issues, weighs, releases is signed by its act"
        raise Stopped([Fault("RW504", at, f"{point!r:.60} is no hold point that is signed", do)])
    if bool(serials) == bool(pieces) or (pieces and point in ON_RACK):
        do = "give serials; or, of a point of pieces, pieces instead"
        raise Stopped([Fault("RW504", at, "neither racks nor pieces of them alone", do)])
    points = []
    for serial in serials or serials_of(pieces):
        held, mine = frozen_of(desk, serial), [one for one in pieces if one.startswith(f"{serial}/")]
        points.append(point_of(held.design, shop_of(desk, held), point, serial, mine))
    return sign_off(desk.station, point, points, v.get("remarks", ""), desk.act_id)


def do_passport(desk: Desk, v: Values) -> Appended:
    from rackwright.work.stations.passports import record_points

    held = frozen_of(desk, v["serial"])
    name, data = _recorded(desk, "the points as measured")
    return record_points(desk.station, v["serial"], held.design, shop_of(desk, held), name, data, v["gauge"],
                         desk.act_id, v.get("gauges", ()))  # fmt: skip


def do_release(desk: Desk, v: Values) -> Appended:
    from rackwright.work.serials.releasing import release

    held = frozen_of(desk, v["serial"])
    return release(desk.station, v["serial"], held.design, shop_of(desk, held), desk.act_id)


def do_ship(desk: Desk, v: Values) -> Appended:
    from rackwright.work.serials.shipping import ship

    return ship(desk.station, v["serials"], v["to"], v["document"], desk.act_id)

"""The acts of `rackwright log` on a rack after its release: it comes back, is worked on, goes back to service."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from rackwright.faces.acts.desk import Desk, frozen_of, shop_of
from rackwright.faces.acts.values import Values
from rackwright.faces.cli.show import one_line

if TYPE_CHECKING:
    from rackwright.record import Appended


def do_come_back(desk: Desk, v: Values) -> Appended:
    from rackwright.work.service.coming_back import Arrival, come_back

    said = Arrival(v["from"], v["document"], v["reason"], v["condition"], v["day"], v.get("hours", ""))
    return come_back(desk.station, v["serial"], said, desk.act_id)


def do_service_work(desk: Desk, v: Values) -> Appended:
    """Of a strip all coated pieces, where none is named."""
    from rackwright.record import state_of
    from rackwright.work.service.anew import coated, with_anew
    from rackwright.work.service.working import Done, service_work

    serial, state = v["serial"], state_of(desk.station.record)
    held = frozen_of(desk, serial)
    pieces = v.get("pieces") or (coated(state, held.design, serial) if v["kind"] == "strip" else ())
    done = Done(
        v["work"], v["kind"], v["text"], v["document"], v["holder"], v["date"], tuple(pieces),
        tuple(v.get("joints", ())), v.get("nonconformance", ""), v.get("method", ""), tuple(v.get("lots", ())),
    )  # fmt: skip
    done = with_anew(state, done, held.design, shop_of(desk, held), serial, v.get("characteristics", ()))
    made = service_work(desk.station, serial, done, desk.act_id)
    _say_owed(desk, serial)
    return made


def do_replace(desk: Desk, v: Values) -> Appended:
    """The joints that hold the piece are those of the frozen definition."""
    from rackwright.record import state_of
    from rackwright.work.metal.counting import Unusable
    from rackwright.work.serials.shipping import Mended, replace_piece
    from rackwright.work.service.anew import joints_of, rack_anew

    serial, state = v["serial"], state_of(desk.station.record)
    held = frozen_of(desk, serial)
    shop = shop_of(desk, held)
    joints = joints_of(state, held.design, shop, serial, v["old"])
    said = "unusable" in v or "witness" in v
    gone = Unusable(v.get("unusable", ""), v.get("witness", "")) if said else None
    mended = Mended(v["work"], v["holder"], v["date"], joints, v["fate"], v.get("place", ""), gone,
                    rack_anew(held.design, shop, serial) if joints else {})  # fmt: skip
    made = replace_piece(
        desk.station, serial, v["old"], v["new"], v["reason"], v["document"], mended, desk.act_id
    )
    _say_owed(desk, serial)
    return made


def do_back_to_service(desk: Desk, v: Values) -> Appended:
    from rackwright.work.service.putting_back import back_to_service

    held = frozen_of(desk, v["serial"])
    return back_to_service(desk.station, v["serial"], v["works"], v.get("text", ""), held.design,
                           shop_of(desk, held), desk.act_id)  # fmt: skip


def do_swap(desk: Desk, v: Values) -> Appended:
    """What the margins come to then is said at once."""
    from rackwright.work.service.carrying import Swap, least_words, swap

    said = Swap(
        v["item"], v["by_whom"], v["document"], v.get("out", False), v.get("part", ""), v.get("box", ""),
        v.get("mass", ""), tuple(v.get("cg", ())), v.get("shelf", ""), tuple(v.get("at", ())), v.get("day", ""),
        v.get("holes", ""), v.get("nonconformance", ""),
    )  # fmt: skip
    done = swap(desk.station, v["serial"], said, frozen_of(desk, v["serial"]).design, desk.act_id)
    least = done.events[0].body["least"]
    click.echo(f"{one_line(v['serial'])} as it is now: {one_line(least_words(least))}", err=True)
    _say_owed(desk, v["serial"])
    return done


def _say_owed(desk: Desk, serial: str) -> None:
    """Which evidence of the rack is owed anew, of one that was released before."""
    from rackwright.record import state_of
    from rackwright.work.serials.evidence import standing_of

    state = state_of(desk.station.record)
    for one in standing_of(state, serial) if state.serials[serial].released_seq else ():
        if one.missing:
            click.echo(
                f"owed before service: {one_line(one.owed.evidence)}: {one_line(one.missing)}", err=True
            )

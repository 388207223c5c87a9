"""The later life of the invented racks: a customer swaps a box; a rack comes back scratched, is touched up and goes
back to service and to its customer; another is coated again, and what the oven left of it is for its holder to judge.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from rackwright.demo.job import ASSEMBLER, CUSTOMER, INSPECTOR, LEAD, STORES, SUPPLIER, Act, Job, rack_serials
from rackwright.demo.stations import bakes, readings_of
from rackwright.making.coat import is_coated
from rackwright.making.inspected import characteristics_of
from rackwright.pieces.weight import on_pads
from rackwright.record import Appended, state_of
from rackwright.work.metal.sawing import piece_id
from rackwright.work.serials.shipping import ship
from rackwright.work.service.anew import with_anew
from rackwright.work.service.carrying import Swap, swap
from rackwright.work.service.coming_back import Arrival, come_back
from rackwright.work.service.putting_back import back_to_service
from rackwright.work.service.working import Done, service_work
from rackwright.work.station import Station
from rackwright.work.stations.making import Step, receive_back, send_out, step
from rackwright.work.stations.weighing import from_scales, weigh

__all__ = ["swapping", "worked_on"]


def swapping(job: Job) -> Iterator[Act]:
    """The customer carries a lighter box of another maker in the first item's place."""
    first, items = rack_serials(job)[0], job.design.rack.definition.equipment
    if items:
        lighter = f"{float(items[0].mass) / 0.45359237 * 0.9:.1f} lb"
        said = Swap(items[0].name, "customer", "INVENTED-MAIL-95", part="INVENTED-BX-4", box="0417", mass=lighter,
                    day="2026-04-01")  # fmt: skip
        yield Act("swap", LEAD, "2026-04-02", lambda s, id: swap(s, first, said, job.design, id))


def worked_on(job: Job) -> Iterator[Act]:
    """The second rack comes back and leaves again; the third is coated anew."""
    yield from _touched_up(job, rack_serials(job)[1])
    yield from _recoated(job, rack_serials(job)[-1])


def _touched_up(job: Job, serial: str) -> Iterator[Act]:
    """A scratch by brush, no oven: it may leave again once it is measured, weighed and looked at by another."""
    yield Act("come back", STORES, "2026-04-02", lambda s, id: come_back(s, serial, Arrival(
        CUSTOMER, "INVENTED-DN-31", "a post scratched to the metal on the way", "one post scratched, nothing bent",
        "2026-04-02", "0"), id))  # fmt: skip
    yield Act("ship what came back", LEAD, "2026-04-02",
              lambda s, id: ship(s, [serial], CUSTOMER, "DN-90", id), "RW517")  # fmt: skip
    post = next(piece for piece in job.design.pieces.made if piece.kind == "post")
    wanted = characteristics_of(job.design, job.shop)
    film = [one.name for one in wanted if (one.piece, one.stage) == (post.id, "after coat")]
    touched = Done("SW-1", "rework", "scratch touched up by brush", "INVENTED-PS-4 rev C", job.shop.name, "2026-01-12",
                   (piece_id(serial, post.id),))  # fmt: skip
    yield Act("touch up", ASSEMBLER, "2026-04-03", _work(job, serial, touched, film))
    back = f"{serial} back to service"
    yield Act(f"{back} too soon", INSPECTOR, "2026-04-03", _back(job, serial), "RW550" if film else "RW522")
    yield from readings_of(job, serial, post.id, "after coat", "2026-04-03", "again")
    pads = on_pads(job.design.rack, job.design.bare).items()
    weighing = from_scales(job.design, {pad: f"{kg * 1.004 / 0.45359237:.2f} lb" for pad, kg in pads})
    yield Act("weigh again", INSPECTOR, "2026-04-03", lambda s, id: weigh(s, serial, weighing, "SC-1", id))
    yield Act(back, INSPECTOR, "2026-04-03", _back(job, serial))
    yield Act("ship again", LEAD, "2026-04-07", lambda s, id: ship(s, [serial], CUSTOMER, "DN-92", id))


def _recoated(job: Job, serial: str) -> Iterator[Act]:
    """One post of a released rack that is still here: stripped, coated and baked anew. Its oven time is then in every
    margin, and nobody has put the rack back to service yet."""
    finish, post = (
        job.design.rack.definition.finish,
        next(p for p in job.design.pieces.made if p.kind == "post"),
    )
    if finish is None or not is_coated(finish, post):
        return
    piece = piece_id(serial, post.id)
    stripped = Done("SW-2", "strip", "sag in the coat: off to the metal", "INVENTED-PS-4 rev C", job.shop.name,
                    "2026-01-12", (piece,), method="plastic media, 30 psi")  # fmt: skip
    yield Act("strip", ASSEMBLER, "2026-04-07", _work(job, serial, stripped))
    yield Act("send out again", STORES, "2026-04-07",
              lambda s, id: send_out(s, SUPPLIER, "pretreat", [piece], "DN-91", id))  # fmt: skip
    yield Act("receive back again", STORES, "2026-04-09",
              lambda s, id: receive_back(s, SUPPLIER, "pretreat", [piece], (), "CC-91", id))  # fmt: skip
    powder = tuple(item.lot for item in job.items if item.form == "powder")
    yield Act("coat again", ASSEMBLER, "2026-04-09",
              lambda s, id: step(s, Step("coat", "booth C-1", lots=powder), [piece], [serial], id))  # fmt: skip
    run, baked, data = next(one for one in bakes(job) if not one[1].short)
    yield Act(f"bake again {run}", ASSEMBLER, "2026-04-09",
              lambda s, id: step(s, baked, [piece], [serial], id, data))  # fmt: skip
    yield from readings_of(job, serial, post.id, "after coat", "2026-04-10", "again")


def _work(job: Job, serial: str, done: Done, named: Sequence[str] = ()) -> Callable[[Station, str], Appended]:
    def act(station: Station, id: str) -> Appended:
        state = state_of(station.record)
        return service_work(station, serial, with_anew(state, done, job.design, job.shop, serial, named), id)

    return act


def _back(job: Job, serial: str) -> Callable[[Station, str], Appended]:
    return lambda station, id: back_to_service(station, serial, ["SW-1"], "", job.design, job.shop, id)

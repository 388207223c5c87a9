"""What happens after the saw: fit-up and drilling, a hole out of tolerance, coat, an interrupted bake, assembly
with a joint forgotten, weighing, release, part shipment. Told in the order of the route; what must be refused is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from hashlib import sha256

from rackwright.demo.evidence import burning, burns, passivating
from rackwright.demo.hold_points import every_signed, signed, signs
from rackwright.demo.job import (
    ASSEMBLER,
    CUSTOMER,
    ENGINEER,
    GAUGE_OF,
    INSPECTOR,
    LEAD,
    MACHINIST,
    ORDER,
    SAWYER,
    STORES,
    SUPPLIER,
    Act,
    Job,
    rack_serials,
)
from rackwright.demo.office import CAUSE, acting, flying, settling
from rackwright.demo.readings import OUT, invented
from rackwright.making.assembly import assembly
from rackwright.making.coat import is_coated
from rackwright.making.fasteners import fasteners
from rackwright.making.inspected import characteristics_of
from rackwright.pieces.characteristics import Characteristic, Stage
from rackwright.pieces.model import Piece
from rackwright.pieces.weight import on_pads
from rackwright.record import Appended, state_of
from rackwright.units import unit_factor
from rackwright.work.engineering.as_built import as_measured, reproof
from rackwright.work.metal.sawing import piece_id
from rackwright.work.quality.nonconforming import Acceptance, dispose, raise_nonconformance, release_hold
from rackwright.work.quality.noting import go_without_report
from rackwright.work.serials.releasing import release
from rackwright.work.serials.shipping import ship
from rackwright.work.station import Station, attach
from rackwright.work.stations.assembling import assemble, draw_lot
from rackwright.work.stations.baking import oven_run
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, receive_back, send_out, step
from rackwright.work.stations.passports import interchange, record_points
from rackwright.work.stations.torque_card import by_the_card
from rackwright.work.stations.weighing import Weighing, from_scales, weigh

__all__ = ["after_the_saw", "bakes", "readings_of"]

JIG = ("J-47", "BU-47")  # fitted up in the one, drilled through the others
GAPS = b"# invented: gaps at the joints before anything is pulled\nplace,gap_in\nfront,0.004\nrear,0.006\n"
NCR, WRENCH, SCALE, ARM, RUNNING = "NCR-14", "TW-6", "SC-1", "CM-2", "3.0 in*lbf"


def after_the_saw(job: Job) -> Iterator[Act]:
    """Every act from the machined pieces to the shipment."""
    names = rack_serials(job)
    yield from _shaping(job, names)
    yield from _readings(job, names, "before coat")
    yield from _hole_out(job, names[1])
    yield from _coating(job, names)
    yield from _readings(job, names, "after coat")
    yield from every_signed(job, names, "2026-03-24", "inspect_film")
    yield from _assembling(job, names)
    yield from every_signed(job, names, "2026-03-25", "assemble")
    yield from _readings(job, names, "assembled")
    yield from _passports(job, names)
    yield from every_signed(job, names, "2026-03-25", "inspect")
    yield from _weighing(job, names)
    yield from acting(job)
    yield from _leaving(job, names)


# --- steps on pieces -----------------------------------------------------------------------------


def _steps(
    job: Job, day: str, person: str, name: str, serial: str, chosen: Callable[[Piece], bool], done: Step | None = None,
    act: str = "", refused: str = "", machine_record: bytes = b"", files: Mapping[str, bytes] | None = None,
) -> Act:  # fmt: skip
    pieces = [piece_id(serial, piece.id) for piece in job.design.pieces.made if chosen(piece)]
    what = done or Step(name)

    def do(station: Station, id: str) -> Appended:
        return step(attach(station, files or {}), what, pieces, [serial], id, machine_record)

    return Act(act or f"{name} {serial}", person, day, do, refused)


def _shaping(job: Job, names: tuple[str, ...]) -> Iterator[Act]:
    make = job.design.rack.definition.ring_make
    bend = {"angle": shown_degrees(make.bend), "inside radius": "0.25 in"} if make else {}
    for serial in names:
        yield _steps(
            job, "2026-03-12", MACHINIST, "mill", serial, lambda p: p.kind == "block", Step("mill", "M-2")
        )
        bent = Step("bend", "B-1", bend, gauges=("D-3",))
        yield _steps(job, "2026-03-12", MACHINIST, "bend", serial, lambda p: p.kind == "ring", bent)
        first = serial == names[0]
        if first:
            yield _steps(job, "2026-03-13", ASSEMBLER, "fit_up", serial, _every, Step("fit_up", "jig J-47", gauges=JIG),
                         "fit up before the hold points are signed", "RW555")  # fmt: skip
            yield signs(job, serial, "2026-03-13", "mill", MACHINIST, "RW516")
        yield from signed(job, serial, "2026-03-13", "mill", "bend")
        if first:
            yield _steps(
                job,
                "2026-03-13",
                ASSEMBLER,
                "drill",
                serial,
                _every,
                act="drill before fit-up",
                refused="RW518",
            )
        for name in ("fit_up", "drill", "take_apart", "deburr"):
            files = {f"gaps-{serial}.csv": GAPS} if name == "fit_up" else {}
            done = Step(name, "jig J-47", gauges=JIG)
            yield _steps(job, "2026-03-13", ASSEMBLER, name, serial, _every, done, files=files)
            if name == "fit_up":
                yield from signed(job, serial, "2026-03-13", "fit_up")


def _coating(job: Job, names: tuple[str, ...]) -> Iterator[Act]:
    powder = tuple(item.lot for item in job.items if item.form == "powder")
    coated, runs = _coated(job), bakes(job)
    for serial in names:
        if serial == names[0]:
            yield signs(job, serial, "2026-03-16", "inspect_metal", SAWYER, "RW516")
        yield from signed(job, serial, "2026-03-16", "inspect_metal")
        yield from passivating(job, serial)
        yield from _pretreated(job, serial, [p.id for p in job.design.pieces.made if coated(p)])
        sprayed = Step("coat", "booth C-1", lots=powder)
        yield _steps(job, "2026-03-23", ASSEMBLER, "coat", serial, coated, sprayed)
        for run, baked, data in runs:
            if not baked.short or serial == names[0]:
                yield _steps(job, "2026-03-24", ASSEMBLER, "bake", serial, coated, baked, f"bake {serial} {run}",
                             "RW519" if baked.short else "", data)  # fmt: skip
        yield from signed(job, serial, "2026-03-24", "bake")
        yield _steps(job, "2026-03-24", ASSEMBLER, "bond_pads", serial, lambda p: p.kind == "block")


def bakes(job: Job) -> list[tuple[str, Step, bytes]]:
    """The oven's runs, those that did not cure first."""
    runs = [(name, oven_run(name, data, "oven O-3", job.design, job.shop, ("TC-8", "OS-3")), data)
            for name, data in job.bakes.items()]  # fmt: skip
    return sorted(runs, key=lambda row: (not row[1].short, row[0]))


def _pretreated(job: Job, serial: str, ids: list[str]) -> Iterator[Act]:
    """Outside work: counted out, counted in."""
    away, pieces = SUPPLIER, [piece_id(serial, id) for id in ids]
    yield Act(f"send out {serial}", STORES, "2026-03-17",
              lambda s, id: send_out(s, away, "pretreat", pieces, f"DN-{serial}", id))  # fmt: skip
    yield Act(f"receive back {serial}", STORES, "2026-03-20",
              lambda s, id: receive_back(s, away, "pretreat", pieces, (), f"CC-{serial}", id))  # fmt: skip


def _every(piece: Piece) -> bool:
    return True


def _coated(job: Job) -> Callable[[Piece], bool]:
    finish = job.design.rack.definition.finish
    return lambda piece: finish is not None and is_coated(finish, piece)


# --- inspection ----------------------------------------------------------------------------------

DAYS: Mapping[Stage, str] = {
    "before coat": "2026-03-16",
    "after coat": "2026-03-19",
    "assembled": "2026-03-20",
}


def _readings(job: Job, names: tuple[str, ...], stage: Stage) -> Iterator[Act]:
    """Every characteristic of a stage, by piece and gauge; twice something is refused on the way."""
    wanted: dict[tuple[str, str], list[Characteristic]] = {}
    for one in characteristics_of(job.design, job.shop):
        if one.stage == stage:
            wanted.setdefault((one.piece, one.gauge), []).append(one)
    day = DAYS[stage]
    if stage == "before coat":
        first = next(iter(wanted.values()))
        yield Act(
            "measure with a gauge past due", INSPECTOR, day, _read(job, names[0], first, "CA-11"), "RW512"
        )
        yield Act("measure what one cut", SAWYER, day, _read(job, names[0], first, "LB-2"), "RW516")
    for serial in names:
        for number, ((piece, kind), ones) in enumerate(wanted.items()):
            if stage == "assembled" and number == len(wanted) - 1:
                yield Act(f"release {serial} too soon", INSPECTOR, day, _release(job, serial), "RW515")
            yield Act(
                f"measure {serial} {piece} with {kind}",
                INSPECTOR,
                day,
                _read(job, serial, ones, GAUGE_OF[kind]),
            )


def readings_of(job: Job, serial: str, piece: str, stage: Stage, day: str, again: str) -> Iterator[Act]:
    """One piece of a rack, measured once more."""
    wanted: dict[str, list[Characteristic]] = {}
    for one in characteristics_of(job.design, job.shop):
        if (one.stage, one.piece) == (stage, piece):
            wanted.setdefault(one.gauge, []).append(one)
    for kind, ones in wanted.items():
        act = f"measure {serial} {piece} with {kind} {again}"
        yield Act(act, INSPECTOR, day, _read(job, serial, ones, GAUGE_OF[kind]))


def _read(
    job: Job, serial: str, ones: list[Characteristic], gauge: str
) -> Callable[[Station, str], Appended]:
    readings = {one: invented(job, serial, one) for one in ones}
    return lambda station, id: measure(station, serial, readings, gauge, id, job.shop.guard_band)


def _hole_out(job: Job, serial: str) -> Iterator[Act]:
    """One hole lies 0.020 in too near the tube's end: raised, contained, proven anew, accepted by its holder."""
    piece, day = piece_id(serial, OUT[0]), "2026-03-16"
    text = f"{OUT[1]} lies {float(OUT[2]):.3f} in too near the tube's end"

    def proven(station: Station) -> dict[str, str]:
        built = as_measured(state_of(station.record), job.design, serial, station.record.get_file)
        return reproof(job.design, built)

    def decide(acceptance: Acceptance | None) -> Callable[[Station, str], Appended]:
        def act(station: Station, id: str) -> Appended:
            margins = proven(station)
            reason = f"least margin with the measured hole {margins['least of all']}"
            customer = acceptance and Acceptance("INVENTED-MAIL-78", "a customer's engineer", day)
            return dispose(
                station, NCR, "use_as_is", reason, acceptance, margins, id, CAUSE, customer=customer
            )

        return act

    yield Act(f"raise {NCR}", INSPECTOR, day,
              lambda s, id: raise_nonconformance(s, NCR, text, [piece], OUT[1], proven(s), id))  # fmt: skip
    yield Act("coat a held piece", ASSEMBLER, day,
              lambda s, id: step(s, Step("pretreat"), [piece], [serial], id), "RW517")  # fmt: skip
    yield Act(f"lift the hold of {NCR} undecided", LEAD, day,
              lambda s, id: release_hold(s, f"hold {NCR}", "in a hurry", id), "RW520")  # fmt: skip
    yield Act(f"use as is without acceptance, {NCR}", LEAD, day, decide(None), "RW520")
    accepted = Acceptance("INVENTED-ACC-9 rev A", "an invented holder of the design approval", "2026-03-17")
    yield Act(f"use as is, {NCR}", LEAD, "2026-03-17", decide(accepted))
    yield Act(f"lift the hold of {NCR}", LEAD, "2026-03-17",
              lambda s, id: release_hold(s, f"hold {NCR}", f"accepted by {accepted.document}", id))  # fmt: skip


# --- assembly ------------------------------------------------------------------------------------


def _assembling(job: Job, names: tuple[str, ...]) -> Iterator[Act]:
    day = "2026-03-25"
    coated = _coated(job)
    yield from _drawing(job, names, day)
    pieces = [piece.id for piece in job.design.pieces.made]
    for serial in names:
        made = [piece_id(serial, piece) for piece in pieces]
        baked = [piece_id(serial, piece.id) for piece in job.design.pieces.made if coated(piece)]
        if serial == names[0]:
            forgetful = _assemble(job, serial, made, baked, forgotten=True)
            yield Act("assemble with a torque missing", ASSEMBLER, day, forgetful, "RW521")
        yield Act(f"assemble {serial}", ASSEMBLER, day, _assemble(job, serial, made, baked))


def _assemble(
    job: Job, serial: str, pieces: list[str], baked: list[str], forgotten: bool = False
) -> Callable[[Station, str], Appended]:
    def act(station: Station, id: str) -> Appended:
        torques, state = _torques(job, serial), state_of(station.record)
        joints = by_the_card(
            state, job.design, job.shop, serial, WRENCH, torques, dict.fromkeys(torques, RUNNING)
        )
        if forgotten:
            joints = (*joints[:-1], replace(joints[-1], running="", torque=""))
        return assemble(station, serial, pieces, joints, "J-47", baked, id)

    return act


def _drawing(job: Job, names: tuple[str, ...], day: str) -> Iterator[Act]:
    """Hardware is drawn from its lots for each serial."""
    left = {item.id: item.count for item in job.items}
    for line in fasteners(job.plan.demand, job.items, job.shop, day):
        for number, serial in enumerate(names):
            need = line.per_rack[number]
            for take in line.lots:
                count = min(need, left[take.item])
                if count:
                    left[take.item] -= count
                    need -= count
                    yield Act(
                        f"draw {take.item} for {serial}", ASSEMBLER, day, _draw(job, take.item, count, serial)
                    )


def _draw(job: Job, item: str, count: int, serial: str) -> Callable[[Station, str], Appended]:
    return lambda station, id: draw_lot(station, item, ORDER, job.revision, count, [serial], id)


def _torques(job: Job, serial: str) -> dict[str, str]:
    """Joint -> an invented final torque inside the range that the card asks for, of what this shop tightens."""
    found = {}
    for joint in assembly(job.design, job.shop).ours:
        if joint.torque is not None:
            low, high = (
                value / float(unit_factor("in*lbf")) for value in (joint.torque.low, joint.torque.high)
            )
            share = int.from_bytes(sha256(f"{serial}/{joint.id}".encode()).digest()[:2], "big") % 51 / 100
            found[joint.id] = f"{low + (high - low) * (0.25 + share) + 3.0:.1f} in*lbf"
    return found


def _passports(job: Job, names: tuple[str, ...]) -> Iterator[Act]:
    """Every rack measured on the jig once it is bolted up; invented readings within a few thousandths."""
    for serial in names:
        data = _points(job, serial)
        yield Act(f"passport {serial}", INSPECTOR, "2026-03-25", _measured_points(job, serial, data))


def _points(job: Job, serial: str) -> bytes:
    rows = ["# invented readings: no rack, no arm", "point,x_in,y_in,z_in"]
    for hole in interchange(job.design, job.shop):
        shares = sha256(f"{serial}/{hole.bolt}".encode()).digest()[:3]
        found = (
            at / 25_400_000 + (share - 127.5) / 127.5 * 0.004
            for at, share in zip(hole.at, shares, strict=True)
        )
        rows.append(",".join((hole.bolt, *(f"{value:.4f}" for value in found))))
    return "\n".join((*rows, "")).encode()


def _measured_points(job: Job, serial: str, data: bytes) -> Callable[[Station, str], Appended]:
    name = f"passport-{serial}.csv"
    return lambda station, id: record_points(
        station, serial, job.design, job.shop, name, data, ARM, id, ("BU-47",)
    )


def _weighing(job: Job, names: tuple[str, ...]) -> Iterator[Act]:
    """On four scales under the pads; the readings are the computed ones with an invented half percent."""
    computed = job.design.bare
    for number, serial in enumerate(names):
        readings = {
            corner: value * (1.003 + 0.001 * number)
            for corner, value in on_pads(job.design.rack, computed).items()
        }
        texts = {corner: f"{value / 0.45359237:.2f} lb" for corner, value in readings.items()}
        yield Act(f"weigh {serial}", INSPECTOR, "2026-03-26", _weigh(serial, from_scales(job.design, texts)))


def _weigh(serial: str, weighing: Weighing) -> Callable[[Station, str], Appended]:
    return lambda station, id: weigh(station, serial, weighing, SCALE, id)


# --- release and shipment ------------------------------------------------------------------------


#: the report stays a draft here: which rows of the handbooks are right, no invented person can have read
WITHOUT = "rows of the report are not yet compared with their sources; the holder's own substantiation stands for them"


def _release(job: Job, serial: str) -> Callable[[Station, str], Appended]:
    return lambda station, id: release(station, serial, job.design, job.shop, id)


def _leaving(job: Job, names: tuple[str, ...]) -> Iterator[Act]:
    day = "2026-03-27"
    if burns(job):
        yield Act("release without its evidence", INSPECTOR, day, _release(job, names[0]), "RW556")
    yield from burning(job)
    yield Act("release without a released report", INSPECTOR, day, _release(job, names[0]), "RW535")
    yield Act("leave without a released report", ENGINEER, day,
              lambda s, id: go_without_report(s, job.revision, WITHOUT, "INVENTED-SUB-118 rev A", id))  # fmt: skip
    for serial in names[:2]:
        yield Act(f"release {serial}", INSPECTOR, day, _release(job, serial))
    yield Act(
        "ship before the notice", LEAD, day, lambda s, id: ship(s, names[:2], CUSTOMER, "DN-88", id), "RW548"
    )
    yield from settling(job)
    yield Act("ship what is not released", LEAD, day,
              lambda s, id: ship(s, names[-1:], "the customer's hangar", "DN-88", id), "RW517")  # fmt: skip
    yield Act(
        "ship line 1", LEAD, day, lambda s, id: ship(s, names[:2], "the customer's hangar", "DN-88", id)
    )
    yield Act(f"release {names[-1]}", INSPECTOR, "2026-03-30", _release(job, names[-1]))
    yield from flying(job)


def shown_degrees(radians: float) -> str:
    return f"{radians * 180 / 3.141592653589793:.1f} deg"

"""The operations of a rack in their true order, as data, and what must hold for any order of them.

Each operation names those that must be done before it. An operation that a rack does not need (no rings, no coat) is
left out and its order passes on to those that follow. Two rules are checked on whatever order is given: none comes
before one that it needs, and nothing that the oven would spoil comes before the bake.
The order is common practice of the trade: holes are drilled on the jig before the coat, so that no cut edge is bare,
and what melts, hardens or loses its grip in the oven is put on after it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from rackwright.trouble import Fault, Where

if (
    TYPE_CHECKING
):  # the table of operations is read where the record is judged, without the engineering libraries
    from rackwright.making.assembly import Heat
    from rackwright.rack import Rack
    from rackwright.shop.labour import OperationName

__all__ = ["OPERATIONS", "Operation", "before", "needed", "order_faults"]

TUBES = ("post", "width", "depth", "brace")
SAWN = (*TUBES, "angle", "rail")
FLAT = ("ring", "panel", "pad", "gusset")


@dataclass(frozen=True)
class Operation:
    """One operation: what must be done before it, the kinds of piece it takes (() = all, `coated`: those that the
    definition's finish coats), and where it is done.

    `batch` operations take all racks of an order together, the others one rack after another. `cycle` says that a
    machine's own cycle is computed by that station. A `hold` stops the work until a person has signed it off.
    """

    id: OperationName
    title: str
    after: tuple[OperationName, ...]
    station: str
    kinds: tuple[str, ...] = ()
    coated: bool = False
    batch: bool = False
    cycle: bool = False
    hold: str = ""


OPERATIONS: tuple[Operation, ...] = (
    Operation("receive", "receive stock, compare its certificates, put it away", (), "stores", batch=True,
              hold="every certificate good against its specification"),
    Operation("issue", "issue bars, blanks and lots to the job", ("receive",), "stores", batch=True,
              hold="frozen revision with its design-approval reference; no question that blocks signing out"),
    Operation("saw", "saw tubes, angles and rails", ("issue",), "saw", SAWN, batch=True),
    Operation("waterjet", "cut ring blanks, panels, pads and gussets flat", ("issue",), "waterjet", FLAT, batch=True,
              cycle=True),
    Operation("bend", "bend the rings", ("waterjet",), "brake", ("ring",), batch=True, cycle=True,
              hold="test bend of this heat and die"),
    Operation("mill", "mill the corner blocks", ("issue",), "mill", ("block",), batch=True, cycle=True,
              hold="first piece measured"),
    Operation("deburr_parts", "deburr and mark every piece", ("saw", "waterjet", "bend", "mill"), "bench", batch=True),
    Operation("fit_up", "fit up on the jig, gaps measured before anything is pulled", ("deburr_parts",), "jig",
              hold="jig passport in date, parts at room temperature"),
    Operation("drill", "drill and ream on the jig", ("fit_up",), "jig"),
    Operation("take_apart", "take apart, keep the set together", ("drill",), "jig"),
    Operation("deburr", "deburr holes, clean out chips", ("take_apart",), "bench"),
    Operation("inspect_metal", "measure before coat", ("deburr",), "inspection",
              hold="every characteristic before coat within limits"),
    Operation("pretreat", "pretreat for powder", ("inspect_metal",), "finishing", coated=True),
    Operation("coat", "mask and spray powder", ("pretreat",), "booth", coated=True, cycle=True),
    Operation("bake", "bake to the powder maker's window, by metal temperature", ("coat",), "oven", coated=True,
              cycle=True,
              hold="thermocouple record meets the window"),
    Operation("bond_pads", "bare and treat bond pads and bonding faces", ("bake",), "bench",
              ("block", "post", "width", "depth")),
    Operation("inspect_film", "measure film", ("bake",), "inspection", coated=True, hold="film within limits"),
    Operation("assemble", "assemble wet, tighten by the torque card", ("bond_pads", "inspect_film", "inspect_metal"),
              "assembly", hold="every joint with lot, wrench, running and final torque, person"),
    Operation("inspect", "measure the assembled rack", ("assemble",), "inspection",
              hold="every characteristic of the assembled rack within limits"),
    Operation("weigh", "weigh, find the centre of gravity", ("inspect",), "scales",
              hold="agrees with the computed mass"),
    Operation("release", "release the serial", ("weigh",), "inspection", hold="every gate of the record"),
)  # fmt: skip


def needed(racks: Sequence[Rack], kinds: frozenset[str]) -> tuple[Operation, ...]:
    """The operations that these racks need, in order; what is left out passes its order on."""
    coated = any(rack.definition.finish is not None for rack in racks)
    bonded = any(rack.definition.bond is not None for rack in racks)
    drop = {one.id for one in OPERATIONS if one.kinds and not kinds & set(one.kinds)}
    drop |= set() if coated else {one.id for one in OPERATIONS if one.coated}
    drop |= set() if bonded else {"bond_pads"}
    return without(OPERATIONS, frozenset(drop))


def without(operations: Sequence[Operation], drop: frozenset[str]) -> tuple[Operation, ...]:
    """The operations less some; those after a dropped one follow the ones before it."""
    kept: list[Operation] = []
    passed: dict[str, tuple[OperationName, ...]] = {}
    for one in operations:
        after = tuple(dict.fromkeys(name for each in one.after for name in passed.get(each, (each,))))
        if one.id in drop:
            passed[one.id] = after
        else:
            kept.append(replace(one, after=after))
    return tuple(kept)


def before(operations: Sequence[Operation]) -> Mapping[str, frozenset[str]]:
    """Operation -> all that must be done before it. Loops are cut where they close."""
    after = {one.id: one.after for one in operations}

    def walk(id: str, seen: frozenset[str]) -> frozenset[str]:
        direct = frozenset(after.get(id, ())) - seen  # type: ignore[call-overload]
        return direct.union(*(walk(name, seen | direct) for name in direct))

    return {id: walk(id, frozenset()) for id in after}


def order_faults(
    operations: Sequence[Operation], heats: Sequence[Heat] = (), hottest: float | None = None
) -> list[Fault]:
    """What is wrong with an order of operations: `hottest` is the metal temperature (K) of the bake."""
    return [*_out_of_order(operations), *_spoiled(operations, heats, hottest)]


def _out_of_order(operations: Sequence[Operation]) -> Iterator[Fault]:
    done: set[str] = set()
    for number, one in enumerate(operations, start=1):
        where = Where("route", 0, f"{number} {one.id}")
        if one.id in done:
            yield Fault("RW441", where, f"{one.id} stands twice", "list each operation once")
        for name in one.after:
            if name not in done:
                yield Fault(
                    "RW441", where, f"{one.id} comes before {name}, which it needs", f"put {name} before it"
                )
        done.add(one.id)


def _spoiled(
    operations: Sequence[Operation], heats: Sequence[Heat], hottest: float | None
) -> Iterator[Fault]:
    """Things that stand less than the bake and come with an operation that is, or may be, done before it."""
    ids: list[str] = [one.id for one in operations]
    if "bake" not in ids or hottest is None:
        return
    after_bake = {id for id, names in before(operations).items() if "bake" in names}
    for heat in heats:
        early = heat.operation in ids and (
            heat.operation not in after_bake or ids.index(heat.operation) < ids.index("bake")
        )
        if early and heat.most < hottest:
            where = Where("route", 0, f"{ids.index(heat.operation) + 1} {heat.operation}")
            found = f"{heat.name} stands {_degf(heat.most)}, the bake reaches {_degf(hottest)}"
            yield Fault("RW442", where, found, "put it on after the bake")


def _degf(kelvin: float) -> str:
    return f"{kelvin * 9 / 5 - 459.67:.0f} degF"

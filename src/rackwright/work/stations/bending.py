"""Test bends booked from a heat: each gives K, radius and overbend to the blanks of that heat that are not cut yet.

A test bend is measured in the shop (flat, legs to the mold line, angle free and under load, inside radius) and written
as the row of `shop.toml` that it is:

    format = "rackwright/shop/1"
    [[bend_test]]
    id = "TB-21" ...

record_test_bend   keeps the file, and names what was cut before it and is not bent: blanks by an older K
with_test_bends    the shop with every test bend of the record, newest last, so that plan and papers follow it
shop_as_bent       the shop of a folder so

It is looked at magnified; a cracked one is recorded and gives no K, and its heat is not to be bent so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from rackwright.record import Appended, Record, Refs, State, state_of
from rackwright.shop import Shop, read_bend_test
from rackwright.trouble import Refusal, Stopped
from rackwright.work.controlled import controlled, means_named
from rackwright.work.gates import Maybe, first, gauge_may_measure, no, person_may
from rackwright.work.keeping.shop_folder import open_record, place_of
from rackwright.work.load import load_shop
from rackwright.work.people.founding import MACHINING
from rackwright.work.station import Draft, Station, perform

__all__ = ["cut_and_unbent", "record_test_bend", "shop_as_bent", "with_test_bends"]


def record_test_bend(
    station: Station,
    file: str,
    data: bytes,
    gauge: str,
    cracked: bool,
    act_id: str = "",
    gauges: Sequence[str] = (),
) -> Appended:
    """Record one test bend as measured with `gauge`; `gauges`: the die that bent it, where dies are controlled.
    Raises Stopped: the faults of its file, or the gate's refusal."""
    bend, faults = read_bend_test(data, file)
    if bend is None:
        raise Stopped(faults)
    kept = station.record.put_file(data)

    def decide(state: State) -> list[Draft] | Refusal:
        kinds = controlled(state, "test_bend")
        refused = first(
            person_may(state, station.person, MACHINING, station.today),
            gauge_may_measure(state, gauge, station.today),
            means_named(state, "test_bend", kinds, gauges, station.today),
            _new(state, bend.id),
            _received(state, bend.stock, bend.heat),
        )
        if refused is not None:
            return refused
        cut = cut_and_unbent(state, bend.heat)
        body = {
            "bend": bend.id, "heat": bend.heat, "spec": bend.stock, "gauge": gauge, "file": kept,
            "K": f"{bend.K:.4f}", "cracked": cracked, "cut": cut,
            "gauges": list(gauges), "controlled": list(kinds),
        }  # fmt: skip
        return [
            Draft(
                "test_bend",
                body,
                Refs.of(heats=[bend.heat], gauges=[gauge, *gauges], files=[kept], pieces=cut),
            )
        ]

    return perform(station, "test_bend", decide, act_id, evidence=[kept])


def cut_and_unbent(state: State, heat: str) -> list[str]:
    """Rings of a heat that are cut flat and not bent yet: what an older K has shaped."""
    return sorted(
        one.piece for one in state.pieces.values()
        if one.heat == heat and one.state == "made" and "bend" not in one.done
        and one.piece.partition("/")[2].startswith("ring.")
    )  # fmt: skip


def with_test_bends(record: Record, state: State, shop: Shop) -> Shop:
    """The shop, with the record's test bends after its own; a cracked one gives no number."""
    found = []
    for one in state.test_bends.values():
        bend, faults = read_bend_test(record.get_file(one.file), one.bend)
        if bend is None:
            raise Stopped(faults)
        if not one.cracked:
            found.append(bend)
    return replace(shop, bend_test=(*shop.bend_test, *found))


def shop_as_bent(folder: Path | None) -> Shop:
    """The shop of a folder, with the test bends of its record where it holds one. Raises Stopped as `load_shop`."""
    shop = load_shop(folder)
    if folder is None or not place_of(folder).exists():
        return shop
    with open_record(folder) as record:
        return with_test_bends(record, state_of(record), shop)


def _new(state: State, bend: str) -> Maybe:
    if bend not in state.test_bends:
        return None
    return no("RW503", bend, f"test bend {bend} is recorded already", "give each its own number")


def _received(state: State, spec: str, heat: str) -> Maybe:
    """Is there such metal, and is it accepted?"""
    stocks = [one for one in state.stock.values() if one.heat == heat and one.stock_spec == spec]
    if any(one.state not in ("received", "quarantined", "scrapped") for one in stocks):
        return None
    found = f"no accepted {spec} of heat {heat} is in the record"
    return no("RW503", heat, found, "check heat and specification, or receive and accept the plate first")

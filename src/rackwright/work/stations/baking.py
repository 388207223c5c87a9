"""A bake as the oven itself recorded it: only its thermocouple file can say that the powder maker's rule was met.

The file is kept by its hash whether the bake counts or not; a refused bake names it too, so that what happened
in the oven is never lost. An oven without a survey proves nothing: its day is that of the record's row, which the step
asks as of everything that decides (`controlled.py`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from rackwright.design import Design
from rackwright.making.oven.bake import cure
from rackwright.making.oven.thermocouples import read_thermocouples
from rackwright.record import Appended, state_of
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.controlled import SURVEY, controlled
from rackwright.work.station import Station
from rackwright.work.stations.making import Step, step

__all__ = ["bake", "oven_run"]


def oven_run(
    name: str, data: bytes, machine: str, design: Design, shop: Shop, gauges: Sequence[str] = ()
) -> Step:
    """What a thermocouple file comes to as a step; `short` says why it does not count, "" when it does.

    Raises Stopped with the faults of the file.
    """
    log, faults = read_thermocouples(data, name)
    if log is None:
        raise Stopped(faults)
    finish, oven = design.rack.definition.finish, shop.oven
    if finish is None or oven is None:
        lacks = "the definition names no finish" if finish is None else "shop.toml has no [oven]"
        return Step(
            "bake", machine, {"log": name}, gauges=tuple(gauges), short=f"{lacks}, so nothing says what cures"
        )
    answer = cure(log, finish, [probe.name for probe in oven.probe], oven.longest_gap)
    why = [refusal.found for refusal in answer.refusals()]
    return Step(
        "bake", machine, {"log": name, "state": answer.state}, gauges=tuple(gauges), short="; ".join(why)
    )


def bake(
    station: Station, name: str, data: bytes, machine: str, design: Design, shop: Shop, pieces: Sequence[str],
    serials: Sequence[str], act_id: str = "", gauges: Sequence[str] = (),
) -> Appended:  # fmt: skip
    """Record a bake of pieces by the oven's own file (name and bytes). Raises Stopped: RW519, the file's faults."""
    run = oven_run(name, data, machine, design, shop, gauges)
    if SURVEY not in controlled(state_of(station.record), "bake"):
        none = (
            "no oven survey is in the record: the lead records it, log gauge kind='oven survey, of oven ...'"
        )
        run = replace(run, short="; ".join(filter(None, [run.short, none])))
    return step(station, run, pieces, serials, act_id, machine_record=data)

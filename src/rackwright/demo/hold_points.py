"""The hold points of the invented shop: signed off by its inspector, who made nothing."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.demo.job import INSPECTOR, Act, Job
from rackwright.record import Appended
from rackwright.work.office.ordering import points_of
from rackwright.work.station import Station
from rackwright.work.stations.signing_off import point_of, sign_off

__all__ = ["every_signed", "signed", "signs"]


def signed(job: Job, serial: str, day: str, *points: str) -> Iterator[Act]:
    """The hold points of a rack that its revision has, signed off by the inspector."""
    for point in points:
        if point in points_of(job.design):
            yield signs(job, serial, day, point, INSPECTOR)


def every_signed(job: Job, names: tuple[str, ...], day: str, point: str) -> Iterator[Act]:
    for serial in names:
        yield from signed(job, serial, day, point)


def signs(job: Job, serial: str, day: str, point: str, person: str, refused: str = "") -> Act:
    def act(station: Station, id: str) -> Appended:
        return sign_off(station, point, [point_of(job.design, job.shop, point, serial)], "", id)

    return Act(f"{person} signs {point} {serial}", person, day, act, refused)

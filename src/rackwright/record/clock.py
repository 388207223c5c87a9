"""Clocks go wrong; the order of events is their sequence, never their time.

A step back of the time from one event to the next is noted: by the audit for everyone to see, and within a day it is
no more than that (stations differ by minutes, an hour is set back by hand). A station more than a day behind what is
recorded has lost its clock, and what expires could be used again there: `work` refuses its acts.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from itertools import pairwise

from rackwright.record.envelope import Event, time_of

__all__ = ["DAY", "behind", "steps_back"]

DAY = timedelta(days=1)


def behind(at: str, latest: str) -> timedelta:
    """By how much the time `at` lies before `latest` ("" nothing recorded); negative where it lies after."""
    return time_of(latest) - time_of(at) if latest else -DAY


def steps_back(events: Sequence[Event]) -> list[str]:
    """Each step back, in words: event, by how much, and between which stations.

    Without its Z, a time that is earlier is also earlier as text; the text is compared first, as it is cheaper, and
    alone tells a leap second from the second before it.
    """
    return [
        f"event {one.seq} ({one.station or 'no station'}) is {time_of(before.at) - time_of(one.at)} before event "
        f"{before.seq} ({before.station or 'no station'})"
        for before, one in pairwise(events) if one.at[:-1] < before.at[:-1] and time_of(one.at) < time_of(before.at)
    ]  # fmt: skip

"""What the machines' own cycles take in an order, from the stations that compute them.

The oven: each rack bears its share of the batches it hangs in, and a batch takes as long as its slowest design. Of the
powder's cure points the one that is done soonest in this oven is planned; the log of the bake decides.
"""

from __future__ import annotations

from rackwright.making.oven.load import OvenPlan
from rackwright.making.route import Cycles
from rackwright.making.sawing.cutting import Demand

__all__ = ["bake_cycles"]


def bake_cycles(demand: Demand, oven: OvenPlan) -> Cycles:
    """Seconds in the oven of each rack; none where the oven's time is not known."""
    racks = [design.rack.definition.part for design, quantity in demand for _ in range(quantity)]
    soonest: dict[str, float] = {}
    for cycle in oven.cycles:
        if cycle.in_oven is not None:
            soonest[cycle.design] = min(cycle.in_oven, soonest.get(cycle.design, cycle.in_oven))
    shares: dict[tuple[str, int], float] = {}
    unknown: set[int] = set()
    for batch in oven.batches:
        times = [soonest.get(racks[rack - 1]) for rack in batch.racks]
        for rack in batch.racks:
            if None in times:
                unknown.add(rack)
            share = max(time or 0.0 for time in times) / len(times)
            shares["bake", rack] = shares.get(("bake", rack), 0.0) + share
    return {key: seconds for key, seconds in shares.items() if key[1] not in unknown}

"""What the machines' own cycles take in an order, from the stations that compute them.

The oven: each rack bears its share of the batches it hangs in. Of the powder's cure points the one that is done
soonest in this oven is planned; the log of the bake decides.
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
    shares = dict.fromkeys(range(1, len(racks) + 1), 0.0)
    for batch in oven.batches:
        for rack in batch.racks:
            shares[rack] += 1 / len(batch.racks)
    return {("bake", rack): share * soonest[racks[rack - 1]] for rack, share in shares.items()
            if share and racks[rack - 1] in soonest}  # fmt: skip

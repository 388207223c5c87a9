"""The rack's passport in the dossier: its interchange points as found, against the drawing and the racks before it."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.making.passport import passport_gap
from rackwright.papers.table import Block, Facts, Table, Text
from rackwright.record import State
from rackwright.shop import Shop
from rackwright.work.papers.words import in_unit, signed
from rackwright.work.stations.passports import compare, points_of

__all__ = ["passport_blocks"]

INCH = 0.0254


def passport_blocks(state: State, serial: str, design: Design, shop: Shop) -> Iterator[Block]:
    """What was measured on the jig after the rack was bolted up; what it means for a part that is to fit two racks."""
    rack, tolerance = state.serials.get(serial), design.rack.definition.tolerance
    if rack is None or not rack.points:
        yield Text("The interchange points of this rack are not measured in this record.")
        return
    gap = compare(state, serial, "", design, shop)
    limit = (
        f"{in_unit(tolerance.between_racks * 1e-9, 'in', 3)} between two racks"
        if tolerance
        else "none is given"
    )
    name, most = gap.most_fixed
    facts = [("Measured", f"{len(gap.fixed)} points (event {rack.points_seq})"), ("Limit", limit),
             ("Most from the drawing", f"{in_unit(most, 'in', 4)} at {name}")]  # fmt: skip
    if gap.least:
        facts.append(
            ("As placed best", f"{in_unit(gap.most_least[1], 'in', 4)} at most; no placing does better")
        )
    for other in state.serials.values():
        if other.serial != serial and other.revision == rack.revision and other.points:
            name, most = passport_gap(points_of(other.points), points_of(rack.points)).most_fixed
            facts.append((f"Most from {other.serial}", f"{in_unit(most, 'in', 4)} at {name}"))
    yield Facts(tuple(facts))
    yield Table(
        "Found less drawing, in, from the jig's datum",
        ("point", "x", "y", "z"),
        tuple(
            (point, *(signed(value / INCH, 4) for value in row)) for point, row in sorted(gap.fixed.items())
        ),
        align="irrr",
        widths=(4, 1, 1, 1),
    )

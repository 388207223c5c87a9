"""The ballooned drawing of a design: every characteristic of the inspection sheet at its place."""

from __future__ import annotations

from dataclasses import replace
from math import degrees

from rackwright.design import Design
from rackwright.making.inspected import characteristics_of
from rackwright.papers.balloons import Numbered, NumberedRing
from rackwright.papers.drawing import draw_numbered
from rackwright.papers.lengths import inches
from rackwright.pieces.characteristics import RACK, Characteristic, ring_outline, shown
from rackwright.plan import Plan
from rackwright.shop import Shop
from rackwright.work.papers.blocks import block_sketches
from rackwright.work.papers.drawing import rack_drawing
from rackwright.work.papers.pieces import piece_sketches
from rackwright.work.papers.plate_parts import plate_sketches
from rackwright.work.papers.words import head, number

__all__ = ["balloons"]


def balloons(design: Design, shop: Shop, date: str, demo: bool = False) -> bytes:
    """The drawing, PDF. Raises Stopped with the faults of a design that cannot be built."""
    drawing = rack_drawing(design, shop, date, demo)
    wanted = characteristics_of(design, shop)
    whole = [one for one in wanted if one.piece == RACK]
    d = design.rack.definition
    plain = head(design, shop, "Characteristics", f"{d.drawing}-B", date, demo)
    pads = tuple(design.pieces.get(name).boxes[0] for name in d.bond.pads) if d.bond else ()
    middles = tuple(
        ((box.lo[0] + box.hi[0]) // 2, (box.lo[1] + box.hi[1]) // 2, (box.lo[2] + box.hi[2]) // 2)
        for box in pads
    )
    bare = replace(
        drawing, solids=tuple(s for s in drawing.solids if s.kind != "keep-out"), straps=(), fittings=()
    )
    bond = next((str(one.number) for one in whole if one.name.startswith("bond ")), "")
    return draw_numbered(
        Numbered(
            replace(plain, paper="us-tabloid"),
            bare,
            {one.name: str(one.number) for one in whole},
            (bond, middles),
            tuple(_row(one) for one in whole),
            _ring(design, wanted),
            piece_sketches(design, shop, balloon=True),
            block_sketches(Plan(((design, 1),), None, shop)),
            plate_sketches(design, wanted),
        )
    )


def _row(one: Characteristic) -> tuple[str, ...]:
    limits = f"{shown(one, one.low) or 'no least'} to {shown(one, one.high)}" if one.low is not None else (
        f"at most {shown(one, one.high)}")  # fmt: skip
    return str(one.number), one.name, shown(one, one.nominal), limits, one.gauge


def _ring(design: Design, wanted: tuple[Characteristic, ...]) -> NumberedRing | None:
    d = design.rack.definition
    make = d.ring_make
    if make is None or not d.ring:
        return None
    at = {one.id: str(one.number) for one in wanted}
    rows = tuple(
        (name, *(at.get(f"{name}/{one}", "–") for one in ("bend angle", "leg reach", *ring_outline(make))))
        for name in (f"ring.{ring.name}" for ring in d.ring)
    )
    spread = f" ± {number(degrees(d.tolerance.ring_angle), 1)}°" if d.tolerance else ""
    words = f"{number(degrees(make.bend), 1)}°{spread} through"
    if d.tolerance is not None:
        words += f"; reach ± {inches(d.tolerance.ring_reach)}"
    return NumberedRing(
        make.flat_reach,
        make.leg_reach,
        make.eye_edge,
        make.thickness,
        make.width,
        make.eye,
        make.bend,
        words,
        rows,
    )

"""The frame of a rack with the names that lead back to the rack: what `idealise` makes and every check reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rackwright.strength.frame import Bodies, Curve, Frame

__all__ = ["PRETENSIONS", "Carrier", "RackFrame", "Segment"]

Vector = NDArray[np.float64]
#: the variants of one design: pretension of the straps, and the joints where they are not continuous
PRETENSIONS = ("low", "high", "low, flexible joints", "high, flexible joints")


@dataclass(frozen=True)
class Segment:
    """One member: the piece it stands for and where along it the member begins (m from the piece's low end)."""

    piece: str
    kind: str  # post, width, depth, angle, panel
    start: float
    length: float


@dataclass(frozen=True)
class Carrier:
    """One fixing line of an item: its name, node, and place."""

    item: str
    node: int
    at: Vector


@dataclass(frozen=True, eq=False)
class RackFrame:
    """The frame with the names that lead back to the rack."""

    frame: Frame
    nodes: tuple[str, ...]
    segments: tuple[Segment, ...]  # a row for each member
    straps: tuple[str, ...]  # a row for each tie
    pads: tuple[str, ...]  # a row for each pad, as post corners; a bolted foot is none
    items: tuple[str, ...]  # equipment names; its masses are the first ones
    #: of one design: pretension, then temperature, then corner of the CG tolerances; as fixed and nominal ones first
    variants: tuple[str, ...]
    left: tuple[
        float, ...
    ]  # of each: share of the strength at its temperature; not a number where none is stated
    states: tuple[str, ...]  # the variants with centres of gravity as stated
    item_mass: Vector  # (V, items) kg, upper tolerance
    item_cg: Vector  # (V, items, 3) m, from the corner of the item's body
    carriers: tuple[Carrier, ...]  # a row for each carrying point of equipment
    curves: Mapping[int, Curve]  # load-stretch curves of straps, by the number of the tie
    bodies: Bodies  # the items as bodies that turn and may stand on isolators; for modes, not for load cases

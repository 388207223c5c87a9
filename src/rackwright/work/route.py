"""What the route asks to be recorded before a step: the steps before it, and the hold points signed off.

Both follow from the one table of operations (`making/operations.py`). It opens without the engineering libraries.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from rackwright.making.operations import OPERATIONS, Operation

__all__ = [
    "ON_PIECES",
    "ON_RACK",
    "STEPS",
    "hold_points",
    "operation",
    "points_before",
    "steps_before",
    "takes",
]

STEPS = ("mill", "bend", "fit_up", "drill", "take_apart", "deburr", "pretreat", "coat", "bake", "bond_pads")
#: what stops work until it is signed off, of a piece or of the assembled rack. What receives, issues, weighs and
#: releases is a signed act of its own, behind its own gates: nobody signs it a second time
ON_PIECES = ("mill", "bend", "fit_up", "inspect_metal", "bake", "inspect_film")
ON_RACK = ("assemble", "inspect")

_BY_ID: dict[str, Operation] = {one.id: one for one in OPERATIONS}


def operation(name: str) -> Operation:
    return _BY_ID[name]


def hold_points(operations: Iterable[Operation]) -> list[str]:
    """Those of these operations that are signed off, in their order."""
    return [one.id for one in operations if one.hold and one.id in (*ON_PIECES, *ON_RACK)]


def takes(one: Operation, kind: str, coated: bool = True) -> bool:
    """Does the operation take a piece of this kind?"""
    return (not one.kinds or kind in one.kinds) and (coated or not one.coated)


@cache
def steps_before(name: str, kind: str) -> tuple[str, ...]:
    """The recorded steps that the route asks for right before this one, on a piece of this kind."""
    return _before(name, kind)[0]


@cache
def points_before(name: str, kind: str) -> tuple[str, ...]:
    """The hold points of a piece of this kind between this step and the recorded ones right before it."""
    return _before(name, kind)[1]


def _before(name: str, kind: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    steps, points = set[str](), set[str]()
    waiting = list(_BY_ID[name].after) if name in _BY_ID else []
    while waiting:
        before = _BY_ID[waiting.pop()]
        if before.id in ON_PIECES and takes(before, kind):
            points.add(before.id)
        if before.id in STEPS and takes(before, kind):
            steps.add(before.id)
        else:
            waiting += before.after
    return tuple(sorted(steps)), tuple(one for one in ON_PIECES if one in points)

"""How much may be carried: the largest mass of each item and shelf, and mass against the place of its centre.

Masses are total masses as the frame takes them, tolerance included: what the scales may read at most. Of a shelf, and
of everything together, the items keep their shares. Each answer is found with everything else as the definition
says; only `together` lets all grow at once, and it holds with every choice of items left at home as well, and with
every centre brought down to the mounting face: a placard made of it is for what is aboard, not only for a full rack.
(Less is not always safer: a lower centre brings more bending into the posts' lower ends.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import product

import numpy as np
from numpy.typing import NDArray

from rackwright.rack.model import Rack
from rackwright.strength.inverse.stretch import Stretch, outward, proven, stretch
from rackwright.strength.vary import Batch, Found, Variants

__all__ = ["Boundary", "Payload", "Together", "asked", "envelope", "payloads", "places", "together"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]
STEPS = 4  # between places of a centre of gravity in the envelope, over the size of the body
MANY = 6  # items whose every choice is judged; of more, each alone and each left out


@dataclass(frozen=True)
class Payload:
    """The largest total mass (kg) of some items: of one, or of all on a shelf.

    `lowest` is the least mass that holds, 0 where an empty place does.
    """

    place: str  # "equipment.<name>" or "shelf.<name>"
    items: tuple[str, ...]
    now: float
    lowest: float | None
    most: Stretch


@dataclass(frozen=True)
class Together:
    """All items grown by one factor: the largest total mass, and what each item may then weigh (kg).

    `aboard` is the choice of items that governs, `low` whether its centres are at their lowest.
    """

    most: Stretch
    each: Mapping[str, float]
    choices: int  # judged at the answer
    aboard: tuple[str, ...]
    low: bool


@dataclass(frozen=True)
class Boundary:
    """Largest mass (kg) of an item at places of its centre of gravity along one axis of its body (m)."""

    item: str
    axis: str
    now: float  # where the centre is, m from the corner of the body
    points: tuple[tuple[float, Stretch], ...]


def places(rack: Rack) -> dict[str, tuple[str, ...]]:
    """What a mass may be asked of: every item, and every shelf with the items on it (none: an empty shelf)."""
    d = rack.definition
    found: dict[str, tuple[str, ...]] = {f"equipment.{item.name}": (item.name,) for item in d.equipment}
    for shelf in d.shelf:
        found[f"shelf.{shelf.name}"] = tuple(
            item.name for item in d.equipment if item.on_shelf and item.on_shelf.shelf == shelf.name
        )
    return found


def asked(batch: Batch, masses: Mapping[str, float]) -> Found:
    """The least margin with these total masses (kg) at places, as `places` names them; all else as defined."""
    every, own = places(batch.rack), dict(zip(batch.model.items, batch.model.item_mass[0], strict=True))
    mass: dict[str, Array] = {}
    for place, total in masses.items():
        share = sum(own[name] for name in every[place])
        mass |= {name: np.array([own[name] / share * total]) for name in every[place]}
    return batch.judge(Variants(1, mass=mass), whole=True)


def payloads(batch: Batch) -> tuple[Payload, ...]:
    """Of every item, and of every shelf that carries more than one."""
    items = batch.model.items
    rows = [
        (place, on)
        for place, on in places(batch.rack).items()
        if place.startswith("equipment.") or len(on) > 1
    ]
    if not rows:
        return ()
    shares = np.array([[name in on for name in items] for _, on in rows]) * batch.model.item_mass[0]
    now = shares.sum(axis=1)

    def judge(rows: Ints, x: Array, whole: bool = False) -> Found:
        mass = np.where(shares[rows] > 0, shares[rows] * (x / now[rows])[:, None], batch.model.item_mass[0])
        return batch.judge(Variants(len(x), mass={name: mass[:, n] for n, name in enumerate(items)}), whole)

    most = outward(judge, np.zeros(len(rows)), 4 * now)
    again = np.array([n for n, one in enumerate(most) if one.value is None], dtype=np.int64)
    lowest: list[float | None] = [0.0] * len(rows)
    if again.size:  # not empty, but as it is?

        def some(rows: Ints, x: Array) -> Found:
            return judge(again[rows], x)

        up, down = outward(some, now[again], 4 * now[again]), outward(some, now[again], 0 * now[again])
        for n, row in enumerate(again):
            most = (*most[:row], up[n], *most[row + 1 :])
            lowest[row] = down[n].value
    most = proven(most, partial(judge, whole=True))
    return tuple(Payload(place, on, float(now[n]), lowest[n], most[n]) for n, (place, on) in enumerate(rows))


def together(batch: Batch) -> Together | None:
    """All items at once; None without equipment."""
    items, own, cg = batch.model.items, batch.model.item_mass[0], batch.model.item_cg[0]
    if not items:
        return None
    choices = _choices(len(items))
    aboard, low = np.repeat(choices, 2, axis=0), np.tile([False, True], len(choices))

    def loads(some: Ints, total: Array) -> Variants:
        """The choices `some` of a rack that is loaded to these totals (kg) when full."""
        mass = aboard[some] * own * (total / own.sum())[:, None]
        height = np.where(low[some], 0.0, 1.0)[:, None] * cg[:, 2]
        return Variants(
            len(some), {name: mass[:, n] for n, name in enumerate(items)},
            {name: np.stack([0 * height[:, n] + cg[n, 0], 0 * height[:, n] + cg[n, 1], height[:, n]], axis=1)
             for n, name in enumerate(items)},
        )  # fmt: skip

    every = np.arange(len(aboard))
    governs = int(np.flatnonzero(aboard.all(axis=1) & ~low)[0])
    todo, most, whole = np.array([governs]), None, False
    while (
        todo.size
    ):  # the least over the choices: those that fail at the answer so far are searched themselves
        which = todo

        def judge(rows: Ints, x: Array, which: Ints = which, whole: bool = whole) -> Found:
            return batch.judge(loads(which[rows], x), whole)

        end = np.full(len(which), 4 * own.sum() if most is None or most.value is None else most.value)
        found = outward(judge, 0 * end, end) if most is None else stretch(judge, 0 * end, end)
        at = min(range(len(found)), key=lambda n: -1.0 if found[n].value is None else found[n].value or 0.0)
        most, governs = found[at], int(which[at])
        if most.value is None:
            break
        total = np.full(len(every), most.value)
        todo = every[~batch.judge(loads(every, total), whole).holds]
        if not todo.size and not whole:
            whole, todo = True, every[~batch.judge(loads(every, total), True).holds]
    assert most is not None
    each = (
        {}
        if most.value is None
        else dict(zip(items, map(float, own * (most.value / own.sum())), strict=True))
    )
    names = tuple(name for name, there in zip(items, aboard[governs], strict=True) if there)
    return Together(most, each, len(every), names, bool(low[governs]))


def _choices(count: int) -> NDArray[np.bool_]:
    if count <= MANY:
        return np.array(list(product((False, True), repeat=count)))
    alone = np.eye(count, dtype=bool)
    return np.concatenate([alone, ~alone, np.ones((1, count), bool), np.zeros((1, count), bool)])


def envelope(batch: Batch, axes: Sequence[str] = "zxy", only: str | None = None) -> tuple[Boundary, ...]:
    """Of every item, or of one, the largest mass at places of its centre along each axis of its body; others as they
    are."""
    items, model = batch.rack.definition.equipment, batch.model
    if not items:
        return ()
    what, number, axis, at = [], [], [], []
    for n, item in enumerate(items):
        for name in axes if only in (None, item.name) else "":
            i = "xyz".index(name)
            size, own = item.size[i] * 1e-9, float(model.item_cg[0, n, i])
            spots = sorted({*np.linspace(0.0, size, STEPS + 1).tolist(), own})
            what.append((item.name, name, own, len(spots)))
            number += [n] * len(spots)
            axis += [i] * len(spots)
            at += spots
    row_item, row_axis, row_at = np.array(number), np.array(axis), np.array(at)

    def judge(rows: Ints, x: Array, whole: bool = False) -> Found:
        mass, cg = np.tile(model.item_mass[0], (len(x), 1)), np.tile(model.item_cg[0], (len(x), 1, 1))
        here = np.arange(len(x))
        mass[here, row_item[rows]] = x
        cg[here, row_item[rows], row_axis[rows]] = row_at[rows]
        return batch.judge(Variants(
            len(x), {name: mass[:, n] for n, name in enumerate(model.items)},
            {name: cg[:, n] for n, name in enumerate(model.items)},
        ), whole)  # fmt: skip

    found = outward(judge, np.zeros(len(row_at)), 4 * model.item_mass[0, row_item])
    found = proven(found, partial(judge, whole=True))
    out, start = [], 0
    for name, way, own, count in what:
        part = slice(start, start + count)
        out.append(Boundary(name, way, own, tuple(zip(row_at[part].tolist(), found[part], strict=True))))
        start += count
    return tuple(out)

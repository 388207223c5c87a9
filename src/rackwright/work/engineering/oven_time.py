"""The time in the oven that the record holds of a rack, first coat included, and what it left of each temper.

Read from the thermocouple files of the bakes, whose bytes the record keeps. The pieces of one row are taken as all
baked like the worst of them, since their checks share it. Where no curve says what is left (`pieces/oven_time.py`),
margins are NOT ASSESSED, and keep a rack from release and from service.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from rackwright.design import Design
from rackwright.making.oven.exposure import exposed
from rackwright.making.oven.thermocouples import read_thermocouples
from rackwright.pieces.metals import metal_of
from rackwright.pieces.oven_time import Bake, KnockDown, curves_of, knock_down, onset
from rackwright.record import State
from rackwright.trouble import Stopped
from rackwright.work.metal.drawn import in_place

__all__ = ["Get", "Heated", "oven_time"]

Get = Callable[[str], bytes]  # a file of the record by its hash


@dataclass(frozen=True)
class Heated:
    """What the oven did to one material of a rack: the bakes of its worst piece, and what they may have left."""

    material: str
    piece: str
    bakes: tuple[Bake, ...]
    down: tuple[KnockDown, ...]

    @property
    def minutes(self) -> float:
        return sum(one.seconds for one in self.bakes) / 60

    @property
    def why_not(self) -> str:
        """Why margins are not assessed, "" where they are."""
        return next((one.why for one in self.down if one.share is None), "")

    @property
    def words(self) -> str:
        shares = (f"{one.name} {100 * one.share:.1f} %" for one in self.down if one.share is not None)
        left = ", ".join(shares) or f"not known: {self.down[0].why}"
        return f"{self.minutes:.1f} min; {left}"


def oven_time(state: State, design: Design, serial: str, get: Get) -> tuple[Heated, ...]:
    """Of each material of baked aluminium its worst piece: the one whose bakes leave least, or nobody knows what.

    Raises Stopped with the faults of a thermocouple file that cannot be read any more.
    """
    rows = design.rack.rows
    found: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
    for piece in design.pieces.made:
        id = in_place(state, serial, piece.id)
        made = state.pieces.get(id)
        if made is not None and made.heated and piece.material and metal_of(piece) == "aluminium":
            files = tuple(file for file, _ in made.heated)
            found.setdefault(piece.material, []).append((id, files))
    heated = []
    for material, pieces in sorted(found.items()):
        row = rows.materials[material]
        curves = [curve for name in ("Ftu", "Fty") for curve in curves_of(rows, row, name)]
        above = onset(curves) if curves else float("inf")
        seen = {files: id for id, files in reversed(pieces)}  # what went through the oven together is alike
        every = []
        for files, id in seen.items():
            runs = tuple(_run(get(file), file, above) for file in files)
            every.append((id, runs, knock_down(rows, [material], runs)))
        worst = min(every, key=lambda one: min(-1.0 if down.share is None else down.share for down in one[2]))
        heated.append(Heated(material, *worst))
    return tuple(heated)


@lru_cache(maxsize=64)
def _run(data: bytes, name: str, above: float) -> Bake:
    log, faults = read_thermocouples(data, name)
    if log is None:
        raise Stopped(faults)
    return exposed(name, log, above)

"""Sense checks of braces: `check.py` calls them. Whether they clear what is around them: `pieces/brace_fit.py`.

An end's bolts stand centred on its point of the member; none of their holes may reach the corner block or its spigot.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.rack.brace import ENDS, Brace, BraceEnd, GussetMake, members_of
from rackwright.rack.check_sizes import tube_sizes
from rackwright.rack.model import Definition, Rack
from rackwright.trouble import Fault

__all__ = ["brace_ranges", "check_braces"]

IN = 25_400_000  # nm
FEW = 12  # bolts of a line


def brace_ranges(d: Definition) -> Iterator[tuple[str, float, float, float, str, float]]:
    """Path, value, least, most, unit shown, and its size."""
    make = d.gusset_make
    if make is not None:
        yield "gusset_make.on_brace", make.on_brace, 2, FEW, "", 1
        yield "gusset_make.on_member", make.on_member, 2, FEW, "", 1
        yield "gusset_make.thickness", make.thickness, IN // 50, IN, "in", IN


def check_braces(rack: Rack) -> Iterator[Fault]:
    d = rack.definition
    if d.brace and d.gusset_make is None:
        found, do = "braces are placed, but [gusset_make] is missing", "add [gusset_make]"
        yield Fault("RW101", rack.where("brace"), found, do)
    for brace in d.brace:
        yield from _tube(rack, brace)
        known = members_of(brace.face)
        lost = False
        for name in ENDS:
            end: BraceEnd = getattr(brace, name)
            if end.member not in known:
                lost = True
                found = f"{end.member!r} is no tube of the {brace.face} face"
                place = rack.where(f"brace.{brace.name}.{name}.member")
                yield Fault("RW108", place, found, f"use one of: {', '.join(known)}")
        if not lost and brace.start.member == brace.end.member:
            place = rack.where(f"brace.{brace.name}.end.member")
            yield Fault("RW106", place, "both ends lie on one member", "take another one of that face")
        elif not lost and d.gusset_make is not None:
            for name in ENDS:
                yield from _along(rack, brace, name, d.gusset_make)


def _tube(rack: Rack, brace: Brace) -> Iterator[Fault]:
    tube, frame, path = brace.tube, rack.definition.tube, f"brace.{brace.name}.tube"
    if tube is None:
        return
    if tube.side != frame.side:
        found = f"a tube of {tube.side / IN:.4g} in on a frame of {frame.side / IN:.4g} in: gussets would not lie flat"
        yield Fault("RW106", rack.where(f"{path}.side"), found, "give the frame's side")
    yield from tube_sizes(rack, tube, path)


def _along(rack: Rack, brace: Brace, name: str, make: GussetMake) -> Iterator[Fault]:
    """The holes of an end lie clear of the blocks and their spigots at both ends of its member."""
    d, end = rack.definition, getattr(brace, name)
    whole = {"post": d.outside.height, "width": d.outside.width, "depth": d.outside.depth}[
        end.member.partition(".")[0]
    ]
    reach = (make.on_member - 1) * make.pitch // 2 + make.hardware.hole // 2
    taken = d.tube.side + d.block.spigot_length + reach
    if not taken <= end.at <= whole - taken:
        at = f"{end.at / IN:.4g} in"
        found = f"at {at} the bolts of brace {brace.name!r} would enter a corner block or its spigot in {end.member}"
        do = f"give {taken / IN:.4g} in to {(whole - taken) / IN:.4g} in, fewer bolts or a smaller pitch"
        yield Fault("RW209", rack.where(f"brace.{brace.name}.{name}.at"), found, do)

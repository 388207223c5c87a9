"""Tools as this shop holds and measured them: cutters of the mill, profiles and backgauge of the brake, and faults.

Speed, chip and engagement belong to a tool in a metal on a machine: each row names the log they are from, and one
that is absent is asked for. A profile is the tool's section seen along the bend line: points in the machine's plane
with the punch's tip, or the middle of the die's opening on its top, at 0, 0; x to the backgauge, y up.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from rackwright.fields import Angle, Band, Length, Name, Signed, Speed, Text, Whole
from rackwright.fields import definition as _definition
from rackwright.located import Places
from rackwright.shop.outline import area, ring_fault
from rackwright.trouble import Fault

__all__ = [
    "Backgauge",
    "MillTool",
    "ProfilePoint",
    "ToolKind",
    "ToolProfile",
    "profile_faults",
    "threads_an_inch",
    "tool_faults",
]

ToolKind = Literal["face mill", "end mill", "chamfer mill", "spot drill", "drill", "reamer", "tap"]


@_definition
class MillTool:
    """A tool in the mill's magazine. `reach` is from its tip to its holder."""

    id: Name
    kind: ToolKind
    diameter: Length
    flutes: Whole
    material: Text
    flute_length: Length
    reach: Length | None = None  # without it that of the flutes
    corner_radius: Band | None = None  # of an end mill; none is sharp
    point: Angle | None = None  # whole angle of a drill's point
    thread: Name | None = None  # of a tap, as 10-32, or 1/4-28 STI for a wire insert
    allowance: Length | None = None  # the most that a reamer is left, on the diameter
    surface_speed: Speed | None = None
    chip: Length | None = None  # feed of a tooth; a tap's feed is its pitch
    axial: Length | None = None  # deepest cut that it was found to stand
    radial: Length | None = None  # widest
    document: Text

    @property
    def reaches(self) -> int:
        return self.reach or self.flute_length


@_definition
class ProfilePoint:
    """A corner of a tool's section."""

    x: Signed
    y: Signed


@_definition
class ToolProfile:
    """The section of a punch or die with what holds it, as a closed polygon."""

    name: Name
    points: tuple[ProfilePoint, ...]
    document: Text


@_definition
class Backgauge:
    """The stop behind the die: how near and far its face goes from the bend line, and its finger's section."""

    nearest: Length
    farthest: Length
    finger_height: Length  # of the face that the sheet touches, from the die's top upward
    finger_length: Length  # behind the face
    document: Text


# --- faults --------------------------------------------------------------------------------------


def threads_an_inch(thread: str) -> int:
    """Of a unified thread or that of a wire insert (STI) by its name, as 10-32 or 1/4-28 STI; 0 for another name."""
    count = thread.removesuffix(" STI").rpartition("-")[2]
    return int(count) if count.isdecimal() else 0


def tool_faults(tools: tuple[MillTool, ...], places: Places) -> Iterator[Fault]:
    """What is wrong with the mill's tools beyond the kinds of their fields."""
    for number, tool in enumerate(tools):
        here = ("mill", "tool", number)
        if tool.id in [other.id for other in tools[:number]]:
            yield Fault(
                "RW107", places.where((*here, "id")), f"{tool.id!r} is given before", "give each its own"
            )
        if tool.flutes < 1:
            yield Fault("RW106", places.where((*here, "flutes")), "found 0", "give at least 1")
        if tool.reach is not None and tool.reach < tool.flute_length:
            do = "the reach is from tip to holder: give at least the flutes"
            yield Fault("RW106", places.where((*here, "reach")), "shorter than the flutes", do)
        if tool.radial is not None and tool.radial > tool.diameter:
            do = "give at most its diameter"
            yield Fault("RW106", places.where((*here, "radial")), "wider than the cutter", do)
        if tool.corner_radius is not None and 2 * tool.corner_radius > tool.diameter:
            do = "give at most half the diameter"
            yield Fault("RW106", places.where((*here, "corner_radius")), "more than the cutter's radius", do)
        if tool.point is not None and not 0.8 < tool.point < 3.1:
            do = "give the whole angle of the point, as 118 deg"
            yield Fault("RW106", places.where((*here, "point")), "an angle that no drill has", do)
        if (tool.kind == "tap") != (tool.thread is not None):
            yield Fault("RW111", places.where(here), "a tap without its thread, or a thread on another tool",
                        "give thread for a tap, and for nothing else")  # fmt: skip
        elif tool.thread is not None and not threads_an_inch(tool.thread):
            yield Fault("RW103", places.where((*here, "thread")), f"found {tool.thread!r}",
                        "size and threads an inch, as 10-32, or 1/4-28 STI for a wire insert")  # fmt: skip


def profile_faults(
    punch: ToolProfile | None, die: ToolProfile | None, gauge: Backgauge | None, places: Places
) -> Iterator[Fault]:
    """A polygon that is closed and of one piece, on its own side of the sheet, and a gauge that moves."""
    for name, tool in (("punch", punch), ("die", die)):
        if tool is None:
            continue
        here, corners = ("brake", name, "points"), [(point.x, point.y) for point in tool.points]
        if corners[:1] == corners[1:][-1:]:  # closed by its first corner again
            corners.pop()
        if len(set(corners)) < 3:
            yield Fault("RW106", places.where(here), f"{len(set(corners))} corners", "give at least three")
        elif wrong := ring_fault(corners if area(corners) > 0 else corners[::-1]):
            flat = not area(corners)
            found = (
                "the outline holds no area" if flat else f"the outline crosses or touches itself: {wrong[0]}"
            )
            yield Fault(
                "RW106", places.where(here), found, "give the corners of the section in turn, each once"
            )
        elif any(y < 0 if name == "punch" else y > 0 for _, y in corners):
            do = "the punch's tip is its lowest point, 0 in; the die's top its highest"
            yield Fault("RW106", places.where(here), "reaches to the other side of the sheet", do)
    if gauge is not None and gauge.nearest >= gauge.farthest:
        yield Fault("RW106", places.where("brake.backgauge.nearest"), "not nearer than the farthest",
                    "give the travel of the gauge's face")  # fmt: skip

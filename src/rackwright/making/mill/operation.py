"""Tasks and operations: what is cut, and how one tool on one machine cuts it.

A task says where metal is and how much; an operation is the task with a tool: spindle speed by the tool's surface
speed, or the machine's limit where that is lower; feed by its chip; layers and side steps no larger than the tool was
found to stand; metal removed in a unit of time at that engagement, and the power it takes. Times are of the feed
alone: changes, turns and loading are counted by the setup, rapid moves are not. A milling chip is the feed of a tooth
as measured; a narrower finishing cut keeps it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil, pi
from typing import Literal

from rackwright.formulas.cards import Num
from rackwright.formulas.machining import (
    area_time,
    contour_time,
    cutting_power,
    drill_point,
    drill_time,
    feed_rate,
    motor_power,
    removal_rate,
    spindle_speed,
)
from rackwright.making.blank import Step
from rackwright.shop.machines import Mill
from rackwright.shop.tools import MillTool, threads_an_inch

__all__ = ["Kind", "Operation", "Task", "operation", "point_of"]

Kind = Literal["face", "rough", "finish wall", "finish shoulder", "chamfer", "spot", "drill", "ream", "tap"]
MILLING = ("face", "rough")
TIMES: dict[str, Callable[..., Num]] = {
    "area_time": area_time, "contour_time": contour_time, "drill_time": drill_time,
}  # fmt: skip
ROUND = ("finish wall", "finish shoulder", "chamfer")


@dataclass(frozen=True)
class Task:
    """What is cut from one side. Lengths m; `area` of each layer (m²) of face and rough; `square` the side that a
    finishing cut goes round, `width` its radial cut; holes have a diameter, and the one `before` it."""

    kind: Kind
    side: str  # outward face that the spindle looks at
    on: str
    depth: float
    area: float = 0.0
    square: float = 0.0
    width: float = 0.0
    diameter: float = 0.0
    before: float = 0.0
    thread: str = ""
    volume: float | None = None  # m³ removed, where it is not area times depth or a cylinder
    shoulder: float = 0.0  # how far the holder must stand off

    @property
    def removed(self) -> float:
        """m³."""
        if self.volume is not None:
            return self.volume
        if self.kind in MILLING:
            return self.area * self.depth
        return (
            pi / 4 * (self.diameter**2 - self.before**2) * self.depth
            if self.kind in ("drill", "ream")
            else 0.0
        )


@dataclass(frozen=True)
class Operation:
    """A task with its tool, SI; without one the rest is None. `slowed`: by the machine's highest speed."""

    number: int
    task: Task
    tool: MillTool | None = None
    speed: float | None = None  # 1/s
    feed: float | None = None  # m/s
    axial: float | None = None
    radial: float | None = None
    layers: int = 0
    rate: float | None = None  # m³/s at that engagement
    power: float | None = None  # W at the cut
    motor: float | None = None  # W at the motor; None while the efficiency is asked for
    time: float | None = None
    slowed: bool = False
    steps: tuple[Step, ...] = ()

    @property
    def travel(self) -> float:
        """How deep the tool goes below what its holder must clear, m: a drill with its point."""
        return max(self.task.shoulder, self.task.depth + (point_of(self.tool) if self.tool else 0.0))


def point_of(tool: MillTool) -> float:
    """Length of a drill's point, m; none for other tools."""
    if tool.kind != "drill" or tool.point is None:
        return 0.0
    return float(drill_point(tool.diameter * 1e-9, tool.point))


def operation(number: int, task: Task, tool: MillTool | None, mill: Mill) -> Operation:
    """The operation; without a tool, or without its measured speed and chip, one that says only what is to be cut."""
    if tool is None or tool.surface_speed is None or (tool.chip is None and task.kind != "tap"):
        return Operation(number, task, tool)
    D = tool.diameter * 1e-9
    turns = {"v": tool.surface_speed, "D": D}
    wanted = float(spindle_speed(**turns))
    n = min(wanted, mill.most_spindle)
    # a tap moves by its pitch each turn
    feeding = {"n": n, "z": 1.0, "fz": pitch_of(tool)} if task.kind == "tap" else {
        "n": n, "z": float(tool.flutes), "fz": (tool.chip or 0) * 1e-9}  # fmt: skip
    vf = float(feed_rate(**feeding))
    steps: list[Step] = [("spindle_speed", turns), ("feed_rate", feeding)]
    axial, radial, layers, last = _path(task, tool, mill, vf)
    steps.append(last)
    time = float(TIMES[last[0]](**last[1]))
    Q = _rate(task, axial, radial, vf, steps)
    power = {"Q": Q, "kc": mill.cutting_force}
    steps.append(("cutting_power", power))
    P = float(cutting_power(**power))
    motor = None
    if mill.efficiency is not None:
        drawn = {"P": P, "eta": mill.efficiency}
        motor = float(motor_power(**drawn))
        steps.append(("motor_power", drawn))
    return Operation(
        number, task, tool, n, vf, axial, radial, layers, Q, P, motor, time, wanted > n, tuple(steps)
    )


def _path(task: Task, tool: MillTool, mill: Mill, vf: float) -> tuple[float, float, int, Step]:
    """Axial and radial engagement, layers, and the formula of the time with its values."""
    D = tool.diameter * 1e-9
    deepest = min(tool.axial or tool.flute_length, tool.flute_length)
    if task.kind in MILLING:
        layers = _layers(task.depth, deepest)
        radial = (tool.radial or tool.diameter) * 1e-9
        return task.depth / layers, radial, layers, (
            "area_time", {"m": float(layers), "S": task.area, "ae": radial, "D": D, "vf": vf})  # fmt: skip
    if task.kind in ROUND:
        layers = _layers(task.depth, deepest)
        return task.depth / layers, task.width, layers, (
            "contour_time", {"m": float(layers), "s": task.square, "D": D, "vf": vf})  # fmt: skip
    approach = mill.drill_approach * 1e-9
    depth = task.depth + point_of(tool)
    return depth, (task.diameter - task.before) / 2, 1, ("drill_time", {"h": depth, "a": approach, "vf": vf})


def _rate(task: Task, axial: float, radial: float, vf: float, steps: list[Step]) -> float:
    if task.diameter > 0:
        return pi / 4 * (task.diameter**2 - task.before**2) * vf
    cut = {"ae": radial, "ap": axial, "vf": vf}
    steps.append(("removal_rate", cut))
    return float(removal_rate(**cut))


def _layers(depth: float, most: int) -> int:
    return max(1, ceil(depth / (most * 1e-9) - 1e-9))


def pitch_of(tool: MillTool) -> float:
    """m, by the threads an inch of its name."""
    return 0.0254 / threads_an_inch(tool.thread or "-1")

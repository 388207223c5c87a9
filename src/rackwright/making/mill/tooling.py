"""Which tool of the shop takes a task. Where none does, what would is asked for; nothing is taken that does not fit.

A spigot is roughed by the largest end mill that reaches its shoulder, and finished by one whose corner radius is the
fillet of the definition; a hole is drilled by a drill of its size, else drilled smaller and reamed. Where no tool
reaches, the longest is taken and the check of its reach fails.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from rackwright.making.asked import Asked
from rackwright.making.mill.operation import Kind, Task
from rackwright.shop.tools import MillTool, ToolKind

__all__ = ["hole_tasks", "tool_for"]

IN = 25_400_000
OF: dict[Kind, tuple[ToolKind, ...]] = {
    "face": ("face mill", "end mill"), "rough": ("end mill",), "finish wall": ("end mill",),
    "finish shoulder": ("end mill",), "chamfer": ("chamfer mill",), "spot": ("spot drill",), "drill": ("drill",),
    "ream": ("reamer",), "tap": ("tap",),
}  # fmt: skip


def tool_for(
    task: Task, tools: Sequence[MillTool], fillet: int | None, asked: list[Asked]
) -> MillTool | None:
    """The tool, or None and what is asked for."""
    able = [tool for kind in OF[task.kind] for tool in tools if tool.kind == kind]
    able = [tool for tool in able if _sized(task, tool)]
    if task.kind == "face" and any(tool.kind == "face mill" for tool in able):
        able = [tool for tool in able if tool.kind == "face mill"]
    if task.kind.startswith("finish") and fillet is not None:
        able = [tool for tool in able if (tool.corner_radius or 0) == fillet]
    if not able:
        asked.append(Asked("mill.tool", f"a {_wanted(task, fillet)}: no tool of the list will do"))
        return None
    best = max(able, key=_rank(task))
    missing = [name for name in _needed(task) if getattr(best, name) is None]
    asked += [
        Asked(f"mill.tool.{best.id}.{name}", f"{best.kind} {best.id} has no measured {name}")
        for name in missing
    ]
    return best


def _sized(task: Task, tool: MillTool) -> bool:
    if task.kind == "tap":
        return tool.thread == cut_by(task.thread)
    if task.kind in ("drill", "ream"):
        return abs(tool.diameter - round(task.diameter * 1e9)) <= 1
    return True


def cut_by(thread: str) -> str:
    """The tap's thread: a class is of the hole, the size for a wire insert (STI) is another tap."""
    return thread.removesuffix(" class 3B")


def _rank(task: Task) -> Callable[[MillTool], tuple[object, ...]]:
    """What is best: reaching first, then by kind of task."""

    def of(tool: MillTool) -> tuple[object, ...]:
        reaches = tool.reaches * 1e-9 >= max(task.shoulder, task.depth) - 1e-12
        sharp = -(tool.corner_radius or 0) if task.kind.startswith("finish") else 0
        return reaches, 0 if reaches else tool.reaches, sharp, tool.diameter, tool.flute_length, tool.id

    return of


def _needed(task: Task) -> tuple[str, ...]:
    if task.kind in ("face", "rough"):
        return ("surface_speed", "chip", "axial", "radial")
    if task.kind == "drill":
        return ("surface_speed", "chip", "point")
    return ("surface_speed",) if task.kind == "tap" else ("surface_speed", "chip")


def _wanted(task: Task, fillet: int | None) -> str:
    if task.kind == "tap":
        return f"tap {cut_by(task.thread)}"
    if task.kind in ("drill", "ream"):
        return f"{OF[task.kind][0]} of {task.diameter / 0.0254:.4f} in"
    if task.kind.startswith("finish") and fillet is not None:
        return f"end mill with a corner radius of {fillet / IN:.4g} in, the fillet of the definition"
    return OF[task.kind][0]


def hole_tasks(task: Task, tools: Iterable[MillTool], asked: list[Asked]) -> list[Task]:
    """Spot, drill, and ream or tap: the tasks of one hole of the finished diameter in `task`."""
    tools = list(tools)
    drills = [tool for tool in tools if tool.kind == "drill"]
    spot = replace(task, kind="spot", depth=task.diameter / 2)
    if task.thread:
        return [spot, replace(task, kind="drill"), replace(task, kind="tap", before=task.diameter)]
    size = round(task.diameter * 1e9)
    reamer = next((t for t in tools if t.kind == "reamer" and abs(t.diameter - size) <= 1), None)
    if reamer is None or any(abs(drill.diameter - size) <= 1 for drill in drills):
        return [spot, replace(task, kind="drill")]
    if reamer.allowance is None:
        asked.append(Asked(f"mill.tool.{reamer.id}.allowance", "how much a drill leaves this reamer at most"))
        return [spot, replace(task, kind="drill")]
    fitting = [d.diameter for d in drills if 0 < size - d.diameter <= reamer.allowance]
    smaller = max(fitting, default=size - reamer.allowance) * 1e-9
    return [spot, replace(task, kind="drill", diameter=smaller), replace(task, kind="ream", before=smaller)]

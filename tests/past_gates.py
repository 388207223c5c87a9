"""Verbs with their gates open: what an enemy, or a program that forgot a gate, would have recorded.

Every refusal of a verb is made by `gates.no`. `Breaker` hears at which call a refusal was made, and does the act again
on a copy of the record where no call answers anything, so that the verb goes on and records what it was asked to.
`sites` lists every such call below `work`.
"""

from __future__ import annotations

import ast
import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from unittest import mock

from rackwright import work
from rackwright.record import Follower, export_lines, import_export
from rackwright.trouble import Refusal, Stopped
from rackwright.work import gates, station
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.station import Station

ROOM = Path(work.__file__).parent


@dataclass(frozen=True)
class Site:
    """One call that makes a refusal: its file, function, code and the words it begins with."""

    file: str
    function: str
    code: str
    words: str
    lines: tuple[int, int]

    @property
    def name(self) -> str:
        return f"{self.file} {self.function} {self.code} {self.words}"


def sites(*left_out: str) -> list[Site]:
    """Every call of `no` in the verbs and gates, but in files whose path begins so."""
    found = []
    for path in sorted(ROOM.rglob("*.py")):
        name = path.relative_to(ROOM).as_posix()
        if not name.startswith(left_out):
            found += _sites_of(name, ast.parse(path.read_text("utf-8")))
    return found


def _sites_of(file: str, tree: ast.Module) -> Iterator[Site]:
    inner: dict[int, tuple[ast.Call, str]] = {}
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            for call in ast.walk(function):
                if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "no":
                    outer = inner.get(id(call), (call, ""))[1]
                    inner[id(call)] = call, f"{outer}.{function.name}".lstrip(".")
    for call, name in inner.values():
        code = call.args[0].value if isinstance(call.args[0], ast.Constant) else "code"
        yield Site(file, name, str(code), ast.unparse(call.args[2])[:60], (call.lineno, call.end_lineno or 0))


def _with(name: str, real: Any, instead: Any) -> ExitStack:
    """Every module of `work` that holds the function under this name holds another one, while it is open."""
    stack = ExitStack()
    for module, each in sorted(sys.modules.items()):
        if module.startswith("rackwright.work") and getattr(each, name, None) is real:
            stack.enter_context(mock.patch.object(each, name, instead))
    return stack


class Breaker:
    """While it is open, an act that is refused is done on a copy of the history with the gates open, and judged.

    `found`: site -> "found", or in words what became of it. A site that was found once is not tried again.
    """

    def __init__(self, folder: Path, every: list[Site]) -> None:
        self.folder, self.every, self.found = folder, every, dict[str, str]()
        self._made: dict[str, Site | None] = {}
        self._no, self._perform, self._number = gates.no, station.perform, 0
        self._ear = self._heard  # one object, known again where it was put

    @contextmanager
    def open(self) -> Iterator[None]:
        with _with("no", self._no, self._ear), _with("perform", self._perform, self._performed):
            yield

    def _heard(self, *args: str) -> Refusal:
        """The refusal, and the call of `no` that made it."""
        caller = sys._getframe(1)
        file, line = Path(caller.f_code.co_filename), caller.f_lineno
        self._made[args[2]] = next(
            (
                each
                for each in self.every
                if ROOM / each.file == file and each.lines[0] <= line <= each.lines[1]
            ),
            None,
        )
        return self._no(*args)

    def _performed(
        self, at: Station, act: str, decide: Any, act_id: str = "", evidence: Any = (), pieces: Any = ()
    ) -> Any:
        try:
            return self._perform(at, act, decide, act_id, evidence, pieces)
        except Stopped as stopped:
            site = self._made.get(stopped.troubles[0].found)
            if site is not None and self.found.get(site.name) != "found":
                self.found[site.name] = self._broken(at, act, decide, evidence, stopped.troubles[0].code)
            raise

    def _broken(self, at: Station, act: str, decide: Any, evidence: Any, code: str) -> str:
        self._number += 1
        events = b"".join(export_lines(at.record.events()))
        with import_export(events, self.folder / f"{self._number}.db") as copy:
            before = copy.head().size
            there = replace(at, record=copy, follower=Follower())
            try:
                with _with("no", self._ear, lambda *args: None):
                    self._perform(there, act, decide, f"past its gate {self._number}", evidence)
            except (Stopped, TypeError, ValueError, KeyError, AttributeError) as error:
                return f"cannot be written: {type(error).__name__}: {error}"
            history = copy.events()
        mine = {f"event {event.seq}" for event in history[before:]}
        found = [one.code for one in in_hindsight(history) if one.where.field in mine]
        return "found" if code in found or "RW505" in found else f"missed, found was {found}"

"""Do the tests notice? The mutants of a room, each judged by the tests that reach its lines, and those no test kills.

    python bench/mutants.py ROOM [MUTANTS A MODULE, 0: all] [SEED] [WORD]     ROOM: seal, record or gates

The mutants are cosmic-ray's (`make mutations` installs it). The tests are collected once; first each runs alone in a
forked process that notes the lines of the room it reaches; then each mutant has a forked process of its own, where the
code of the module is exchanged and the tests that reached the mutant's lines run, the quickest first, until one fails.
What stands outside functions is executed anew, and whoever holds the old name is given the new value; a run begins by
doing so with nothing changed, and where a test fails at that, what stands outside functions is not judged. WORD: only
modules with this word in their name.

Left out by rule: what differs only in annotations, which are never evaluated here, or inside text with a blank in it:
wording is no behaviour. A test that starts another Python does not see a mutant. The rate is of those that run.

`make mutations` does the same by cosmic-ray alone, with a new Python for each mutant: slower, but whole, and what it
says stands there. Run to its end with this file: `head.py` of seal, 2026-11-27, 71 mutants of which 13 change nothing
that matters, 50 run and killed, 8 not judged. No room whole yet.
"""

from __future__ import annotations

import ast
import gc
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import sqrt
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import hypothesis
import pytest
from _pytest.runner import runtestprotocol
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

HOME = Path(__file__).parent.parent
SRC = HOME / "src" / "rackwright"
ROOMS = {
    "seal": (SRC / "seal", ["seal"]),
    "record": (SRC / "record", ["record", "stories/test_clock.py", "seal"]),
    "gates": (
        SRC / "work" / "gates.py",
        [f"work/test_{name}.py" for name in ("gates", "verbs", "audit_judges")],
    ),
}
PROCESSES = 2
KILLED, ALIVE, NONE, UNFIT, LATE = 1, 0, 2, 3, (-signal.SIGKILL, -signal.SIGXCPU, -signal.SIGALRM)


@dataclass(frozen=True)
class Mutant:
    """The nth change of an operator; none: a control that changes nothing. `inside`: of a function's body?"""

    path: Path
    operator: str
    nth: int
    lines: range
    inside: bool

    def text(self) -> str | None:
        """The changed source; None where nothing that matters is changed."""
        source = self.path.read_text(encoding="utf-8")
        if not self.operator:
            return source
        changed = mutate_code(source, get_operator(self.operator)(), self.nth)
        return None if changed is None or _plain(changed) in (_plain(source), "") else changed

    def __str__(self) -> str:
        row = (self.text() or "").splitlines()[max(0, self.lines.start - 1)]
        return f"{self.path.name}:{self.lines.start} {self.operator.removeprefix('core/')}: {' '.join(row.split())}"


def mutants(path: Path) -> Iterator[Mutant]:
    text = path.read_text(encoding="utf-8")
    bodies = [range(node.body[0].lineno, (node.end_lineno or 0) + 1) for node in ast.walk(ast.parse(text))
              if isinstance(node, ast.FunctionDef)]  # fmt: skip
    nodes = list(ast_nodes(get_ast(text)))
    for name in operator_names():
        if get_operator(name).arguments():
            continue
        operator = get_operator(name)()
        places = [place for node in nodes for place in operator.mutation_positions(node)]
        for nth, (start, end) in enumerate(places):
            inside = any(start[0] in body for body in bodies)
            yield Mutant(path, name, nth, range(start[0], end[0] + 1), inside)


def _plain(text: str) -> str:
    """What matters of a source: no annotations, no text that has words."""
    try:
        tree = ast.parse(text)
    except SyntaxError:
        return ""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            node.returns = None
        elif isinstance(node, ast.arg):
            node.annotation = None
        elif isinstance(node, ast.AnnAssign):
            node.annotation = ast.Constant("")
        elif isinstance(node, ast.JoinedStr) and " " in "".join(
            str(part.value) for part in node.values if isinstance(part, ast.Constant)
        ):
            node.values = []
    return ast.dump(tree)


class Judge:
    """A plugin that runs the collected tests as said above instead of one after the other."""

    def __init__(self, work: list[Mutant], folder: str) -> None:
        self.work, self.folder = work, folder
        self.outcomes: list[tuple[Mutant, int, int]] = []  # with the number of tests that reach it

    def pytest_collection(self) -> None:
        found = [phase for phase in hypothesis.Phase if phase.name in ("explicit", "generate")]
        hypothesis.settings.register_profile(
            "mutants", derandomize=True, deadline=None, max_examples=40, phases=found
        )
        hypothesis.settings.load_profile("mutants")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.functions = [found for found in gc.get_objects() if isinstance(found, FunctionType)]
        gc.freeze()  # pages of what is there stay shared with the forked processes
        reach: dict[tuple[str, int], list[int]] = defaultdict(list)
        seconds: dict[int, float] = {}
        files = {str(mutant.path) for mutant in self.work}

        def noted(nth: int, status: int, used: float) -> None:
            item, seconds[nth] = session.items[nth], used
            if status:
                raise pytest.UsageError(f"fails without a mutant: {item.nodeid}")
            for row in Path(self.folder, f"reach{nth}").read_text().splitlines():
                file, line = row.rsplit(":", 1)
                reach[file, int(line)].append(nth)

        self.each(len(session.items), noted, lambda nth: self.trace(session, nth, files), lambda nth: 600)
        every = sorted(seconds, key=lambda nth: seconds[nth])
        print(f"{len(every)} tests, {sum(seconds.values()):.0f} s of processor", flush=True)
        mine = []
        for mutant in self.work:
            file = str(mutant.path)
            lines = mutant.lines if mutant.inside else [line for other, line in reach if other == file]
            here = {nth for line in lines for nth in reach.get((file, line), ())}
            mine.append([nth for nth in every if nth in here])

        def judged(nth: int, status: int, used: float) -> None:
            self.outcomes.append((self.work[nth], status, len(mine[nth])))
            if status == ALIVE:
                print(f"  {self.work[nth]} ({len(mine[nth])} tests)", flush=True)

        self.each(
            len(self.work), judged, lambda nth: self.put(session, nth, mine[nth]),
            lambda nth: 5 + 3 * sum(seconds[n] for n in mine[nth]),
        )  # fmt: skip
        return True

    def each(self, many: int, tell: Callable[[int, int, float], None], act: Callable[[int], int],
             limit: Callable[[int], float]) -> None:  # fmt: skip
        """Each act in a forked process with so many seconds of processor; its status is told."""
        running: dict[int, int] = {}
        for nth in [*range(many), None]:
            while len(running) >= PROCESSES or (nth is None and running):
                pid, status, used = os.wait3(0)
                if (done := running.pop(pid, None)) is not None:
                    shutil.rmtree(Path(self.folder, f"tmp{done}"), ignore_errors=True)
                    tell(done, os.waitstatus_to_exitcode(status), used.ru_utime + used.ru_stime)
            if nth is None:
                return
            if not (pid := os.fork()):
                try:
                    seconds = int(limit(nth)) + 1
                    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
                    resource.setrlimit(resource.RLIMIT_AS, (2 << 30, 2 << 30))
                    signal.alarm(20 * seconds)
                    for stream in (1, 2):
                        os.dup2(os.open(os.devnull, os.O_WRONLY), stream)
                    os._exit(act(nth))
                finally:
                    os._exit(KILLED)
            running[pid] = nth

    def run(self, session: pytest.Session, mine: list[int], nth: int) -> int:
        session.config._tmp_path_factory._basetemp = Path(self.folder, f"tmp{nth}")  # type: ignore[attr-defined]
        Path(self.folder, f"tmp{nth}").mkdir()
        for test in mine:
            item = session.items[test]
            if any(
                report.failed for report in runtestprotocol(item, log=False, nextitem=session.items[mine[-1]])
            ):
                return KILLED
        return ALIVE

    def trace(self, session: pytest.Session, nth: int, files: set[str]) -> int:
        seen: set[tuple[str, int]] = set()

        def line(frame: Any, event: str, arg: object) -> Any:
            file = frame.f_code.co_filename
            if file not in files:
                return None
            seen.add((file, frame.f_lineno))
            return line

        import threading

        threading.settrace(line)
        sys.settrace(line)
        status = self.run(session, [nth], nth)
        sys.settrace(None)
        Path(self.folder, f"reach{nth}").write_text("".join(f"{file}:{ln}\n" for file, ln in seen))
        return status

    def put(self, session: pytest.Session, nth: int, mine: list[int]) -> int:
        mutant = self.work[nth]
        if (text := mutant.text()) is None:
            return NONE
        code = compile(text, str(mutant.path), "exec", dont_inherit=True)
        if mutant.inside:
            new = {(one.co_qualname, one.co_firstlineno): one for one in _codes(code)}
            try:
                for function in self.functions:
                    old = function.__code__
                    if old.co_filename == str(mutant.path):
                        function.__code__ = new[old.co_qualname, old.co_firstlineno]
            except (KeyError, ValueError):  # another line or another closure: cannot be exchanged in place
                return UNFIT
        else:
            module = next(
                m for m in list(sys.modules.values()) if getattr(m, "__file__", "") == str(mutant.path)
            )
            before = dict(vars(module))
            exec(code, vars(module))
            for other in list(sys.modules.values()):
                for name, value in list(vars(other).items()):
                    if not name.startswith("__") and name in before and value is before[name]:
                        setattr(other, name, vars(module)[name])
        return self.run(session, mine, nth)


def _codes(code: CodeType) -> Iterator[CodeType]:
    yield code
    for found in code.co_consts:
        if isinstance(found, CodeType):
            yield from _codes(found)


def wilson(killed: int, run: int) -> float:
    """The lower end of the 95 % interval of a rate (E. B. Wilson 1927, the score interval; formula from memory)."""
    z, rate = 1.96, killed / run
    return (rate + z * z / (2 * run) - z * sqrt(rate * (1 - rate) / run + z * z / (4 * run * run))) / (
        1 + z * z / run
    )


def main(room: str, each: int, seed: str, word: str) -> None:
    source, tests = ROOMS[room]
    paths = [source] if source.is_file() else [p for p in sorted(source.glob("*.py")) if word in p.name]
    chance, work, whole = random.Random(seed), list[Mutant](), Counter[str]()
    for path in paths:
        found = list(mutants(path))
        whole[path.name] = len(found)
        drawn = chance.sample(found, each) if 0 < each < len(found) else found
        control = [Mutant(path, "", 0, range(0), False)] if drawn else []
        work += [*control, *drawn]
    os.environ["HYPOTHESIS_PROFILE"] = "same"
    started = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        judge = Judge(work, folder)
        pytest.main(["-q", "-s", "-p", "no:cacheprovider", "-p", "no:xdist", "-m", "not postgres and not long",
                     *(str(HOME / "tests" / name) for name in tests)], plugins=[judge])  # fmt: skip
    print(f"{time.monotonic() - started:.0f} s; seed {seed}")
    for path in paths:
        mine = [(status, mutant) for mutant, status, _ in judge.outcomes if mutant.path == path]
        sound = all(status == ALIVE for status, mutant in mine if not mutant.operator)
        mine = [(status, mutant) for status, mutant in mine if mutant.operator and status != NONE]
        asked, mine = len(mine), [(status, mutant) for status, mutant in mine
                                  if status != UNFIT and (sound or mutant.inside)]  # fmt: skip
        if asked > len(mine):
            print(f"{path.name}: {asked - len(mine)} not judged, as they cannot be exchanged in place")
        dead = sum(status != ALIVE for status, _ in mine)
        late = sum(status in LATE for status, _ in mine)
        if mine:
            print(f"{path.name}: {whole[path.name]} mutants, {len(mine)} run, {dead} killed ({late} by the clock), "
                  f"{len(mine) - dead} alive: {dead / len(mine):.1%}, "
                  f"at least {wilson(dead, len(mine)):.1%}")  # fmt: skip


if __name__ == "__main__":
    given = [*sys.argv[1:], *["", "10", str(random.random()), ""][len(sys.argv) - 1 :]]
    main(given[0], int(given[1]), given[2], given[3])

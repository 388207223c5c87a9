"""The two passes in which `mutants.py` judges: see there. Both work in forked processes."""

from __future__ import annotations

import gc
import importlib
import os
import pickle
import resource
import shutil
import signal
import sys
import threading
import traceback
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from hashlib import sha256
from itertools import accumulate
from pathlib import Path
from types import CodeType, FunctionType
from typing import Any

import hypothesis
import pytest
from _pytest.runner import runtestprotocol
from mutants_made import Mutant, codes_of, ready, source_of

HOME = Path(__file__).resolve().parent.parent
SRC = HOME / "src"
PROCESSES = int(os.environ.get("PROCESSES", "2"))
SECONDS = float(os.environ.get("SECONDS", "10"))  # of the tests of a mutant in one pass, as traced
SHORT = ["in-part"] if SECONDS < 1e9 else []
ALIVE, KILLED, SAME, UNFIT, BROKEN = range(5)
LATE = (-signal.SIGKILL, -signal.SIGXCPU, -signal.SIGALRM, -signal.SIGPROF)


class Forks:
    """Acts in forked processes, each with so many seconds of processor; what one is found to be is told here."""

    def __init__(self, folder: Path, options: list[str]) -> None:
        self.folder, self.options = folder, options

    def each(self, many: int, tell: Callable[[int, int, float], None], act: Callable[[int], int],
             limit: Callable[[int], float]) -> None:  # fmt: skip
        running: dict[int, int] = {}
        for nth in [*range(many), None]:
            while len(running) >= PROCESSES or (nth is None and running):
                pid, status, used = os.wait3(0)
                if (done := running.pop(pid, None)) is None:
                    continue
                with suppress(ProcessLookupError):  # what a test started and left behind
                    os.killpg(pid, signal.SIGKILL)
                shutil.rmtree(self.folder / f"tmp{done}", ignore_errors=True)
                code = os.waitstatus_to_exitcode(status)
                if code not in (ALIVE, KILLED, SAME, UNFIT, *LATE):
                    said = (self.folder / f"said{done}").read_text(encoding="utf-8", errors="replace")
                    raise SystemExit(f"the driver itself failed ({code}):\n{said[-4000:]}")
                tell(done, code, used.ru_utime + used.ru_stime)
            if nth is not None:
                running[self.fork(nth, act, int(limit(nth)) + 2)] = nth

    def fork(self, nth: int, act: Callable[[int], int], seconds: int) -> int:
        if pid := os.fork():
            return pid
        try:
            os.setpgid(0, 0)
            resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
            resource.setrlimit(resource.RLIMIT_AS, (3 << 30, 3 << 30))
            signal.alarm(300 + 20 * seconds)  # for what sleeps; whole machines do too
            said = os.open(self.folder / f"said{nth}", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
            os.dup2(said, 1)
            os.dup2(said, 2)
            (self.folder / f"tmp{nth}").mkdir()
            status = act(nth)
        except BaseException:
            traceback.print_exc()
            status = BROKEN
        sys.stdout.flush()
        os._exit(status)


@dataclass
class Reached:
    """What the first pass found out: each test's time, the lines it reaches, whether it starts a process."""

    names: list[str]
    seconds: list[float]
    lines: dict[tuple[str, int], set[int]] = field(default_factory=lambda: defaultdict(set))
    starting: set[int] = field(default_factory=set)
    imported: list[str] = field(default_factory=list)

    def of(self, mutant: Mutant) -> set[int]:
        """The tests that reach its lines; outside functions, and where the interpreter names no such line (that of an
        `if not (` alone), its module's."""
        file = str(mutant.path)
        here = [line for line in mutant.lines if mutant.inside and (file, line) in self.lines]
        here = here or [line for other, line in self.lines if other == file]
        return set().union(*(self.lines[file, line] for line in here))

    def within(self, tests: Sequence[int]) -> list[int]:
        """As many of them as there is time for."""
        times = accumulate(self.seconds[test] for test in tests)
        return [test for test, used in zip(tests, times, strict=True) if used <= SECONDS]

    def time(self, tests: Sequence[int]) -> float:
        return sum(self.seconds[test] for test in tests)


class Kept:
    """What is known of a room: the outcomes in a file, of which those of the living hold for just this code."""

    def __init__(self, path: Path, work: list[Mutant], tests: Sequence[str]) -> None:
        self.path, self.work, self.code = path, work, sha256()
        self.code.update(repr([sorted({str(mutant.path) for mutant in work}), tests]).encode())
        for file in sorted(file for part in (SRC, HOME / "tests") for file in part.rglob("*.py")):
            self.code.update(file.read_bytes())
        path.parent.mkdir(exist_ok=True)
        self.reached = path.with_suffix(f".{self.code.hexdigest()[:16]}")
        self.read()

    def read(self) -> None:
        rows = self.path.read_text(encoding="utf-8").splitlines() if self.path.exists() else []
        self.outcome = dict(row.rsplit(" ", 1) for row in rows)

    def living(self, *unless: str) -> list[Mutant]:
        """All that is not killed (nor the same), unless it passed that with this code."""
        known = ["killed", "late", "same", *(word + self.reached.suffix for word in unless)]
        return [mutant for mutant in self.work if self.outcome.get(mutant.key) not in known]

    def put(self, mutant: Mutant, code: int, alive: str) -> None:
        words = {KILLED: "killed", SAME: "same", UNFIT: "unfit" + self.reached.suffix,
                 ALIVE: alive + self.reached.suffix}  # fmt: skip
        self.outcome[mutant.key] = words.get(code, "late")
        with self.path.open("a", encoding="utf-8") as file:
            file.write(f"{mutant.key} {self.outcome[mutant.key]}\n")


class InPlace(Forks):
    """The first pass: a plugin that runs the collected tests in its own way."""

    def __init__(self, folder: Path, options: list[str], kept: Kept) -> None:
        super().__init__(folder, options)
        self.kept = kept

    def pytest_collection(self) -> None:
        few_examples()

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.session = session
        self.functions = [found for found in gc.get_objects() if isinstance(found, FunctionType)]
        gc.freeze()  # pages of what is there stay shared with the forked processes
        items = session.items
        reached = Reached([item.nodeid for item in items], [0.0] * len(items))
        reached.imported = [
            name
            for name, module in list(sys.modules.items())
            if (file := getattr(module, "__file__", None))
            and not any(Path(file).is_relative_to(ours) for ours in (SRC, HOME / "tests"))
        ]
        self.seconds = [300.0] * len(items)  # of processor, until it is known
        self.files = {str(mutant.path) for mutant in self.kept.work}

        def noted(nth: int, code: int, used: float) -> None:
            reached.seconds[nth] = self.seconds[nth] = used
            if code != ALIVE:
                raise SystemExit(f"fails without a mutant: {reached.names[nth]}")
            starts, lines = pickle.loads((self.folder / f"reach{nth}").read_bytes())
            reached.starting |= {nth} if starts else set()
            for line in lines:
                reached.lines[line].add(nth)

        if self.kept.reached.exists():
            reached = pickle.loads(self.kept.reached.read_bytes())
            self.seconds = reached.seconds
        else:
            self.each(len(items), noted, self.trace, lambda nth: 600)
            self.kept.reached.write_bytes(pickle.dumps(reached))
        print(f"{len(items)} tests, {sum(reached.seconds):.0f} s of processor", flush=True)
        work = [mutant for mutant in self.kept.living("in-place", "unfit", "afresh", *SHORT) if mutant.inside]
        if not work:
            return True
        work = [Mutant(work[0].path, "", 0, range(0), False), *work]
        kills: Counter[tuple[Path, int]] = Counter()

        def tests(nth: int) -> list[int]:
            rank = {
                test: reached.seconds[test] / (1 + kills[work[nth].path, test])
                for test in reached.of(work[nth])
            }
            return reached.within(sorted(rank, key=lambda test: rank[test]))

        def judged(nth: int, code: int, used: float) -> None:
            mutant = work[nth]
            if not mutant.operator and code != ALIVE:
                raise SystemExit(f"exchanged by itself, {mutant.path.name} fails")
            if mutant.operator:
                whole = len(tests(nth)) == len(reached.of(mutant))
                self.kept.put(mutant, code, "in-place" if whole else "in-part")
            if code == KILLED:
                kills[mutant.path, int((self.folder / f"by{nth}").read_text())] += 1

        def limit(nth: int) -> float:
            ready(work[nth].path)
            return 3 * reached.time(tests(nth))

        self.each(len(work), judged, lambda nth: self.exchange(work[nth], tests(nth), nth), limit)
        return True

    def run(self, mine: list[int], nth: int) -> int:
        config: Any = self.session.config
        config._tmp_path_factory._basetemp = self.folder / f"tmp{nth}"
        items = [self.session.items[test] for test in mine]
        for test, item, after in zip(mine, items, [*items[1:], None], strict=False):
            signal.setitimer(signal.ITIMER_PROF, 1 + 2 * self.seconds[test])
            reports = runtestprotocol(item, log=False, nextitem=after)
            if any(report.failed for report in reports):
                (self.folder / f"by{nth}").write_text(str(test))
                return KILLED
        return ALIVE

    def trace(self, nth: int) -> int:
        seen: set[tuple[str, int]] = set()
        started: list[str] = []

        def line(frame: Any, event: str, arg: object) -> Any:
            file = frame.f_code.co_filename
            if file not in self.files:
                return None
            seen.add((file, frame.f_lineno))
            return line

        sys.addaudithook(
            lambda event, _: started.append(event) if event in ("subprocess.Popen", "os.fork") else None
        )
        threading.settrace(line)
        sys.settrace(line)
        code = self.run([nth], nth)
        sys.settrace(None)
        (self.folder / f"reach{nth}").write_bytes(pickle.dumps((bool(started), seen)))
        return code

    def exchange(self, mutant: Mutant, mine: list[int], nth: int) -> int:
        if (text := mutant.text()) is None:
            return SAME
        old, new = (codes_of(source, mutant.path) for source in (source_of(mutant.path), text))
        if [code.co_qualname for code in old] != [code.co_qualname for code in new]:
            return UNFIT
        instead = dict(zip(map(_place, old), new, strict=True))
        try:
            for function in self.functions:
                if function.__code__.co_filename == str(mutant.path):
                    function.__code__ = instead[_place(function.__code__)]
        except (KeyError, ValueError):  # made elsewhere, or with another closure
            return UNFIT
        return self.run(mine, nth)


def _place(code: CodeType) -> tuple[object, ...]:
    return code.co_qualname, code.co_firstlineno, code.co_linetable


def few_examples() -> None:
    """The same examples each time, and no time spent on smaller ones."""
    found = [phase for phase in hypothesis.Phase if phase.name in ("explicit", "generate")]
    hypothesis.settings.register_profile(
        "mutants", derandomize=True, deadline=None, max_examples=40, phases=found
    )
    hypothesis.settings.load_profile("mutants")


class Chosen:
    """A plugin that runs these tests in this order, and those that a mutant makes new."""

    def __init__(self, mine: list[str], every: list[str]) -> None:
        self.order, self.every = {name: nth for nth, name in enumerate(mine)}, set(every)

    def pytest_collection(self) -> None:
        few_examples()

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted((item for item in items if item.nodeid in self.order or item.nodeid not in self.every),
                          key=lambda item: self.order.get(item.nodeid, -1))  # fmt: skip


class Afresh(Forks):
    """The second pass."""

    def judge(self, kept: Kept, reached: Reached) -> None:
        for name in reached.imported:
            with suppress(Exception):
                importlib.import_module(name)
        assert "rackwright" not in sys.modules
        work = kept.living("afresh", *SHORT)
        if not work:
            return
        work = [Mutant(work[0].path, "", 0, range(0), False), *work]
        quickest = sorted(range(len(reached.names)), key=lambda test: reached.seconds[test])
        mine, whole = [], list[bool]()
        for mutant in work:
            first, then = reached.of(mutant), reached.starting if mutant.inside else set(quickest)
            if kept.outcome.get(mutant.key) == "in-place" + kept.reached.suffix:
                first = set()
            near, far = ([test for test in quickest if test in some] for some in (first, then - first))
            some = reached.within(near + far)
            whole.append(len(some) == len(near + far))
            mine.append([part for part in (some[:10], some[10:]) if part])

        def judged(nth: int, code: int, used: float) -> None:
            if not work[nth].operator and code != ALIVE:
                raise SystemExit(f"with nothing changed, {(self.folder / f'said{nth}').read_text()[-3000:]}")
            if work[nth].operator:
                kept.put(work[nth], code, "afresh" if whole[nth] else "in-part")
            if work[nth].operator and code == ALIVE:
                where = f"{work[nth].lines.start}, {work[nth].operator.removeprefix('core/')}"
                print(f"  {work[nth].row()} (line {where}, {sum(map(len, mine[nth]))} tests)", flush=True)

        def limit(nth: int) -> float:
            ready(work[nth].path)
            return 20 + sum(3 * reached.time(part) for part in mine[nth])

        self.each(
            len(work),
            judged,
            lambda nth: self.run(
                work[nth], [[reached.names[test] for test in part] for part in mine[nth]], reached.names, nth
            ),
            limit,
        )

    def run(self, mutant: Mutant, parts: list[list[str]], every: list[str], nth: int) -> int:
        if (text := mutant.text()) is None:
            return SAME
        place = self.folder / f"tmp{nth}"
        _linked(place / "src", mutant.path, text)
        os.environ["PYTHONPATH"] = os.pathsep.join([str(place / "src"), str(HOME / "tests")])
        os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
        sys.dont_write_bytecode = True
        sys.path[:0] = [str(place / "src")]
        for part, names in enumerate(parts):
            files = dict.fromkeys(name.partition("::")[0] for name in names)
            code = pytest.main([*self.options, "-x", "--tb=line", f"--basetemp={place / str(part)}",
                                *(str(HOME / file) for file in files)], plugins=[Chosen(names, every)])  # fmt: skip
            if code != pytest.ExitCode.OK:
                return KILLED
        return ALIVE


def _linked(place: Path, path: Path, text: str) -> None:
    """The package as links, with this text for that module."""
    here = SRC
    for step in path.relative_to(SRC).parts:
        place.mkdir(parents=True)
        for other in here.iterdir():
            if other.name != step:
                (place / other.name).symlink_to(other)
        here, place = here / step, place / step
    place.write_text(text, encoding="utf-8")

"""Do the tests notice? Every mutant of a room, judged by the tests; those that none kills are missing tests, or listed.

    python bench/mutants.py ROOM [WORD]     ROOM: seal, record, postgres or gates; WORD: in a module's name

The mutants are cosmic-ray's (`make mutations` installs it), made one at a time and judged in two passes.

In place: the tests are collected once; each runs alone in a forked process that notes the lines of the room it reaches;
then each mutant inside a function has a forked process of its own, where the code objects of the module are exchanged
and the tests that reached its lines run until one fails, the quickest and those that killed before first.

Afresh: what stands outside functions, what cannot be exchanged so, and what passed: a forked process that has nothing
of ours imported reads the package from a folder of links in which the mutant stands for its module (so do Pythons that
a test starts), and runs the tests that reached it (those that it passed apart), those that start a process, and, where
it stands outside functions, all others. Each pass begins with a control that changes nothing and must pass.

Left out by rule: what is no Python or what its compiler warns of (`is` with a literal; no such line passes `make check`
either), what changes nothing of the syntax tree, and annotations outside classes, which are never evaluated (a class's
own are: `record/checkpoint.py` reads them). Tests marked long judge none. What takes more than its time counts as
killed, by the clock.

What was killed is kept in `.mutants/ROOM` under the hash of its module, what lives under that of all code and of what
was asked: a run goes on where it was, and another one judges only what is left; remove the file to judge everything
again. The survivors and why they are, with counts and dates of the runs: `bench/survivors.txt`. One that is not listed
there fails the run. Of a mutant's tests so many run as take the environment's SECONDS together (10; inf: all), the
quickest first: a rate is too low rather than too high, and who was judged in part is judged again by SECONDS=inf.
PROCESSES: how many at a time (2).
"""

from __future__ import annotations

import os
import pickle
import resource
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ["HYPOTHESIS_PROFILE"] = "same"

import pytest
from mutants_judged import HOME, SRC, Afresh, InPlace, Kept
from mutants_made import mutants

OPTIONS = ["-q", "-p", "no:cacheprovider", "-p", "no:xdist", "--disable-warnings", f"--rootdir={HOME}",
           f"-c={HOME / 'pyproject.toml'}"]  # fmt: skip
QUICK = "not postgres and not long"
ROOMS = {  # modules, tests, and the marks of these
    "seal": (["seal"], ["seal"], QUICK),
    "record": (["record"], ["record", "stories/test_clock.py", "seal"], QUICK),
    "postgres": (["record"], ["record/test_postgres.py", "record/test_layouts.py"], "postgres and not long"),
    "gates": (
        [
            "work/gates.py",
            "work/station_gates.py",
            "work/hold_points.py",
            "work/service/standing_gates.py",
            "work/keeping/hindsight.py",
        ],
        [
            "work/test_gates.py",
            "work/test_station_gates.py",
            "work/test_hold_point_gates.py",
            "work/test_standing_gates.py",
            "work/test_hindsight.py",
        ],
        QUICK,
    ),
}


def listed() -> set[str]:
    text = (HOME / "bench" / "survivors.txt").read_text(encoding="utf-8")
    return {row.strip() for row in text.splitlines() if row[:1] not in ("", " ", "#")}


def main(room: str, word: str = "") -> int:
    places, tests, marks = ROOMS[room]
    roots = [SRC / "rackwright" / place for place in places]
    paths = [path for root in roots for path in ([root] if root.is_file() else sorted(root.glob("*.py")))]
    paths = [
        path for path in paths if ("postgres" in path.name) == (room == "postgres") and word in path.name
    ]
    work = {path: list(mutants(path)) for path in paths}
    kept = Kept(HOME / ".mutants" / room, [mutant for some in work.values() for mutant in some], tests)
    started = time.monotonic()
    with tempfile.TemporaryDirectory() as name:
        folder, options = Path(name), [*OPTIONS, "-m", marks]
        if not (child := os.fork()):
            sys.path.insert(0, str(SRC))
            code: int = pytest.main([*options, "-s", *(str(HOME / "tests" / test) for test in tests)],
                                    plugins=[InPlace(folder, options, kept)])  # fmt: skip
            os._exit(code)
        if os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]):
            return 2
        kept.read()
        Afresh(folder, options).judge(kept, pickle.loads(kept.reached.read_bytes()))
    print(
        f"{time.monotonic() - started:.0f} s, {sum(resource.getrusage(resource.RUSAGE_CHILDREN)[:2]):.0f} of processor"
    )
    known, total = listed(), Counter[str]()
    for path, some in work.items():
        count = Counter(_word(kept.outcome.get(mutant.key, "")) for mutant in some)
        total += count
        print(f"{path.name}: {_told(count)}")
    print(f"{room}: {_told(total)}")
    alive = {mutant.row() for mutant in kept.living()}
    for row in sorted(alive - known):
        print(f"not listed: {row}")
    for row in sorted(known - alive):
        if any(row.startswith(f"{path.name}:") for path in work):
            print(f"listed, and killed or gone: {row}")
    return int(bool(alive - known))


def _word(outcome: str) -> str:
    return outcome if outcome in ("killed", "late", "same") else "alive"


def _told(count: Counter[str]) -> str:
    dead = count["killed"] + count["late"]
    run = dead + count["alive"]
    return (
        f"{run} mutants ({count['same']} more change nothing), {dead} killed ({count['late']} by the clock), "
        + (f"{count['alive']} alive: {dead / run:.1%}" if run else "none")
    )


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

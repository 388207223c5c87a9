"""Do the tests notice? Some mutants of each module of a room, drawn anew or by a seed, and those that no test kills.

    python bench/mutations.py ROOM [MUTANTS A MODULE] [SEED]        ROOM: seal, record or gates

By cosmic-ray (`make mutations` installs it), on a copy of the tree. A mutant of an annotation is none: annotations are
never evaluated here. What was run and what survived stands below; a survivor is a missing test, or the same program.

Runs, on 2 cores under load, so samples:
    seal, 2026-11-26: 170 drawn of 1852, 135 killed at once, 35 not: for 30 tests were written, or they went with
    `Tree.add`, which nobody called; left are three of the same program (a quick way not taken, a sum of bits apart) and
    two sizes below 0, which no head has.
    record, 2026-11-26: 24 of 2334 in twelve modules, 23 killed; left is `is not` for `!=` between two numbers that are
    one object.
    gates, 2026-11-26: verbs and audit_judges alone killed 23 of 49, so `test_gates` was written. Of 328 that are no
    annotation 132 were drawn against it, 124 killed; tests were added for all survivors but one of the same program
    ("" never names a piece), and not run against mutants again.
"""

from __future__ import annotations

import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

SRC, TESTS = Path("src", "rackwright"), Path("tests")
ROOMS = {
    "seal": (SRC / "seal", [TESTS / "seal"]),
    "record": (SRC / "record", [TESTS / "record", TESTS / "stories" / "test_clock.py"]),
    "gates": (
        SRC / "work" / "gates.py",
        [TESTS / "work" / f"test_{name}.py" for name in ("gates", "verbs", "audit_judges")],
    ),
}
CONFIG = """[cosmic-ray]
module-path = "{source}"
timeout = 400.0
excluded-modules = []
test-command = "env PYTHONPATH=src:tests {python} -m pytest -q -x -p no:cacheprovider -p no:xdist {marks} {tests}"

[cosmic-ray.distributor]
name = "local"
"""
MARKS = "-m 'not postgres and not long'"


def main(room: str, each: int, seed: str) -> None:
    source, tests = ROOMS[room]
    home = Path(__file__).parent.parent
    with tempfile.TemporaryDirectory() as folder:
        for part in ("src", "tests", "docs", "pyproject.toml"):
            (shutil.copytree if (home / part).is_dir() else shutil.copy)(home / part, Path(folder) / part)
        text = CONFIG.format(
            marks=MARKS, source=source, tests=" ".join(map(str, tests)), python=sys.executable
        )
        (Path(folder) / "config.toml").write_text(text, encoding="utf-8")
        ray = Path(sys.executable).with_name("cosmic-ray")
        subprocess.run([ray, "init", "config.toml", "run.sqlite"], cwd=folder, check=True)
        with sqlite3.connect(Path(folder) / "run.sqlite") as run:
            draw(run, Path(folder), each, random.Random(seed))
        subprocess.run([ray, "exec", "config.toml", "run.sqlite"], cwd=folder, check=True)
        with sqlite3.connect(Path(folder) / "run.sqlite") as run:
            tell(run)


def draw(run: sqlite3.Connection, home: Path, each: int, chance: random.Random) -> None:
    """Leave so many mutants of each module."""
    asked = "SELECT module_path, job_id, operator_name, start_pos_row FROM mutation_specs ORDER BY 2"
    rows = run.execute(asked).fetchall()
    of: dict[str, list[str]] = {}
    for module, job, operator, line in rows:
        text = (home / module).read_text(encoding="utf-8").splitlines()[line - 1]
        if "BitOr" not in operator or "= " in text.replace(" = None", ""):
            of.setdefault(module, []).append(job)
    kept = {job for jobs in of.values() for job in chance.sample(jobs, min(each, len(jobs)))}
    for _, job, *_ in rows:
        if job not in kept:
            run.execute("DELETE FROM mutation_specs WHERE job_id = ?", (job,))
            run.execute("DELETE FROM work_items WHERE job_id = ?", (job,))


def tell(run: sqlite3.Connection) -> None:
    rows = run.execute(
        "SELECT module_path, start_pos_row, test_outcome, diff FROM mutation_specs JOIN work_results USING (job_id) "
        "ORDER BY 1, 2").fetchall()  # fmt: skip
    for module in dict.fromkeys(row[0] for row in rows):
        mine = [row for row in rows if row[0] == module]
        killed = sum(row[2] == "KILLED" for row in mine)
        print(f"{module}: {killed} of {len(mine)} killed")
        for _, line, outcome, diff in mine:
            if outcome != "KILLED":
                now = [
                    text[1:].strip() for text in diff.splitlines() if text[:1] == "+" and text[:3] != "+++"
                ]
                print(f"  line {line}, {outcome.lower()}: {' '.join(now)}")


if __name__ == "__main__":
    main(sys.argv[1], int((sys.argv[2:] or ["10"])[0]), (sys.argv[3:] or [str(random.random())])[0])

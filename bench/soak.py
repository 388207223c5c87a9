"""The long runs: part after part until all are through; a run that was cut goes on where it stopped.

    python bench/soak.py [--round N] [--part NAME]

A part is the tests that CI runs smaller: SOAK, the round, makes them long and draws other instants, bytes and days.
Each test that has ended is noted (tests/soaked.py) in `.soak/CODE-ROUND/`, where CODE is the hash of everything that is
run: what was done with other code does not count. What was found stays found until the code is another. At the end
stands the table "part, size, done, found, seconds" (the processor's, all tests together); the exit code is 1 if
anything was found, 2 if the run did not come to its end.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import time
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

HOME = Path(__file__).parent.parent
sys.path.insert(0, str(HOME / "tests"))

from soaked import Note, notes_of  # noqa: E402

SAY = 60  # seconds between two words on how far it is


@dataclass(frozen=True)
class Part:
    """Some tests, and how much of what they do in one round: `size` of `unit`; 0: as much as there is."""

    name: str
    size: int
    unit: str
    tests: tuple[str, ...]


PARTS = (
    Part("power cuts", 100_000, "cuts", (
        "crash/test_power_cut.py::test_nothing_acknowledged_is_lost_and_nothing_is_corrupt",)),
    Part("stations killed, both engines", 14_000, "kills", (
        "crash/test_kill.py::test_killed_at_random_instants_nothing_acknowledged_is_missing",)),
    Part("serve killed, clients waiting, both engines", 4_000, "kills", (
        "crash/test_serve_killed.py::test_every_answered_act_is_there_once_and_repeating_it_does_nothing_twice",)),
    Part("PostgreSQL stopped", 2_000, "stops", ("crash/test_postgres_stop.py::test_every_act_is_there_exactly_once",)),
    Part("failing disk", 0, "faults", ("crash/test_failing_disk.py",)),
    Part("two writers, both engines", 1_140, "orders", (
        "crash/test_interleavings.py::test_every_order_gives_what_a_serial_order_gives",)),
    Part("fifty stations, both engines", 2_000, "rounds", (
        "crash/test_interleavings.py::test_fifty_stations_want_the_same_inches",)),
    Part("lost answers, both engines", 20_000, "answers", (
        "crash/test_interleavings.py::test_an_act_whose_answer_was_lost_is_repeated_and_there_once",)),
    Part("a backup altered", 0, "bytes", ("record/test_tamper.py::test_every_altered_byte_of_a_backup_is_found",)),
    Part("a dossier altered", 0, "bytes", ("record/test_tamper.py::test_every_altered_byte_of_a_dossier_is_found",)),
    Part("the live file altered", 0, "bytes", ("record/test_audit.py::test_bytes_all_over_the_live_file",)),
    Part("an export altered", 0, "bytes", (
        "record/test_tamper.py::test_every_altered_byte_of_an_export_names_its_event",)),
    Part("histories of 50 steps", 10_000, "histories", (
        "work/test_balance_laws.py::test_after_every_act_everything_received_is_somewhere",
        "work/test_rack_life.py::test_a_rack_leaves_exactly_when_it_may")),
    Part("every other test, drawn anew", 0, "tests", ("",)),
)  # fmt: skip


def code() -> str:
    """The hash of what is run: the program, its tests, and these parts."""
    files = sorted(path for name in ("src", "tests", "bench") for path in (HOME / name).rglob("*")
                   if path.is_file() and "__pycache__" not in path.parts)  # fmt: skip
    whole = sha256()
    for path in files:
        whole.update(f"{path.relative_to(HOME)} {sha256(path.read_bytes()).hexdigest()}\n".encode())
    return whole.hexdigest()[:12]


def run(part: Part, folder: Path, round: str) -> bool:
    """The part's tests that are not noted yet; whether it came to its end."""
    notes, said = folder / "notes.jsonl", folder / f"{part.name}.txt"
    more = {"SOAK": round, "SOAK_NOTES": str(notes), "SOAK_PART": part.name, "HYPOTHESIS_PROFILE": "new"}
    words = ["-n", "auto", *(f"tests/{test}" for test in part.tests)]
    print(f"{line(part, notes)}; {said}", flush=True)
    with said.open("ab") as out:
        pytest = subprocess.Popen(
            [sys.executable, "-m", "pytest", *words], cwd=HOME, env=os.environ | more, stdout=out, stderr=out
        )
        while (ended := waited(pytest)) is None:
            print(line(part, notes), flush=True)
    return ended in (0, 1, 5)  # 1: some failed; 5: all were noted before


def waited(process: subprocess.Popen[bytes]) -> int | None:
    """How it ended; None where it goes on. Cut by the keyboard, it is heard too, and cleans up behind itself."""
    try:
        return process.wait(SAY)
    except subprocess.TimeoutExpired:
        return None
    except KeyboardInterrupt:
        return process.wait()


def of(part: Part, notes: Path) -> tuple[int, list[Note], float]:
    """What the part has done, found, and how many seconds its tests took."""
    mine = [note for note in notes_of(notes) if note.part == part.name]
    return (
        sum(note.done for note in mine),
        [note for note in mine if note.found],
        sum(n.seconds for n in mine),
    )


def line(part: Part, notes: Path) -> str:
    done, found, seconds = of(part, notes)
    size = f" of {part.size}" if part.size else ""
    return (
        f"{time.strftime('%H:%M')} {part.name}: {done}{size} {part.unit}, {len(found)} found, {seconds:.0f} s"
    )


def table(parts: list[Part], notes: Path) -> int:
    """Printed; the exit code."""
    print(f"{'part':34} {'size':>28} {'done':>9} {'found':>5} {'seconds':>7}")
    code = 0
    for part in parts:
        done, found, seconds = of(part, notes)
        size = f"{part.size or 'all'} {part.unit}"
        print(f"{part.name:34} {size:>28} {done:9} {len(found):5} {seconds:7.0f}")
        for note in found:
            print(f"    {note.test}: {note.found}")
        code = 1 if found else code or 2 * (done < (part.size or 1))
    return code


def main() -> int:
    words = argparse.ArgumentParser(description="the long runs, part after part")
    words.add_argument("--round", default="1", help="another number draws others")
    words.add_argument("--part", default="", choices=["", *(part.name for part in PARTS)])
    given = words.parse_args()
    folder = HOME / ".soak" / f"{code()}-{given.round}"
    folder.mkdir(parents=True, exist_ok=True)
    parts = [part for part in PARTS if given.part in ("", part.name)]
    for part in parts:
        if not run(part, folder, given.round):
            print(
                f"{part.name} did not come to its end, {folder / part.name}.txt says why; the same words go on"
            )
            return 2
    return table(parts, folder / "notes.jsonl")


if __name__ == "__main__":
    raise SystemExit(main())

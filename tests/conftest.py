"""The table of published checks: what stands in a source beside what we compute.

A test in `published/` takes the fixture and calls it once for each place of its source:

    published("FAA AC 43.13-1B", "paragraph 4-56b(2)", ours, "0.130", "published")

`theirs` as text is matched to half of its last printed digit; as a number it needs `tol`, relative. The
table is printed at the end of the session, also when tests ran in several processes.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy: threads stall on small matrices

import json
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

import private_postgres
import soaked
from played import Ran, run
from printed import half_digit
from private_postgres import Place, Server

# No deadlines: a busy machine is no defect. `make test` draws the same examples every time, so that what fails is
# what was changed; `make soak` draws new ones.
settings.register_profile("same", derandomize=True, deadline=None, max_examples=40)
settings.register_profile("new", print_blob=True, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))

#: what kind of outside number a check compares with
KINDS = (
    "published",  # the answer stands in the source, which was read
    "from memory",  # the answer is remembered to stand in the named source
    "closed form",  # the source gives the formula; the number follows from it by arithmetic
    "peer library",  # computed with an independent library, named with its version
)
_PROPERTY = "published"

Published = Callable[..., None]


@pytest.fixture
def published(record_property: Callable[[str, object], None]) -> Published:
    """Compares one number with an outside one and puts both into the table."""

    def check(source: str, place: str, ours: Any, theirs: str | float, kind: str, tol: float = 1e-9) -> None:
        assert kind in KINDS
        if isinstance(theirs, str):
            value, allowed = float(theirs.replace(",", "")), half_digit(theirs) * (1 + 1e-9)
        else:
            value, allowed = float(theirs), tol * abs(theirs)
        good = bool(abs(float(ours) - value) <= allowed)
        row = {"source": source, "place": place, "ours": float(ours), "theirs": str(theirs), "kind": kind}
        record_property(_PROPERTY, json.dumps({**row, "good": good}))
        assert good, f"{source}, {place}: ours {ours!r}, theirs {theirs!r}, allowed difference {allowed:g}"

    return check


@pytest.fixture(scope="session")
def played_demo(tmp_path_factory: pytest.TempPathFactory) -> Ran:
    """One whole run of the demo, made once in each process of the tests."""
    return run(tmp_path_factory.mktemp("demo") / "shop")


@pytest.fixture(scope="session")
def stages(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the stages of the small shop are kept, each played once in each process of the tests."""
    return tmp_path_factory.mktemp("stages")


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """A PostgreSQL server, one in each process of the tests that asks for it."""
    with private_postgres.server() as running:
        yield running


@pytest.fixture(scope="session", params=["sqlite", pytest.param("postgres", marks=pytest.mark.postgres)])
def place(request: pytest.FixtureRequest) -> Place:
    """Where a new record of this folder is made: the laws of whoever takes this hold on both engines."""
    if request.param == "sqlite":
        return lambda folder: folder / "record.db"
    running: Server = request.getfixturevalue("server")
    return running.place


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """What is marked `soak` runs only in `make soak`, which says so by SOAK, and there what it has not behind it."""
    done = soaked.through()
    late = [item for item in items
            if item.nodeid in done or (not soaked.ROUND and item.get_closest_marker("soak"))]  # fmt: skip
    config.hook.pytest_deselected(items=late)
    items[:] = [item for item in items if item not in late]


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    before = soaked.processor()
    try:
        yield
    finally:
        item.user_properties.append(("processor", soaked.processor() - before))


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    if "PYTEST_XDIST_WORKER" not in os.environ:  # once, by whoever hears of all
        soaked.note(report)


def pytest_terminal_summary(terminalreporter: Any) -> None:
    reports = [
        report for some in terminalreporter.stats.values() for report in some if hasattr(report, "when")
    ]
    rows = [json.loads(text) for report in reports if report.when == "call"
            for name, text in report.user_properties if name == _PROPERTY]  # fmt: skip
    if not rows:
        return
    terminalreporter.section("checks against the outside world")
    rows.sort(key=lambda row: (row["source"], row["place"]))
    wide = [min(width, max(len(row[key]) for row in rows)) for key, width in (("source", 44), ("place", 46))]
    for row in rows:
        source, place = row["source"][: wide[0]].ljust(wide[0]), row["place"][: wide[1]].ljust(wide[1])
        ours, mark = f"{row['ours']:.8g}", "" if row["good"] else "  DIFFERS"
        terminalreporter.line(f"{source}  {place}  {ours:>13}  {row['theirs']:>13}  {row['kind']}{mark}")
    counts = Counter(row["kind"] for row in rows)
    total = ", ".join(f"{counts[kind]} {kind}" for kind in KINDS if counts[kind])
    terminalreporter.line(f"{len(rows)} checks (ours, theirs): {total}")

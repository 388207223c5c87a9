"""Files are whole or not there: at every operation the disk may be full or failing, or the power may go."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import count, product
from pathlib import Path
from typing import Any

import pytest

from failing_disk import Writing
from rackwright.record import durable
from rackwright.trouble import Failure, Fault, Stopped
from rackwright.work.keeping.shop_folder import write_whole
from rackwright.work.papers import write as write_paper

OLD, NEW = b"the old paper", b"the new paper, longer"


@dataclass
class Platter:
    """A disk in memory that knows what is cached and what is synced, and loses power after so many operations."""

    power: int
    lazy: bool = False  # a writer that does not sync its file: the test of the test
    names: dict[str, int] = field(default_factory=lambda: {"/paper": 0})
    known: dict[str, int] = field(default_factory=lambda: {"/paper": 0})  # names as synced
    cached: dict[int, bytes] = field(default_factory=lambda: {0: OLD})
    synced: dict[int, bytes] = field(default_factory=lambda: {0: OLD})
    O_WRONLY, O_CREAT, O_EXCL, O_RDONLY, name = os.O_WRONLY, os.O_CREAT, os.O_EXCL, os.O_RDONLY, "posix"

    def step(self) -> None:
        self.power -= 1
        if self.power < 0:
            raise OSError(errno.EIO, "the power is off")

    def open(self, path: Path, flags: int, mode: int = 0) -> int:
        if flags == self.O_RDONLY:
            return -1  # the folder
        self.step()
        self.names[str(path)] = made = len(self.cached)
        self.cached[made] = b""
        return made

    def fdopen(self, handle: int, mode: str) -> Any:
        platter = self

        class File:
            def __enter__(self) -> File:
                return self

            def __exit__(self, *_: object) -> None: ...
            def flush(self) -> None: ...
            def fileno(self) -> int:
                return handle

            def write(self, data: bytes) -> None:
                platter.step()
                platter.cached[handle] = data

        return File()

    def fsync(self, handle: int) -> None:
        self.step()
        if handle < 0:
            self.known = dict(self.names)
        elif not self.lazy:
            self.synced[handle] = self.cached[handle]

    def replace(self, old: Path, new: Path) -> None:
        self.step()
        self.names[str(new)] = self.names.pop(str(old))

    def unlink(self, path: Path) -> None:
        self.step()
        self.names.pop(str(path), None)

    def close(self, handle: int) -> None: ...

    def after_a_cut(self) -> set[bytes]:
        """All that may stand under the paper's name: names as synced or as cached, unsynced bytes cut anywhere."""
        return {data for names in (self.known, self.names) for data in self._contents(names["/paper"])}

    def _contents(self, file: int) -> Iterator[bytes]:
        if file in self.synced:
            yield self.synced[file]
        else:
            yield from (self.cached[file][:end] for end in range(len(self.cached[file]) + 1))


def cuts(monkeypatch: pytest.MonkeyPatch, lazy: bool) -> list[tuple[bool, set[bytes]]]:
    """For a cut after every operation: was the write acknowledged, and what may stand there."""
    seen = []
    for power in range(9):
        platter = Platter(power, lazy)
        monkeypatch.setattr(durable, "os", platter)
        try:
            durable.write_whole(Path("/paper"), NEW)
            done = True
        except OSError:
            done = False
        seen.append((done, platter.after_a_cut()))
    return seen


def test_after_a_power_cut_the_old_or_the_new_file_is_there_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = cuts(monkeypatch, lazy=False)
    assert [done for done, _ in seen].index(True) == 5  # open, write, sync, rename, sync of the folder
    for done, there in seen:
        assert there <= {OLD, NEW}
        assert not done or there == {NEW}


def test_without_the_sync_half_a_file_would_be_seen(monkeypatch: pytest.MonkeyPatch) -> None:
    assert any(not there <= {OLD, NEW} for _, there in cuts(monkeypatch, lazy=True))


def full(fail_at: int, error: int) -> Writing:
    """The operating system, whose so many-th writing call fails."""
    turn = count(1)

    def before() -> None:
        if next(turn) == fail_at:
            raise OSError(error, os.strerror(error))

    return Writing(before)


@pytest.mark.parametrize("before", [None, OLD])
@pytest.mark.parametrize("writer", [write_whole, write_paper])
def test_a_full_or_failing_disk_leaves_no_half_paper(
    tmp_path: Path, writer: Any, before: bytes | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "paper.pdf"
    outcomes = []
    for fail_at, error in product(range(1, 7), (errno.ENOSPC, errno.EIO, errno.EACCES)):
        path.unlink(missing_ok=True)
        if before is not None:
            path.write_bytes(before)
        monkeypatch.setattr(durable, "os", full(fail_at, error))
        try:
            writer(path, NEW)
            told = None
        except Stopped as stopped:
            (told,) = stopped.troubles
        monkeypatch.undo()
        there = path.read_bytes() if path.exists() else None
        assert there == NEW if told is None else there in (before, NEW)
        assert [each.name for each in tmp_path.iterdir()] == ([path.name] if there else [])
        if told is not None:
            assert type(told) is (Fault if error == errno.EACCES else Failure)
            assert error == errno.EACCES or "what was recorded is safe" in told.do
        outcomes.append(told is None)
    assert outcomes.count(True) == 3  # the sixth operation does not exist: there are five


def test_a_folder_is_made_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def make(path: Path, stop: bool = False) -> list[str]:
        try:
            with durable.folder_made(path) as building:
                building.mkdir()
                (building / "a").write_bytes(NEW)
                if stop:
                    raise OSError(errno.ENOSPC, "full")
        except Stopped as stopped:
            return [f"{type(trouble).__name__} {trouble.code}" for trouble in stopped.troubles]
        return []

    at, empty = tmp_path / "x" / "shop", tmp_path / "empty"
    empty.mkdir()
    monkeypatch.chdir(empty)
    assert make(at, stop=True) == ["Failure RW002"]
    assert list(at.parent.iterdir()) == []
    assert make(at) == []
    assert make(at) == ["Fault RW001"], "something stands there"
    assert make(Path(".")) == ["Fault RW001"], "it is the folder one stands in"
    assert make(tmp_path / ("a" * 300)) == ["Fault RW002"]
    assert make(empty) == []
    assert [path.read_bytes() for path in (at / "a", empty / "a")] == [NEW, NEW]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["empty", "x"]


def test_a_failure_ends_with_three_whatever_else_is_wrong(tmp_path: Path) -> None:
    full = durable.cannot_write("RW002", tmp_path, OSError(errno.ENOSPC, "No space left"), "-")
    other = durable.cannot_write("RW002", tmp_path, OSError(errno.EACCES, "Permission denied"), "-")
    assert [Stopped(each).exit_code for each in ([full, other], [other, full], [other])] == [3, 3, 2]

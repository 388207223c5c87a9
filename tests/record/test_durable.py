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


def test_no_file_is_written_over_what_is_no_file(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    for path, error, words in (
        (tmp_path, errno.EISDIR, "Is a directory"),
        (pipe, errno.EINVAL, "Is no file"),
    ):
        with pytest.raises(OSError, match=words) as caught:
            durable.write_whole(path, NEW)
        assert (caught.value.errno, caught.value.strerror) == (error, words)
    assert [each.name for each in tmp_path.iterdir()] == ["pipe"]


@pytest.mark.parametrize(("private", "mode"), [([True], 0o600), ([False], 0o666), ([], 0o666)])
def test_who_may_read_a_file(tmp_path: Path, private: list[bool], mode: int) -> None:
    before = os.umask(0)
    try:
        durable.write_whole(tmp_path / "key", NEW, *private)
    finally:
        os.umask(before)
    assert (tmp_path / "key").stat().st_mode & 0o777 == mode


def test_nothing_is_written_through_a_name_that_somebody_laid_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(durable, "token_hex", lambda size: "0")
    (tmp_path / "mine").write_bytes(OLD)
    (tmp_path / ".paper.0.new").symlink_to(tmp_path / "mine")
    with pytest.raises(FileExistsError):
        durable.write_whole(tmp_path / "paper", NEW)
    assert (tmp_path / "mine").read_bytes() == OLD
    assert not (tmp_path / "paper").exists()


@pytest.mark.parametrize("character", ["x", "\u00e9", "\u4e00", "\U0001f600"])
def test_a_name_may_be_as_long_as_the_system_lets_it_be(tmp_path: Path, character: str) -> None:
    path = tmp_path / (character * (255 // len(character.encode())))
    for data in (OLD, NEW):
        durable.write_whole(path, data)
        assert path.read_bytes() == data


@pytest.mark.parametrize(("name", "synced"), [("posix", True), ("nt", False), ("riscos", False)])
def test_a_folder_is_synced_where_the_system_can(
    monkeypatch: pytest.MonkeyPatch, name: str, synced: bool
) -> None:
    platter = Platter(9)
    platter.name = "".join(name)
    monkeypatch.setattr(durable, "os", platter)
    durable.write_whole(Path("/paper"), NEW)
    assert (platter.known == platter.names) is synced
    assert platter.after_a_cut() == ({NEW} if synced else {OLD, NEW})


def test_all_that_stands_in_a_made_folder_is_synced_before_it_has_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, done = tmp_path / "far" / "off" / "shop", list[int | str]()

    class Noted(Writing):
        def fsync(self, handle: int) -> None:
            done.append(os.fstat(handle).st_ino)
            os.fsync(handle)

        def replace(self, old: Path, new: Path) -> None:
            done.append("named")
            os.replace(old, new)

    monkeypatch.setattr(durable, "os", Noted(lambda: None))
    with durable.folder_made(path) as building:
        (building / "more" / "empty").mkdir(parents=True)
        for name in ("a", "more/b"):
            (building / name).write_bytes(NEW)
    there = {each.stat().st_ino for each in (path, *path.rglob("*"))}
    assert (len(there), set(done[: done.index("named")])) == (5, there)
    assert done[done.index("named") :] == ["named", path.parent.stat().st_ino]


@pytest.mark.parametrize(
    ("error", "found", "do"),
    [
        (OSError(errno.EACCES, "Permission denied"), "cannot be written: permission denied", "ask"),
        (OSError("No such luck"), "cannot be written: no such luck", "ask"),
        (ValueError("Embedded null byte"), "cannot be written: embedded null byte", "ask"),
        *(
            (OSError(number, "It Broke"), "the disk failed: it broke", "free or mend the disk, then do it again: "
             "nothing half-written is left, what was recorded is safe")
            for number in (errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EROFS)
        ),
    ],
)  # fmt: skip
def test_why_a_file_could_not_be_written(error: Exception, found: str, do: str) -> None:
    told = durable.cannot_write("RW002", Path("a.pdf"), error, "ask")
    assert (type(told) is Failure) == found.startswith("the disk failed")
    assert (told.code, str(told.where), told.found, told.do) == ("RW002", "a.pdf", found, do)

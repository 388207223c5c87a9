"""A PostgreSQL server of the tests' own: in a folder that goes away, reached by a socket in it, by no port.

It runs as an unprivileged user (root lowers itself, as PostgreSQL demands) with its settings as they come, fsync and
all, but for the size of its log. Where the binaries are missing the tests fail and say what installs them; nothing is
skipped. `-m "not postgres"` leaves them out, on purpose and in words.
"""

from __future__ import annotations

import os
import pwd
import shutil
import signal
import subprocess
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path
from typing import Any

from failing_disk import in_memory

#: makes the file that stands for a new record in a folder
Place = Callable[[Path], Path]
_names = count(1)


def binaries() -> Path:
    """Where the server's programs lie: the newest that the system has."""
    found = [Path(path).resolve().parent for path in (shutil.which("postgres"),) if path]
    found += [
        path.parent for path in sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=_version)[::-1]
    ]
    if not found:
        raise RuntimeError(
            "no PostgreSQL server on this machine: apt-get install postgresql, or -m 'not postgres'"
        )
    return found[0]


def _version(path: Path) -> float:
    return float(path.parts[-3])


class Server:
    """A running server; `database` makes another empty database in it, `stop` is what a pulled plug leaves."""

    def __init__(self, home: Path) -> None:
        self.home, self.data = home, home / "data"
        self.lasting: dict[str, Path] = {}  # database -> the folder it lasts as long as
        self.user: dict[str, Any] = {}
        if os.getuid() == 0:
            who = _unprivileged()
            self.user = {"user": who.pw_uid, "group": who.pw_gid, "extra_groups": []}
            os.chown(home, who.pw_uid, who.pw_gid)
        made = [
            binaries() / "initdb",
            "-D",
            self.data,
            "-U",
            "tests",
            "-A",
            "trust",
            "-E",
            "UTF8",
            "--locale=C",
            "-N",
        ]
        subprocess.run([str(word) for word in made], check=True, capture_output=True, cwd=home, **self.user)
        self.process: subprocess.Popen[bytes] | None = None
        self.start()

    def start(self) -> None:
        said = (self.home / "log").open("ab")
        run = [binaries() / "postgres", "-D", self.data, "-k", self.home, "-c", "listen_addresses=",
               "-c", "max_connections=120", "-c", "superuser_reserved_connections=3",
               "-c", "max_wal_size=128MB"]  # fmt: skip  # it lies in memory, where a gigabyte is dear
        self.process = subprocess.Popen([str(word) for word in run], stdout=said, stderr=said, cwd=self.home,
                                        **self.user)  # fmt: skip
        said.close()
        ready = [str(binaries() / "pg_isready"), "-q", "-h", str(self.home), "-U", "tests", "-d", "postgres"]
        for _ in range(1200):
            if subprocess.run(ready, check=False).returncode == 0:
                return
            if self.process.poll() is not None:
                break
            time.sleep(0.05)
        raise RuntimeError((self.home / "log").read_text("utf-8", "replace"))

    def stop(self) -> None:
        """At once (immediate shutdown): no checkpoint, open transactions are cut."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(signal.SIGQUIT)
            self.process.wait()

    def url(self, database: str) -> str:
        return f"postgresql://tests@/{database}?host={self.home}"

    def sql(self, statement: str, database: str = "postgres") -> None:
        """As whoever owns the database, past the program."""
        import psycopg

        with psycopg.connect(self.url(database), autocommit=True) as connection:
            connection.execute(statement)

    def asked(self, query: str) -> Any:
        """The one value that a query gives."""
        import psycopg

        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            row = connection.execute(query).fetchone()
        return row and row[0]

    def database(self, folder: Path) -> str:
        """The name of a new, empty database, which is dropped some time after this folder is gone."""
        self._drop_the_left()
        name = f"shop_{next(_names)}"
        self.sql(f"CREATE DATABASE {name}")
        self.lasting[name] = folder
        return name

    def _drop_the_left(self) -> None:
        left = [name for name, folder in self.lasting.items() if not folder.exists()]
        for name in left:
            self.sql(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
            del self.lasting[name]

    def place(self, folder: Path) -> Path:
        """The record.url of a new, empty database in this folder."""
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / "record.url"
        path.write_text(self.url(self.database(folder)) + "\n", "utf-8")
        return path


def _unprivileged() -> pwd.struct_passwd:
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name)
        except KeyError:
            continue
    raise RuntimeError("no unprivileged user is known to this system")


@contextmanager
def server() -> Iterator[Server]:
    """Started for whoever asks, stopped and gone in the end, whatever happens."""
    with in_memory() as home:
        running = Server(home)
        try:
            yield running
        finally:
            running.stop()
            print((home / "log").read_text("utf-8", "replace")[-4000:])  # pytest shows it where a test failed

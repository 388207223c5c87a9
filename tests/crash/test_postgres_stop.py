"""PostgreSQL stopped at once while a station waits for the answer to its commit: each act is there exactly once.

A proxy stands between the station and the server's socket, so that the instant is forced and not hoped for:

    not sent        the server stops before the commit reaches it
    on its way      the commit was sent on, and the server stops at once: either may have happened
    not answered    the server has committed and answered, and the answer is lost with it
    in the middle   the server stops at a random instant among the steps of the append

Then the server comes up again from its log, the station opens the record and repeats the act under its id.
"""

from __future__ import annotations

import select
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path
from random import Random

import pytest

import private_postgres
from histories import act
from private_postgres import Server
from rackwright import record
from rackwright.record import Head
from rackwright.trouble import Failure, Stopped
from soaked import ROUND

STOPS, LOTS = 50, range(40 if ROUND else 4)  # 2 000, in CI 200
WHEN = ("not sent", "on its way", "not answered", "in the middle")
COMMIT = b"COMMIT\0"

pytestmark = [pytest.mark.postgres, pytest.mark.long]


class Proxy(threading.Thread):
    """Passes bytes between one client after the other and the server; `stop_at` is when it pulls the plug."""

    def __init__(self, server: Server, folder: Path) -> None:
        super().__init__(daemon=True)
        self.server, self.stop_at, self.middle = server, "", 0
        folder.mkdir()
        self.socket = socket.socket(socket.AF_UNIX)
        self.socket.bind(str(folder / ".s.PGSQL.5432"))
        self.socket.listen()
        self.start()

    def run(self) -> None:
        while True:
            try:
                client, _ = self.socket.accept()
            except OSError:  # closed: the test is over
                return
            below = socket.socket(socket.AF_UNIX)
            with client, below, suppress(OSError):
                below.connect(str(self.server.home / ".s.PGSQL.5432"))
                self.pass_on(client, below)

    def pass_on(self, client: socket.socket, below: socket.socket) -> None:
        while True:
            for ready in select.select([client, below], [], [])[0]:
                data = ready.recv(1 << 16)
                if not data:
                    return
                if ready is below:
                    client.sendall(data)
                    continue
                commits = COMMIT in data
                self.middle -= 1
                early = (
                    not self.middle
                    if self.stop_at == "in the middle"
                    else commits and self.stop_at == "not sent"
                )
                if early:
                    self.server.stop()
                    return
                below.sendall(data)
                if self.stop_at == "not answered" and commits:
                    assert b"COMMIT" in below.recv(1 << 16)  # its tag: the server has done it
                if self.stop_at in ("not answered", "on its way") and commits:
                    self.server.stop()
                    return

    def end(self) -> None:
        """Its thread too: one that still waits on a closed socket may be given the number's next owner."""
        self.socket.shutdown(socket.SHUT_RDWR)
        self.join()
        self.socket.close()

    def arm(self, when: str, middle: int = 0) -> None:
        self.middle, self.stop_at = middle, when


@pytest.fixture
def own(tmp_path: Path) -> Iterator[tuple[Server, Proxy, Path]]:
    """A server to be stopped, its proxy, and the record reached through it."""
    with private_postgres.server() as server:
        place = server.place(tmp_path)
        record.create(place).close()
        proxy = Proxy(server, server.home / "proxy")
        place.write_text(place.read_text().replace(f"host={server.home}", f"host={server.home}/proxy"))
        try:
            yield server, proxy, place
        finally:
            proxy.end()


@pytest.mark.parametrize("lot", LOTS)
def test_every_act_is_there_exactly_once(
    own: tuple[Server, Proxy, Path], lot: int, record_property: Callable[[str, int], None]
) -> None:
    server, proxy, place = own
    chance, recorded, lost = Random(f"stop {lot} {ROUND}"), list[str](), 0
    for number in range(STOPS):
        mine = [act(number, "supplier", {"supplier": f"S-{number}-{i}", "scope": ["coat"]}) for i in (1, 2)]
        when = WHEN[number % len(WHEN)]
        with record.open(place) as station:
            seen = station.head()
            proxy.arm(when, chance.randrange(1, 6))
            with pytest.raises(Stopped) as caught:
                station.append(mine, seen)
        (trouble,) = caught.value.troubles
        assert isinstance(trouble, Failure), trouble
        assert f"act {mine[0].act_id} is there is seen then" in trouble.do
        proxy.arm("")
        server.start()
        with record.open(place) as station:
            there = station.act(mine[0].act_id)
            assert len(there) == {"not sent": 0, "not answered": 2}.get(when, len(there))
            assert len(there) in (0, 2)
            assert station.head() == (seen if not there else station.heads()[-1])
            done = station.append(mine, station.head())
            assert done.repeated == bool(there)
            lost += bool(there)
            recorded.append(mine[0].act_id)
    with record.open(place) as station:
        assert [event.act_id for event in station.events()] == [each for each in recorded for _ in (1, 2)]
        assert record.audit(station).ok
        assert station.head() == Head(2 * STOPS, station.tree().root().hex())
    assert lost >= STOPS // len(WHEN)
    record_property("done", STOPS)

"""`rackwright serve` killed at any instant while clients write: what was answered is there once, and nothing in part.

Each client goes on with the act that it had no answer to, under the same id, at the next life of the server.
"""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event

import httpx
import pytest

import small_shop as small
from private_postgres import Place
from rackwright import record
from rackwright.work.people.signers import set_secret
from rackwright.work.people.signing import PASSWORD
from soaked import ROUND

KILLS, LOTS, CLIENTS = 20, range(100 if ROUND else 1), 4
LEAD, WORDS = small.PEOPLE["lead"], "four tubes and a block"


@contextmanager
def serving(folder: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """The address of a server in a process of its own, which is gone behind it."""
    words = [sys.executable, "-m", "rackwright.faces.cli.main", "serve", "--shop", str(folder), "--port", "0"]
    with subprocess.Popen(
        words, stdout=subprocess.PIPE, text=True, env=os.environ | {"PYTHONUNBUFFERED": "1"}
    ) as run:
        try:
            assert run.stdout is not None
            yield run.stdout.readline().strip().rstrip("/"), run
        finally:
            run.kill()


@contextmanager
def signed_in(address: str) -> Iterator[httpx.Client]:
    """A client with the session of the lead. Raises httpx.TransportError where the server is gone."""
    with httpx.Client(base_url=address, headers={"Origin": address}, timeout=60) as client:
        said = client.post("/sign-in", data={"person": LEAD, "password": WORDS})
        assert said.status_code == 303, said.text
        yield client


def write(client: httpx.Client, id: str) -> tuple[list[int], bool]:
    """One act: its numbers, and whether it was there before."""
    fields = {"supplier": f"S {id}", "scope": ["coat", "x" * 400]}
    said = client.post("/acts/supplier", json={"act_id": id, "fields": fields, "pin": WORDS})
    assert said.status_code == 200, said.text
    return [one["seq"] for one in said.json()["recorded"]], said.json()["repeated"]


@dataclass
class Client:
    """Writes act after act until the server is gone; what has no answer is asked again first."""

    name: str
    number: int = 0
    answered: dict[str, list[int]] = field(default_factory=dict)
    asked_again: int = 0

    def run(self, address: str, under_way: Event) -> None:
        first = True
        try:
            with signed_in(address) as client:
                while True:
                    id = f"{self.name}-{self.number}"
                    seqs, repeated = write(client, id)
                    assert first or not repeated, "only an act whose answer was lost can be there already"
                    self.asked_again += repeated
                    self.answered[id] = seqs
                    self.number, first = self.number + 1, False
                    under_way.set()
        except httpx.TransportError:
            return
        finally:
            under_way.set()


def founded(path: Path) -> None:
    with record.create(path) as shop:
        lead = small.station(shop, "lead")
        small.founded_by_name(lead)
        set_secret(lead, PASSWORD, WORDS)


@pytest.mark.long
@pytest.mark.parametrize("lot", LOTS)
def test_every_answered_act_is_there_once_and_repeating_it_does_nothing_twice(
    tmp_path: Path, place: Place, lot: int, record_property: Callable[[str, int], None]
) -> None:
    path = place(tmp_path)
    founded(path)
    chance = random.Random(f"serve {lot} {ROUND}")
    clients = [Client(f"c{n}") for n in range(CLIENTS)]
    for number in range(KILLS):
        with serving(tmp_path) as (address, process), ThreadPoolExecutor(CLIENTS) as threads:
            under_way = Event()
            running = [threads.submit(client.run, address, under_way) for client in clients]
            if number % 5:  # each fifth is killed while people sign in, or soon after
                under_way.wait(60)
            time.sleep(chance.uniform(0.0, 0.1))
            process.send_signal(signal.SIGKILL)
            for one in running:
                one.result()
    answered = {id: seqs for client in clients for id, seqs in client.answered.items()}
    assert len(answered) >= KILLS * 4 // 5
    with record.open(path) as shop:
        assert record.audit(shop).ok
        before = shop.head()
        there: dict[str, list[int]] = {}
        for event in shop.events():
            if event.type == "supplier":
                there.setdefault(event.act_id, []).append(event.seq)
        assert {id: there.get(id) for id in answered} == answered
        assert all(len(seqs) == 1 for seqs in there.values())
        assert len(there) - len(answered) <= CLIENTS, "at most the last act of each client is unanswered"
    with serving(tmp_path) as (address, _), signed_in(address) as client:
        some = chance.sample(sorted(there), min(20, len(there)))
        assert {id: write(client, id) for id in some} == {id: (there[id], True) for id in some}
    with record.open(path) as shop:
        assert shop.head() == before
    record_property("done", KILLS)


def test_told_to_end_it_answers_and_ends_with_0(tmp_path: Path, place: Place) -> None:
    path = place(tmp_path)
    founded(path)
    with serving(tmp_path) as (address, process):
        with signed_in(address) as client:
            assert write(client, "one")[1] is False
        process.terminate()
        assert process.wait(60) == 0
    with record.open(path) as shop:
        assert record.audit(shop).ok
    assert not (tmp_path / "record.db-wal").exists(), "the log was taken in"


BROKEN = """
import errno, os, sys
from rackwright.record import Record
def broken(*_): raise OSError(errno.EIO, 'Input/output error')
Record._write = broken
from rackwright.faces.cli.main import main
main(sys.argv[1:])
"""


def test_a_disk_that_fails_ends_the_process_and_the_act_is_tried_once(tmp_path: Path, place: Place) -> None:
    path = place(tmp_path)
    founded(path)
    words = [sys.executable, "-uc", BROKEN, "serve", "--shop", str(tmp_path), "--port", "0"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        try:
            assert process.stdout is not None
            with signed_in(process.stdout.readline().strip().rstrip("/")) as client:
                fields = {"supplier": "Fell Coaters", "scope": ["coat"]}
                said = client.post("/acts/supplier", json={"act_id": "one", "fields": fields, "pin": WORDS})
            assert said.status_code == 500
            assert said.json()["trouble"][0]["code"] == "RW501"
            _, err = process.communicate(timeout=60)
            assert process.returncode == 3
            assert "RW501" in err
            assert "Traceback" not in err
        finally:
            process.kill()
    with record.open(path) as shop:
        assert shop.act("one") == ()

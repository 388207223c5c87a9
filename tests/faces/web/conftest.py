"""A shop whose order is ready to be sawn, its sawyer and stores with passwords and PINs, and browsers at its served."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from httpx import Response

import small_shop as small
from private_postgres import Place
from rackwright import record as records
from rackwright.faces.web.acting import Room
from rackwright.faces.web.app import create_app
from rackwright.faces.web.sessions import Sessions
from rackwright.record import Event, Record
from rackwright.trouble import Failure
from rackwright.work.people.signers import give_code, set_secret
from rackwright.work.people.signing import PASSWORD, PIN
from rackwright.work.station import Station, new_id

HERE = "http://127.0.0.1:8047"
PASSWORDS = {
    "lead": "four tubes and a block",
    "sawyer": "the blade is sharp today",
    "stores": "racks of bars to the roof",
}
PINS = {"sawyer": "7392", "stores": "8264"}


@pytest.fixture(scope="session")
def with_passwords(stages: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the shop, made once."""
    folder = tmp_path_factory.mktemp("web") / "shop"
    with small.stage("ordered", stages, folder) as record:
        set_secret(small.station(record, "lead"), PASSWORD, PASSWORDS["lead"])
        for who, pin in PINS.items():
            _, code = give_code(
                small.station(record, "lead").by(small.PEOPLE["lead"], PASSWORDS["lead"]), small.PEOPLE[who]
            )
            at = small.station(record, who)
            set_secret(at.by(at.person, code), PASSWORD, PASSWORDS[who])
            set_secret(at.by(at.person, PASSWORDS[who]), PIN, pin)
    return folder


@dataclass
class Server:
    """One process's worth: its record, its app, what it said of failures, its clocks."""

    record: Record
    room: Room
    failures: list[Failure]
    seconds: list[float]
    _browsers: list[TestClient] = field(default_factory=list)

    def browser(self, who: str = "") -> TestClient:
        """A browser at the server, signed in where a person is named."""
        made = TestClient(
            create_app(self.room), base_url=HERE, headers={"Origin": HERE}, follow_redirects=False
        )
        if who:
            said = made.post("/sign-in", data={"person": small.PEOPLE[who], "password": PASSWORDS[who]})
            assert said.status_code == 303, said.text
        return made

    def events(self, type: str) -> list[Event]:
        return [event for event in self.record.events() if event.type == type]


def serving(path: Path) -> Iterator[Server]:
    """A server of the record at this path, whichever engine keeps it."""
    failures: list[Failure] = []
    seconds = [0.0]
    with records.open(path) as record:
        station = Station(record, "", lambda: f"{small.DAY}T10:00:00Z", new_id)
        room = Room(path.parent, station, failures.append, Sessions(lambda: seconds[0]))
        yield Server(record, room, failures, seconds)


@pytest.fixture
def served(with_passwords: Path, tmp_path: Path, place: Place) -> Iterator[Server]:
    path = place(tmp_path / "shop")
    if path.name == "record.db":
        shutil.copytree(with_passwords, path.parent)
    else:
        shutil.copytree(with_passwords / "signers", path.parent / "signers")
        small.moved(with_passwords, path).close()
    yield from serving(path)


def posts(serial: str = "SN-1") -> list[str]:
    """The pieces of the posts of a rack."""
    return [f"{serial}/{piece.id}" for piece in small.design().pieces.sawn if piece.kind == "post"]


Act = Callable[..., Response]


def act(browser: TestClient, verb: str, act_id: str, pin: str = "", **fields: object) -> Response:
    return browser.post(
        f"/acts/{verb}", json={"act_id": act_id, "fields": fields, **({"pin": pin} if pin else {})}
    )


def issue(
    browser: TestClient, bar: str, pieces: list[str], act_id: str, pin: str = PINS["sawyer"]
) -> Response:
    return act(
        browser, "issue", act_id, pin, stock_id=bar, job=small.ORDER, revision=small.revision(), pieces=pieces
    )

"""One act of a session: its keys read as those of `rackwright log`, its verb called, at the one record of the process.

Acts of this process wait for each other: the folded state is for one thread. Against other processes the record
decides. An act id that was used is answered with what it did; `known.asked` says whether it was asked for the same.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path
from threading import RLock
from typing import Any

from rackwright.faces import run_log
from rackwright.faces.acts.desk import Desk
from rackwright.faces.acts.types import TYPES, Type
from rackwright.faces.acts.values import read_values
from rackwright.faces.web.sessions import Session, Sessions
from rackwright.record import Event, Head, Person, State, Stock
from rackwright.trouble import Failure, Fault, Refusal, Stopped, Trouble, Where
from rackwright.work.people.identifying import identify
from rackwright.work.people.signing import PASSWORD, SIGN_IN, TAP
from rackwright.work.station import Late, Station, attach

__all__ = ["Answer", "Beside", "Room", "known", "verbs"]

REQUEST = "request.json"
#: act -> why it stays at the command line, besides those that read a file of their own
AT_THE_COMMAND_LINE = {
    "secret": "a new secret is typed where nobody else reads it",
    "code": "the code is shown to the lead alone",
    "quote": "it computes for a while, and every station would wait",
    "report": "it computes for minutes, and every station would wait",
    "saw_plan": "it computes for a while, and every station would wait",
}
#: acts whose `file` is a definition of the shop's folder, and no other file
OF_A_DEFINITION = ("order", "order_line")
DEFINITIONS = ("standards", "variations")
LONGEST_ID = 200


def verbs() -> Mapping[str, Type]:
    """The acts that a request may ask for."""
    return {name: kind for name, kind in TYPES.items() if not kind.file and name not in AT_THE_COMMAND_LINE}


@dataclass(frozen=True)
class Beside:
    """What is sent with an act besides its keys: files by name, and where it is entered late from paper, when it was
    done and the scan of that."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    done: str = ""
    scan: bytes = field(default=b"", repr=False)


@dataclass(frozen=True)
class Answer:
    """What an act came to: the events, whether they were there already, and what stood in its way."""

    events: tuple[Event, ...]
    repeated: bool
    troubles: tuple[Trouble, ...] = ()


@dataclass
class Room:
    """What the requests of one process share: the shop's folder, a station at its record, the sessions.

    `failed` is told of a disk or server that failed: the process is to end.
    """

    folder: Path
    station: Station
    failed: Callable[[Failure], None]
    sessions: Sessions = field(default_factory=Sessions)
    _lock: RLock = field(default_factory=RLock, repr=False)

    # --- people ----------------------------------------------------------------------------------

    def sign_in(self, person: str, password: str) -> str:
        """The token of a new session. Raises Stopped."""
        with self._turn():
            known = identify(self.station.by(person, password), SIGN_IN)
            return self.sessions.begin(person, known)

    def sign_out(self, token: str) -> None:
        with self._turn():
            self.sessions.end(token)

    def sitting(self, token: str) -> Session | None:
        """The session of a token, while its person is of the shop and has the password that it began with."""
        with self._turn():
            session = self.sessions.of(token)
            if session is None:
                return None
            person = self._state().persons.get(session.person)
            if person is None or not person.active or person.secrets.get(PASSWORD) != session.verifier:
                self.sessions.end(token)
                return None
            return session

    def someone_can_sign_in(self) -> bool:
        with self._turn():
            return any(_has_password(person) for person in self._state().persons.values())

    # --- looking ---------------------------------------------------------------------------------

    def look(self) -> tuple[Head, State]:
        """Head and state of one moment; the state is good until the next request looks."""
        with self._turn():
            return self.station.follower.look(self.station.record)

    @contextmanager
    def looking(self) -> Iterator[State]:
        """The state, which stays while it is looked at."""
        with self._turn():
            yield self._state()

    def signed_for(self, session: Session, bar: Stock) -> bool:
        """Do taps go for the pieces of this bar?"""
        with self._turn():
            return bool(self.sessions.visit(session, bar))

    # --- acting ----------------------------------------------------------------------------------

    def begin_visit(self, session: Session, stock_id: str, secret: str) -> None:
        """The person signs once for the taps of a bar's visit. Raises Stopped."""
        with self._turn():
            known = identify(self.station.by(session.person, secret), TAP)
            bar = self._state().stock.get(stock_id)
            if bar is None or bar.state != "issued":
                words, do = f"{stock_id} is not at the saw", "issue it first"
                raise Stopped([Refusal("RW511", Where("the record", 0, stock_id), words, do)])
            self.sessions.begin_visit(session, bar, known)

    def definitions(self) -> list[str]:
        """The definitions in the shop's folder, by their paths in it."""
        found = (path for name in DEFINITIONS for path in sorted((self.folder / name).glob("*.toml")))
        return [path.relative_to(self.folder).as_posix() for path in found]

    def act(
        self, session: Session, verb: str, act_id: str, fields: Mapping[str, Any], secret: str,
        beside: Beside = Beside(),
    ) -> Answer:  # fmt: skip
        """Do it, or say why not. What is sent beside it is kept by its hash with the act, or with its refusal."""
        done: list[tuple[tuple[Event, ...], bool]] = []
        troubles: tuple[Trouble, ...] = ()
        there = False
        try:
            kind = known(verb, _no_id(act_id))
            values = read_values(kind.fields, (), REQUEST, json.dumps(fields).encode())
            if verb in OF_A_DEFINITION and "file" in values:
                values["file"] = self._definition(values["file"])
            with self._turn():
                there = bool(self.station.record.act(act_id))
                station = replace(
                    attach(self.station.by(session.person, secret), beside.files),
                    asked=_asked(session, verb, fields, beside),
                    session=self._signed_before(session, verb, values),
                    late=_late(beside),
                )
                given = kind.do(Desk(station, self.folder, None, act_id), values)
                for one in given if isinstance(given, Iterator) else (given,):
                    done.append((one.events, one.repeated))  # noqa: PERF401  what was done before a refusal counts
        except Stopped as stopped:
            troubles = stopped.troubles
        events = tuple(event for some, _ in done for event in some)
        run_log.did("act", verb=verb if verb in TYPES else "", recorded=[[one.seq, one.type] for one in events],
                    codes=[trouble.code for trouble in troubles])  # fmt: skip
        again = there or (bool(done) and all(repeated for _, repeated in done))
        return Answer(events, again and all(trouble.code != "RW506" for trouble in troubles), troubles)

    def _definition(self, named: str) -> str:
        """Where it lies. Raises Stopped (RW504) for any other file of the server."""
        there = self.definitions()
        if named not in there:
            do = f"name one of {', '.join(there)}" if there else "put it into the shop's folder first"
            found = f"{named!r:.80} is no definition here"
            raise Stopped([Fault("RW504", Where(REQUEST, 0, "file"), found, do)])
        return str(self.folder / named)

    def _signed_before(self, session: Session, verb: str, values: Mapping[str, Any]) -> str:
        """What the visit of the piece's bar began with, where this act is a tap."""
        if verb != TAP:
            return ""
        stock = self._state().stock.values()
        bar = next((one for one in stock if one.state == "issued" and values["piece"] in one.planned), None)
        return self.sessions.visit(session, bar) if bar else ""

    def _state(self) -> State:
        return self.station.follower.look(self.station.record)[1]

    @contextmanager
    def _turn(self) -> Iterator[None]:
        """One after the other; after a failure of the disk the process is told to end."""
        with self._lock:
            try:
                yield
            except Stopped as stopped:
                for trouble in stopped.troubles:
                    if isinstance(trouble, Failure):
                        self.failed(trouble)
                raise


def known(verb: str, besides: Sequence[Fault] = ()) -> Type:
    """Raises Stopped (RW504) for an act that is none, or is not for a request, and with the faults found besides."""
    kind, faults = verbs().get(verb), [*besides]
    if kind is None:
        why = AT_THE_COMMAND_LINE.get(verb) or (
            "it reads a file" if verb in TYPES else "there is no such act"
        )
        do = f"use `rackwright log {verb}`" if verb in TYPES else f"acts are {', '.join(verbs())}"
        faults = [Fault("RW504", Where(REQUEST, 0, "verb"), f"{verb[:60]!r}: {why}", do), *faults]
    if kind is None or faults:
        raise Stopped(faults)
    return kind


def _no_id(act_id: str) -> list[Fault]:
    """What is wrong with an act's own id."""
    if act_id.strip() and len(act_id) <= LONGEST_ID and act_id.isprintable():
        return []
    do = f"make a fresh one for each act, such as a UUID: printable, at most {LONGEST_ID} characters"
    return [Fault("RW504", Where(REQUEST, 0, "act_id"), f"{act_id[:60]!r} is no id", do)]


def _late(beside: Beside) -> Late | None:
    """Raises Stopped (RW504) for the scan of a paper of which nothing else is said."""
    if beside.scan and not beside.done:
        do = "give the day, or time in UTC, that the paper says it was done"
        found = "the scan of a paper, and no day of it"
        raise Stopped([Fault("RW504", Where(REQUEST, 0, "done"), found, do)])
    return Late(beside.done, beside.scan) if beside.done else None


def _asked(session: Session, verb: str, fields: Mapping[str, Any], beside: Beside) -> str:
    """Who asks for what, with what beside it; the secret is no part of it."""
    whole: list[Any] = [session.person, verb, fields]
    if beside.files:
        whole.append({name: sha256(data).hexdigest() for name, data in beside.files.items()})
    if beside.done:
        whole.append([beside.done, sha256(beside.scan).hexdigest()])
    said = json.dumps(whole, sort_keys=True, separators=(",", ":"))
    return sha256(said.encode()).hexdigest()


def _has_password(person: Person) -> bool:
    return person.active and PASSWORD in person.secrets

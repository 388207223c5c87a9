"""The store: an append-only table of events, written conditionally, one act a commit; the engine below may vary.

How a verb uses it:

    head, events = record.look()              # one consistent snapshot
    decided = gates.decide(project(events), act)
    record.append(decided, seen=head)         # RW502 if another station wrote first: look again

`append` takes the write lock first, then compares the head, then writes, then commits; so of two
stations that decided on the same head exactly one wins. "Busy" is the same answer as "changed":
look again. An act id is recorded once: repeating the act gives back what was recorded. An I/O error
ends the use of this Record: nothing is retried, because after a failed sync the operating system may
call lost pages clean; open the record again and see which head it has (repeating the act is safe).
"""

from __future__ import annotations

import logging
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Lock
from types import TracebackType
from typing import NamedTuple

import sqlalchemy as sa

from rackwright.record import attachments, layouts, schema
from rackwright.record.bulk import in_bulk
from rackwright.record.checking import check
from rackwright.record.engine import Connect, Engine, Kind, unusable
from rackwright.record.engines import engine_of
from rackwright.record.envelope import Event
from rackwright.record.mentions import Name, Scales, cover, names, place_of, seqs_naming, upto
from rackwright.record.rows import (
    LEAST,
    Envelope,
    Row,
    altered,
    believed,
    head_of,
    peaks_now,
    read_envelopes,
    read_rows,
    read_unchecked,
    row_of,
    rows_at,
    rows_of,
    rows_of_act,
)
from rackwright.seal import Head, Tree
from rackwright.trouble import Failure, Fault, Refusal, Stopped, Trouble, Where

__all__ = ["Appended", "Moment", "Record", "create", "open_record"]

_log = logging.getLogger(__name__)
_log.addHandler(logging.NullHandler())  # said to whoever asks for it, to nobody else


@dataclass(frozen=True)
class Appended:
    """What an append gave: the events with their seq, the head then, and whether they were there already."""

    events: tuple[Event, ...]
    head: Head
    repeated: bool = False


class Moment(NamedTuple):
    """The number of the last event, how many there are, up to which the index of names goes, and every row of `head` as
    it stands: size, act id, root, peaks."""

    last: int
    many: int  # as the last, unless numbers were altered
    indexed: int
    commits: list[tuple[int, str, str, str]]


class Record:
    """An open record. Use `create` or `open_record`; usable as a context manager; safe between threads."""

    def __init__(self, place: Engine) -> None:
        self.path = place.path
        self.attachments = place.path.parent / "attachments"
        self._place = place
        self._engine = place.connect()
        self._broken = ""
        self._read: list[Event] = []
        self._lock = Lock()

        @sa.event.listens_for(self._engine, "begin")
        def _begin(connection: sa.Connection) -> None:
            for statement in place.begin(connection.get_execution_options().get("writes", False)):
                connection.exec_driver_sql(statement)

    def __enter__(self) -> Record:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the database; an SQLite file takes its write-ahead log in when the last user leaves."""
        self._engine.dispose()

    # --- reading ---------------------------------------------------------------------------------

    def head(self) -> Head:
        """How many events there are, and the root over them."""
        with self._reading() as connection:
            return head_of(connection)

    def look(self, after: int = 0) -> tuple[Head, tuple[Event, ...]]:
        """Head and all events with seq > after, of one moment. Raises Stopped (RW505) at an event that was altered."""
        with self._lock, in_bulk(), self._reading() as connection:
            head, held = head_of(connection), len(self._read)
            fresh = [believed(row, self.path) for row in read_rows(connection, max(after, held), head.size)]
            if (
                after <= held
            ):  # written once, so read once; what is asked for only from further on is not held
                self._read += fresh
                fresh = self._read[after : head.size]
        if len(fresh) != max(0, head.size - after):
            words = f"{head.size} events were recorded, {after + len(fresh)} are there"
            raise Stopped([altered(self.path, after + len(fresh) + 1, words)])
        return head, tuple(fresh)

    def events(self, after: int = 0) -> tuple[Event, ...]:
        """All events with seq > after, in order."""
        return self.look(after)[1]

    def act(self, act_id: str) -> tuple[Event, ...]:
        """The events already recorded under this act id; empty if none. Ask before deciding an act anew."""
        with self._reading() as connection:
            rows = rows_of_act(connection, act_id)
        return tuple(believed(row, self.path) for row in rows)

    def naming(self, wanted: Iterable[Name], known: Mapping[int, Event]) -> dict[int, Event]:
        """The events that name any of these (kind, name), and their corrections, by seq; those `known` are not
        read again. Only what the index does not cover is given besides. Raises Stopped (RW505).
        """
        found = dict(known)
        with self._reading() as connection:
            beyond = read_rows(connection, upto(connection), None)
            found |= {row.seq: believed(row, self.path) for row in beyond}
            fresh = seqs_naming(connection, {place_of(*each) for each in wanted}) - found.keys()
            while fresh:
                read = [believed(row, self.path) for row in rows_at(connection, fresh)]
                found |= {event.seq: event for event in read}
                corrected = {event.corrects for event in read if event.corrects is not None}
                by = seqs_naming(connection, (("event", str(event.seq)) for event in read))
                fresh = (corrected | by) - found.keys()
        return found

    def names(self, kind: str) -> tuple[str, ...]:
        """All names of a kind (heat, lot, stock, piece, serial, gauge, order, person) that events name."""
        with self._reading() as connection:
            return names(connection, kind)

    def of_types(self, *types: str, most: int | None = None) -> tuple[Event, ...]:
        """All events of types of which there are few, or the first. Raises Stopped (RW505) where one was altered."""
        with self._reading() as connection:
            return tuple(believed(row, self.path) for row in rows_of(connection, types, most))

    def heads(self) -> tuple[Head, ...]:
        """The head after each commit, oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(schema.head.c.size, schema.head.c.root).order_by(schema.head.c.size)
            )
            return tuple(Head(size, root) for size, root in rows)

    def root_at(self, size: int) -> str | None:
        """The root after the commit that ended with event `size`; None where none did."""
        with self._reading() as connection:
            return connection.execute(
                sa.select(schema.head.c.root).where(schema.head.c.size == size)
            ).scalar()

    def tree(self) -> Tree:
        """The Merkle tree over all events, for proofs."""
        return Tree(event.leaf() for event in self.events())

    # --- writing ---------------------------------------------------------------------------------

    def append(self, events: Sequence[Event], seen: Head) -> Appended:
        """Record the events of one act, all or none, if the record is still at the head `seen`.

        All share one act id and come with seq 0. When this returns, they are on the disk. Raises
        Stopped: RW504 an event is not well formed · RW502 the record changed or is busy, look again ·
        RW506 the act id was used for something else · RW503 an event to correct is not there ·
        RW501 the disk or the server failed (a Failure): whether the act was recorded is seen on opening again.
        """
        _require_one_act(events)
        act = f" whether act {events[0].act_id} is there is seen then, and repeating it does nothing twice;"
        with self._telling(act), self._engine.connect().execution_options(writes=True) as connection:
            done = self._write(connection, events, seen)
            connection.commit()
        if not done.repeated:
            held = {"first": done.events[0].seq, "types": [event.type for event in done.events]}
            _log.info("appended", extra={"held": held})
        return done

    def _begin_with(self, acts: Iterable[Sequence[Event]]) -> None:
        """The tables, and the acts of another record, in one transaction: bodies may have an older layout."""
        with self._telling(), self._engine.connect() as connection:
            self._place.make(connection)
            head = Head()
            for events in acts:
                head = self._write(connection, events, head).head
            connection.commit()
            if not self._place.settle(connection):
                do = "try again"
                raise Stopped(
                    [_refusal("RW502", self.path, "another program reads the unfinished record", do)]
                )

    def _raise_layout(self) -> None:
        """An older layout becomes the newest: whole, or as it was."""
        with self._telling(), self._engine.connect().execution_options(writes=True) as connection:
            found = self._place.layout(connection) or 0  # asked under the lock: another may have done it
            if found < schema.VERSION:
                try:
                    layouts.raise_layout(connection, found, schema.VERSION)
                except sa.exc.ProgrammingError as error:
                    if getattr(error.orig, "sqlstate", "") != "42501":  # PostgreSQL: insufficient privilege
                        raise
                    do = "let the owner of its tables open it once with this program"
                    words = f"layout {found} is to become {schema.VERSION}, which a station may not do"
                    raise unusable(self.path, words, do) from None
            connection.commit()

    def _write(self, connection: sa.Connection, events: Sequence[Event], seen: Head) -> Appended:
        """Everything of an append but the commit; the first statement takes the write lock."""
        state = peaks_now(connection)
        before = Head(state.size, state.root.hex())
        recorded = tuple(believed(row, self.path) for row in rows_of_act(connection, events[0].act_id))
        if recorded:
            if len(recorded) == len(events) and all(map(Event.same_act, recorded, events)):
                return Appended(recorded, before, repeated=True)
            raise Stopped([_refusal("RW506", self.path, f"act {events[0].act_id} is recorded as event "
                                    f"{recorded[0].seq} ({recorded[0].type}) and says something else",
                                    "make a new act id for a new act")])  # fmt: skip
        if before != seen:
            raise Stopped(
                [_refusal("RW502", self.path, f"the record is at {before}, you saw {seen}", "look again")]
            )
        placed = tuple(event.at_seq(before.size + i) for i, event in enumerate(events, 1))
        for event in placed:
            if event.corrects is not None and event.corrects >= event.seq:
                raise Stopped([_refusal("RW503", self.path, f"event {event.corrects}, which is to be corrected, "
                                        "is not in the record", "name an earlier event")])  # fmt: skip
            state = state.add(event.leaf())
        connection.execute(sa.insert(schema.event), [row_of(event) for event in placed])
        connection.execute(sa.insert(schema.head).values(
            size=state.size, act_id=events[0].act_id, root=state.root.hex(),
            peaks="".join(peak.hex() for peak in state.peaks),
        ))  # fmt: skip
        cover(connection, placed)
        return Appended(placed, Head(state.size, state.root.hex()))

    # --- files -----------------------------------------------------------------------------------

    def put_file(self, data: bytes) -> str:
        """Keep a file (certificate, photo, frozen text); its SHA-256, to be named in `refs.files`."""
        return attachments.put(self.attachments, data)

    def get_file(self, sha256: str) -> bytes:
        """The file of this SHA-256. Raises Stopped (RW507) where it is missing or altered."""
        return attachments.get(self.attachments, sha256)

    # --- for the audit ---------------------------------------------------------------------------

    def moment(self) -> Moment:
        """How far the record and its index go, and its commits, at one moment."""
        with self._reading() as connection:
            rows = connection.execute(sa.select(schema.head).order_by(schema.head.c.size)).all()
            commits = [(size, *map(str, texts)) for size, *texts in rows]  # altered, a text may be anything
            seq = schema.event.c.seq
            last, many = connection.execute(sa.select(sa.func.max(seq), sa.func.count(seq))).one()
            return Moment(max(0, last or 0), many, upto(connection), commits)

    def rows(self, after: int = 0, last: int | None = None) -> Iterator[Row]:
        """Every stored row as it stands, believed or not; of one moment."""
        with self._reading() as connection:
            start: int | None = after or LEAST
            while start is not None:
                page = read_rows(connection, start, last, limit=2_000)
                yield from page
                end = page[-1].seq if page else start
                start = (
                    end if end > start else None
                )  # a file that is damaged may give the same again for ever

    def envelopes(self, after: int, last: int, at_once: int) -> Iterator[list[Envelope] | None]:
        """As `read_envelopes`; from the first on also what stands before it, where nothing was ever recorded."""
        with self._reading() as connection:
            yield from read_envelopes(connection, after or LEAST, last, at_once)

    def unchecked(self, last: int) -> list[Event]:
        """As `read_unchecked`, up to this event."""
        with self._reading() as connection:
            return read_unchecked(connection, 0, last)

    def inside(self) -> list[str]:
        """What the database itself and the layout have to complain about; empty when sound."""
        with self._reading() as connection:
            return self._place.inside(connection)

    def index_weight(self, scales: Scales) -> int | None:
        """The index of names, to be weighed against the rows."""
        with self._reading() as connection:
            return scales.index(connection)

    # --- trouble ---------------------------------------------------------------------------------

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._telling(), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _telling(self, act: str = "") -> Iterator[None]:
        """Turn what the driver raises into troubles; after an I/O error this Record is not used again."""
        if self._broken:
            raise Stopped([self._failed(f"this record failed before: {self._broken}", act)])
        try:
            yield
        except sa.exc.DBAPIError as error:
            raise Stopped([self._told(error.orig, act)]) from error
        except (OSError, UnicodeDecodeError) as error:  # the last: altered text in a message
            raise Stopped([self._told(error, act)]) from error
        except self._place.raised as error:
            raise Stopped([self._told(error, act)]) from error

    def _told(self, error: BaseException | None, act: str) -> Trouble:
        kind = Kind.FAILED if isinstance(error, OSError) else self._place.kind(error)
        words = " ".join(str(error).split())
        _log.warning(
            "not read or written", extra={"held": {"kind": kind.name, "error": type(error).__name__}}
        )
        if kind is Kind.BUSY:
            return _refusal("RW502", self.path, "another station is writing just now", "look again")
        if kind is Kind.CONTRADICTS:
            return _refusal("RW505", self.path, f"the tables contradict each other: {words}", "run audit")
        self._broken = words
        if kind is Kind.FAILED:
            return self._failed(f"the {self._place.below} failed: {words}", act)
        do = "mend the cause, then open it again"
        if kind is Kind.READ_ONLY:  # there SQLite cannot even read: it keeps its log in the folder
            do = (
                "allow writing to the file and its folder; only to look, copy the folder and look at the copy"
            )
        return Fault("RW501", Where(str(self.path)), f"the record cannot be used: {words}", do)

    def _failed(self, found: str, act: str) -> Failure:
        do = f"mend the {self._place.below}, then open the record again:{act} everything acknowledged before is safe"
        return Failure("RW501", Where(str(self.path)), found, do)


def create(
    path: str | os.PathLike[str], connect: Connect | None = None, acts: Iterable[Sequence[Event]] = ()
) -> Record:
    """A new record at this path, empty or with the acts of another, whole or not there at all.

    Raises Stopped (RW501) where one stands or none can be written.
    """
    with engine_of(Path(path), connect=connect).building() as place, Record(place) as record:
        record._begin_with(acts)
    return open_record(path, connect=connect)


def open_record(path: str | os.PathLike[str], busy_ms: int = 2000, connect: Connect | None = None) -> Record:
    """The record at this path. Raises Stopped (RW501) where there is none or its settings are less than needed.

    `busy_ms`: how long to wait for another station's commit before saying "look again".
    """
    place = engine_of(Path(path), busy_ms, connect)
    place.require()
    record = Record(place)
    try:
        with record._reading() as connection:
            found = place.layout(connection)
            if found is None:
                do = "make one: `rackwright new`, `import` or `restore`"
                raise unusable(place.path, "the database it names holds no record", do)
            if not 1 <= found <= schema.VERSION:
                do = "use the version of rackwright that wrote it, or a newer one"
                words = f"the record has layout {found}, and this program knows 1 to {schema.VERSION}"
                raise unusable(place.path, words, do)
            head_of(connection)
        if found < schema.VERSION:
            record._raise_layout()
    except BaseException:
        record.close()
        raise
    return record


# --- troubles ------------------------------------------------------------------------------------


def _require_one_act(events: Sequence[Event]) -> None:
    if not events:
        raise ValueError("an act has at least one event")
    if len({event.act_id for event in events}) != 1 or any(event.seq for event in events):
        raise ValueError("the events of one append share one act id and have seq 0")
    if faults := [
        fault for i, event in enumerate(events) for fault in check(event, f"{event.type} ({i + 1})")
    ]:
        raise Stopped(faults)


def _refusal(code: str, path: Path, found: str, do: str) -> Refusal:
    return Refusal(code, Where(str(path)), found, do)

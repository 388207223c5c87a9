"""The append-only record: events, the store, projections.

    envelope.py     the event envelope (final) and its leaf
    events.py       the table of event types and body layouts; `new_event`; upgrades v to v + 1
    checking.py     is an event well formed by that table
    store.py        create, open, look, append conditionally, one act a commit
    engine.py       what the store asks of a database engine; engines.py: which one keeps a record
    sqlite.py       `record.db`: tables, triggers and settings: the file format
    postgres.py     `record.url`: a PostgreSQL database for many stations; postgres_layout.py: its tables and catalog
    rows.py         a row and the event it stands for
    schema.py       the tables, whichever engine keeps them; layouts/: from an older layout to the newest
    mentions.py     the index of what events name, derived from them
    attachments.py  files beside the record, named by their SHA-256
    durable.py      whole files, synced
    history.py      is a sequence of envelopes whole; heads compared
    export.py       the record as canonical JSON lines, and back
    audit.py        whole, balanced, believed; ranges.py: its parts
    bulk.py         many objects made at once
    clock.py        times that go back
    outline.py      the area of a plate's outline, exactly
    corrections.py  how events are to be read, corrections laid over
    state.py, office.py, service.py    the nouns a history comes to
    fold.py, fold_stock.py, fold_reports.py, fold_people.py, fold_office.py, fold_service.py
                    one method an event type; over fold_tables.py
    projections.py  events -> State
    checkpoint.py   the folded state kept beside the record, derived
    trace.py        where a heat or a gauge went; the events of a serial

May import: seal, units, trouble; and SQLAlchemy, orjson, and alembic where a layout is raised. Opens without numpy,
scipy or pydantic.
A new event type goes into `events.py` (and a method `on_TYPE` into `fold.py`); old versions are read by a
function v to v+1, never rewritten.
"""

from rackwright.record.audit import Audit, Judge, audit
from rackwright.record.checking import check
from rackwright.record.corrections import as_read, by_target, corrected
from rackwright.record.envelope import Event, Known, Refs, parse_event, read_event
from rackwright.record.events import EVENTS, EventType, current, new_event
from rackwright.record.export import audit_export, export_lines, import_export, read_export
from rackwright.record.outline import area_of, corners_of
from rackwright.record.projections import Follower, project, replay, state_of
from rackwright.record.state import Person, State, Stock
from rackwright.record.store import Appended, Record, create
from rackwright.record.store import open_record as open
from rackwright.record.trace import Went, events_of_serial, where_gauge_went, where_heat_went
from rackwright.seal import Head

__all__ = [
    "EVENTS",
    "Appended",
    "Audit",
    "Event",
    "EventType",
    "Follower",
    "Head",
    "Judge",
    "Known",
    "Person",
    "Record",
    "Refs",
    "State",
    "Stock",
    "Went",
    "area_of",
    "as_read",
    "audit",
    "audit_export",
    "by_target",
    "check",
    "corners_of",
    "corrected",
    "create",
    "current",
    "events_of_serial",
    "export_lines",
    "import_export",
    "new_event",
    "open",
    "parse_event",
    "project",
    "read_event",
    "read_export",
    "replay",
    "state_of",
    "where_gauge_went",
    "where_heat_went",
]

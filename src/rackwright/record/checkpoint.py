"""The folded state, kept beside the record: who opens it next folds only what came since.

`record.state` is derived and may be thrown away: it is not hashed, exported or backed up. Two lines of JSON: what it is
of (the format, the program that folded, size and root of the tree, SHA-256 of the second line), and the tables of
the fold. It is read as plain data into the nouns' own fields, never as code. Where anything in it does not fit, it is
passed over and the history is folded; so is it where a later event corrects an earlier one.

Its hash guards against accidents, as the leaf hash of a row does, and no more than that against whoever can write
both. So an audit reads nothing from it: it folds the events, and says whether what is kept is the same.

A file, not a table: it is a third of what the record itself takes, stations of a PostgreSQL record may add rows and not
remove them, and a commit is not to wait for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args, get_origin, get_type_hints

import orjson

from rackwright.record import durable
from rackwright.record.bulk import in_bulk
from rackwright.record.corrections import corrected
from rackwright.record.envelope import Event
from rackwright.record.fold import Fold
from rackwright.record.fold_tables import LISTS
from rackwright.record.indexed import Indexed
from rackwright.record.state import State
from rackwright.seal import Head

if TYPE_CHECKING:
    from rackwright.record.store import Record

__all__ = ["FILE", "Compared", "due", "folded", "keep", "load"]

FILE, FORMAT = "record.state", "rackwright/state/1"
LEAST = 2000  # events: fewer are folded sooner than a file is written


class _Unfit(Exception):
    """Why what is kept is not used; without words where nothing is kept."""


@in_bulk()
def folded(events: Sequence[Event]) -> Fold:
    """The fold of a whole history."""
    fold = Fold()
    for event in corrected(events):
        fold.lay(event)
    return fold


def due(kept: int, size: int) -> bool:
    """Is it worth keeping again? Where a share was folded that grows with what writing costs."""
    return size - kept >= max(LEAST, kept // 8)


def keep(record: Record, head: Head, fold: Fold) -> None:
    """Keep what a fold came to at this head. Where it cannot be written the record goes on without."""
    try:
        tables = _tables(fold)
        of = {"format": FORMAT, "program": _program(), "size": head.size, "root": head.root}
        line = orjson.dumps(of | {"sha256": sha256(tables).hexdigest()})
        durable.write_whole(_path(record), line + b"\n" + tables)
    except (OSError, TypeError, ValueError):  # a whole number beyond 64 bits has no place in it
        return


def load(record: Record) -> tuple[int, Fold]:
    """Up to which event the fold is that is kept, and the fold; (0, an empty one) where none can be used."""
    fold = Fold()
    try:
        size, tables = _found(record)
        with in_bulk():
            read = orjson.loads(tables)
            if read.keys() != _readers().keys():
                return 0, fold
            vars(fold).update({name: reader(read[name]) for name, reader in _readers().items()})
    except (_Unfit, AttributeError, TypeError, ValueError):
        return 0, Fold()
    return size, fold


class Compared:
    """What is kept, beside a fold of the history that is made anyhow: `at` gives the fold when that has come so far."""

    def __init__(self, record: Record) -> None:
        self.size, self.words, self.unlike, self._kept = 0, "", False, b""
        try:
            self.size, self._kept = _found(record)
        except _Unfit as why:
            self.words = f"no folded state is used: {why}" if why.args else ""

    def at(self, fold: Fold) -> None:
        """`fold`: of the first `size` events, as they were read then."""
        self.unlike = _tables(fold) != self._kept
        self.words = (
            f"the state kept in {FILE} is not what the first {self.size} events come to"
            if self.unlike
            else f"the state kept of the first {self.size} events: folded anew"
        )


def _path(record: Record) -> Path:
    return record.path.with_name(FILE)


def _tables(fold: Fold) -> bytes:
    return orjson.dumps(vars(fold))


def _found(record: Record) -> tuple[int, bytes]:
    """Size and tables of what is kept, where it fits this record and this program. Raises _Unfit."""
    try:
        line, _, tables = _path(record).read_bytes().partition(b"\n")
        of = orjson.loads(line)
        form, program, size, root, digest = (
            of[key] for key in ("format", "program", "size", "root", "sha256")
        )
    except OSError:
        raise _Unfit from None
    except (KeyError, TypeError, ValueError):
        raise _Unfit(f"{FILE} is damaged") from None
    if (form, program) != (FORMAT, _program()):
        raise _Unfit(f"{FILE} is of another version of the program")
    if digest != sha256(tables).hexdigest():
        raise _Unfit(f"{FILE} is damaged")
    if type(size) is not int or record.root_at(size) != root:
        raise _Unfit(f"{FILE} is of another record")
    return size, tables


@lru_cache
def _program() -> str:
    """A hash of everything that decides what events come to: all sources of this room."""
    digest = sha256()
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.read_bytes())
    return digest.hexdigest()


# --- plain data into nouns -----------------------------------------------------------------------

Reader = Callable[[Any], Any]


@lru_cache
def _readers() -> dict[str, Reader]:
    """By the table's name, as `State` declares it; what the state has as a tuple the fold has as a list."""
    readers = {name: _reader(kind) for name, kind in get_type_hints(State).items()}
    return readers | {name: _listed(readers[name]) for name in LISTS}


def _listed(reader: Reader) -> Reader:
    return lambda values: list(reader(values))


def _same(value: Any) -> Any:
    return value


def _reader(kind: Any) -> Reader:
    """How plain data become a value of this kind."""
    origin, args = get_origin(kind), get_args(kind)
    if is_dataclass(kind):
        return _noun(kind)
    if isinstance(kind, type) and issubclass(kind, Indexed):
        rows = _reader(Mapping[str, kind.row])
        return lambda values: kind(rows(values))
    if origin is tuple and args[-1] is ...:
        each = _reader(args[0])
        return tuple if each is _same else lambda values: tuple(map(each, values))
    if origin is tuple:
        parts = [_reader(part) for part in args]
        return lambda values: tuple(part(value) for part, value in zip(parts, values, strict=True))
    if origin is Mapping and (held := _reader(args[1])) is not _same:
        return lambda values: {name: held(value) for name, value in values.items()}
    return _same


def _noun(kind: Any) -> Reader:
    """As its own `__init__` would make it of its fields, which computes nothing, and several times as fast."""
    hints = get_type_hints(kind)
    names = {each.name for each in fields(kind)}
    readers = [(name, reader) for name in names if (reader := _reader(hints[name])) is not _same]

    def read(plain: dict[str, Any]) -> Any:
        if plain.keys() != names:
            raise ValueError(f"other fields than those of {kind.__name__}")
        for name, reader in readers:
            plain[name] = reader(plain[name])
        made = object.__new__(kind)
        vars(made).update(plain)
        return made

    return read

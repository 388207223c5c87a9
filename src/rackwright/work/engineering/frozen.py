"""A design rebuilt from what was frozen: the texts by their hash, never the folder they once lay in.

A freeze names its texts (`frozen_texts.py`). Reading them again gives the same Design, whatever became of the folder
since. What was sound when it was frozen is not refused by what a later program asks of new definitions: that is said
where then and today are compared (`as_frozen.py`). Nor is it PRELIMINARY for questions that a later program asks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from rackwright.design import Design
from rackwright.rack import Source, base_of, read_definition
from rackwright.record import Record, State, state_of
from rackwright.reference import Rows, read_own
from rackwright.shop import Shop, read_shop
from rackwright.trouble import Refusal, Stopped
from rackwright.work.engineering.frozen_texts import BASE, DEFINITION, REFERENCE, SHOP
from rackwright.work.gates import no, serial_known

__all__ = [
    "Frozen",
    "frozen",
    "frozen_design",
    "frozen_for",
]


@dataclass(frozen=True)
class Frozen:
    """What a freeze holds: the design, its standard (None: it is one itself), the shop, the texts by name."""

    design: Design
    standard: Design | None
    shop: Shop | None
    texts: dict[str, bytes]


def frozen_design(record: Record, revision: str) -> tuple[Design, Design | None]:
    """The design of a frozen revision and the standard it varies. Raises Stopped as `frozen`."""
    held = frozen(record, revision)
    return held.design, held.standard


def frozen_for(record: Record, serial: str, state: State | None = None) -> Frozen:
    """What a serial's revision was frozen as. Raises Stopped: RW503 the serial is unknown; and as `frozen`."""
    state = state or state_of(record)
    unknown = serial_known(state, serial)
    if unknown is not None:
        raise Stopped([unknown])
    return frozen(record, state.serials[serial].revision, state)


def frozen(record: Record, revision: str, state: State | None = None) -> Frozen:
    """Everything a frozen revision holds.

    Raises Stopped: RW514 not frozen, RW507 a text is missing or altered, and the faults of a text that cannot be
    read any more.
    """
    state = state or state_of(record)
    kept = state.revisions.get(revision)
    if kept is None:
        raise Stopped([no("RW514", revision, f"revision {revision} is not frozen", "freeze it first")])
    texts = {name: record.get_file(digest) for name, digest in sorted(kept.texts.items())}
    if DEFINITION not in texts:
        raise Stopped([_lacks(revision, DEFINITION)])
    asked = kept.values.get("questions")  # an older freeze states none
    return _rebuilt(revision, tuple(texts.items()), None if asked is None else frozenset(asked))


@lru_cache(maxsize=4)  # several acts in a row ask for the same; what was computed of it stays with it
def _rebuilt(revision: str, named: tuple[tuple[str, bytes], ...], left_open: frozenset[str] | None) -> Frozen:
    texts = dict(named)
    bases = {
        name.removeprefix(BASE).lower(): Source(f"{revision}: {name}", data)
        for name, data in texts.items()
        if name.startswith(BASE)
    }
    own = {name: (f"{revision}: {name}", data) for name, data in texts.items() if name.startswith(REFERENCE)}
    rows, faults = read_own(own)
    if rows is None:
        raise Stopped(faults)
    source = Source(f"{revision}: {DEFINITION}", texts[DEFINITION])
    base = base_of(source)
    return Frozen(
        _design(source, bases, rows, left_open),
        _design(bases[base.lower()], bases, rows) if base and base.lower() in bases else None,
        _shop(texts[SHOP], f"{revision}: {SHOP}", rows) if SHOP in texts else None,
        texts,
    )


def _design(
    source: Source, bases: dict[str, Source], rows: Rows, left_open: frozenset[str] | None = None
) -> Design:
    rack, faults = read_definition(source, bases, rows)
    if rack is None:
        raise Stopped(faults)
    return Design(replace(rack, left_open=left_open))


def _shop(data: bytes, file: str, rows: Rows) -> Shop:
    shop, faults = read_shop(data, file, rows)
    if shop is None:
        raise Stopped(faults)
    return shop


def _lacks(revision: str, name: str) -> Refusal:
    return no(
        "RW507",
        revision,
        f"the freeze of {revision} holds no text named {name}",
        "freeze a revision with its texts",
    )

"""An old serial computed again with today's program: every number that is another one now, and why.

What went in is the same: the frozen texts by their hash, and the measurements that the record held just before the
release. So a number can differ only by what the program brings: its reference rows, its formulas, itself. A number of a
float's last places apart (1e-9 of it) is the same: another build of a numerical library may round otherwise. A price
follows from the shop's file besides: as frozen, or as it is today where none was; beside it stands the quote that the
order accepted (`quoted.py`). What an older release did not keep is named, and not compared.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isclose

from rackwright import __version__
from rackwright.design import Design
from rackwright.record import Event, Record, State, replay, state_of
from rackwright.reference import content_hash
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.frozen import frozen
from rackwright.work.engineering.numbers import (
    Numbers,
    margins_of,
    numbers_of,
    prices_of,
    read_numbers,
    row_name,
)
from rackwright.work.engineering.rows_used import rows_of
from rackwright.work.gates import no, serial_known
from rackwright.work.metal.sawing import piece_id
from rackwright.work.serials.quoted import Quoted, quoted
from rackwright.work.serials.releasing import governing_by_piece, release_gates
from rackwright.work.serials.undone import counts_oven
from rackwright.work.stations.bending import with_test_bends

__all__ = ["Again", "Changed", "again", "by_piece", "differences", "not_kept"]

NEAR = 1e-9
KEPT_TO = (
    2e-6  # an older release keeps six places of each piece's least margin: the last may round either way
)
COMPARED_HERE = "numbers as frozen"  # the gate that asks what this list answers
#: what a release may not have kept -> how the names of its numbers begin
KINDS = {"prices": "price", "buckling factors": "buckling factor", "natural frequencies": "mode "}
NOT_FROZEN = "the shop's file, which was not frozen with the revision"
OVEN = "the oven time of its coats, which was in no margin then"
PROGRAM = f"rackwright {__version__}"


@dataclass(frozen=True)
class Changed:
    """One number then and now, None where it is missing or was not there, and what it comes of."""

    name: str
    then: float | None
    now: float | None
    why: tuple[str, ...]
    turned: bool  # a margin that changed its sign, or that is missing on one side

    @property
    def by(self) -> float | None:
        return None if self.then is None or self.now is None else self.now - self.then


@dataclass(frozen=True)
class Again:
    """A release, and the same computed now. `brought` is what the program brings otherwise: rows, formulas, itself."""

    serial: str
    release: int
    day: str
    program_then: str
    program_now: str
    texts: tuple[tuple[str, str], ...]  # name and hash: the same then and now
    compared: int
    whole: bool  # the release kept its numbers; else only each piece's least margin
    not_kept: tuple[str, ...]  # kinds of numbers that it kept none of
    brought: tuple[str, ...]
    changed: tuple[Changed, ...]
    gates: tuple[tuple[str, str], ...]  # gates that passed then and say no now: name, words
    quoted: Quoted | None = None  # what its order accepted, beside the same racks priced now

    @property
    def stands(self) -> bool:
        """No margin changed its sign, and no gate its answer."""
        return not self.gates and not any(one.turned for one in self.changed)


def again(record: Record, serial: str, shop: Shop) -> Again:
    """Raises Stopped: RW503 an unknown serial, RW517 one that was not released, and what keeps the frozen texts from
    being read. `shop` where none was frozen."""
    before, done = _before(record, serial)
    held = frozen(record, done.body["revision"], before)
    house = with_test_bends(record, before, held.shop or shop)
    built = as_measured(before, held.design, serial, record.get_file)
    then, kept = None, done.body.get("numbers", "")
    if kept:
        then = read_numbers(json.loads(record.get_file(kept)))
        without = not_kept(then)
        prices = prices_of(held.design, held.shop or shop) if "prices" not in without else {}
        now = _only(numbers_of(built, prices), without)
        changed, compared = differences(then, now, built, done.known.program), len(then.values)
        if held.shop is None:
            changed = tuple(map(_of_todays_shop, changed))
    else:
        now, without = numbers_of(built), tuple(KINDS)
        changed, compared = tuple(by_piece(done, built)), len(done.body["margins"])
    gates = tuple(
        (gate.name, gate.refusal.found)
        for gate in release_gates(before, serial, held.design, house, record.get_file, done.by, done.at[:10])
        if gate.refusal is not None and gate.name != COMPARED_HERE
    )
    if built.heated and not counts_oven(done):
        changed = tuple(
            replace(one, why=(OVEN, *one.why)) if one.name.startswith("margin") else one for one in changed
        )
    texts = tuple(sorted(before.revisions[done.body["revision"]].texts.items()))
    return Again(serial, done.seq, done.at[:10], done.known.program, PROGRAM, texts, compared, bool(kept), without,
                 _brought(done, then, now), changed, gates,
                 quoted(record, state_of(record), serial, shop))  # fmt: skip


def not_kept(then: Numbers) -> tuple[str, ...]:
    """The kinds of which a release kept no number."""
    return tuple(
        kind for kind, start in KINDS.items() if not any(name.startswith(start) for name in then.values)
    )


def _only(now: Numbers, without: tuple[str, ...]) -> Numbers:
    starts = tuple(KINDS[kind] for kind in without)
    return replace(now, values={name: one for name, one in now.values.items() if not name.startswith(starts)})


def _of_todays_shop(one: Changed) -> Changed:
    return replace(one, why=(NOT_FROZEN, *one.why)) if one.name.startswith(KINDS["prices"]) else one


def _before(record: Record, serial: str) -> tuple[State, Event]:
    """What the record held just before the release, and the release."""
    state = State()
    for event, state in replay(record.events()):
        if event.type == "release" and event.body["serial"] == serial:
            return state, event
    found = f"{serial} is not released: there is nothing to compare with"
    raise Stopped([serial_known(state, serial) or no("RW517", serial, found, "see `rackwright prove`")])


def _brought(done: Event, then: Numbers | None, now: Numbers) -> tuple[str, ...]:
    words = [] if counts_oven(done) else [OVEN]
    if done.known.program != PROGRAM:
        words.append(f"program: {done.known.program or 'not recorded'} then, {PROGRAM} now")
    if then is None:
        if done.known.reference_hash != content_hash():
            words.append("the shipped reference rows are others as a whole; which, the release does not keep")
        return tuple(words)
    for what, old, new in (("row", then.rows, now.rows), ("formula", then.cards, now.cards)):
        for name in sorted(old.keys() | new.keys()):
            a, b = old.get(name), new.get(name)
            if a is None or b is None:
                words.append(f"{what} {name}: {'not used then' if a is None else 'not used now'}")
            elif a.hash != b.hash:
                source = a.source if a.source == b.source else f"{a.source}; now {b.source}"
                words.append(f"{what} {name} is another one now ({source})")
    return tuple(words)


def differences(then: Numbers, now: Numbers, built: Design, program: str) -> tuple[Changed, ...]:
    """Every number that is another one now, by name, with the rows and formulas it rests on that are others."""
    margins, found = margins_of(built), []
    rows = {
        name for name, one in now.rows.items() if name not in then.rows or then.rows[name].hash != one.hash
    }
    used = {
        name for name, one in now.cards.items() if name not in then.cards or then.cards[name].hash != one.hash
    }
    for name in dict.fromkeys([*then.values, *now.values]):
        a, b = then.values.get(name), now.values.get(name)
        if (name in then.values) == (name in now.values) and _same(a, b):
            continue
        margin, why = margins.get(name), list[str]()
        if margin is not None:
            own = {row_name(row) for row in rows_of(built, margin)}
            why += [f"row {one}" for one in sorted(own & rows)]
            why += [f"formula {one}" for one in sorted({step for step, _ in margin.steps} & used)]
        if not why and rows:
            why.append(f"by way of the model: row {', '.join(sorted(rows))}")
        if not why:
            why.append(f"the program itself: {program or 'not recorded'} then, {PROGRAM} now")
        if name not in now.values or name not in then.values:
            why.append("not there now" if name not in now.values else "not there then")
        turned = name.startswith("margin") and (a is None or b is None or (a >= 0) != (b >= 0))
        found.append(Changed(name, a, b, tuple(why), turned))
    return tuple(found)


def _same(a: float | None, b: float | None) -> bool:
    return a is b if a is None or b is None else isclose(a, b, rel_tol=NEAR, abs_tol=NEAR)


def by_piece(done: Event, built: Design) -> Iterator[Changed]:
    """What a release of an older program kept: the least margin of each piece."""
    now = {piece_id(done.body["serial"], one.piece): one.margin for one in governing_by_piece(built)}
    for row in done.body["margins"]:
        a, b = float(row["margin"]), now.get(row["piece"])
        if b is None or abs(a - b) > KEPT_TO:
            why = (
                f"the release kept no rows and formulas: {done.known.program or 'program not recorded'} then"
            )
            yield Changed(f"least margin of {row['piece']}", a, b, (why,), b is None or (a >= 0) != (b >= 0))

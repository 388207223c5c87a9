"""The audit of a record, in three words kept apart:

    whole      nothing altered: SQLite's own check, tables and triggers as made, every envelope, leaf
               hash, head and peak recomputed, every file named by an event there and unaltered; and
               the index of names and the state kept, which are derived, as the events give them
    balanced   quantities and gates: judged by `work`, which hands its judges in as hooks
    believed   who signed, and which heads were seen outside: a cut tail, a rewritten history and a
               fork are visible only here, because each is whole in itself

A live SQLite file has unused space: an altered byte is found, or it changes no event.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from rackwright.record import checkpoint
from rackwright.record.bulk import in_bulk
from rackwright.record.envelope import Event
from rackwright.record.history import History, altered, compare_heads, walk
from rackwright.record.keys import KEY_EVENTS, trust_of, unsound
from rackwright.record.mentions import Scales
from rackwright.record.projections import replay
from rackwright.record.ranges import AT_ONCE, SIZE, Facts, facts_of, joined, ranges, sound
from rackwright.record.state import State
from rackwright.record.store import Moment, Record
from rackwright.seal import Head, Malformed, SignedHead, Trust, read_signed_head
from rackwright.trouble import Refusal, Stopped, Trouble, Where

__all__ = ["Audit", "Each", "Judge", "audit"]

Steps = Iterator[tuple[Event, State]]
#: the judge of `work`: the whole history and its replay in, everything that does not balance or pass its gate out, and
#: as text what it looked at
Judge = Callable[[Sequence[Event], Steps], Iterable[Refusal | str]]
#: how the parts 0 … count - 1 of an audit are asked, and their answers given in this order: in turn, or over all cores
Each = Callable[[Callable[[int], Any], int], list[Any]]
LEAST = 2 * SIZE  # events: fewer are audited sooner than processes are started


@dataclass(frozen=True)
class Audit:
    """The answer: head, findings under each word, and what was checked in words."""

    head: Head
    whole: tuple[Trouble, ...]
    balanced: tuple[Trouble, ...]
    believed: tuple[Trouble, ...]
    checked: tuple[str, ...]

    @property
    def ok(self) -> bool:
        return not (self.whole or self.balanced or self.believed)

    @property
    def troubles(self) -> tuple[Trouble, ...]:
        return self.whole + self.balanced + self.believed


@in_bulk()
def audit(
    record: Record,
    seen: Iterable[tuple[Head, str]] = (),
    judge: Judge | None = None,
    trusted_key: str | None = None,
    each: Each | None = None,
) -> Audit:
    """Audit a whole record. Nothing is raised for what is wrong with it: it is all in the answer.

    `seen`: heads that left the building, each with what it stands on ("dossier SN-0031"), as read from
    seals, labels or backups; `judge`: balances and gates of `work`, asked only about a whole history;
    `trusted_key`: the key id (hex) that signed heads in the record must carry, or one that handovers join to it;
    `each`: shares a long audit out over processes, which is asked of nobody who uses this record at the same time.
    """
    file = str(record.path)
    try:
        moment = record.moment()
        parts = _parts(record, moment, judge, each if moment.last >= LEAST else None)
        if parts.read is None:  # something is wrong: in order, it is found what
            history = walk(record.rows(0, moment.last), file)
            facts = facts_of(history.events)
        else:
            history, facts = parts.read
    except Stopped as stopped:
        return Audit(Head(), stopped.troubles, (), (), ("the file could not be read to its end",))
    whole: list[Trouble] = list(history.findings)
    whole += [Refusal("RW505", Where(file), words, "restore from backup") for words in parts.inside]
    whole += _heads(history, moment.commits, file)
    whole += _files(record, facts)
    if not whole and not parts.indexed:
        words = "the index of names is not that of the events, which it is derived from"
        do = "export the record and import it: the index is made anew then"
        whole.append(Refusal("RW505", Where(file), words, do))
    inner, believed = _signed(facts, file, trusted_key)
    believed += compare_heads(history.tree, [*inner, *seen], file)
    judged = _Judged() if whole else parts.judged or _judged(record, moment.last, judge, history.events)
    if judged.unlike:
        do = f"delete {checkpoint.FILE}: it is made anew; look at what was recorded since"
        whole.append(Refusal("RW505", Where(file), judged.kept, do))
    checked = (
        f"{history.tree.size} events: envelope, leaf hash, order, act ids",
        f"{len(moment.commits)} commits: root and peaks recomputed",
        f"{len(facts.files)} files named by their hash",
        f"{len(inner)} heads in the record and {len(list(seen))} from outside" if isinstance(seen, Sequence) else
        f"{len(inner)} heads in the record, and those given from outside",
    )  # fmt: skip
    back = facts.back
    clock = f"the clock: {'; '.join(back[:9]) or 'never a step back'}" + (
        f"; {len(back) - 9} more" if back[9:] else ""
    )
    kept = [judged.kept] if judged.kept and not judged.unlike else []
    told = (*checked, *kept, clock, *judged.words)
    return Audit(history.head, tuple(whole), judged.balanced, tuple(believed), told)


# --- in parts ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Judged:
    """What the judge says and what it looked at, and of the state kept: in words, and whether it is another."""

    balanced: tuple[Refusal, ...] = ()
    words: tuple[str, ...] = ()
    kept: str = ""
    unlike: bool = False


@dataclass(frozen=True)
class _Parts:
    read: tuple[History, Facts] | None  # None: the history is not whole
    inside: list[str]
    indexed: bool  # is the index that of the events?
    judged: _Judged | None  # None: it is still to be asked


def _parts(record: Record, moment: Moment, judge: Judge | None, each: Each | None) -> _Parts:
    """All that takes the longer the more events there are, each asked as a part of its own. Raises Stopped."""
    # where the last number is not how many there are, one is altered, maybe to one without end: all is walked
    last = moment.last if moment.last == moment.many else 0
    scales = Scales(max(0, min(moment.indexed, last)))
    spans = ranges(last)

    def judged() -> _Judged | None:
        if each is None:
            return None  # there is no process that could read the events meanwhile
        try:
            return _judged(record, moment.last, judge)
        except Exception:  # what it stumbles over may be found elsewhere; if not, it is asked again
            return None

    def read(after: int, upto: int) -> tuple[tuple[History, Facts], int] | None:
        found, weight, start = list[tuple[History, Facts]](), 0, after
        for envelopes in record.envelopes(after, upto, AT_ONCE):
            end = min(start + AT_ONCE, upto)
            some = envelopes and sound(envelopes, start, end, keep=each is None and judge is not None)
            if not envelopes or not some:
                return None
            found.append(some)
            weight += scales.events(envelopes)
            start = end
        whole = joined(found) if start == upto else None
        return (whole, weight) if whole else None

    questions: list[Callable[[], Any]] = [
        judged,
        record.inside,
        lambda: record.index_weight(scales),
        *((lambda span=span: read(*span)) for span in spans),
    ]

    def part(number: int) -> tuple[Any, tuple[Trouble, ...]]:
        try:
            with in_bulk():
                return questions[number](), ()
        except Stopped as stopped:
            return None, stopped.troubles

    if each is None:
        answers = [part(number) for number in range(len(questions))]
    else:
        record.close()  # no connection may be carried into another process: each opens its own
        answers = each(part, len(questions))
    for _, troubles in answers:
        if troubles:
            raise Stopped(troubles)
    said, inside, index, *found = (answer for answer, _ in answers)
    weight = sum(one[1] for one in found if one) % Scales.PRIME
    # nothing recorded: nothing may stand there either
    whole = joined([one and one[0] for one in found]) if spans else None
    return _Parts(whole, inside, moment.indexed <= moment.last and index == weight, said)


def _judged(record: Record, last: int, judge: Judge | None, events: Sequence[Event] = ()) -> _Judged:
    """The judge's answers and the comparison with what is kept, by one fold of the history."""
    kept = checkpoint.Compared(record)
    if judge is None and not kept.size:
        return _Judged(kept=kept.words)
    events = events or record.unchecked(last)
    steps = replay(events, kept)
    said = [*judge(events, steps)] if judge else []
    deque(steps, maxlen=0)
    return _Judged(
        tuple(each for each in said if isinstance(each, Refusal)),
        tuple(each for each in said if isinstance(each, str)),
        kept.words,
        kept.unlike,
    )


# --- what is looked at ---------------------------------------------------------------------------


def _heads(history: History, commits: Sequence[tuple[int, str, str, str]], file: str) -> list[Trouble]:
    """Each commit's row against the tree grown anew; each act's end against its commit."""
    findings: list[Trouble] = []
    ends, tree, size = {size: act_id for act_id, size in history.acts}, history.tree, 0
    for size, act_id, root, text in commits:
        peaks = tree.peaks(max(0, min(size, tree.size)))  # altered, a size may be any number
        if size > tree.size:
            findings.append(
                altered(file, tree.size + 1, f"{size} events were recorded, {tree.size} are there")
            )
        elif root != peaks.root.hex() or text != "".join(map(bytes.hex, peaks.peaks)):
            findings.append(altered(file, size, "the root stored with this commit is not that of the events"))
        elif ends.pop(size, None) != act_id:
            findings.append(altered(file, size, "the act of this commit is not that of its events"))
    if size < tree.size:
        findings.append(altered(file, size + 1, "no commit belongs to it: it was not recorded by an act"))
    elif ends and not findings and not history.findings:
        findings.append(altered(file, min(ends), "the commit of its act is missing"))
    return findings


def _files(record: Record, facts: Facts) -> list[Trouble]:
    findings: list[Trouble] = []
    for name, seq in sorted(facts.files.items(), key=lambda pair: (pair[1], pair[0])):
        try:
            record.get_file(name)
        except Stopped as stopped:
            findings += [
                Refusal(each.code, each.where, f"event {seq}: {each.found}", each.do)
                for each in stopped.troubles
            ]
    return findings


def _signed(facts: Facts, file: str, trusted_key: str | None) -> tuple[list[tuple[Head, str]], list[Trouble]]:
    """The signed heads recorded as events, and those whose signature or key is not right."""
    heads: list[tuple[Head, str]] = []
    findings: list[Trouble] = []
    trust = trust_of(facts.papers)
    for event in facts.papers:
        if event.type in KEY_EVENTS:
            if words := unsound(event, trust):
                found = Where(file, 0, f"event {event.seq}")
                findings.append(Refusal("RW509", found, words, "ask who recorded it"))
            continue
        if event.type == "dossier":
            head = Head(event.body["size"], event.body["root"])
            heads.append((head, f"dossier {event.body['serial']}, event {event.seq}"))
            continue
        try:
            signed = read_signed_head(event.body.get("head"))
        except Malformed as error:
            findings.append(altered(file, event.seq, f"its signed head cannot be read: {error.found}"))
            continue
        heads.append((signed.head, f"{event.body.get('paper', 'a signed head')}, event {event.seq}"))
        words = _doubt(signed, trusted_key, trust)
        if words:
            findings.append(
                Refusal("RW509", Where(file, 0, f"event {event.seq}"), words, "ask who signed it")
            )
    return heads, findings


def _doubt(signed: SignedHead, trusted_key: str | None, trust: Trust) -> str:
    if not signed.holds():
        return "the signature of this head does not hold"
    words = trust.doubt(trusted_key, signed.key_id, signed.head.size)
    return f"this head is {words}" if words else ""

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

from rackwright.record import checkpoint
from rackwright.record.bulk import in_bulk
from rackwright.record.clock import steps_back
from rackwright.record.envelope import Event
from rackwright.record.history import History, altered, compare_heads, walk
from rackwright.record.projections import replay
from rackwright.record.rows import peaks_of
from rackwright.record.state import State
from rackwright.record.store import Record
from rackwright.seal import Head, Malformed, SignedHead, read_signed_head
from rackwright.trouble import Refusal, Stopped, Trouble, Where

__all__ = ["Audit", "Judge", "audit"]

Steps = Iterator[tuple[Event, State]]
#: the judge of `work`: the whole history and its replay in, everything that does not balance or pass its gate out
Judge = Callable[[Sequence[Event], Steps], Iterable[Refusal]]


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
) -> Audit:
    """Audit a whole record. Nothing is raised for what is wrong with it: it is all in the answer.

    `seen`: heads that left the building, each with what it stands on ("dossier SN-0031"), as read from
    seals, labels or backups; `judge`: balances and gates of `work`, asked only about a whole history;
    `trusted_key`: the key id (hex) that signed heads in the record must carry.
    """
    file = str(record.path)
    try:
        inside, commits, weights = record.inside(), record.commits(), record.weights()
        history = walk(weights.of(record.rows()), file)
    except Stopped as stopped:
        return Audit(Head(), stopped.troubles, (), (), ("the file could not be read to its end",))
    whole: list[Trouble] = list(history.findings)
    whole += [Refusal("RW505", Where(file), words, "restore from backup") for words in inside]
    whole += _heads(history, commits, file)
    whole += _files(record, history.events)
    if not whole and (weights.total != weights.indexed or weights.upto > history.tree.size):
        words = "the index of names is not that of the events, which it is derived from"
        do = "export the record and import it: the index is made anew then"
        whole.append(Refusal("RW505", Where(file), words, do))
    inner, believed = _signed(history, file, trusted_key)
    believed += compare_heads(history.tree, [*inner, *seen], file)
    balanced, kept = ([], None) if whole else _folded(record, history.events, judge)
    if kept is not None and kept.unlike:
        do = f"delete {checkpoint.FILE}: it is made anew; look at what was recorded since"
        whole.append(Refusal("RW505", Where(file), kept.words, do))
    checked = (
        f"{history.tree.size} events: envelope, leaf hash, order, act ids",
        f"{len(commits)} commits: root and peaks recomputed",
        f"{len({name for event in history.events for name in event.refs.files})} files named by their hash",
        f"{len(inner)} heads in the record and {len(list(seen))} from outside" if isinstance(seen, Sequence) else
        f"{len(inner)} heads in the record, and those given from outside",
    )  # fmt: skip
    back = steps_back(history.events)
    clock = f"the clock: {'; '.join(back[:9]) or 'never a step back'}" + (
        f"; {len(back) - 9} more" if back[9:] else ""
    )
    told = (*checked, *([kept.words] if kept and kept.words and not kept.unlike else []), clock)
    return Audit(history.head, tuple(whole), tuple(balanced), tuple(believed), told)


def _folded(
    record: Record, events: Sequence[Event], judge: Judge | None
) -> tuple[list[Refusal], checkpoint.Compared]:
    """What the judge says and what is kept, by one fold of the history."""
    kept = checkpoint.Compared(record)
    steps = replay(events, kept) if judge or kept.size else iter(())
    balanced = [*judge(events, steps)] if judge else []
    deque(steps, maxlen=0)
    return balanced, kept


def _heads(history: History, commits: Sequence[tuple[int, str, str, str]], file: str) -> list[Trouble]:
    """Each commit's row against the tree grown anew; each act's end against its commit."""
    findings: list[Trouble] = []
    ends, tree, size = {size: act_id for act_id, size in history.acts}, history.tree, 0
    for size, act_id, root, text in commits:
        peaks = tree.peaks(min(size, tree.size))
        if size > tree.size:
            findings.append(
                altered(file, tree.size + 1, f"{size} events were recorded, {tree.size} are there")
            )
        elif root != peaks.root.hex() or peaks_of(size, text) != peaks:
            findings.append(altered(file, size, "the root stored with this commit is not that of the events"))
        elif ends.pop(size, None) != act_id:
            findings.append(altered(file, size, "the act of this commit is not that of its events"))
    if size < tree.size:
        findings.append(altered(file, size + 1, "no commit belongs to it: it was not recorded by an act"))
    elif ends and not findings and not history.findings:
        findings.append(altered(file, min(ends), "the commit of its act is missing"))
    return findings


def _files(record: Record, events: Iterable[Event]) -> list[Trouble]:
    findings: list[Trouble] = []
    first = {name: event.seq for event in reversed(list(events)) for name in event.refs.files}
    for name, seq in sorted(first.items(), key=lambda pair: (pair[1], pair[0])):
        try:
            record.get_file(name)
        except Stopped as stopped:
            findings += [
                Refusal(each.code, each.where, f"event {seq}: {each.found}", each.do)
                for each in stopped.troubles
            ]
    return findings


def _signed(
    history: History, file: str, trusted_key: str | None
) -> tuple[list[tuple[Head, str]], list[Trouble]]:
    """The signed heads recorded as events, and those whose signature or key is not right."""
    heads: list[tuple[Head, str]] = []
    findings: list[Trouble] = []
    for event in history.events:
        if event.type == "dossier":
            head = Head(event.body["size"], event.body["root"])
            heads.append((head, f"dossier {event.body['serial']}, event {event.seq}"))
        if event.type != "head":
            continue
        try:
            signed = read_signed_head(event.body.get("head"))
        except Malformed as error:
            findings.append(altered(file, event.seq, f"its signed head cannot be read: {error.found}"))
            continue
        heads.append((signed.head, f"{event.body.get('paper', 'a signed head')}, event {event.seq}"))
        words = _doubt(signed, trusted_key)
        if words:
            findings.append(
                Refusal("RW509", Where(file, 0, f"event {event.seq}"), words, "ask who signed it")
            )
    return heads, findings


def _doubt(signed: SignedHead, trusted_key: str | None) -> str:
    if not signed.holds():
        return "the signature of this head does not hold"
    if trusted_key is not None and signed.key_id != trusted_key:
        return f"this head is signed by key {signed.key_id}, not by the trusted key"
    return ""

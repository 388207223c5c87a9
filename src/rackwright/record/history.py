"""Is a history whole? One walk over envelopes in order, used for the record, an export and an import.

Whole means: each envelope is well formed and canonical, its stored leaf hash (where there is one)
fits, seq runs 1, 2, 3 … without gap, an act's events stand together and its id is used once, and a
correction names an earlier event. Findings are Refusals (RW505), each with its event.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from rackwright.record.envelope import Event
from rackwright.record.rows import Row
from rackwright.seal import Head, Malformed, Tree, leaf_hash
from rackwright.trouble import Refusal, Where

__all__ = ["History", "altered", "compare_heads", "walk"]


@dataclass(frozen=True)
class History:
    """What was read (`events` only up to the first bad one), the tree over all lines, what is wrong."""

    events: tuple[Event, ...]
    tree: Tree
    findings: tuple[Refusal, ...]
    acts: tuple[tuple[str, int], ...] = field(default=())  # act id and the seq it ends with

    @property
    def head(self) -> Head:
        return Head(self.tree.size, self.tree.root().hex())


def walk(lines: Iterable[Row], file: str, after: int = 0) -> History:
    """Check the lines of a history in order; `after`: how many stand before them and are checked elsewhere."""
    events: list[Event] = []
    findings: list[Refusal] = []
    acts: list[tuple[str, int]] = []
    seen: set[str] = set()
    leaves: list[bytes] = []
    off = 0  # by how many places events are moved: told where it changes, not of each that follows
    for place, line in enumerate(lines, after + 1):
        event, leaf, words = _read(line)
        leaves.append(leaf)
        before, off = off, event.seq - place if event is not None else off
        if event is not None and off not in (0, before):
            words = f"event {event.seq} stands in place {place}: events are missing, repeated or moved"
        elif event is not None and event.corrects is not None and event.corrects >= place:
            words = f"it corrects event {event.corrects}, which is not before it"
        elif event is not None and event.act_id in seen and acts[-1][0] != event.act_id:
            words = f"the act id {event.act_id} was used before"
        if words:
            findings.append(altered(file, place, words, line.line))
        if event is not None:
            if acts and acts[-1][0] == event.act_id:
                acts[-1] = (event.act_id, place)
            else:
                acts.append((event.act_id, place))
            seen.add(event.act_id)
            if not findings:
                events.append(event)
    return History(tuple(events), Tree(leaves), tuple(findings), tuple(acts))


def compare_heads(tree: Tree, seen: Iterable[tuple[Head, str]], file: str) -> list[Refusal]:
    """Does the record lead from every head ever seen outside? `seen`: (head, what it stands on)."""
    findings, same = [], list[int]()  # where a head seen outside is this record's
    for head, on in sorted(seen, key=lambda pair: pair[0].size):
        if head.size > tree.size:
            ahead = head.size - tree.size
            words = (
                f"this record is {ahead} event{'s'[: ahead - 1]} behind the head on {on} ({head.size} events)"
            )
            do = "its end is cut off: look for the newer copy, or restore the newest backup"
        elif tree.root(head.size).hex() != head.root:
            agreed = max((size for size in same if size < head.size), default=0)
            words = (
                f"the first {head.size} events are not those behind the head on {on}: "
                "history was rewritten, or two copies were both continued, as after a restore; "
                f"they part after event {agreed}{' or later' if head.size - agreed > 1 else ''}"
            )
            do = "compare with the other copy, a backup or export: rackwright audit --against COPY"
        else:
            same.append(head.size)
            continue
        findings.append(Refusal("RW509", Where(file), words, do))
    return findings


def altered(file: str, seq: int, found: str, line: int = 0) -> Refusal:
    return Refusal("RW505", Where(file, line, f"event {seq}"), f"event {seq}: {found}", "restore from backup")


def _read(line: Row) -> tuple[Event | None, bytes, str]:
    """The event, the leaf for the tree, and what is wrong in words."""
    event = line.event
    if isinstance(event, Malformed):
        return None, _stored(line.leaf), f"{event.place} {event.found}".strip()
    leaf = leaf_hash(line.data)
    if line.leaf and leaf.hex() != line.leaf:
        return event, leaf, "it is not what was recorded (its leaf hash does not fit)"
    return event, leaf, ""


def _stored(text: str) -> bytes:
    """The leaf that stands beside an envelope that cannot be read; that of nothing where it is none."""
    return bytes.fromhex(text) if re.fullmatch("[0-9a-f]{64}", text) else leaf_hash(b"")

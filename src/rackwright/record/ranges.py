"""A long history checked in parts: what a range of rows comes to, and the parts put together.

A part is a function of the rows between two places and of nothing else, so several processes may ask them. Where
each is sound and they fit at their ends, the history is whole (`joined`). Where one is not, the history is walked in
order (`history.walk`), which alone says what is wrong: what is found does not depend on who looked.

The ranges are aligned, so that each is a complete subtree of the Merkle tree (RFC 9162, 2.1), the last apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain
from operator import gt, ne

from rackwright.record.clock import steps_back
from rackwright.record.envelope import Event
from rackwright.record.history import History
from rackwright.record.keys import KEY_EVENTS
from rackwright.record.rows import Envelope, event_in
from rackwright.seal import Tree, leaf_hash

__all__ = ["AT_ONCE", "SIZE", "Facts", "facts_of", "joined", "ranges", "sound"]

SIZE = 16_384  # events of a range: a power of two
#: of them, a power of two too: what is made of so many stays near the processor while it is asked
AT_ONCE = 128
_PAPERS = ("dossier", "head", *KEY_EVENTS)


@dataclass(frozen=True)
class Facts:
    """What an audit looks at beyond the history: the event that names a file first, the events of signed heads, the
    steps back of the clock in words, and the first and last event."""

    files: dict[str, int]
    papers: tuple[Event, ...]
    back: tuple[str, ...]
    ends: tuple[Event, ...]


def ranges(size: int) -> list[tuple[int, int]]:
    """(after, upto) of each range of a history of this size."""
    return [(after, min(after + SIZE, size)) for after in range(0, size, SIZE)]


def sound(
    envelopes: Sequence[Envelope], after: int, upto: int, keep: bool = False
) -> tuple[History, Facts] | None:
    """What the rows of a range come to, without their events unless to `keep`; None where they are to be walked.

    What `walk` asks of one event after another is asked here of all at once, which is quicker.
    """
    if len(envelopes) != upto - after:
        return None
    rows, touched, _, _, texts = zip(*envelopes, strict=True)
    seqs, types, _, ids, ats, _, _, _, _, corrects, _, stored = zip(*rows, strict=True)
    leaves = [*map(leaf_hash, texts)]
    acts = dict(zip(ids, seqs, strict=True))  # with the event that each ends with
    if not (
        seqs == (*range(after + 1, upto + 1),)
        and stored == (*map(bytes.hex, leaves),)
        and all(which < seq for which, seq in zip(corrects, seqs, strict=True) if which is not None)
        and sum(map(ne, ids, ids[1:])) == len(acts) - 1  # each stands together
    ):
        return None
    times = [at[:-1] for at in ats]
    back = [
        n for n, less in enumerate(map(gt, times, times[1:])) if less
    ]  # as text; `steps_back` looks closer
    papers = [n for n, type in enumerate(types) if type in _PAPERS]
    named = [n for n, refs in enumerate(touched) if refs.files]
    told = {0, len(seqs) - 1, *back, *(n + 1 for n in back), *papers, *named}
    events = [*map(event_in, envelopes)] if keep else ()
    facts = facts_of([event_in(envelopes[n]) for n in sorted(told)])
    return History(tuple(events), Tree(leaves), (), tuple(acts.items())), facts


def joined(parts: Sequence[tuple[History, Facts] | None]) -> tuple[History, Facts] | None:
    """The whole of its parts, in order; None where one is not sound or an act id comes again later."""
    whole = [part for part in parts if part is not None]
    acts = [*_acts(history.acts for history, _ in whole)]
    if len(whole) < len(parts) or len({act_id for act_id, _ in acts}) < len(acts):
        return None
    files: dict[str, int] = {}
    papers: list[Event] = []
    back: list[str] = []
    last: tuple[Event, ...] = ()
    for _, each in whole:
        files = each.files | files
        papers += each.papers
        back += (*steps_back((*last, *each.ends[:1])), *each.back)
        last = each.ends[-1:]
    tree = Tree.joined([history.tree for history, _ in whole])
    events = tuple(chain.from_iterable(history.events for history, _ in whole))
    return History(events, tree, (), tuple(acts)), Facts(files, tuple(papers), tuple(back), last)


def _acts(parts: Iterator[tuple[tuple[str, int], ...]]) -> Iterator[tuple[str, int]]:
    """The acts of all, where one that goes on in the next range is one."""
    before: tuple[str, int] | None = None
    for act in chain.from_iterable(parts):
        if before is not None and before[0] != act[0]:
            yield before
        before = act
    if before is not None:
        yield before


def facts_of(events: Sequence[Event]) -> Facts:
    """Of all events, or of those that tell: the ends, papers, names of files, both sides of each step back."""
    files: dict[str, int] = {}
    for event in [event for event in events if event.refs.files]:
        files |= {name: event.seq for name in event.refs.files if name not in files}
    papers = tuple([event for event in events if event.type in _PAPERS])
    return Facts(files, papers, tuple(steps_back(events)), (*events[:1], *events[-1:]))

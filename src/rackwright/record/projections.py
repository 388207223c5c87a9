"""Events in, `State` out: one pure fold (`fold.py`).

Events are folded as they are to be read (`corrections.py`). The fold judges nothing: what does not fit
what came before (an unknown bar, inches that do not balance) goes into `State.odd` with its event, and
the fold goes on. Gates are decided in `work`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from rackwright.record import checkpoint
from rackwright.record.bulk import in_bulk
from rackwright.record.corrections import corrected
from rackwright.record.envelope import Event
from rackwright.record.fold import Fold
from rackwright.record.state import State
from rackwright.seal import Head

if TYPE_CHECKING:
    from rackwright.record.store import Record

__all__ = ["Follower", "project", "replay", "state_of"]


def project(events: Iterable[Event]) -> State:
    """What these events (a whole history, in order) come to."""
    return checkpoint.folded([*events]).state()


def state_of(record: Record) -> State:
    """What all that is recorded comes to."""
    return Follower().look(record)[1]


class Follower:
    """The state of a record that grows: only what is new is laid, beginning at what is kept beside it. For one thread.

    The state given is good until the next look. A correction may change what came before it, so it starts the fold
    anew. One follower follows one record.
    """

    def __init__(self) -> None:
        self._fold, self._seen, self._kept = Fold(), 0, 0

    @property
    def latest(self) -> str:
        """As in the state given last."""
        return self._fold.latest

    def look(self, record: Record) -> tuple[Head, State]:
        """Head and state of one moment. Raises Stopped (RW505) at an event that was altered."""
        if not self._seen:
            self._seen, self._fold = checkpoint.load(record)
            self._kept = self._seen
        head, fresh = record.look(self._seen)
        if self._seen and (head.size < self._seen or any(event.type == "correction" for event in fresh)):
            head, fresh = record.look()
            self._fold, self._kept = Fold(), 0
        with in_bulk():
            for event in corrected(fresh):
                self._fold.lay(event)
        self._seen = head.size
        if checkpoint.due(self._kept, head.size):
            checkpoint.keep(record, head, self._fold)
            self._kept = head.size
        return head, self._fold.state()


def replay(
    events: Sequence[Event], compared: checkpoint.Compared | None = None
) -> Iterator[tuple[Event, State]]:
    """Each event with the state just before it, good until the next step is asked for; at the end it is that of all.

    `compared`: what is kept is compared on the way.
    """
    fold, upto = Fold(), compared.size if compared else 0
    if compared and upto and any(event.type == "correction" for event in events[upto:]):
        compared.at(checkpoint.folded(events[:upto]))  # it was kept before what came earlier was corrected
        upto = 0
    state = fold.live()
    for event in corrected(events):
        if compared and 0 < upto < event.seq:
            compared.at(fold)
            upto = 0
        yield event, state
        fold.lay(event)
    if compared and upto:
        compared.at(fold)

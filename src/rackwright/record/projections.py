"""Events in, `State` out: one pure fold (`fold.py`).

Events are folded as they are to be read (`corrections.py`). The fold judges nothing: what does not fit
what came before (an unknown bar, inches that do not balance) goes into `State.odd` with its event, and
the fold goes on. Gates are decided in `work`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rackwright.record.bulk import in_bulk
from rackwright.record.corrections import corrected
from rackwright.record.envelope import Event
from rackwright.record.fold import Fold
from rackwright.record.state import State

__all__ = ["Follower", "project", "replay"]


def project(events: Iterable[Event]) -> State:
    """What these events (a whole history, in order) come to."""
    fold = Fold()
    with in_bulk():
        for event in corrected(events):
            fold.lay(event)
    return fold.state()


class Follower:
    """The state of a record that grows: only what is new is laid. For one thread.

    The state given is good until the next call. A correction may change what came before it, so it starts the
    fold anew.
    """

    def __init__(self) -> None:
        self._fold, self._seen = Fold(), 0

    @property
    def latest(self) -> str:
        """As in the state given last."""
        return self._fold.latest

    def state(self, events: Sequence[Event]) -> State:
        """What these events (a whole history, longer than the one given before) come to."""
        fresh = events[self._seen :]
        if len(events) < self._seen or any(event.type == "correction" for event in fresh):
            self._fold, fresh = Fold(), events
        with in_bulk():
            for event in corrected(fresh):
                self._fold.lay(event)
        self._seen = len(events)
        return self._fold.state()


def replay(events: Iterable[Event]) -> Iterator[tuple[Event, State]]:
    """Each event with the state just before it. The state is only good until the next step is asked for."""
    fold = Fold()
    for event in corrected(events):
        yield event, fold.state()
        fold.lay(event)

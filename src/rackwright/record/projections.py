"""Events in, `State` out: one pure fold (`fold.py`).

Events are folded as they are to be read (`corrections.py`). The fold judges nothing: what does not fit
what came before (an unknown bar, inches that do not balance) goes into `State.odd` with its event, and
the fold goes on. Gates are decided in `work`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rackwright.record.corrections import corrected
from rackwright.record.envelope import Event
from rackwright.record.fold import Fold
from rackwright.record.state import State

__all__ = ["project", "replay"]


def project(events: Iterable[Event]) -> State:
    """What these events (a whole history, in order) come to."""
    fold = Fold()
    for event in corrected(events):
        fold.lay(event)
    return fold.state()


def replay(events: Iterable[Event]) -> Iterator[tuple[Event, State]]:
    """Each event with the state just before it. The state is only good until the next step is asked for."""
    fold = Fold()
    for event in corrected(events):
        yield event, fold.state()
        fold.lay(event)

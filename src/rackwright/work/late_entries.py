"""What is entered late, from paper: done before it is entered, by somebody who was there, with metal that was there.

The gates of an act are those of the day of its entry. The days on which stock came in and people joined are kept since
events carry them (`came`, `since`): where they do not, nothing is asked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from rackwright.record import State
from rackwright.work.gates import Maybe, first, no

__all__ = ["of_the_calendar", "there_then"]


def of_the_calendar(done: str) -> Maybe:
    """A day, and a time of it, that there was."""
    try:
        datetime.fromisoformat(done)
    except ValueError:
        return no("RW517", "done", f"{done!r:.40} is no day of the calendar", "give the day on the paper")
    return None


def there_then(state: State, person: str, body: Mapping[str, Any], lots: Iterable[str], done: str) -> Maybe:
    """Were the person, and the stock that the event names, there on the day that it was done? `state` is that before
    it, `lots` those it names beside its stock."""
    day = done[:10]
    refused = first(
        *(_came(state, id, day) for id in _named(body, "stock_id", "stock_ids")),
        *(_made(state, name, day) for name in _named(body, "piece", "pieces")),
        *(_lot(state, lot, day) for lot in lots),
    )
    known = state.persons.get(person)
    if refused is None and known is not None and day < known.since:
        found = f"{person} is of this shop since {known.since}, and this was done on {day}"
        return no(
            "RW517", person, found, "see whose paper it is; or the lead records since when they are here"
        )
    return refused


def _named(body: Mapping[str, Any], one: str, many: str) -> Iterator[str]:
    """Pieces that a cut makes are told with their lengths: they are not there before it."""
    yield from (each for each in (body.get(one), *body.get(many, ())) if isinstance(each, str))


def _made(state: State, name: str, day: str) -> Maybe:
    made = state.pieces.get(name)
    if made is None or day >= made.made_on:
        return None
    found = f"{name} was made on {made.made_on}, and this was done on {day}"
    return no("RW517", name, found, "see which day and which piece the paper names")


def _came(state: State, id: str, day: str) -> Maybe:
    stock = state.stock.get(id)
    if stock is None or day >= stock.came:
        return None
    how = f"was cut off {stock.parent}" if stock.parent else "came in"
    found = f"{id} {how} on {stock.came}, and this was done on {day}"
    return no("RW517", id, found, "see which day and which stock the paper names")


def _lot(state: State, lot: str, day: str) -> Maybe:
    """Some of a lot was there."""
    answers = [_came(state, one.stock_id, day) for one in state.stock.bearing("lot", lot)] if lot else []
    return answers[0] if answers and all(answers) else None

"""What a type of event is: words, the layout of its body, and the layout's version.

A layout is plain data: field name -> kind. A name ending in `?` may be absent; `note`, `late` (entered
later than done: the day or time it was done, the scan of the paper) and `attached` (photos, charts, machines' logs, by
name and hash) may stand in any body; any other name is a fault.
Kinds:

    text      any text              id        text that is not empty
    int       whole number          nm        whole nanometres, 0 or more
    count     whole number >= 0     bool      true or false
    quantity  decimal text and unit, as in "38.0 ksi"
    number    decimal text, as in "0.125" or "-3"
    nm2       whole square nanometres as decimal text: a plate has more of them than 2^53
    outline   corners [x, y] of a plate in whole nanometres, anticlockwise, the rolling direction along x
    date      YYYY-MM-DD            sha256    64 lower-case hex digits
    ids       list of ids           map       object of anything a record may hold
    {...}     an object laid out so           [{...}]   a list of objects laid out so
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

__all__ = ["EventType", "Layout"]

Layout = Mapping[str, Any]


@dataclass(frozen=True)
class EventType:
    """What the type means in words, its body's layout, and the layout's version."""

    words: str
    fields: Layout
    v: int = 1

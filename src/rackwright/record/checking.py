"""Is an event that is to be recorded well formed? Its envelope, its names, its size, and its body by the table.

Recorded events are never judged by this: the table may have grown since.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from rackwright.record.envelope import Event, parse_event
from rackwright.record.events import EVENTS, EVERYWHERE, Layout
from rackwright.seal import Malformed
from rackwright.trouble import Fault, Where

__all__ = ["MAX_BYTES", "check"]

MAX_BYTES = 1_000_000  # of one event

#: control characters, line and paragraph ends, zero-width characters, marks that turn the writing around
_UNSEEN = re.compile("[\x00-\x1f\x7f-\x9f\xad\u061c\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff]")

_TEXT_KINDS: dict[str, tuple[str, str]] = {
    "id": (
        r"\S(?:.*\S)?",
        "text that is not empty, has no blanks around it and no characters that cannot be seen",
    ),
    "quantity": (r"-?\d+(?:\.\d+)? (?:[^\s\d]\S*|1/\S+)", 'a decimal number and a unit, as in "38.0 ksi"'),
    "number": (r"-?\d+(?:\.\d+)?", 'a decimal number as text, as in "0.125"'),
    "nm2": (r"0|[1-9]\d*", "whole square nanometres as text, 0 or more"),
    "date": (r"\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])", "a date YYYY-MM-DD"),
    "sha256": (r"[0-9a-f]{64}", "64 lower-case hex digits"),
}


def check(event: Event, file: str = "event") -> list[Fault]:
    """Every fault of an event that is to be recorded (RW504): its envelope and its body's layout."""
    try:
        parse_event(event.to_json())
    except Malformed as error:
        return [_fault(file, error.place, error.found)]
    size = len(event.canonical())
    if size > MAX_BYTES:
        return [
            _fault(
                file, "/body", f"an event of {size} bytes; at most {MAX_BYTES}: keep what is long as a file"
            )
        ]
    if unseen := [*_unseen_names(event, file)]:
        return unseen
    kind = EVENTS.get(event.type)
    if kind is None:
        return [_fault(file, "/type", f"{event.type!r:.60} is not an event type")]
    if event.v != kind.v:
        return [_fault(file, "/v", f"layout {event.v} of {event.type}, where {kind.v} is the newest")]
    if (event.type == "correction") != (event.corrects is not None):
        return [_fault(file, "/corrects", "a correction, and only a correction, names the event it corrects")]
    return list(_object(event.body, {**kind.fields, **EVERYWHERE}, file, "/body"))


def _unseen_names(event: Event, file: str) -> Iterator[Fault]:
    """Names of the envelope with characters that nobody sees: they turn the text around, hide or break lines."""
    lists = {f"/refs/{name}": names for name, names in event.refs.to_json().items()}
    for place, names in {
        "/by": [event.by],
        "/station": [event.station],
        "/act_id": [event.act_id],
        **lists,
    }.items():
        for name in names:
            if found := _UNSEEN.search(name):
                yield _fault(file, place, f"{name!r:.60} holds U+{ord(found[0]):04X}, which cannot be seen")


def _object(value: Any, layout: Layout, file: str, place: str) -> list[Fault]:
    if not isinstance(value, Mapping):
        return [_fault(file, place, f"{value!r:.60} where an object must stand")]
    names = {name.rstrip("?"): name for name in layout}
    words = f"not a field here; fields are {', '.join(names)}"
    faults = [_fault(file, f"{place}/{name}", words) for name in value if name not in names]
    for name, given in names.items():
        if name in value:
            faults += _value(value[name], layout[given], file, f"{place}/{name}")
        elif not given.endswith("?"):
            faults.append(_fault(file, f"{place}/{name}", "missing"))
    return faults


def _value(value: Any, kind: Any, file: str, place: str) -> list[Fault]:
    if isinstance(kind, Mapping):
        return _object(value, kind, file, place)
    if isinstance(kind, list):
        if not isinstance(value, list | tuple):
            return [_fault(file, place, f"{value!r:.60} where a list must stand")]
        return [
            fault for i, item in enumerate(value) for fault in _object(item, kind[0], file, f"{place}/{i}")
        ]
    if kind == "ids":
        if not isinstance(value, list | tuple):
            return [_fault(file, place, f"{value!r:.60} where a list of ids must stand")]
        return [fault for i, item in enumerate(value) for fault in _value(item, "id", file, f"{place}/{i}")]
    wanted = _wanted(value, kind)
    return [_fault(file, place, f"{value!r:.60} where {wanted} must stand")] if wanted else []


def _wanted(value: Any, kind: str) -> str:
    """What should stand here instead of the value; "" where it is right."""
    if kind == "text":
        return "" if isinstance(value, str) else "a text"
    if kind in _TEXT_KINDS:
        pattern, words = _TEXT_KINDS[kind]
        fits = isinstance(value, str) and re.fullmatch(pattern, value, re.ASCII) and not _UNSEEN.search(value)
        return "" if fits else words
    if kind == "bool":
        return "" if isinstance(value, bool) else "true or false"
    if kind == "map":
        return "" if isinstance(value, Mapping) else "an object"
    if kind == "outline":
        return "" if _is_outline(value) else "three corners or more, each [x, y] in whole nanometres"
    whole = isinstance(value, int) and not isinstance(value, bool)
    if kind == "int":
        return "" if whole else "a whole number"
    words = "whole nanometres, 0 or more" if kind == "nm" else "a whole number, 0 or more"
    return "" if whole and value >= 0 else words


def _is_outline(value: Any) -> bool:
    def corner(one: Any) -> bool:
        return isinstance(one, list | tuple) and len(one) == 2 and all(type(side) is int for side in one)

    return isinstance(value, list | tuple) and len(value) >= 3 and all(map(corner, value))


def _fault(file: str, place: str, found: str) -> Fault:
    return Fault("RW504", Where(file, 0, place), found, "correct it as the table of event types says")

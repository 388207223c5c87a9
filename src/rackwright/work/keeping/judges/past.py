"""What the judge of a history keeps besides its state, and what every judge of an event is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from rackwright.record import Event, State
from rackwright.trouble import Refusal
from rackwright.work.controlled import controlled, means_named
from rackwright.work.gates import accepted_as_is, no
from rackwright.work.quality.nonconforming import condemned

__all__ = ["Judge", "Maybe", "Past", "means", "new"]

Maybe = Refusal | None


@dataclass
class Past:
    """What the judge keeps of a history besides its state: readings by what they are of, and the act that is open."""

    readings: dict[str, dict[str, tuple[bool, int]]] = field(
        default_factory=dict
    )  # last verdict and its event
    measured: dict[tuple[str, str], int] = field(default_factory=dict)  # (person, piece) -> the last event
    act: str = ""
    opened: dict[str, frozenset[str]] = field(
        default_factory=dict
    )  # stock issued in this act -> for which pieces
    labels: bool = False  # metal is signed out by its label: an older program read none
    again: bool = False  # rows of people say whether they are of somebody known: an older program's did not
    condemned: frozenset[str] = frozenset()  # racks and pieces that a decision of this act scraps

    def begin(self, event: Event) -> None:
        """What belongs to one act ends with it."""
        if event.act_id != self.act:
            self.act, self.opened, self.condemned = event.act_id, {}, frozenset()

    def outside(self, state: State, about: str) -> Iterator[Maybe]:
        """What was measured of a piece or rack, the last time outside of its limits, and is not accepted so."""
        made = state.pieces.get(about)
        for name, (good, seq) in self.readings.get(about, {}).items():
            stands = made is None or seq > made.seq
            if stands and not good and not accepted_as_is(state, about, name, seq):
                found = f"{name} of {about} was not within its limits by the rule of then (event {seq})"
                yield no("RW515", about, found, "raise a nonconformance and have it dispositioned")

    def remember(self, event: Event, state: State) -> None:
        """What of this event later ones are judged by."""
        body = event.body
        if event.type in ("measure", "gauge_check"):
            about = body.get("piece") or body.get("serial", "")
            good = body["within"] if event.type == "measure" else body["passed"]
            self.readings.setdefault(about, {})[body["characteristic"]] = good, event.seq
            self.measured[event.by, about] = event.seq
        elif event.type == "issue":
            self.opened[body["stock_id"]] = frozenset(body.get("pieces", ()))
            self.labels |= "label" in body
        elif event.type == "person":
            self.again |= "again" in body
        elif event.type == "stock_label":
            self.labels = True
        elif event.type == "disposition" and body["decision"] == "scrap":
            about_it = state.nonconformances.get(body["nonconformance"])
            self.condemned = frozenset(condemned(state, about_it) if about_it else ())


Judge = Callable[[Past, Event, State, str], Maybe]  # the last is the day, as the gates of that act took it


def means(event: Event, state: State, act: str, today: str) -> Maybe:
    """What decides besides the gauge was named; asked of an event that says which kinds the shop controlled then."""
    body = event.body
    if "controlled" not in body:
        return None
    kinds = controlled(state, act)
    if set(kinds) != set(body["controlled"]):
        found = f"{act} says that {', '.join(body['controlled']) or 'nothing'} is controlled"
        return no("RW512", act, found, f"the record holds {', '.join(kinds) or 'none'}")
    return means_named(state, act, kinds, body.get("gauges", ()), today)


def new(table: str, key: str, code: str = "RW517") -> Judge:
    """A name that was not given before."""

    def judge(past: Past, event: Event, state: State, today: str) -> Maybe:
        name = event.body[key]
        there = getattr(state, table)
        return (
            no(code, name, f"{name} was in the record already", "see its events") if name in there else None
        )

    return judge

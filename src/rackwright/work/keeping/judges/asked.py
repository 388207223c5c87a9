"""Every gate asked of one event: signature, person, then the judge of its type."""

from __future__ import annotations

from rackwright.record import Event, State
from rackwright.work.gates import done_before, no
from rackwright.work.keeping.judges import leaving, metal, office, service, stations
from rackwright.work.keeping.judges.past import Judge, Maybe, Past
from rackwright.work.keeping.judges.who import by_whom, scoped, signed
from rackwright.work.late_entries import there_then

__all__ = ["asked"]

JUDGES: dict[str, Judge] = {
    **office.JUDGES,
    **metal.JUDGES,
    **stations.JUDGES,
    **leaving.JUDGES,
    **service.JUDGES,
}


def asked(past: Past, event: Event, state: State) -> Maybe:
    """Why this event should not have been recorded, None where every gate lets it pass. `state` is that before it;
    events are given in their order, each once."""
    begins = event.act_id != past.act
    past.begin(event)
    judge, today = JUDGES.get(event.type), max(event.at[:10], state.latest[:10])
    refused = signed(event, state) or by_whom(event, state, today) or scoped(event, state, begins)
    if refused is None and "late" in event.body:
        done = event.body["late"]["done"]
        refused = done_before(done, event.at) or there_then(
            state, event.by, event.body, event.refs.lots, done
        )
    if refused is None and "attached" in event.body:
        refused = _attached_kept(event)
    if refused is None and judge is not None:
        refused = judge(past, event, state, today)
    past.remember(event, state)
    return refused


def _attached_kept(event: Event) -> Maybe:
    """What is attached to an act is among the files that the record keeps, so that it is missed where it is gone."""
    lost = next((one["name"] for one in event.body["attached"] if one["file"] not in event.refs.files), "")
    return (
        no("RW507", lost, f"{lost!r:.60} is attached, and not kept by its event", "see its events")
        if lost
        else None
    )

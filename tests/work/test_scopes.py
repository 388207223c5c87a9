"""Who is recorded with scopes does these acts and no others; rows of an older program bind what they bound then."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import small_shop as small
from rackwright.record import EVENTS, Record
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.counting import count
from rackwright.work.metal.receiving import receive_bar
from rackwright.work.metal.sawing import issue, return_stock
from rackwright.work.office.ordering import ask, order
from rackwright.work.people.founding import ROLES, add_person
from rackwright.work.people.scopes import SCOPE, in_scope, scope_of
from rackwright.work.quality.holding import hold
from rackwright.work.serials.shipping import ship
from rackwright.work.station import Draft, Station, perform
from rackwright.work.stations.assembling import draw_lot
from stories.conftest import Begin

PIECE = "SN-1/post.front-left"
ACTS: dict[str, Callable[[Station], object]] = {
    "receive": lambda at: receive_bar(at, small.bar("T-77"), 50_000),
    "issue": lambda at: issue(at, "T-05", small.ORDER, small.revision(), [PIECE], ["SN-1"]),
    "return": lambda at: return_stock(at, "T-05", small.ORDER),
    "count": lambda at: count(at, "T-04", small.nm("240 in"), None, small.nm("0.03125 in")),
    "order": lambda at: order(at, "PO-9", "Another (invented)", small.design(), 1, "2026-04-17", "CT-9"),
    "question": lambda at: ask(at, "Q-9", "which side?", "the customer", "2026-04-01", ["quote"], small.ORDER),
    "hold": lambda at: hold(at, "H-9", "a dent", heats=["H4502"]),
    "ship": lambda at: ship(at, ["SN-1"], "CT", "DN-1"),
    "draw": lambda at: draw_lot(at, "F-1", small.ORDER, small.revision(), 4, ["SN-1"]),
}  # fmt: skip


def narrow(record: Record, *scopes: str) -> Station:
    add_person(small.station(record, "lead"), "J. Narrow", list(ROLES), scopes=list(scopes))
    return small.station(record, "J. Narrow")


@pytest.mark.parametrize("act", ACTS)
def test_a_scope_that_does_not_name_the_act_refuses_it_and_that_is_recorded(begin: Begin, act: str) -> None:
    record = begin("ordered").record
    at = narrow(record, "freeze")
    with pytest.raises(Stopped) as caught:
        ACTS[act](at)
    word = "issue" if act == "draw" else act
    assert caught.value.troubles[0].found == f"J. Narrow's credential covers freeze, not {word}"
    last = record.events()[-1]
    assert (last.type, last.body["code"], last.body["act"]) == ("refusal", "RW516", word)
    assert in_hindsight(record.events()) == []


@pytest.mark.parametrize("act", ["receive", "issue", "count", "order", "question", "hold"])
def test_a_scope_that_names_it_lets_it_and_so_does_none_at_all(begin: Begin, act: str) -> None:
    for scopes in ((act,), ()):
        record = begin("ordered").record
        ACTS[act](narrow(record, *scopes))
        assert record.events()[-1].type == act
        assert in_hindsight(record.events()) == []


def test_what_is_written_past_the_gate_is_found_and_what_follows_of_an_act_is_covered_by_it(
    begin: Begin,
) -> None:
    record = begin("ordered").record
    narrow(record, "issue")
    before = record.events()[-1]
    ACTS["count"](small.station(record, "lead"))
    lead = record.events()[-1]
    forged = [*record.events()[:-1], type(lead)(**{**vars_of(lead), "by": "J. Narrow"})]
    assert before.type == "person"
    (found,) = in_hindsight(forged)
    assert (found.code, "covers issue, not count" in found.found) == ("RW516", True)


def vars_of(event: object) -> dict[str, object]:
    return {name: getattr(event, name) for name in event.__dataclass_fields__}  # type: ignore[attr-defined]


def test_scopes_of_an_older_row_bind_what_they_bound_then(begin: Begin) -> None:
    record = begin("ordered").record
    body = {"person": "O. Elder", "roles": ["saw", "receiving"], "scopes": ["cut"]}
    perform(small.station(record, "lead"), "person", lambda _: [Draft("person", body)])
    at = small.station(record, "O. Elder")
    ACTS["receive"](at)
    ACTS["issue"](at)
    assert in_hindsight(record.events()) == []
    refused = in_scope(small.state(record), "O. Elder", "accept")
    assert refused is not None
    assert refused.found == "O. Elder's credential covers cut, not accept"


def test_every_act_has_a_word_and_every_word_is_an_act() -> None:
    assert set(SCOPE) <= set(EVENTS)
    assert {scope_of(act) for act in EVENTS} - {""} <= set(EVENTS)

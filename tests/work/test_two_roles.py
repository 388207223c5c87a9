"""A person with two roles: who made a thing does not judge it, and who judged it does not go on making it."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from rackwright.record import project
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import _judge
from rackwright.work.people.founding import add_person
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, step
from rackwright.work.stations.weighing import weigh
from stories.conftest import Begin

POST = "SN-1/post.front-left"
LENGTH = small.characteristic("post.front-left", "length")
BOTH = ["assembly", "inspector"]


def test_who_measured_a_piece_does_not_work_on_it_afterwards(begin: Begin) -> None:
    record = begin("made").record
    add_person(small.station(record, "lead"), "G. Both", BOTH)
    both = small.station(record, "G. Both")
    measure(both, "SN-1", {LENGTH: "44 in"}, "LB-2")
    with pytest.raises(Stopped) as caught:
        step(both, Step("pretreat"), [POST], ["SN-1"])
    assert (caught.value.troubles[0].code, caught.value.troubles[0].found) == (
        "RW516",
        f"G. Both measured {POST}",
    )
    assert record.events()[-1].type == "refusal"
    assert not step(small.station(record, "assembler"), Step("pretreat"), [POST], ["SN-1"]).repeated


def test_who_worked_on_a_piece_does_not_measure_it_whatever_else_he_may(begin: Begin) -> None:
    record = begin("made").record
    add_person(small.station(record, "lead"), "G. Both", BOTH)
    both = small.station(record, "G. Both")
    step(both, Step("pretreat"), [POST], ["SN-1"])
    with pytest.raises(Stopped) as caught:
        measure(both, "SN-1", {LENGTH: "44 in"}, "LB-2")
    assert caught.value.troubles[0].code == "RW516"


def test_who_assembled_a_rack_does_not_weigh_it(begin: Begin) -> None:
    record = begin("assembled").record
    add_person(small.station(record, "lead"), small.PEOPLE["assembler"], BOTH)
    mass = small.weighing(small.design().bare.mass)
    with pytest.raises(Stopped) as caught:
        weigh(small.station(record, "assembler"), "SN-1", mass, "SC-1")
    assert (caught.value.troubles[0].code, caught.value.troubles[0].found) == (
        "RW516",
        f"{small.PEOPLE['assembler']} assembled SN-1",
    )
    assert not weigh(small.station(record, "inspector"), "SN-1", mass, "SC-1").repeated


def test_an_audit_finds_a_weighing_by_the_assembler(begin: Begin) -> None:
    """As if it had been written past the gate: the judge in hindsight asks the same."""
    events = begin("assembled").record.events()
    weighing = next(one for one in reversed(events) if one.type == "weigh")
    found = _judge(replace(weighing, by=small.PEOPLE["assembler"]), project(events[: weighing.seq - 1]))
    assert found is not None
    assert found.code == "RW516"

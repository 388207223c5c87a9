"""A person with two roles: who made a thing does not judge it, and who judged it does not go on making it."""

from __future__ import annotations

from dataclasses import replace

import pytest

import small_shop as small
from rackwright.record import project
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.keeping.judges.asked import asked
from rackwright.work.keeping.judges.past import Past
from rackwright.work.people.founding import add_person
from rackwright.work.quality.nonconforming import dispose, raise_nonconformance, release_hold
from rackwright.work.serials.releasing import release
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


def test_who_measured_a_scrapped_piece_may_work_on_the_one_made_anew_under_its_id(begin: Begin) -> None:
    day = begin("made")
    add_person(small.station(day.record, "lead"), "G. Both", BOTH)
    both = small.station(day.record, "G. Both")
    measure(both, "SN-1", {LENGTH: "44 in"}, "LB-2")
    day.play("""
        lead throws away SN-1/post.front-left: dropped
        sawyer issues T-05 for post.front-left of SN-1
        sawyer cuts T-05 into post.front-left 44 in of SN-1, kerf 0.125 in, trim 0.25 in, rest 195.625 in as T-05-R labelled T-05-R
    """)  # noqa: E501
    assert not step(both, Step("fit_up"), [POST], ["SN-1"]).repeated
    with pytest.raises(Stopped, match=f"G. Both made {POST}"):
        measure(both, "SN-1", {LENGTH: "44 in"}, "LB-2")


def test_a_batch_that_was_split_keeps_its_makers_piece_by_piece(begin: Begin) -> None:
    """Half of the posts is deburred by one, half by another who also inspects: each measures the other's half."""
    record = begin("made").record
    for name in ("G. Both", "H. Two"):
        add_person(small.station(record, "lead"), name, BOTH)
    one, two = small.station(record, "G. Both"), small.station(record, "H. Two")
    other = "SN-1/post.front-right"
    step(one, Step("pretreat"), [POST], ["SN-1"])
    step(two, Step("pretreat"), [other], ["SN-1"])
    for person, name in ((one, "front-left"), (two, "front-right")):
        asked = small.characteristic(f"post.{name}", "length")
        with pytest.raises(Stopped, match="RW516"):
            measure(person, "SN-1", {asked: "44 in"}, "LB-2")
    assert not measure(two, "SN-1", {LENGTH: "44 in"}, "LB-2").repeated


@pytest.mark.parametrize(
    "name", ["f. ansty", "F.Ansty", "F.  Ansty", "F. Аnsty", "F. Anѕty".replace("ѕ", "5")]
)
def test_one_person_is_not_two(begin: Begin, name: str) -> None:
    """The assembler under a name that a reader takes for his own: he would inspect what he made."""
    lead = small.station(begin("made").record, "lead")
    with pytest.raises(Stopped, match=r"looks like F. Ansty, who is known.*RW516"):
        add_person(lead, name, ["inspector"])
    with pytest.raises(Stopped, match=r"looks like F. Ansty"):
        add_person(lead, name, ["inspector"], number="31")


def test_a_second_person_of_an_identical_name_takes_nobodys_place(begin: Begin) -> None:
    """Where nobody is numbered the lead says whether a row is of the person who is known by its name."""
    record = begin("made").record
    lead = small.station(record, "lead")
    for number in ("", "31"):
        with pytest.raises(Stopped, match=r"F. Ansty is known already, by no number.*RW516"):
            add_person(lead, "F. Ansty", ["inspector"], number=number)
    with pytest.raises(Stopped, match=r"nobody is known as F. Anstey.*RW516"):
        add_person(lead, "F. Anstey", ["inspector"], again=True)
    assert small.state(record).persons["F. Ansty"].roles == ("assembly", "inspector")
    done = add_person(lead, "F. Ansty", ["assembly"], number="12", again=True).events[0]
    assert not add_person(lead, "F. Ansty", ["assembly", "saw"], number="12").repeated  # the number tells
    events = record.events()
    assert in_hindsight(events) == []
    for body in (
        done.body | {"again": False},
        {key: held for key, held in done.body.items() if key != "again"},
    ):
        forged = [replace(one, body=body) if one.seq == done.seq else one for one in events]
        assert [one.code for one in in_hindsight(forged)] == ["RW516"]


def test_a_history_that_never_said_whether_somebody_is_known_asks_nothing(begin: Begin) -> None:
    record = begin("made").record
    add_person(small.station(record, "lead"), "F. Ansty", ["assembly"], again=True)
    old = [replace(one, body={key: held for key, held in one.body.items() if key != "again"})
           for one in record.events()]  # fmt: skip
    assert in_hindsight(old) == []


def test_two_people_of_one_name_have_two_numbers_and_two_names(begin: Begin) -> None:
    record = begin("made").record
    lead = small.station(record, "lead")
    add_person(lead, "F. Ansty", ["assembly"], number="12", again=True)
    for name, number, found in (("F. Ansty", "31", "F. Ansty is number 12, not 31"),
                                ("Someone Else", "12", "number 12 is F. Ansty")):  # fmt: skip
        with pytest.raises(Stopped) as caught:
            add_person(lead, name, ["inspector"], number=number)
        assert caught.value.troubles[0].found == found
    add_person(lead, "f. ansty", ["inspector"], number="31")  # two, and both known by their numbers
    for name, found in (
        ("F. Ansty", "F. Ansty is number 12, and this row has none"),
        ("N. New", "N. New has no number, and this shop numbers its people"),
    ):
        with pytest.raises(Stopped) as caught:
            add_person(lead, name, ["assembly", "saw"])
        assert (caught.value.troubles[0].code, caught.value.troubles[0].found) == ("RW516", found)
    add_person(lead, "F. Ansty", ["assembly", "saw"], number="12")
    people = small.state(record).persons
    assert {name: people[name].number for name in ("F. Ansty", "f. ansty")} == {
        "F. Ansty": "12",
        "f. ansty": "31",
    }


def test_a_credential_that_covers_measuring_covers_no_release(begin: Begin) -> None:
    record = begin("assembled").record
    add_person(small.station(record, "lead"), "M. Only", ["inspector", "lead"], scopes=["measure"])
    only = small.station(record, "M. Only")
    with pytest.raises(Stopped, match=r"M. Only's credential covers measure, not release"):
        release(only, "SN-1", small.design(), small.shop())
    raise_nonconformance(small.station(record, "inspector"), "N-1", "dent", [POST], "length", {})
    with pytest.raises(Stopped, match="covers measure, not disposition"):
        dispose(only, "N-1", "scrap", "dented", None, {})
    with pytest.raises(Stopped, match="covers measure, not lift"):
        release_hold(only, "hold N-1", "it is nothing")


def test_who_assembled_a_rack_does_not_weigh_it(begin: Begin) -> None:
    record = begin("assembled").record
    add_person(small.station(record, "lead"), small.PEOPLE["assembler"], BOTH, again=True)
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
    forged = replace(weighing, by=small.PEOPLE["assembler"])
    found = asked(Past(), forged, project(events[: weighing.seq - 1]))
    assert found is not None
    assert found.code == "RW516"

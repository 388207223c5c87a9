"""Sequences: nothing twice at once, everything after what it needs, every start with its reason, equal effort equal
answer; against every order tried out for small shops."""

from __future__ import annotations

import sys
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise, permutations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.making.dates.lateness import why_late
from rackwright.making.dates.placing import Sequenced, Stuck, by_rule, in_order
from rackwright.making.dates.sequence import sequence
from rackwright.making.dates.shop_load import Away, Job, Load, Work, loose_ends
from rackwright.trouble import Stopped

DAY = 480


def days(number: int = 60) -> tuple[tuple[date, int], ...]:
    return tuple((date(2026, 3, 2) + timedelta(days=n), DAY) for n in range(number))


@st.composite
def loads(draw: st.DrawFn, most_jobs: int = 4, most_works: int = 4) -> Load:
    """Jobs in chains over two machines and two people; some outside, some on one day, with absences."""
    works: list[Work] = []
    jobs = []
    for j in range(draw(st.integers(1, most_jobs))):
        jobs.append(Job(f"J{j}", draw(st.none() | st.integers(0, 1500)), draw(st.integers(1, 3))))
        before: tuple[str, ...] = ()
        for k in range(draw(st.integers(1, most_works))):
            id, minutes = f"J{j}.{k}", draw(st.integers(0, 300))
            if draw(st.integers(0, 9)) == 0:
                works.append(
                    Work(id, f"J{j}", id, 0, before, supplier="S", days_away=draw(st.integers(0, 2)))
                )
            else:
                machines = draw(st.sampled_from([("A",), ("B",), ("A", "B")]))
                people = draw(st.sampled_from([("P",), ("Q",), ("P", "Q"), ()]))
                works.append(Work(id, f"J{j}", id, minutes, before, machines[0], machines, people,
                                  draw(st.integers(0, minutes)) if people else 0,
                                  earliest=draw(st.sampled_from([0, 0, 100])), because="metal",
                                  one_day=draw(st.booleans())))  # fmt: skip
            before = (id,)
    away = draw(
        st.lists(st.tuples(st.sampled_from("ABPQ"), st.integers(0, 900), st.integers(1, 500)), max_size=2)
    )
    return Load(tuple(jobs), tuple(works), days(),
                tuple(Away(what, start, start + long, "a reason") for what, start, long in away))  # fmt: skip


def holds(found: Sequenced) -> None:
    """Every law of the shop."""
    load, spans = found.load, dict[str, list[tuple[int, int]]]()
    for one in found.placed:
        work = one.work
        assert one.start >= max([work.earliest, *(found.of[name].end for name in work.after)])
        assert one.end == (
            one.start + work.minutes if work.days_away is None else load.back(one.start, work.days_away)
        )
        assert one.machine in (work.machines or ("",))
        assert one.person in (work.people or ("",))
        assert not work.one_day or load.fits_its_day(work, one.start)
        for what, minutes in ((one.machine, work.minutes), (one.person, work.attended)):
            if what and minutes:
                spans.setdefault(what, []).append((one.start, one.start + minutes))
    for one in load.away:
        spans.setdefault(one.what, []).append((one.start, one.end))
    for what, taken in spans.items():
        mine = sorted(taken)
        absences = [(one.start, one.end) for one in load.away if one.what == what]
        for a, b in pairwise(mine):
            assert a[1] <= b[0] or (a in absences and b in absences), what


@given(loads())
def test_the_rule_and_the_chains_hold(load: Load) -> None:
    found = by_rule(load)
    holds(found)
    assert found.bound <= found.lateness
    for job in load.jobs:
        last = found.last_of(job.name)
        assert last is not None
        chain = found.chain(last)
        assert chain[0].link.kind in ("start", "earliest")
        for a, b in pairwise(chain):
            ready = a.end if b.link.kind != "person" else a.start + a.work.attended
            assert b.start == ready or b.link.also, "each starts when the one before it lets it"
        lines = why_late(found, job, str)
        assert bool(lines) == bool(found.late(job))


@settings(max_examples=12, deadline=None)
@given(loads(3, 3))
def test_the_solver_holds_the_laws_is_no_later_and_repeats_itself(load: Load) -> None:
    first, found = by_rule(load), sequence(load, 2)
    holds(found)
    assert found.cost <= first.cost
    assert (found.bound, found.finish_bound) <= found.cost
    assert found == sequence(load, 2)


def test_a_small_shop_is_as_good_as_the_best_of_all_orders() -> None:
    """Three jobs of two works over two machines and two people: every order and choice, as early as it allows."""
    spans = {"X": (60, 200, 200), "Y": (240, 30, 150), "Z": (90, 90, 300)}
    works = tuple(
        Work(f"{name}.{k}", name, "", spans[name][k], (f"{name}.0",) if k else (), "M", ("M",) if k else ("M", "N"),
             ("P",) if name == "X" else ("Q",), spans[name][k] // 2)
        for name in spans for k in range(2)
    )  # fmt: skip
    load = Load(tuple(Job(name, spans[name][2], n) for n, name in enumerate(spans, 1)), works, days())
    person = {work.id: work.people[0] for work in works}
    best = min(
        Sequenced(
            load, in_order(load, order, {id: (machine.get(id, "M"), person[id]) for id in order}), "", 0, 0
        ).cost
        for order in permutations(load.number)
        if all(order.index(f"{name}.0") < order.index(f"{name}.1") for name in spans)
        for machine in (
            dict(zip(("X.0", "Y.0", "Z.0"), picks, strict=True)) for picks in product("MN", repeat=3)
        )
    )
    found = sequence(load, 10)
    assert found.optimal
    assert found.cost == best


def test_who_made_it_does_not_inspect_it() -> None:
    made = Work("make", "J", "make", 60, (), "A", ("A",), ("P", "Q"), 60)
    looked = Work("look", "J", "look", 60, ("make",), "B", ("B",), ("P",), 60, not_by=("make",))
    load = Load((Job("J"),), (made, looked), days())
    found = by_rule(load)
    assert [found.of[id].person for id in ("make", "look")] == ["Q", "P"]
    only = replace(load, works=(replace(made, people=("P",)), looked))
    with pytest.raises(Stuck):
        by_rule(only)


def test_why_a_job_is_late_names_what_it_waited_for() -> None:
    first = Work("a", "PO-1", "saw", 300, (), "saw", ("saw",), ("P",), 300)
    second = Work("b", "PO-2", "saw", 200, (), "saw", ("saw",), ("Q",), 200)
    last = Work("c", "PO-2", "pretreat", 0, ("b",), supplier="Fell", days_away=2)
    load = Load(
        (Job("PO-1", 300, 5), Job("PO-2", DAY)),
        (first, second, last),
        days(),
        (Away("saw", 310, 400, "blade"),),
    )
    found = sequence(load, 2)
    assert found.optimal
    assert found.cost == (3 * DAY - DAY + DAY, 4 * DAY)
    lines = why_late(found, load.jobs[1], lambda minute: f"minute {minute}")
    assert lines == [
        "PO-2 is late even if nothing waits for a machine or person: 16.0 h too long",
        "PO-1: saw, minute 0 to minute 300",
        "PO-2: saw, minute 400 to minute 600; waits for saw, taken by saw of PO-1; saw is away: blade",
        "PO-2: pretreat, minute 600 to minute 1920, at Fell for 2 working days",
    ]


def test_what_cannot_be_sequenced_is_said() -> None:
    works = (Work("a", "J", "", 5, ("b",)), Work("b", "K", "", 5, people=(), attended=5))
    assert list(loose_ends(Load((Job("J"),), works, days()))) == [
        "a stands before b, which it needs", "b: nobody may do it", "b belongs to no job"]  # fmt: skip


def test_without_the_extra_the_fault_names_it_and_the_rule_still_works(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    works = (Work("a", "J", "", 5, (), "A", ("A",)), Work("b", "K", "", 5, (), "A", ("A",)))
    load = Load((Job("J", 5), Job("K", 5, 3)), works, days())
    with pytest.raises(Stopped, match=r"rackwright\[schedule\]") as stopped:
        sequence(replace(load, works=(works[0], replace(works[1], minutes=400))), 1)
    assert [trouble.code for trouble in stopped.value.troubles] == ["RW008"]
    assert sequence(load, 0).how == "list rule"

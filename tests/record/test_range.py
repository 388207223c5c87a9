"""One range of rows written down by hand, and ranges put together: what is whole, and what has to be walked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from histories import act
from rackwright.record import Event, Refs, ranges, rows, schema
from rackwright.record.history import History
from rackwright.record.ranges import Facts, facts_of, joined, sound
from rackwright.record.rows import Envelope
from rackwright.seal import Head, Tree
from states import heard

F1, F2, F3 = (digit * 64 for digit in "123")


def event(seq: int, of_act: str = "", type: str = "clock", at: str = "", **more: Any) -> Event:
    made = act(seq, heard(type), {"reason": "x"}, **more).at_seq(seq)
    return replace(made, act_id=heard(of_act or f"act-{seq}"), at=at or made.at)


def read(events: Sequence[Event], **stored: dict[int, str]) -> list[Envelope]:
    """As they are read of rows; `stored`: what a column of the row of a number holds instead."""
    found = []
    for each in events:
        row = rows.row_of(each) | {
            name: other[each.seq] for name, other in stored.items() if each.seq in other
        }
        found.append(rows._envelope([row[column.name] for column in schema.event.c]))
    return found


@pytest.mark.parametrize(
    ("size", "spans"),
    [
        (0, []), (1, [(0, 1)]), (3, [(0, 3)]), (4, [(0, 4)]), (5, [(0, 4), (4, 5)]), (8, [(0, 4), (4, 8)]),
        (11, [(0, 4), (4, 8), (8, 11)]),
    ],
)  # fmt: skip
def test_ranges_are_aligned_and_the_last_is_what_is_left(
    size: int, spans: list[tuple[int, int]], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ranges, "SIZE", 4)
    assert ranges.ranges(size) == spans


def test_a_range_is_a_complete_tree_of_some_thousand_events() -> None:
    assert ranges.SIZE.bit_count() == 1, "so that trees of ranges are subtrees of the whole"
    assert 1_000 < ranges.SIZE < 100_000


# --- one range -------------------------------------------------------------------------------------

SOUND = [
    event(5, "a-1"), event(6, "a-1", corrects=5), event(7, "a-2", corrects=1), event(8, "a-3"), event(9, "a-3"),
]  # fmt: skip


def test_a_sound_range_is_its_acts_its_tree_and_its_events_where_they_are_kept() -> None:
    tree, acts = Tree(each.leaf() for each in SOUND), (("a-1", 6), ("a-2", 7), ("a-3", 9))
    for more, events in (({}, ()), ({"keep": False}, ()), ({"keep": True}, tuple(SOUND))):
        found = sound(read(SOUND), 4, 9, **more)
        assert found is not None
        assert vars(found[0].tree) == vars(tree)
        assert (found[0].events, found[0].findings, found[0].acts) == (events, (), acts)
        assert found[1] == facts_of(SOUND)


def test_a_range_is_as_long_as_its_numbers_say() -> None:
    for after, upto in ((3, 9), (4, 10), (4, 8), (5, 9), (5, 10), (3, 8)):
        assert sound(read(SOUND), after, upto) is None
    assert sound([], 0, 1) is None


@pytest.mark.parametrize(
    "events",
    [
        [event(5), event(7)],
        [event(5), event(5, "b"), event(6)],
        [event(6), event(5)],
        [event(5), event(6, corrects=6)],
        [event(5), event(6, corrects=7), event(7)],
        [event(5, corrects=9), event(6)],
        [event(5, "a-1"), event(6, "a-2"), event(7, "a-1")],
        [event(5, "a-2"), event(6, "a-1"), event(7, "a-2")],
        [event(5, "a-1"), event(6, "a-1"), event(7, "a-2"), event(8, "a-1")],
    ],
    ids=lambda events: " ".join(f"{one.seq}{one.act_id}" for one in events),
)
def test_a_range_with_something_wrong_is_to_be_walked(events: list[Event]) -> None:
    first = min(one.seq for one in events)
    assert sound(read(events), first - 1, first - 1 + len(events)) is None


@pytest.mark.parametrize("seq", [5, 7, 9])
@pytest.mark.parametrize("leaf", ["", "0" * 64, "f" * 64])
def test_a_range_of_which_a_leaf_is_another_is_to_be_walked(seq: int, leaf: str) -> None:
    assert sound(read(SOUND, leaf={seq: leaf}), 4, 9) is None


# --- what an audit looks at besides ----------------------------------------------------------------


def minute(n: float) -> str:
    return f"2031-05-04T00:{int(n):02}:{int(n % 1 * 60):02}Z"


TOLD = [
    event(1, type="found", at=minute(1)),
    event(2, at=minute(5), refs=Refs.of(files=[F1])),
    event(3, at=minute(4)),
    event(4, at=minute(6)),
    event(5, at=minute(7), type="dossier", refs=Refs.of(files=[F1, F2])),
    event(6, at=minute(8), type="head"),
    event(7, at=minute(9), type="key"),
    event(8, at=minute(10), type="key_revoked"),
    event(9, at=minute(10), refs=Refs.of(files=[F3])),
    event(10, at=minute(9.5), refs=Refs.of(files=[F2])),
    event(11, at=minute(12)),
]
FACTS = Facts(
    {F1: 2, F2: 5, F3: 9},
    tuple(TOLD[4:8]),
    ("event 3 (saw) is 0:01:00 before event 2 (saw)", "event 10 (saw) is 0:00:30 before event 9 (saw)"),
    (TOLD[0], TOLD[-1]),
)


def test_an_audit_is_told_of_files_papers_steps_back_and_ends() -> None:
    assert facts_of(TOLD) == FACTS
    assert facts_of([]) == Facts({}, (), (), ())
    assert facts_of(TOLD[:1]).ends == (TOLD[0], TOLD[0])


def test_a_range_tells_the_same_without_its_events() -> None:
    found = sound(read(TOLD), 0, 11)
    assert found is not None
    assert found[1] == FACTS


@pytest.mark.parametrize("n", range(2, 12))
def test_a_range_tells_of_what_stands_anywhere_in_it(n: int) -> None:
    """At its first event, its last, or between: a paper, a file, a step back."""
    plain = [event(seq, at="2031-05-04T00:20:09Z") for seq in range(1, 12)]
    for change in ({"type": "head"}, {"refs": Refs.of(files=[F1])}, {"at": "2031-05-04T00:20:08Z"}):
        events = [*plain[: n - 1], replace(plain[n - 1], **change), *plain[n:]]
        found = sound(read(events), 0, 11)
        assert found is not None
        assert found[1] == facts_of(events) != facts_of(plain)


# --- ranges put together ---------------------------------------------------------------------------


def parts(events: Sequence[Event], size: int) -> list[tuple[History, Facts] | None]:
    return [sound(read(events[at : at + size]), at, min(at + size, len(events)), keep=True)
            for at in range(0, len(events), size)]  # fmt: skip


@pytest.mark.parametrize("size", [1, 2, 4, 8, 16])
def test_a_history_is_that_of_its_parts_however_they_are_cut(size: int) -> None:
    many = [replace(one, act_id=heard(f"act-{one.seq // 3}")) for one in TOLD]
    found = joined(parts(many, size))
    assert found is not None
    history, facts = found
    assert history.head == Head(11, Tree(one.leaf() for one in many).root().hex())
    assert (history.events, history.findings) == (tuple(many), ())
    assert history.acts == (("act-0", 2), ("act-1", 5), ("act-2", 8), ("act-3", 11))
    assert (facts.files, facts.back, [one.seq for one in facts.papers]) == (
        FACTS.files,
        FACTS.back,
        [5, 6, 7, 8],
    )
    assert facts.ends == (many[-1],)


def test_a_history_of_no_parts_is_empty() -> None:
    found = joined([])
    assert found is not None
    assert (found[0].head, found[0].events, found[0].acts, found[1]) == (
        Head(),
        (),
        (),
        Facts({}, (), (), ()),
    )


@pytest.mark.parametrize("gone", [0, 1, 2])
def test_a_history_is_not_whole_where_a_part_is_not(gone: int) -> None:
    some = parts(TOLD, 4)
    some[gone] = None
    assert joined(some) is None
    assert joined([None]) is None


@pytest.mark.parametrize(
    ("acts", "fits"),
    [
        ("a-1 a-1 a-1 a-1", True),
        ("a-1 a-2 a-2 a-3", True),
        ("a-1 a-2 a-3 a-4", True),
        ("a-4 a-3 a-2 a-1", True),
        ("a-1 a-2 a-3 a-1", False),
        ("a-2 a-3 a-1 a-2", False),
        ("a-1 a-2 a-1 a-1", False),
    ],
)
def test_an_act_id_that_comes_again_in_a_later_part_is_to_be_walked(acts: str, fits: bool) -> None:
    events = [event(n, name) for n, name in enumerate(acts.split(), start=1)]
    found = joined(parts(events, 2))
    assert (found is not None) == fits
    if found:
        assert found[0].acts == tuple({one.act_id: one.seq for one in events}.items())


def test_a_range_may_be_of_many_acts() -> None:
    many = [event(n) for n in range(1, 301)]
    found = joined(parts(many, 300))
    assert found is not None
    assert found[0].acts == tuple((f"act-{n}", n) for n in range(1, 301))

"""One walk over lines written by hand: what of a history is wrong, and whether heads seen outside lie on its way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import pytest

from histories import act
from rackwright.record import Event, Head
from rackwright.record.history import History, altered, compare_heads, walk
from rackwright.record.rows import Row
from rackwright.seal import Malformed, Tree, leaf_hash
from rackwright.trouble import Refusal, Where
from states import heard

FILE = "record.db"


def event(seq: int, of_act: str = "", **more: Any) -> Event:
    made = act(seq, "clock", {"reason": "x"}, **more).at_seq(seq)
    return replace(made, act_id=heard(of_act or f"act-{seq}"))


def row(event: Event, line: int = 0, **other: Any) -> Row:
    return Row(event.seq, event, event.leaf().hex(), event.canonical(), line)._replace(**other)


def said(history: History) -> list[tuple[str, str]]:
    return [(one.where.field, one.found) for one in history.findings]


def moved(seq: int, place: int) -> tuple[str, str]:
    words = f"event {seq} stands in place {place}: events are missing, repeated or moved"
    return f"event {place}", f"event {place}: {words}"


def test_a_whole_history_is_its_events_its_acts_and_its_tree() -> None:
    events = [event(1, "a"), event(2, "a"), event(3, "b"), event(4, "c", corrects=3), event(5, "c")]
    history = walk([row(each) for each in events], FILE)
    assert (history.events, history.findings) == (tuple(events), ())
    assert history.acts == (("a", 2), ("b", 3), ("c", 5))
    assert history.head == Head(5, Tree(each.leaf() for each in events).root().hex())
    nothing = walk([], FILE)
    assert (nothing.events, nothing.findings, nothing.acts, nothing.head) == ((), (), (), Head())


def test_a_part_of_a_history_begins_where_the_one_before_ends() -> None:
    events = [event(8), event(9)]
    history = walk([row(each) for each in events], FILE, 7)
    assert (history.events, history.findings, history.acts) == (
        tuple(events),
        (),
        (("act-8", 8), ("act-9", 9)),
    )
    assert said(walk([row(each) for each in events], FILE)) == [moved(8, 1)]


def test_without_a_stored_leaf_the_event_stands_for_itself() -> None:
    assert walk([row(event(1), leaf="")], FILE).findings == ()
    assert walk([row(event(1), leaf="")], FILE).head == walk([row(event(1))], FILE).head


@pytest.mark.parametrize(
    ("seqs", "found"),
    [
        ([1, 2, 4, 5], [moved(4, 3)]),
        ([1, 2, 2, 3], [moved(2, 3)]),
        ([2, 3], [moved(2, 1)]),
        ([0, 1], [moved(0, 1)]),
        ([1, 3, 2], [moved(3, 2), moved(2, 3)]),
        ([1, 3, 3], [moved(3, 2)]),
        ([1, 3, 4, 4], [moved(3, 2)]),
        ([1, 3, 5], [moved(3, 2), moved(5, 3)]),
    ],
)
def test_where_events_begin_to_be_out_of_place_is_told_once(
    seqs: list[int], found: list[tuple[str, str]]
) -> None:
    lines = [row(event(seq, f"a{n}")) for n, seq in enumerate(seqs)]
    history = walk(lines, FILE)
    assert said(history) == found
    assert len(history.events) == int(found[0][0].split()[1]) - 1, "only up to the first bad one"
    assert (history.tree.size, len(history.acts)) == (len(seqs), len(seqs))


@pytest.mark.parametrize(("corrects", "fits"), [(None, True), (1, True), (2, True), (3, False), (4, False)])
def test_a_correction_names_an_earlier_event(corrects: int | None, fits: bool) -> None:
    history = walk([row(event(1)), row(event(2)), row(event(3, corrects=corrects))], FILE)
    words = f"event 3: it corrects event {corrects}, which is not before it"
    assert said(history) == ([] if fits else [("event 3", words)])


@pytest.mark.parametrize(("first", "other"), [("a-1", "a-2"), ("a-2", "a-1")])
def test_an_act_stands_together_and_its_id_is_used_once(first: str, other: str) -> None:
    lines = [row(event(n, name)) for n, name in enumerate((first, first, other, first, "a-3"), start=1)]
    history = walk(lines, FILE)
    assert said(history) == [("event 4", f"event 4: the act id {first} was used before")]
    assert history.acts == ((first, 2), (other, 3), (first, 4), ("a-3", 5))
    assert [one.seq for one in history.events] == [1, 2, 3]


@pytest.mark.parametrize("leaf", ["0" * 64, "f" * 64])
def test_an_event_that_is_not_what_was_recorded_is_told(leaf: str) -> None:
    words = "event 1: it is not what was recorded (its leaf hash does not fit)"
    assert said(walk([row(event(1), leaf=leaf)], FILE)) == [("event 1", words)]


def test_a_line_that_cannot_be_read_or_was_altered_is_told_with_its_line() -> None:
    stored = "ab" * 32
    lines = [
        row(event(1), line=2),
        Row(2, Malformed("/by", "must be a text"), stored, b"", 3),
        Row(3, Malformed("", "not JSON"), "none", b"", 4),
        row(event(4), line=5, leaf=stored),
        row(event(5), line=6),
    ]
    history = walk(lines, FILE)
    assert [(one.where, one.found) for one in history.findings] == [
        (Where(FILE, 3, "event 2"), "event 2: /by must be a text"),
        (Where(FILE, 4, "event 3"), "event 3: not JSON"),
        (Where(FILE, 5, "event 4"), "event 4: it is not what was recorded (its leaf hash does not fit)"),
    ]
    assert history.events == (event(1),)
    assert history.acts == (("act-1", 1), ("act-4", 4), ("act-5", 5))
    leaves = [event(1).leaf(), bytes.fromhex(stored), leaf_hash(b""), event(4).leaf(), event(5).leaf()]
    assert vars(history.tree) == vars(Tree(leaves)), "what stands beside, that of nothing where it is none"


def test_after_a_line_that_cannot_be_read_events_out_of_place_are_told_once_too() -> None:
    lines = [row(event(1)), row(event(3)), Row(4, Malformed("", "no"), ""), row(event(5))]
    assert said(walk(lines, FILE)) == [moved(3, 2), ("event 3", "event 3: no")]


@pytest.mark.parametrize("text", ["AB" * 32, "ab" * 31, "ab" * 33, "ab" * 32 + "\n", "zz" * 32, ""])
def test_what_is_no_hash_stands_for_no_leaf(text: str) -> None:
    history = walk([Row(1, Malformed("", "not JSON"), text)], FILE)
    assert vars(history.tree) == vars(Tree([leaf_hash(b"")]))


def test_what_was_altered_says_what_to_do() -> None:
    assert altered(FILE, 3, "gone", 4) == Refusal(
        "RW505", Where(FILE, 4, "event 3"), "event 3: gone", "restore from backup"
    )
    assert altered(FILE, 3, "gone").where.line == 0


# --- heads seen outside ----------------------------------------------------------------------------

TREE = Tree(leaf_hash(b"%d" % n) for n in range(6))


def true(size: int) -> Head:
    return Head(size, heard(TREE.root(size).hex()))


def false(size: int, digit: str = "0") -> Head:
    return Head(size, digit * 64)


def compared(*heads: Head) -> Sequence[str]:
    found = compare_heads(TREE, [(head, "a label") for head in heads], FILE)
    assert all((one.code, one.where) == ("RW509", Where(FILE)) for one in found)
    return [one.found for one in found]


def test_heads_that_lie_on_its_way_are_no_finding() -> None:
    assert compared(*map(true, (6, 0, 3, 1))) == []


@pytest.mark.parametrize(("size", "ahead"), [(7, "1 event"), (8, "2 events"), (40, "34 events")])
def test_a_record_may_be_behind_a_head(size: int, ahead: str) -> None:
    assert compared(true(6), Head(size, TREE.root(6).hex())) == [
        f"this record is {ahead} behind the head on a label ({size} events)"
    ]
    (found,) = compare_heads(TREE, [(false(size), "x")], FILE)
    assert found.do == "its end is cut off: look for the newer copy, or restore the newest backup"


@pytest.mark.parametrize(
    ("heads", "size", "part"),
    [
        ([false(4)], 4, "event 0 or later"),
        ([false(1)], 1, "event 0"),
        ([true(3), false(4)], 4, "event 3"),
        ([true(2), false(4)], 4, "event 2 or later"),
        ([false(4), true(3)], 4, "event 3"),
        ([true(1), true(5), false(6)], 6, "event 5"),
        ([true(2), false(3), true(5)], 3, "event 2"),
        ([false(6, "f")], 6, "event 0 or later"),
        ([true(4), false(4)], 4, "event 0 or later"),
        ([true(3), true(4), false(4)], 4, "event 3"),
        ([Head(0, "0" * 64)], 0, "event 0"),
    ],
)
def test_where_two_histories_part_is_after_the_last_head_that_both_have(
    heads: list[Head], size: int, part: str
) -> None:
    assert compared(*heads) == [
        f"the first {size} events are not those behind the head on a label: history was rewritten, or two "
        f"copies were both continued, as after a restore; they part after {part}"
    ]
    (found,) = compare_heads(TREE, [(head, "x") for head in heads], FILE)
    assert found.do == "compare with the other copy, a backup or export: rackwright audit --against COPY"


def test_heads_of_one_large_size_part_before_it() -> None:
    tree = Tree(leaf_hash(b"%d" % n) for n in range(300))
    seen = [(Head(int("300"), root), "a label") for root in (tree.root().hex(), "0" * 64)]
    (found,) = compare_heads(tree, seen, FILE)
    assert found.found.endswith("they part after event 0 or later")

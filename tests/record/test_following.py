"""A history followed as it grows, and replayed beside what is kept of it: what is asked, laid and compared."""

from __future__ import annotations

from typing import Any

import pytest

from histories import act
from rackwright.record import Event, Follower, Head, checkpoint, project, replay
from rackwright.record.fold import Fold


def note(seq: int, type: str = "supplier") -> Event:
    """A small event; its time tells it from the others."""
    bodies: dict[str, dict[str, Any]] = {
        "supplier": {"supplier": f"S-{seq}", "scope": []}, "accept": {"stock_id": "T-1", "checks": []},
        "correction": {"reason": "r", "changes": [], "fields": {"scope": ["coat"]}},
    }  # fmt: skip
    return act(seq, type, bodies[type], corrects=2 if type == "correction" else None).at_seq(seq)


NOTES = [note(seq) for seq in range(1, 7)]


class Kept:
    """Stands for what is kept: how far, and what each comparison was given."""

    def __init__(self, size: int) -> None:
        self.size, self.seen = size, list[tuple[int, tuple[str, ...]]]()

    def at(self, fold: Fold) -> None:
        self.seen.append(
            (len(fold.suppliers), fold.suppliers["S-2"].scope if "S-2" in fold.suppliers else ())
        )


def compared(size: int, events: list[Event]) -> tuple[list[int], Kept]:
    """How many comparisons were behind it at each step, and what they were given."""
    kept = Kept(size)
    standing: Any = kept
    return [len(kept.seen) for _ in replay(events, standing)], kept


@pytest.mark.parametrize("size", range(1, 7))
def test_what_is_kept_is_compared_once_on_the_way_with_just_its_events(size: int) -> None:
    steps, kept = compared(size, NOTES)
    assert steps == [0] * size + [1] * (6 - size)
    assert kept.seen == [(size, ())]


def test_where_nothing_is_kept_nothing_is_compared() -> None:
    assert compared(0, NOTES)[1].seen == []
    assert [event.seq for event, _ in replay(NOTES)] == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(("last", "steps"), [("accept", [0, 0, 0, 1, 1, 1, 1]), ("correction", [1] * 7)])
def test_what_was_corrected_later_is_compared_as_it_was_read_then(last: str, steps: list[int]) -> None:
    found, kept = compared(3, [*NOTES, note(7, last)])
    assert (found, kept.seen) == (steps, [(3, ())])


def test_what_was_corrected_before_is_compared_as_corrected() -> None:
    found, kept = compared(4, [*NOTES[:3], note(4, "correction"), note(5), note(6)])
    assert (found, kept.seen) == ([0, 0, 0, 0, 1, 1], [(3, ("coat",))])


class Growing:
    """Stands for a record: its events, and from where each look asked for them."""

    def __init__(self, *events: Event) -> None:
        self.events, self.asked = list(events), list[int]()

    def look(self, after: int = 0) -> tuple[Head, tuple[Event, ...]]:
        self.asked.append(after)
        return Head(len(self.events), "0" * 64), tuple(self.events[after:])


@pytest.fixture
def due(monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, int]]:
    """What is asked, whether it is time to keep the state again: since when, and how far it is."""
    asked = list[tuple[int, int]]()
    monkeypatch.setattr(checkpoint, "load", lambda _: (0, Fold()))
    monkeypatch.setattr(checkpoint, "due", lambda kept, size: asked.append((kept, size)))
    return asked


def looked(follower: Follower, shop: Growing) -> None:
    standing: Any = shop
    head, state = follower.look(standing)
    assert (head.size, state) == (len(shop.events), project(shop.events))
    assert follower.latest == state.latest


def test_a_record_that_grows_is_asked_only_for_what_is_new(due: list[tuple[int, int]]) -> None:
    follower, shop = Follower(), Growing(*NOTES)
    looked(follower, shop)
    looked(follower, shop)  # nothing new
    shop.events.append(note(7, "accept"))
    looked(follower, shop)
    assert (shop.asked, due) == ([0, 6, 6], [(0, 6), (0, 6), (0, 7)])


def test_a_correction_is_folded_from_the_first_event_on(due: list[tuple[int, int]]) -> None:
    follower, shop = Follower(), Growing(*NOTES)
    looked(follower, shop)
    shop.events.append(note(7, "correction"))
    looked(follower, shop)
    looked(follower, shop)
    assert (shop.asked, due) == ([0, 6, 0, 7], [(0, 6), (0, 7), (0, 7)])


def test_a_record_that_became_shorter_is_folded_from_the_first_event_on(due: list[tuple[int, int]]) -> None:
    follower, shop = Follower(), Growing(*NOTES)
    looked(follower, shop)
    del shop.events[4:]
    looked(follower, shop)
    assert (shop.asked, due) == ([0, 6, 0], [(0, 6), (0, 4)])


def test_what_is_kept_counts_as_seen_and_what_was_corrected_since_does_not(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked = list[tuple[int, int]]()
    monkeypatch.setattr(checkpoint, "load", lambda _: (4, checkpoint.folded(NOTES[:4])))
    monkeypatch.setattr(checkpoint, "due", lambda kept, size: asked.append((kept, size)))
    for last, looks, since in (("accept", [4], 4), ("correction", [4, 0], 0)):
        shop = Growing(*NOTES, note(7, last))
        looked(Follower(), shop)
        assert (shop.asked, asked.pop()) == (looks, (since, 7))

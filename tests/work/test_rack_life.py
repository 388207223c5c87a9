"""Laws over random last weeks of two racks: release, ship, hold, lift, nonconformance, disposition, scrap.

The model is a few sets: which serials are released or shipped, and what lies under an open hold. It says of every act
whether a gate must refuse it. After every act the record says the same, and no piece has lost its heat.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

import small_shop as small
from failing_disk import in_memory
from rackwright import record as records
from rackwright.record import Record
from rackwright.trouble import Stopped
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.counting import Unusable, scrap_piece
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import dispose, raise_nonconformance, release_hold
from rackwright.work.serials.releasing import release
from rackwright.work.serials.shipping import ship
from soaked import ROUND

Act = tuple[Any, ...]
SERIALS = small.SERIALS
HEATS = {"H4471": {"SN-1"}, "H4502": {"SN-2"}}  # of which bars the posts and rails of each rack were cut
SERIAL, NAME = st.sampled_from(SERIALS), st.sampled_from("ab")
ACTS = st.one_of(
    st.tuples(st.just("release"), SERIAL),
    st.tuples(st.just("release"), SERIAL),
    st.tuples(st.just("ship"), st.lists(SERIAL, max_size=3)),
    st.tuples(st.just("hold"), NAME, st.one_of(SERIAL, st.sampled_from(sorted(HEATS)))),
    st.tuples(st.just("lift"), NAME),
    st.tuples(st.just("raise"), NAME, SERIAL),
    st.tuples(st.just("dispose"), NAME),
    st.tuples(st.just("lift raised"), NAME),
    st.tuples(st.just("scrap"), SERIAL),
)


@dataclass
class Week:
    """The model beside the verbs."""

    record: Record
    state: dict[str, str] = field(default_factory=lambda: dict.fromkeys(SERIALS, "planned"))
    open: dict[str, set[str]] = field(default_factory=dict)  # hold -> serials under it
    used: set[str] = field(default_factory=set)  # names of holds and nonconformances that were given
    undecided: dict[str, str] = field(default_factory=dict)  # nonconformance -> serial

    def at(self, who: str) -> Any:
        return small.station(self.record, who)

    def free(self, serial: str) -> bool:
        return not any(serial in under for under in self.open.values())

    def release(self, serial: str) -> tuple[bool, Any]:
        may = self.state[serial] == "planned" and self.free(serial)
        if may:
            self.state[serial] = "released"
        return may, lambda: release(self.at("inspector"), serial, small.design(), small.shop())

    def ship(self, serials: list[str]) -> tuple[bool, Any]:
        ready = all(self.state[each] == "released" and self.free(each) for each in serials)
        may = bool(serials) and ready and len(set(serials)) == len(serials)
        if may:
            self.state |= dict.fromkeys(serials, "shipped")
        return may, lambda: ship(self.at("lead"), serials, "there", "DN-1")

    def hold(self, name: str, what: str) -> tuple[bool, Any]:
        may = name not in self.used
        if may:
            self.used.add(name)
            self.open[name] = HEATS.get(what, {what})
        named: dict[str, Any] = {"heats": [what]} if what in HEATS else {"serials": [what]}
        return may, lambda: hold(self.at("inspector"), name, "a doubt", **named)

    def lift(self, name: str) -> tuple[bool, Any]:
        under = self.open.get(name, set())
        heat = under and small.state(self.record).holds[name].heats
        may = name in self.open and (bool(heat) or not under & set(self.undecided.values()))
        if may:
            del self.open[name]
        return may, lambda: release_hold(self.at("lead"), name, "cleared")

    def raise_(self, name: str, serial: str) -> tuple[bool, Any]:
        number = f"N-{name}"
        may = number not in self.used
        if may:
            self.used.add(number)
            self.undecided[number] = serial
            self.open[f"hold {number}"] = {serial}
        return may, lambda: raise_nonconformance(
            self.at("inspector"), number, "a scratch", [], "finish", {}, serials=[serial]
        )

    def dispose(self, name: str) -> tuple[bool, Any]:
        may = self.undecided.pop(f"N-{name}", "") != ""
        return may, lambda: dispose(self.at("lead"), f"N-{name}", "rework", "polished", None, {})

    def lift_raised(self, name: str) -> tuple[bool, Any]:
        return self.lift(f"hold N-{name}")

    def scrap(self, serial: str) -> tuple[bool, Any]:
        """What is in a rack is replaced, never just thrown away."""
        gone = Unusable("sawn through", small.PEOPLE["inspector"])
        return False, lambda: scrap_piece(self.at("lead"), f"{serial}/post.front-left", "bent", gone)

    def act(self, act: Act) -> None:
        name = {"raise": "raise_", "lift raised": "lift_raised"}.get(act[0], act[0])
        may, do = getattr(self, name)(*act[1:])
        refused = ""
        try:
            do()
        except Stopped as stopped:
            refused = "; ".join(map(str, stopped.troubles))
        assert bool(refused) != may, f"{act}: the model says {may}, the shop said {refused or 'done'}"


LOTS, WEEKS, STEPS = (
    (range(80), 25, (44, 50)) if ROUND else (range(1), 12, (4, 16))
)  # 2 000 weeks of 50 steps


@pytest.mark.long
@pytest.mark.parametrize("lot", LOTS)
def test_a_rack_leaves_exactly_when_it_may(
    stages: Path, lot: int, record_property: Callable[[str, int], None]
) -> None:
    played = Counter[str]()

    @settings(
        max_examples=WEEKS, deadline=None, suppress_health_check=[*HealthCheck]
    )  # long ones are drawn slowly
    @given(acts=st.lists(ACTS, min_size=STEPS[0], max_size=STEPS[1]))
    @example(acts=[("release", "SN-1"), ("ship", ["SN-1", "SN-1"]), ("ship", ["SN-1"]), ("ship", ["SN-1"])])
    @example(acts=[("raise", "a", "SN-1"), ("lift raised", "a"), ("dispose", "a"), ("release", "SN-1"),
                   ("lift raised", "a"), ("release", "SN-1"), ("hold", "a", "H4471"), ("ship", ["SN-1"]),
                   ("lift", "a"), ("ship", ["SN-1"])])  # fmt: skip
    def law(acts: list[Act]) -> None:
        _played(stages, acts)
        played["done"] += 1

    law()
    record_property("done", played["done"])


def _played(stages: Path, acts: list[Act]) -> None:
    with in_memory() as folder, small.stage("assembled", stages, folder) as record:
        week = Week(record)
        for act in acts:
            week.act(act)
        state = small.state(record)
        assert {serial: state.serials[serial].state for serial in SERIALS} == week.state
        assert {name for name, each in state.holds.items() if each.open} == set(week.open)
        assert all(piece.heat or piece.lot for piece in state.pieces.values())
        assert records.audit(record, judge=in_hindsight).troubles == ()

"""What is signed off at a hold point stands until something that was done or measured before it is done anew."""

from __future__ import annotations

from typing import Any

import pytest

from folded import ADA, BAR, ORDER, RACK, Said, at, came_to, cut
from rackwright.record.office import HoldPoint
from states import heard

START = (BAR, ORDER, RACK, cut())
BEND: Said = ("bend", {"pieces": ["p"]})
COAT: Said = ("coat", {"pieces": ["p"]})


def sign(point: str = "fit_up", *, pieces: tuple[str, ...] = ("p",), **more: Any) -> Said:
    return "hold_point", {"point": point, "pieces": pieces, **more}


def measure(what: str, **about: str) -> Said:
    return "measure", {"characteristic": what, "gauge": "G", "guard": {"r": "0"}, "value": "1 in", "within": True,
                       **about}  # fmt: skip


def red(*, steps: tuple[str, ...] = (), readings: tuple[str, ...] = (), **about: list[str]) -> Said:
    return "red_line", {"red_line": "RL-1", "revision": "A", "text": "t", "document": "D", "decided_by": "Bo",
                        "steps": steps, "characteristics": readings, **about}  # fmt: skip


def standing(*said: Said, of: str = "p") -> list[str]:
    state = came_to(*START, *said)
    assert state.odd == ()
    return sorted(state.hold_points.get(of, {}))


def test_a_sign_off_keeps_what_was_done_before_it() -> None:
    signed = sign(serials=["SN-1"], remarks="ok")
    state = came_to(*START, BEND, signed)
    of_piece = HoldPoint("fit_up", ADA, at(6), 6, ("bend",), "ok")
    of_rack = HoldPoint("fit_up", ADA, at(6), 6, ("assemble",), "ok")
    assert state.hold_points == {"p": {"fit_up": of_piece}, "SN-1": {"fit_up": of_rack}}
    assert came_to(*START, sign("mill"), sign("fit_up")).hold_points["p"].keys() == {"mill", "fit_up"}


def test_a_name_that_is_not_known_is_odd_and_the_next_is_signed_off() -> None:
    state = came_to(*START, sign(pieces=("x", "p")))
    assert state.odd == ((5, "hold_point: 'x' is not known"),)
    assert [*state.hold_points] == ["p"]


@pytest.mark.parametrize(("after", "left"), [
    ((BEND,), ["bake"]), ((COAT,), ["bake", "fit_up"]), ((("drill", {"pieces": ["p"]}),), ["bake", "fit_up"]),
    ((red(pieces=["p"], steps=("coat", "bend")),), ["bake"]),
    ((red(pieces=["p"], steps=("coat",)),), ["bake", "fit_up"]),
    ((red(pieces=["p"]),), ["bake", "fit_up"]),
])  # fmt: skip
def test_a_step_done_anew_or_undone_takes_what_was_signed_off_after_it(
    after: tuple[Said, ...], left: list[str]
) -> None:
    assert standing(sign("bake"), BEND, sign("fit_up"), *after) == left


@pytest.mark.parametrize("about", [{"piece": "p"}, {"piece": "p", "serial": "SN-1"}])
@pytest.mark.parametrize(("reading", "left"), [("high", ["bake"]), ("low", ["bake", "fit_up"])])
def test_a_reading_taken_back_takes_what_was_signed_off_after_it_first_stood(
    about: dict[str, str], reading: str, left: list[str]
) -> None:
    said = (sign("bake"), measure("high", **about), sign("fit_up"), measure("high", **about))
    assert standing(*said, red(pieces=["p"], readings=(reading,))) == left


@pytest.mark.parametrize("other", ["a", "z"])
def test_readings_of_other_pieces_take_nothing(other: str) -> None:
    more = ("piece", {"stock_id": "T-1", "piece": other, "serial": "SN-1"})
    said = (more, measure("high", piece=other), sign())
    assert standing(*said, red(pieces=["p"], readings=("high",))) == ["fit_up"]
    assert standing(*said, red(pieces=["p"], readings=("low",))) == ["fit_up"]


def test_a_piece_is_known_by_its_name_whatever_event_says_it() -> None:
    post: Said = ("piece", {"stock_id": "T-1", "piece": "post", "serial": "SN-1"})
    said = (post, measure("high", piece="post"), sign(pieces=("post",)))
    assert standing(*said, red(pieces=[heard("post")], readings=("high",)), of="post") == []


def test_a_red_line_takes_the_sign_offs_of_racks_as_of_pieces() -> None:
    rack = sign(pieces=(), serials=["SN-1"])
    high = measure("high", serial="SN-1")
    assert standing(high, rack, of="SN-1") == ["fit_up"]
    assert standing(high, rack, red(serials=["SN-1"], readings=("high",)), of="SN-1") == []
    assert standing(rack, red(serials=["SN-1"], steps=("assemble",)), of="SN-1") == []
    assert standing(rack, high, red(serials=["SN-1"], readings=("high",)), of="SN-1") == ["fit_up"]


def test_what_was_signed_off_of_a_rack_falls_when_it_is_assembled_anew_or_taken_apart() -> None:
    rack, bare = sign(pieces=(), serials=["SN-1"]), {"serial": "SN-1", "work": "W-1", "text": "t"}
    assert standing(rack, ("service_work", {**bare, "kind": "rework"}), of="SN-1") == ["fit_up"]
    assert standing(rack, ("service_work", {**bare, "kind": "rework", "joints": ["b.1"]}), of="SN-1") == []
    assert standing(rack, ("assemble", {"serial": "SN-1", "pieces": []}), of="SN-1") == []


def test_a_piece_made_anew_is_signed_off_by_nobody() -> None:
    scrap: Said = ("scrap", {"piece": "p", "reason": "bent"})
    again: Said = ("piece", {"stock_id": "T-1", "piece": "p", "serial": "SN-1"})
    assert standing(sign(), scrap, again) == []

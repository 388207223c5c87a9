"""What events on a rack after its release come to, field by field."""

from __future__ import annotations

from typing import Any

import pytest

from folded import ADA, BAR, ORDER, RACK, Said, at, came_to, cut
from rackwright.record.service import CameBack, Carried, Service, Unseen, Work
from states import heard

RELEASED: tuple[Said, ...] = (
    BAR, ORDER, RACK, cut(),
    ("assemble", {"serial": "SN-1", "pieces": ["p"], "lots": [], "jig": "J", "values": {
        "b.1": {"lots": [], "wrench": "T"}, "b.2": {"lots": [], "wrench": "T"}}}),
    ("weigh", {"serial": "SN-1", "gauge": "S", "readings": {}, "cg": {}, "mass": "1 kg", "computed": "1 kg",
               "within": True}),
    ("release", {"serial": "SN-1", "revision": "A", "margins": []}),
    ("ship", {"serials": ["SN-1"], "to": "the hangar"}),
)  # fmt: skip
BACK: Said = ("come_back", {"serial": "SN-1", "from": "the hangar", "document": "DN", "reason": "r", "condition": "c",
                            "day": "2031-05-04", "hours": "7.5"})  # fmt: skip
FLIES: Said = ("installed", {"serial": "SN-1", "aircraft": "7", "document": "M"})


def work(**more: Any) -> Said:
    return "service_work", {"serial": "SN-1", "work": "W-1", "kind": "rework", "text": "t", "document": "D",
                            "holder": "h", "date": "2031-05-03", "pieces": ["p"], **more}  # fmt: skip


def test_a_rack_that_came_back_is_with_nobody_else() -> None:
    state = came_to(*RELEASED, FLIES, BACK)
    rack = state.serials["SN-1"]
    assert (rack.state, rack.shipped_to, state.installed) == ("back", "", {})
    came = CameBack("the hangar", "DN", "r", "c", "2031-05-04", "7.5", ADA, 10)
    assert state.service == {"SN-1": Service("SN-1", back=(came,))}
    assert came_to(BACK).odd == ((1, "come_back: serial 'SN-1' is not known"),)


def test_work_takes_back_the_release_and_asks_anew_for_what_it_undid() -> None:
    bake: Said = ("bake", {"pieces": ["p"], "serials": [], "values": {}})
    said = work(joints=["b.2"], steps=["coat", "bake"], characteristics=[{"about": "p", "names": ["film"]},
                {"about": "SN-1", "names": ["bond"]}], nonconformance="N", method="media", lots=["L"])  # fmt: skip
    steps = (*RELEASED[:4], bake, *RELEASED[4:7], said)
    state = came_to(*steps)
    kept, rack = state.service["SN-1"], state.serials["SN-1"]
    assert (rack.state, rack.weighed, [*rack.joints], rack.lots) == ("back", None, ["b.1"], ("L",))
    assert rack.weighing["seq"] == 7  # what the scales found before stays known
    assert (kept.loose, kept.left) == (("b.2",), (("p", "bake"), ("p", "film"), ("SN-1", "bond")))
    assert kept.works == (
        Work(
            "W-1",
            "rework",
            "t",
            "D",
            "h",
            "2031-05-03",
            "N",
            ("p",),
            "media",
            ADA,
            at(9),
            9,
            ("b.2",),
            day="2031-05-04",
        ),
    )
    assert "bake" not in state.pieces["p"].done
    read: dict[str, Any] = {
        "serial": "SN-1",
        "value": "1 in",
        "within": True,
        "gauge": "G",
        "guard": {"r": "0"},
    }
    film: Said = ("measure", {**read, "piece": "p", "characteristic": "film"})
    tight: Said = (
        "assemble",
        {**RELEASED[4][1], "pieces": [], "values": {"b.2": {"lots": [], "wrench": "T"}}},
    )
    later = came_to(*steps, bake, film, tight).service["SN-1"]
    assert (later.loose, later.left) == ((), (("SN-1", "bond"),))
    bond: Said = ("measure", {**read, "characteristic": "bond"})
    assert came_to(*steps, bake, film, tight, bond).service["SN-1"].left == ()


@pytest.mark.parametrize(("before", "state"), [(3, "planned"), (7, "back"), (8, "shipped")])
def test_work_takes_back_a_release_and_changes_no_other_state(before: int, state: str) -> None:
    assert came_to(*RELEASED[:before], work(pieces=[])).serials["SN-1"].state == state


def test_an_inspection_leaves_the_weight_and_back_to_service_closes_the_work_named() -> None:
    look = work(kind="inspection", pieces=[])
    done: Said = ("back_to_service", {"serial": "SN-1", "works": ["W-1"], "margins": [
        {"piece": "p", "check": "c", "margin": "0.5"}]})  # fmt: skip
    state = came_to(*RELEASED, BACK, look)
    assert (state.serials["SN-1"].weighed, len(state.service["SN-1"].open_works)) == (True, 1)
    state = came_to(*RELEASED, BACK, look, done)
    kept, rack = state.service["SN-1"], state.serials["SN-1"]
    assert (kept.open_works, kept.cleared, kept.cleared_by, kept.cleared_at) == ((), 11, ADA, at(11))
    assert (rack.state, rack.margins[0]["margin"]) == ("released", "0.5")


def test_a_replacement_of_today_is_work_and_one_of_an_older_program_is_none() -> None:
    second = cut(stock_id="T-2", pieces=[{"piece": "p.2", "length_nm": 60, "serial": "SN-1"}])
    start = (*RELEASED[:7], ("receive", {**BAR[1], "stock_id": "T-2"}), second)
    old: Said = ("replace", {"serial": "SN-1", "old": "p", "new": "p.2", "reason": "bent"})
    new: Said = ("replace", {**old[1], "work": "W-1", "joints": ["b.1"], "fate": {"what": "customer"}})
    before, after = came_to(*start, old), came_to(*start, new)
    assert (before.serials["SN-1"].state, before.serials["SN-1"].weighed, before.service) == (
        "released",
        True,
        {},
    )
    assert (before.pieces["p"].fate, before.pieces["p"].out_seq, before.pieces["p"].out_at) == (
        "",
        10,
        at(10),
    )
    assert (after.serials["SN-1"].state, after.serials["SN-1"].weighed) == ("back", None)
    assert (after.service["SN-1"].loose, after.service["SN-1"].works[0].kind) == (("b.1",), "replacement")
    assert (after.pieces["p"].fate, after.serials["SN-1"].pieces) == ("customer", ("p.2",))
    both = cut(
        stock_id="T-3", pieces=[{"piece": each, "length_nm": 60, "serial": "SN-1"} for each in ("a", "z")]
    )
    more = (*start, ("receive", {**BAR[1], "stock_id": "T-3"}), both)
    assert came_to(*more, old).serials["SN-1"].pieces == ("p.2", "a", "z")
    taken: Said = ("replace", {**old[1], "old": heard("p.2"), "new": "a"})
    assert came_to(*more, taken).serials["SN-1"].pieces == ("p", "a", "z")
    loose = cut(pieces=[{"piece": each, "length_nm": 60} for each in ("p.1", "p.2")])
    built: Said = ("assemble", {"serial": "SN-1", "pieces": ["p.1", heard("p.2")]})
    swap: Said = ("replace", {**old[1], "old": "p.2", "new": "p.1"})
    assert came_to(BAR, ORDER, RACK, loose, built, swap).serials["SN-1"].pieces == ("p.1",)


def test_the_last_swap_of_an_item_holds() -> None:
    one: Said = ("swap", {"serial": "SN-1", "item": "radio", "by_whom": "customer", "document": "M", "mass": "9 lb",
                          "cg": ["1 in", "2 in", "3 in"], "box": "7", "part": "P", "shelf": "low",
                          "at": ["1 in", "2 in"], "day": "2031-05-04", "least": {}})  # fmt: skip
    two: Said = ("swap", {"serial": "SN-1", "item": "radio", "by_whom": "shop", "document": "M", "out": True})
    state = came_to(*RELEASED, one)
    assert state.carried == {"SN-1": {"radio": Carried(
        "radio", "customer", "M", "2031-05-04", False, "P", "7", "9 lb", ("1 in", "2 in", "3 in"), "low",
        ("1 in", "2 in"), 9, done="2031-05-04")}}  # fmt: skip
    last = came_to(*RELEASED, one, two).carried["SN-1"]["radio"]
    assert (last.out, last.day, last.done) == (True, "", at(10)[:10])


def test_holes_that_a_box_leaves_stay_open_until_it_is_back_or_they_are_filled() -> None:
    said = {"serial": "SN-1", "item": "radio", "by_whom": "shop", "document": "M", "mass": "9 lb"}
    moved: Said = ("swap", {**said, "place": "b", "left": ["a"], "holes": "open"})
    on: Said = ("swap", {**said, "place": "c", "left": ["b"], "holes": "open"})
    back: Said = ("swap", {**said, "place": "a", "left": ["c"], "holes": "open"})
    filled: Said = ("swap", {**said, "place": "c", "holes": "filled", "nonconformance": "N"})
    assert came_to(*RELEASED, moved, on).carried["SN-1"]["radio"].open_holes == ("a", "b")
    assert came_to(*RELEASED, moved, on, back).carried["SN-1"]["radio"].open_holes == ("b", "c")
    radio = came_to(*RELEASED, moved, on, filled).carried["SN-1"]["radio"]
    assert (radio.place, radio.open_holes, radio.filled) == ("c", (), ("a", "b"))


def test_scrap_awaits_its_witness_where_its_event_says_so() -> None:
    gone = {"piece": "p", "reason": "r", "unusable": "sawn", "witness": "Bo"}
    old, new = came_to(*RELEASED, ("scrap", gone)), came_to(*RELEASED, ("scrap", {**gone, "awaits": True}))
    assert old.unseen == {}
    assert new.unseen == {"9": Unseen("p", "sawn", "Bo", ADA, 9)}
    seen: Said = ("witness", {"about": ["p"], "text": "t"})
    assert came_to(*RELEASED, ("scrap", {**gone, "awaits": True}), seen).unseen == {}


def test_the_oven_heats_the_metal_whether_a_bake_counts_or_not() -> None:
    from histories import act
    from rackwright.record import Refs, project

    said = [act(n, type, body).at_seq(n) for n, (type, body) in enumerate(RELEASED[:4], 1)]
    body = {"pieces": ["p"], "serials": [], "values": {}}
    tried = {"act": "bake", "code": "RW519", "found": "f", "do": "d", "pieces": ["p"]}
    a, b, scan = "aa" * 32, "bb" * 32, "cc" * 32
    late = {"late": {"done": "2031-05-04", "paper": scan}}
    runs: list[tuple[str, dict[str, Any], list[str]]] = [
        ("refusal", {**tried, "logs": [a]}, [a, scan]),
        ("refusal", tried, [a]),
        ("refusal", {**tried, "code": "RW516"}, [b]),
        ("bake", body, [a]),
        ("bake", {**body, **late}, [b, scan]),
        ("bake", body, [b]),
    ]
    said += [
        act(n, t, held, refs=Refs.of(files=files)).at_seq(n) for n, (t, held, files) in enumerate(runs, 5)
    ]
    assert [file for file, _ in project(said).pieces["p"].heated] == [a, b, b]
    assert [file for file, _ in project(said[:7]).pieces["p"].heated] == [a]

"""What holds of the strength of every rack: balance, reactions, mirrors, turns, and what more mass does."""

from __future__ import annotations

import re
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings

from racks import (
    AN3,
    EVIDENCE,
    G0,
    STANDARD,
    VARIATION,
    built,
    design_of,
    item,
    plain,
    rack_of,
    still,
    written,
)
from rackwright.design import Design
from rackwright.pieces.weight import bolt_points, equipment_cg
from rackwright.rack import aircraft_axes
from rackwright.strength.rack_frame import PRETENSIONS
from strategies import racks

law = settings(max_examples=5, deadline=None, suppress_health_check=[HealthCheck.too_slow])
Tables = dict[str, Any]


def fresh(tables: Tables) -> Design:
    return Design(rack_of(written(tables)))


def margins(design: Design) -> dict[str, float]:
    found = {}
    for margin in design.strength.margins:
        assert margin.margin is not None, margin.why_missing
        found[margin.id] = margin.margin
    return found


# --- balance ---------------------------------------------------------------------------------------------


def thrown(design: Design) -> tuple[float, np.ndarray]:
    """Mass with every item at its upper value, and its centre, from pieces and definition alone."""
    rows = [(piece.mass, np.array(piece.cg)) for piece in design.pieces.made]
    rows += [(bolt.mass, at) for bolt, at in bolt_points(design.pieces)]
    for one in design.rack.definition.equipment:
        rows.append((one.mass + (one.mass_tolerance or 0.0), equipment_cg(design.rack, one)))
    mass = sum(m for m, _ in rows)
    return mass, sum((m * at for m, at in rows), np.zeros(3)) / mass


def on_the_floor(design: Design, case: str, pretension: str) -> tuple[np.ndarray, np.ndarray]:
    """Sum of what the rack does to the floor, and its moment about the rack's origin as drawn, in rack axes as drawn.

    Fittings stay; a pad has moved with its corner."""
    d = design.rack.definition
    assert d.aircraft is not None
    places = {f"fitting.{one.name}": np.array(one.at) * 1e-9 for one in d.floor_fitting}
    strength = design.strength
    assert strength.run is not None
    v, c = PRETENSIONS.index(pretension), [one.id for one in strength.cases].index(case)
    pads = strength.run.settled.places(strength.run.settled.pad)[v, c]
    places |= {f"pad.{corner}": at for corner, at in zip(strength.model.pads, pads, strict=True)}
    force, moment = np.zeros(3), np.zeros(3)
    for one in design.strength.reactions:
        if (one.case, one.pretension) == (case, pretension):
            back = aircraft_axes(d.aircraft.forward).T @ one.force
            force, moment = force + back, moment + np.cross(places[one.place], back)
    return force, moment


def where(design: Design, case: str, pretension: str, at: np.ndarray) -> np.ndarray:
    """Where a place of the rack lies once the rack rests, in rack axes as drawn."""
    strength = design.strength
    assert strength.run is not None
    v, c = PRETENSIONS.index(pretension), [one.id for one in strength.cases].index(case)
    settled = strength.run.settled
    return settled.turn[v, c] @ at + settled.shift[v, c]


def travelled(design: Design, case: str, pretension: str) -> np.ndarray:
    """Mass times how far it lies off its place on its isolators, kg·m."""
    run = design.strength.run
    assert run is not None
    v, c = PRETENSIONS.index(pretension), [one.id for one in design.strength.cases].index(case)
    moved = run.response.cases.moved
    return np.zeros(3) if moved is None else run.model.frame.masses.m[v] @ moved[v, c]


def is_balanced(design: Design) -> None:
    assert design.strength.loose == ()
    assert design.strength.imbalance < 1e-9
    mass, centre = thrown(design)
    for case in design.strength.cases:
        load = mass * case.inertia
        size = float(np.linalg.norm(load)) + 4 * 150 * 4.45
        for pretension in ("low", "high"):
            force, moment = on_the_floor(design, case.id, pretension)
            assert force == pytest.approx(load, abs=1e-8 * size)
            at = where(design, case.id, pretension, centre + travelled(design, case.id, pretension) / mass)
            assert moment == pytest.approx(np.cross(at, load), abs=1e-8 * size)


@law
@given(racks())
def test_what_is_thrown_arrives_at_the_floor_in_force_and_moment(tables: Tables) -> None:
    is_balanced(fresh(tables))


@pytest.mark.parametrize("variation", [None, VARIATION], ids=["standard", "variation"])
def test_the_demo_is_in_balance(variation: str | None) -> None:
    is_balanced(design_of(STANDARD, variation))


def test_reactions_in_aircraft_axes_point_where_the_rule_throws() -> None:
    """16 g forward pull the floor forward by 16 times the weight; 20 g down press it; 4 g up lift it."""
    design = design_of(STANDARD, VARIATION)
    mass, _ = thrown(design)
    way = {
        "forward": (16, 0, 0),
        "aft": (-1.5, 0, 0),
        "left": (0, 8, 0),
        "right": (0, -8, 0),
        "up": (0, 0, 4),
        "down": (0, 0, -20),
    }
    for name, g in way.items():
        total = sum((one.force for one in design.strength.reactions
                     if (one.case, one.pretension) == (f"emergency/{name}", "low")), np.zeros(3))  # fmt: skip
        assert total == pytest.approx(np.array(g) * mass * G0, abs=1e-6)


def test_thrown_forward_the_rear_straps_hold_and_the_front_ones_hang() -> None:
    """The nose lies at rack -y: the straps at the rear pull, those before the rack go slack."""
    strength = design_of(STANDARD, VARIATION).strength
    idle = {name for case, _, names in strength.slack if case == "emergency/forward" for name in names}
    assert {"strap.top front left", "strap.top front right", "strap.low front left"} <= idle
    assert not {"strap.top rear left", "strap.top rear right", "strap.low rear left"} & idle


def test_straps_only_pull_and_pads_only_press() -> None:
    design = design_of(STANDARD, VARIATION)
    for one in design.strength.reactions:
        if one.place.startswith("pad."):
            assert one.force[2] <= 0
            assert one.force[0] == one.force[1] == 0
        else:
            assert one.force[2] >= -1e-9  # up, towards the eye


# --- mirrors and turns -----------------------------------------------------------------------------------

SIDES = {"left": "right", "right": "left"}


def other_side(word: str) -> str:
    """The id or name in a mirror along the depth; tubes along the width change their ends."""
    pairs = SIDES | ({"low": "high", "high": "low"} if word.startswith("joint.width.") else {})
    return "".join(pairs.get(part, part) for part in re.split(r"\b(left|right|low|high)\b", word))


def mirrored(tables: Tables) -> Tables:
    """The same rack in a mirror that stands along its depth: left is right, turns run the other way."""

    def number(text: str) -> float:
        return float(text.split()[0])

    def inch(value: float) -> str:
        return f"{value:.4f} in"

    width = number(tables["outside"]["width"])
    out = dict(tables)
    out["ring"] = [
        {**ring, "name": other_side(ring["name"]), "post": other_side(ring["post"]),
         "face": {"-x": "+x", "+x": "-x"}[ring["face"]], "turn": f"{-number(ring['turn'])} deg"}
        for ring in tables["ring"]
    ]  # fmt: skip
    out["strap"] = [{key: other_side(value) for key, value in strap.items()} for strap in tables["strap"]]
    out["floor_fitting"] = [
        {**one, "name": other_side(one["name"]), "at": [inch(width - number(one["at"][0])), *one["at"][1:]]}
        for one in tables["floor_fitting"]
    ]
    out["equipment"] = []
    for one in tables["equipment"]:
        wide, shelf = number(one["size"][0]), one["on_shelf"]
        at = [inch(width - number(shelf["at"][0]) - wide), shelf["at"][1]]
        feet = [[inch(wide - number(x)), y] for x, y in shelf["feet"]]
        cg = [inch(wide - number(one["cg"][0])), *one["cg"][1:]]
        out["equipment"].append({**one, "cg": cg, "on_shelf": {**shelf, "at": at, "feet": feet}})
    return out


@law
@given(racks())
def test_the_mirrored_rack_has_the_mirrored_margins(tables: Tables) -> None:
    """Thrown along the depth, or up and down, in a mirror that stands along it; sideways, left is right.

    With centres of gravity as stated: stability is not linear in where they lie, and of the eight corners of their
    tolerance it is looked at in four, which are not the mirror's four.
    """
    for one in tables["equipment"]:
        one["cg_tolerance"] = ["0 in", "0 in", "0 in"]
    tables["aircraft"]["forward"] = "-y"
    here, there = margins(fresh(tables)), margins(fresh(mirrored(tables)))
    assert {other_side(id) for id in here} == set(there)
    for id, margin in here.items():
        assert there[other_side(id)] == pytest.approx(margin, rel=1e-6, abs=1e-6), id


OPPOSITE = {
    "front-left": "rear-right", "rear-right": "front-left", "front-right": "rear-left", "rear-left": "front-right",
    "left": "right", "right": "left", "front": "rear", "rear": "front",
}  # fmt: skip


def half_turned(id: str) -> str:
    """The id of the piece that takes this one's place when the rack is turned by half: its ends change too."""
    head, slash, check = id.partition("/")
    words = head.split(".")
    kind = words[1] if words[0] == "joint" and len(words) > 1 else words[0]
    places = OPPOSITE | ({"low": "high", "high": "low"} if words[0] == "joint" and kind != "post" else {})
    turned = [" ".join(places.get(part, part) for part in word.split(" ")) for word in words]
    return ".".join(turned) + slash + check


def test_a_rack_alike_from_both_sides_answers_alike_when_turned_by_half() -> None:
    """Items on the middle, straps alike to all sides: with the nose at +y for -y each piece changes places."""
    middle = item("a", "s", (5, 5), lb=30)  # 14 x 16 in about the middle of 24 x 26 in
    other = item("b", "t", (5, 5), lb=20)
    before = margins(built(plain(shelves={"s": 8, "t": 26}, items=[middle, other])))
    after = margins(built(plain(shelves={"s": 8, "t": 26}, items=[middle, other], forward="+y")))
    assert set(before) == set(after)
    for id, margin in before.items():
        assert after[half_turned(id)] == pytest.approx(margin, rel=1e-7), (id, half_turned(id))
    moved = [id for id in before if id.startswith(("post.", "strap.")) and abs(before[id] - after[id]) > 1e-3]
    assert moved  # the turn does change what each piece bears


def four_fold() -> Tables:
    """A bare square rack that a quarter turn brings over itself, but for the order of bolts along a post.

    0, 4, 5 and 1, 2, 6 have the same sum and the same sum of squares: both rows are as far and as stiff.
    They stand so far in that their bolts all hang on the ring's node.
    """
    tables = plain((24, 24, 36))
    tables["block"] |= {"spigot_length": "5.5 in", "material": "6061-T651-bar-S", "stock": "AMS-QQ-A-225/8"}
    tables["evidence"] = [EVIDENCE]  # no other row covers stock of that size
    tables["joint"] = {**tables["joint"], "hardware": AN3, "post": [
        {"at": f"{1.2 + 0.6 * n:.1f} in", "through": through} for n, through in enumerate("xyyyxxy") if n != 3
    ]}  # fmt: skip
    tables["ring_make"] = {**tables["ring_make"], "eye_edge": "2.25 in"}  # it holds the outermost bolts
    faces = {  # straps from above turn the rack one way, those from below the other
        "top": {"front-left": "-x", "front-right": "-y", "rear-right": "+x", "rear-left": "+y"},
        "bottom": {"front-left": "-y", "front-right": "+x", "rear-right": "+y", "rear-left": "-x"},
    }
    tables["ring"] = [
        {**ring, "face": faces[ring["end"]][ring["post"]], "turn": "0 deg"} for ring in tables["ring"]
    ]
    return tables


def quarter_turned(word: str) -> str:
    """The place that a quarter turn of the rack, x to y, brings a corner or side to."""
    turn = {
        "front-left": "front-right",
        "front-right": "rear-right",
        "rear-right": "rear-left",
        "rear-left": "front-left",
    }
    sides = {"width.{}.front": "depth.{}.right", "width.{}.rear": "depth.{}.left",
             "depth.{}.left": "width.{}.front", "depth.{}.right": "width.{}.rear"}  # fmt: skip
    for level in ("bottom", "top"):
        for old, new in sides.items():
            if word == old.format(level):
                return new.format(level)
    return " ".join(turn.get(part, part) for part in word.replace(".", " . ").split(" ")).replace(" . ", ".")


@pytest.mark.parametrize(("turns", "forward"), [(1, "+x"), (2, "+y"), (3, "-x")])
def test_a_square_rack_answers_alike_turned_by_quarters(turns: int, forward: str) -> None:
    """Pads, straps, fittings, ring eyes and tubes: each bears what the one in its place bore before."""
    before, after = (
        margins(built(four_fold())),
        margins(built({**four_fold(), "aircraft": {**four_fold()["aircraft"], "forward": forward}})),
    )
    same = [
        id
        for id in before
        if id.endswith(("/strength", "/tension", "/pull", "/floor", "/eye", "/bend", "/shear"))
    ]
    assert len(same) >= 12 + 12 + 8 + 4 + 4
    for id in same:
        head, slash, check = id.rpartition("/")
        place = head
        for _ in range(turns):
            place = quarter_turned(place)
        assert after[place + slash + check] == pytest.approx(before[id], rel=1e-7), (id, place)
    assert before["strap.top front-left/tension"] != pytest.approx(
        before["strap.top rear-left/tension"], rel=0.1
    )


def test_the_nose_on_the_other_side_swaps_forward_and_aft_of_equal_factors() -> None:
    """A customer's case of 5 g aft with the nose at -y throws as 5 g forward with the nose at +y."""
    tables = plain(shelves={"s": 8}, items=[item("a", "s", (4, 4), lb=30)])
    case = {"name": "c", "kind": "ultimate", "left": 0, "up": 0, "document": "INVENTED"}
    one = built({**tables, "case": [{**case, "forward": -5}]}).strength
    turned = {**tables["aircraft"], "forward": "+y"}
    two = built({**tables, "aircraft": turned, "case": [{**case, "forward": 5}]}).strength
    (a,) = [x for x in one.cases if x.id == "customer/c"]
    (b,) = [x for x in two.cases if x.id == "customer/c"]
    assert np.array_equal(a.rack, b.rack)
    assert dict(one.deflection)["customer/c"] == dict(two.deflection)["customer/c"]


# --- more ------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("times", [1.25, 2.0])
def test_what_statics_alone_gives_falls_as_the_mass_grows(times: float) -> None:
    """Screws, their bearing and the strip bear only their item: 1 + MS goes with one over its mass."""

    def weighing(lb: float) -> dict[str, float]:
        rack = built(plain(shelves={"s": 8}, items=[item("a", "s", (4, 4), lb=lb, cg=(6, 9, 4))]))
        return {id: one.margin for id, one in still(rack).items() if one.margin is not None}

    light, heavy = weighing(16), weighing(16 * times)
    ids = [id for id in light if id.startswith(("equipment.", "panel.")) and not id.endswith("clearance")]
    assert len(ids) == 6
    for id in ids:
        assert heavy[id] + 1 == pytest.approx((light[id] + 1) / times, rel=1e-9)


def test_no_frequency_rises_with_mass_or_falls_with_stiffness() -> None:
    """Rayleigh: more mass lowers each frequency or leaves it, more stiffness raises it or leaves it."""

    def hertz(tables: Tables) -> np.ndarray:
        return np.array(built(tables).modes_hz)

    base = plain(shelves={"s": 20}, items=[item("a", "s", (5, 5), lb=40)])
    heavy = plain(shelves={"s": 20}, items=[item("a", "s", (5, 5), lb=80)])
    softer = {**base, "pad": {**base["pad"], "stiffness": "5000 lbf/in"}}
    for lower in (hertz(heavy), hertz(softer)):
        assert np.all(lower <= hertz(base) * (1 + 1e-9))
        assert lower.sum() < 0.999 * hertz(base).sum()

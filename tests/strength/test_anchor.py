"""Bolts without a nut: the bolt that is chosen, what holds it, and what every paper then says.

Thread limits are those of the unified table for 10-32 UNF: 3A major 0.1840 and pitch 0.1674 at least, 3B pitch 0.1726
and minor 0.1641 at most (memory of the table; the formulas are compared with read rows in the shipped checks).
"""

from __future__ import annotations

from math import pi, sqrt
from typing import Any

import pytest

from order_of_three import order, shop
from racks import (
    AN3,
    ANCHORS,
    IN,
    LBF,
    STANDARD,
    anchored,
    built,
    faults_of,
    item,
    plain,
    rack_of,
    swap,
    written,
)
from rackwright.design import Design
from rackwright.making.assembly import assembly
from rackwright.making.fasteners import parts_of
from rackwright.pieces.metals import pairs, unprotected
from rackwright.rack import open_questions
from rackwright.strength.margin import Margin

KSI = LBF * 1000 / IN**2
NM = 25_400_000


def tables() -> dict[str, Any]:
    return plain((24, 26, 40), {"lower": 12.0}, [item("box", "lower", (5, 5), lb=30)])


def design(kind: str, **changed: Any) -> Design:
    made = anchored(tables(), kind)
    given = {name: value for name, value in {**ANCHORS[kind], **changed}.items() if value is not None}
    screw = {**made["shelf_make"]["screw"], kind: given}
    return built({**made, "shelf_make": {**made["shelf_make"], "screw": screw}})


def margins(of: Design) -> dict[str, Margin]:
    return {one.id: one for one in of.strength.margins if one.id.startswith("panel.lower/screws")}


def pull(margin: Margin) -> float:
    """Of the governing screw, N."""
    assert margin.applied is not None
    return margin.applied


def test_a_screw_into_a_tapped_angle() -> None:
    """AN3-4: 17/32 in long, 1/8 in of grip. Past a 0.063 in washer and 0.090 in of panel its shank would end 0.028 in
    before the angle, so that threads lie in the plane; 0.378 in pass the face, and the whole 0.25 in are engaged."""
    of = design("tapped")
    bolt = next(one for one in of.pieces.bolts if one.id == "panel.lower.left.1")
    assert bolt.anchor is not None
    assert (bolt.dash, bolt.washers, bolt.nut) == (4, 1, "")
    assert (bolt.anchor.engaged, bolt.anchor.in_plane) == (0.25 * NM, True)
    hole = next(one for one in of.pieces.get("angle.lower.left").holes if one.bolt == bolt.id)
    assert hole.thread == "10-32 class 3B"
    assert hole.diameter / NM == pytest.approx(0.1562, abs=5e-5)  # 0.190 - 1.0825/32
    clear = next(one for one in of.pieces.get("panel.lower").holes if one.bolt == bolt.id)
    assert (clear.thread, clear.diameter) == ("", 0.1915 * NM)


def test_threads_strip_by_the_areas_of_their_worst_limits() -> None:
    """pi 0.25 × 32 × 0.1641 (1/64 + (0.1674 - 0.1641)/sqrt 3) in² of the bolt at 75 ksi, pi 0.25 × 32 × 0.1840
    (1/64 + (0.1840 - 0.1726)/sqrt 3) in² of extruded 6061 at 26 ksi."""
    found = margins(design("tapped"))
    outer = pi * 8 * 0.1641 * (1 / 64 + (0.1674 - 0.1641) / sqrt(3)) * 75 * KSI * IN**2
    inner = pi * 8 * 0.1840 * (1 / 64 + (0.1840 - 0.1726) / sqrt(3)) * 26 * KSI * IN**2
    for name, able in (("thread of the bolt", outer), ("tapped thread", inner)):
        one = found[f"panel.lower/screws, {name}"]
        assert one.allowable == pytest.approx(
            able, rel=4e-3
        )  # a digit of the limits moves the area by so much
        assert one.margin == pytest.approx(able / (one.factor * pull(one)) - 1, rel=1e-2)


def test_threads_in_the_shear_plane_are_judged_at_their_root() -> None:
    """75 ksi on 0.0175 in² of 10-32 (the unified table's area at the minor diameter) is 1312 lbf, of the shank 2126."""
    one = margins(design("tapped"))["panel.lower/screws"]
    root = dict(one.steps)["root_shear"]
    area = pi / 4 * (root["D"] - 0.75 * sqrt(3) * root["p"]) ** 2 / IN**2
    assert area == pytest.approx(0.0175, abs=5e-5)


@pytest.mark.parametrize(("kind", "able"), [("insert", 1800), ("nutplate", 1500)])
def test_an_insert_and_a_nutplate_hold_what_their_document_says(kind: str, able: float) -> None:
    one = margins(design(kind))[f"panel.lower/screws, {kind}"]
    assert one.allowable == pytest.approx(able * LBF)
    assert "INVENTED-TEST-2" in one.source
    for gone in ("pull_out", "document"):
        of = design(kind, **{gone: None})
        assert margins(of)[f"panel.lower/screws, {kind}"].margin is None
        (asked,) = [one for one in of.questions if one.id == f"shelf_make.screw.{kind}.{gone}"]
        assert "release" in asked.blocks


@pytest.mark.parametrize("kind", ANCHORS)
def test_a_bolt_that_nothing_is_said_to_lock_is_asked_for(kind: str) -> None:
    of = design(kind, locking=None)
    assert [one.id for one in of.questions if "locking" in one.id] == [f"shelf_make.screw.{kind}.locking"]


@pytest.mark.parametrize("kind", ANCHORS)
def test_no_nut_and_no_washer_under_it(kind: str) -> None:
    of = design(kind)
    made = assembly(of, shop())
    for bolt in of.pieces.bolts:
        joint = next(one for one in made.joints if one.id == bolt.id)
        if bolt.id.startswith("panel."):
            kinds = {what for _, what in parts_of(bolt, of.rack.rows)}
            assert kinds == {"bolt", "washer"} | ({kind} if kind != "tapped" else set())
            assert (joint.nut, joint.nut_washers, joint.head) == ("", 0, "+z")
            assert joint.anchor.startswith(kind)
            assert joint.torque is None
            assert joint.anchor in joint.missing
        else:
            assert (joint.nut, joint.anchor) == (bolt.nut, "")
            assert bolt.nut


@pytest.mark.parametrize(("kind", "pounds"), [("insert", 0.003), ("nutplate", 0.008)])
def test_it_weighs_and_meets_other_metals_as_its_document_says(kind: str, pounds: float) -> None:
    made = anchored(tables(), kind)
    make = made["shelf_make"]
    bare = {**make, "screw": {**make["screw"], kind: {**make["screw"][kind], "mass": None, "metal": None}}}
    of, without = built(made), built({**made, "shelf_make": bare})
    screws = [bolt for bolt in of.pieces.bolts if bolt.id.startswith("panel.")]
    lighter = sum(b.mass for b in of.pieces.bolts) - sum(b.mass for b in without.pieces.bolts)
    assert lighter == pytest.approx(len(screws) * pounds * 0.45359237, rel=1e-9)
    met = pairs(of.pieces.made, of.pieces.bolts).get(("aluminium", "stainless"), [])
    assert {bolt.id for bolt in screws} <= set(met) or kind != "insert"
    assert not {bolt.id for bolt in screws} & set(met) or kind == "insert"
    asked = {q.id for q in open_questions(without.rack)} - {q.id for q in open_questions(of.rack)}
    assert asked == {f"shelf_make.screw.{kind}.metal", f"shelf_make.screw.{kind}.mass"}
    unsealed = [
        row for row in made["protection"] if set(row["between"]) != {"stainless", "cadmium-plated steel"}
    ]
    faults = unprotected(rack_of(written({**made, "protection": unsealed})), of.pieces.made, screws)
    assert [fault.code for fault in faults] == (["RW208"] if kind == "insert" else [])


def test_all_else_of_the_rack_is_as_with_nuts() -> None:
    """Only the screws themselves and what hangs on the angle's thickness differ."""
    thick = anchored(tables(), "nutplate")
    nuts = {**thick, "shelf_make": {**thick["shelf_make"], "screw": AN3}}
    a, b = (
        {
            one.id: one.margin
            for one in built(one).strength.margins
            if not one.id.startswith("panel.lower/screw")
        }
        for one in (thick, nuts)
    )
    assert a.keys() == b.keys()
    for id, margin in a.items():
        if margin is not None:  # less mass: nuts are gone
            assert margin + 1 == pytest.approx(b[id] + 1, rel=5e-3), id


SCREW = 'screw = { bolt = "AN3", washer = "AN960-10", nut = "MS21044N3", hole = "0.1915 in" }\nscrew_pitch'
JOINT = 'hardware = { bolt = "AN4", washer = "AN960-416", nut = "MS21044N4", hole = "0.2505 in" }\npost'
FOOT = 'foot = { bolt = "AN3", washer = "AN960-10", nut = "MS21044N3", hole = "0.1915 in" }\nscrew_pitch'
BARE = 'bolt = "AN3", washer = "AN960-10", hole = "0.1915 in"'
INSERT = 'insert = { part = "IN-3", hole = "0.25 in", length = "0.3 in" }'
METRIC = swap(INSERT, ("length", 'thread = "M6", length'))


@pytest.mark.parametrize(
    ("old", "new", "field", "words"),
    [
        (SCREW, f"screw = {{ {BARE} }}\n{FOOT}", "shelf_make.screw", "nothing is given that the bolt turns into"),
        (SCREW, f"screw = {{ {BARE}, tapped = {{}} }}\n{FOOT}", "shelf_make.screw.tapped", "less than one diameter"),
        (SCREW, f'screw = {{ {BARE}, tapped = {{ depth = "1 in" }} }}\n{FOOT}', "shelf_make.screw.tapped.depth",
         "deeper than the 0.1875 in of shelf angle"),
        (SCREW, f"screw = {{ {BARE}, {INSERT} }}\n{FOOT}", "shelf_make.screw.insert.length", "deeper than"),
        (SCREW, f"screw = {{ {BARE}, {swap(INSERT, ('0.25', '0.19'))} }}\n{FOOT}", "shelf_make.screw.insert.hole",
         "no larger than the bolt's"),
        (SCREW, f"screw = {{ {BARE}, {METRIC} }}\n{FOOT}",
         "shelf_make.screw.insert.thread", "M6"),
        (SCREW, f'screw = {{ {BARE}, nut = "MS21044N3", tapped = {{}} }}\n{FOOT}', "shelf_make.screw.tapped",
         "nut and tapped are given"),
        (SCREW, f'screw = {{ {BARE}, nutplate = {{ part = "N", height = "0.6 in" }} }}\n{FOOT}',
         "shelf_make.screw.nutplate", "no length of AN3 engages 0.6 in"),
        (JOINT, swap(JOINT, ('nut = "MS21044N4"', 'tapped = { depth = "1/2 in" }')), "joint.hardware.tapped",
         "through both walls"),
    ],
)  # fmt: skip
def test_an_anchor_that_cannot_be_made_is_one_fault(old: str, new: str, field: str, words: str) -> None:
    (fault,) = faults_of(swap(STANDARD, (old, new)))
    assert fault.where.field == field
    assert words in fault.found
    assert fault.do


def test_a_variation_takes_the_nut_out() -> None:
    from racks import VARIATION, design_of

    change = """
[[change]]
why = "screws come out from above only"
[change.shelf_make.screw]
nut = { remove = true }
nutplate = { part = "NP-3", height = "0.2 in", pull_out = "1500 lbf", document = "INVENTED-TEST-2", locking = "own" }
[change.shelf_make]
foot = { bolt = "AN3", washer = "AN960-10", nut = "MS21044N3", hole = "0.1915 in" }
"""
    of = design_of(STANDARD, VARIATION + change)
    assert {bolt.nut for bolt in of.pieces.bolts if bolt.id.startswith("panel.")} == {""}
    (gone,) = [one for one in of.rack.changes if one.path == "shelf_make.screw.nut"]
    assert (gone.before, gone.after) == ("MS21044N3", None)


def test_a_pad_s_bolt_in_a_blind_hole_of_its_block() -> None:
    """AN4-3 is left out of the series; washers keep the bolt from the hole's end, 0.6 in deep."""
    made = tables()
    hardware = {name: value for name, value in made["pad"]["hardware"].items() if name != "nut"}
    deep = {"depth": "0.6 in", "locking": "patch"}
    of = built({**made, "pad": {**made["pad"], "hardware": {**hardware, "tapped": deep}}})
    bolt = next(one for one in of.pieces.bolts if one.id == "pad.front-left")
    assert bolt.anchor is not None
    assert bolt.layers[-1].high == 0.6 * NM
    assert 0.25 * NM <= bolt.anchor.engaged <= 0.6 * NM
    assert order().mill is not None

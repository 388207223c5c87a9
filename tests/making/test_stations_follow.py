"""Brake, plate and mill follow the definition: an edit changes what depends on it and not a byte more."""

from __future__ import annotations

import json
from dataclasses import replace
from math import radians

from making.shop_order import IN, design, items, shop, with_rings
from rackwright.answers import plan_json
from rackwright.design import Design
from rackwright.plan import Plan
from rackwright.rack.model import Definition


def station(one: Design, effort: int = 0) -> dict[str, str]:
    document = plan_json(Plan(((one, 1),), (), shop(), effort, items=items()))
    return {name: json.dumps(document[name], sort_keys=True) for name in ("brake", "plate", "mill")}


def edited(**fields: object) -> Design:
    d: Definition = design().rack.definition
    return Design(replace(design().rack, definition=replace(d, **fields)))  # type: ignore[arg-type]


def test_what_an_edit_changes() -> None:
    before, d = station(design()), design().rack.definition
    heavier = (replace(d.equipment[0], mass=d.equipment[0].mass + 5), *d.equipment[1:])
    edits = {
        "equipment mass": (edited(equipment=heavier), set()),
        "height": (edited(outside=replace(d.outside, height=d.outside.height + IN)), set()),
        "bend": (with_rings(bend=radians(40)), {"brake", "plate"}),
        "leg reach": (with_rings(leg_reach=IN + IN // 8), {"brake", "plate"}),
        "spigot": (edited(block=replace(d.block, spigot_gap=d.block.spigot_gap + 50_800)), {"mill"}),
        "turn": (with_rings({"top front left": radians(20)}), {"brake", "plate"}),
    }
    for name, (one, expected) in edits.items():
        after = station(one)
        assert {key for key in before if before[key] != after[key]} == expected, name


def test_every_number_has_its_formula_and_nothing_is_left_open_in_the_demo() -> None:
    document = plan_json(Plan(((design(), 1),), (), shop(), 0, items=items()))
    for name in ("brake", "plate", "mill"):
        assert [one["field"] for one in document[name]["asked"]] == []
        assert document[name]["cautions"]
    assert all(job["verified"] and job["feasible"] for job in document["plate"]["jobs"])
    assert all(bend["holds"] for bend in document["brake"]["bends"].values())
    assert all(blank["steps"] for blank in document["brake"]["blanks"].values())


def test_without_counted_stock_a_plan_still_stands_and_says_what_it_lacks() -> None:
    document = plan_json(Plan(((design(), 1),), (), shop(), 0))
    assert document["brake"]["blanks"]
    assert {one["field"] for one in document["plate"]["asked"]} == {"item"}
    assert {one["field"] for one in document["mill"]["asked"]} == {"item.length"}

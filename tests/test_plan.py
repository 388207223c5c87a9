"""One making of many: the demo's order planned, and what a change of the order changes."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

import rackwright
from rackwright.answers import PLAN_FORMAT, plan_json
from rackwright.design import Design
from rackwright.making.saw import first_answer
from rackwright.plan import Plan, money
from rackwright.rack import Source, read_rack
from rackwright.shop import read_shop, read_stock
from rackwright.trouble import DEFERENCE, PRELIMINARY, UNCONFIRMED
from rackwright.work.metal.planning import plan_in_time

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
STANDARD = (DEMO / "standards" / "er-47.toml").read_text("utf-8")
VARIATION = (DEMO / "variations" / "er-47-v12.toml").read_text("utf-8")
TUBE = "SQ 1.5x0.125"


def rack(standard: str = STANDARD, variation: str | None = VARIATION) -> Design:
    base = Source("er-47.toml", standard.encode())
    source = base if variation is None else Source("v.toml", variation.encode())
    found, faults = read_rack(source, {"er-47": base})
    assert found is not None, faults
    return Design(found)


def plan_of(*demand: tuple[Design, int], stock: bool = True, effort: int = 500) -> Plan:
    shop, _ = read_shop((DEMO / "shop.toml").read_bytes(), "shop.toml")
    bars, _ = read_stock((DEMO / "stock.toml").read_bytes(), "stock.toml")
    assert shop is not None
    assert bars is not None
    return Plan(demand, bars if stock else None, shop, effort)


@cache
def order() -> Plan:
    """Three racks of the demo's variation from the demo's stock."""
    return plan_of((rack(), 3))


def sections(document: dict[str, Any]) -> dict[str, Any]:
    return document["saw"]  # type: ignore[no-any-return]


def test_the_order_of_the_demo_is_planned_to_its_proven_optimum_and_better_than_first_fit() -> None:
    plan = order()
    assert plan.feasible
    assert [section.status for section in plan.saw] == ["optimal"] * 3
    assert all(section.gap == 0 and section.objective == section.lower_bound for section in plan.saw)
    (tube,) = [section for section in plan.saw if section.section == TUBE]
    assert tube.objective is not None
    assert tube.first_fit is not None
    assert tube.first_fit > tube.objective * 105 / 100
    assert plan_json(plan)["buy"] == []


def test_the_weak_and_the_uncertified_bar_are_named_with_the_reason() -> None:
    assert [(one.bar.id, [str(check) for check in one.failed]) for one in order().left_out] == [
        ("T-06", ["Fty: 34.2 ksi, short by 0.8 ksi, required at least 35 ksi"]),
        ("T-07", ["certificate: none, required a mill certificate"]),
    ]


def test_the_whole_order_is_in_the_list_of_pieces() -> None:
    quantities = {line.part: line.quantity for line in order().parts}
    assert sum(quantities.values()) == 3 * len(rack().pieces.made)
    tubes = [line for line in order().parts if line.section == TUBE]
    assert sum(line.quantity * (line.length_nm or 0) for line in tubes) == 3 * (162 + 84 + 92) * 25_400_000


def test_the_document() -> None:
    document = plan_json(order())
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert (document["format"], document["caution"]) == (PLAN_FORMAT, DEFERENCE)
    assert document["marks"] == [UNCONFIRMED]  # the least values are transcribed rows
    assert list(sections(document)) == ["L 1.5x1.5x0.1875", "L 1.5x1.75x0.125", TUBE]
    balance = document["balance"]
    assert balance["received_nm"] == sum(nm for name, nm in balance.items() if name != "received_nm")
    for section in sections(document).values():
        lengths = [cut["length_nm"] for bar in section["bars"] for cut in bar["cuts"]]
        assert sum(lengths) == section["balance"]["pieces_nm"]
        assert section["objective"].endswith(" USD")
        for bar in section["bars"]:
            assert [cut["length_nm"] for cut in bar["cuts"]] == sorted(
                (cut["length_nm"] for cut in bar["cuts"]), reverse=True
            )


def test_the_same_order_and_effort_give_the_same_document() -> None:
    assert json.dumps(plan_json(plan_of((rack(), 3)))) == json.dumps(plan_json(order()))


def test_without_stock_the_bars_to_buy_are_listed() -> None:
    plan = plan_of((rack(), 1), stock=False)
    document = plan_json(plan)
    assert {row["section"] for row in document["buy"]} == set(sections(document))
    bought = sum(row["count"] * row["length_nm"] for row in document["buy"])
    assert bought == document["balance"]["received_nm"]
    assert document["marks"] == []  # no certificate was judged
    assert plan.left_out == ()


def test_racks_of_two_designs_are_numbered_through() -> None:
    plan = plan_of((rack(), 2), (rack(variation=None), 1), stock=False, effort=40)
    (tube,) = [section for section in plan.saw if section.section == TUBE]
    of_rack = {cut.slot.rack: cut.slot.design for bar in tube.bars for cut in bar.cuts}
    assert of_rack == {1: "ER-47-V12", 2: "ER-47-V12", 3: "ER-47"}
    assert plan.racks == 3


# --- what a change changes -----------------------------------------------------------------------


def test_a_higher_rack_changes_the_tubes_and_no_angle() -> None:
    """43.5 in becomes 43 in: posts of 40 in instead of 40.5."""
    lower = plan_json(plan_of((rack(variation=VARIATION.replace('"43.5 in"', '"43 in"')), 3)))
    before = plan_json(order())
    posts = [row["cut_length_in"] for row in lower["pieces"] if row["part_number"].startswith("ER-47-V12-P")]
    assert posts == [40.0] * 2  # left and right are alike
    assert sections(lower)[TUBE] != sections(before)[TUBE]
    for name in ("L 1.5x1.5x0.1875", "L 1.5x1.75x0.125"):
        assert sections(lower)[name] == sections(before)[name]


def test_another_wall_is_another_section_with_nothing_on_the_shelf() -> None:
    """0.125 in becomes 0.188 in: the section has another name, so every tube is bought."""
    thick = STANDARD.replace('wall = "0.125 in"', 'wall = "0.188 in"').replace(
        'radius = "3/16 in"', 'radius = "1/4 in"'
    )
    document = plan_json(plan_of((rack(thick), 1), effort=40))
    assert TUBE not in sections(document)
    assert {row["section"] for row in document["buy"]} == {"SQ 1.5x0.188"}
    assert document["left_out"] == []


def test_a_heavier_item_changes_nothing_that_is_cut() -> None:
    heavy = VARIATION.replace('mass = "41 lb"', 'mass = "44 lb"')
    assert plan_json(plan_of((rack(variation=heavy), 3))) == plan_json(order())


def test_an_open_question_makes_it_preliminary() -> None:
    unknown = VARIATION.replace('mass_tolerance = "2 lb"\n', "")
    assert unknown != VARIATION
    assert plan_of((rack(variation=unknown), 3)).marks == (PRELIMINARY, UNCONFIRMED)


# --- answers from elsewhere, money ---------------------------------------------------------------


def test_a_plan_in_time_proves_what_effort_proves() -> None:
    plan = plan_of((rack(), 1))
    timed = plan_in_time(plan, 60)
    assert timed.answers is not None
    assert [one.objective for one in timed.answers] == [section.answer.objective for section in plan.saw]
    assert plan_json(timed)["search"] == {"effort": None, "stopped_by_clock": False}


def test_a_search_that_the_clock_stopped_says_so() -> None:
    plan = order().with_answers([first_answer(job.problem) for job in order().jobs])
    assert plan_json(plan)["search"] == {"effort": None, "stopped_by_clock": True}
    assert plan.saw[-1].status == "feasible"
    assert plan.saw[-1].gap > 0


@pytest.mark.parametrize(
    ("cents", "down", "text"),
    [("12.344", False, "12.34 USD"), ("12.345", False, "12.34 USD"), ("12.355", False, "12.36 USD"),
     ("12.349", True, "12.34 USD"), ("0", False, "0.00 USD"), ("-0.126", False, "-0.13 USD")],
)  # fmt: skip
def test_money_is_written_to_the_cent_and_a_bound_never_up(cents: str, down: bool, text: str) -> None:
    from fractions import Fraction

    assert money(Fraction(cents), "USD", down) == text
    assert money(None, "USD") is None


def test_a_rack_that_cannot_be_built_is_told() -> None:
    crowded = VARIATION.replace('size = ["15 in", "14 in", "5.5 in"]', 'size = ["15 in", "14 in", "9 in"]')
    plan = plan_of((rack(variation=crowded), 2))
    assert plan.faults
    assert len(set(plan.faults)) == len(plan.faults)
    assert replace(plan, demand=((rack(), 1),)).faults == ()

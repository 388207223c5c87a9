"""The price: sums that add up exactly, what is missing named, and a moved shelf that changes only what hangs on it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from order_of_three import STANDARD, VARIATION, order, plan, rack, shop
from rackwright.answers import plan_json
from rackwright.making.plate_value import plate_value
from rackwright.making.price import KINDS, Price, PriceLine
from rackwright.shop import Shop
from rackwright.trouble import PRELIMINARY

DEEPER = STANDARD.replace('depth = "26 in"', 'depth = "26.5 in"')


def whole(house: Shop | None = None) -> Shop:
    """The demo's shop with every cycle included in its time, so that nothing is asked for."""
    house = house or shop()
    return replace(
        house, operation_time=tuple(replace(row, cycle_included=True) for row in house.operation_time)
    )


def line(price: Price, name: str) -> PriceLine:
    (found,) = [one for one in price.lines if one.name == name]
    return found


def test_the_total_is_the_sum_of_its_lines_and_a_rack_is_its_share() -> None:
    price = plan(rack(), whole()).price
    assert price.asked == ()
    assert (
        price.total == sum(one.cost or 0 for one in price.lines) == sum(price.sum_of(kind) for kind in KINDS)
    )
    assert price.per_rack == price.total / 3
    assert price.marks == ()


def test_overhead_is_on_labour_and_profit_on_everything() -> None:
    price = plan(rack(), whole()).price
    labour = price.sum_of("labour")
    assert price.sum_of("overhead") == labour * Fraction(45, 100)
    assert price.sum_of("profit") == (price.known - price.sum_of("profit")) * Fraction(12, 100)


def test_lines_by_hand() -> None:
    """Saw 2.25 to 2.5 h at 68.00; AN4-22: 48 needed and 4 spare at 1.74; outside 240.00 and 105 pieces at 3.10."""
    price = plan(rack(), whole()).price
    saw = line(price, "saw")
    assert saw.cost == (saw.quantity or 0) * 68
    assert line(price, "AN4-22").cost == 52 * Fraction("1.74")
    assert line(price, "pretreat at Fellside Conversion (invented)").cost == 240 + 105 * Fraction("3.10")


def test_the_blanks_of_blocks_by_hand() -> None:
    """24 cubes of 3.5 in at 0.098 lb/in3 (6061) and 7.90 USD a pound: 24 x 42.875 x 0.098 x 7.90 = 796.65 USD."""
    found = line(plan(rack(), whole()).price, "BLOCK 3.5x3.5x3.5, AMS-QQ-A-225/8, 24 blanks")
    assert float(found.cost or 0) == pytest.approx(796.65, abs=0.01)


RINGS = "PLATE 0.25, ASTM A240 304"


def test_a_plate_is_priced_at_full_with_credit_for_what_goes_back_by_hand() -> None:
    """36 x 12 x 0.25 in of 0.2861 lb/in3 at 5.40 USD a pound are 166.87 USD; the rest is credited at 0.8 of it."""
    made = plan(rack(), whole())
    (job,) = [one for one in made.plate.jobs if one.stock == "ASTM A240 304"]
    back = sum(layout.rest_area for layout in job.layouts) / 0.0254**2
    full, credit = line(made.price, f"{RINGS}, 1 opened"), line(made.price, f"{RINGS}, back to store")
    assert float(full.cost or 0) == pytest.approx(36 * 12 * 0.25 * 0.2861 * 5.40, abs=0.05)
    assert -float(credit.cost or 0) == pytest.approx(back * 0.25 * 0.2861 * 5.40 * 0.8, abs=0.05)
    (value,) = [one for one in made.price.plates if one.name == RINGS]
    assert (value.full, value.credit, value.net) == (
        full.cost,
        -(credit.cost or 0),
        value.full - value.credit,
    )
    assert value.share == Fraction(8, 10)


def test_a_plate_that_is_a_remnant_is_booked_at_the_share_it_was_credited_at() -> None:
    """Plate in, remnant out, remnant in: what the two orders pay is what the plate cost less what is left."""
    made = plan(rack(), whole())
    (job,) = [one for one in made.plate.jobs if one.stock == "ASTM A240 304"]
    (new,) = [one for one in made.price.plates if one.name == RINGS]
    used = replace(job, plates=tuple(replace(one, remnant=True) for one in job.plates))
    old = plate_value(used, float(new.opened / (36 * 12 * Fraction(1, 4)) / Fraction("0.0254") ** 3), whole())
    assert old is not None
    assert float(old.full) == pytest.approx(float(new.full * Fraction(8, 10)), rel=1e-12)
    assert float(old.credit) == pytest.approx(float(new.credit), rel=1e-12)


def test_the_band_takes_a_plate_at_its_net() -> None:
    """What goes back is worth no more for certain than what was bought: a spread acts on both."""
    house = whole()
    spread = tuple(row for row in house.spread if row.kind != "material")
    one = next(row for row in house.spread if row.kind == "material")
    made = plan(rack(), replace(house, spread=(*spread, replace(one, below=0.5, above=0.5, name=None))))
    assert made.band is not None
    (below,) = [below for kind, below, _ in made.band.deviations if kind == "material"]
    assert below == made.price.sum_of("material") / 2 * Fraction("1.12")


def test_without_a_plate_blanks_go_by_their_rectangles() -> None:
    made = replace(plan(rack(), whole()), items=None)
    assert made.price.plates == ()
    assert line(made.price, f"{RINGS}, 24 blanks").cost


def test_a_missing_price_or_time_is_asked_for_and_there_is_no_total() -> None:
    house = whole()
    parts = tuple(row for row in house.part_price if row.part != "AN4-22")
    price = plan(rack(), replace(house, part_price=parts, pricing=None)).price
    assert {one.field for one in price.asked} == {
        "part_price.AN4-22",
        "pricing.overhead_share",
        "pricing.profit_share",
    }
    assert (price.total, price.per_rack, price.marks) == (None, None, (PRELIMINARY,))
    assert price.known > 0


def test_a_question_that_blocks_the_quote_makes_it_preliminary() -> None:
    start, end = STANDARD.index("[basis]"), STANDARD.index("# --- finish")
    price = plan(rack(STANDARD[:start] + STANDARD[end:]), whole()).price
    assert [question.id for question in price.questions] == ["basis"]
    assert price.total is not None
    assert price.marks == (PRELIMINARY,)


def test_a_moved_shelf_leaves_the_price_and_a_deeper_rack_changes_what_hangs_on_it() -> None:
    """A shelf moved by an inch has the same pieces, holes and joints; half an inch of depth changes the rest."""
    before = plan(rack(), whole()).price
    moved = plan(rack(variation=VARIATION.replace('height = "24 in"', 'height = "23 in"')), whole()).price
    assert moved.total == before.total
    deeper = plan(rack(DEEPER), whole()).price
    assert deeper.total != before.total
    same = {one.name for one in before.lines if one.kind in ("hardware", "outside")}
    assert {name: line(deeper, name).cost for name in same} == {
        name: line(before, name).cost for name in same
    }
    assert line(deeper, "saw").cost == line(before, "saw").cost
    sheets = "SHEET 0.125, AMS-QQ-A-250/11, 9 opened"
    assert line(deeper, sheets).cost == line(before, sheets).cost  # a panel takes its sheet, whole
    bought = [replace(plan(one, whole()), items=None).price for one in (rack(), rack(DEEPER))]
    panels = [line(one, "SHEET 0.125, AMS-QQ-A-250/11, 9 blanks").cost or 0 for one in bought]
    assert panels[1] > panels[0]


def test_a_shelf_more_costs_more() -> None:
    start = VARIATION.index('name = "middle"')
    more = VARIATION[:start] + 'name = "spare"\nheight = "15 in"\n[[change.shelf]]\n' + VARIATION[start:]
    with_spare = rack(variation=more, standard=STANDARD)
    price, before = plan(with_spare, whole()).price, plan(rack(), whole()).price
    for kind in ("material", "hardware", "labour", "outside"):
        assert price.sum_of(kind) > before.sum_of(kind)


def test_the_document_says_the_same_twice_and_shows_amounts_with_their_currency() -> None:
    one, again = (plan_json(plan(rack(), whole())) for _ in range(2))
    assert one == again
    assert one["price"]["total"].endswith(" USD")
    assert one["price"]["sums"].keys() == set(KINDS)
    assert one["route"]["ready"]
    assert len(one["assembly"]["designs"]["ER-47-V12"]["joints"]) == len(order().assembly[0].joints)

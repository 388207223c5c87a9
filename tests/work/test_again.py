"""A released rack computed again: nothing changed here; and what is told where something did."""

from __future__ import annotations

import json
from dataclasses import replace
from math import isfinite

import pytest

import small_shop as small
from rackwright.making.price import KINDS
from rackwright.trouble import Stopped
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.numbers import Numbers, Resting, margins_of, numbers_of, read_numbers
from rackwright.work.engineering.rows_used import rows_of
from rackwright.work.serials.again import NOT_FROZEN, again, by_piece, differences, not_kept
from stories.conftest import Begin
from stories.office import priced

OLD = "rackwright 0.0.9"


@pytest.fixture(scope="module")
def now() -> Numbers:
    return numbers_of(small.design())


def test_the_same_program_changes_no_number_and_no_gate(begin: Begin) -> None:
    record = begin("released").record
    found = again(record, "SN-1", small.shop())
    assert (found.changed, found.gates, found.brought, found.whole, found.stands) == ((), (), (), True, True)
    design = small.design()
    assert found.compared > 8 + len(design.strength.margins) + 3 * len(design.strength.reactions)
    assert dict(found.texts)["definition"]
    with pytest.raises(Stopped, match="RW503"):
        again(record, "SN-9", small.shop())


def test_prices_and_buckling_factors_are_kept_and_compared(begin: Begin) -> None:
    record = begin("released").record
    done = next(event for event in record.events() if event.type == "release")
    then = read_numbers(json.loads(record.get_file(done.body["numbers"])))
    assert not_kept(then) == again(record, "SN-1", small.shop()).not_kept == ()
    built = as_measured(small.state(record), small.design(), "SN-1", record.get_file)
    for one in built.strength.buckling:
        assert then.values[f"buckling factor {one.case}"] == (one.factor if isfinite(one.factor) else None)
    kinds = [then.values[f"price, {kind}, USD"] for kind in KINDS]
    assert then.values["price of one rack, USD"] == pytest.approx(sum(one or 0 for one in kinds), rel=1e-12)
    dearer = replace(
        small.shop(), labour=tuple(replace(one, per_hour=twice(one.per_hour)) for one in small.shop().labour)
    )
    changed = {one.name: one for one in again(record, "SN-1", dearer).changed}
    assert set(changed) == {
        f"price{what}, USD" for what in (" of one rack", ", labour", ", overhead", ", profit")
    }
    assert all(one.why[0] == NOT_FROZEN and not one.turned for one in changed.values())


def twice(price: str) -> str:
    amount, currency = price.split()
    return f"{2 * float(amount):.2f} {currency}"


def test_what_a_release_kept_none_of_is_named_and_not_compared(begin: Begin) -> None:
    """As a release of an older program stands in the record: its numbers without prices and buckling factors."""
    record = begin("released").record
    done = next(event for event in record.events() if event.type == "release")
    held = json.loads(record.get_file(done.body["numbers"]))
    held["values"] = {
        name: one for name, one in held["values"].items() if not name.startswith(("price", "buckling"))
    }
    then = read_numbers(held)
    assert not_kept(then) == ("prices", "buckling factors")
    assert not_kept(Numbers({}, {}, {})) == ("prices", "buckling factors", "natural frequencies")


def test_a_rack_that_was_not_released_has_nothing_to_compare_with(begin: Begin) -> None:
    with pytest.raises(Stopped, match="RW517"):
        again(begin("assembled").record, "SN-1", small.shop())


def test_numbers_are_read_as_they_were_kept(now: Numbers) -> None:
    assert read_numbers(now.to_json()) == now
    assert len(now.values) == len(set(now.values))
    assert now.rows
    assert now.cards


def test_a_row_that_is_another_one_is_named_with_each_margin_that_rests_on_it(now: Numbers) -> None:
    design = small.design()
    name, margin = next(
        (name, one) for name, one in margins_of(design).items() if one.margin and rows_of(design, one)
    )
    row = f"{type(rows_of(design, margin)[0]).__name__} {rows_of(design, margin)[0].id}"
    then = Numbers(
        {**now.values, name: -1.0}, {**now.rows, row: Resting("0" * 64, "a handbook (invented)")}, now.cards
    )
    (changed,) = differences(then, now, design, OLD)
    assert (changed.name, changed.then, changed.now, changed.turned) == (name, -1.0, margin.margin, True)
    assert f"row {row}" in changed.why


def test_a_formula_or_the_program_is_the_cause_where_no_row_is(now: Numbers) -> None:
    design = small.design()
    name, margin = next((name, one) for name, one in margins_of(design).items() if one.margin and one.steps)
    card = margin.steps[0][0]
    values = {**now.values, name: margin.margin * 1.01, "mass bare, kg": 1.0}  # type: ignore[operator]
    then = Numbers(values, now.rows, {**now.cards, card: Resting("0" * 64, "")})
    mass, changed = differences(then, now, design, OLD)
    assert changed.why == (f"formula {card}",)
    assert not changed.turned
    assert mass.why[0].startswith(f"the program itself: {OLD} then")


def test_a_number_that_came_or_went_is_told_and_a_last_place_is_none(now: Numbers) -> None:
    design = small.design()
    name, value = next((name, value) for name, value in now.values.items() if value and "margin" in name)
    assert (
        differences(Numbers({**now.values, name: value * (1 + 1e-12)}, now.rows, now.cards), now, design, OLD)
        == ()
    )
    gone = {key: one for key, one in now.values.items() if key != name}
    came, went = (differences(Numbers(a, now.rows, now.cards), Numbers(b, now.rows, now.cards), design, OLD)
                  for a, b in ((gone, now.values), (now.values, gone)))  # fmt: skip
    assert ["not there then" in one.why and one.turned for one in came] == [True]
    assert ["not there now" in one.why and one.turned for one in went] == [True]


def test_an_older_release_is_compared_by_each_piece_s_least_margin(begin: Begin) -> None:
    day = begin("released")
    done = next(event for event in day.record.events() if event.type == "release")
    built = as_measured(day.state, small.design(), "SN-1", day.record.get_file)
    assert list(by_piece(done, built)) == []
    rows = [dict(row) for row in done.body["margins"]]
    rows[0]["margin"] = "-0.100000"
    (changed,) = by_piece(replace(done, body={**done.body, "margins": rows}), built)
    assert changed.name == f"least margin of {rows[0]['piece']}"
    assert changed.turned


def test_a_release_before_oven_time_was_counted_is_told_so(
    begin: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = begin("released").record
    assert not any("oven" in words for words in again(record, "SN-1", small.shop()).brought)
    monkeypatch.setattr("rackwright.work.serials.again.counts_oven", lambda done: False)
    assert again(record, "SN-1", small.shop()).brought[0].startswith("the oven time of its coats")


def test_the_quote_that_the_order_accepted_stands_beside_the_price_of_now(begin: Begin) -> None:
    day = begin("released")
    assert again(day.record, "SN-1", small.shop()).quoted is None
    day.play("""
        lead offers Q-7 to Corrie & Tarn Survey (invented)
        lead offers Q-7 to Corrie & Tarn Survey (invented)
        lead agrees to Q-7 revision B
    """)
    agreed = day.record.events()[-1].seq
    price = day.state.quotes["Q-7"][-1].price
    found = again(day.record, "SN-1", priced().shop).quoted
    assert found is not None
    assert (found.quote, found.revision, found.agreed, found.racks, found.price) == (
        "Q-7",
        "B",
        agreed,
        2,
        price,
    )
    assert found.rows[0] == ("price", price, price)
    assert all(then == now for _, then, now in found.rows)
    dearer = replace(
        priced().shop,
        labour=tuple(replace(one, per_hour=twice(one.per_hour)) for one in priced().shop.labour),
    )
    rows = {name: (then, now) for name, then, now in again(day.record, "SN-1", dearer).quoted.rows}  # type: ignore[union-attr]
    assert rows["price"][0] == price
    assert float(rows["labour"][1].split()[0]) == pytest.approx(
        2 * float(rows["labour"][0].split()[0]), abs=0.0151
    )  # both are rounded to the cent: half a cent of the one, a cent of twice the other
    assert rows["material"][0] == rows["material"][1]

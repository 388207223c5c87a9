"""From an order to saw problems and back: nothing is lost on the grid, and the rules of the shop hold."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, cached_property
from pathlib import Path

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import rackwright
from rackwright.making.saw import Answer, first_answer, improve
from rackwright.making.sawing.assign import assign
from rackwright.making.sawing.cut_sheet import CuttingPlan, cutting_plan
from rackwright.making.sawing.cutting import (
    Kept,
    Need,
    SawJob,
    Slot,
    left_out,
    mass_per_metre,
    saw_jobs,
    stop_setting,
)
from rackwright.making.sawing.stop import Stops
from rackwright.pieces.build import Pieces, build
from rackwright.rack import Rack, Source, read_rack
from rackwright.shop import Shop, StockBar, read_shop, read_stock

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
IN = 25_400_000
TUBE, SPEC = "SQ 1.5x0.125", "AMS-WW-T-700/6"


@dataclass(frozen=True)
class Built:
    """A rack with its pieces."""

    rack: Rack
    pieces: Pieces


@cache
def demo() -> tuple[Built, Shop, tuple[StockBar, ...]]:
    base = Source("er-47.toml", (DEMO / "standards" / "er-47.toml").read_bytes())
    variation = Source("er-47-v12.toml", (DEMO / "variations" / "er-47-v12.toml").read_bytes())
    rack, _ = read_rack(variation, {"er-47": base})
    shop, _ = read_shop((DEMO / "shop.toml").read_bytes(), "shop.toml")
    bars, _ = read_stock((DEMO / "stock.toml").read_bytes(), "stock.toml")
    assert rack is not None
    assert shop is not None
    assert bars is not None
    return Built(rack, build(rack)), shop, bars


def with_lengths(lengths: dict[str, int]) -> Built:
    """The demo's rack with other lengths (nm) of posts, cross tubes and depth tubes, tubes alone."""
    built, _, _ = demo()
    tubes = [piece for piece in built.pieces.made if piece.kind in lengths]
    return replace(
        built, pieces=Pieces(tuple(replace(one, length=lengths[one.kind]) for one in tubes), (), ())
    )


def last(job: SawJob, effort: int = 60) -> Answer:
    return list(improve(job.problem, effort))[-1]


# --- a case worked by hand -----------------------------------------------------------------------


def test_one_bar_worked_by_hand() -> None:
    """Four posts of 40.5 in from a bar of 239 15/16 in, trim 1/2, kerf 0.127, clamp tail 2, remnant from 12 in.

    Steps of 0.001 in: bar 239.9375 - 0.03125 = 239.90625 -> 239906; a post 40627; left 239906 - 500 - 4 x 40627
    = 76898, a remnant. New counts 20 a step and a remnant 16: 239906 x 20 - 76898 x 16 = 3567752.
    """
    built, shop, bars = demo()
    only_posts = replace(
        built, pieces=Pieces(tuple(p for p in built.pieces.made if p.kind == "post"), (), ())
    )
    bar = replace(next(one for one in bars if one.id == "T-01"), length_nm=239 * IN + 15 * IN // 16)
    (job,) = saw_jobs([(only_posts, 1)], [bar], shop)
    made = next(one for one in job.problem.bars if one.id == "T-01")
    (piece,), (group,) = job.problem.pieces, job.problem.groups
    assert (made.length, made.trim, made.cost, job.problem.tail_min) == (239_906, 500, 4_798_120, 2000)
    assert (piece.use, piece.count, group.sets_of) == (40_627, 4, 4)
    plan = cutting_plan(job, last(job), Stops(shop))
    assert (plan.answer.objective, plan.status) == (3_567_752, "optimal")
    (cut_bar,) = plan.bars
    assert [cut.length_nm for cut in cut_bar.cuts] == [40 * IN + IN // 2] * 4
    assert cut_bar.rest_nm == 239 * IN + 15 * IN // 16 - IN // 2 - 4 * (40_627 * IN // 1000)
    assert cut_bar.keeps_rest


def test_money_is_mass_and_price() -> None:
    """1.5 in square tube, wall 1/8, corner 3/16: 0.6715 in2 x 0.098 lb/in3 = 0.06581 lb/in (hand: 4 x 1.375 x 0.125
    = 0.6875 less the corners (4 - pi)(0.1875^2 - 0.0625^2) = 0.0268 gives 0.6607); at 11.40 USD/lb."""
    built, shop, _ = demo()
    post = built.pieces.get("post.front-left")
    (job,) = saw_jobs([(replace(built, pieces=Pieces((post,), (), ())), 1)], None, shop)
    by_hand = (0.6875 - (4 - 3.14159265) * (0.1875**2 - 0.0625**2)) * 0.098 * 11.40
    per_inch = job.money(20_000)
    assert per_inch is not None
    assert float(per_inch) == pytest.approx(by_hand, rel=1e-9)
    grams = mass_per_metre(built.rack, post)
    assert grams is not None
    assert grams * 0.0254 / 0.45359237 == pytest.approx(by_hand / 11.40, rel=1e-9)


# --- laws over orders and stocks -----------------------------------------------------------------


@dataclass(frozen=True)
class Order:
    """Racks (nm of post, width, depth; how many), bars (like which of the demo's, nm) and a grid (nm)."""

    racks: tuple[tuple[tuple[int, int, int], int], ...]
    bars: tuple[tuple[str, int], ...]
    grid: int

    @cached_property
    def shop(self) -> Shop:
        shop = demo()[1]
        return replace(shop, style=replace(shop.style, grid=self.grid))

    @cached_property
    def stock(self) -> list[StockBar]:
        like = {bar.id: bar for bar in demo()[2]}
        return [replace(like[id], id=f"S{n}", length_nm=nm) for n, (id, nm) in enumerate(self.bars)]

    @cached_property
    def demand(self) -> list[tuple[Built, int]]:
        kinds = ("post", "width", "depth")
        return [(with_lengths(dict(zip(kinds, lengths, strict=True))), n) for lengths, n in self.racks]

    @cached_property
    def plans(self) -> list[CuttingPlan]:
        """First plans: the laws do not ask for good ones."""
        jobs = saw_jobs(self.demand, self.stock, self.shop)
        return [cutting_plan(job, first_answer(job.problem), Stops(self.shop)) for job in jobs]


LENGTHS = st.builds(lambda n, odd: n * IN // 4 + odd, st.integers(24, 240), st.sampled_from([0, 0, 397]))
BAR_LENGTHS = st.builds(lambda n, odd: n * IN // 64 + odd, st.integers(1, 300 * 64), st.integers(0, 999))
BARS = st.sampled_from(["T-01", "T-03", "T-05", "T-06", "T-07", "TR-11", "TR-12", "TR-13"])


def orders() -> st.SearchStrategy[Order]:
    """A few bars of several heats, good and bad, mill bars and remnants, on several grids."""
    rack = st.tuples(st.tuples(LENGTHS, LENGTHS, LENGTHS), st.integers(1, 2))
    return st.builds(
        Order,
        st.lists(rack, min_size=1, max_size=2).map(tuple),
        st.lists(st.tuples(BARS, BAR_LENGTHS), max_size=7).map(tuple),
        st.sampled_from([25_400, 20_000, 254_000]),
    )


@settings(max_examples=40, deadline=None)
@given(orders())
def test_every_piece_is_cut_once_at_its_exact_length(order: Order) -> None:
    wanted, rack = Counter[tuple[int, str, int | None]](), 0
    for built, quantity in order.demand:
        for _ in range(quantity):
            rack += 1
            wanted.update((rack, piece.id, piece.length) for piece in built.pieces.sawn)
    made = Counter(
        (cut.slot.rack, cut.slot.piece, cut.length_nm)
        for plan in order.plans
        for bar in plan.bars
        for cut in bar.cuts
    )
    assert all(not plan.missing for plan in order.plans)  # 24 ft can be bought
    assert made == wanted


@settings(max_examples=40, deadline=None)
@given(orders())
def test_no_nanometre_is_lost_and_the_clamp_keeps_its_tail(order: Order) -> None:
    stock, shop = order.stock, order.shop
    measured = {bar.id: bar.length_nm for bar in stock}
    for plan in order.plans:
        assert plan.balance.open == 0
        for bar in plan.bars:
            assert bar.measured_nm == measured.get(bar.bar, bar.measured_nm)
            assert bar.balance.open == 0
            left = bar.measured_nm - bar.trim_nm
            for cut in bar.cuts:
                left -= max(cut.length_nm, cut.stop_nm) + cut.kerf_nm
            # even of a bar that is shorter than measured, with every stop set long
            assert left - shop.saw.bar_length_uncertainty >= shop.saw.clamp_tail
            assert bar.cuts[-1].left_nm == bar.rest_nm
            if bar.keeps_rest:
                assert bar.rest_nm - shop.saw.bar_length_uncertainty >= shop.saw.remnant_min


@settings(max_examples=40, deadline=None)
@given(orders())
def test_the_posts_of_a_rack_come_from_one_heat_and_no_bad_bar_is_cut(order: Order) -> None:
    demand, stock, shop = order.demand, order.stock, order.shop
    bad = {one.bar.id for one in left_out(demand, stock, shop)}
    assert bad == {bar.id for bar in stock if bar.heat in ("H4533", "H4540")}
    heats: dict[int, set[str]] = {}
    for plan in order.plans:
        for bar in plan.bars:
            assert bar.bar not in bad
            for cut in bar.cuts:
                if cut.slot.piece.startswith("post."):
                    heats.setdefault(cut.slot.rack, set()).add(bar.heat)
    assert all(len(of_rack) == 1 for of_rack in heats.values())


@settings(max_examples=30, deadline=None)
@given(orders(), st.data())
def test_what_is_kept_is_not_cut_again_and_its_heat_binds_the_other_posts(
    order: Order, data: st.DataObject
) -> None:
    """Some pieces of the racks are there, of the heats that a plan gave them; the rest is planned once."""
    bars = [bar for plan in order.plans for bar in plan.bars if bar.heat]  # what is there is of a known heat
    cuts = [(cut.slot, bar.heat) for bar in bars for cut in bar.cuts]
    assume(cuts)
    some = data.draw(st.lists(st.sampled_from(cuts), unique_by=lambda one: one[0], max_size=8))
    kept = [Kept(slot.rack, slot.piece, heat) for slot, heat in some]
    heats: dict[int, set[str]] = {}
    for one in kept:
        if one.piece.startswith("post."):
            heats.setdefault(one.rack, set()).add(one.heat)
    seen = {(one.rack, one.piece) for one in kept}
    jobs = saw_jobs(order.demand, order.stock, order.shop, kept)
    for job in jobs:
        plan = cutting_plan(job, first_answer(job.problem), Stops(order.shop))
        for bar in plan.bars:
            for cut in bar.cuts:
                assert (cut.slot.rack, cut.slot.piece) not in seen
                seen.add((cut.slot.rack, cut.slot.piece))
                if cut.slot.piece.startswith("post."):
                    heats.setdefault(cut.slot.rack, set()).add(bar.heat)
        seen |= {(slot.rack, slot.piece) for slot in plan.missing}
    assert all(len(of_rack) == 1 for of_rack in heats.values())
    every = saw_jobs(order.demand, None, order.shop)
    assert seen == {
        (slot.rack, slot.piece) for job in every for need in job.needs.values() for slot in need.slots
    }


@settings(max_examples=25, deadline=None)
@given(orders())
def test_money_is_what_the_opened_bars_are_worth_less_what_goes_back(order: Order) -> None:
    shop, grid = order.shop, order.shop.style.grid
    for plan in order.plans:
        worth = Fraction(0)
        new = plan.job.money(20)
        assert new is not None
        for bar in plan.bars:
            rate = {"bar": Fraction(1), "remnant": Fraction(4, 5), "purchase": Fraction(5, 4)}[bar.kind]
            steps = (bar.measured_nm - shop.saw.bar_length_uncertainty) // grid
            used = sum(-(-(max(c.length_nm, c.stop_nm) + c.kerf_nm) // grid) for c in bar.cuts)
            left = steps - -(-bar.trim_nm // grid) - used
            worth += new * (rate * steps - Fraction(4, 5) * left * bar.keeps_rest)
        assert plan.objective == worth
        assert plan.lower_bound is not None
        assert plan.lower_bound <= worth
        assert plan.first_fit is None or plan.first_fit >= plan.objective


def test_more_effort_keeps_the_laws_and_never_costs_more() -> None:
    built, shop, bars = demo()
    for job in saw_jobs([(built, 2)], bars, shop):
        first, better = first_answer(job.problem), last(job, 60)
        assert better.objective <= first.objective
        assert better.lower_bound >= first.lower_bound
        plan = cutting_plan(job, better, Stops(shop))
        assert plan.balance.open == 0
        assert sum(len(bar.cuts) for bar in plan.bars) == job.pieces


# --- what is left out, and what is bought --------------------------------------------------------


def test_a_bar_of_another_form_than_its_allowables_is_left_out() -> None:
    """The tube is proven by the row of drawn tube: a certificate that prints extruded, or no form, will not do."""
    built, shop, stock = demo()
    left = {one.bar.id for one in left_out([(built, 1)], stock, shop)}
    bar = next(
        one for one in stock if one.section == "SQ 1.5x0.125" and one.certificate and one.id not in left
    )
    assert bar.certificate
    for form, good in (
        ("drawn tube", True),
        ("cold drawn tube", True),
        ("extruded tube", False),
        ("tube", False),
    ):
        other = replace(bar, certificate=replace(bar.certificate, form=form))
        found = left_out([(built, 1)], [other], shop)
        assert not found if good else [check.name for check in found[0].failed] == ["form"]


def test_a_bar_of_another_specification_is_left_out_by_name() -> None:
    built, shop, bars = demo()
    other = replace(bars[0], id="X", stock="AMS-QQ-A-200/8")
    (one,) = left_out([(built, 1)], [other], shop)
    assert [(check.name, check.required, check.found) for check in one.failed] == [
        ("stock", SPEC, "AMS-QQ-A-200/8")
    ]
    assert left_out([(built, 1)], [replace(other, section="SQ 2x0.125")], shop) == ()


def test_without_a_price_nothing_can_be_bought_and_no_money_is_named() -> None:
    built, shop, bars = demo()
    free = replace(shop, price=())
    with_price, without = saw_jobs([(built, 1)], bars, shop), saw_jobs([(built, 1)], bars, free)
    assert all(job.purchase == {} and job.money(1) is None for job in without)
    for a, b in zip(with_price, without, strict=True):
        assert set(b.problem.bars) == {bar for bar in a.problem.bars if bar.count is not None}
    plan = cutting_plan(without[0], last(without[0]), Stops(free))
    assert (plan.objective, plan.lower_bound, plan.first_fit) == (None, None, None)
    assert plan.answer.objective > 0


def test_what_finds_no_bar_is_named() -> None:
    long = with_lengths({"post": 300 * IN, "width": 20 * IN, "depth": 20 * IN})
    (job,) = saw_jobs([(long, 1)], None, demo()[1])
    plan = cutting_plan(job, last(job), Stops(demo()[1]))
    assert plan.status == "infeasible"
    assert {slot.piece for slot in plan.missing} == {p.id for p in long.pieces.sawn if p.kind == "post"}
    assert sum(len(bar.cuts) for bar in plan.bars) == 8


def test_stop_settings_are_to_the_resolution() -> None:
    _, shop, _ = demo()
    assert stop_setting(40 * IN + IN // 2, shop) == 40 * IN + IN // 2
    assert stop_setting(1_000_000_000, shop) == 39_370 * 25_400  # 1 m is 39.3701 in
    for length in range(1, 60_000, 777):
        assert abs(stop_setting(length, shop) - length) * 2 <= shop.saw.stop_resolution


def test_the_rule_of_one_heat_is_the_shop_s_choice() -> None:
    built, shop, bars = demo()
    loose = replace(shop, style=replace(shop.style, posts_from_one_heat=False))
    (tube,) = [job for job in saw_jobs([(built, 3)], bars, loose) if job.section == TUBE]
    (strict,) = [job for job in saw_jobs([(built, 3)], bars, shop) if job.section == TUBE]
    assert tube.problem.groups == ()
    assert first_answer(tube.problem).lower_bound <= last(strict).objective


# --- which rack gets which bar -------------------------------------------------------------------


def needs_of(racks: int, kinds: dict[str, tuple[int, bool]]) -> dict[str, Need]:
    def slots(name: str, number: int) -> tuple[Slot, ...]:
        return tuple(Slot(r, "D", f"{name}.{n}", name) for r in range(1, racks + 1) for n in range(number))

    return {name: Need(name, 1, slots(name, number), same) for name, (number, same) in kinds.items()}


def test_a_rack_is_taken_from_one_heat_where_one_can_give_it() -> None:
    needs = needs_of(2, {"post": (4, True), "cross": (2, False)})
    cuts = [("1", "A", [("post", 4)]), ("2", "B", [("post", 4), ("cross", 2)]), ("3", "A", [("cross", 2)])]
    heats: dict[int, set[str]] = {}
    for (_, heat, _), slots in zip(cuts, assign(cuts, needs), strict=True):
        for slot in slots:
            heats.setdefault(slot.rack, set()).add(heat)
    assert sorted(map(len, heats.values())) == [1, 1]


@given(st.data())
def test_every_slot_is_given_once_and_every_cut_is_used(data: st.DataObject) -> None:
    racks = data.draw(st.integers(1, 4))
    needs = needs_of(racks, {"post": (4, True), "cross": (data.draw(st.integers(1, 5)), False)})
    heat = st.sampled_from("ABC")
    cuts = [(f"P{n}", data.draw(heat), [("post", 4)]) for n in range(racks)]
    cuts += [(f"C{n}", data.draw(heat), [("cross", 1)]) for n, _ in enumerate(needs["cross"].slots)]
    given_slots = assign(cuts, needs)
    flat = [slot for slots in given_slots for slot in slots]
    assert sorted(flat) == sorted(slot for need in needs.values() for slot in need.slots)
    posts: dict[int, set[str]] = {}
    for (_, name, cut), slots in zip(cuts, given_slots, strict=True):
        assert len(slots) == sum(number for _, number in cut)
        for slot in slots:
            if slot.part == "post":
                posts.setdefault(slot.rack, set()).add(name)
    assert all(len(of_rack) == 1 for of_rack in posts.values())
    assert assign(cuts, needs) == given_slots

    shuffled = data.draw(st.permutations(cuts))
    before = {slot: bar for (bar, _, _), slots in zip(cuts, given_slots, strict=True) for slot in slots}
    for (bar, _, _), slots in zip(shuffled, assign(shuffled, needs, before), strict=True):
        assert {before[slot] for slot in slots} == {bar}, (
            "planned from the same cuts again, every piece stays"
        )

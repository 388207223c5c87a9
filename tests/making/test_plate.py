"""Flat pieces on plates: every layout is sound by a check that can also fail, and time follows from timed cuts."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from making.shop_order import IN, design, items, shop
from rackwright.making.blank import blanks
from rackwright.making.cutting import Slot
from rackwright.making.nest import Layout, Placed, check_layout, lay_out, plates_bound
from rackwright.making.plate import PlateJob, PlatePlan, plate_plan
from rackwright.shop import Shop, StockItem
from rackwright.shop.machines import PlateCut


def cut() -> PlateCut:
    found = shop().plate
    assert found is not None
    return found


def plate(length: float, width: float, count: int = 1) -> StockItem:
    return StockItem(
        "P",
        "plate",
        "PLATE 0.25",
        "S",
        "H",
        count,
        None,
        length_nm=round(length * IN),
        width_nm=round(width * IN),
    )


def slots(count: int) -> list[Slot]:
    return [Slot(n, "D", f"piece {n}", "D-T01") for n in range(count)]


def plan(
    quantity: int = 3, stock: tuple[StockItem, ...] | None = None, house: Shop | None = None
) -> PlatePlan:
    demand = ((design(), quantity),)
    house, stock = house or shop(), items() if stock is None else stock
    return plate_plan(demand, blanks(demand, stock, house), stock, house)


def rings(found: PlatePlan) -> PlateJob:
    return next(job for job in found.jobs if job.stock == "ASTM A240 304")


# --- laying out ----------------------------------------------------------------------------------


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(st.integers(10, 400), st.integers(10, 300)), min_size=1, max_size=30),
    st.lists(st.tuples(st.integers(200, 900), st.integers(100, 500), st.integers(1, 3)), min_size=1, max_size=3),
    st.integers(5, 40), st.integers(3, 40), st.integers(10, 200),
)  # fmt: skip
def test_every_layout_is_sound(
    sizes: list[tuple[int, int]], plates: list[tuple[int, int, int]], gap: int, edge: int, least: int
) -> None:
    unit = IN // 20
    jet = replace(cut(), gap=gap * unit, edge=edge * unit, remnant_min=least * unit)
    stock = [
        replace(plate(1, 1, n), id=f"P{i}", length_nm=a * unit, width_nm=b * unit)
        for i, (a, b, n) in enumerate(plates)
    ]
    wanted = [(slot, (a * unit, b * unit)) for slot, (a, b) in zip(slots(len(sizes)), sizes, strict=True)]
    layouts, missing = lay_out(wanted, stock, jet)
    assert [text for layout in layouts for text in check_layout(layout, jet)] == []
    assert sorted([one.slot for layout in layouts for one in layout.placed] + list(missing)) == slots(
        len(sizes)
    )
    if not missing:
        assert len(layouts) >= plates_bound([size for _, size in wanted], stock, jet)
    each = [item for item in stock for _ in range(item.count)]
    if len(layouts) < len(each):  # an unopened plate is one that nothing missing fits on
        closed = [
            item for n, item in enumerate(each) if (item.id, n - each.index(item) + 1) not in opened(layouts)
        ]
        for slot, (a, b) in wanted:
            if slot in missing:
                assert not any(
                    fits(a, item.length_nm, jet) and fits(b, item.width_nm, jet) for item in closed
                )


def opened(layouts: tuple[Layout, ...]) -> set[tuple[str, int]]:
    return {(layout.item, layout.number) for layout in layouts}


def fits(size: int, room: int | None, jet: PlateCut) -> bool:
    return size <= (room or 0) - 2 * jet.edge


def test_equal_blanks_fill_columns_and_rows_as_counted_by_hand() -> None:
    """3 x 1.5 in with web 0.25 and border 0.375 on 24 x 12 in: 7 columns, 6 rows."""
    size = (3 * IN, 3 * IN // 2)
    for count, left in ((42, 0), (43, 1)):
        layouts, missing = lay_out([(slot, size) for slot in slots(count)], [plate(24, 12)], cut())
        assert len(missing) == left
        assert len(layouts[0].placed) == 42


WRONG = [
    ({"at": (0, IN)}, "border"),
    ({"at": (22 * IN, IN)}, "border"),
    ({"at": (4 * IN, IN)}, "apart"),
    ({"turned": 90}, "grain"),
]


@pytest.mark.parametrize(("change", "word"), WRONG)
def test_the_checker_finds_what_is_wrong(change: dict[str, object], word: str) -> None:
    size = (3 * IN, 3 * IN // 2)
    a, b = (Placed(slot, (x * IN, IN), size) for slot, x in zip(slots(2), (2, 10), strict=True))
    sound = Layout("P", 1, "H", (24 * IN, 12 * IN), (a, b), None)
    assert check_layout(sound, cut()) == []
    bad = replace(sound, placed=(a, replace(b, **change)))  # type: ignore[arg-type]
    assert any(word in text for text in check_layout(bad, cut()))
    rest = replace(sound, rest=((12 * IN, 0), (12 * IN, 12 * IN)))
    assert any("apart" in text for text in check_layout(rest, cut()))


# --- the order -----------------------------------------------------------------------------------


def test_the_order_of_the_demo_on_one_plate_with_a_rest_that_goes_back() -> None:
    found = plan()
    job = rings(found)
    assert found.asked == ()
    assert (job.missing, job.problems) == ((), ())
    assert (len(job.layouts), job.plates_bound, found.sheets_of("P-41")) == (1, 1, 1)
    (layout,) = job.layouts
    assert len(layout.placed) == 24
    assert layout.rest is not None
    assert min(layout.rest[1]) >= cut().remnant_min
    assert job.density_of_plates < job.density < 1
    assert job.net_area == pytest.approx(24 * next(iter(job.flats.values())).area)


def test_blanks_without_room_are_named() -> None:
    small = tuple(
        replace(item, count=1, length_nm=12 * IN) if item.id == "P-41" else item for item in items()
    )
    job = rings(plan(stock=small))
    assert len(job.missing) == 24 - sum(len(layout.placed) for layout in job.layouts) > 0


def test_a_plate_with_a_weak_certificate_is_not_cut() -> None:
    def weak(item: StockItem) -> StockItem:
        assert item.certificate is not None
        return replace(item, certificate=replace(item.certificate, Fty=1e6))

    found = plan(stock=tuple(weak(item) if item.id == "P-41" else item for item in items()))
    assert rings(found).layouts == ()
    assert any(one.field == "item" for one in found.asked)


def test_time_of_a_blank_by_hand() -> None:
    """8 in/min from three cuts; path of outline + pi kerf; holes at half speed, each smaller by a kerf; 4 pierces."""
    job = rings(plan())
    flat, time = next(iter(job.flats.values())), next(iter(job.times.values()))
    outline = flat.perimeter / 0.0254 + pi * 0.042
    holes = pi * (0.625 - 0.042) + 2 * pi * (0.2505 - 0.042)
    assert (job.speed or 0) / 0.0254 * 60 == pytest.approx(8.0)
    assert time.time == pytest.approx((outline / 8 + holes / 4) * 60 + 4 * 6, rel=1e-9)
    assert time.abrasive == pytest.approx((time.time - 24) / 60 * 0.75 * 0.45359237, rel=1e-9)
    assert (job.time or 0) == pytest.approx(24 * time.time + (job.moves or 0))


def test_a_timed_cut_of_another_quality_is_scaled_and_none_is_asked_for() -> None:
    finer = replace(shop(), plate=replace(cut(), quality=5))
    job = rings(plan(house=finer))
    assert rings(plan()).speed == pytest.approx((job.speed or 0) * (5 / 3) ** 1.15, rel=0.05)
    assert "scaled" in job.speed_how
    none = plan(house=replace(shop(), plate=replace(cut(), timed_cut=())))
    assert none.time is None
    assert {one.field for one in none.asked} == {"plate.timed_cut"}
    assert plan(house=replace(shop(), plate=None)).asked[0].field == "plate"

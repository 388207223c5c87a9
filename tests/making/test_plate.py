"""Flat pieces on plates: every layout is sound by a check that can also fail, and time follows from timed cuts."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, cos, pi, sin

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely import Point, Polygon

from making.shop_order import FOLDER, IN, design, items, shop
from rackwright.making.blank import blanks
from rackwright.making.flat import Flat, FlatHole, Segment, rectangle
from rackwright.making.nest import (
    Layout,
    Placed,
    area_bound,
    check_layout,
    lay_out,
    outline_area,
    plates_bound,
)
from rackwright.making.nest.distance import distance, inside
from rackwright.making.plate import Nest, PlateJob, PlatePlan, plate_json, plate_plan
from rackwright.making.sawing.cutting import Slot
from rackwright.plan import Plan
from rackwright.shop import Shop, StockItem
from rackwright.shop.machines import PlateCut
from rackwright.shop.read_stock import read_stock_items
from rackwright.work.metal.nesting import nested


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
        by_shape=True,
    )


def plan(
    quantity: int = 3, stock: tuple[StockItem, ...] | None = None, house: Shop | None = None
) -> PlatePlan:
    demand = ((design(), quantity),)
    house, stock = house or shop(), items() if stock is None else stock
    return plate_plan(demand, blanks(demand, stock, house), stock, house)


def rings(found: PlatePlan) -> PlateJob:
    return next(job for job in found.jobs if job.stock == "ASTM A240 304")


def straight(
    sizes: list[tuple[int, int]], turns: tuple[int, ...] = (0, 180)
) -> tuple[list[Slot], dict[str, Flat]]:
    """A rectangle of each size, each a part of its own."""
    flats = {
        f"D-{n}": Flat(f"D-{n}", "PLATE 0.25", "S", IN, rectangle(a, b), turns=turns)
        for n, (a, b) in enumerate(sizes)
    }
    return [Slot(n, "D", f"piece {n}", f"D-{n}") for n in range(len(sizes))], flats


# --- laying out ----------------------------------------------------------------------------------


def test_equal_blanks_fill_columns_and_rows_as_counted_by_hand() -> None:
    """3 x 1.5 in with web 0.25 and border 0.375 on 24 x 12 in: 7 columns, 6 rows."""
    for count, left in ((42, 0), (43, 1)):
        wanted, flats = straight([(3 * IN, 3 * IN // 2)] * count)
        layouts, missing = lay_out(wanted, flats, [plate(24, 12)], cut())
        assert len(missing) == left
        assert len(layouts[0].placed) == 42


def test_what_just_fits_is_laid() -> None:
    """Four of 2.625 in and three webs are the 11.25 in inside the border; one nanometre more leaves one out."""
    for beyond, left in ((0, 0), (1, 1)):
        wanted, flats = straight([(23 * IN + IN // 4, 21 * IN // 8 + beyond)] * 4)
        _, missing = lay_out(wanted, flats, [plate(24, 12)], cut())
        assert len(missing) == left


def ring_and_gusset() -> dict[str, Flat]:
    ring = next(iter(rings(plan()).flats.values()))
    a = 3 * IN
    corners = ((0, 0), (a, 0), (a, IN), (IN, a), (0, a))
    gusset = tuple(Segment(p, q) for p, q in zip(corners, (*corners[1:], corners[0]), strict=True))
    washer = tuple(Segment((x, 0), (-x, 0), (0, 0)) for x in (3 * IN, -3 * IN))
    return {
        "R": ring,
        "G": Flat("G", "PLATE 0.25", "S", IN, gusset, turns=(0, 90, 180, 270)),
        "W": Flat("W", "PLATE 0.25", "S", IN, washer, (FlatHole("bore", (0, 0), 5 * IN, 5 * IN),), (0,)),
    }


@settings(max_examples=25, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(
    st.lists(st.sampled_from("RGW"), min_size=1, max_size=14),
    st.integers(12, 40), st.integers(5, 24), st.integers(1, 2),
    st.integers(2, 20), st.integers(2, 20), st.booleans(),
)  # fmt: skip
def test_every_layout_is_sound_and_an_independent_library_agrees(
    parts: list[str], long: int, wide: int, count: int, gap: int, edge: int, stepped: bool
) -> None:
    """Each blank once or missing; border, web, overlap and remnants by shapely on fine polygons of the arcs."""
    jet = replace(cut(), gap=gap * IN // 20, edge=edge * IN // 20)
    stock = plate(long, wide, count)
    if stepped:  # a remnant with a corner cut away
        a, b = long * IN, wide * IN
        stock = replace(stock, outline=((0, 0), (a, 0), (a, b // 2), (a // 2, b // 2), (a // 2, b), (0, b)))
    flats = ring_and_gusset()
    wanted = [Slot(n, "D", f"piece {n}", part) for n, part in enumerate(parts)]
    layouts, missing = lay_out(wanted, flats, [stock], jet)
    assert [text for layout in layouts for text in check_layout(layout, flats, jet)] == []
    assert sorted([p.slot for layout in layouts for p in layout.placed] + list(missing)) == wanted
    assert len(layouts) >= (plates_bound(wanted, flats, [stock], jet) if not missing else 0)
    for layout in layouts:
        border = Polygon(layout.border)
        rests = [Polygon(rest) for rest in layout.rests]
        bodies = [body(one, flats[one.slot.part]) for one in layout.placed]
        assert all(border.contains(b) and b.distance(border.exterior) >= jet.edge - CHORD for b in bodies)
        for n, one in enumerate(bodies):
            assert all(one.distance(other) >= jet.gap - CHORD for other in [*bodies[:n], *rests])
        taken = sum(b.area for b in bodies) + sum(rest.area for rest in rests)
        assert taken <= border.area + 1
        assert all(rest.within(border.buffer(2)) for rest in rests)


CHORD = 8_000  # nm: 5738 and 1912 are what chords of a 128th of pi leave of arcs of 3 and 1 in


def body(one: Placed, flat: Flat) -> Polygon:
    """The metal of a blank, arcs as many chords."""
    points: list[tuple[float, float]] = []
    for segment in one.outline(flat):
        points.append(segment.start)
        if segment.centre is not None:
            (cx, cy), first = (
                segment.centre,
                atan2(segment.start[1] - segment.centre[1], segment.start[0] - segment.centre[0]),
            )
            points += [
                (cx + segment.radius * cos(first + k * pi / 128), cy + segment.radius * sin(first + k * pi / 128))
                for k in range(1, round(segment.turn / (pi / 128)))
            ]  # fmt: skip
    holes = [Point(hole.at).buffer(hole.cut / 2, quad_segs=64) for hole in one.holes(flat)]
    made = Polygon(points)
    for hole in holes:
        made = made.difference(hole)
    return made


@settings(max_examples=60, deadline=None, phases=[Phase.explicit, Phase.generate])
@given(
    st.sampled_from("RG"), st.sampled_from("RGW"), st.sampled_from((0, 90, 180, 270)),
    st.integers(-300, 300), st.integers(-300, 300),
)  # fmt: skip
def test_the_checkers_distance_is_that_of_an_independent_library(
    a: str, b: str, turned: int, x: int, y: int
) -> None:
    flats = ring_and_gusset()
    one = Placed(Slot(1, "D", "a", a), (0, 0), flats[a].size, 0)
    two = Placed(Slot(2, "D", "b", b), (x * IN // 40, y * IN // 40), flats[b].size, turned)
    here, there = one.outline(flats[a]), two.outline(flats[b])
    peer = body(one, flats[a]).exterior.distance(body(two, flats[b]).exterior)
    assert distance(here, there) == pytest.approx(peer, abs=CHORD)
    point = (x * IN // 50 + 1, y * IN // 50 + 1)
    solid = Polygon(body(two, flats[b]).exterior)
    if solid.exterior.distance(Point(point)) > CHORD:
        assert inside(point, there) == solid.contains(Point(point))


def test_small_blanks_lie_in_a_cut_out_first() -> None:
    flats = ring_and_gusset()
    wanted = [Slot(1, "D", "washer", "W"), Slot(2, "D", "gusset", "G")]
    (layout,), missing = lay_out(wanted, flats, [plate(6.76, 6.76)], cut())
    assert missing == ()
    assert len(layout.placed) == 2
    assert check_layout(layout, flats, cut()) == []
    moved = replace(layout, placed=tuple(replace(p, at=(p.at[0] + IN // 2, p.at[1])) if p.slot.part == "G" else p
                                         for p in layout.placed))  # fmt: skip
    assert any("overlap" in text for text in check_layout(moved, flats, cut()))


WRONG = [
    ({"at": (0, IN)}, "border"),
    ({"at": (22 * IN, IN)}, "border"),
    ({"at": (51 * IN // 10, IN)}, "apart"),
    ({"at": (2 * IN + 1, IN + 1)}, "overlap"),
    ({"turned": 90, "size": (3 * IN // 2, 3 * IN)}, "grain"),
    ({"size": (2 * IN, IN)}, "size"),
]


@pytest.mark.parametrize(("change", "word"), WRONG)
def test_the_checker_finds_what_is_wrong(change: dict[str, object], word: str) -> None:
    size = (3 * IN, 3 * IN // 2)
    wanted, flats = straight([size, size])
    a, b = (Placed(slot, (x * IN, IN), size) for slot, x in zip(wanted, (2, 10), strict=True))
    sound = Layout("P", 1, "H", (24 * IN, 12 * IN), (a, b))
    assert check_layout(sound, flats, cut()) == []
    bad = replace(sound, placed=(a, replace(b, **change)))  # type: ignore[arg-type]
    assert any(word in text for text in check_layout(bad, flats, cut()))


@pytest.mark.parametrize(
    ("rests", "word"),
    [
        ([(12, 0, 24, 12)], "apart"),
        ([(20, 0, 25, 12)], "beyond"),
        ([(0, 5, 24, 12), (1, 6, 3, 7)], "overlap"),
    ],
)
def test_the_checker_finds_a_remnant_that_is_not_there(rests: list[tuple[int, ...]], word: str) -> None:
    size = (3 * IN, 3 * IN // 2)
    wanted, flats = straight([size, size])
    placed = tuple(Placed(slot, (x * IN, IN), size) for slot, x in zip(wanted, (2, 10), strict=True))
    boxes = tuple(
        tuple((x * IN, y * IN) for x, y in ((a, b), (c, b), (c, d), (a, d))) for a, b, c, d in rests
    )
    found = check_layout(Layout("P", 1, "H", (24 * IN, 12 * IN), placed, boxes), flats, cut())
    assert any(word in text for text in found)


def test_a_remnant_is_a_shape_and_the_next_nest_takes_it_first() -> None:
    """One of 3 x 1.5 in lies in the corner: an L goes back, and a large blank then fills its wider part."""
    wanted, flats = straight([(3 * IN, 3 * IN // 2)])
    (layout,), _ = lay_out(wanted, flats, [plate(24, 12)], cut())
    (rest,) = layout.rests
    assert len(rest) == 6
    assert outline_area(rest) < layout.area - sum(flats[p.slot.part].area for p in layout.placed)
    low = [min(p[i] for p in rest) for i in (0, 1)]
    size = [max(p[i] for p in rest) - low[i] for i in (0, 1)]
    back = replace(plate(1, 1), id="P-R", length_nm=size[0], width_nm=size[1],
                   outline=tuple((x - low[0], y - low[1]) for x, y in rest))  # fmt: skip
    more, forms = straight([(20 * IN, 73 * IN // 8)])
    (again,), missing = lay_out(more, forms, [plate(24, 12), back], cut())
    assert (again.item, missing) == ("P-R", ())
    assert check_layout(again, forms, cut()) == []


def test_the_bound_of_the_area_by_hand() -> None:
    """Discs of 6 in with a web of 0.25 need discs of 6.25 in: a plate of 24 x 12 holds no more than 8 by area."""
    disc = replace(ring_and_gusset()["W"], holes=())
    wanted = [Slot(n, "D", f"piece {n}", "W") for n in range(9)]
    assert area_bound(wanted[:1], {"W": disc}, cut()) == pytest.approx(
        pi / 4 * (6.25 * 0.0254) ** 2, rel=1e-9
    )
    assert (23.25 + 0.25) * (11.25 + 0.25) / (pi / 4 * 6.25**2) == pytest.approx(8.81, abs=0.005)
    assert plates_bound(wanted[:8], {"W": disc}, [plate(24, 12, 3)], cut()) == 1
    assert plates_bound(wanted, {"W": disc}, [plate(24, 12, 3)], cut()) == 2


# --- the library ---------------------------------------------------------------------------------


def test_the_librarys_packs_are_repeatable_and_sound() -> None:
    pytest.importorskip("spyrrow")
    demand = ((design(), 1),)
    made = Plan(demand, (), shop(), items=items())
    one, two = (nested(made, 12) for _ in range(2))
    assert one.nests == two.nests
    assert one.nests
    flats = {part: flat for job in made.plate.jobs for part, flat in job.flats.items()}
    for nest in one.nests:
        assert [text for layout in nest.layouts for text in check_layout(layout, flats, cut())] == []
    for before, after in zip(made.plate.jobs, one.plate.jobs, strict=True):
        assert after.used_area <= before.used_area
        assert after.problems == ()


def test_an_unsound_nest_from_elsewhere_is_not_taken() -> None:
    job = rings(plan())
    heap = tuple(replace(layout, placed=tuple(replace(p, at=layout.placed[0].at) for p in layout.placed), rests=())
                 for layout in job.layouts)  # fmt: skip
    whole = replace(heap[0], rests=(((0, 0), (IN, 0), (IN, IN), (0, IN)),))
    bad = Nest(job.section, job.stock, (whole,), (), "someone")
    demand = ((design(), 3),)
    found = plate_plan(demand, blanks(demand, items(), shop()), items(), shop(), [bad])
    assert rings(found).layouts == job.layouts
    assert rings(found).packer != "someone"


# --- the order -----------------------------------------------------------------------------------


def test_the_order_of_the_demo_on_one_plate_with_a_rest_that_goes_back() -> None:
    found = plan()
    job = rings(found)
    assert found.asked == ()
    assert (job.missing, job.problems) == ((), ())
    assert (len(job.layouts), job.plates_bound, found.sheets_of("P-41")) == (1, 1, 1)
    (layout,) = job.layouts
    assert len(layout.placed) == 24
    assert layout.rests
    areas = plate_json(found, shop())["jobs"]
    for one in areas:  # type: ignore[attr-defined]
        parts = dict(one["areas_m2"])
        assert parts.pop("opened") == pytest.approx(sum(parts.values()), rel=1e-12)
        assert min(parts.values()) >= 0
    assert job.density < job.density_bound
    assert job.density_of_plates < job.density < 1
    assert job.net_area == pytest.approx(24 * next(iter(job.flats.values())).area)


@pytest.mark.parametrize("racks", [1, 3])
def test_area_in_is_parts_kerf_remnants_and_scrap_and_an_independent_library_finds_the_scrap(
    racks: int,
) -> None:
    """Exact as booked; and what shapely leaves of each plate when blanks with their kerf and remnants are taken off."""
    found, kerf = plan(racks), cut().kerf
    for job in found.jobs:
        areas = job.areas(kerf)
        assert areas.opened == areas.blanks + areas.kerf + areas.back + areas.scrap
        assert areas.opened == sum(layout.size[0] * layout.size[1] for layout in job.layouts)
        left = 0.0
        for layout in job.layouts:
            rest = Polygon(layout.border)
            for one in layout.placed:
                rest = rest.difference(taken(one, job.flats[one.slot.part], kerf))
            for shape in layout.rests:
                rest = rest.difference(Polygon(shape))
            left += rest.area
        assert areas.scrap == pytest.approx(left, rel=1e-3)


def taken(one: Placed, flat: Flat, kerf: int) -> Polygon:
    """A blank with the kerf round it and in its holes: what is left in a hole is its drop."""
    outer = Polygon(body(one, flat).exterior).buffer(kerf, quad_segs=64)
    for hole in one.holes(flat):
        if hole.cut > 2 * kerf:
            outer = outer.difference(Point(hole.at).buffer(hole.cut / 2 - kerf, quad_segs=64))
    return outer


def test_a_sheet_that_is_only_counted_gives_nothing_back() -> None:
    wanted, flats = straight([(3 * IN, 3 * IN // 2)])
    for by_shape in (True, False):
        (layout,), _ = lay_out(wanted, flats, [replace(plate(24, 12), by_shape=by_shape)], cut())
        assert bool(layout.rests) is by_shape


def one_plate() -> tuple[StockItem, ...]:
    """The demo's stock with P-41 alone for the rings."""
    return tuple(item for item in items() if item.id != "P-43")


def test_blanks_without_room_are_named() -> None:
    small = tuple(replace(item, length_nm=12 * IN) if item.id == "P-41" else item for item in one_plate())
    job = rings(plan(stock=small))
    assert len(job.missing) == 24 - sum(len(layout.placed) for layout in job.layouts) > 0
    assert sum(one.count for one in job.short) == len(job.missing)
    on_one = len(job.layouts[0].placed)
    assert [one.buy for one in job.short] == [-(-one.count // on_one) for one in job.short]
    assert job.short[0].least == (
        job.flats[job.short[0].part].size[0] + 2 * cut().edge,
        2 * IN + 2 * cut().edge,
    )


def test_a_blank_larger_than_every_plate_says_how_large_one_must_be() -> None:
    tiny = tuple(replace(item, length_nm=3 * IN) if item.id == "P-41" else item for item in one_plate())
    job = rings(plan(stock=tiny))
    assert {one.buy for one in job.short} == {None}
    assert job.short[0].least[0] > 3 * IN


def test_a_plate_with_a_weak_certificate_is_not_cut() -> None:
    def weak(item: StockItem) -> StockItem:
        assert item.certificate is not None
        return replace(item, certificate=replace(item.certificate, Fty=1e6))

    found = plan(stock=tuple(weak(item) if item.id == "P-41" else item for item in one_plate()))
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


# --- a remnant in the stock file -----------------------------------------------------------------


def stock_with(outline: str, more: str = "") -> bytes:
    text = (FOLDER / "stock.toml").read_text()
    head, tail = text.split('id = "P-41"')
    tail = tail.replace('length = "36 in"', outline, 1).replace('width = "12 in"', more, 1)
    return f'{head}id = "P-41"{tail}'.encode()


L_CORNERS = ((4, 0), (30, 0), (30, 12), (10, 12), (10, 6), (4, 6))
L_SHAPE = "outline = [" + ", ".join(f'["{x} in", "{y} in"]' for x, y in L_CORNERS) + "]"


def test_a_remnant_is_read_by_its_corners_and_nested_on() -> None:
    found, faults = read_stock_items(stock_with(L_SHAPE), "stock.toml")
    assert found is not None, faults
    remnant = next(item for item in found[1] if item.id == "P-41")
    assert (remnant.length_nm, remnant.width_nm) == (26 * IN, 12 * IN)
    two = tuple(replace(remnant, id="P-43") if item.id == "P-43" else item for item in found[1])
    job = rings(plan(stock=two))
    assert {layout.outline for layout in job.layouts} == {remnant.outline}
    assert (job.problems, len(job.missing)) == ((), 0)


@pytest.mark.parametrize(
    ("old", "new", "code", "field"),
    [
        ('length = "36 in"\nwidth = "12 in"\n', "", "RW101", "plate[1]"),
        ('length = "36 in"\nwidth', "width", "RW101", "plate[1]"),
        ('id = "P-43"', 'id = "P-41"', "RW107", "plate[1].id"),
        ('id = "P-43"', 'id = "T-01"', "RW107", "plate[1].id"),
        ('id = "P-43"', 'id = "P-42"', "RW107", "plate[1].id"),
        ('id = "P-43"', 'id = "P-43"\ncount = 2', "RW102", "plate[1].count"),
        ('certificate = "KP-0552"', 'certificate = "KP-0553"', "RW108", "plate[1].certificate"),
    ],
)
def test_a_plate_that_is_none_is_a_located_fault(old: str, new: str, code: str, field: str) -> None:
    head, at, tail = (FOLDER / "stock.toml").read_text("utf-8").partition('id = "P-43"')
    plate = at + tail
    assert old in plate
    found, faults = read_stock_items((head + plate.replace(old, new, 1)).encode(), "stock.toml")
    assert found is None
    assert [(fault.code, fault.where.field) for fault in faults] == [(code, field)]
    assert faults[0].where.line > head.count("\n") - 2


@pytest.mark.parametrize(
    ("outline", "more", "word"),
    [
        ('outline = [["0 in", "0 in"], ["9 in", "0 in"]]', "", "three corners"),
        ('outline = [["0 in", "0 in"], ["0 in", "9 in"], ["9 in", "0 in"]]', "", "clockwise"),
        (
            'outline = [["0 in", "0 in"], ["9 in", "0 in"], ["9 in", "9 in"], ["4 in", "-3 in"], ["0 in", "9 in"]]',
            "",
            "cross",
        ),
        (L_SHAPE, 'width = "12 in"', "length or width"),
    ],
)
def test_an_outline_that_is_none_is_a_located_fault(outline: str, more: str, word: str) -> None:
    found, faults = read_stock_items(stock_with(outline, more), "stock.toml")
    assert found is None
    fault = next(one for one in faults if "outline" in one.where.field)
    assert (fault.code, word in fault.found) == ("RW106", True)
    assert fault.where.line > 0

"""A plate is received, signed out, cut into ring blanks, and what is left of it goes back: metal, heat and grain."""

from __future__ import annotations

import pytest

import small_shop as small
from rackwright.design import Design
from rackwright.making.plate import kerf_area, metal_area
from rackwright.plan import Plan
from rackwright.work.keeping.balance import accounts
from rackwright.work.metal.plates import flats_for, items_as_recorded, profile_cut, visit_of
from rackwright.work.metal.sawing import issue, piece_id
from stories.conftest import Begin
from stories.shop import Day

IN = 25_400_000
RINGS = ", ".join(piece.id for piece in small.design().pieces.made if piece.kind == "ring")
REST = "remnant P-1-R: 8 in x 0 in; 36 in x 0 in; 36 in x 12 in; 8 in x 12 in"


def signed_out(begin: Begin) -> Day:
    return begin("ordered").play(f"""
        stores receives P-1, plate 36 in by 12 in, heat K9921
        machinist issues P-1 for {RINGS} of SN-1                      -> RW511
        inspector accepts P-1
        machinist issues P-1 for {RINGS} of SN-1
    """)


def test_a_plate_from_receiving_to_its_remnants_remnant(begin: Begin) -> None:
    day = signed_out(begin).play(f"""
        machinist issues P-1 for rail.left of SN-1                    -> RW511
        machinist profile-cuts P-1, {REST}                            -> RW517
        machinist profile-cuts P-1, {REST} labelled L-1
        stores receives P-2, plate 36 in by 12 in, heat K9921
        inspector accepts P-2
        machinist issues P-2 for {RINGS} of SN-2
        machinist profile-cuts P-2, {REST.replace("P-1", "P-2")} labelled L-1     -> RW517
        machinist profile-cuts P-2, {REST.replace("P-1", "P-2")} labelled L-2
        machinist issues P-1-R reading L-2 for extra of SN-2         -> RW517
        machinist issues P-1-R reading L-1 for extra of SN-2
    """)
    assert day.why("machinist profile-cuts P-1") == "remnant P-1-R has no label"
    assert day.why("machinist profile-cuts P-2") == "label L-1 is on P-1-R"
    rest, plate = day.state.stock["P-1-R"], day.state.stock["P-1"]
    assert (plate.state, plate.area_nm2) == ("cut", 0)
    assert (rest.heat, rest.parent, rest.label, rest.certificate) == (
        "K9921",
        "P-1",
        "L-1",
        plate.certificate,
    )
    assert rest.outline == small.rectangle(28 * IN, 12 * IN)  # from its own corner; along x as it lay
    made = [day.state.pieces[piece_id("SN-1", name)] for name in RINGS.split(", ")]
    assert {(one.heat, one.stock_id) for one in made} == {("K9921", "P-1")}
    assert day.trace("heat", "K9921")["serials"] == ["SN-1", "SN-2"]
    assert day.audit() == []


def test_the_books_of_a_plate_by_hand(begin: Begin) -> None:
    """36 x 12 in; 28 x 12 in go back; of the other 96 in² all is ring, kerf or skeleton."""
    day = signed_out(begin).play(f"machinist profile-cuts P-1, {REST} labelled L-1")
    book = accounts(day.record.events()).plates["P-1"]
    assert (book.received, book.remnants, book.left) == (36 * 12 * IN**2, 28 * 12 * IN**2, 0)
    flats = flats_for(((small.design(), 1),), day.state.stock["P-1"], small.shop())
    rings = [flats[piece.part] for piece in small.design().pieces.made if piece.kind == "ring"]
    cut = small.shop().plate
    assert cut is not None
    assert book.pieces == sum(round(metal_area(flat) * 1e18) for flat in rings)
    assert book.kerf == sum(round(kerf_area(flat, cut.kerf) * 1e18) for flat in rings)
    assert book.pieces + book.kerf + book.scrap == 96 * IN**2


@pytest.mark.parametrize(
    ("rests", "found"),
    [
        ("remnant P-1-R: 8 in x 0 in; 37 in x 0 in; 37 in x 12 in labelled L-1", "reaches beyond P-1"),
        ("remnant P-1-R: 8 in x 0 in; 8 in x 12 in; 36 in x 12 in labelled L-1", "clockwise"),
        ("remnant P-1-R: 1 in x 0 in; 36 in x 0 in; 36 in x 12 in; 1 in x 12 in labelled L-1", "more than the plate"),
        (f"{REST} labelled L-1 and remnant P-1-S: 30 in x 0 in; 36 in x 0 in; 36 in x 5 in labelled L-2", "overlap"),
        (f"{REST} labelled L-1 and {REST} labelled L-2", "in the record already"),
        (f"{REST.replace('P-1-R', 'M-1')} labelled L-1", "in the record already"),
        ("remnant P-1-R: 8 in x 0 in; 9 in x 0 in; 9 in x 12 in labelled L-1 and "
         "remnant P-1-S: 30 in x 0 in; 36 in x 0 in; 36 in x 5 in labelled L-1", "label L-1 is that of P-1-R"),
    ],
)  # fmt: skip
def test_what_was_not_there_does_not_go_back(begin: Begin, rests: str, found: str) -> None:
    day = signed_out(begin).play(f"machinist profile-cuts P-1, {rests}   -> RW517")
    assert found in day.why("machinist profile-cuts P-1")
    assert day.state.stock["P-1"].state == "issued"


def test_a_plate_is_neither_counted_nor_sawn_nor_used_by_the_piece(begin: Begin) -> None:
    day = begin("ordered").play(f"""
        stores receives P-1, plate 36 in by 12 in, heat K9921
        inspector accepts P-1
        stores counts P-1 at 1                                        -> RW517
        stores throws away 3 in of P-1: bent                          -> RW517
        machinist makes ring.extra of SN-1 from P-1                   -> RW511
        sawyer issues P-1 for {RINGS} of SN-1                         -> RW516
        machinist issues P-1 for trial of SN-1
        sawyer cuts P-1 into trial 3 in of SN-1, kerf 0.1 in, trim 0 in, rest 30 in -> RW517
        machinist returns P-1
        stores throws away P-1: bent by the fork
    """)
    assert (day.state.stock["P-1"].state, day.audit()) == ("scrapped", [])


def test_sheets_that_are_counted_are_counted_as_before(begin: Begin) -> None:
    day = begin("ordered")
    counted = next(
        item.id for item in small.items() if item.section == small.plate("P", "1 in", "1 in", "").section
    )
    before = day.state.stock[counted].quantity
    day.play(f"machinist makes {RINGS.split(', ')[0]} of SN-1 from {counted}")
    assert day.state.stock[counted].quantity == before - 1
    assert day.audit() == []


def test_the_next_nest_is_offered_what_went_back(begin: Begin) -> None:
    """Cut as nested; then the plate is gone from the stock file's plates, and its remnants are there."""
    day = begin("ordered").play("""
        stores receives P-1, plate 36 in by 12 in, heat K9921
        inspector accepts P-1
    """)
    given = small.plate("P-1", "36 in", "12 in", "K9921")
    folder, shop = day.record.path.parent, small.shop()

    def nest(design: Design) -> Plan:
        return Plan(((design, 2),), (), shop, items=items_as_recorded(folder, (given, *small.items()[:0])))

    first = nest(small.design())
    (job,) = [job for job in first.plate.jobs if job.section == given.section and job.stock == given.stock]
    (layout,) = job.layouts
    plate = day.state.stock["P-1"]
    done = visit_of(plate, layout, job.flats, small.SERIALS, shop)
    at = small.station(day.record, "machinist")
    ids = [blank.piece for blank in done.blanks]
    issue(at, "P-1", small.ORDER, small.revision(), ids, small.SERIALS)
    profile_cut(at, small.ORDER, done)
    offered = items_as_recorded(folder, (given,))
    assert [item.id for item in offered] == [one.stock_id for one in done.remnants]
    assert {item.heat for item in offered} == {"K9921"}
    again = next(one for one in nest(small.design()).plate.jobs if one.stock == given.stock)
    assert {one.item for one in again.layouts} <= {item.id for item in offered}
    assert again.problems == ()
    assert len(again.missing) < len(ids)
    assert day.audit() == []

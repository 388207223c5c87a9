"""Joints and hardware: what every bolt gets, what is missing for it, and that lots are counted and judged."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from making.shop_order import nuts_in_blocks
from order_of_three import STANDARD, order, rack, shop, stock
from racks import anchored, built, plain
from rackwright.design import Design
from rackwright.making.assembly import Assembly, TorqueRange, assembly, bond_path, in_lbf
from rackwright.making.fasteners import fasteners, parts_of
from rackwright.shop import Shop

IN = 25_400_000


def joints(standard: str = STANDARD, house: Shop | None = None) -> Assembly:
    return assembly(Design(rack(standard)), house or shop())


def test_every_bolt_is_one_joint_with_a_number_of_its_own() -> None:
    made, bolts = order().assembly[0], order().demand[0][0].pieces.bolts
    assert sorted(joint.id for joint in made.joints) == sorted(bolt.id for bolt in bolts)
    assert [joint.number for joint in made.joints] == list(range(1, len(bolts) + 1))
    assert all(joint.head_washers + joint.nut_washers == bolt.washers
               for bolt in bolts for joint in made.joints if joint.id == bolt.id)  # fmt: skip


def test_a_ring_joint_in_figures() -> None:
    """AN4-22: length 2 9/32 in, grip 1.8125 in; stack 1.5 + 0.25 in; a washer of 0.063 in at each end; nut 0.328 in.

    Shank from the head's side 1.8125 - 0.063 = 1.7495 in; past the nut 2.28125 - 1.75 - 0.126 - 0.328 = 0.07725 in,
    times 28 is 2.16 threads.
    """
    joint = next(one for one in order().assembly[0].joints if "ring.low front left" in one.joins)
    assert (joint.bolt, joint.nut, joint.spacer, joint.head) == ("AN4-22", "MS21044N4", "", "-x")
    assert joint.stack == 1.75 * IN
    assert joint.fill == pytest.approx(1.7495 * IN, abs=1)
    assert joint.threads == pytest.approx(2.163, abs=5e-4)
    assert {row.name for row in joint.protections} == {"wet hardware", "ring seat", "ring hardware"}


def test_a_joint_installed_wet_takes_the_shops_torque_and_without_it_none() -> None:
    wet = order().assembly[0].joints[0].torque
    assert wet is not None
    assert (in_lbf(wet.low), in_lbf(wet.high), wet.wet) == (pytest.approx(45), pytest.approx(60), "WS-8")
    assert "INVENTED-PROCESS-12" in wet.source
    bare = joints(house=replace(shop(), wet_torque=()))
    assert len(bare.no_torque) == len(bare.joints)
    assert "the dry table does not hold" in bare.joints[0].missing


def test_a_dry_joint_takes_the_column_of_its_nuts_type() -> None:
    dry = joints(STANDARD.replace('wet = "WS-8"\n', ""))
    by_bolt = {joint.bolt.partition("-")[0]: joint.torque for joint in dry.joints}
    for bolt, low, high, limit in (("AN4", 50, 70, 100), ("AN3", 20, 25, 40)):
        torque = by_bolt[bolt]
        assert torque is not None
        assert [in_lbf(value) for value in (torque.low, torque.high, torque.limit)] == pytest.approx(
            [low, high, limit]
        )
        assert "table 7-1" in torque.source


def test_a_nut_of_another_thread_is_refused_before_any_torque_is_asked_for() -> None:
    wrong = STANDARD.replace('nut = "MS21044N4"', 'nut = "MS21044N5"')
    with pytest.raises(AssertionError, match="MS21044N5 is for another thread than AN4"):
        joints(wrong)


@given(st.floats(1, 50), st.floats(0, 50), st.floats(0, 50), st.floats(0, 20))
def test_drag_moves_the_whole_range_and_the_limit_stays_above(
    low: float, more: float, most: float, drag: float
) -> None:
    plain = TorqueRange(low, low + more, low + more + most, "")
    final = plain.final(drag)
    assert final[0] <= final[1] <= final[2]
    assert [value - drag for value in final] == pytest.approx([plain.low, plain.high, plain.limit])


def test_the_bond_path_is_a_shortest_chain_from_pad_to_pad() -> None:
    """Front-left to rear-right: two tubes, four ends, two bolts an end; their faces stay bare."""
    on_path = [joint for joint in order().assembly[0].joints if joint.bond]
    assert len(on_path) == 8
    assert {piece for joint in on_path for piece in joint.joins if piece.startswith(("width", "depth", "post"))} == {
        "depth.bottom.left", "width.bottom.rear",
    }  # fmt: skip
    assert all(len(joint.bare) == 2 for joint in on_path)
    nowhere = rack()
    assert bond_path(replace(nowhere, definition=replace(nowhere.definition, bond=None)), ()) == frozenset()


def test_room_is_asked_on_both_sides_and_a_nut_inside_a_block_has_none() -> None:
    """A pad's bolt ends inside the lower block: a nut does not get there, an insert needs no room behind."""
    assert order().assembly[0].no_access == ()
    notes = {note for joint in order().assembly[0].joints if joint.group == "pad" for note in joint.notes}
    assert (
        "the head stands in a counterbore: a socket of at most 0.740 in outside, "
        + (
            "its wall under 0.117 in at the hexagon's corners"  # (0.740 - 0.4375 x 2/√3)/2
        )
        in notes
    )
    made = assembly(nuts_in_blocks(), shop())
    assert {joint.group for joint in made.no_access} == {"pad"}
    assert all("block.bottom" in joint.access.in_the_way[0] for joint in made.no_access)


def test_the_torque_into_an_insert_is_its_documents_and_none_is_taken_of_a_nut() -> None:
    pad = next(joint for joint in joints().joints if joint.group == "pad")
    assert pad.torque is not None
    assert pad.torque.source.startswith("INVENTED-INSERT-4")
    of_nuts = tuple(row for row in shop().wet_torque if row.nut)
    bare = next(one for one in joints(house=replace(shop(), wet_torque=of_nuts)).joints if one.group == "pad")
    assert bare.torque is None
    assert "insert WI-4" in bare.missing


def test_heats_name_what_the_oven_would_spoil() -> None:
    heats = {heat.name: heat.most for heat in order().assembly[0].heats}
    assert heats["nut MS21044N4, non-metallic insert"] == pytest.approx((250 + 459.67) * 5 / 9)
    assert "protection wet hardware" in heats
    assert heats["insert WI-4, deformed coils of the insert, INVENTED-INSERT-4 rev A"] == pytest.approx(
        (600 + 459.67) * 5 / 9
    )
    of_inserts = [joint for joint in joints().joints if joint.anchor]
    assert of_inserts
    assert all(joint.threads is None for joint in of_inserts)  # nothing stands past a nut that is not there


# --- hardware and lots ---------------------------------------------------------------------------


def test_the_hardware_of_the_order_is_that_of_its_bolts_with_spares() -> None:
    design = order().demand[0][0]
    bolts = design.pieces.bolts
    one = sum((Counter(parts_of(bolt, design.rack.rows)) for bolt in bolts), Counter())
    for line in order().hardware:
        assert line.per_rack == (one[line.part, line.kind],) * 3
        assert line.spares == max(4, -(-line.need * 5 // 100))  # 5 percent rounded up, at least 4
        assert sum(take.count for take in line.lots) + line.short == line.wanted
        assert line.short == 0


@given(st.lists(st.integers(0, 80), max_size=5))
def test_lots_give_no_more_than_they_hold_and_the_rest_is_short(counts: list[int]) -> None:
    (bolt,) = [item for item in stock()[1] if item.section == "AN4-22"]
    items = [replace(bolt, id=f"F-{n}", count=count) for n, count in enumerate(counts)]
    (line,) = [one for one in fasteners(order().demand, items, shop(), "2026-03-11") if one.part == "AN4-22"]
    assert all(0 <= take.count <= counts[int(take.item[2:])] for take in line.lots)
    assert line.short == max(0, line.wanted - sum(counts))


def test_an_expired_lot_and_one_with_the_certificate_of_another_are_refused() -> None:
    (bolt,) = [item for item in stock()[1] if item.section == "AN4-22"]
    items = [
        replace(bolt, id="old", expiry="2026-03-10"),
        replace(bolt, id="other", lot="LB-1"),
        replace(bolt, certificate=None),
    ]
    (line,) = [one for one in fasteners(order().demand, items, shop(), "2026-03-11") if one.part == "AN4-22"]
    assert line.lots == ()
    assert line.short == line.wanted
    why = {take.item: " ".join(take.why_not) for take in line.refused}
    assert "last day of use was 2026-03-10" in why["old"]
    assert "heat: LB-6128, required LB-1" in why["other"]
    assert "certificate: none" in why[bolt.id]


def in_anchors(**torque: str) -> Assembly:
    tables = anchored(plain(shelves={"s": 12}), "insert")
    screw = tables["shelf_make"]["screw"]
    given = {
        "low": "20 in*lbf",
        "high": "25 in*lbf",
        "limit": "30 in*lbf",
        "document": "INVENTED-TEST-2 rev A",
    }
    screw = {**screw, "insert": {**screw["insert"], "torque": given | torque}}
    return assembly(built({**tables, "shelf_make": {**tables["shelf_make"], "screw": screw}}), shop())


def test_a_bolt_into_an_insert_takes_the_torque_of_the_inserts_document() -> None:
    found = [one.torque for one in in_anchors().joints if one.anchor]
    assert found
    for torque in found:
        assert torque is not None
        assert [in_lbf(value) for value in (torque.low, torque.high, torque.limit)] == pytest.approx(
            [20, 25, 30]
        )
        assert torque.source == "INVENTED-TEST-2 rev A"


def test_a_torque_for_wet_threads_is_not_used_dry() -> None:
    found = [one for one in in_anchors(wet="WS-8").joints if one.anchor]
    assert all(one.torque is None for one in found)
    assert all("wet with WS-8" in one.missing for one in found)


def test_a_torque_into_an_anchor_that_does_not_rise_is_refused() -> None:
    with pytest.raises(AssertionError, match="does not rise"):
        in_anchors(high="10 in*lbf")

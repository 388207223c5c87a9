"""Outside work is counted out and counted in; what comes back short is not there."""

from __future__ import annotations

import pytest

import small_shop as small
from rackwright.record import where_heat_went
from rackwright.trouble import Stopped
from rackwright.work.quality.noting import add_supplier
from rackwright.work.serials.recalling import affected
from rackwright.work.stations.making import Step, receive_back, send_out, step
from stories.conftest import Begin

AWAY = ["SN-1/post.front-left", "SN-1/post.front-right", "SN-1/post.rear-left"]


def test_three_go_out_two_come_back_one_is_short(begin: Begin) -> None:
    record = begin("made").record
    stores, assembler = small.station(record, "stores"), small.station(record, "assembler")
    add_supplier(small.station(record, "lead"), "Fellside (invented)", ["pretreat"], "2026-12-31")
    send_out(stores, "Fellside (invented)", "pretreat", AWAY, "DN-7")
    with pytest.raises(Stopped, match="sent_out"):
        step(assembler, Step("coat", lots=("PX-61",)), AWAY[:1], ["SN-1"])
    with pytest.raises(Stopped, match="was not sent out"):
        receive_back(
            stores, "Fellside (invented)", "pretreat", [*AWAY[:2], "SN-1/post.rear-right"], AWAY[2:], "C-1"
        )
    receive_back(stores, "Fellside (invented)", "pretreat", AWAY[:2], AWAY[2:], "C-1")
    step(assembler, Step("coat", lots=("PX-61",)), AWAY[:2], ["SN-1"])
    assert [small.state(record).pieces[piece].state for piece in AWAY] == ["made", "made", "sent_out"]
    assert small.state(record).pieces[AWAY[0]].done[-2:] == ("pretreat", "coat")
    with pytest.raises(Stopped, match="sent_out"):
        step(assembler, Step("coat", lots=("PX-61",)), AWAY[2:], ["SN-1"])


def test_a_supplier_does_only_what_it_is_recorded_for_and_while(begin: Begin) -> None:
    record = begin("made").record
    add_supplier(small.station(record, "lead"), "Fellside (invented)", ["pretreat"], "2026-03-31")
    with pytest.raises(Stopped, match="not recorded for coat"):
        send_out(small.station(record, "stores"), "Fellside (invented)", "coat", AWAY, "DN-7")
    with pytest.raises(Stopped, match="scope ended on 2026-03-31"):
        send_out(
            small.station(record, "stores", "2026-04-01"), "Fellside (invented)", "pretreat", AWAY, "DN-7"
        )
    send_out(small.station(record, "stores", "2026-03-31"), "Fellside (invented)", "pretreat", AWAY, "DN-7")


def test_pieces_come_back_from_whom_they_went_to_for_what_they_went_for_with_a_certificate(
    begin: Begin,
) -> None:
    record = begin("made").record
    stores, lead = small.station(record, "stores"), small.station(record, "lead")
    add_supplier(lead, "Fellside (invented)", ["pretreat"], "2026-12-31")
    add_supplier(lead, "Garrow (invented)", ["pretreat", "coat"], "2026-12-31")
    with pytest.raises(Stopped, match="named twice"):
        send_out(stores, "Fellside (invented)", "pretreat", [AWAY[0], AWAY[0]], "DN-7")
    send_out(stores, "Fellside (invented)", "pretreat", AWAY, "DN-7", clauses=("certificate by lot",))
    with pytest.raises(Stopped, match=r"went to Fellside \(invented\) for pretreat, not to Garrow"):
        receive_back(stores, "Garrow (invented)", "pretreat", AWAY, (), "C-1")
    with pytest.raises(Stopped, match=r"for pretreat, not to Fellside .* for coat"):
        receive_back(stores, "Fellside (invented)", "coat", AWAY, (), "C-1")
    with pytest.raises(Stopped, match="comes without a certificate"):
        receive_back(stores, "Fellside (invented)", "pretreat", AWAY, (), "")
    assert {small.state(record).pieces[piece].state for piece in AWAY} == {"sent_out"}
    late = small.station(record, "stores", "2027-01-15")  # the scope ended while they were away
    receive_back(late, "Fellside (invented)", "pretreat", AWAY, (), "C-1")
    assert {small.state(record).pieces[piece].state for piece in AWAY} == {"made"}
    sent = next(event for event in record.events() if event.type == "send_out")
    assert sent.body["clauses"] == ["certificate by lot"]


def test_a_lot_of_outside_work_in_doubt_leads_to_its_pieces_and_no_others(begin: Begin) -> None:
    record = begin("made").record
    stores = small.station(record, "stores")
    add_supplier(small.station(record, "lead"), "Fellside (invented)", ["pretreat"], "2026-12-31")
    send_out(stores, "Fellside (invented)", "pretreat", AWAY, "DN-7", clauses=("certificate by lot",))
    receive_back(stores, "Fellside (invented)", "pretreat", AWAY[:2], (), "C-1", lot="B-31")
    receive_back(stores, "Fellside (invented)", "pretreat", AWAY[2:], (), "C-1", lot="B-32")
    state = small.state(record)
    assert where_heat_went(state, "B-31").pieces == tuple(sorted(AWAY[:2]))
    (racks,) = affected(list(record.events()), state, "lot", "B-32")
    assert (racks.serial, racks.pieces) == ("SN-1", (AWAY[2],))
    assert where_heat_went(state, "B-33").pieces == ()

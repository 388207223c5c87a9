"""Every verb asks the same first: who, and does the record know it? And every act is done once.

The tables hold one act a verb, done in a shop where two frames are made but not yet inspected.
"""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256

import pytest

import small_shop as small
from rackwright import record as records
from rackwright.record import Appended, Head, Record
from rackwright.trouble import Stopped
from rackwright.work import station as stations
from rackwright.work.engineering.reporting import check_report, confirm_row, prepare_report, release_report
from rackwright.work.metal.receiving import accept, quarantine, receive_bar, receive_item
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, return_stock
from rackwright.work.office.ordering import Approval, answer, ask, freeze, order, record_approval, serials
from rackwright.work.people.founding import add_gauge, add_person, found
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import dispose, raise_nonconformance, release_hold
from rackwright.work.quality.noting import add_supplier, gauge_is_bad, go_on_at_risk, go_without_report
from rackwright.work.serials.releasing import release
from rackwright.work.serials.shipping import Mended, replace_piece, ship
from rackwright.work.station import Draft, Station, perform
from rackwright.work.stations.assembling import assemble, draw_lot
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, send_out, step
from rackwright.work.stations.weighing import weigh
from stories.conftest import Begin

Verb = Callable[[Station, str], Appended]
REV, POST = "ER-47 rev D", "SN-1/post.front-left"
LENGTH = small.characteristic("post.front-left", "length")
HEIGHT = small.whole_rack()[0]
VISIT = Visit("T-05", (CutPiece("SN-1/x", "SN-1", 10),), 0, 0, 10, "", "", "saw")


def _one(piece: str) -> CutPiece:
    return CutPiece(piece, "SN-1", 0)


#: verb -> (who may, an act)
MAY: dict[str, tuple[str, Verb]] = {
    "add_person": ("lead", lambda s, i: add_person(s, "G. New", ["saw"], i)),
    "add_gauge": ("lead", lambda s, i: add_gauge(s, "G-1", "caliper", "2027-01-01", "0.001 in", i)),
    "gauge_is_bad": ("inspector", lambda s, i: gauge_is_bad(s, "LB-2", "dropped", act_id=i)),
    "add_supplier": ("lead", lambda s, i: add_supplier(s, "Q", ["coat"], act_id=i)),
    "go_on_at_risk": ("lead", lambda s, i: go_on_at_risk(s, REV, "in a hurry", i)),
    "go_without_report": ("engineer", lambda s, i: go_without_report(s, REV, "the holder has its own", "SUB-1", i)),
    "order": ("lead", lambda s, i: order(s, "PO-2", "C", small.design(), 1, "2026-05-01", "D", i)),
    "confirm_row": ("engineer", lambda s, i: confirm_row(s, "AN4", "INVENTED-HANDBOOK-1", act_id=i)),
    "ask": ("lead", lambda s, i: ask(s, "Q", "what?", "who", "2026-05-01", ["release"], "PO-1", i)),
    "freeze": ("lead", lambda s, i: _freeze_other(s, i)),
    "record_approval": ("lead", lambda s, i: record_approval(s, REV, Approval("R", "H", "D", "2026-03-09"), i)),
    "receive_bar": ("stores", lambda s, i: receive_bar(s, small.bar("T-90"), 0, i)),
    "receive_item": ("stores", lambda s, i: receive_item(s, small.lot("X-9", "L", "sealant WS-8", 1), i)),
    "quarantine": ("stores", lambda s, i: quarantine(s, "T-05", "rust", i)),
    "issue": ("sawyer", lambda s, i: issue(s, "T-05", "PO-1", REV, ["SN-1/extra"], ["SN-1"], i)),
    "make_from": ("machinist", lambda s, i: make_from(s, "M-1", "PO-1", REV, [CutPiece("SN-1/extra", "SN-1", 0)], i)),
    "step": ("assembler", lambda s, i: step(s, Step("pretreat"), [POST], ["SN-1"], i)),
    "draw_lot": ("assembler", lambda s, i: draw_lot(s, "F-1", "PO-1", REV, 4, ["SN-1"], i)),
    "measure": ("inspector", lambda s, i: measure(s, "SN-1", {LENGTH: "44 in"}, "LB-2", i)),
    "weigh": ("inspector", lambda s, i: weigh(s, "SN-1", small.weighing(18.0), "SC-1", i)),
    "hold": ("inspector", lambda s, i: hold(s, "H-1", "a doubt", [POST], act_id=i)),
    "raise": ("inspector", lambda s, i: raise_nonconformance(s, "N-1", "bent", [POST], "length", {}, i)),
}  # fmt: skip

STAGE = {"weigh": "assembled"}  # else "made"

MENDED = Mended("W-1", "a holder", small.DAY, (), "kept", "cage")

MENDED = Mended("W-1", "a holder", small.DAY, (), "kept", "cage")

#: an act on what the record does not know, and the code that says so
UNKNOWN: dict[str, tuple[str, str, Verb]] = {
    "gauge_is_bad": ("inspector", "RW503", lambda s, i: gauge_is_bad(s, "ZZ", "dropped", act_id=i)),
    "at risk": ("lead", "RW514", lambda s, i: go_on_at_risk(s, "ER-47 rev Z", "in a hurry", i)),
    "no report": ("engineer", "RW514", lambda s, i: go_without_report(s, "ER-47 rev Z", "its own", act_id=i)),
    "no report, no reason": ("engineer", "RW517", lambda s, i: go_without_report(s, REV, " ", act_id=i)),
    "confirm_row": ("engineer", "RW503", lambda s, i: confirm_row(s, "ZZ", "D", act_id=i)),
    "report": ("engineer", "RW514", lambda s, i: prepare_report(s, "SR-1", "Z", small.design(), small.shop(), i)),
    "check": ("checker", "RW503", lambda s, i: check_report(s, "SR-1", "A", act_id=i)),
    "release a report": ("checker", "RW503", lambda s, i: release_report(s, "SR-1", "A", i)),
    "answer": ("lead", "RW503", lambda s, i: answer(s, "Q-99", "yes", "D", i)),
    "ask for an order": ("lead", "RW503", lambda s, i: ask(s, "Q", "?", "who", "2026-05-01", ["release"], "PO-9", i)),
    "approval": ("lead", "RW514", lambda s, i: record_approval(s, "Z", Approval("R", "H", "D", "2026-03-09"), i)),
    "serials": ("lead", "RW503", lambda s, i: serials(s, "PO-9", REV, ["A"], i)),
    "accept": ("inspector", "RW503", lambda s, i: accept(s, small.shop(), "T-99", i)),
    "quarantine": ("stores", "RW503", lambda s, i: quarantine(s, "T-99", "rust", i)),
    "quarantine what was cut": ("stores", "RW517", lambda s, i: quarantine(s, "T-01", "rust", i)),
    "issue": ("sawyer", "RW503", lambda s, i: issue(s, "T-99", "PO-1", REV, [POST], ["SN-1"], i)),
    "issue a lot as a bar": ("sawyer", "RW511", lambda s, i: issue(s, "M-1", "PO-1", REV, ["SN-1/e"], ["SN-1"], i)),
    "issue for another revision": ("sawyer", "RW514", lambda s, i: issue(s, "T-05", "PO-1", "Z", ["e"], ["SN-1"], i)),
    "return": ("sawyer", "RW511", lambda s, i: return_stock(s, "T-99", "PO-1", i)),
    "cut": ("sawyer", "RW511", lambda s, i: cut(s, "PO-1", VISIT, i)),
    "make_from": ("machinist", "RW503", lambda s, i: make_from(s, "M-99", "PO-1", REV, [CutPiece("e", "SN-1", 0)], i)),
    "make a piece twice": ("machinist", "RW517", lambda s, i: make_from(s, "M-1", "PO-1", REV, [_one(POST)], i)),
    "make too many": ("machinist", "RW511", lambda s, i: make_from(s, "M-1", "PO-1", REV, [_one("e")], i, 99)),
    "step": ("assembler", "RW503", lambda s, i: step(s, Step("pretreat"), ["SN-1/none"], ["SN-1"], i)),
    "step with a gauge": ("assembler", "RW503", lambda s, i: step(s, Step("pretreat", gauges=("ZZ",)), [POST], [], i)),
    "draw_lot": ("assembler", "RW503", lambda s, i: draw_lot(s, "F-9", "PO-1", REV, 4, ["SN-1"], i)),
    "draw too many": ("assembler", "RW511", lambda s, i: draw_lot(s, "F-1", "PO-1", REV, 201, ["SN-1"], i)),
    "draw for a serial": ("assembler", "RW503", lambda s, i: draw_lot(s, "F-1", "PO-1", REV, 4, ["SN-9"], i)),
    "assemble a serial": ("assembler", "RW503", lambda s, i: assemble(s, "SN-9", [], [], "J", [], i)),
    "assemble of another rack": ("assembler", "RW517", lambda s, i: assemble(s, "SN-2", [POST], [], "J", [], i)),
    "assemble what was not baked": ("assembler", "RW518", lambda s, i: assemble(s, "SN-1", [POST], [], "J", [POST], i)),
    "weigh": ("inspector", "RW503", lambda s, i: weigh(s, "SN-9", small.weighing(18.0), "SC-1", i)),
    "weigh half a rack": ("inspector", "RW522", lambda s, i: weigh(s, "SN-1", small.weighing(18.0), "SC-1", i)),
    "weigh with a gauge": ("inspector", "RW503", lambda s, i: weigh(s, "SN-1", small.weighing(18.0), "ZZ", i)),
    "measure a piece": ("inspector", "RW503", lambda s, i: measure(s, "SN-9", {LENGTH: "44 in"}, "LB-2", i)),
    "measure a rack": ("inspector", "RW503", lambda s, i: measure(s, "SN-9", {HEIGHT: "1 in"}, "LB-2", i)),
    "hold": ("inspector", "RW503", lambda s, i: hold(s, "H", "?", heats=["H0000"], act_id=i)),
    "hold nothing": ("inspector", "RW517", lambda s, i: hold(s, "H", "?", act_id=i)),
    "raise": ("inspector", "RW503", lambda s, i: raise_nonconformance(s, "N", "?", ["SN-1/none"], "length", {}, i)),
    "raise on nothing": ("inspector", "RW517", lambda s, i: raise_nonconformance(s, "N", "?", [], "length", {}, i)),
    "dispose": ("lead", "RW503", lambda s, i: dispose(s, "N-9", "scrap", "?", None, {}, i)),
    "lift": ("lead", "RW503", lambda s, i: release_hold(s, "H-9", "?", i)),
    "send out": ("stores", "RW516", lambda s, i: send_out(s, "nobody", "coat", [POST], "D", i)),
    "release": ("inspector", "RW503", lambda s, i: release(s, "SN-9", small.design(), small.shop(), i)),
    "ship": ("lead", "RW503", lambda s, i: ship(s, ["SN-9"], "there", "D", i)),
    "ship nothing": ("lead", "RW517", lambda s, i: ship(s, [], "there", "D", i)),
    "replace": ("lead", "RW503", lambda s, i: replace_piece(s, "SN-1", POST, "SN-1/none", "bent", "D", MENDED, i)),
    "found again": ("lead", "RW517", lambda s, i: found(s, "another", False, "ab" * 32, i)),
    "a role": ("lead", "RW516", lambda s, i: add_person(s, "G. New", ["king"], i)),
    "serials again": ("lead", "RW517", lambda s, i: serials(s, "PO-1", REV, ["A", "B"], i)),
    "order again": ("lead", "RW517", lambda s, i: order(s, "PO-1", "C", small.design(), 1, "2026-05-01", "D", i)),
    "freeze again": ("lead", "RW517", lambda s, i: freeze(s, small.design(), {}, "PO-1", i)),
    "receive again": ("stores", "RW517", lambda s, i: receive_bar(s, small.bar("T-05"), 0, i)),
    "accept again": ("inspector", "RW517", lambda s, i: accept(s, small.shop(), "T-05", i)),
}  # fmt: skip


def _freeze_other(s: Station, act: str) -> Appended:
    """The same frame as another revision letter."""
    import racks
    from rackwright.design import Design

    text = racks.STANDARD.replace('revision = "D"', 'revision = "E"')
    return freeze(s, Design(racks.rack_of(text)), {"definition": text.encode()}, "PO-1", act)


def codes(caught: pytest.ExceptionInfo[Stopped]) -> list[str]:
    return [trouble.code for trouble in caught.value.troubles]


@pytest.mark.parametrize("verb", MAY)
def test_only_a_person_with_the_role_may(begin: Begin, verb: str) -> None:
    record, (who, do) = begin(STAGE.get(verb, "made")).record, MAY[verb]
    wrong = "machinist" if who != "machinist" else "stores"
    for person in (wrong, "a stranger"):
        with pytest.raises(Stopped) as caught:
            do(small.station(record, person), f"by {person}")
        assert codes(caught) == ["RW516"]
    assert not do(small.station(record, who), "by the right one").repeated


@pytest.mark.parametrize("case", UNKNOWN)
def test_what_the_record_does_not_know_or_knows_otherwise_is_refused(begin: Begin, case: str) -> None:
    record, (who, code, do) = begin("made").record, UNKNOWN[case]
    before = record.head().size
    with pytest.raises(Stopped) as caught:
        do(small.station(record, who), "once")
    refusals = record.events()[before:]
    assert codes(caught) == [code]
    assert [(event.type, event.body["code"], event.act_id) for event in refusals] == [
        ("refusal", code, "once")
    ]
    assert refusals[0].body["found"] == caught.value.troubles[0].found


@pytest.mark.parametrize("verb", MAY)
def test_an_act_repeated_under_its_id_is_done_once(begin: Begin, verb: str) -> None:
    record, (who, do) = begin(STAGE.get(verb, "made")).record, MAY[verb]
    once, again = (do(small.station(record, who), "act of a lost answer") for _ in range(2))
    assert again.events == once.events
    assert (once.repeated, again.repeated) == (False, True)
    assert record.head() == once.head


def test_a_refusal_repeated_under_its_id_is_the_same_refusal(begin: Begin) -> None:
    day = begin("ordered")
    record, sawyer = day.record, small.station(day.record, "sawyer")
    said = []
    for _ in range(2):
        with pytest.raises(Stopped) as caught:
            issue(sawyer, "T-99", "PO-1", REV, [POST], ["SN-1"], "act 7 again")
        said.append((caught.value.troubles[0].code, caught.value.troubles[0].found, record.head()))
    assert said[0] == said[1]
    day.play("stores receives T-99, 240 in, heat H4471, Fty 40 ksi\ninspector accepts T-99")
    with pytest.raises(Stopped):
        issue(sawyer, "T-99", "PO-1", REV, [POST], ["SN-1"], "act 7 again")  # it was refused; a new act may
    assert not issue(sawyer, "T-99", "PO-1", REV, [POST], ["SN-1"], "act 8 anew").repeated


def test_a_credential_that_ended_ends_the_right(begin: Begin) -> None:
    record = begin("made").record
    body = {"person": small.PEOPLE["stores"], "roles": ["receiving"], "until": small.DAY}
    perform(small.station(record, "lead"), "person", lambda state: [Draft("person", body)])
    with pytest.raises(Stopped) as caught:
        quarantine(small.station(record, "stores", "2026-03-11"), "T-05", "rust")
    assert caught.value.troubles[0].found == f"B. Tarrow's credential ended on {small.DAY}"
    assert not quarantine(small.station(record, "stores"), "T-05", "rust").repeated


# --- look, decide, append ------------------------------------------------------------------------


def _other_station_first(record: Record, times: int) -> list[Head]:
    """A second connection writes in between, so many times, after each look."""
    other, look, seen = records.open(record.path), record.look, list[Head]()

    def looked(after: int = 0) -> object:
        answer = look(after)
        seen.append(answer[0])
        if len(seen) <= times:
            add_supplier(small.station(other, "lead"), f"S-{len(seen)}", ["coat"])
        return answer

    record.look = looked  # type: ignore[method-assign, assignment]
    return seen


def test_when_another_station_writes_first_the_gate_looks_and_decides_again(begin: Begin) -> None:
    record = begin("made").record
    seen = _other_station_first(record, times=3)
    decided: list[int] = []

    def decide(state: object) -> list[Draft]:
        decided.append(len(state.suppliers))  # type: ignore[attr-defined]
        return [Draft("supplier", {"supplier": "Z", "scope": ["coat"]})]

    done = perform(small.station(record, "lead"), "supplier", decide)
    assert decided == [0, 1, 2, 3]
    assert len(seen) == 4
    assert done.events[0].seq == record.head().size


def test_a_station_that_never_comes_first_gives_up_in_words(
    begin: Begin, monkeypatch: pytest.MonkeyPatch
) -> None:
    record = begin("made").record
    monkeypatch.setattr(stations, "TRIES", 3)
    _other_station_first(record, times=99)
    with pytest.raises(Stopped) as caught:
        quarantine(small.station(record, "stores"), "T-05", "rust")
    assert codes(caught) == ["RW502"]
    assert not [event for event in record.events() if event.type == "quarantine"]


# --- what a freeze keeps -------------------------------------------------------------------------


def test_a_freeze_keeps_its_texts_by_their_hash(begin: Begin) -> None:
    record = begin("ordered").record
    revision = small.state(record).revisions[REV]
    assert revision.texts == {"definition": sha256(small.text().encode()).hexdigest()}
    assert record.get_file(revision.texts["definition"]) == small.text().encode()
    assert float(revision.values["least_margin"]) > 0
    assert revision.values["holds"] is True

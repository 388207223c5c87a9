"""What a history comes to: the shop's whole story, one rule a test, and laws over random histories."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from histories import IN, act, shop_history
from rackwright.record import (
    Event,
    Refs,
    State,
    corrected,
    events_of_serial,
    project,
    replay,
    where_gauge_went,
    where_heat_went,
)
from rackwright.seal import hand_over
from states import heard

HISTORY = [event.at_seq(seq) for seq, event in enumerate((e for each in shop_history() for e in each), 1)]
REMNANT = 144 * IN - 60 * IN - 3 * IN // 8 - IN // 4


def after(*more: Event) -> State:
    return project([*HISTORY, *(event.at_seq(17 + i) for i, event in enumerate(more))])


def test_the_whole_story() -> None:
    state = project(HISTORY)
    assert (state.shop, state.demo, state.odd) == ("Larkfield Racks (invented)", True, ())
    assert state.persons["Bram Oole"].roles == ("inspector",)
    assert state.gauges["CAL-3"].due == "2031-12-31"
    assert state.orders["O-1"].quantity == 1
    bar, rest = state.stock["B-1"], state.stock["B-1-R"]
    assert (bar.state, bar.length_nm, bar.received_nm, bar.job) == ("cut", 0, 144 * IN, "J-1")
    assert (rest.state, rest.length_nm, rest.heat, rest.parent, rest.label) == (
        "accepted",
        REMNANT,
        "H-7719",
        "B-1",
        "L-9",
    )
    assert rest.certificate == bar.certificate
    piece = state.pieces["P-1"]
    assert (piece.heat, piece.stock_id, piece.serial, piece.length_nm) == (
        "H-7719",
        "B-1",
        "SN-0001",
        40 * IN,
    )
    assert (piece.makers, piece.revision, piece.job) == (("Ada Quill",), "A", "J-1")
    (measured,) = state.measured("P-1")
    assert (measured.value, measured.within, measured.gauge_due, measured.by) == (
        "40.001 in",
        True,
        "2031-12-31",
        "Bram Oole",
    )
    question = state.questions["fittings.rating"]
    assert (question.open, question.answers[-1].document) == (False, "LTR-1 (invented)")
    assert state.revisions["A"].approvals[0].reference == "DOC-INVENTED-1"
    serial = state.serials["SN-0001"]
    assert (serial.state, serial.pieces, serial.released_seq) == ("released", ("P-1", "P-2"), 16)
    assert serial.margins[0]["margin"] == "0.42"


def test_where_things_went() -> None:
    state = project(HISTORY)
    went = where_heat_went(state, "H-7719")
    assert (went.stock, went.pieces, went.serials) == (("B-1", "B-1-R"), ("P-1", "P-2"), ("SN-0001",))
    assert where_heat_went(state, "H-0000").stock == ()
    assert where_gauge_went(state, "CAL-3").serials == ("SN-0001",)
    own = events_of_serial(HISTORY, state, "SN-0001")
    assert [event.type for event in own] == [
        "gauge", "order", "question", "freeze", "approval_reference", "receive", "accept", "serial", "issue", "cut",
        "measure", "answer", "release",
    ]  # fmt: skip


def test_what_a_rack_costs_does_not_travel_with_it() -> None:
    order = {"order": "O-1"}
    costs = [
        act(90, "quote", {"quote": "Q-1", "customer": "Somebody", "price": "9000.00 USD", **order}),
        act(91, "agree", {"quote": "Q-1", "revision": "A", **order}),
        act(92, "hours", {"operation": "saw", "hours": "2.5", "serials": ["SN-0001"], **order},
            refs=Refs.of(serials=["SN-0001"])),
        act(93, "invoice", {"kind": "outside", "amount": "80.00 USD", "document": "IN-1", **order}),
        act(94, "order_line", {"line": "2", "variation": "alpine", "quantity": 1, "price": "9.00 USD",
                               "document": "PO-1", **order}),
        act(95, "correction", {"reason": "misread", "changes": [], "fields": {"hours": "3.5"}}, corrects=20),
    ]  # fmt: skip
    free = act(
        96, "order_line", {"line": "3", "variation": "alpine", "quantity": 1, "document": "PO-1", **order}
    )
    history = [*HISTORY, *(event.at_seq(18 + n) for n, event in enumerate((*costs, free)))]
    state = project(history)
    assert set(state.orders["O-1"].lines) == {"1", "2", "3"}
    assert [one.seq for one in events_of_serial(history, state, "SN-0001") if one.seq > 17] == [24]


def test_each_beginning_of_a_history_is_a_state_too() -> None:
    states = [project(HISTORY[:size]) for size in range(len(HISTORY) + 1)]
    assert states[0] == State()
    assert [each.stock["B-1"].state for each in states if "B-1" in each.stock] == [
        "received", "accepted", "accepted", "issued", "cut", "cut", "cut", "cut",
    ]  # fmt: skip
    assert [bool(each.blocking("release", order="O-1")) for each in states] == [False] * 6 + [True] * 9 + [
        False
    ] * 2
    assert not states[8].blocking("release", order="O-2")


def test_replay_gives_each_event_the_state_before_it() -> None:
    for size, (event, state) in enumerate(replay(HISTORY)):
        before = project(HISTORY[:size])
        assert event == HISTORY[size]
        assert (state.stock, state.serials, (*state.measurements,)) == (
            before.stock,
            before.serials,
            before.measurements,
        )


def test_an_unbalanced_cut_is_odd_to_the_nanometre() -> None:
    cut = dict(HISTORY[12].body, trim_nm=IN // 4 + 1)
    state = project([*HISTORY[:12], act(11, "cut", cut).at_seq(13)])
    assert state.odd == (
        (13, "cut: B-1 was 3657600000 nm long, its parts are 3657600001 nm: difference 1 nm"),
    )


@given(st.lists(st.tuples(st.integers(1, 40), st.integers(0, 3)), min_size=1, max_size=6))
@settings(max_examples=60)
def test_no_metal_is_lost_and_every_piece_keeps_its_heat(cuts: list[tuple[int, int]]) -> None:
    """A bar cut again and again: received = pieces + kerf + trim + scrap + what is left, to the nanometre."""
    events = [
        act(
            0,
            "receive",
            {"stock_id": "R0", "form": "bar", "stock_spec": "s", "heat": "H", "length_nm": 300 * IN},
        )
    ]
    left, used = 300 * IN, 0
    for i, (inches, kerfs) in enumerate(cuts):
        piece, kerf = inches * IN, kerfs * IN // 8
        left -= piece + kerf
        used += kerf
        remnant = {"stock_id": f"R{i + 1}", "length_nm": left, "label": f"L{i}"}
        events.append(act(i + 1, "cut", {
            "stock_id": f"R{i}", "job": "J", "pieces": [{"piece": f"P{i}", "length_nm": piece}], "kerf_nm": kerf,
            "trim_nm": 0, "scrap_nm": 0, "remnant": remnant,
        }))  # fmt: skip
    state = project(event.at_seq(i) for i, event in enumerate(events, 1))
    assert state.odd == ()
    there = sum(stock.length_nm for stock in state.stock.values())
    assert there + sum(piece.length_nm for piece in state.pieces.values()) + used == 300 * IN
    assert {piece.heat for piece in state.pieces.values()} == {"H"}
    assert len(where_heat_went(state, "H").pieces) == len(cuts)


@pytest.mark.parametrize(
    ("type", "body", "words"),
    [
        ("cut", {"stock_id": "X", "job": "J", "pieces": [], "kerf_nm": 0, "trim_nm": 0, "scrap_nm": 0}, "stock 'X'"),
        ("accept", {"stock_id": "X", "checks": []}, "stock 'X'"),
        ("answer", {"question": "q", "answer": "a", "document": "d"}, "question 'q'"),
        ("lift", {"hold": "h", "reason": "r"}, "hold 'h'"),
        ("release", {"serial": "SN-9", "revision": "A", "margins": []}, "serial 'SN-9'"),
        ("ship", {"serials": ["SN-9"], "to": "x"}, "serial 'SN-9'"),
        ("mill", {"pieces": ["P-9"]}, "piece 'P-9'"),
        ("gauge_bad", {"gauge": "G", "reason": "r"}, "gauge 'G'"),
        ("scrap", {"piece": "P-9", "reason": "r"}, "piece 'P-9'"),
        ("scrap", {"stock_id": "B-1-R", "length_nm": 10**12, "reason": "r"}, "more of B-1-R"),
        ("at_risk", {"revision": "Z", "reason": "r"}, "revision 'Z'"),
        ("without_report", {"revision": "Z", "reason": "r"}, "revision 'Z'"),
        ("report_checked", {"report": "SR", "revision": "A", "file": "0" * 64}, "SR revision A of these bytes"),
        ("report_released", {"report": "SR", "revision": "A", "file": "0" * 64}, "SR revision A of these bytes"),
        ("disposition", {"nonconformance": "N", "decision": "scrap", "reason": "r"}, "nonconformance 'N'"),
        ("piece", {"piece": "P-1", "stock_id": "B-1-R"}, "made before, in event 13"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_odd_and_names_its_event(type: str, body: dict[str, Any], words: str) -> None:
    (odd,) = after(act(90, type, body)).odd
    assert odd[0] == 17
    assert odd[1].startswith(f"{type}: ")
    assert words in odd[1]


def test_a_lot_gives_and_takes_back_and_goes_into_the_serial() -> None:
    lot = {"stock_id": "BOLT", "form": "lot", "stock_spec": "NAS bolt", "lot": "LOT-4", "quantity": 100}
    take = {"stock_id": "BOLT", "job": "J-1", "revision": "A", "quantity": 24, "serials": ["SN-0001"]}
    back = {"stock_id": "BOLT", "job": "J-1", "quantity": 2}
    state = after(act(90, "receive", lot), act(91, "issue", take), act(92, "return", back))
    assert state.stock["BOLT"].quantity == 78
    assert where_heat_went(state, "LOT-4").serials == ("SN-0001",)
    assert "had 78" in after(act(90, "receive", lot), act(91, "issue", take), act(92, "return", back),
                             act(93, "issue", take | {"quantity": 79})).odd[0][1]  # fmt: skip


def test_issued_and_returned() -> None:
    issue = {"stock_id": "B-1-R", "job": "J-2", "revision": "A", "pieces": ["P-7"], "length_nm": REMNANT}
    assert after(act(90, "issue", issue)).stock["B-1-R"].planned == ("P-7",)
    stock = after(act(90, "issue", issue), act(91, "return", {"stock_id": "B-1-R", "job": "J-2"})).stock[
        "B-1-R"
    ]
    assert (stock.state, stock.job, stock.planned, stock.length_nm) == ("accepted", "", (), REMNANT)


def test_holds_and_nonconformances_open_and_close() -> None:
    hold = act(90, "hold", {"hold": "HD-1", "reason": "recall", "heats": ["H-7719"], "pieces": ["P-1"]})
    assert [each.hold for each in after(hold).held(heat="H-7719")] == ["HD-1"]
    assert after(hold).held(piece="P-2") == after(hold).held() == ()
    assert after(hold, act(91, "lift", {"hold": "HD-1", "reason": "cleared"})).held(piece="P-1") == ()
    found = act(90, "nonconformance", {"nonconformance": "N-1", "text": "scratch", "pieces": ["P-1"]})
    decided = act(
        91, "disposition", {"nonconformance": "N-1", "decision": "rework", "reason": "blend"}, by="Bram Oole"
    )
    assert after(found).nonconformances["N-1"].open
    assert after(found, decided).nonconformances["N-1"].decided_by == "Bram Oole"


def test_making_replacing_sending_out_and_shipping() -> None:
    blank = act(90, "piece", {"piece": "P-3", "stock_id": "B-1-R", "serial": ""} | {"serial": "SN-0001"})
    mill = act(91, "mill", {"pieces": ["P-3"], "machine": "mill 1"}, by="Cato Reed")
    out = act(92, "send_out", {"supplier": "S", "process": "anodize", "pieces": ["P-3"]})
    back = act(93, "receive_back", {"supplier": "S", "process": "anodize", "pieces": ["P-3"]})
    swap = act(94, "replace", {"serial": "SN-0001", "old": "P-1", "new": "P-3", "reason": "dent"})
    ship = act(95, "ship", {"serials": ["SN-0001"], "to": "Invented Survey"})
    assert after(blank, mill, out).pieces["P-3"].state == "sent_out"
    state = after(blank, mill, out, back, swap, ship)
    assert state.pieces["P-3"].makers == ("Ada Quill", "Cato Reed")
    assert state.pieces["P-3"].done == ("mill", "anodize"), "outside work is done once"
    assert (state.pieces["P-1"].state, state.pieces["P-3"].state) == ("replaced", "assembled")
    assert (state.serials["SN-0001"].pieces, state.serials["SN-0001"].state) == (("P-2", "P-3"), "shipped")
    assert state.odd == ()


def test_a_gauge_found_bad_and_calibrated_again() -> None:
    bad = act(90, "gauge_bad", {"gauge": "CAL-3", "reason": "dropped", "since": "2031-05-01"})
    assert (after(bad).gauges["CAL-3"].state, after(bad).gauges["CAL-3"].bad_since) == ("bad", "2031-05-01")
    again = act(91, "gauge", {"gauge": "CAL-3", "kind": "caliper", "due": "2032-06-30"})
    assert after(bad, again).gauges["CAL-3"].state == "in_use"


A_SEED, B_SEED, C_SEED, D_SEED = (letter.encode() * 32 for letter in "abcd")


def key_of(seed: bytes) -> str:
    return hand_over(seed, bytes(32), 1, "2031-05-04T13:00:00Z").old


def keys(*pairs: tuple[bytes, bytes]) -> State:
    """A shop that signs with A, and these handovers one after the other."""
    founded = act(0, "found", {"shop": "x", "demo": False, "key_id": heard(key_of(A_SEED))})
    bodies = [{"reason": "r", "handover": hand_over(old, new, 1, "2031-05-04T13:00:00Z").to_json()}
              for old, new in pairs]  # fmt: skip
    said = [founded, *(act(n, "key", body) for n, body in enumerate(bodies, 1))]
    return project(event.at_seq(seq) for seq, event in enumerate(said, 1))


def test_the_key_that_signs_hands_over_and_no_other() -> None:
    state = keys((A_SEED, B_SEED), (B_SEED, C_SEED))
    assert (state.key_id, state.odd, [each.new for each in state.handovers]) == (
        key_of(C_SEED), (), [key_of(B_SEED), key_of(C_SEED)]
    )  # fmt: skip
    ids = {key_of(seed): seed for seed in (A_SEED, B_SEED, C_SEED)}
    low, middle, high = (ids[key] for key in sorted(ids))
    to_middle = [] if middle == A_SEED else [(A_SEED, middle)]
    for wrong in (low, high):  # an id on either side of the one that signs
        state = keys(*to_middle, (wrong, D_SEED))
        assert (state.key_id, len(state.handovers)) == (key_of(middle), len(to_middle))
        words = f"key: key {key_of(wrong)} hands over, which the shop did not sign with"
        assert state.odd == ((2 + len(to_middle), words),)


def test_a_handover_that_cannot_be_read_is_odd() -> None:
    ((seq, words),) = after(act(90, "key", {"reason": "r", "handover": {}})).odd
    assert (seq, words.startswith("key: its handover cannot be read: ")) == (17, True)


def test_acts_are_signed_from_the_first_only_where_the_shop_says_so() -> None:
    def signs(**said: bool) -> bool:
        return project([act(0, "found", {"shop": "x", "demo": False, **said}).at_seq(1)]).signatures

    assert [signs(), signs(signatures=False), signs(signatures=True)] == [False, False, True]


@pytest.mark.parametrize(("refused", "code", "heated"), [
    ("bake", "RW519", True), ("bake", "RW518", False), ("bake", "RW520", False), ("anneal", "RW519", False),
    ("coat", "RW519", False),
])  # fmt: skip
def test_only_a_bake_refused_by_its_rule_heated_the_metal(refused: str, code: str, heated: bool) -> None:
    said = {"act": refused, "code": code, "found": "f", "do": "d", "pieces": ["P-1"], "logs": ["aa"]}
    assert after(act(90, "refusal", said)).pieces["P-1"].tried == ((("aa", 17),) if heated else ())


def test_a_piece_of_a_rack_comes_back_from_a_supplier_into_its_rack() -> None:
    built = act(90, "assemble", {"serial": "SN-0001", "pieces": ["P-1"]})
    names = {"pieces": ["P-9", "P-1", "P-2"]}
    out = act(91, "send_out", {"supplier": "S", "process": "anodize", **names})
    back = act(92, "receive_back", {"supplier": "S", "process": "anodize", **names})
    sent, there = after(built, out), after(built, out, back)
    assert [(sent.pieces[name].state, there.pieces[name].state) for name in ("P-1", "P-2")] == [
        ("sent_out", "assembled"), ("sent_out", "made"),
    ]  # fmt: skip
    assert [seq for seq, _ in there.odd] == [18, 19]  # P-9 is not known


def test_a_rack_is_scrapped_whole() -> None:
    said = {"serial": "SN-0001", "reason": "fell", "unusable": "sawn", "witness": "Bo", "awaits": True}
    state = after(act(90, "scrap_rack", said))
    assert (state.serials["SN-0001"].state, [*state.unseen], state.odd) == ("scrapped", ["17"], ())
    state = after(act(90, "scrap_rack", {**said, "serial": "SN-9"}))
    assert (state.odd, state.unseen) == (((17, "scrap_rack: serial 'SN-9' is not known"),), {})


def correction(number: int, of: int, **body: Any) -> Event:
    return act(number, "correction", {"reason": "misread", "changes": [], **body}, corrects=of)


def test_a_correction_is_laid_over_and_the_recorded_event_stays() -> None:
    fixed = correction(90, 14, fields={"value": "40.002 in"})
    assert after(fixed).measured("P-1")[0].value == "40.002 in"
    assert HISTORY[13].body["value"] == "40.001 in"
    later = correction(91, 14, fields={"value": "40.003 in"})
    assert after(fixed, later).measured("P-1")[0].value == "40.003 in"
    corrected_correction = correction(92, 17, fields={"fields": {"value": "40.004 in"}})
    assert after(fixed, corrected_correction).measured("P-1")[0].value == "40.004 in"


def test_a_void_event_is_left_out_and_voiding_can_be_voided() -> None:
    void = correction(90, 14, void=True)
    assert after(void).measured("P-1") == ()
    assert len(after(void, correction(91, 17, void=True)).measured("P-1")) == 1
    assert [event.seq for event in corrected([*HISTORY, void.at_seq(17)]) if event.seq == 14] == []


def test_a_correction_travels_with_the_event_it_corrects() -> None:
    fixed = correction(90, 14, fields={"value": "40.002 in"}).at_seq(17)
    other = correction(91, 2, fields={"roles": []}).at_seq(18)
    history = [*HISTORY, fixed, other]
    assert [event.seq for event in events_of_serial(history, project(history), "SN-0001")][-1] == 17


def test_refs_gather_names_once() -> None:
    assert Refs.of(pieces=["P-2", "P-1", "P-2"], lots=[""]) == Refs(pieces=("P-1", "P-2"))


def test_a_check_is_of_the_bytes_it_names_and_of_no_other_revision() -> None:
    def made(letter: str, n: int) -> dict[str, Any]:
        return {"report": "SR", "revision": letter, "of": "A", "inputs": "1" * 64, "file": str(n) * 64,
                "results": "2" * 64, "reasons": [{"code": "RW513", "found": "a question"}]}  # fmt: skip

    checked = {"report": "SR", "revision": "A", "file": "3" * 64}
    state = after(
        act(90, "report", made("A", 3)), act(91, "report_checked", checked), act(92, "report", made("B", 4))
    )
    a, b = state.reports["SR"]
    assert (a.checked_seq, b.checked_seq) == (18, 0)
    assert state.report_of("A") == b
    assert a.reasons == (("RW513", "a question"),)
    other = after(act(90, "report", made("A", 3)), act(91, "report_checked", {**checked, "file": "5" * 64}))
    assert other.reports["SR"][0].checked_by == ""
    assert len(other.odd) == 1

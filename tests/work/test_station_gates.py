"""The gates of the stations after the saw, one by one, on states written down by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from rackwright.record.state import Nonconformance, Piece, Supplier
from rackwright.trouble import Refusal
from rackwright.work import station_gates as gates
from states import (
    AFTER,
    BEFORE,
    TODAY,
    code,
    heard,
    hold,
    piece,
    rack,
    red_line,
    revision,
    shop,
    signed,
    words,
)

POST, BLOCK, RING = "SN-1/post.front-left", "SN-1/block.top", "SN-1/ring.1"
JOINTS = {"joint.1": {"by": "Ada"}}
HELD = {
    "A": revision(
        values={"hold_points": ("fit_up", "inspect_metal", "bake", "inspect_film", "assemble", "inspect")}
    )
}


# --- the rack ------------------------------------------------------------------------------------


def test_on_a_scrapped_rack_nothing_is_done() -> None:
    def ask(state: str) -> str:
        return code(gates.rack_here(shop(serials={"SN-1": rack(state=heard(state))}), "SN-1"))

    assert [ask(state) for state in ("planned", "released", "shipped", "scrapped")] == ["", "", "", "RW517"]
    assert code(gates.rack_here(shop(), "SN-1")) == "RW503"


@pytest.mark.parametrize(("state", "of", "found"), [
    ("made", "planned", ""), ("made", "back", ""), ("assembled", "back", ""), ("assembled", "planned", "RW517"),
    ("assembled", "released", "RW517"), ("assembled", "", "RW517"), ("scrapped", "back", "RW517"),
    ("replaced", "back", "RW517"), ("sent_out", "back", "RW517"), ("made", "", ""),
])  # fmt: skip
def test_what_stands_in_a_rack_is_worked_on_where_the_rack_came_back(state: str, of: str, found: str) -> None:
    serials = {"SN-1": rack(state=heard(of))} if of else {}
    state_ = shop(pieces={POST: piece(POST, state=heard(state))}, serials=serials)
    answer = gates.piece_may_be_worked_on(state_, "fit_up", POST)
    assert code(answer) == found
    assert not found or words(answer) == f"{POST} is {state}"
    assert code(gates.piece_may_be_worked_on(shop(), "fit_up", POST)) == "RW503"


@pytest.mark.parametrize(("about", "step", "done", "lacking"), [
    (BLOCK, "fit_up", (), "mill"), (BLOCK, "fit_up", ("mill",), ""), (RING, "fit_up", ("mill",), "bend"),
    (RING, "fit_up", ("bend",), ""), (POST, "fit_up", (), ""), (POST, "drill", (), "fit_up"),
    (POST, "drill", ("fit_up",), ""), (POST, "no step of the route", (), ""),
])  # fmt: skip
def test_a_step_waits_for_those_before_it_that_its_kind_of_piece_has(
    about: str, step: str, done: tuple[str, ...], lacking: str
) -> None:
    state = shop(pieces={about: piece(about, done=done)})
    answer = gates.piece_may_be_worked_on(state, step, about)
    assert code(answer) == ("RW518" if lacking else "")
    assert not lacking or words(answer) == f"{step} on {about} before {lacking}"


def test_a_step_waits_for_a_hold_and_for_the_signature_before_it() -> None:
    made = piece(POST, done=("fit_up", "drill", "take_apart", "deburr"))
    state = shop(pieces={POST: made}, serials={"SN-1": rack()}, revisions=HELD)
    unsigned = gates.piece_may_be_worked_on(state, "pretreat", POST)
    assert (code(unsigned), "inspect_metal" in words(unsigned)) == ("RW555", True)
    free = replace(state, hold_points={POST: signed("inspect_metal")})
    assert gates.piece_may_be_worked_on(free, "pretreat", POST) is None
    held = replace(free, holds={"H-9": hold(pieces=(POST,))})
    assert code(gates.piece_may_be_worked_on(held, "pretreat", POST)) == "RW517"


@pytest.mark.parametrize(("made", "measured", "found"), [
    (piece(seq=10), 0, ""), (piece(seq=10), 9, ""), (piece(seq=10), 10, "RW516"), (piece(seq=10), 11, "RW516"),
    (piece(seq=10), 1, ""), (piece(seq=1), 1, "RW516"), (None, 0, ""), (None, 1, "RW516"),
])  # fmt: skip
def test_who_measured_a_piece_does_not_work_on_it(made: Piece | None, measured: int, found: str) -> None:
    state = shop(pieces={"p": made} if made else {})
    assert code(gates.not_its_inspector(state, "Ada", "p", measured)) == found


# --- outside work --------------------------------------------------------------------------------


@pytest.mark.parametrize(("process", "until", "found"), [
    ("passivate", "", ""), ("passivate", TODAY, ""), ("passivate", AFTER, ""), ("passivate", BEFORE, "scope ended on"),
    ("plate", "", "is not recorded for plate"), ("plate", BEFORE, "is not recorded for plate"),
])  # fmt: skip
def test_a_supplier_does_what_its_scope_says_while_it_lasts(process: str, until: str, found: str) -> None:
    known = Supplier("S-1", ("anneal", "passivate"), until, 4)
    answer = gates.supplier_may(shop(suppliers={"S-1": known}), "S-1", process, TODAY)
    assert (code(answer), not found or found in words(answer)) == ("RW516" if found else "", True)
    assert code(gates.supplier_may(shop(), "S-1", process, TODAY)) == "RW516"


def test_pieces_are_counted_once_each() -> None:
    assert gates.named_once([]) is None
    assert gates.named_once(["a", "b", "c"]) is None
    assert words(gates.named_once(["a", "b", heard("b"), "a"])) == "b is named twice"
    assert words(gates.named_once(["a", "b", "a"])) == "a is named twice"


@pytest.mark.parametrize(("gone", "found"), [
    (None, "was not sent out"), (piece(), "was not sent out"), (piece(state="replaced"), "was not sent out"),
    (piece(state="scrapped"), "was not sent out"), (piece(state="tried"), "was not sent out"),
    (piece(state=heard("sent_out"), at_supplier=heard("S-1"), for_process=heard("plate")), ""),
    (piece(state="sent_out", at_supplier="S-2", for_process="plate"), "went to S-2 for plate, not to S-1 for plate"),
    (piece(state="sent_out", at_supplier="S-0", for_process="plate"), "went to S-0"),
    (piece(state="sent_out", at_supplier="S-1", for_process="weld"), "went to S-1 for weld"),
    (piece(state="sent_out", at_supplier="S-1", for_process="anneal"), "went to S-1 for anneal"),
])  # fmt: skip
def test_what_comes_back_went_there_for_this(gone: Piece | None, found: str) -> None:
    answer = gates.away_at(shop(pieces={"p": gone} if gone else {}), "p", "S-1", "plate")
    assert (code(answer), not found or found in words(answer)) == ("RW517" if found else "", True)


def test_what_comes_back_comes_with_a_certificate() -> None:
    answer = gates.comes_with_certificate(["a", "b"], "S-1", "plate", "")
    assert answer is not None
    assert (answer.code, answer.where.field) == ("RW510", "a")
    assert gates.comes_with_certificate(["a"], "S-1", "plate", "C-1") is None
    assert gates.comes_with_certificate([], "S-1", "plate", "") is None


# --- inspection ----------------------------------------------------------------------------------


@pytest.mark.parametrize(("made", "found"), [
    (None, "RW503"), (piece(makers=("Bo",)), ""), (piece(state=heard("assembled"), makers=()), ""),
    (piece(state="scrapped", makers=()), "RW517"), (piece(state="sent_out", makers=()), "RW517"),
    (piece(makers=("Bo", heard("Ada"))), "RW516"),
])  # fmt: skip
def test_who_made_a_piece_does_not_measure_it(made: Piece | None, found: str) -> None:
    assert code(gates.not_its_maker(shop(pieces={"p": made} if made else {}), "Ada", "p")) == found


def test_a_rack_is_measured_once_it_is_bolted_up_and_that_is_signed() -> None:
    def ask(rows: dict[str, Any], **more: Any) -> Refusal | None:
        state = shop(serials={"SN-1": rack(joints=rows)}, revisions=HELD, **more)
        return gates.rack_is_bolted_up(state, "SN-1")

    assert gates.rack_is_bolted_up(shop(), "SN-1") is None
    assert words(ask({})) == "SN-1 is not assembled"
    unsigned = ask(JOINTS)
    assert (code(unsigned), "hold point assemble of SN-1" in words(unsigned)) == ("RW555", True)
    assert ask(JOINTS, hold_points={"SN-1": signed("assemble")}) is None


def test_a_rack_is_weighed_whole_and_inspected() -> None:
    def ask(joints: dict[str, Any], *pieces: Piece, **more: Any) -> Refusal | None:
        state = shop(serials={"SN-1": rack(joints=joints)}, pieces={one.piece: one for one in pieces}, **more)
        return gates.rack_may_be_weighed(state, "SN-1")

    fitted = piece("a", state="assembled")
    assert gates.rack_may_be_weighed(shop(), "SN-1") is None
    assert gates.rack_may_be_weighed(shop(pieces={"p": piece()}), "SN-1") is None
    assert words(ask({}, fitted)) == "SN-1 is not assembled"
    assert words(ask(JOINTS, fitted, piece("b", state=heard("made")))) == "b is not assembled"
    assert words(ask({}, piece("b"))) == "b is not assembled"
    for gone in "scrapped", "replaced", "sent_out", "lost":
        assert ask(JOINTS, fitted, piece("b", state=gone)) is None
    for point, before in (("assemble", ()), ("inspect", ("assemble",))):
        more = {"revisions": HELD, "hold_points": {"SN-1": signed(*before)}}
        assert f"hold point {point} of SN-1" in words(ask(JOINTS, fitted, **more))
    assert ask(JOINTS, fitted, revisions=HELD, hold_points={"SN-1": signed("assemble", "inspect")}) is None


def test_a_weight_agrees_or_is_accepted_by_the_holder() -> None:
    accepted = Nonconformance(
        "N-1", "heavy", (), ("SN-1",), (), 21, "weight", "use_as_is", "", "MRB-1", "Ada", 22
    )

    def ask(weighed: bool | None, **more: Any) -> str:
        weighing = {"seq": 20} if weighed is not None else {}
        state = shop(serials={"SN-1": rack(weighed=weighed, weighing=weighing)}, **more)
        return code(gates.weight_agrees(state, "SN-1"))

    assert [ask(None), ask(False), ask(True)] == ["RW522", "RW522", ""]
    assert ask(False, nonconformances={"N-1": accepted}) == ""
    assert ask(None, nonconformances={"N-1": accepted}) == "RW522"
    assert ask(False, nonconformances={"N-1": replace(accepted, decided_seq=19)}) == "RW522"
    assert code(gates.weight_agrees(shop(), "SN-1")) == "RW522"


# --- assembly ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("made", "found"), [
    (None, "p is not made"), (piece(serial=""), ""), (piece(serial=heard("SN-1")), ""),
    (piece(serial="SN-2"), "p is of SN-2, not of SN-1"), (piece(serial="SN-0"), "p is of SN-0, not of SN-1"),
    (piece(state=heard("assembled")), "p is assembled"), (piece(state="scrapped"), "p is scrapped"),
    (piece(state="lost"), "p is lost"), (piece(state=heard("made")), ""),
])  # fmt: skip
def test_a_rack_is_assembled_of_its_own_finished_pieces(made: Piece | None, found: str) -> None:
    answer = gates.piece_may_be_assembled(shop(pieces={"p": made} if made else {}), "SN-1", "p", False)
    assert (code(answer), not found or words(answer) == found) == ("RW517" if found else "", True)


def test_a_piece_is_assembled_baked_signed_free_and_as_the_red_line_says() -> None:
    baked = piece(POST, done=("coat", "bake"))

    def ask(made: Piece = baked, must_be_baked: bool = True, **more: Any) -> Refusal | None:
        state = shop(pieces={POST: made}, serials={"SN-1": rack()}, **more)
        return gates.piece_may_be_assembled(state, "SN-1", POST, must_be_baked)

    assert ask() is None
    assert code(ask(piece(POST, done=("coat",)))) == "RW518"
    assert ask(piece(POST, done=("coat",)), must_be_baked=False) is None
    assert code(ask(holds={"H-9": hold(pieces=(POST,))})) == "RW517"
    assert code(ask(red_lines={"RL-1": red_line((POST, "drill"))})) == "RW550"
    for point, before in (("bake", ()), ("inspect_film", ("bake",))):
        assert f"hold point {point} of" in words(
            ask(revisions=HELD, hold_points={POST: signed("inspect_metal", *before)})
        )
    points = {POST: signed("inspect_metal", "bake", "inspect_film")}
    assert ask(revisions=HELD, hold_points=points) is None
    assert (
        code(ask(revisions=HELD, hold_points=points, red_lines={"RL-1": red_line((POST, "drill"))}))
        == "RW550"
    )


@pytest.mark.parametrize(("asked", "about", "found"), [
    ({"piece": "p"}, "p", True), ({"piece": "p"}, "q", False), ({"serial": "SN-1"}, "SN-1", True),
    ({"serial": "SN-1"}, "p", True), ({"serial": "SN-1"}, "q", False), ({"serial": "SN-2"}, "p", False),
    ({"piece": "p"}, "SN-1", False),
])  # fmt: skip
def test_a_red_line_lies_on_what_is_left_of_it(asked: dict[str, str], about: str, found: bool) -> None:
    state = shop(serials={"SN-1": rack()}, red_lines={"RL-1": red_line(("z", "mill"), (about, "drill"))})
    answer = gates.not_red_lined(state, **asked)
    assert code(answer) == ("RW550" if found else "")
    if answer is not None:
        assert answer.where.field == about
        assert answer.found == f"red line RL-1 (ECO-1): drill of {about} is not done anew"
    lifted = replace(state, red_lines={"RL-1": red_line((about, "drill"), lifted_seq=31)})
    assert gates.not_red_lined(lifted, **asked) is None
    read = replace(state, red_lines={"RL-1": red_line(readings=((about, "length"),))})
    assert code(gates.not_red_lined(read, **asked)) == ("RW550" if found else "")


def test_hardware_comes_from_a_lot_drawn_for_the_rack() -> None:
    state = shop(serials={"SN-1": rack()})
    assert gates.lot_was_drawn(state, "L-1", "SN-1") is None
    assert [code(gates.lot_was_drawn(state, lot, of)) for lot, of in (("L-2", "SN-1"), ("L-1", "SN-2"))] == [
        "RW521"
    ] * 2

"""The gates of the hold points, one by one, on states written down by hand."""

from __future__ import annotations

from typing import Any

import pytest

from rackwright.record import Person
from rackwright.record.state import Revision, Serial
from rackwright.trouble import Refusal
from rackwright.work import hold_points as gates
from states import code, heard, hold, piece, rack, red_line, revision, shop, signed, words

POST, BLOCK = "SN-1/post.front-left", "SN-1/block.top"
ALL = ("mill", "fit_up", "inspect_metal", "bake", "inspect_film", "assemble", "inspect")
JOINTS = {"joint.1": {"by": "Ada"}, "joint.2": {"by": "Bo"}}


def asking(*points: str) -> dict[str, Revision]:
    return {"A": revision(values={"hold_points": points or ALL})}


def persons(**roles: str) -> dict[str, Person]:
    return {
        name: Person(name, (role.lstrip("-"),), not role.startswith("-"), "", 1)
        for name, role in roles.items()
    }


def test_the_hold_points_are_those_of_the_racks_revision_and_else_of_the_pieces_own() -> None:
    both = {**asking("mill"), "B": revision(revision="B", values={"hold_points": ("fit_up",)})}
    state = shop(serials={"SN-1": rack()}, revisions=both)
    assert gates.points_asked(state, "SN-1") == ("mill",)
    assert gates.points_asked(state, "SN-1", "B") == ("mill",)
    assert gates.points_asked(state, "", "B") == ("fit_up",)
    assert gates.points_asked(state, "", "C") == ()
    assert gates.points_asked(shop(revisions={"A": revision()}), "", "A") == ()


@pytest.mark.parametrize(("name", "done", "found"), [
    (BLOCK, (), ("mill", "fit_up", "inspect_metal")),
    (BLOCK, ("coat",), ("mill", "fit_up", "inspect_metal", "bake", "inspect_film")),
    (POST, ("coat",), ("fit_up", "inspect_metal", "bake", "inspect_film")),
    ("SN-1/post.front.2", (), ("fit_up", "inspect_metal")),
])  # fmt: skip
def test_a_piece_passes_those_of_its_kind_as_it_is_coated(
    name: str, done: tuple[str, ...], found: tuple[str, ...]
) -> None:
    made = piece(name, done=done)
    assert gates.points_of_piece(shop(serials={"SN-1": rack()}, revisions=asking()), made) == found


def test_each_point_wanted_is_signed_of_pieces_and_of_the_rack() -> None:
    made = piece(POST)
    people = persons(Ivo="inspector", Ada="inspector", Old="-inspector", Lea="lead", Uma="inspector")
    state = shop(pieces={POST: made}, serials={"SN-1": rack(joints=JOINTS)}, revisions=asking(), persons=people,
                 hold_points={POST: signed("fit_up"), "SN-1": signed("assemble")})  # fmt: skip
    assert gates.points_signed(state, made, ["fit_up", "mill", "bake"]) is None
    refused = gates.points_signed(state, made, ["fit_up", "inspect_metal"])
    assert refused is not None
    assert (refused.code, refused.where.field) == ("RW555", POST)
    assert refused.found.startswith(
        f"hold point inspect_metal of {POST} is not signed off: every characteristic"
    )
    assert refused.do.startswith("an inspector who did not make it (Ivo, Uma) signs it: ")
    assert gates.rack_points_signed(state, "SN-1", ["assemble"]) is None
    assert gates.rack_points_signed(state, "SN-1", ["fit_up"]) is None, "no point of a rack"
    refused = gates.rack_points_signed(state, "SN-1", ["assemble", "inspect"])
    assert refused is not None
    assert refused.found.startswith("hold point inspect of SN-1 is not signed off")
    assert "(Ivo, Uma)" in refused.do, "who tightened its joints made it"
    assert gates.rack_points_signed(state, "SN-2", ["inspect"]) is None
    none = gates.points_signed(shop(revisions=asking()), made, ["inspect_metal"])
    assert none is not None
    assert "(nobody of the shop now)" in none.do


def test_before_it_leaves_every_point_of_what_is_there_is_signed() -> None:
    pieces = {name: piece(name) for name in (POST, BLOCK)}
    done = {POST: signed("fit_up", "inspect_metal"), BLOCK: signed("mill", "fit_up", "inspect_metal"),
            "SN-1": signed("assemble", "inspect")}  # fmt: skip

    def ask(without: str = "", of: str = "", **more: Any) -> Refusal | None:
        left = {about: {point: one for point, one in points.items() if (about, point) != (of, without)}
                for about, points in done.items()}  # fmt: skip
        there = shop(pieces=pieces | more, serials={"SN-1": rack(pieces=(POST, BLOCK, "gone"), joints=JOINTS)},
                     revisions=asking(), hold_points=left)  # fmt: skip
        return gates.signed_whole(there, "SN-1")

    assert ask() is None
    for of, without in ((POST, "fit_up"), (BLOCK, "mill"), ("SN-1", "assemble"), ("SN-1", "inspect")):
        assert f"hold point {without} of {of} is" in words(ask(without, of))
    for state in "scrapped", "replaced":
        assert ask("mill", BLOCK, **{BLOCK: piece(BLOCK, state=heard(state))}) is None
    assert ask("mill", BLOCK, **{BLOCK: piece(BLOCK, state="assembled")}) is not None
    assert gates.signed_whole(shop(revisions=asking()), "SN-2") is None


# --- signing -------------------------------------------------------------------------------------


def ask(
    point: str, pieces: list[str], serials: list[str], person: str = "Ivo", /, **more: Any
) -> Refusal | None:
    plain: dict[str, Any] = {"pieces": {POST: piece(POST, done=("fit_up",))}, "serials": {"SN-1": rack()},
                             "revisions": asking()}  # fmt: skip
    return gates.may_be_signed_off(shop(**plain | more), person, point, pieces, serials)


def test_what_is_signed_is_a_hold_point_of_what_is_named_once() -> None:
    assert ask("fit_up", [POST], []) is None
    assert "'drill' is no hold point" in words(ask("drill", [POST], []))
    for pieces, serials in (([], []), ([], ["SN-1"]), ([POST], ["SN-1"])):
        assert words(ask("fit_up", pieces, serials)) == "fit_up is a hold point of pieces"
    for pieces, serials in (([], []), ([POST], []), ([POST], ["SN-1"])):
        answer = ask("assemble", pieces, serials)
        assert answer is not None
        assert (answer.found, answer.do) == ("assemble is a hold point of racks", "name the racks alone")
    assert words(ask("fit_up", [POST, heard(POST)], [])) == f"{POST} is named twice"
    assert words(ask("fit_up", ["a", POST, "a"], [])) == "a is named twice"
    assert words(ask("fit_up", [POST, "a"], [])) == "a is not in the record"


def test_a_point_is_signed_once() -> None:
    answer = ask("fit_up", [POST], [], hold_points={POST: signed("fit_up")})
    assert (code(answer), words(answer)) == ("RW517", f"fit_up of {POST} was signed off by Ivo (event 40)")
    assert ask("fit_up", [POST], [], hold_points={POST: signed("bake"), BLOCK: signed("fit_up")}) is None


@pytest.mark.parametrize(("state", "found"), [
    ("made", ""), ("assembled", ""), ("scrapped", "RW517"), ("sent_out", "RW517"), ("replaced", "RW517"),
    ("above", "RW517"),
])  # fmt: skip
def test_what_is_signed_is_in_the_shop(state: str, found: str) -> None:
    made = piece(POST, done=("fit_up",), state=heard(state))
    assert code(ask("fit_up", [POST], [], pieces={POST: made})) == found


def test_a_point_of_a_piece_is_signed_after_its_step_by_another_than_its_maker() -> None:
    def of(point: str, *done: str, name: str = POST, person: str = "Ivo", **more: Any) -> Refusal | None:
        return ask(point, [name], [], person, pieces={name: piece(name, done=done)}, **more)

    assert words(of("mill", "mill")) == f"{POST} has no hold point mill, as far as it is made"
    assert words(of("bake", "fit_up", "bake")) == f"{POST} has no hold point bake, as far as it is made"
    assert words(of("fit_up")) == f"fit_up of {POST} before fit_up"
    assert of("mill", "mill", name=BLOCK) is None
    assert words(of("inspect_metal", "fit_up")) == f"inspect_metal of {POST} before deburr"
    assert of("inspect_metal", "deburr") is None
    assert "hold point bake of" in words(of("inspect_film", "coat", "bake"))
    assert of("inspect_film", "coat", "bake", hold_points={POST: signed("bake")}) is None
    assert words(of("fit_up", "fit_up", person=heard("Ada"))) == f"Ada made {POST}"
    assert code(of("fit_up", "fit_up", holds={"H-9": hold(pieces=(POST,))})) == "RW517"


@pytest.mark.parametrize(("point", "left", "found"), [
    ("fit_up", (POST, "fit_up"), True), ("fit_up", (POST, "drill"), False), ("fit_up", (BLOCK, "fit_up"), False),
    ("fit_up", (POST, "bake"), False), ("fit_up", (POST, "take_apart"), False),
    ("fit_up", (POST, heard("fit_up")), True),
    ("inspect_metal", (POST, "drill"), True), ("inspect_metal", (heard(POST), "bake"), True),
    ("inspect_metal", (BLOCK, "drill"), False), ("inspect_metal", ("SN-1/angle.1", "drill"), False),
    ("inspect_metal", ("SN-1/width.1", "drill"), False),
])  # fmt: skip
def test_what_a_red_line_asks_anew_is_done_before_it_is_signed(
    point: str, left: tuple[str, str], found: bool
) -> None:
    done = piece(POST, done=("fit_up", "deburr"))
    lines = {"RL-0": red_line(), "RL-1": red_line(("z", "drill"), left)}
    answer = ask(point, [POST], [], pieces={POST: done}, red_lines=lines, hold_points={POST: signed("fit_up")}
                 if point != "fit_up" else {})  # fmt: skip
    assert code(answer) == ("RW550" if found else "")
    assert not found or words(answer) == f"red line RL-1 (ECO-1): {left[1]} of {POST} is not done anew"


def test_a_rack_is_signed_off_whole_before_it_leaves_by_who_did_not_assemble_it() -> None:
    def of(
        point: str = "assemble", joints: dict[str, Any] = JOINTS, person: str = "Ivo", **more: Any
    ) -> Refusal | None:
        serials: dict[str, Serial] = {"SN-1": rack(joints=joints, state=heard(more.pop("state", "planned")))}
        fitted = {POST: piece(POST, state=heard(more.pop("piece", "assembled")))}
        return ask(point, [], ["SN-1"], person, serials=serials, pieces=fitted, **more)

    assert of() is None
    assert words(ask("assemble", [], ["SN-9"])) == "serial SN-9 is not in the record"
    assert words(of(revisions=asking("inspect"))) == "SN-1 has no hold point assemble"
    for state in "released", "shipped", "back", "cancelled":
        assert words(of(state=state)) == f"SN-1 is {state}"
    assert words(of(piece="made")) == f"assemble of SN-1 before {POST} is assembled"
    assert words(of(joints={})) == "assemble of SN-1 before it is assembled"
    for gone in "scrapped", "lost":
        assert of(piece=gone) is None
    assert [code(of(person=person)) for person in ("Ada", "Bo", "Cy")] == ["RW516", "RW516", ""]
    assert "hold point assemble of SN-1" in words(of("inspect"))
    assert of("inspect", hold_points={"SN-1": signed("assemble")}) is None
    assert code(of(red_lines={"RL-1": red_line(("SN-1", "assemble"))})) == "RW550"
    assert code(of(red_lines={"RL-1": red_line(("SN-1", "height"))})) == "RW550"
    assert code(of(holds={"H-9": hold(serials=("SN-1",))})) == "RW517"

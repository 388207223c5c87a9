"""The jig: coordinates by hand, how stacks add, and two racks' points laid on each other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from papers.reading import flat, pages
from racks import AN3, ANCHORS, DEMO, STANDARD, VARIATION, anchored, built, design_of, plain, rack_of, swap
from rackwright.making.jig import Contribution, JigPlan, StackUp, jig_json, jig_plan, squareness
from rackwright.making.mill import mill_plan
from rackwright.making.passport import passport_gap, read_points
from rackwright.plan import Plan
from rackwright.shop import Shop, read_shop
from rackwright.shop.jig_and_oven import Jig
from rackwright.work.papers.jig import jig_sheet
from strategies import COUNTERBORE

TEXT = (DEMO / "shop.toml").read_text("utf-8")
IN = 25_400_000


def shop(text: str = TEXT) -> Shop:
    found, faults = read_shop(text.encode(), "shop.toml")
    assert found is not None, faults
    return found


JIG = shop().jig


def plan(standard: str = STANDARD, jig: Jig | None = JIG, variation: str | None = VARIATION) -> JigPlan:
    rack = rack_of(standard, variation)
    return jig_plan(rack, design_of(standard, variation).pieces, jig)


# --- holes ---------------------------------------------------------------------------------------


def test_a_joint_bolt_worked_by_hand() -> None:
    """The tube's end is 1.5 in up, its middle 0.75 in back; the jig has the rack's origin at 2, 2, 1.5 in."""
    up = round(1.5 * IN) + design_of(STANDARD, VARIATION).rack.definition.joint.post[0].at
    (hole,) = [one for one in plan().holes if one.bolt == "joint.post.front-left.low.1"]
    assert hole.rack_at == (0, round(0.75 * IN), up)
    assert hole.at == (2 * IN, round(2.75 * IN), up + round(1.5 * IN))
    assert (hole.face, hole.use, hole.ream, hole.drill) == (
        "-x",
        "ring",
        round(0.2505 * IN),
        round(0.2344 * IN),
    )


def test_every_frame_hole_is_listed_once_on_the_face_that_looks_out() -> None:
    sheet, bolts = plan(), design_of(STANDARD, VARIATION).pieces.bolts
    wanted = {bolt.id for bolt in bolts if bolt.id.split(".")[0] in ("joint", "shelf", "rail", "pad")}
    assert {hole.bolt for hole in sheet.holes} == wanted
    assert len(sheet.holes) == len(wanted)
    size = {"x": 24 * IN, "y": 26 * IN, "z": round(43.5 * IN)}
    for face, holes in sheet.faces.items():
        i = "xyz".index(face[1])
        for hole in holes:
            assert hole.rack_at[i] == (0 if face[0] == "-" else size[face[1]])
    assert sum(map(len, sheet.faces.values())) == len(sheet.holes)


def test_what_must_agree_between_racks() -> None:
    uses = [hole.use for hole in plan().holes if hole.interchange]
    # three shelves with eight bolts, rails, two bolts for each of eight rings, four pads
    assert {use: uses.count(use) for use in uses} == {"shelf": 24, "rail": 8, "ring": 16, "pad": 4}


def test_the_sheet_says_what_a_bolt_without_a_nut_turns_into() -> None:
    tables = plain(shelves={"s": 12})
    screw = {**{name: value for name, value in AN3.items() if name != "nut"}, "nutplate": ANCHORS["nutplate"]}
    tables["shelf_make"] = {**tables["shelf_make"], "hardware": screw}
    design = built(tables)
    found = jig_plan(design.rack, design.pieces, JIG)
    holes = [hole for hole in found.holes if hole.use == "shelf"]
    assert holes
    assert all(hole.then.startswith("rivet nutplate NP-3 behind angle.") for hole in holes)
    assert all(hole.ream / IN == pytest.approx(0.1915, abs=5e-5) for hole in holes)
    listed = [
        one["then"] for face in jig_json(found)["faces"].values() for one in face if one["use"] == "shelf"
    ]
    assert set(listed) == {hole.then for hole in holes}


@pytest.mark.parametrize("kind", ["tapped", "insert"])
def test_a_pad_s_hole_is_the_jig_s_and_the_block_s_the_mill_s(kind: str) -> None:
    """One owner a hole: the pad is reamed for its bolt and counterbored; the block's tap drill is on the mill sheet."""
    tables = plain(shelves={"s": 12})
    screw = {**{name: value for name, value in AN3.items() if name != "nut"}, kind: ANCHORS[kind]}
    tables["pad"] = {**tables["pad"], "thickness": "1/2 in", "counterbore": COUNTERBORE, "hardware": screw}
    design = built(tables)
    found = jig_plan(design.rack, design.pieces, JIG)
    holes = [hole for hole in found.holes if hole.use == "pad"]
    assert {hole.ream for hole in holes} == {round(0.1915 * IN)}
    assert [hole.joins for hole in holes] == [(hole.bolt,) for hole in holes]
    assert {hole.then for hole in holes} == {
        "counterbore 0.75 in, 0.25 in deep from below, both ± 0.01 in; over the block's hole, which the mill makes"
    }
    assert not [one for one in found.anchors if one.bolt.startswith("pad.")]
    mill = mill_plan(((design, 1),), (), shop())
    drilled = {(hole.bolt, hole.diameter) for line in mill.lines for hole in line.milled}
    wide = {"tapped": 0.1562, "insert": 0.25}[kind]
    assert {bolt for bolt, _ in drilled} == {hole.bolt for hole in holes}
    assert all(diameter / IN == pytest.approx(wide, abs=5e-5) for _, diameter in drilled)


def test_a_moved_shelf_moves_its_holes_and_no_other() -> None:
    moved = plan(variation=swap(VARIATION, ('height = "24 in"', 'height = "24.5 in"')))
    before = {hole.bolt: hole.at for hole in plan().holes}
    after = {hole.bolt: hole.at for hole in moved.holes}
    assert {id for id in before if before[id] != after[id]} == {
        id for id in before if id.startswith("shelf.middle.")
    }
    assert all(after[id][2] - before[id][2] == IN // 2 for id in before if id.startswith("shelf.middle."))
    assert moved.stack == plan().stack


def test_without_a_jig_there_are_holes_and_questions() -> None:
    sheet = plan(jig=None)
    assert sheet.stack is None
    assert [one.field for one in sheet.asked] == ["[jig]"]
    assert all(hole.at == hole.rack_at and not hole.drill for hole in sheet.holes)
    assert jig_json(sheet)["stack"] is None


def test_a_hole_that_no_drill_suits_is_asked_for() -> None:
    jig = shop().jig
    assert jig is not None
    sheet = plan(jig=replace(jig, drills=(round(0.2344 * IN),)))
    assert [str(one) for one in sheet.asked] == [
        "jig.drills: none leaves the ream allowance in a 0.1915 in hole"
    ]


# --- stack ---------------------------------------------------------------------------------------


def part(half: float, common: bool = False, distribution: str = "normal") -> Contribution:
    return Contribution("one", half, 0.0, distribution, common, "")


def test_the_stack_of_the_docstring() -> None:
    found = StackUp((part(1), part(2), part(2), part(4, common=True)), 9.0)
    assert (found.worst_one, found.statistical_one) == (9.0, 5.0)
    assert (found.worst_two, found.worst_two_jigs) == (10.0, 18.0)
    assert found.statistical_two == pytest.approx(3 * 2**0.5)
    assert found.governs == "statistical"
    assert replace(found, limit=10.0).governs == "worst case"
    assert replace(found, limit=4.0).governs == "measured stacks"
    assert all("measured stack" in replace(found, limit=limit).answer for limit in (None, 9.0, 10.0))


def test_the_demo_by_hand() -> None:
    """Growth: the upper ring bolts are 43.5 - 1.5 in up less their place in the tube; 8 degF are 4 either way."""
    at = design_of(STANDARD, VARIATION).rack.definition.joint.post[0].at / IN
    stack = plan().stack
    assert stack is not None
    halves = {one.name: one.half / 0.0254 for one in stack.contributions}
    assert halves["bushing position"] == pytest.approx(0.0003)  # measured, in place of its tolerance
    assert stack.offset / 0.0254 == pytest.approx(0.0011)
    assert halves["spigot fit"] == pytest.approx(0.002)
    assert halves["bolt in its hole"] == pytest.approx(0.00025)
    assert halves["thermal growth"] == pytest.approx((42 - at) * 11.1e-6 * 4 * 5 / 9, rel=1e-6)
    own = sum(half for name, half in halves.items() if name != "bushing position")
    assert stack.worst_two / 0.0254 == pytest.approx(2 * own)
    assert stack.governs == "worst case"


halves = st.lists(st.floats(1e-6, 1e-2), min_size=1, max_size=8)
kinds = st.sampled_from(["normal", "uniform", "triangular"])


@given(st.lists(st.tuples(st.floats(1e-6, 1e-2), st.booleans(), kinds), min_size=1, max_size=8), st.randoms())
def test_laws_of_the_stack(rows: list[tuple[float, bool, str]], order: object) -> None:
    stack = StackUp(tuple(part(*row) for row in rows), 0.02)
    assert 0 < stack.statistical_one <= stack.worst_one
    assert (
        stack.statistical_two <= stack.worst_two <= stack.worst_two_jigs == pytest.approx(2 * stack.worst_one)
    )
    turned = StackUp(tuple(reversed(stack.contributions)), 0.02)
    assert turned.statistical_two == pytest.approx(stack.statistical_two)
    own = StackUp(stack.own, 0.02)  # what both racks share is not in their difference
    assert (own.worst_two, own.statistical_two) == (stack.worst_two, stack.statistical_two)


@given(
    st.lists(st.tuples(st.floats(1e-5, 1e-2), st.booleans()), min_size=2, max_size=6),
    st.integers(0, 2**32 - 1),
)
def test_no_two_racks_differ_by_more_than_the_worst(rows: list[tuple[float, bool]], seed: int) -> None:
    stack = StackUp(tuple(part(half, common, "uniform") for half, common in rows), None)
    rng = np.random.default_rng(seed)
    half = np.array([row[0] for row in rows])
    shared = np.array([row[1] for row in rows])
    a, b = rng.uniform(-1, 1, (2, len(rows))) * half
    b[shared] = a[shared]
    assert abs(a.sum() - b.sum()) <= stack.worst_two * (1 + 1e-12) + 1e-15
    assert abs(a.sum()) <= stack.worst_one * (1 + 1e-12)


def test_a_three_sigma_of_two_racks_is_seen_in_many_pairs() -> None:
    """Uniform contributors: the spread of the difference is what the formula says, to a few percent."""
    stack = StackUp((part(1, distribution="uniform"), part(2, distribution="uniform"), part(2, distribution="uniform")),
                    None)  # fmt: skip
    rng = np.random.default_rng(3)
    racks = (rng.uniform(-1, 1, (2, 100_000, 3)) * np.array([1, 2, 2])).sum(axis=2)
    assert 3 * float(np.std(racks[0] - racks[1])) == pytest.approx(3**0.5 * 3 * 2**0.5, rel=0.02)
    assert stack.statistical_two == pytest.approx(3**0.5 * 3 * 2**0.5)


def test_a_wider_spigot_gap_widens_the_stack() -> None:
    wide = plan(swap(STANDARD, ('spigot_gap = "0.004 in"', 'spigot_gap = "0.012 in"'))).stack
    before = plan().stack
    assert wide is not None
    assert before is not None
    assert (wide.worst_two - before.worst_two) / 0.0254 == pytest.approx(2 * 0.004)
    assert wide.governs == "statistical"


# --- faults of the table -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "code", "field"),
    [
        ('expansion = "steel"', 'expansion = "stele"', "RW108", "jig.expansion"),
        ('warmest = "72 degF"', 'warmest = "60 degF"', "RW106", "jig.warmest"),
        ("common = true\n", "", "RW106", "jig.contributor.0.measured"),
        ('uncertainty = "0.0003 in"\n', "", "RW101", "jig.contributor.0"),
        ('name = "bushing wear"', 'name = "drill wander"', "RW107", "jig.contributor.3.name"),
        ('how_known = "test"', 'how_known = "guessed"', "RW111", "jig.contributor.3.how_known"),
    ],
)
def test_faults_name_their_place(old: str, new: str, code: str, field: str) -> None:
    found, faults = read_shop(swap(TEXT, (old, new)).encode(), "shop.toml")
    assert found is None
    (fault,) = faults
    assert (fault.code, fault.where.line > 0) == (code, True)
    assert fault.where.field.replace("[", ".").replace("]", "") == field


# --- passport ------------------------------------------------------------------------------------

points = st.lists(st.tuples(*[st.floats(-50, 50)] * 3), min_size=4, max_size=9, unique=True)
turns = st.tuples(*[st.floats(-3, 3)] * 3)


@given(points, turns, turns)
def test_a_turned_and_moved_rack_is_the_same_rack(rows, turn, move) -> None:  # type: ignore[no-untyped-def]
    a = {str(n): row for n, row in enumerate(rows)}
    matrix = Rotation.from_rotvec(turn).as_matrix()
    b = {name: tuple(map(float, matrix @ np.array(row) + move)) for name, row in a.items()}
    gap = passport_gap(a, b)
    assert np.linalg.det(gap.rotation) == pytest.approx(1.0)
    assert not gap.mirrored or max(abs(x) for row in gap.fitted.values() for x in row) < 1e-5
    assert gap.rms_fitted < 1e-6
    for name in a:
        assert gap.fixed[name] == pytest.approx([x - y for x, y in zip(b[name], a[name], strict=True)])


@given(points, st.integers(0, 3), st.floats(0.05, 1))
def test_the_best_fit_is_not_beaten_by_leaving_the_points_alone(rows, which, off) -> None:  # type: ignore[no-untyped-def]
    a = {str(n): row for n, row in enumerate(rows)}
    b = a | {str(which): (a[str(which)][0] + off, *a[str(which)][1:])}
    gap = passport_gap(a, b)
    assert gap.most_fixed == (str(which), pytest.approx(off))
    assert gap.within(off * 1.001)
    assert not gap.within(off * 0.999)
    if gap.fitted:
        raw = np.sqrt(np.mean([sum(x * x for x in row) for row in gap.fixed.values()]))
        assert gap.rms_fitted <= raw * (1 + 1e-9) + 1e-9


@given(points, st.lists(st.tuples(*[st.floats(-0.1, 0.1)] * 3), min_size=9, max_size=9), turns)
def test_no_turn_or_move_beats_the_minimax_fit(rows, errors, turn) -> None:  # type: ignore[no-untyped-def]
    a = {str(n): row for n, row in enumerate(rows)}
    b = {name: tuple(x + e for x, e in zip(row, error, strict=True))
         for (name, row), error in zip(a.items(), errors, strict=False)}  # fmt: skip
    gap = passport_gap(a, b)
    if not gap.fitted:
        return
    least = gap.most_least[1]
    squares = np.array(list(gap.fitted.values()))
    assert least <= np.abs(squares).max() + 1e-12, "least squares is a placing like any other"
    assert least <= gap.most_fixed[1] + 1e-9 or gap.mirrored
    here = np.array([gap.least[name] for name in a]) + np.array(rows)
    for size in (1e-3, 1e-5):  # nor does any small turn from there
        matrix = Rotation.from_rotvec(np.array(turn) * size / 3).as_matrix()
        other = (here - here.mean(axis=0)) @ matrix.T + here.mean(axis=0)
        middle = (
            (other - rows).max(axis=0) + (other - rows).min(axis=0)
        ) / 2  # the best move after that turn
        assert least <= np.abs(other - rows - middle).max() + 1e-7


def test_one_corner_up_is_shared_by_four_in_the_minimax_fit() -> None:
    """A square plate with one corner raised by h: the best plane leaves h/4 at every corner (closed form)."""
    a = {"p": (0.0, 0.0, 0.0), "q": (20.0, 0.0, 0.0), "r": (20.0, 20.0, 0.0), "s": (0.0, 20.0, 0.0)}
    gap = passport_gap(a, a | {"r": (20.0, 20.0, 0.020)})
    assert gap.most_least[1] == pytest.approx(0.005, rel=1e-4)
    assert [abs(row[2]) for row in gap.least.values()] == pytest.approx([0.005] * 4, rel=1e-4)
    assert gap.most_fixed == ("r", pytest.approx(0.020))


@pytest.mark.parametrize(
    ("text", "line", "found"),
    [
        ("name,x,y,z\np,1,2,3\n", 1, "columns name"),
        ("point,x_in,y_in,z_mm\np,1,2,3\n", 1, "columns point"),
        ("point,x_in,y_in,z_in\np,1,,3\n", 2, "'' is no coordinate"),
        ("point,x_in,y_in,z_in\np,1,2,1e5\n", 2, "'1e5' is no coordinate"),
        ("point,x_in,y_in,z_in\np,1,2,3\np,1,2,3\n", 3, "p is there twice"),
        ("point,x_in,y_in,z_in\n# a remark\n,1,2,3\n", 3, "without a name"),
        ("point,x_in,y_in,z_in\np,1,2\n", 2, "3 values in 4 columns"),
        ("", 0, "no readings"),
    ],
)
def test_a_bad_line_of_a_passport_is_named(text: str, line: int, found: str) -> None:
    points, faults = read_points(text.encode(), "p.csv")
    assert points == {}
    assert (faults[0].where.file, faults[0].where.line) == ("p.csv", line)
    assert found in faults[0].found


def test_millimetres_and_inches_are_the_same_points() -> None:
    inches, _ = read_points(b"point,x_in,y_in,z_in\np,1,-2.5,0\n", "p.csv")
    metric, _ = read_points(b"point,x_mm,y_mm,z_mm\np,25.4,-63.5,0.0\n", "p.csv")
    assert inches["p"] == pytest.approx(metric["p"])


def test_points_of_one_rack_only_do_not_pass() -> None:
    a = {"p": (0.0, 0.0, 0.0), "q": (1.0, 0.0, 0.0), "r": (0.0, 1.0, 0.0)}
    gap = passport_gap(a, {name: a[name] for name in ("p", "q")})
    assert gap.only_one == ("r",)
    assert not gap.within(1.0)
    assert gap.fitted == {}  # two points fix no turn
    assert not passport_gap({}, {}).within(1.0)


def test_points_in_one_line_fix_no_turn() -> None:
    a = {str(n): (float(n), 0.0, 0.0) for n in range(5)}
    assert passport_gap(a, a).fitted == {}


def test_a_diagonal_that_no_frame_has_is_refused() -> None:
    with pytest.raises(ValueError, match="math domain"):
        squareness(10.0, 1.0, 30.0, 10.0)


RIVETS = {
    "part": "RV-3", "hole": "0.098 in", "spacing": "0.688 in", "along": "y", "document": "INVENTED-TEST-2 rev A",
}  # fmt: skip


def with_nutplates(**more: object) -> dict[str, object]:
    tables = plain(shelves={"s": 12})
    screw = {name: value for name, value in AN3.items() if name != "nut"}
    plated = screw | {"nutplate": {**ANCHORS["nutplate"], **more}}
    return tables | {"shelf_make": {**tables["shelf_make"], "hardware": plated}}


def test_the_rivet_holes_of_a_nutplate_stand_on_either_side_of_its_bolt() -> None:
    design = built(with_nutplates(rivets=RIVETS))
    found = jig_plan(design.rack, design.pieces, JIG)
    plated = [one for one in found.anchors if one.kind == "nutplate"]
    assert len(plated) == sum(hole.use == "shelf" for hole in found.holes)
    for one in plated:
        low, high = one.rivets
        assert high[1] - low[1] == round(0.688 * IN)
        assert (low[0], low[2]) == (one.at[0], one.at[2]) == (high[0], high[2])
        assert low[1] + high[1] == 2 * one.at[1]
        assert "two RV-3 in holes of 0.0980 in" in one.then
    assert not any(one.field == "nutplate.rivets" for one in found.asked)


def test_a_nutplate_without_a_pattern_is_asked_for_its_rivets() -> None:
    design = built(with_nutplates())
    asked = [one for one in jig_plan(design.rack, design.pieces, JIG).asked if one.field == "nutplate.rivets"]
    assert len(asked) == 1
    assert "NP-3" in str(asked[0])


def test_rivets_in_line_along_the_bolt_are_refused() -> None:
    with pytest.raises(AssertionError, match="own axis"):
        built(with_nutplates(rivets=RIVETS | {"along": "x"}))


def test_screws_in_anchors_stand_on_the_sheet_though_on_no_face_of_the_jig() -> None:
    design = built(anchored(plain(shelves={"s": 12}), "insert"))
    found = jig_plan(design.rack, design.pieces, JIG)
    screws = [one for one in found.anchors if one.bolt.startswith("panel.")]
    bolts = {bolt.id: bolt for bolt in design.pieces.bolts if bolt.id.startswith("panel.")}
    assert {one.bolt for one in screws} == set(bolts)
    for one in screws:
        point, origin = bolts[one.bolt].point, JIG.origin
        assert one.at[:2] == (point[0] + origin[0], point[1] + origin[1])
        assert one.then.startswith("drill 0.2500 in and install insert IN-3 in angle.s.")
    text = flat(" ".join(pages(jig_sheet(Plan(((design, 1),), None, shop()), "", "2026-03-10"))))
    assert flat("Screws of panels and equipment, drilled from their own part") in text

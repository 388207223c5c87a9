"""The aircraft's interface: cones, links, removal, floor, feet, rules, and what keeps a result from being released."""

from __future__ import annotations

import copy
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from racks import G0, INVENTED, LBF, STANDARD, VARIATION, built, design_of, item, plain, rack_of, written
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.rack import aircraft_axes, open_questions
from rackwright.strength.cases import load_cases
from rackwright.strength.margin import Margin
from rackwright.strength.pulls import corners, way_words
from rackwright.strength.support import keeps_from_release
from strategies import SEEDS, footed, racks

law = settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])
Tables = dict[str, Any]


def fresh(tables: Tables) -> Design:
    return Design(rack_of(written(tables)))


def margins(design: Design) -> dict[str, Margin]:
    return {one.id: one for one in design.strength.margins}


def loaded() -> Tables:
    return copy.deepcopy(plain(shelves={"s": 8}, items=[item("a", "s", (5, 5), lb=30)]))


# --- the cone of directions ------------------------------------------------------------------------------


@pytest.mark.parametrize(("way", "words"), [
    ((3.0, 4.0, -5.0), "strap 45.0° below the level, +53.1° in plan from +x"),
    ((-1.0, 0.0, 0.0), "strap 0.0° above the level, +180.0° in plan from +x"),
    ((0.0, -2.0, 2.0), "strap 45.0° above the level, -90.0° in plan from +x"),
])  # fmt: skip
def test_a_direction_is_told_in_angles(way: tuple[float, float, float], words: str) -> None:
    assert way_words(np.array([way])) == (words,)


@settings(max_examples=100, deadline=None)
@given(SEEDS, st.floats(0.0, 0.7))
def test_no_direction_of_a_cone_lies_outside_the_corners_around_it(seed: int, half: float) -> None:
    """For any axis the largest component over the corners is no less than that over the cone, known in closed form.

    Effects are never negative (absolute components, norms): where the cone looks away from the axis, zero counts.
    """
    rng = np.random.default_rng(seed)
    u, v = rng.normal(size=(2, 3))
    u /= np.linalg.norm(u)
    size = float(np.linalg.norm(v))
    theta = float(np.arccos(np.clip(u @ v / size, -1, 1)))
    exact = max(size * np.cos(max(theta - half, 0.0)), 0.0)
    found = max(float((corners(u, half) @ v).max()), 0.0)
    assert exact - 1e-9 * size <= found <= exact + 0.012 * size


@law
@given(racks(), st.integers(0, 8), st.integers(1, 8))
def test_a_wider_cone_never_raises_a_margin(tables: Tables, cone: int, more: int) -> None:
    def with_cone(degrees: int) -> dict[str, Margin]:
        straps = [{**one, "cone": f"{degrees} deg"} for one in tables["strap"]]
        return margins(fresh({**tables, "strap": straps}))

    narrow, wide = with_cone(cone), with_cone(cone + more)
    for id, one in narrow.items():
        other = wide[id].margin
        if one.margin is None:
            assert other is None
        elif other is not None:
            assert other <= one.margin * (1 + 2e-3 * (one.margin > 0)) + 2e-3, id  # the certificate's width


def test_the_larger_of_drawing_s_and_installation_s_cone_counts() -> None:
    tables = loaded()
    tables["ring"][0]["cone"] = "6 deg"
    wide = copy.deepcopy(tables)
    wide["strap"][0]["cone"] = "6 deg"
    assert tables["strap"][0]["ring"] == tables["ring"][0]["name"]
    ids = [id for id in margins(built(tables)) if id.startswith(f"ring.{tables['ring'][0]['name']}/")]
    for id in ids:
        assert margins(built(tables))[id].margin == margins(built(wide))[id].margin


def test_without_a_cone_there_is_no_margin_of_ring_and_fitting() -> None:
    tables = loaded()
    del tables["strap"][0]["cone"]
    gone = {id for id, one in margins(built(tables)).items() if one.margin is None}
    ring, fitting = tables["strap"][0]["ring"], tables["strap"][0]["fitting"]
    assert gone == {*(f"ring.{ring}/{check}" for check in ("eye", "bend", "flat", "holes", "bolts")),
                    f"fitting.{fitting}/pull", f"fitting.{fitting}/track"}  # fmt: skip


# --- links and factors -----------------------------------------------------------------------------------


@pytest.mark.parametrize("means", ["proof", "working load"])
def test_a_working_or_proof_rating_is_never_converted_by_a_guess(means: str) -> None:
    """5500 lbf of proof: no margin; with a stated factor of 1.5 8250 lbf, which is 1.5 times 1 + MS of a minimum
    break."""
    tables = loaded()
    first = margins(built(tables))
    tables["link"][0]["means"] = means
    bare = built(tables)
    assert all(one.margin is None for id, one in margins(bare).items() if id.endswith("/hook hook"))
    assert "link.hook.to_ultimate" in {one.id for one in bare.questions}
    tables["link"][0]["to_ultimate"] = {"factor": 1.5, "document": INVENTED}
    for id, one in margins(built(tables)).items():
        if id.endswith("/hook hook"):
            assert one.margin is not None
            assert one.margin + 1 == pytest.approx(1.5 * ((first[id].margin or 0) + 1))


def test_a_strap_may_be_rated_in_place_of_its_ultimate_allowable() -> None:
    """5000 lbf ultimate, or a working load of 1000 lbf times 5 by a document: the same margins."""
    tables = loaded()
    first = margins(built(tables))
    for kind in tables["strap_type"]:
        del kind["allowable_ultimate"]
        kind |= {
            "rating": "1000 lbf",
            "means": "working load",
            "to_ultimate": {"factor": 5, "document": INVENTED},
        }
    again = margins(built(tables))
    for id in (id for id in first if id.endswith("/tension")):
        assert again[id].margin == pytest.approx(first[id].margin, rel=1e-12)


def test_removed_often_puts_the_factor_of_the_basis_on_the_whole_chain() -> None:
    """1.33 in place of 1.15 on ring, strap, hook, fitting and track: 1 + MS goes with 1.15/1.33; never 1.15 × 1.33."""
    tables = loaded()
    first = margins(built(tables))
    often = {"removed_often": True, "document": INVENTED}
    for kind in tables["strap_type"]:
        kind["wear"] = often
    asked = built(tables)
    assert "basis.removal_rule" in {one.id for one in asked.questions}
    assert all(
        one.margin is None for id, one in margins(asked).items() if id.endswith(("/tension", "/eye", "/pull"))
    )
    tables["basis"]["removal_rule"] = "25.561(c)(2)"
    again = margins(built(tables))
    for id in first:
        if id.endswith(("/tension", "/hook hook", "/eye", "/bend", "/flat", "/holes")):
            assert (again[id].margin or 0) + 1 == pytest.approx(
                ((first[id].margin or 0) + 1) * 1.15 / 1.33, rel=1e-9
            )
            assert again[id].factor == 1.33
    assert any(name == "factored" for name, _ in again["strap.top front-left/tension"].steps)


def test_a_casting_factor_counts_where_it_is_the_highest() -> None:
    tables = loaded()
    first = margins(built(tables))
    hook = {"name": "cast hook", "rule": "25.621(d)(3)", "applies_to": ["link.hook"], "document": INVENTED}
    again = margins(built({**tables, "special_factor": [hook]}))
    for id, one in first.items():
        factor = 1.15 / 1.5 if id.endswith("/hook hook") else 1.0
        assert (again[id].margin or 0) + 1 == pytest.approx(((one.margin or 0) + 1) * factor, rel=1e-9), id


def test_the_weakest_link_of_every_chain_is_named_in_each_case() -> None:
    design = design_of(STANDARD, VARIATION)
    found, every = prove_json(design)["chains"], margins(design)
    assert set(found) == {strap.name for strap in design.rack.definition.strap}
    for strap in design.rack.definition.strap:
        pieces = (f"ring.{strap.ring}", f"strap.{strap.name}", f"fitting.{strap.fitting}")
        least = min(
            (one.margin, id) for id, one in every.items() if one.piece in pieces and not id.endswith("/pitch")
        )
        chain = found[strap.name]
        assert (chain["margin"], chain["weakest"]) == least
        assert min(row["margin"] for row in chain["by_case"].values()) == pytest.approx(least[0])
        assert set(chain["by_case"]) == {case.id for case in design.strength.cases}
        assert chain["without_margin"] == []


# --- limit and ultimate ----------------------------------------------------------------------------------

LIMIT_CASE = {
    "name": "gust",
    "kind": "limit",
    "forward": 1,
    "left": 2,
    "up": -3,
    "document": INVENTED,
    "stage": "flight",
}


def test_a_limit_allowable_is_judged_on_limit_loads_only() -> None:
    """A fitting of 2000 lbf limit beside its ultimate table; and alone, where an ultimate case has no limit load."""
    tables = loaded()
    tables["case"] = [LIMIT_CASE]
    points = [{**one, "allowable_limit": "2000 lbf"} for one in tables["floor_fitting"][0]["allowable"]]
    tables["floor_fitting"][0]["allowable"] = points
    name = tables["floor_fitting"][0]["name"]
    found = margins(built(tables))
    at_limit = found[f"fitting.{name}/pull at limit"]
    assert at_limit.level == "limit"
    assert at_limit.case == "customer/gust/limit"
    assert at_limit.allowable == pytest.approx(2000 * LBF)
    assert found[f"fitting.{name}/pull"].level == "ultimate"
    for one in points:
        del one["allowable_ultimate"]
    alone = margins(built(tables))[f"fitting.{name}/pull"]
    assert alone.margin is None
    assert "only a limit allowable" in alone.why_missing


def test_a_floor_s_limit_allowable_needs_a_limit_case() -> None:
    tables = loaded()
    given = tables["floor"].pop("ultimate")
    tables["floor"]["limit"] = given
    alone = margins(built(tables))
    assert all(
        alone[f"floor/{name}"].margin is None for name in ("pressure", "running load", "load at a point")
    )
    both = margins(built({**tables, "case": [LIMIT_CASE]}))
    assert both["floor/pressure at limit"].margin is not None
    assert both["floor/pressure at limit"].case == "customer/gust/limit"
    assert both["floor/pressure"].margin is None  # emergency landing has no limit load


def test_the_floor_may_say_that_it_has_no_such_limit() -> None:
    tables = loaded()
    tables["floor"]["ultimate"] = {"per_area": "1200 psi", "not_limited": ["per_length", "at_point"]}
    design = built(tables)
    assert {id for id in margins(design) if id.startswith("floor/")} == {"floor/pressure"}
    assert not [one for one in design.questions if one.id.startswith("floor")]


def test_with_ultimate_cases_only_it_is_said_that_no_limit_case_exists() -> None:
    document = prove_json(design_of(STANDARD, VARIATION))
    assert document["limit_cases"] is False
    assert "No limit case exists" in document["limit_statement"]
    assert prove_json(built({**loaded(), "case": [LIMIT_CASE]}))["limit_statement"] is None


# --- the basis -------------------------------------------------------------------------------------------


def test_a_rule_without_numbers_asks_for_the_cases() -> None:
    tables = loaded()
    tables["basis"] |= {"rule": "23.2270", "amendment": "23-64"}
    design = built(tables)
    (asked,) = [one for one in open_questions(design.rack) if one.id == "case"]
    assert "23.2270" in asked.text
    assert asked.blocks == ("quote", "sign_out", "release")
    assert design.strength.cases == ()
    ways = [(9, 0, 0), (-1.5, 0, 0), (0, 3, 0), (0, 0, 3), (0, 0, -6)]
    tables["case"] = [{"name": f"c{n}", "kind": "ultimate", "forward": x, "left": y, "up": z, "document": INVENTED}
                      for n, (x, y, z) in enumerate(ways)]  # fmt: skip
    assert not [one for one in open_questions(built(tables).rack) if one.id == "case"]


def test_a_rule_that_is_silent_on_a_direction_asks_for_it() -> None:
    """29.561(d) has no rearward factor: a question, until a case of the customer throws aft."""
    tables = loaded()
    tables["basis"]["rule"] = "29.561(d)"
    asked = [one.text for one in open_questions(built(tables).rack) if one.id == "case"]
    assert ["aft" in text for text in asked] == [True]
    aft = {"name": "a", "kind": "ultimate", "forward": -1.5, "left": 0, "up": 0, "document": INVENTED}
    assert "case" not in {one.id for one in open_questions(built({**tables, "case": [aft]}).rack)}


def test_the_factor_of_safety_is_that_of_the_basis() -> None:
    """Part 25: 25.303, read; part 29: 29.303, from memory: the ultimate case made of a limit one is then
    UNCONFIRMED."""
    tables = {**loaded(), "case": [LIMIT_CASE]}
    own = {case.id: case for case in load_cases(built(tables).rack)}["customer/gust/ultimate"]
    assert own.unconfirmed
    assert "29.303" in own.source
    assert own.aircraft.tolist() == [1.5, 3.0, -4.5]
    tables["basis"] |= {"safety_rule": "25.303"}
    own = {case.id: case for case in load_cases(built(tables).rack)}["customer/gust/ultimate"]
    assert not own.unconfirmed
    assert own.source.startswith("flight case, ")


def test_a_military_restraint_rule_is_limit_and_run_at_both_levels() -> None:
    tables = loaded()
    tables["basis"] |= {"rule": "MIL-STD-209K 5.2.3.2", "amendment": "K"}
    cases = {case.id: case for case in load_cases(built(tables).rack)}
    assert cases["emergency/forward/limit"].aircraft.tolist() == [3, 0, 0]
    assert cases["emergency/forward/ultimate"].aircraft.tolist() == [4.5, 0, 0]


def test_a_rule_from_memory_keeps_the_result_from_supporting_a_release() -> None:
    tables = loaded()
    kinds = {one.kind for one in keeps_from_release(built(tables).rack, built(tables).strength)}
    assert "rule" not in kinds
    tables["basis"] |= {"rule": "27.561(b)(3)", "amendment": "27-30"}
    design = built(tables)
    found = keeps_from_release(design.rack, design.strength)
    assert [(one.kind, one.about) for one in found if one.kind == "rule"] == [("rule", "basis.rule")]
    assert all("UNCONFIRMED" in one.marks for one in design.strength.margins if one.margin is not None)


# --- bolted feet -----------------------------------------------------------------------------------------


@law
@given(racks())
def test_a_rack_without_straps_can_stand_on_bolted_feet(tables: Tables) -> None:
    """Every case is in equilibrium; feet together bear what is thrown; what is thrown up pulls at the bolts."""
    design = fresh(footed(tables))
    assert design.strength.loose == ()
    run, d = design.strength.run, design.rack.definition
    assert run is not None
    assert d.aircraft is not None
    turn = aircraft_axes(d.aircraft.forward)
    for c, case in enumerate(design.strength.cases):
        total = sum(
            one.force for one in design.strength.reactions if (one.case, one.pretension) == (case.id, "low")
        )
        assert total == pytest.approx(
            run.response.mass[0] * G0 * case.aircraft, abs=1e-6 * run.response.mass[0] * G0
        )
        assert -turn @ run.foot_force[0, c].sum(axis=0) == pytest.approx(
            total, abs=1e-9 * run.response.mass[0] * G0
        )
    held = margins(design)
    for foot in d.foot:
        assert held[f"foot.{foot.name}/bolt"].margin is not None
        assert held[f"foot.{foot.name}/fitting {foot.fitting}"].margin is not None
    assert not any(one.startswith(("strap.", "ring.")) for one in held)


def test_overturning_at_the_feet_by_statics() -> None:
    """Thrown left at 8 g, with the nose at -y towards rack +x: the two feet at the other side pull with 8 W h/b, h
    from the floor's face; the case acts alone, without relief by weight."""
    design = built(footed(plain(shelves={"s": 8}, items=[item("a", "s", (5, 5), lb=30)])))
    run, d = design.strength.run, design.rack.definition
    assert run is not None
    (c,) = [n for n, case in enumerate(design.strength.cases) if case.id == "emergency/left"]
    far = [n for n, foot in enumerate(d.foot) if foot.corner.endswith("left")]
    weight = run.response.mass[0] * G0
    masses = run.model.frame.masses
    members = run.model.frame.members
    start = run.model.frame.xyz[0][members.ends].mean(axis=1) + members.offset[0].mean(axis=1)
    ends = run.model.frame.xyz[0][members.ends] + members.offset[0]
    own = members.rho[0] * members.A[0] * np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    height = ((masses.m[0] * masses.xyz[0, :, 2]).sum() + (own * start[:, 2]).sum()) / run.response.mass[0]
    h = height + d.pad.thickness * 1e-9
    b = (d.outside.width - d.tube.side) * 1e-9
    assert run.response.mass[0] == pytest.approx(masses.m[0].sum() + own.sum())
    assert -run.foot_force[0, c][far, 2].sum() == pytest.approx(8 * weight * h / b, rel=1e-9)


def test_a_foot_without_its_fitting_s_allowable_has_no_margin_and_asks() -> None:
    tables = footed(loaded())
    del tables["floor_fitting"][0]["bolted"]
    design = built(tables)
    gone = [id for id, one in margins(design).items() if one.margin is None]
    assert gone == ["foot.front-left/fitting I front-left"]
    assert "floor_fitting.I front-left.bolted" in {one.id for one in design.questions}


# --- for the installer -----------------------------------------------------------------------------------


def test_the_installer_reads_station_buttock_line_and_waterline() -> None:
    """F1 at rack (-18, -26, 0) in, the nose at -y and rack +x to the left: station 212 - 26, buttock line -12 + 18."""
    document = prove_json(design_of(STANDARD, VARIATION))["interface"]["fitting.F1"]
    at = np.array(document["station_buttock_waterline_m"]) / 0.0254
    assert at == pytest.approx([186, 6, 41.25])
    assert document["largest_aircraft_N"].keys() == {"ultimate"}


@pytest.mark.parametrize(("forward", "quarter"), [("+x", 1), ("+y", 2), ("-x", 3)])
def test_turning_the_rack_in_the_aircraft_turns_the_cases_with_it(forward: str, quarter: int) -> None:
    """The nose goes from rack -y to +x, +y and -x: quarter turns about z, and every case in rack axes turns alike."""
    tables = loaded()
    before = load_cases(built(tables).rack)
    tables["aircraft"]["forward"] = forward
    turn = np.linalg.matrix_power(np.array([[0, -1, 0], [1, 0, 0], [0, 0, 1]]), quarter)
    for one, other in zip(before, load_cases(built(tables).rack), strict=True):
        assert other.id == one.id
        assert np.array_equal(other.aircraft, one.aircraft)
        assert other.rack == pytest.approx(turn @ one.rack)


def test_the_largest_force_is_that_of_the_worst_corner_of_the_centres_of_gravity() -> None:
    """No reaction at the stated centres is larger; the pads press on the floor what its margin was made of."""
    design = design_of(STANDARD, VARIATION)
    document = prove_json(design)
    pressed = [place["largest_aircraft_N"]["ultimate"]["force"][2] for name, place in document["interface"].items()
               if name.startswith("pad.")]  # fmt: skip
    assert -min(pressed) == pytest.approx(margins(design)["floor/load at a point"].applied)
    for name, rows in document["reactions_aircraft_N"].items():
        size = np.linalg.norm(document["interface"][name]["largest_aircraft_N"]["ultimate"]["force"])
        assert max(np.linalg.norm(force) for by in rows.values() for force in by.values()) <= size * (
            1 + 1e-12
        )

"""What a margin says of itself, and what a rack says that lacks one: a value, a basis, an equilibrium, a limit case."""

from __future__ import annotations

from math import hypot

import numpy as np
import pytest

from by_hand import AREA, FITTING, SECOND, again, demo, run, sheared
from racks import (
    G0,
    IN,
    LB,
    LBF,
    STANDARD,
    VARIATION,
    design_of,
    rack_of,
    swap,
    table_of,
)
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.formulas import loads
from rackwright.strength.checks.clamp import TIGHTENING
from rackwright.strength.margin import Margin
from rackwright.strength.rack_frame import PRETENSIONS

# --- what a margin says of itself ------------------------------------------------------------------------


def test_applied_and_allowable_give_the_margin() -> None:
    for margin in demo().strength.margins:
        assert margin.applied is not None
        assert margin.allowable is not None
        assert margin.margin is not None
        factor = 1.0 if margin.unit == "1" else margin.factor  # the ratios of an interaction hold it already
        assert margin.margin == pytest.approx(
            margin.allowable / (margin.applied * factor) - 1, rel=1e-6, abs=1e-9
        )
        assert margin.case in {TIGHTENING, *(case.id for case in demo().strength.cases)}
        assert (margin.case == TIGHTENING) == (margin.level == "assembly")
        state = margin.pretension.split(", CG ")[0]
        assert state in (PRETENSIONS if margin.level == "ultimate" else ("",))


def test_the_steps_lead_to_the_margin() -> None:
    """The last card of each margin's steps, worked, is the margin."""
    last = {"margin_of_safety": loads.margin_of_safety, "margin_from_factor": lambda k: k - 1}
    for margin in demo().strength.margins:
        name, symbols = margin.steps[-1]
        assert float(last[name](**symbols)) == pytest.approx(margin.margin, rel=1e-9, abs=1e-12)


# --- what is missing -------------------------------------------------------------------------------------


def without(text: str, head: str, field: str) -> str:
    table = table_of(text, head)
    lines = [line for line in table.split("\n") if not line.startswith(f"{field} = ")]
    assert len(lines) == table.count("\n")
    return swap(text, (table, "\n".join(lines)))


def missing(design: Design) -> dict[str, Margin]:
    found = {one.id: one for one in design.strength.margins if one.margin is None}
    for one in found.values():
        assert one.why_missing
        assert one.allowable is None
        assert not one.holds
    return found


@pytest.mark.parametrize(
    ("head", "field", "ids"),
    [
        ('[[strap_type]]\nname = "WR-5"', "allowable_ultimate", {f"strap.top {c}/tension" for c in (
            "front left", "front right", "rear left", "rear right")}),
        ('[[strap_type]]\nname = "WR-5"', "document", {f"strap.top {c}/tension" for c in (
            "front left", "front right", "rear left", "rear right")}),
        ('[[floor_fitting]]\nname = "F2"', "allowable", {"fitting.F2/pull"}),
        ('[[floor_fitting]]\nname = "F2"', "document", {"fitting.F2/pull"}),
        ("[pad]", "allowable_ultimate", {f"pad.{c}/floor" for c in (
            "front-left", "front-right", "rear-left", "rear-right")}),
    ],
)  # fmt: skip
def test_a_value_without_a_source_gives_no_margin_and_no_default(
    head: str, field: str, ids: set[str]
) -> None:
    """All other margins stay to the last digit; the answer is no, with RW304 for each that is missing."""
    design = design_of(without(STANDARD, head, field), VARIATION)
    assert set(missing(design)) == ids
    rest = {m.id: m.margin for m in design.strength.margins if m.id not in ids}
    assert rest == {m.id: m.margin for m in demo().strength.margins if m.id not in ids}
    told = [refusal for refusal in design.refusals() if refusal.code == "RW304"]
    assert len(told) == len(ids)
    assert not design.strength.holds
    assert [m.margin for m in design.strength.governing[: len(ids)]] == [None] * len(ids)


def test_a_ring_of_unknown_strength() -> None:
    design = design_of(without(STANDARD, "[ring_make]", "allowable"), VARIATION)
    ids = {one.rpartition("/")[2] for one in missing(design)}
    assert {"eye", "bend"} <= ids
    assert all(one.startswith("ring.") for one in missing(design))


def test_a_pull_at_an_angle_outside_the_document_s_table_has_no_allowable() -> None:
    points = ('"0 deg", allowable_ultimate = "3800 lbf"', '"45 deg", allowable_ultimate = "4600 lbf"')
    curve = "".join(f"{{ pull = {point} }}, " for point in points)
    table = table_of(STANDARD, '[[floor_fitting]]\nname = "F3"')
    design = design_of(swap(STANDARD, (table, swap(table, (curve, "")))), VARIATION)
    assert set(missing(design)) == {"fitting.F3/pull"}
    assert "angle" in missing(design)["fitting.F3/pull"].why_missing


def test_without_a_basis_there_are_no_margins() -> None:
    design = design_of(swap(STANDARD, (table_of(STANDARD, "[basis]"), "")), VARIATION)
    assert design.strength.margins == ()
    assert design.strength.cases == ()
    assert [one.code for one in design.refusals()] == ["RW304"]
    assert [one.id for one in design.questions] == ["basis"]
    assert len(design.modes_hz) == 4


def test_without_an_orientation_there_are_no_cases() -> None:
    design = design_of(swap(STANDARD, (table_of(STANDARD, "[aircraft]"), "")), VARIATION)
    assert design.strength.cases == ()
    assert prove_json(design)["orientation"]["forward"] is None


# --- no equilibrium --------------------------------------------------------------------------------------


def one_strap() -> Design:
    removed = "\n".join(
        f'[[change.strap]]\nname = "{level} {corner}"\nremove = true'
        for level in ("top", "low") for corner in ("front left", "front right", "rear left", "rear right")
        if (level, corner) != ("top", "rear left")
    )  # fmt: skip
    return design_of(STANDARD, f'{VARIATION}\n[[change]]\nwhy = "test"\n{removed}\n')


def test_a_rack_on_one_strap_has_no_equilibrium_and_says_so_in_words() -> None:
    design = one_strap()
    told = dict(design.strength.loose)
    assert set(told) == {case.id for case in design.strength.cases}
    assert all("frame" in why and ("slides" in why or "turns" in why) for why in told.values())
    assert any(refusal.code == "RW302" for refusal in design.refusals())
    assert "a case has no equilibrium" in {one.why_missing for one in missing(design).values()}


def test_its_document_holds_nothing_that_is_not_a_number() -> None:
    """No NaN in the JSON: what is not known is null, and nothing idles in a case that has no answer."""
    document = prove_json(one_strap())
    assert set(document["deflection_m"].values()) == {None}
    assert document["idle"] == {}
    assert document["reactions_aircraft_N"]["fitting.F3"]["emergency/forward"]["low"] is None
    assert document["holds"] is False


def test_what_statics_gives_is_given_all_the_same() -> None:
    left = {one.id for one in one_strap().strength.margins if one.margin is not None}
    assert "equipment.lidar controller/screws" in left
    assert "panel.upper.lidar controller/strip bending" in left


# --- a customer's limit case -----------------------------------------------------------------------------


def with_case(kind: str, forward: float) -> Design:
    text = (
        f'\n[[change]]\nwhy = "gust"\n[[change.case]]\nname = "gust"\nkind = "{kind}"\nforward = {forward}\n'
    )
    fillet = '[change.block]\nfillet = "1/64 in"\n'
    return design_of(STANDARD, f'{VARIATION}{text}left = 0\nup = -2\ndocument = "INVENTED-LOADS-2"\n{fillet}')


def test_a_limit_case_is_run_at_limit_for_yield_and_at_one_and_a_half_for_ultimate() -> None:
    """14 CFR 29.303: 6 g forward and 2 g down at limit are 9 g and 3 g at ultimate."""
    strength = with_case("limit", 6).strength
    own = {case.id: case for case in strength.cases if case.id.startswith("customer")}
    assert {id: case.kind for id, case in own.items()} == {
        "customer/gust/limit": "limit", "customer/gust/ultimate": "ultimate"}  # fmt: skip
    assert own["customer/gust/limit"].aircraft.tolist() == [6, 0, -2]
    assert own["customer/gust/ultimate"].aircraft.tolist() == [9, 0, -3]
    assert own["customer/gust/ultimate"].rack.tolist() == [0, -9, -3]
    for margin in strength.margins:
        if margin.level in ("yield", "limit"):
            assert margin.case == "customer/gust/limit"
        else:
            assert margin.case != "customer/gust/limit"


def test_yield_of_a_tube_by_hand() -> None:
    """35 ksi over √(σ² + 3τ²), σ = |N|/A + (|My| + |Mz|) × 0.75/I at limit, no fitting factor."""
    design = with_case("limit", 6)
    own = again(design)
    f = np.abs(own.along(design.pieces.get("post.rear-right"), "limit"))
    normal = f[..., 0] / LBF / AREA + (f[..., 4] + f[..., 5]) / LBF / IN * 0.75 / SECOND
    stress = np.sqrt(normal**2 + 3 * sheared(f) ** 2)
    (found,) = [one for one in design.strength.margins if one.id == "post.rear-right/yield"]
    assert found.margin == pytest.approx(35_000 / stress.max() - 1, rel=1e-5)


def test_the_fillet_of_a_spigot_by_hand() -> None:
    """1/64 in at a step of 0.127 in on 1.5 in: h/r = 8.128, 2h/D = 0.16933.

    C1 = 1.042 + 0.982 × 2.85096 - 0.036 × 8.128 = 3.5490, C2 = -3.599 + 4.6157 - 3.5032 = -2.4865,
    C3 = 6.084 - 15.9853 + 9.4122 = -0.4891, C4 = -2.527 + 8.5700 - 5.6164 = 0.4266:
    Kt = 3.5490 - 0.42105 - 0.01402 + 0.00207 = 3.1160. 35 ksi, fitting factor 1.15, gross square of 1.246 in.
    """
    design = with_case("limit", 6)
    own = again(design)
    (f,) = own.sides("post.rear-right", 0.0, "limit")
    f = np.abs(f) / np.array([LBF] * 3 + [LBF * IN] * 3)
    stress = 3.1160 * ((f[..., 4] + f[..., 5]) * 6 / 1.246**3 + f[..., 0] / 1.246**2)
    (found,) = [one for one in design.strength.margins if one.id == "joint.post.rear-right.low/spigot fillet"]
    assert found.margin == pytest.approx(35_000 / (FITTING * stress.max()) - 1, rel=1e-4)


def test_emergency_landing_alone_gives_no_yield_margins() -> None:
    """The rule's factors are ultimate: with nothing else there is no limit load to judge yield at."""
    assert {margin.level for margin in demo().strength.margins} == {"ultimate", "assembly"}


def test_a_case_stated_as_ultimate_is_not_multiplied_again() -> None:
    (own,) = [case for case in with_case("ultimate", 9).strength.cases if case.id.startswith("customer")]
    assert (own.id, own.kind) == ("customer/gust", "ultimate")
    assert own.aircraft.tolist() == [9, 0, -2]
    assert float(np.linalg.norm(own.inertia)) == pytest.approx(hypot(9, 2) * G0)


def test_the_loaded_mass_is_thrown_with_its_upper_tolerance() -> None:
    """84.69 kg and 5 lb of tolerance: the frame weighs both."""
    d = demo().rack.definition
    nominal = demo().bare.mass + sum(one.mass for one in d.equipment)
    assert run().response.mass[0] == pytest.approx(nominal + (0.5 + 0.5 + 0.5 + 2 + 1.5) * LB)
    assert rack_of(STANDARD, VARIATION).definition == d

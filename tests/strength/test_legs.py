"""The carrying legs of shelf angles at their roots: by hand, beside beams and plates of peers."""

from __future__ import annotations

from itertools import pairwise
from math import atan, pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plate_elements import Rest
from racks import STANDARD, VARIATION, built, design_of, item, plain, still, swap
from rackwright.design import Design
from rackwright.formulas import carrying_leg, prying
from rackwright.strength.checks import legs as check
from rackwright.strength.checks.panel import Line
from rackwright.strength.margin import Margin

FITTING = 1.15  # 14 CFR 29.625(a)
ULTIMATE = 34.0  # ksi, 6061-T6511 extruded: Fcy, lower than Ftu 38


def legs(design: Design) -> dict[str, Margin]:
    return {id: one for id, one in still(design).items() if "/leg p" in id}


def test_pressed_by_hand() -> None:
    """The upper panel of the demo thrown down at 20 g: feet of 228.26 and 213.08 lbf, 2 in from the legs' toes, 18 in
    apart. L 1.5 x 1.5 x 0.1875, its reach 1.3125 in, the screw in its middle; panel 0.125 in of the same modulus.

    Held ends: R = 220.43 + 7.31 lbf, M = 402.80 in·lbf. The leg bends: k = (2/3)³, r = 1/(1 + (2/18) (0.2963 × 0.875 +
    0.65625/4)) = 0.95508. R bends the strip's 6 in (7.07 by the leg and the foot's place), M 1.3125/0.37 = 3.547 in.
    """
    one, other = (212.5 * (1 + side * 0.25 / 7 + 0.25 / 6.5) for side in (1, -1))
    R = (one * 16**2 * (18 + 2 * 2) + other * 2**2 * (18 + 2 * 16)) / 18**3
    M = (one * 2 * 16**2 + other * 16 * 2**2) / 18**2
    assert (pytest.approx(227.74, abs=0.01), pytest.approx(402.80, abs=0.01)) == (R, M)
    assert pi * 1.3125 / (1.018 * atan(1.3125 / 1.018 / 2)) == pytest.approx(7.07, abs=0.01)
    r = 1 / (1 + 2 / 18 * ((2 / 3) ** 3 * 0.875 + 0.65625 / 4))
    assert r == pytest.approx(0.95508, abs=1e-5)
    stress = 6 * (R * 1.3125 / 6 + r * M * 0.37 / 1.3125) / 0.1875**2 / 1000
    found = legs(design_of(STANDARD, VARIATION))["shelf.upper/leg pressed"]
    assert found.margin == pytest.approx(ULTIMATE / (FITTING * stress) - 1, rel=1e-6)
    assert found.case == "emergency/down"
    assert found.place == "lidar controller, line 19.5 in from the front"


def test_pulled_by_hand() -> None:
    """Thrown up at 4 g: feet of a fifth. Their end is fixed over 19.3125 in, 2.65625 in from the screws; the panel's
    edge lies 0.8125 in beyond them. 3/3.5 of the rear line goes to the screw at 20 in, in the middle of the leg."""
    one, other = (42.5 * (1 + side * 0.25 / 7 + 0.25 / 6.5) for side in (1, -1))
    L, a = 19.3125, 2.65625
    R = (one * (L - a) ** 2 * (L + 2 * a) + other * a**2 * (3 * L - 2 * a)) / L**3
    M = (one * a * (L - a) ** 2 + other * (L - a) * a**2) / L**2
    stress = 6 * 0.37 * 3 / 3.5 * (R + M / 0.8125) / 0.1875**2 / 1000
    found = dict(legs(design_of(STANDARD, VARIATION))["shelf.upper/leg pulled"].by_case)
    assert found["emergency/up"] == pytest.approx(ULTIMATE / (FITTING * stress) - 1, rel=1e-3)


def test_a_thin_leg_does_not_carry() -> None:
    thin = swap(
        STANDARD,
        ('carry_leg = "1.5 in", thickness = "3/16 in"', 'carry_leg = "1.5 in", thickness = "0.125 in"'),
    )
    found = [margin.margin or 0.0 for margin in legs(design_of(thin, VARIATION)).values()]
    assert min(found) < -0.4


def test_without_a_row_for_its_thickness_there_is_no_margin() -> None:
    thick = swap(STANDARD, ('thickness = "3/16 in", material = "6061-T6511-ext-A"',
                            'thickness = "3/16 in", material = "6061-T6511-ext-thick-A"'))  # fmt: skip
    found = legs(design_of(thick, VARIATION))
    assert {margin.margin for margin in found.values()} == {None}
    assert "gives no strength for this thickness" in found["shelf.upper/leg pressed"].why_missing


def test_items_side_by_side_press_the_same_leg() -> None:
    """Each line has its own feet's part and that of the other item, whose strips overlap with its own."""
    places = {"left": (1.5 + 2, 6.0), "right": (1.5 + 12, 7.0)}

    def shelf(*names: str) -> float:
        items = [item(name, "one", places[name], lb=20, size=(7, 12, 6), cg=(3.5, 6, 3)) for name in names]
        found = legs(built(plain((24, 26, 40), {"one": 12.0}, items)))["shelf.one/leg pressed"]
        return found.applied or 0.0

    both, alone = shelf(*places), [shelf(name) for name in places]
    assert max(alone) * 1.2 < both <= sum(alone) * (1 + 1e-6)


# --- beside peers ----------------------------------------------------------------------------------------


def strip(
    L: float, s: float, c: float, e: float, k: float, loads: list[tuple[float, float]]
) -> tuple[float, float]:
    """Root moments of the two legs that carry a strip of panel, all of unit width, by a general-purpose frame library.

    Panel (EI = k) and legs (EI = 1) touch at three places between screw and toe, where they press only, and at the
    screws; the panel's edges press on what does not give. What touches is tried until it settles and checked.
    """
    from Pynite import FEModel3D

    reach, out = s + c, [s, s + c / 3, s + 2 * c / 3, s + c]
    whole = L + 2 * reach
    touch = {f"{hand}{n}": x if hand == "a" else whole - x for hand in "ab" for n, x in enumerate(out)}
    edges = {"ea": s - e, "eb": whole - s + e}
    pressing = {"a3", "b3"}
    for _ in range(12):
        model = FEModel3D()
        model.add_material("metal", 1.0, 0.4, 0.3, 1.0)
        model.add_section("leg", 1e3, 1.0, 1.0, 1.0)
        model.add_section("panel", 1e3, k, k, 1.0)
        for hand, root in (("a", 0.0), ("b", whole)):
            model.add_node(f"r{hand}", root, 0, 0)
            model.def_support(f"r{hand}", True, True, True, True, True, True)
            names = [f"r{hand}", *(f"l{hand}{n}" for n in range(4))]
            for n, x in enumerate(out):
                model.add_node(f"l{hand}{n}", x if hand == "a" else whole - x, 0, 0)
                model.def_support(f"l{hand}{n}", False, False, True, True, True, False)
            for i, j in pairwise(names):
                model.add_member(f"{i}{j}", i, j, "metal", "leg")
        places = {**touch, **edges, **{f"f{n}": reach + x for n, (x, _) in enumerate(loads)}}
        ordered = sorted(places, key=lambda name: places[name])
        for name in ordered:
            model.add_node(name, places[name], 1.0, 0)
            model.def_support(name, False, name in pressing & edges.keys(), True, True, True, False)
        model.def_support("a0", True, False, True, True, True, False)
        for i, j in pairwise(ordered):
            model.add_member(f"{i}{j}", i, j, "metal", "panel")
        for name in touch:
            if name in ("a0", "b0") or name in pressing:
                model.add_spring(f"s{name}", name, f"l{name}", 1e5)
        for n, (_, P) in enumerate(loads):
            model.add_node_load(f"f{n}", "FY", -P)
        model.analyze_linear(check_stability=False)
        down = {name: model.nodes[name].DY["Combo 1"] for name in ordered}
        gap = {name: down[name] - model.nodes[f"l{name}"].DY["Combo 1"] for name in touch if name[1] != "0"}
        up = {name: model.nodes[name].RxnFY["Combo 1"] for name in edges}
        now = {name for name in gap if gap[name] < -1e-12 * L}
        now |= {name for name in edges if (up[name] > 0 if name in pressing else down[name] < 0)}
        if now == pressing:
            return tuple(abs(model.nodes[f"r{hand}"].RxnMZ["Combo 1"]) for hand in "ab")  # type: ignore[return-value]
        pressing = now
    return np.nan, np.nan  # it went round in a circle: nothing is learned from it


SOME = st.floats(0.3, 1.5)


@settings(max_examples=25)
@given(L=st.floats(8.0, 30.0), s=SOME, c=SOME, k=st.floats(0.05, 8.0), near=st.floats(0.02, 0.45),
       far=st.floats(0.55, 0.98), P=st.floats(1.0, 50.0), Q=st.floats(0.0, 50.0))  # fmt: skip
def test_no_strip_of_panel_bends_its_leg_more(
    L: float, s: float, c: float, k: float, near: float, far: float, P: float, Q: float
) -> None:
    """The heavier end by the cards, beside the heavier of the two legs under the same strip."""
    loads = [(near * L, P), (far * L, Q)]
    found = np.array(strip(L, s, c, s, k, loads))
    share = carrying_leg.end_held(k, s, c, L)
    bound = max(
        sum(
            carrying_leg.leg_root_moment(prying.fixed_end_reaction(P, L, x), s + c, 1.0,
                                         share * prying.fixed_end_moment(P, L, x), 1.0)
            for x, P in ((x if hand == "a" else L - x, P) for x, P in loads)
        )
        for hand in "ab"
    )  # fmt: skip
    if np.isfinite(found).all():
        assert found.max() <= bound * (1 + 1e-4)
        assert found.max() >= 0.2 * bound


@pytest.mark.long
@pytest.mark.parametrize(("leg", "panel"), [(0.125, 0.125), (0.25, 0.125), (0.1875, 0.063)])
@pytest.mark.parametrize("carry", [1.0, 1.5])
@pytest.mark.parametrize("x", [0.25, 1.0, 2.0, 5.0])
def test_no_panel_on_its_screws_bends_its_leg_more(leg: float, panel: float, carry: float, x: float) -> None:
    """One foot on each side, over a screw of a pitch of 4 in: the cards with their lengths of leg, beside plates."""
    reach, half = carry - leg, 9.0
    found = Rest(
        leg, panel, reach, reach / 2, half, 24.0, (4.0, 8.0, 12.0, 16.0, 20.0), ((x, 12.0, 100.0),)
    ).root()
    share = carrying_leg.end_held((panel / leg) ** 3, reach / 2, reach / 2, 2 * half)
    feet = (x, 2 * half - x)
    R, M = (
        sum(f(100.0, 2 * half, at) for at in feet)
        for f in (prying.fixed_end_reaction, prying.fixed_end_moment)
    )
    w = min(carrying_leg.leg_length(reach, x), 6.0)
    v = min(pi * x, carrying_leg.couple_length(reach), 6.0)
    bound = carrying_leg.leg_root_moment(R, reach, w, share * M, v)
    assert 0.2 * bound <= found <= bound


@pytest.mark.long
@pytest.mark.parametrize(("leg", "panel"), [(0.125, 0.125), (0.1875, 0.063)])
@pytest.mark.parametrize("carry", [1.0, 1.5])
@pytest.mark.parametrize("x", [0.25, 1.0, 2.0])
@pytest.mark.parametrize("y", [0.5, 2.0, 3.0])
def test_no_panel_near_the_angles_end_bends_its_leg_more(
    leg: float, panel: float, carry: float, x: float, y: float
) -> None:
    """As above with the feet near the angle's end: what the check counts of both lengths there, beside plates, which
    pass a plain cut at the end by 5 % (leg 3/16, panel 0.063, reach 13/16, feet 1 in away and 2 in from the end)."""
    reach, half, depth = carry - leg, 9.0, 24.0
    screws = (2.5, 6.5, 10.5, 14.5, 18.5, 21.5)
    found = Rest(leg, panel, reach, reach / 2, half, depth, screws, ((x, y, 100.0),)).root()
    line = Line(
        np.array([True]), np.array([x * 0.0254]), round(y * 25_400_000), y * 0.0254, (depth - y) * 0.0254
    )
    sizes = check._Sizes(reach * 0.0254, 2 * half * 0.0254, depth * 0.0254,
                        carrying_leg.end_held((panel / leg) ** 3, reach / 2, reach / 2, 2 * half), ())  # fmt: skip
    feet = [x, 2 * half - x]
    end = check._end(sizes, line, np.array([100.0, 100.0]), np.array(feet) * 0.0254)
    assert 0.2 * end.moment <= found <= end.moment

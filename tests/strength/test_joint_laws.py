"""Joints and thin walls: the laws that their formulas and margins keep whatever the numbers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import peers
from racks import INVENTED, STANDARD, VARIATION, built, design_of, item, plain
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.formulas import (
    fastener,
    fastener_group,
    interaction,
    joint_flexibility,
    prying,
    spigot,
    thin_wall,
    thread,
)
from rackwright.strength.checks.joint import joints, without_bolts
from rackwright.strength.checks.spigot import spigots
from rackwright.strength.checks.tube import tubes
from rackwright.strength.joint_springs import bolt_rows, end_springs
from rackwright.strength.rack_frame import PRETENSIONS
from rackwright.strength.solution import Solution

some = st.floats
SIZES = st.tuples(*(some(0.0, 5e3),) * 2, *(some(0.0, 300.0),) * 3)


# --- a tube's end, against a rigid body on springs -------------------------------------------------------


def springs(along: list[float], h: float, load: np.ndarray) -> np.ndarray:
    """(bolts, 2 walls) shear of bolts through ±h/2, all walls sliding alike in their planes: the least-squares body.

    `load` is N along z, V along y, torsion about z, moments about x (the bolts' own axis) and y. A spring of each wall
    in y and z; the body's motion in y, z and its three turns.
    """
    rows, owner = [], []
    for n, z in enumerate(along):
        for x in (-h / 2, h / 2):
            rows.append([1, 0, -z, 0, x])  # y: shift y, turn about x by -z, about z by +x
            rows.append([0, 1, 0, -x, 0])  # z: shift z, turn about y by -x; bolts stand at y = 0
            owner.append(n)
    B = np.array(rows, dtype=float)
    N, V, T, Mo, Mx = load
    motion = np.linalg.solve(B.T @ B, np.array([V, N, -Mo, -Mx, T]))
    force = (B @ motion).reshape(-1, 2)
    return np.hypot(*force.T).reshape(len(along), 2)


@given(load=SIZES, gaps=st.lists(some(0.015, 0.05), min_size=1, max_size=4), h=some(0.02, 0.08))
def test_the_bolts_of_a_tube_s_end_are_a_rigid_body_on_springs(
    load: tuple[float, ...], gaps: list[float], h: float
) -> None:
    """What any sign of the loads gives is no more than the formula, and the worst sign just that."""
    along = np.cumsum([0.0, *gaps])
    along = along - along.mean()
    N, V, T, Mo, Mx = load
    n, S = len(along), float(np.sum(along**2))
    ours = [fastener_group.tube_end_bolt(N, V, T, Mo, Mx, n=n, nd=n, h=h, z=abs(z), S=S) for z in along]
    worst = np.zeros(len(along))
    for signs in np.ndindex(2, 2, 2, 2):
        signed = np.array(load) * np.array([1, *(1 - 2 * np.array(signs))])
        worst = np.maximum(worst, springs(list(along), h, signed).max(axis=1))
    assert worst == pytest.approx(np.array(ours), rel=1e-9, abs=1e-6)


@given(load=SIZES, more=some(1.0, 3.0))
def test_a_bolt_s_load_grows_with_every_load(load: tuple[float, ...], more: float) -> None:
    at = {"n": 2, "nd": 2, "h": 0.035, "z": 0.01, "S": 2e-4}
    base = fastener_group.tube_end_bolt(*load, **at)
    for i in range(5):
        grown = [one * more if n == i else one for n, one in enumerate(load)]
        assert fastener_group.tube_end_bolt(*grown, **at) >= base * (1 - 1e-12)
    assert fastener_group.tube_end_bolt(*(more * np.array(load)), **at) == pytest.approx(
        more * base, rel=1e-12
    )


# --- flexibility -----------------------------------------------------------------------------------------


@given(t=some(0.001, 0.02), d=some(0.004, 0.012), E=some(5e10, 8e10), Ef=some(1e11, 2.2e11))
def test_a_joint_gives_less_with_a_larger_bolt_or_stiffer_metal(
    t: float, d: float, E: float, Ef: float
) -> None:
    for formula, own in ((joint_flexibility.huth, {"n": 1}), (joint_flexibility.swift, {}),
                         (joint_flexibility.tate_rosenfeld, {"nu": 0.32})):  # fmt: skip
        base = formula(t1=t, t2=t, E1=E, E2=E, Ef=Ef, d=d, **own)
        assert 0 < formula(t1=t, t2=t, E1=E, E2=E, Ef=Ef, d=1.1 * d, **own) < base
        assert formula(t1=t, t2=t, E1=1.1 * E, E2=E, Ef=Ef, d=d, **own) < base
        assert formula(t1=t, t2=t, E1=E, E2=E, Ef=1.1 * Ef, d=d, **own) < base
    one, two = (joint_flexibility.huth(t, t, E, E, Ef, d, n) for n in (1, 2))
    assert two < one / 2


def test_both_bounds_of_the_joints_are_run_and_the_lesser_margin_is_kept() -> None:
    """Flexible: every tube's end has springs, and pads, straps and bolts answer by them; each margin names its own."""
    strength = design_of(STANDARD, VARIATION).strength
    assert strength.run is not None
    soft = np.array(["flexible" in name for name in strength.run.context("ultimate").pretensions])
    members = strength.model.frame.members
    springs, A, J, rho = members.end_spring, members.A, members.J, members.rho
    tubes = [n for n, one in enumerate(strength.model.segments) if one.kind in ("post", "width", "depth")]
    assert np.isinf(springs[~soft][:, tubes]).all()
    ends = np.isfinite(springs[soft][:, tubes]).any(axis=-1).sum(axis=(1, 2))
    assert (ends == 12 * 2).all()
    assert {name.split(", CG ")[0] for name in strength.run.context("ultimate").pretensions} == set(
        PRETENSIONS
    )
    assert {margin.pretension.split(", CG ")[0] for margin in strength.margins} == {
        *PRETENSIONS,
        "",
    }  # "": tightening
    stiff, flexible = int(np.argmin(soft)), int(np.argmax(soft))
    assert (A[flexible, tubes] <= A[stiff, tubes]).all()
    assert (J[flexible, tubes] < J[stiff, tubes]).any()
    assert A[flexible] * rho[flexible] == pytest.approx(A[stiff] * rho[stiff], rel=1e-12)  # the mass stays


def test_the_springs_of_the_demo_s_post_by_hand() -> None:
    """Two AN4 3/4 in apart, walls 1.375 in apart, wall 0.125 on half a spigot of 0.623 in; 9.9 and 29.0 Msi.

    Tate & Rosenfeld is the softest: bearing 1/(0.623 × 9.9e6) + 1/(0.125 × 9.9e6) + 1/(0.623 × 29e6) + 1/(0.125 × 29e6)
    = 1.30140e-6, shear 32 × 0.748 × 1.32/(9 × 29e6 π 0.0625) = 6.1654e-7, bending 8 × 0.5351/(5 × 29e6 π 0.25⁴)
    = 2.4059e-6: 4.3238e-6 in/lbf a wall. About the bolts 2 × 0.28125/C = 130 094, across 2 × 1.375²/(2 C) = 437 260
    in·lbf/rad; the spigot 0.875 in to the bolts, I = 1.246⁴/12: 9.9e6 × 0.200860/0.875 = 2 272 590.
    """
    rack = design_of(STANDARD, VARIATION).rack
    found = end_springs(rack, "post")
    assert found is not None
    unit = 4.4482216152605 * 0.0254
    C = 1.30140e-6 + 6.1654e-7 + 2.4059e-6
    block = 9.9e6 * 1.246**4 / 12 / 0.875
    own, across = 2 * 0.28125 / C, 1.375**2 / C
    by_hand = np.array([1 / (1 / across + 1 / block), 1 / (1 / own + 1 / block)])  # about local y, then z
    assert found.turn / unit == pytest.approx(by_hand, rel=2e-4)
    assert found.twist * unit == pytest.approx(C / 1.375**2, rel=2e-4)
    assert found.slide / (0.0254 / 4.4482216152605) == pytest.approx(C / 4, rel=2e-4)


def test_the_slip_of_the_joints_is_a_measured_travel() -> None:
    """0.003 in over bolts 3/4 in apart: 0.004 rad, 0.16 in at a top 40 in up. Margins stay."""
    tables = plain(shelves={"s": 8}, items=[item("a", "s", (5, 5), lb=30)])
    before = prove_json(built(tables))
    stated = {**tables["joint"], "slip": {"along": "0.003 in", "document": INVENTED}}
    after = prove_json(built({**tables, "joint": stated}))
    assert before["joint_slip"] is None
    assert after["joint_slip"]["free_turn_rad"] == pytest.approx(0.004)
    assert after["joint_slip"]["top_travel_m"] == pytest.approx(0.16 * 0.0254)
    assert after["margins"] == before["margins"]


def test_a_larger_bolt_never_hurts_shear_of_the_bolts() -> None:
    """AN5 for AN4 in the same holes' places: what statics gives each bolt stays near, its strength grows."""
    tables = plain(shelves={"s": 8}, items=[item("a", "s", (5, 5), lb=30)])
    for kind, through in (("post", "x"), ("width", "z"), ("depth", "z")):
        tables["joint"][kind] = [{"at": at, "through": through} for at in ("3/4 in", "2 in")]
    tables["block"]["spigot_length"] = "2.75 in"
    small = {m.id: m for m in built(tables).strength.margins}
    an5 = {"bolt": "AN5", "washer": "AN960-516", "nut": "MS21044N5", "hole": "0.3130 in"}
    large = {
        m.id: m for m in built({**tables, "joint": {**tables["joint"], "hardware": an5}}).strength.margins
    }
    for id, before in small.items():
        if id.startswith("joint.") and id.endswith("/bolt shear"):
            after = large[id].margin
            assert after is not None
            assert before.margin is not None
            assert after > before.margin


# --- under more load -------------------------------------------------------------------------------------


def under(times: float) -> dict[str, float]:
    """Margins of tubes and joints with the forces inside every member times a factor."""
    run = design_of(STANDARD, VARIATION).strength.run
    assert run is not None
    loaded = replace(run, solution=Solution(run.settled))
    loaded.solution.__dict__["inside"] = times * run.inside
    found = {margin.id: margin.margin for check in (tubes, joints, spigots) for margin in check(loaded)}
    return {id: margin for id, margin in found.items() if margin is not None}


@pytest.mark.parametrize("times", [1.1, 1.7, 3.0])
def test_margins_of_tubes_and_joints_fall_as_the_load_grows(times: float) -> None:
    """Where nothing is amplified 1 + MS goes with one over the load; a pressed tube falls by more."""
    base, more = under(1.0), under(times)
    # six a tube's end, but of the spigots across the grain only a test tells, not these checks
    assert len(base) == len(more) == 12 * 3 + 24 * 6 - 16
    for id, margin in base.items():
        assert more[id] + 1 <= (margin + 1) / times * (1 + 1e-9)
        if not id.endswith("/strength"):
            assert more[id] + 1 == pytest.approx((margin + 1) / times, rel=1e-9)


def test_joints_do_not_ask_which_way_a_force_points() -> None:
    back, there = under(-1.0), under(1.0)
    assert {id: back[id] for id in back if id.startswith("joint.")} == {
        id: there[id] for id in there if id.startswith("joint.")
    }


# --- one bolt missing ------------------------------------------------------------------------------------


def missing_bolts(design: Design) -> dict[str, float | None]:
    assert design.strength.run is not None
    return {margin.id: margin.margin for margin in without_bolts(design.strength.run)}


def test_without_one_of_two_bolts_no_margin_is_given() -> None:
    found = missing_bolts(design_of(STANDARD, VARIATION))
    assert len(found) == 12 * 2 * 2
    assert set(found.values()) == {None}


def test_without_one_of_three_bolts_the_others_carry_more() -> None:
    tables = plain(shelves={"s": 8}, items=[item("a", "s", (5, 5), lb=30)])
    for kind, through in (("post", "x"), ("width", "z"), ("depth", "z")):
        tables["joint"][kind] = [{"at": at, "through": through} for at in ("1/2 in", "1 1/4 in", "2 in")]
    tables["block"]["spigot_length"] = "2.75 in"
    design = built(tables)
    whole = {m.id: m.margin for m in design.strength.margins}
    found = missing_bolts(design)
    assert len(found) == 12 * 2 * 3 * 5
    for id, margin in found.items():
        before = whole[id.split(",")[0]]
        assert margin is not None
        assert before is not None
        if id.split(",")[0].endswith("bolt shear"):
            assert margin < before
    assert {row.numbers for row in bolt_rows(design.rack.definition.joint.post, "post")} == {(0, 1, 2)}


# --- thin walls, prying, threads, fillet -----------------------------------------------------------------


@given(t=some(0.0005, 0.004), b=some(0.02, 0.05), Fcy=some(1e8, 5e8))
def test_crippling_falls_with_thinner_walls_and_never_passes_yield(t: float, b: float, Fcy: float) -> None:
    thick, thin = (thin_wall.needham_angle(0.366, Fcy, 7e10, b / 2, b / 2, x) for x in (t, 0.9 * t))
    assert 0 < thin <= thick <= Fcy


@given(Rc=some(0.0, 2.0), Rb=some(1e-3, 2.0), RE=some(0.0, 2.0), Rs=some(0.0, 2.0))
def test_the_root_of_the_amplified_interaction(Rc: float, Rb: float, RE: float, Rs: float) -> None:
    k = interaction.beam_column_shear(Rc, Rb, RE, Rs)
    assert 0 <= k * RE < 1
    assert (k * Rc + k * Rb / (1 - k * RE)) ** 2 + (k * Rs) ** 2 == pytest.approx(1.0, rel=1e-6)
    assert k <= interaction.bending_compression(Rc, Rb, RE) * (1 + 1e-12)
    straight = 1 / np.hypot(1 / interaction.bending_compression(Rc, Rb, RE), Rs)
    assert k >= straight * (1 - 1e-9)  # one over the sum of inverses lies on the safe side of it


@given(T=some(10.0, 5e3), b=some(0.01, 0.04), part=some(0.2, 1.25), D=some(0.003, 0.008))
def test_prying_adds_less_the_further_the_edge(T: float, b: float, part: float, D: float) -> None:
    near, far = (prying.pried_tension(T, b, a * b, 0.05, D, D) for a in (part, 1.25))
    assert T < far <= near


@given(a=some(0.01, 0.03), step=some(0.001, 0.004), r=some(0.0005, 0.003), more=some(1.05, 2.0))
def test_a_larger_fillet_peaks_less(a: float, step: float, r: float, more: float) -> None:
    """On either side of where the two fits meet, which they do to a few percent."""
    q = np.array([step / r, step / (more * r)])
    if q.min() >= 0.1 and q.max() <= 20 and (q.min() > 2 or q.max() <= 2):
        sharp, blunt = (spigot.fillet_factor(step, x, a + 2 * step) for x in (r, more * r))
        assert sharp > blunt > 0.9


@given(D=some(0.004, 0.02), count=some(12.0, 40.0), turns=some(3.0, 12.0))
def test_threads_engage_and_the_nut_s_area_is_the_larger(D: float, count: float, turns: float) -> None:
    p = 0.0254 / count
    E, K = thread.basic_pitch(D, p), thread.basic_minor_internal(D, p)
    if K < 0.5 * D:
        return
    bolt, nut = thread.external_strip(turns * p, p, K, E), thread.internal_strip(turns * p, p, D, E)
    assert 0 < bolt < nut
    assert bolt == pytest.approx(np.pi * turns * K * (p / 2 + (E - K) / 3**0.5), rel=1e-12)
    assert fastener.stress_area(D, p) < np.pi / 4 * D**2


# --- a panel on its screws -------------------------------------------------------------------------------

LENGTH = some(0.004, 0.03)


def screw_pulls(at: list[float], held: tuple[int, int], loads: list[tuple[float, float]]) -> np.ndarray:
    """Pull of the two screws `held` of a beam on rigid supports `at`, under loads (place, force up), by a peer."""
    places = sorted({*at, *(x for x, _ in loads)})
    nodes = len(places)
    fixed = np.zeros((nodes, 6), dtype=bool)
    fixed[:, [0, 1, 3, 5]] = True  # it bends upright
    fixed[[places.index(x) for x in at], 2] = True
    nodal = np.zeros((nodes, 6))
    for x, force in loads:
        nodal[places.index(x), 2] += force
    beams = nodes - 1
    section = {"E": 7e10, "G": 2.6e10, "A": 1e-4, "Iy": 1e-9, "Iz": 1e-9, "J": 1e-9, "As": np.inf}
    plain = peers.Plain(
        np.array([(x, 0.0, 0.0) for x in places]), fixed, np.array([(n, n + 1) for n in range(beams)]),
        np.tile([0.0, 0.0, 1.0], (beams, 1)), {name: np.full(beams, value) for name, value in section.items()},
        nodal, np.zeros(3),
    )  # fmt: skip
    reaction = peers.by_pynite(plain).reaction[:, 2]
    return np.array([-reaction[places.index(at[n])] for n in held])


@settings(max_examples=25)
@given(L=some(0.2, 0.7), e=LENGTH, c=LENGTH, near=some(0.05, 0.45), far=some(0.55, 0.95), P=some(1.0, 500.0),
       Q=some(0.0, 500.0))  # fmt: skip
def test_a_panel_s_screw_is_pulled_no_more_than_with_its_end_fixed(
    L: float, e: float, c: float, near: float, far: float, P: float, Q: float
) -> None:
    """Pulled off, the panel stands on both edges and both screws; pressed, on both toes, screws and edges. A beam on
    those as rigid supports, by a general-purpose library, gives the heavier end's screw no more than the card."""
    toes = L - 2 * c
    x = np.array([c + near * toes, c + far * toes])
    loads = np.array([P, Q])
    ends = [(x, loads), (L - x, loads)]
    R, M = ([float(np.sum(f(load, L, at))) for at, load in ends]
            for f in (prying.fixed_end_reaction, prying.fixed_end_moment))  # fmt: skip
    bound = [prying.panel_screw(R[n], M[n], 0.0, e, c) for n in (0, 1)]
    found = screw_pulls([-e, 0.0, L, L + e], (1, 2), list(zip(x, loads, strict=True)))
    assert found.max() <= max(bound) * (1 + 1e-9)
    assert found.max() >= 0.5 * max(bound)  # and the card is no wild guess
    M = [float(np.sum(prying.fixed_end_moment(load, toes, at - c))) for at, load in ends]
    bound = [prying.panel_screw(0.0, 0.0, M[n], e, c) for n in (0, 1)]
    found = screw_pulls([-e, 0.0, c, L - c, L, L + e], (1, 4), list(zip(x, -loads, strict=True)))
    assert found.max() <= max(bound) * (1 + 1e-9)
    assert found.max() >= 0.5 * max(bound)

"""Margins of the demo's variation worked again by hand, from the frame's forces, in inches and pounds: equipment,
panels, rails, rings, straps and floor.

The forces are the solver's; all that follows is plain arithmetic here, with allowables copied from the reference
rows. Where statics alone gives the answer the whole number is worked in the docstring.
"""

from __future__ import annotations

from itertools import product
from math import atan2, cos, degrees, hypot, pi, radians

import numpy as np
import pytest

from by_hand import FITTING, Array, demo, drawn, margin_of, run, solved, tensions
from racks import (
    AN3,
    INVENTED,
    LBF,
    built,
    plain,
    still,
)

# --- by statics alone ------------------------------------------------------------------------------------


def test_equipment_screws() -> None:
    """Lidar controller, 41 + 1.5 = 42.5 lb, on four feet 14 x 13 in, its centre 3.75 + 0.25 in above their middle.

    Thrown forward at 16 g: 680 lbf, 170 lbf of shear a screw; its centre 0.25 in to the side yaws it with 170 in·lbf:
    over 4 (7² + 6.5²) = 365 in² that is 3.260 lbf more forward and 3.027 lbf to the side: 173.29 lbf. It tips with
    680 × 4 = 2720 in·lbf about the line of its feet's middle, 6.5 in off each line: 2720 × 6.5/(4 × 6.5²) = 104.615
    lbf pull at the rear two. AN3: 2126 lbf shear, 2210 lbf tension. Rs = 1.15 × 173.29/2126 = 0.093734, Rt = 1.15 ×
    104.615/2210 = 0.054438; (k Rs)³ + (k Rt)² = 1 gives k = 9.5938: MS 8.5938.
    """
    forward = 16 * 42.5
    shear = hypot(forward / 4 + forward * 0.25 * 7 / 365, forward * 0.25 * 6.5 / 365)
    Rs, Rt = FITTING * shear / 2126, FITTING * forward * 4 * 6.5 / (4 * 6.5**2) / 2210
    assert (Rs, Rt) == (pytest.approx(0.093734, abs=1e-6), pytest.approx(0.054438, abs=1e-6))
    k = solved(lambda k: (k * Rs) ** 3 + (k * Rt) ** 2)
    assert k == pytest.approx(9.5938, abs=1e-4)
    assert drawn()["equipment.lidar controller/screws"].margin == pytest.approx(k - 1, rel=1e-6)


def test_panel_strip() -> None:
    """The same on its panel thrown down at 20 g: four feet of 212.5 lbf, 2 in from the strip's supports (18 in span).

    Its centre a quarter inch to one side and end: 212.5 (1 + 0.25/7 + 0.25/6.5) = 228.26 lbf and, across from it,
    212.5 (1 - 0.25/7 + 0.25/6.5) = 213.08 lbf. M = 228.26 × 32/18 + 213.08 × 4/18 = 453.15 in·lbf under the heavier
    foot; the strip 3 + 3 = 6 in wide, t by the panel: b t²/6.
    """
    make = demo().rack.definition.shelf_make.panel
    t = make.thickness / 25_400_000
    ftu = {"2024-T3-sheet-A": 63.0, "6061-T6-sheet-A": 42.0}[make.material]
    one, other = (212.5 * (1 + side * 0.25 / 7 + 0.25 / 6.5) for side in (1, -1))
    M = one * 32 / 18 + other * 4 / 18
    assert pytest.approx(453.15, abs=0.01) == M
    stress = M / (6 * t**2 / 6) / 1000
    assert drawn()["panel.upper.lidar controller/strip bending"].margin == pytest.approx(
        ftu / stress - 1, rel=1e-6
    )


def test_panel_screws() -> None:
    """The screws of the upper panel, seven a side 3.5 in apart from 2.5 in of depth on, 0.84375 in off the post.

    Thrown down at 20 g (feet as in `test_panel_strip`), the heavier line's end is fixed with (228.26 × 2 × 16² + 213.08
    × 16 × 2²)/18² = 402.80 in·lbf at the leg's toe. The line at 19.5 in gives 3/3.5 of it to the screw at 20 in, which
    it lifts over the toe 0.65625 in away, the panel's edge 0.8125 in beyond: 345.26 (3/1.3125 + 1/1.625) = 1001.6 lbf.
    """
    one, other = (212.5 * (1 + side * 0.25 / 7 + 0.25 / 6.5) for side in (1, -1))
    T = (one * 2 * 16**2 + other * 16 * 2**2) / 18**2 * 3 / 3.5 * (3 / 1.3125 + 1 / 1.625)
    assert pytest.approx(1001.6, abs=0.05) == T
    assert drawn()["panel.upper/screws"].margin == pytest.approx(2210 / (FITTING * T) - 1, rel=1e-6)
    assert drawn()["panel.upper/screws"].case == "emergency/down"


def test_panel_screws_thrown_forward() -> None:
    """680 lbf forward, 4 in above the panel and 1/8 in more above its seat, 1/4 in to the side: along it all screws
    share by number, yaw by distance, and tipping of the eighth by distance along the depth. Its feet pull 104.615 lbf
    each off the rear line, their end fixed over a span of 19.3125 in, and press as much on the front one."""
    held = [bolt for bolt in demo().pieces.bolts if bolt.id.startswith("panel.upper.")]
    xy = np.array([bolt.point[:2] for bolt in held]) / 25_400_000
    assert xy.mean(axis=0) == pytest.approx([12, 13])  # the controller's nominal centre stands at x 12
    x, y = (xy - [12, 13]).T
    yaw = 680 * 0.25 / (x**2 + y**2).sum()
    shear = np.hypot(680 / len(held) + yaw * x, yaw * y)
    pull = np.maximum(680 * 0.125 / (y**2).sum() * y, 0)
    P, L, a = 680 * 4 / 26, 19.3125, 2.65625
    off = P * ((L - a) ** 2 * (L + 2 * a) + a**2 * (3 * L - 2 * a)) / L**3  # of two loads, one near, one far
    up, down = P * (a * (L - a) ** 2 + (L - a) * a**2) / L**2, P * (2 * 16**2 + 16 * 2**2) / 18**2
    for at, share in ((20.0, 3 / 3.5), (16.5, 0.5 / 3.5)):
        pull[xy[:, 1] == at] += share * (off + up / 0.8125)
        pull[xy[:, 1] == 26 - at] += share * down * (3 / 1.3125 + 1 / 1.625)
    Rs, Rt = FITTING * shear / 2126, FITTING * pull / 2210
    k = min(solved(lambda k, s=s, t=t: (k * s) ** 3 + (k * t) ** 2) for s, t in zip(Rs, Rt, strict=True))
    by_case = dict(drawn()["panel.upper/screws"].by_case)
    assert by_case["emergency/forward"] == pytest.approx(k - 1, rel=1e-6)


def test_bearing_under_the_feet() -> None:
    """173.29 lbf of shear (as above) on 0.190 in of the panel: Fbru by its edge distance, above 2 D the table's 2.0."""
    make = demo().rack.definition.shelf_make.panel
    fbru = {"2024-T3-sheet-A": 129.0, "6061-T6-sheet-A": 88.0}[make.material]
    strength = fbru * 1000 * 0.190 * make.thickness / 25_400_000
    assert drawn()["equipment.lidar controller/bearing"].margin == pytest.approx(
        strength / (FITTING * hypot(170 + 170 * 7 / 365, 170 * 6.5 / 365)) - 1, rel=1e-6
    )


def test_rail_bolts() -> None:
    """A plain rack with one item of 20 lb and 5/8 lb of tolerance on rails of 6 units, its centre in the middle.

    Down at 20 g 412.5 lbf, half on each rail. Its centre 5 in behind the rails' face (1/4 in), the bolts 3/4 in behind
    the front: 206.25 × 4.5 = 928.1 in·lbf about the bolts' middle. Four AN3 at ±4.75 and ±1.5833 in: Σz² = 50.139 in²,
    928.1 × 4.75/50.139 = 87.93 lbf across at the ends, with 206.25/4 = 51.56 lbf down: 101.93 lbf.
    Half an item hangs at the screws, 465.1 mm apart: 2.844 - 1.5 = 1.3445 in from where rail and post meet, a moment of
    277.3 in·lbf, 26.27 lbf of pull at the ends. That pull pries: 1/2 in from the bolts to the leg that carries, 1 in to
    the edge (5/8 counts), 3.167 in of leg each, hole 0.1915 in: δ = 0.9395, 26.27 × (1 + 0.405/0.720 × δ/(1 + δ)) =
    33.43 lbf; the leg is bent by 6 × 26.27 × 0.405/((1 + δ) × 3.167 × 1/64) = 665.1 psi of 37 ksi across the
    grain. MS of (k Rs)³ + (k Rt)² = 1, AN3 of 2126 and 2210 lbf.
    """
    angle = {"post_leg": "1.5 in", "carry_leg": "1.75 in", "thickness": "0.125 in", "material": "6061-T6511-ext-A",
             "stock": "AMS-QQ-A-200/8"}  # fmt: skip
    rails = {"bottom": "11 in", "units": 6, "beyond": "1/4 in", "setback": "1/4 in", "opening": "450 mm",
             "angle": angle, "hardware": AN3, "screw": AN3}  # fmt: skip
    one = {"name": "a", "part": "a", "document": INVENTED, "mass": "20 lb", "mass_basis": "weighed",
           "mass_tolerance": "5/8 lb", "size": ["17 in", "10 in", "5 in"], "cg": ["8.5 in", "5 in", "2.5 in"],
           "on_rails": {"unit": 2, "units": 3, "flange": "1/8 in"}}  # fmt: skip
    case = {"name": "down", "kind": "ultimate", "forward": 0, "left": 0, "up": -20, "document": INVENTED}
    design = built({**plain(items=[one]), "rails": rails, "case": [case]})
    half, z = 20 * 20.625 / 2, (4.75, 4.75 / 3)
    lever = z[0] / (2 * (z[0] ** 2 + z[1] ** 2))
    across, down = half * 4.5 * lever, half / 4
    assert hypot(across, down) == pytest.approx(101.93, abs=0.01)
    pull = half * (12 - 465.1 / 25.4 / 2 - 1.5) * lever
    assert pull == pytest.approx(26.27, abs=0.01)
    pried = pull * (1 + 0.405 / 0.720 * 0.93953 / 1.93953)
    assert pried == pytest.approx(33.43, abs=0.01)
    Rs, Rt = FITTING * hypot(across, down) / 2126, FITTING * pried / 2210
    k = solved(lambda k: (k * Rs) ** 3 + (k * Rt) ** 2)
    found = still(design)
    for hand in ("left", "right"):
        assert dict(found[f"rail.{hand}/bolts"].by_case)["customer/down"] == pytest.approx(k - 1, rel=1e-4)
        bent = dict(found[f"rail.{hand}/leg bending"].by_case)["customer/down"]
        assert bent == pytest.approx(37_000 / (FITTING * 665.1) - 1, rel=1e-3)
    for hand in ("left", "right"):
        assert found[f"rail.{hand}/bolts"].case.startswith("emergency/")
        bearing = found[f"rail.{hand}/post bearing"]
        assert bearing.applied is not None
        assert bearing.applied / LBF == pytest.approx(hypot(across, down), rel=1e-6)
    assert found["rail.left/bolts"].margin is not None
    assert found["rail.left/bolts"].margin <= k - 1 + 1e-9


# --- tie-down --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["top rear left", "low front right"])
def test_strap(name: str) -> None:
    """5000 lbf ultimate by its document, over 1.15 times the most it pulls: MS = 5000/(1.15 T) - 1."""
    assert margin_of(f"strap.{name}/tension") == pytest.approx(
        5000 / (FITTING * tensions(name).max()) - 1, rel=1e-9
    )


def test_pad() -> None:
    """2400 lbf of floor under each pad over the most it presses; no fitting factor on a floor."""
    for n, corner in enumerate(run().model.pads):
        pressed = run().response.pad_force[..., n].max() / LBF
        assert margin_of(f"pad.{corner}/floor") == pytest.approx(2400 / pressed - 1, rel=1e-9)


CONE = radians(3)  # every strap of the demo, by its installation tolerance


def test_floor_fitting() -> None:
    """F3 carries two straps: their sum, and its angle above the floor between the table's 0°, 45° and 90°.

    3800, 4600 and 5000 lbf: at θ up to 45° 3800 + 800 θ/45, above it 4600 + 400 (θ - 45)/45. Each strap may lie 3° off:
    its pull then moves by 2 sin 1.5° of itself, both together by the sum, which is more pull and a lower angle.
    """
    d = run().rack.definition
    at = np.array(next(one.at for one in d.floor_fitting if one.name == "F3")) * 1e-9
    eyes = run().settled.places(run().settled.eye)  # where the rack rests
    worst = []
    for v in range(len(run().model.variants)):
        for c in range(len(run().cases)):
            pull, more = np.zeros(3), 0.0
            for n, strap in enumerate(d.strap):
                if strap.fitting == "F3":
                    eye = eyes[v, c, n]
                    tension = run().response.tie_force[v, c, n] / LBF
                    pull = pull + tension * (eye - at) / np.linalg.norm(eye - at)
                    more += tension * 2 * np.sin(CONE / 2)
            size = float(np.linalg.norm(pull))
            angle = degrees(atan2(pull[2], hypot(pull[0], pull[1]))) - degrees(
                np.arcsin(more / max(size, 1e-9))
            )
            allowed = 3800 + 800 * angle / 45 if angle < 45 else 4600 + 400 * (angle - 45) / 45
            worst.append(allowed / (FITTING * max(size + more, 1e-9)) - 1)
    assert margin_of("fitting.F3/pull") == pytest.approx(min(worst), rel=1e-9)


def test_links_of_a_chain() -> None:
    """Ratchet: working load 1650 lbf times 3 by its test report, 4950 lbf; hook: minimum break 5400 lbf as it
    stands."""
    worst = FITTING * tensions("low rear right").max()
    assert margin_of("strap.low rear right/ratchet RT-5") == pytest.approx(4950 / worst - 1, rel=1e-9)
    assert margin_of("strap.low rear right/hook HK-5") == pytest.approx(5400 / worst - 1, rel=1e-9)


def test_floor_per_area_per_length_and_at_a_point() -> None:
    """A pad of 1.5 in square less a counterbore of 0.760 in at most: 1.7964 in². Down, all four press on
    26 in of the aircraft's length."""
    pressed = run().response.pad_force / LBF
    area = 1.5**2 - pi / 4 * 0.76**2
    assert margin_of("floor/pressure") == pytest.approx(1100 / (pressed.max() / area) - 1, rel=1e-9)
    assert margin_of("floor/load at a point") == pytest.approx(2400 / pressed.max() - 1, rel=1e-9)
    assert margin_of("floor/running load") == pytest.approx(
        260 / (pressed.sum(axis=-1).max() / 26) - 1, rel=1e-9
    )


def test_pitch_of_loaded_fittings() -> None:
    """F1 and F2 are 60 in apart, F1 and F3 78 in: 20 in are needed."""
    assert margin_of("fitting.F1/pitch") == pytest.approx(60 / 20 - 1, rel=1e-9)


def ring_axes(name: str) -> tuple[Array, Array, Array, Array, Array]:
    """The ring's leg, across and off it, its outward normal, and the flat's direction.

    At the top left a ring's flat runs down the post, turned by its angle about -x (rearward for a negative one);
    its leg leaves the face by the bend of 45°.
    """
    d = run().rack.definition
    ring = next(one for one in d.ring if one.name == name)
    normal = np.array([-1.0, 0.0, 0.0])
    along = np.array([0.0, -np.sin(ring.turn), -cos(ring.turn)])
    leg = along * cos(radians(45)) + normal * cos(radians(45))
    across = np.cross(normal, along)
    return leg, across, np.cross(leg, across), normal, along


def pulled(name: str) -> list[tuple[float, Array]]:
    """Of every variant and case: how much a strap pulls (lbf), and its nominal direction where the rack rests, from the
    places of its ring's eye and of its fitting. What pulls less than half of the most is left out."""
    d, settled, n = run().rack.definition, run().settled, run().model.straps.index(name)
    fitting = next(one for one in d.floor_fitting if one.name == d.strap[n].fitting)
    found = []
    for v, c in np.ndindex(*tensions(name).shape):
        end = settled.turn[v, c].T @ (np.array(fitting.at) * 1e-9 - settled.shift[v, c])
        way = end - settled.eye[v, c, n]
        found.append((float(tensions(name)[v, c]), way / np.linalg.norm(way)))
    most = max(pull for pull, _ in found)
    return [(pull, way) for pull, way in found if pull > most / 2]


def worst_sum(nominal: Array, *parts: Array) -> float:
    """Largest of Σ |part · u| over unit u within the cone: for each choice of signs one vector, whose largest
    component in a cone is its length times the cosine of what its angle exceeds the cone by."""
    found = []
    for signs in np.array(np.meshgrid(*[[1, -1]] * len(parts))).reshape(len(parts), -1).T:
        one = sum(sign * part for sign, part in zip(signs, parts, strict=True))
        size = float(np.linalg.norm(one))
        angle = float(np.arccos(np.clip(one @ nominal / size, -1, 1)))
        found.append(size * cos(max(angle - CONE, 0.0)))
    return max(found)


def within(ours: float, exact: float) -> None:
    """The polyhedron around the cone reaches 0.05 % and 0.006° beyond it (48 corners at 3°): never on the other
    side."""
    assert (exact + 1) / 1.002 - 1 <= ours <= exact + 1e-9


def test_ring_at_the_root_of_its_bend() -> None:
    """0.235 in left of quarter-inch plate 2 in wide, bent to 3/8 in inside, 1 in from bend to eye, pull 1/16 in off
    the mid-plane, 75 ksi. Off the plane and at the offset it bends as a curved bar: rn = 0.235/ln(0.610/0.375) =
    0.48301 in, R = 0.4925 in: σ = M (rn - ri)/(A (R - rn) ri); across P × 1 on 0.235 × 2²/6, along P on 0.47 in², all
    added.
    """
    leg, across, off, *_ = ring_axes("top rear left")
    rn = 0.235 / np.log(0.610 / 0.375)
    assert rn == pytest.approx(0.48301, abs=1e-5)
    curved = (rn - 0.375) / (0.47 * (0.4925 - rn) * 0.375)
    parts = (curved * off, (curved / 16 + 1 / 0.47) * leg, across / (0.235 * 2**2 / 6))
    stress = max(pull * worst_sum(nominal, *parts) for pull, nominal in pulled("top rear left"))
    within(margin_of("ring.top rear left/bend"), 75_000 / (FITTING * stress) - 1)


def test_ring_flat_at_its_bolts() -> None:
    """Moment of the pull about the bolts' middle, arm 1.25 in along the flat and 1 in along the leg; the bolts stand
    in the post's direction, one in the flat's width at 33°: w = 2 - 0.2505 = 1.7495 in, t = 1/4 in."""
    leg, across, _, normal, along = ring_axes("top rear left")
    arm, w = 1.25 * along + leg, 2 - 0.2505
    lift = np.cross(across, arm) / (w * 0.25**2 / 6)  # (arm × u) · across = u · (across × arm)
    swing = np.cross(normal, arm) / (0.25 * w**2 / 6)
    parts = (lift, leg / 16 / (w * 0.25**2 / 6), swing, along / (w * 0.25))
    stress = max(pull * worst_sum(nominal, *parts) for pull, nominal in pulled("top rear left"))
    within(margin_of("ring.top rear left/flat"), 75_000 / (FITTING * stress) - 1)


def test_ring_eye_as_a_lug() -> None:
    """Eye 3/4 in, 1 in to the edge on every side. Along: bearing 140 × 0.75 × 0.25 = 26 250 lbf, net tension 75 × (2
    - 0.75) × 0.25 = 23 437.5, shear-out 2 × 0.25 × (1 - 0.375 cos 40°) × 50 = 17 818; the least counts. Across:
    bearing and shear-out at a ligament of 1 in, 17 818 again. With equal strengths Ra^1.6 + Rtr^1.6 is largest at
    sin² = 1/2, concave in sin²: in the cone at its end nearest to that.
    """
    _, across, *_ = ring_axes("top rear left")
    shear_out = 2 * 0.25 * (1 - 0.375 * cos(radians(40))) * 50_000
    assert shear_out == pytest.approx(17_818, abs=1)
    found = []
    for pull, nominal in pulled("top rear left"):
        R = FITTING * pull / min(26_250, 23_437.5, shear_out)
        angle = np.arcsin(abs(nominal @ across))
        at = min(max(radians(45), angle - CONE), angle + CONE)
        found.append((cos(at) ** 1.6 + np.sin(at) ** 1.6) ** -0.625 / R)
    within(margin_of("ring.top rear left/eye"), min(found) - 1)


def test_ring_at_its_holes() -> None:
    """Two bolts 3/4 in apart share the pull in the face and its twist: bearing 140 × 0.25 × 0.25 = 8750 lbf a hole;
    the shear-out at the least edge, 2 × 0.25 × (e - 0.125 cos 40°) × 50, is more."""
    leg, _, _, normal, along = ring_axes("top rear left")
    arm, found = 1.25 * along + leg, []
    for (T, nominal), polar in product(pulled("top rear left"), np.linspace(0, CONE, 5)):
        for turn in np.linspace(0, 2 * pi, 181):
            side = np.cross(nominal, [0, 0, 1.0])
            side = side / np.linalg.norm(side)
            u = cos(polar) * nominal + np.sin(polar) * (
                cos(turn) * side + np.sin(turn) * np.cross(nominal, side)
            )
            face = np.linalg.norm(u - (u @ normal) * normal)
            found.append(T * (face / 2 + abs(np.cross(arm, u) @ normal) / 0.75))
    within(margin_of("ring.top rear left/holes"), 8750 / (FITTING * max(found)) - 1)

"""Braces in the frame and the bolts of their gussets: statics and hand calculations beside the program's numbers."""

from __future__ import annotations

from math import atan2, cos, hypot, pi, sin, sqrt, tan

import numpy as np
import pytest

from braced import BRACED, MAKE, SIDE
from racks import STANDARD, design_of, rack_of, swap
from rackwright.design import Design
from rackwright.formulas import gusset
from rackwright.pieces.brace_pieces import brace_places
from rackwright.strength import frame as fr
from rackwright.strength.brace_member import brace_member
from rackwright.strength.joint_springs import gusset_give
from rackwright.strength.margin import Margin

ANGLE = atan2(16, 24.5)  # of the brace in the side
IN = 0.0254


def margin(text: str, id: str) -> Margin:
    return next(one for one in design_of(text).strength.margins if one.id == id)


def test_a_braced_panel_sways_as_a_pinned_truss() -> None:
    """Four bars of no give round the side's panel, pinned, and the program's own brace with pinned ends, under H:
    statics N = H / cos θ; its sway is that of the brace's metal between its sawn ends and of both ends' bolts,
    u = H / cos² θ (L/(E A) + 2 c)."""
    design = design_of(BRACED)
    place = next(one for one in brace_places(design.rack) if one.brace.name == "left")
    x = 0.75 * IN
    low, high = np.array([x, 25.25 * IN, 12 * IN]), np.array([x, 0.75 * IN, 28 * IN])
    nodes = {f"post.rear-left@{12 * 25_400_000}": low, f"post.front-left@{28 * 25_400_000}": high}
    segment, row = brace_member(design.rack, design.pieces.get("brace.left"), place, nodes)
    row |= row.pop("flexible")  # type: ignore[arg-type]
    xyz = np.array([low, [x, high[1], low[2]], high, [x, low[1], high[2]]])
    ends = np.array([[0, 1], [3, 2], [0, 3], [1, 2], [0, 2]])
    stiff = {
        "A": 1e3,
        "Iy": 1.0,
        "Iz": 1.0,
        "J": 1.0,
        "Asy": np.inf,
        "Asz": np.inf,
        "E": 1e12,
        "G": 1e12,
        "rho": 0.0,
    }
    values = {name: np.array([*[value] * 4, row[name]], dtype=float) for name, value in stiff.items()}
    offset, springs = np.zeros((5, 2, 3)), np.zeros((5, 2, 2))
    offset[4], springs[4] = row["offset"], row["end_spring"]
    values["rho"][:] = 0.0
    members = fr.Members(ends, zref=np.tile([1.0, 0, 0], (5, 1)), offset=offset, end_spring=springs, **values)
    fixed = np.zeros((4, 6), dtype=bool)
    fixed[:, [0, 3, 4, 5]] = True
    fixed[:2] = True
    H, nodal = 1000.0, np.zeros((1, 4, 6))
    nodal[0, 3, 1] = H
    answer = fr.solve(fr.Frame(xyz, fixed, members), fr.Cases(np.zeros((1, 3)), nodal))
    force = fr.internal_forces(answer, np.array([0.0, 0.5, 1.0]))[0, 0, 4, :, 0]
    assert np.allclose(np.abs(force), H / cos(ANGLE), rtol=1e-9)
    assert force[0] < 0  # the way that shortens it
    tube, give = design.rack.definition.tube, gusset_give(design.rack, place)
    metal = design.rack.rows.materials[tube.material]
    assert give is not None
    assert metal.E is not None
    b, t, r = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
    area = (b * b - (4 - pi) * r * r) - ((b - 2 * t) ** 2 - (4 - pi) * (r - t) ** 2)
    long = (24.5 - 1.5) / cos(ANGLE) * IN
    assert segment.length == pytest.approx(long)
    sway = H / cos(ANGLE) ** 2 * (long / (metal.E * area) + 2 * give)
    assert answer.displacement[0, 0, 3, 1] == pytest.approx(sway, rel=1e-6)


def test_a_brace_stiffens_the_rack_and_takes_weight_from_no_one() -> None:
    bare, braced = design_of(STANDARD), design_of(BRACED)
    assert braced.modes_hz[0] > bare.modes_hz[0]
    weight = braced.bare.mass - bare.bare.mass
    drilled = sum(
        bare.pieces.get(one.id).mass - one.mass
        for one in braced.pieces.made
        if one.kind in ("post", "width", "depth")
    )
    added = sum(one.mass for one in braced.pieces.made if one.kind in ("brace", "gusset"))
    added += sum(one.mass for one in braced.pieces.bolts if one.id.startswith("brace."))
    assert weight == pytest.approx(added - drilled)
    frame = braced.strength.model.frame
    geo = np.linalg.norm(frame.xyz[0, frame.members.ends[:, 1]] + frame.members.offset[0, :, 1]
                         - frame.xyz[0, frame.members.ends[:, 0]] - frame.members.offset[0, :, 0], axis=1)  # fmt: skip
    total = float(
        (frame.members.rho[0] * frame.members.A[0] * geo).sum()
        + frame.masses.m.ravel()[: frame.masses.count].sum()
    )
    tolerance = sum(item.mass_tolerance or 0.0 for item in braced.rack.definition.equipment)
    assert total == pytest.approx(braced.loaded.mass + tolerance, rel=1e-9)


def test_bolts_of_a_brace_by_hand() -> None:
    """Two bolts 1 in apart through two walls 1 3/8 in apart: four planes share N and V, the couple of two bolts takes
    the moment in the face, that of two walls torsion and the moment out of it; shear and pull as (Rs)³ + (Rt)² = 1."""
    found = margin(BRACED, "gusset.left.end/bolts in the brace")
    design = design_of(BRACED)
    run = design.strength.run
    assert run is not None
    place = next(one for one in brace_places(design.rack) if one.brace.name == "left")
    end = place.first_tip + place.axis_length  # nm from the low tip
    middle = (end - (0.625 / cos(ANGLE) + 0.5) * 25_400_000) * 1e-9
    v, c = run.model.variants.index(found.pretension), [case.id for case in run.cases].index(found.case)
    N, V, _, T, Mx, Mz = np.abs(run.sides("brace.left", middle, "ultimate")[0][v, c])
    Vz = abs(run.sides("brace.left", end * 1e-9, "ultimate")[0][v, c, 2])
    h, pitch = 1.375 * IN, 1.0 * IN
    shear = hypot(N / 4 + Mx / (2 * h), V / 4 + T / (2 * h) + Mz / pitch / 2)
    row, k = design.rack.rows.bolts["AN4"], run.fitting_factor
    assert row.single_shear is not None
    assert row.tension is not None
    Rs, Rt, m = k * shear / row.single_shear, k * Vz / 2 / row.tension, 1 + (found.margin or 0)
    assert (m * Rs) ** 3 + (m * Rt) ** 2 == pytest.approx(1, rel=1e-6)


def test_what_the_member_meets_is_what_the_brace_brings() -> None:
    """Force turned into the member's axes keeps its size where there is no shear; its moment grows by V s."""
    along, across = gusset.along_member(100.0, 0.0, ANGLE), gusset.across_member(100.0, 0.0, ANGLE)
    assert hypot(along, across) == pytest.approx(100)
    assert along / across == pytest.approx(tan(ANGLE))
    steps = dict(margin(BRACED, "gusset.left.end/bolts in the member").steps)
    assert steps["along_member"]["theta"] == pytest.approx(ANGLE)
    assert steps["moment_at_node"]["s"] == pytest.approx(0.75 * IN / cos(ANGLE))
    turned = steps["along_member"]
    assert steps["tube_end_bolt"]["N"] == pytest.approx(turned["N"] * sin(ANGLE) + turned["V"] * cos(ANGLE))


def test_a_gusset_by_hand() -> None:
    """1/8 in by 2 (1 in) tan 30° = 1.1547 in, a 0.2505 in hole off; a column of twice 1.643 in, free to sway."""
    pulled = dict(margin(BRACED, "gusset.left.end/gusset").steps)
    w = 2 * tan(pi / 6) * IN
    assert pulled["gusset_axial"]["w"] == pytest.approx(w)
    one = pulled["gusset_axial"]
    assert one["P"] == pytest.approx(
        pulled["gusset_force"]["N"] / 2 + pulled["gusset_force"]["Mx"] / (1.375 * IN)
    )
    f = one["P"] / ((w - 0.2505 * IN) * 0.125 * IN)
    Ftu = design_of(BRACED).rack.rows.materials["6061-T6-sheet-A"].strength("Ftu")
    k = design_of(BRACED).strength.run.fitting_factor  # type: ignore[union-attr]
    assert Ftu is not None
    assert pulled["tension_bending"]["Rt"] == pytest.approx(k * f / Ftu)
    pressed = dict(margin(BRACED, "gusset.left.end/gusset buckling").steps)
    clear = (0.75 + 0.625) / cos(ANGLE) * IN
    assert pressed["slenderness"]["L"] == pytest.approx(2 * clear)
    assert pressed["slenderness"]["rho"] == pytest.approx(0.125 * IN / sqrt(12))


def test_a_thicker_gusset_buckles_later() -> None:
    id = "gusset.left.end/gusset buckling"
    thick = STANDARD + swap(MAKE, ('thickness = "0.125 in"', 'thickness = "0.19 in"')) + SIDE
    assert (margin(thick, id).margin or 0) > (margin(STANDARD + MAKE + SIDE, id).margin or 0)


def test_a_gusset_on_one_face_is_not_assessed_and_says_so() -> None:
    design = Design(rack_of(swap(BRACED, ('faces = "both"', 'faces = "outside"'))))
    assert not design.faults
    gone = [one for one in design.strength.margins if one.id.startswith("gusset.")]
    assert len(gone) == 4
    assert all(one.margin is None and "eccentricity is not assessed" in one.why_missing for one in gone)
    assert [one.code for one in design.refusals()].count("RW304") == 4


def test_a_brace_of_its_own_wall_is_judged_by_it() -> None:
    thin = BRACED.replace(
        SIDE.strip(),
        SIDE.strip() + '\ntube = { side = "1.5 in", wall = "0.065 in", corner_radius = "3/16 in", '
        'material = "6061-T6-drawn-tube-S", stock = "AMS-WW-T-700/6" }',
    )
    own, frames = margin(thin, "brace.left/strength"), margin(BRACED, "brace.left/strength")
    assert "0.065" in own.source
    assert "0.125" in frames.source
    piece = design_of(thin).pieces.get("brace.left")
    assert piece.section == "SQ 1.5x0.065"
    assert piece.mass < design_of(BRACED).pieces.get("brace.left").mass


def test_payloads_of_a_braced_rack_are_found_by_the_same_path() -> None:
    design = design_of(STANDARD + MAKE + SIDE)
    found = design.payloads
    assert found
    base = {one.id: one.margin for one in design.strength.margins}
    assert any(id.startswith("gusset.left") for id in base)

"""Natural frequencies of beams and small frames.

Blevins, Formulas for Natural Frequency and Mode Shape: f = (βL)²/(2πL²) √(EI/ρA), roots βL recomputed (closed form).
NAFEMS test FV2, pin-ended double cross: parameters read in a public repository (permas4edu, example 003); 17.687 Hz
is remembered as the published f2; f1, f4 and f9 are closed forms of a pinned-pinned and a clamped-pinned arm.
"""

from __future__ import annotations

import numpy as np
import pytest

from rackwright.strength import frame as fr

BLEVINS, FV2 = "Blevins, Natural Frequency", "NAFEMS FV2"
E, A, I, RHO = 70e9, 4.4e-4, 9.5e-8, 2700.0
IN_PLANE = [0, 0, 1, 1, 1, 0]
PIECES = 24


def section(**more) -> dict:
    values = {"E": E, "G": 26e9, "A": A, "Iy": I, "Iz": I, "J": 1.4e-7, "rho": RHO} | more
    return {"zref": np.array([0.0, 0, 1])} | {key: np.array(value) for key, value in values.items()}


def line(first: list[int], last: list[int]) -> fr.Frame:
    """A beam of 0.8 m in the x-y plane, in 24 pieces."""
    xyz = np.zeros((PIECES + 1, 3))
    xyz[:, 0] = np.linspace(0, 0.8, PIECES + 1)
    fixed = np.tile(np.array(IN_PLANE, bool), (PIECES + 1, 1))
    fixed[:, 0] = True  # bending alone
    fixed[0], fixed[-1] = first, last
    ends = np.stack([np.arange(PIECES), np.arange(1, PIECES + 1)], axis=1)
    return fr.Frame(xyz, fixed, fr.Members(ends, **section()))


FREE, PIN, CLAMP = [1, 0, 1, 1, 1, 0], [1, 1, 1, 1, 1, 0], [1] * 6


@pytest.mark.parametrize(
    ("name", "first", "last", "hz"),
    [
        ("clamped-clamped", CLAMP, CLAMP, (416.2675181, 1147.457443, 2249.475381)),
        ("pinned-pinned", PIN, PIN, (183.6295227, 734.5180908, 1652.665704)),
        ("clamped-pinned", CLAMP, PIN, (286.8643607, 929.6242681, 1939.586832)),
    ],
)
def test_beams(published, name, first, last, hz):
    found = fr.modes(line(first, last), 3).hz[0]
    for mode, (ours, theirs) in enumerate(zip(found, hz, strict=True), 1):
        published(BLEVINS, f"{name}, f{mode}, Hz", ours, theirs, "closed form", 5e-5)


def test_double_cross(published):
    """Eight arms of 5 m, 0.125 m square, E 200 GPa, 8000 kg/m3, eight elements an arm, ends pinned, in plane."""
    angles = np.radians(45 * np.arange(8))
    steps = np.linspace(0, 5, 9)[1:]
    xyz = np.zeros((65, 3))
    xyz[1:, 0] = (np.cos(angles)[:, None] * steps).ravel()
    xyz[1:, 1] = (np.sin(angles)[:, None] * steps).ravel()
    ends = [[0 if step == 0 else 8 * arm + step, 8 * arm + step + 1] for arm in range(8) for step in range(8)]
    fixed = np.tile(np.array(IN_PLANE, bool), (65, 1))
    fixed[8::8, :2] = True
    values = section(
        E=200e9, G=77e9, A=0.125**2, Iy=0.125**4 / 12, Iz=0.125**4 / 12, J=0.14 * 0.125**4, rho=8000.0
    )
    hz = fr.modes(fr.Frame(xyz, fixed, fr.Members(np.array(ends), **values)), 16).hz[0]
    published(FV2, "f1, Hz", hz[0], 11.336, "closed form", 1e-3)
    published(FV2, "f2, Hz", hz[1], 17.687, "from memory", 1.5e-3)
    published(FV2, "f3, Hz", hz[2], 17.687, "from memory", 1.5e-3)
    published(FV2, "f4, Hz", hz[3], 17.709, "closed form", 1e-3)
    published(FV2, "f8, Hz", hz[7], 17.709, "closed form", 1e-3)
    published(FV2, "f9, Hz", hz[8], 45.345, "closed form", 1e-3)
    published(FV2, "f12, Hz", hz[11], 57.39, "closed form", 1.5e-3)


def test_two_storeys(published):
    """Floors of 20 kg on storeys of 200 kN/m: ω² = (3 ∓ √5)/2 k/m. Guided columns, 12 EI/h³ = k."""
    xyz = np.array([[0, 0, 0], [0, 0, 1], [0, 0, 2]], float)
    members = fr.Members(np.array([[0, 1], [1, 2]]), zref=np.array([1.0, 0, 0]), E=np.array(2e5 / 12))
    fixed = np.array([[1] * 6, [0, 1, 1, 1, 1, 1], [0, 1, 1, 1, 1, 1]], bool)
    masses = fr.Masses.on_nodes(np.array([1, 2]), np.array([20.0, 20]), xyz)
    hz = fr.modes(fr.Frame(xyz, fixed, members, masses=masses), 2, member_mass=False).hz[0]
    published("Two-storey shear frame", "f1, Hz", hz[0], 9.836316431, "closed form")
    published("Two-storey shear frame", "f2, Hz", hz[1], 25.75181074, "closed form")


def test_mass_on_a_massless_cantilever(published):
    """12 kg at the tip of 0.8 m: √(3EI/mL³)/2π. On the node, on the member's end, and on a rigid arm along it."""
    xyz = np.array([[0, 0, 0], [0.8, 0, 0]])
    fixed = np.array([[1] * 6, [0] * 6], bool)
    members = fr.Members(np.array([[0, 1]]), **section(rho=0.0))
    on_node = {"masses": fr.Masses.on_nodes(np.array([1]), np.array([12.0]), xyz)}
    on_member = {"member_masses": fr.MemberMasses(np.array([0]), at=np.array([0.8]), m=np.array([12.0]))}
    for place, parts in (("node", on_node), ("member end", on_member)):
        hz = fr.modes(fr.Frame(xyz, fixed, members, **parts), 1, member_mass=False).hz[0, 0]
        published("Tip mass", f"on the {place}, Hz", hz, 9.069137327, "closed form")


def test_mass_at_the_middle_of_a_single_member(published):
    """m at the middle of a built-in member without inner nodes: √(192EI/mL³)/2π, 12 kg on 0.8 m."""
    xyz = np.array([[0, 0, 0], [0.8, 0, 0]])
    mass = fr.MemberMasses(np.array([0]), at=np.array([0.4]), m=np.array([12.0]))
    frame = fr.Frame(
        xyz, np.ones((2, 6), bool), fr.Members(np.array([[0, 1]]), **section(rho=0.0)), member_masses=mass
    )
    hz = fr.modes(frame, 1, member_mass=False).hz[0, 0]
    published("Middle mass", "built-in member, Hz", hz, 72.55309862, "closed form")

"""A plain frame handed to two general-purpose libraries: what they say of displacements, reactions and end forces.

OpenSeesPy (compiled; its wheel brings the mathematics library it needs but does not find it by itself) and PyNiteFEA
(pure Python; no shear flexibility, so it is not asked there). Neither is asked about ties: one of them switches a
slack tie off and never on again.
"""

from __future__ import annotations

import ctypes
import importlib.util
import pathlib
from dataclasses import dataclass
from importlib.metadata import version
from typing import Any

import numpy as np

from rackwright.strength import frame as fr

VERSIONS = f"OpenSeesPy {version('openseespy')}", f"PyNiteFEA {version('PyNiteFEA')}"


@dataclass(frozen=True)
class Plain:
    """A frame of beams on held nodes under nodal forces and a uniform load on each beam (global, N/m)."""

    xyz: np.ndarray  # (N,3)
    fixed: np.ndarray  # (N,6)
    ends: np.ndarray  # (M,2)
    zref: np.ndarray  # (M,3)
    section: dict[str, np.ndarray]  # E G A Iy Iz J, (M,); As (M,) or infinite
    nodal: np.ndarray  # (N,6)
    line: np.ndarray  # (3,) N/kg with a density of 1/A: N/m on every beam

    @property
    def sheared(self) -> bool:
        return bool(np.isfinite(self.section["As"]).all())


@dataclass(frozen=True)
class Told:
    """Displacements and reactions (N,6), end forces (M,12) by the nodes on the beams, local axes."""

    displacement: np.ndarray
    reaction: np.ndarray
    end_force: np.ndarray


def ours(plain: Plain) -> Told:
    s = plain.section
    members = fr.Members(
        plain.ends, zref=plain.zref, rho=1 / s["A"], Asy=s["As"], Asz=s["As"],
        **{name: s[name] for name in ("E", "G", "A", "Iy", "Iz", "J")},
    )  # fmt: skip
    r = fr.solve(fr.Frame(plain.xyz, plain.fixed, members), fr.Cases(plain.line[None], plain.nodal[None]))
    assert r.loose == ((None,),)
    return Told(r.displacement[0, 0], r.reaction[0, 0], r.end_force[0, 0])


def opensees() -> Any:
    """The library, its own mathematics loaded first."""
    found = importlib.util.find_spec("openseespylinux")
    if found is not None and found.origin is not None:
        for name in ("libquadmath.so.0", "libgfortran.so.4", "libblas.so.3", "liblapack.so.3"):
            ctypes.CDLL(str(pathlib.Path(found.origin).parent / "lib" / name), mode=ctypes.RTLD_GLOBAL)
    import openseespy.opensees as library

    return library


def by_opensees(plain: Plain) -> Told:
    """Plane sections with or without shear; the load on sheared beams as its fixed-end forces would need: none."""
    ops, s = opensees(), plain.section
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", 6)
    for n, (at, held) in enumerate(zip(plain.xyz.tolist(), plain.fixed.astype(int).tolist(), strict=True)):
        ops.node(n, *at)
        ops.fix(n, *held)
    ops.timeSeries("Constant", 1)
    ops.pattern("Plain", 1, 1)
    for m, (i, j) in enumerate(plain.ends.tolist()):
        E, G, A, Iy, Iz, J, As = (float(s[name][m]) for name in ("E", "G", "A", "Iy", "Iz", "J", "As"))
        ops.geomTransf("Linear", m, *plain.zref[m].tolist())
        if plain.sheared:
            ops.element("ElasticTimoshenkoBeam", m, i, j, E, G, A, J, Iy, Iz, As, As, m)
        else:
            ops.element("elasticBeamColumn", m, i, j, A, E, G, J, Iy, Iz, m)
        x, y, z = axes(plain, m)
        ops.eleLoad("-ele", m, "-type", "-beamUniform", *(float(plain.line @ way) for way in (y, z, x)))
    for n, force in enumerate(plain.nodal.tolist()):
        ops.load(n, *force)
    ops.system("UmfPack")
    ops.numberer("RCM")
    ops.constraints("Plain")
    ops.algorithm("Linear")
    ops.integrator("LoadControl", 1.0)
    ops.analysis("Static")
    assert ops.analyze(1) == 0
    ops.reactions()
    many = range(len(plain.xyz))
    return Told(
        np.array([ops.nodeDisp(n) for n in many]), np.array([ops.nodeReaction(n) for n in many]) * plain.fixed,
        np.array([ops.eleResponse(m, "localForces") for m in range(len(plain.ends))]),
    )  # fmt: skip


def by_pynite(plain: Plain) -> Told:
    """Sections alike both ways, so that the turn of their axes (which that library chooses) does not matter."""
    from Pynite import FEModel3D

    s, model = plain.section, FEModel3D()
    freedoms = ("DX", "DY", "DZ", "RX", "RY", "RZ")
    for n, (at, held) in enumerate(zip(plain.xyz.tolist(), plain.fixed.tolist(), strict=True)):
        model.add_node(str(n), *at)
        model.def_support(str(n), *held)
    for m, (i, j) in enumerate(plain.ends.tolist()):
        E, G, A, Iy, Iz, J = (float(s[name][m]) for name in ("E", "G", "A", "Iy", "Iz", "J"))
        model.add_material(str(m), E, G, 0.3, 1.0)
        model.add_section(str(m), A, Iy, Iz, J)
        model.add_member(str(m), str(i), str(j), str(m), str(m))
        for way, load in zip("XYZ", plain.line.tolist(), strict=True):
            model.add_member_dist_load(str(m), f"F{way}", load, load)
    for n, force in enumerate(plain.nodal.tolist()):
        for way, value in zip(("FX", "FY", "FZ", "MX", "MY", "MZ"), force, strict=True):
            model.add_node_load(str(n), way, value)
    model.analyze_linear(check_stability=False)
    nodes = [model.nodes[str(n)] for n in range(len(plain.xyz))]
    moved = np.array([[getattr(node, way)["Combo 1"] for way in freedoms] for node in nodes])
    held = np.array(
        [
            [getattr(node, f"Rxn{way}")["Combo 1"] for way in ("FX", "FY", "FZ", "MX", "MY", "MZ")]
            for node in nodes
        ]
    )
    ends = np.array([np.asarray(model.members[str(m)].f(), float).ravel() for m in range(len(plain.ends))])
    return Told(moved, held * plain.fixed, ends)


def axes(plain: Plain, m: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Local x, y, z of a beam."""
    i, j = plain.ends[m]
    x = plain.xyz[j] - plain.xyz[i]
    x = x / np.linalg.norm(x)
    y = np.cross(plain.zref[m], x)
    y = y / np.linalg.norm(y)
    return x, y, np.cross(x, y)

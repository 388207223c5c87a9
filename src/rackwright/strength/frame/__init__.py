"""The 3-D frame solver: members, springs, ties, pads and carried masses under load cases.

    from rackwright.strength import frame

    f = frame.Frame(                       # one design: no variant axis needed
        xyz=xyz,                           # (N,3) m
        fixed=fixed,                       # (N,6) bool: ux uy uz rx ry rz held at zero
        members=frame.Members(ends=ends, zref=zref, E=E, G=G, A=A, Iy=Iy, Iz=Iz, J=J, rho=rho,
                              Asy=Asy, Asz=Asz, offset=offset, end_spring=end_spring),
        ties=frame.Ties(node=[[7, -1]], offset=offset_and_ground_point, k=k, T0=T0),
        pads=frame.Pads(node=[0, 1], push=[0, 0, 1, 0, 0, 0], k=k),
        masses=frame.Masses(m=m, xyz=cg, carrier=[0, 0, 0, 0], node=[3, 4, 5, 6], count=1),
    )
    r = frame.solve(f, frame.Cases(inertia=inertia))     # inertia (C,3) N/kg
    r.end_force[0, case, member]                         # 12 local end forces
    frame.internal_forces(r, np.linspace(0, 1, 5))       # (V,C,M,5,6): N Vy Vz T My Mz
    r.loose[0][case]                                     # None, or why there is no equilibrium
    frame.modes(f, 4).hz[0]                              # natural frequencies

Values may carry a leading variant axis V (`E` (M,) or (V,M), `xyz` (N,3) or (V,N,3), ...); a single number
serves all. Results always carry it. Lists may be given for whole-number arrays only; pass numpy arrays for values.
The shapes, signs and meaning of every value stand in the class docstrings of `model`.

The modules, in reading order: `model` (what a frame is) · `beam` (one member) · `carry` (masses on several
points) · `band` (the linear frame, factored) · `loose` (its loose and soft motions) · `ready` (frame and unit loads
brought together) · `conditions`, `one_sided`, `least_distance` (ties and pads) · `solve` · `refine` (a second look)
· `curve`, `afloat`, `settle` (straps that turn, racks that rock) · `inside` (forces within members) · `beam_column`,
`tangent`, `standing`, `buckling`, `second_order` (frames under compression) · `modal` (the whole matrices, bodies on
springs) · `modes` · `words` (loose motions in words).
"""

from rackwright.strength.frame.buckling import Buckling, buckling
from rackwright.strength.frame.carry import cross, crossed, turning
from rackwright.strength.frame.curve import Curve
from rackwright.strength.frame.inside import forces_within, internal_forces
from rackwright.strength.frame.modal import Bodies, Modal, Motion, modal_model
from rackwright.strength.frame.model import Cases, Frame, Masses, MemberMasses, Members, Pads, Springs, Ties
from rackwright.strength.frame.modes import Modes, modes
from rackwright.strength.frame.second_order import SecondOrder, second_order
from rackwright.strength.frame.settle import Settled, as_drawn, settle
from rackwright.strength.frame.solve import Response, solve
from rackwright.strength.frame.standing import Standing, standing

__all__ = [
    "Bodies",
    "Buckling",
    "Cases",
    "Curve",
    "Frame",
    "Masses",
    "MemberMasses",
    "Members",
    "Modal",
    "Modes",
    "Motion",
    "Pads",
    "Response",
    "SecondOrder",
    "Settled",
    "Springs",
    "Standing",
    "Ties",
    "as_drawn",
    "buckling",
    "cross",
    "crossed",
    "forces_within",
    "internal_forces",
    "modal_model",
    "modes",
    "second_order",
    "settle",
    "solve",
    "standing",
    "turning",
]

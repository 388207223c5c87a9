"""Two hundred random frames beside two general-purpose libraries: displacements, reactions, end forces.

Half of them have beams without shear flexibility and alike both ways, and go to both libraries; the other half have
sections of two different second moments turned at random, half of those with shear, and go to the one that knows it.
Each group of numbers is compared by its largest difference over its largest magnitude.
"""

from __future__ import annotations

import numpy as np
import pytest

from peers import VERSIONS, Plain, Told, by_opensees, by_pynite, ours

COUNT, CLOSE = 100, 1e-8


def drawn(rng: np.random.Generator, *, alike: bool, shear: bool) -> Plain:
    """Three to nine nodes, a tree of beams and some more, one node held and others in part."""
    nodes = int(rng.integers(3, 10))
    grid = np.array([[n % 2, (n // 2) % 2, n // 4] for n in range(nodes)])
    xyz = 0.7 * grid + rng.uniform(-0.2, 0.2, (nodes, 3))
    tree = [[int(rng.integers(j)), j] for j in range(1, nodes)]
    more = [
        [i, j] for i in range(nodes) for j in range(i + 1, nodes) if [i, j] not in tree and rng.random() < 0.3
    ]
    ends = np.array(tree + more)
    count = len(ends)
    fixed = rng.random((nodes, 6)) < 0.1
    fixed[0] = True
    Iy = rng.uniform(2e-8, 1e-7, count)
    section = {
        "E": np.full(count, 68.3e9), "G": np.full(count, 26e9), "A": rng.uniform(2e-4, 5e-4, count), "Iy": Iy,
        "Iz": Iy if alike else rng.uniform(2e-8, 1e-7, count), "J": rng.uniform(3e-8, 2e-7, count),
        "As": rng.uniform(1e-5, 2e-4, count) if shear else np.full(count, np.inf),
    }  # fmt: skip
    nodal = rng.uniform(-1, 1, (nodes, 6)) * ([500.0] * 3 + [50.0] * 3)
    line = np.zeros(3) if shear else rng.uniform(-300, 300, 3)
    return Plain(xyz, fixed, ends, rng.normal(size=(count, 3)), section, nodal, line)


def apart(one: Told, other: Told, ends: bool = True) -> float:
    """The largest difference of any group, over the largest magnitude of that group."""
    groups = [
        (one.displacement[:, :3], other.displacement[:, :3]),
        (one.displacement[:, 3:], other.displacement[:, 3:]),
        (one.reaction[:, :3], other.reaction[:, :3]),
        (one.reaction[:, 3:], other.reaction[:, 3:]),
    ]
    if ends:
        groups += [
            (one.end_force[:, at], other.end_force[:, at])
            for at in ([0, 1, 2, 6, 7, 8], [3, 4, 5, 9, 10, 11])
        ]
    return max(float(np.abs(a - b).max() / (np.abs(a).max() or 1.0)) for a, b in groups)


def axial(told: Told) -> Told:
    """Only what does not depend on how the section's axes are turned: axial force and torque at the ends."""
    turned = told.end_force.copy()
    turned[:, [1, 2, 4, 5, 7, 8, 10, 11]] = 0.0
    return Told(told.displacement, told.reaction, turned)


def test_plain_frames_beside_both(published):
    rng = np.random.default_rng(20)
    far = np.array([0.0, 0.0])
    for _ in range(COUNT):
        plain = drawn(rng, alike=True, shear=False)
        mine = ours(plain)
        theirs = by_opensees(plain), by_pynite(plain)
        far = np.maximum(far, [apart(mine, theirs[0]), apart(axial(mine), axial(theirs[1]))])
    for name, worst in zip(VERSIONS, far, strict=True):
        published(name, f"{COUNT} frames, digits in common", min(-np.log10(worst), 8.0), 8.0, "peer library")
    assert far.max() < CLOSE


@pytest.mark.parametrize("shear", [False, True], ids=["two second moments", "with shear"])
def test_frames_of_turned_sections_beside_the_compiled_one(published, shear):
    rng = np.random.default_rng(21 + shear)
    worst = 0.0
    for _ in range(COUNT // 2):
        plain = drawn(rng, alike=False, shear=shear)
        worst = max(worst, apart(ours(plain), by_opensees(plain)))
    name = f"{COUNT // 2} turned frames{' with shear' if shear else ''}, digits in common"
    published(VERSIONS[0], name, min(-np.log10(worst), 8.0), 8.0, "peer library")
    assert worst < CLOSE


def test_a_wrong_frame_is_told_apart():
    """The comparison sees one part in a thousand of one second moment."""
    plain = drawn(np.random.default_rng(5), alike=True, shear=False)
    other = Plain(**{**plain.__dict__, "section": plain.section | {"Iz": plain.section["Iz"] * 1.001}})
    assert apart(ours(other), by_opensees(plain)) > 100 * CLOSE

"""A loose motion, in the words of someone who has to hold it."""

from __future__ import annotations

import numpy as np

from rackwright.strength.frame.model import Array, Frame

__all__ = ["WHY", "describe", "place_of"]

WHY = {
    "loose": "nothing resists it",
    "thrown": "the load drives it, and every tie and one-sided spring lets go",
    "idle": "nothing blocks it and no load drives it, so its place is not determined",
}
_AXES = "xyz"


def describe(motion: Array, xyz: Array, names: tuple[str, ...]) -> str:
    """Say which freedom moves in `motion` (N,6) of nodes at `xyz` (N,3)."""
    size = float(np.linalg.norm(np.ptp(xyz, axis=0))) or 1.0
    rigid, rest = _rigid(motion, xyz, size)
    if len(xyz) > 1 and rest < 1e-5:
        return f"the whole frame {_rigid_words(rigid, size)}"
    moves = np.abs(motion) * ([1.0] * 3 + [size] * 3)
    node, freedom = np.unravel_index(int(np.argmax(moves)), moves.shape)
    kind = "translation" if freedom < 3 else "rotation about"
    others = int(np.count_nonzero(moves.max(axis=1) > 1e-6 * moves.max())) - 1
    along = f", together with {others} other node{'s' * (others > 1)}" if others else ""
    return f"node {names[node]} {kind} {_AXES[freedom % 3]}{along}"


def place_of(frame: Frame, member: int) -> str:
    """A member by its nodes."""
    i, j = (frame.names[node] for node in frame.members.ends[member])
    return f"the member from node {i} to node {j}, between its ends"


def _rigid(motion: Array, xyz: Array, size: float) -> tuple[Array, float]:
    """The rigid motion [t, θ] about the middle that is nearest, and what is left of the motion then (0..1)."""
    arms = np.asarray((xyz - xyz.mean(axis=0)) / size)
    basis = np.zeros((len(xyz), 6, 6))
    basis[:, range(6), range(6)] = 1.0
    for axis, (j, k) in enumerate(((1, 2), (2, 0), (0, 1))):  # θ × arm
        basis[:, k, 3 + axis], basis[:, j, 3 + axis] = arms[:, j], -arms[:, k]
    scaled = motion * ([1.0] * 3 + [size] * 3)
    flat = basis.reshape(-1, 6)
    rigid = np.asarray(np.linalg.lstsq(flat, scaled.ravel(), rcond=None)[0], float)
    left = float(np.linalg.norm(scaled.ravel() - flat @ rigid))
    return rigid, left / (float(np.linalg.norm(scaled)) or 1.0)


def _rigid_words(rigid: Array, size: float) -> str:
    biggest = int(np.argmax(np.abs(rigid)))
    sense = "+" if rigid[biggest] > 0 else "-"
    if biggest < 3:
        return f"slides along {sense}{_AXES[biggest]} (translation {_AXES[biggest]})"
    return f"turns about {sense}{_AXES[biggest - 3]} (rotation about {_AXES[biggest - 3]})"

"""In which order to make the folds of a strip: each stroke free of punch, die and backgauge, with the fewest handlings.

A stroke is looked at in steps from flat to the angle under load. Whether it is free depends only on which folds are
made, so the best rest of an order is found once for each set of made folds and each way the strip lies: turned over,
or end for end, each counts as one handling. The gauge's face stands where the strip's back first meets the height of
its finger; what hangs over the finger must clear it. The finger is there before the stroke and leaves with it.
A fold needs its flat on both shoulders: half the opening to the next made fold's tangent, and to an edge the share of
the opening that the shop keeps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from rackwright.making.folding.section import Polygon, clipped, moved, overlap
from rackwright.making.folding.strip import Part, Pose, Strip, section

__all__ = ["FoldStep", "Folding", "Tools", "folding"]

STROKE = 12  # looks at one stroke
TOUCH = 1e-9
THIN = 0.96  # of the thickness counts for punch and die: what touches, or follows the nose, does not collide


@dataclass(frozen=True)
class Tools:
    """Sections of punch (tip at 0, 0) and die (middle of the opening's top at 0, 0), and the gauge; m. None: not given.

    `gauge` is nearest and farthest face, height and length of the finger. `flange` is the least from a bend's middle
    to an edge, as a share of the opening.
    """

    opening: float
    flange: float
    punch: Polygon | None = None
    die: Polygon | None = None
    gauge: tuple[float, float, float, float] | None = None


@dataclass(frozen=True)
class FoldStep:
    """One stroke: the fold (number from the flat's first end, from 0), how it lies, where the gauge's face stands (m
    from the bend's middle; None without a gauge), flats before and behind the bend (m)."""

    fold: int
    pose: Pose
    gauge: float | None
    front: float
    back: float


@dataclass(frozen=True)
class Folding:
    """The order found, with its handlings; without one, why each fold that is left cannot be made."""

    steps: tuple[FoldStep, ...]
    handlings: int
    blocked: tuple[str, ...]


def folding(
    strip: Strip, tools: Tools, loaded: tuple[float, ...], square: tuple[bool, bool] = (True, True)
) -> Folding:
    """The order. `loaded` are the angles under load (rad, of each fold, without sign); `square` says which ends of the
    flat are straight: a round one is put to the gauge only where no straight one can be."""

    @cache
    def tried(fold: int, done: frozenset[int], pose: Pose) -> FoldStep | str:
        return _stroke(strip, tools, loaded[fold], fold, done, pose)

    @cache
    def best(done: frozenset[int], last: Pose | None) -> tuple[int, int, tuple[FoldStep, ...]] | None:
        """Handlings, round ends at the gauge, and steps of what is left; None where there is no way."""
        if len(done) == len(strip.folds):
            return 0, 0, ()
        found = []
        for fold in range(len(strip.folds)):
            if fold in done:
                continue
            for pose in _poses(strip, fold):
                step = tried(fold, done, pose)
                rest = best(done | {fold}, pose) if isinstance(step, FoldStep) else None
                if isinstance(step, FoldStep) and rest is not None:
                    more = (
                        0
                        if last is None
                        else (pose.over != last.over) + (pose.last_at_back != last.last_at_back)
                    )
                    bent = any((n > fold) == pose.last_at_back for n in done if n != fold)
                    odd = not bent and not square[pose.last_at_back]
                    found.append((rest[0] + more, rest[1] + odd, (step, *rest[2])))
        return min(found, key=lambda one: (one[0] + one[1], one[0], [s.fold for s in one[2]]), default=None)

    whole = best(frozenset(), None)
    if whole is not None:
        return Folding(whole[2], whole[0], ())
    return Folding((), 0, tuple(_why(strip, tried)))


def _poses(strip: Strip, fold: int) -> list[Pose]:
    """A fold is bent towards the punch: the face up is given, the end at the gauge is free."""
    over = strip.folds[fold].angle < 0
    return [Pose(over, True), Pose(over, False)]


def _why(strip: Strip, tried: object) -> Iterator[str]:
    """Of the largest set of folds that can be made, what keeps each of the rest."""
    assert callable(tried)
    reached, front = {frozenset[int]()}, [frozenset[int]()]
    while front:
        done = front.pop()
        for fold in range(len(strip.folds)):
            after = done | {fold}
            if (
                fold not in done
                and after not in reached
                and any(isinstance(tried(fold, done, pose), FoldStep) for pose in _poses(strip, fold))
            ):
                reached.add(after)
                front.append(after)
    most = max(reached, key=lambda done: (len(done), sorted(done)))
    made = ", ".join(str(n + 1) for n in sorted(most)) or "none"
    for fold in range(len(strip.folds)):
        if fold not in most:
            reasons = dict.fromkeys(str(tried(fold, most, pose)) for pose in _poses(strip, fold))
            yield f"fold {fold + 1}, with {made} made: {'; or '.join(reasons)}"


# --- one stroke ----------------------------------------------------------------------------------


def _stroke(
    strip: Strip, tools: Tools, angle: float, fold: int, done: frozenset[int], pose: Pose
) -> FoldStep | str:
    """The step, or what is in its way."""
    flats = strip.straight(fold, -1, done), strip.straight(fold, 1, done)
    front, back = flats if pose.last_at_back else flats[::-1]
    short = _short(strip, tools, fold, done, flats)
    if short:
        return short
    gauge = None
    if tools.gauge is not None:
        _, _, behind = section(strip, fold, done, pose, 0.0, tools.opening, 1.0)
        placed = _gauge(behind, tools.gauge)
        if isinstance(placed, str):
            return placed
        gauge = placed
    for look in range(STROKE + 1):
        tip, before, behind = section(strip, fold, done, pose, angle * look / STROKE, tools.opening, THIN)
        for part in (*before, *behind):
            if tools.punch is not None and overlap(part.quad, moved(tools.punch, 0.0, tip)):
                return "the strip meets the punch"
            if tools.die is not None and overlap(part.quad, tools.die):
                return "the strip meets the die"
    return FoldStep(fold, pose, gauge, front, back)


def _short(strip: Strip, tools: Tools, fold: int, done: frozenset[int], flats: tuple[float, float]) -> str:
    for way, flat in zip((-1, 1), flats, strict=True):
        bent = any((n - fold) * way > 0 for n in done)
        least = tools.opening * (0.5 if bent else tools.flange)
        if flat < least - TOUCH:
            to = "the next fold" if bent else "the edge"
            return f"a flat of {flat / 0.0254:.3f} in to {to}, the die needs {least / 0.0254:.3f} in"
    return ""


def _gauge(behind: list[Part], gauge: tuple[float, float, float, float]) -> float | str:
    """Where the gauge's face stands, m from the bend's middle; or why it cannot."""
    nearest, farthest, height, length = gauge
    met = [(x, part.flat) for part in behind for x, _ in clipped(part.quad, 0.0, height)]
    if not met:
        return "nothing of the strip's back is at the height of the backgauge"
    face = max(x for x, _ in met)
    if not any(flat and x > face - TOUCH for x, flat in met):
        return "a round corner would lie against the backgauge"
    if not nearest - TOUCH <= face <= farthest + TOUCH:
        return f"the backgauge would stand at {face / 0.0254:.3f} in, beyond its travel"
    finger = ((face + TOUCH, 0.0), (face + length, 0.0), (face + length, height), (face + TOUCH, height))
    if any(overlap(part.quad, finger) for part in behind):
        return "the strip meets the backgauge's finger"
    return face

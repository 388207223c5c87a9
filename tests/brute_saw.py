"""Every way to cut a tiny problem: the reference that the solver is held against."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.making.saw import Problem

Opened = tuple[int, tuple[int, ...]]  # kind of bar, number of each piece kind


def cheapest(problem: Problem) -> int | None:
    """The optimum by trying all sets of bars and contents; None when not everything can be cut."""
    demand = tuple(piece.count for piece in problem.pieces)
    best: int | None = None
    for bars in _plans(problem, demand, 0, [bar.count for bar in problem.bars]):
        if _heats(problem, bars):
            cost = sum(_cost(problem, bar) for bar in bars)
            best = cost if best is None else min(best, cost)
    return best


def _plans(
    problem: Problem, rest: tuple[int, ...], first: int, left: list[int | None]
) -> Iterator[tuple[Opened, ...]]:
    """Bars in increasing order of (kind, contents) that together cut `rest` exactly."""
    if not any(rest):
        yield ()
        return
    contents = [
        (k, cut) for k in range(len(problem.bars)) for cut in _contents(problem, k, rest) if left[k] != 0
    ]
    for kind, cut in contents:
        code = _code(kind, cut)
        if code < first:
            continue
        after = tuple(r - n for r, n in zip(rest, cut, strict=True))
        fewer = [n if k != kind or n is None else n - 1 for k, n in enumerate(left)]
        for others in _plans(problem, after, code, fewer):
            yield ((kind, cut), *others)


def _contents(problem: Problem, kind: int, rest: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
    bar = problem.bars[kind]
    room = bar.length - bar.trim + problem.last_kerf - problem.tail_min

    def extend(i: int, room: int) -> Iterator[tuple[int, ...]]:
        if i == len(rest):
            yield ()
            return
        use = problem.pieces[i].use
        most = min(rest[i], room // use) if problem.pieces[i].may_be_of(bar.heat) else 0
        for n in range(most + 1 if room >= 0 else 0):
            for others in extend(i + 1, room - n * use):
                yield (n, *others)

    return (cut for cut in extend(0, room) if any(cut))


def _code(kind: int, cut: tuple[int, ...]) -> int:
    code = kind
    for n in cut:
        code = code * 64 + n
    return code


def _cost(problem: Problem, opened: Opened) -> int:
    bar = problem.bars[opened[0]]
    used = sum(piece.use * n for piece, n in zip(problem.pieces, opened[1], strict=True))
    leftover = bar.length - bar.trim + problem.last_kerf - used
    return bar.cost - (problem.remnant_credit * leftover if leftover >= problem.remnant_min else 0)


def _heats(problem: Problem, bars: tuple[Opened, ...]) -> bool:
    names = [piece.id for piece in problem.pieces]
    for group in problem.groups:
        members = [names.index(name) for name in group.pieces]
        for heat in {bar.heat for bar in problem.bars}:
            number = sum(cut[i] for kind, cut in bars if problem.bars[kind].heat == heat for i in members)
            if number % group.sets_of:
                return False
    return True

"""The outline of a plate remnant: its corners as measured, the grain along x."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

__all__ = ["Corner", "area", "ring_fault", "size_faults", "size_of"]

Corner = tuple[int, int]
MOST = 30 * 10**9  # nm


def size_of(ring: Sequence[Corner]) -> tuple[int, int, tuple[Corner, ...]]:
    """Length and width of the box round it, and the corners from that box's low one, nm."""
    low = [min(point[i] for point in ring) for i in (0, 1)]
    corners = tuple((x - low[0], y - low[1]) for x, y in ring)
    return max(x for x, _ in corners), max(y for _, y in corners), corners


def size_faults(
    length: int | None, width: int | None, ring: Sequence[Corner] | None
) -> Iterator[tuple[str, tuple[str, ...], str, str]]:
    """What is wrong with the size of one item: code, field, what was found, what would do."""
    if (length is None) != (width is None):
        do = "give both, or neither where pieces are not laid out on it"
        yield "RW101", (), "length without width, or the reverse", do
    wrong = None if ring is None else ring_fault(ring)
    if ring is not None and (length or width):
        wrong = "an outline and length or width", "give one of them: the size follows from the outline"
    if wrong is not None:
        yield "RW106", ("outline",), *wrong
    if max(length or 0, width or 0, *(size_of(ring)[:2] if ring else ())) > MOST:
        yield "RW106", (), "over 30 m", "give the size of one, as measured"


def area(ring: Sequence[Corner]) -> int:
    """Twice the area within the corners, negative where they go clockwise."""
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True))


def ring_fault(ring: Sequence[Corner]) -> tuple[str, str] | None:
    """What is wrong with the corners, and what would do."""
    do = "give its corners in turn, anticlockwise, as it lies with the grain along x"
    if len(ring) < 3 or len(set(ring)) < len(ring):
        return "fewer than three corners, or one given twice", do
    sides = list(zip(ring, (*ring[1:], ring[0]), strict=True))
    if area(ring) <= 0:
        return "the corners go clockwise, or hold no area", do
    for n, one in enumerate(sides):
        for other in sides[n + 2 : len(sides) - (n == 0)]:
            if _meet(*one, *other):
                return "two sides meet or cross", do
    return None


def _meet(a: Corner, b: Corner, c: Corner, d: Corner) -> bool:
    def side(p: Corner, q: Corner, r: Corner) -> int:
        value = (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
        return (value > 0) - (value < 0)

    beside = any(max(a[i], b[i]) < min(c[i], d[i]) or max(c[i], d[i]) < min(a[i], b[i]) for i in (0, 1))
    return not beside and side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0

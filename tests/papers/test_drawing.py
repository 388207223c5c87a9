"""The drawing: hidden edges against brute force, dimensions, the forward arrow, and the empty line to sign."""

from __future__ import annotations

import random
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kept import paper_sample as sample
from papers.reading import flat, pages
from rackwright.papers.drawing import PieceHole, PieceSketch, draw_pieces, draw_rack, drawing_svgs
from rackwright.papers.house import content_hash
from rackwright.papers.lengths import dimension, inches, millimetres
from rackwright.papers.rack_sheets import rack_sheets
from rackwright.papers.sheet_frame import BLOCK_HIGH, EDGE, place_apart
from rackwright.papers.sketch import Letters, wrap
from rackwright.papers.views import FRONT, ISOMETRIC, RIGHT, TOP, Box, View, visible_edges

IN, MM = 25_400_000, 1_000_000
VIEWS = pytest.mark.parametrize("view", [FRONT, RIGHT, TOP, ISOMETRIC], ids=lambda view: view.name)


# --- hidden edges --------------------------------------------------------------------------------


def boxes_of(seed: int, count: int) -> list[Box]:
    """Boxes on a coarse grid (so that many touch), which do not overlap."""
    chance, made = random.Random(seed), []
    while len(made) < count:
        lo = [chance.randrange(0, 6) * 10 * MM for _ in range(3)]
        hi = [a + chance.randrange(1, 4) * 10 * MM for a in lo]
        if all(any(hi[i] <= a[i] or lo[i] >= b[i] for i in range(3)) for a, b in made):
            made.append((lo, hi))
    return made


def inside_some(boxes: list[Box], point: list[float]) -> bool:
    rim = 5e3  # a little more than what the views shrink boxes by
    return any(all(lo[i] + rim < point[i] < hi[i] - rim for i in range(3)) for lo, hi in boxes)


def seen(view: View, boxes: list[Box], point: list[float]) -> bool:
    """Walks from the point toward the viewer in small steps and looks whether it is ever inside a box."""
    return not any(
        inside_some(boxes, [p + s * 0.25 * MM * t for p, t in zip(point, view.toward, strict=True)])
        for s in range(1, 700)
    )


@VIEWS
@pytest.mark.parametrize("seed", range(3))
def test_an_edge_is_drawn_where_a_walk_to_the_viewer_meets_nothing(view: View, seed: int) -> None:
    boxes, chance = boxes_of(seed, 7), random.Random(seed)
    drawn = visible_edges(view, boxes, boxes)
    for lo, hi in boxes:
        for _ in range(6):
            axis = chance.randrange(3)
            point = [float(chance.choice((lo[i], hi[i]))) for i in range(3)]
            tens = chance.randrange((hi[axis] - lo[axis]) // (10 * MM))
            point[axis] = lo[axis] + (10 * tens + 1 + 8 * chance.random()) * MM  # so no corner is grazed
            if abs(view.toward[axis]) > 0.99:
                continue
            if seen(view, boxes, point):
                assert on_some(drawn, view.project(point))


@VIEWS
@pytest.mark.parametrize("seed", range(3))
def test_what_is_drawn_is_an_edge_that_can_be_seen(view: View, seed: int) -> None:
    """Each drawn stretch, taken alone, has a box edge behind it that the walk finds free."""
    boxes, chance = boxes_of(seed, 7), random.Random(seed)
    for a, b in visible_edges(view, boxes, boxes):
        share = 0.1 + 0.8 * chance.random()
        at = tuple(p + share * (q - p) for p, q in zip(a, b, strict=True))
        assert any(seen(view, boxes, point) for point in edge_points(view, boxes, at))


def edge_points(view: View, boxes: list[Box], at: tuple[float, ...]) -> list[list[float]]:
    """All points of box edges that fall on a point of the paper."""
    points = []
    for lo, hi in boxes:
        for axis in range(3):
            one, two = (axis + 1) % 3, (axis + 2) % 3
            for p in (lo[one], hi[one]):
                for q in (lo[two], hi[two]):
                    start = [0.0, 0.0, 0.0]
                    start[axis], start[one], start[two] = lo[axis], p, q
                    along = (view.right[axis], view.up[axis])
                    size = along[0] ** 2 + along[1] ** 2
                    if size < 1e-9:
                        continue
                    x, y = view.project(start)
                    run = ((at[0] - x) * along[0] + (at[1] - y) * along[1]) / size
                    miss = abs(x + run * along[0] - at[0]) + abs(y + run * along[1] - at[1])
                    if -10 <= run <= hi[axis] - lo[axis] + 10 and miss < 100:
                        start[axis] += run
                        points.append(start)
    return points


def on_some(lines: list[tuple[tuple[float, float], tuple[float, float]]], at: tuple[float, float]) -> bool:
    for (ax, ay), (bx, by) in lines:
        dx, dy = bx - ax, by - ay
        share = ((at[0] - ax) * dx + (at[1] - ay) * dy) / (dx * dx + dy * dy)
        if -1e-6 <= share <= 1 + 1e-6 and abs(ax + share * dx - at[0]) + abs(ay + share * dy - at[1]) < 1e4:
            return True
    return False


def test_a_lone_cube_shows_nine_edges_and_its_square() -> None:
    cube: Box = ((0, 0, 0), (10 * MM, 10 * MM, 10 * MM))
    assert len(visible_edges(ISOMETRIC, [cube], [cube])) == 9
    assert len(visible_edges(FRONT, [cube], [cube])) == 4


# --- what the sheets say -------------------------------------------------------------------------


def test_overall_sizes_heights_and_cut_lengths_stand_on_the_sheets() -> None:
    text = flat(" ".join(pages(draw_rack(sample.rack_drawing()))))
    for words in (
        "24.000[609.6]",
        "26.000[660.4]",
        "43.500[1104.9]",
        "shelfmiddle17.500[444.5]",
        "40.500in",
        "DONOTSCALE",
    ):
        assert words in text
    plain = flat(" ".join(pages(draw_rack(replace(sample.rack_drawing(), secondary_mm=False)))))
    assert "[609.6]" not in plain


@pytest.mark.parametrize(
    ("forward", "front", "note"),
    [
        ((0, -1, 0), "toward you", "−y"),
        ((0, 1, 0), "away from you", "+y"),
        ((1, 0, 0), "", "+x"),
        ((-1, 0, 0), "", "−x"),
    ],
)
def test_the_forward_arrow_turns_with_the_rack(forward: tuple[int, int, int], front: str, note: str) -> None:
    [first, *_] = rack_sheets(replace(sample.rack_drawing(), forward=forward))
    words = [mark.text for mark in first.marks if isinstance(mark, Letters)]
    assert sum(text.startswith("FORWARD (aircraft)") for text in words) == 3
    caption = next(text for text, before in zip(words[1:], words, strict=False) if before == "FRONT")
    assert caption == f"FORWARD (aircraft) {front}".strip()
    assert any(note in text for text in words)


def test_an_equal_drawing_of_another_text_carries_its_own_hash() -> None:
    """(0, -1, 0) equals (0.0, -1.0, 0.0) and is another text; what was drawn before must not be seen."""
    for forward in ((0, -1, 0), (0.0, -1.0, 0.0), (0, -1, 0)):
        drawing = replace(sample.rack_drawing(), forward=forward)
        for sheet in rack_sheets(drawing):
            words = [mark.text for mark in sheet.marks if isinstance(mark, Letters)]
            assert f"content    {content_hash(drawing)[:16]}" in words


def test_the_line_to_sign_is_empty_whatever_the_head_says() -> None:
    for sheet in rack_sheets(sample.rack_drawing()):
        left = sheet.width - EDGE - 138
        bottom = sheet.height - EDGE
        inside = [
            mark.text
            for mark in sheet.marks
            if isinstance(mark, Letters)
            and left <= mark.at[0] < left + 60
            and bottom - BLOCK_HIGH / 3 < mark.at[1] < bottom
        ]
        assert inside == ["approval person: sign here", "date"]


def test_every_item_that_is_drawn_has_a_balloon_and_a_row() -> None:
    drawing = sample.rack_drawing()
    sheet = rack_sheets(drawing)[1]
    drawn = {s.item for s in drawing.solids if s.item} | {r.item for r in drawing.rings}
    balloons = [
        m.text
        for m in sheet.marks
        if isinstance(m, Letters) and m.bold and m.anchor == "middle" and m.text.isdigit()
    ]
    assert sorted(balloons) == sorted(drawn)


def test_svg_is_sound_and_stands_alone() -> None:
    for text in drawing_svgs(sample.rack_drawing()):
        root = ET.fromstring(text)
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert root.get("width") == "279.4mm"
        assert not [e for e in root.iter() if "href" in "".join(e.attrib)]


def test_holes_of_a_piece_are_listed_and_dimensioned_from_end_a() -> None:
    text = flat(" ".join(pages(draw_pieces(sample.head("P", "P"), sample.piece_sketches()))))
    assert "40.500[1028.7]" in text
    assert "10face22.100.300.190shelfangle" in text
    crowded = PieceSketch(
        "P", "N", "d", 40 * IN, IN, tuple(PieceHole(0, n * IN // 8, 0, 2 * MM) for n in range(400))
    )
    with pytest.raises(ValueError, match="no room"):
        draw_pieces(sample.head("P", "P"), (crowded,))


# --- small laws ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("nm", "inch", "mm"),
    [(0, "0", "0.00"), (IN // 8, ".125", "3.18"), (-IN // 16, "−.062", "−1.59"), (24 * IN, "24.000", "609.60"),
     (12_700, "0", "0.01"), (round(40.4995 * IN), "40.500", "1028.69"), (IN - 1, "1.000", "25.40")],
)  # fmt: skip
def test_lengths_are_written_as_a_drawing_writes_them(nm: int, inch: str, mm: str) -> None:
    assert (inches(nm), millimetres(nm)) == (inch, mm)
    assert dimension(nm, False) == inch


@given(st.lists(st.floats(0, 100), max_size=20), st.floats(0.5, 10))
def test_places_moved_apart_keep_their_order_and_distance(values: list[float], step: float) -> None:
    placed = place_apart(values, step, 0, 100)
    order = sorted(range(len(values)), key=lambda i: values[i])
    room = min(step, 100 / max(len(values) - 1, 1))
    for a, b in pairwise(order):
        assert placed[b] - placed[a] >= room - 1e-6
    assert all(-1e-6 <= p <= 100 + 1e-6 for p in placed)


@settings(max_examples=100)
@given(
    st.text(st.characters(min_codepoint=0x21, max_codepoint=0x7E) | st.just(" "), max_size=80),
    st.floats(2, 60),
)
def test_wrapping_loses_nothing_and_keeps_the_width(text: str, wide: float) -> None:
    lines = wrap(text, wide, 2.2)
    assert "".join("".join(lines).split()) == "".join(text.split())
    assert all(len(line) <= max(1, int(wide / (0.602 * 2.2))) for line in lines)

"""Station sheets, charts and DXF files: lines to write on stay empty, shapes read back are the shapes written."""

from __future__ import annotations

import re
from dataclasses import replace
from io import StringIO
from math import atan, dist, hypot, pi, sin

import ezdxf
import pytest
from ezdxf.document import Drawing
from hypothesis import given, settings
from hypothesis import strategies as st

from kept import paper_sample as sample
from papers.reading import flat, glyphs, overprinted, pages
from rackwright.making.flat import Flat, FlatHole, Segment, rectangle
from rackwright.making.nest import Layout, Placed
from rackwright.making.sawing.cutting import Slot
from rackwright.papers.chart import Chart, Limit, Line, Window, chart_svg
from rackwright.papers.dxf import LAYERS, blank_dxf, file_name, nest_dxf
from rackwright.papers.flat_sketch import nest_svg
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Facts, Picture, Section, Table
from rackwright.trouble import DEFERENCE

IN = 25_400_000


def ring(length: int = 4 * IN, width: int = 2 * IN) -> Flat:
    """Square at one end, half round at the other, with a hole cut whole and one finished later."""
    low, high, straight = -width // 2, width - width // 2, length - width // 2
    outline = (
        Segment((0, low), (straight, low)),
        Segment((straight, low), (straight, high), (straight, 0)),
        Segment((straight, high), (0, high)),
        Segment((0, high), (0, low)),
    )
    holes = (
        FlatHole("bolt", (IN, 0), IN // 4, IN // 4),
        FlatHole("eye", (length - IN, 0), IN // 2, IN // 4, clear=0),
    )
    return Flat("T01", "PLATE 0.25", "A metal", IN // 4, outline, holes)


def read(data: bytes) -> Drawing:
    return ezdxf.read(StringIO(data.decode("utf-8")))


def area(vertices: list[tuple[float, float, float]]) -> float:
    """Of a closed polyline of (x, y, bulge): triangles from the origin, and the circular segment over each chord."""
    total = 0.0
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, [*vertices[1:], vertices[0]], strict=True):
        total += (x0 * y1 - x1 * y0) / 2
        if bulge:
            turn = 4 * atan(bulge)
            radius = hypot(x1 - x0, y1 - y0) / 2 / sin(turn / 2)
            total += radius**2 / 2 * (turn - sin(turn))
    return abs(total)


# --- DXF -----------------------------------------------------------------------------------------


@settings(deadline=None, max_examples=20)
@given(st.integers(3 * IN, 20 * IN), st.integers(IN, 3 * IN - 1))
def test_a_blank_read_back_has_its_area_and_passes_the_audit(length: int, width: int) -> None:
    made = ring(length, width)
    doc = read(blank_dxf(made, length // 2, ("A NOTE",)))
    audit = doc.audit()
    assert not audit.errors
    assert not audit.fixes
    (outline,) = doc.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert outline.closed
    vertices = outline.get_points("xyb")
    assert area(vertices) == pytest.approx(made.area / 0.0254**2, rel=1e-7)


def test_layers_say_the_act_and_no_words_are_on_what_is_cut() -> None:
    space = read(blank_dxf(ring(), 2 * IN, ("A NOTE",))).modelspace()
    kinds: dict[str, list[str]] = {}
    for entity in space:
        kinds.setdefault(entity.dxf.layer, []).append(entity.dxftype())
    assert set(kinds) == set(LAYERS)
    assert sorted(kinds["CUT"]) == ["CIRCLE", "CIRCLE", "LWPOLYLINE"]
    assert kinds["BEND"] == ["LINE"]
    assert [round(c.dxf.radius, 6) for c in space.query('CIRCLE[layer=="DRILL"]')] == [
        0.25
    ]  # finished after the bend
    assert sorted(round(c.dxf.radius, 6) for c in space.query('CIRCLE[layer=="CUT"]')) == [0.125, 0.125]


def test_the_unit_stands_in_the_header_in_the_name_and_as_a_square() -> None:
    doc = read(blank_dxf(ring(), 2 * IN, ()))
    assert (doc.dxfversion, doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == ("AC1024", 1, 0)
    assert file_name("T01") == "T01_in.dxf"
    (square,) = doc.modelspace().query('LWPOLYLINE[layer=="NOTE"]')
    xs, ys = zip(*((x, y) for x, y, *_ in square.get_points()), strict=True)
    assert (max(xs) - min(xs), max(ys) - min(ys)) == (pytest.approx(1.0), pytest.approx(1.0))


def test_same_shape_same_bytes() -> None:
    assert blank_dxf(ring(), 2 * IN, ("A",)) == blank_dxf(ring(), 2 * IN, ("A",))
    assert blank_dxf(ring(), 2 * IN, ("A",)) != blank_dxf(ring(5 * IN), 2 * IN, ("A",))


@pytest.mark.parametrize(("turned", "eye"), [(0, 1 + 3), (180, 1 + 1)])
def test_a_blank_on_a_plate_lies_at_its_corner_turned_as_laid(turned: int, eye: float) -> None:
    """A blank of 4 in laid at x = 1 in: its eye, 3 in from the square end, is at 4 in, turned over at 2 in."""
    layout = Layout("P-1", 1, "H1", (12 * IN, 6 * IN),
                    (Placed(Slot(1, "D", "ring.a", "T01"), (IN, IN), (4 * IN, 2 * IN), turned),))  # fmt: skip
    space = read(nest_dxf(layout, {"T01": ring()}, {"T01": 2 * IN}, ())).modelspace()
    (hole,) = space.query('CIRCLE[layer=="DRILL"]')
    assert (hole.dxf.center.x, hole.dxf.center.y) == (pytest.approx(eye), pytest.approx(2.0))
    (bend,) = space.query('LINE[layer=="BEND"]')
    assert bend.dxf.start.x == pytest.approx(3.0)


@pytest.mark.parametrize("turned", [0, 90, 180, 270])
@pytest.mark.parametrize("bend", [None, 2 * IN, IN])
def test_the_number_of_a_blank_stands_clear_of_its_holes_and_bend_line(turned: int, bend: int | None) -> None:
    size = (4 * IN, 2 * IN) if turned % 180 == 0 else (2 * IN, 4 * IN)
    layout = Layout("P-1", 1, "H1", (12 * IN, 6 * IN),
                    (Placed(Slot(1, "D", "ring.a", "T01"), (IN, IN), size, turned),))  # fmt: skip
    holes = tuple(FlatHole("bolt", (place, 0), IN // 4, IN // 4) for place in (36 * IN // 25, 2 * IN))
    svg = nest_svg(layout, {"T01": replace(ring(), holes=holes)}, {} if bend is None else {"T01": bend})
    ((x, low, letters),) = re.findall(
        r'<text x="([\d.]+)" y="([\d.]+)" font-size="([\d.]+)"[^>]*>1</text>', svg
    )
    at, half = (float(x), float(low) - 0.35 * float(letters)), hypot(0.3, 0.35) * float(letters)
    discs = [
        tuple(map(float, one)) for one in re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', svg)
    ]
    assert len(discs) == 2
    assert all(dist(at, middle) >= radius + half - 0.02 for *middle, radius in discs)
    assert float(letters) > 1.5  # mm: still to be read
    lines = re.findall(r'<path d="M([\d.]+) ([\d.]+)L([\d.]+) ([\d.]+)"[^>]*stroke-dasharray', svg)
    assert len(lines) == (bend is not None)
    for line in lines:
        (x0, x1), (y0, y1) = (sorted(map(float, line[n::2])) for n in (0, 1))
        assert hypot(max(x0 - at[0], at[0] - x1, 0), max(y0 - at[1], at[1] - y1, 0)) >= half - 0.02


def test_a_rectangle_has_no_bend_line() -> None:
    made = Flat("S01", "SHEET", "A metal", IN // 8, rectangle(3 * IN, 2 * IN))
    assert not read(blank_dxf(made, None, ())).modelspace().query('*[layer=="BEND"]')
    assert made.area == pytest.approx(6 * 0.0254**2)
    assert ring().area == pytest.approx((3 * 2 + pi / 2) * 0.0254**2)


# --- chart and sheet -----------------------------------------------------------------------------


def chart(points: tuple[tuple[float, float], ...] = ((0, 70), (30, 380), (60, 380))) -> Chart:
    return Chart("a bake", "time, min", "°F", (Line("block", points),), (Limit("most 400", 400),),
                 (Window(30, 60, 375, "30 min"),))  # fmt: skip


def test_a_chart_shows_its_lines_limits_and_windows() -> None:
    svg = chart_svg(chart())
    assert all(word in svg for word in ("block", "most 400", "30 min", "time, min", "°F", "a bake"))


@pytest.mark.parametrize("points", [(), ((3.0, 70.0),)])
def test_a_chart_needs_two_times(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="two times"):
        chart_svg(chart(points))


def sheet() -> bytes:
    table = Table("", ("write down", "as found"), (("kerf", BLANK), ("angle", "0")), widths=(1, 1))
    shown = Picture(chart_svg(chart()), "a bake")
    return set_station_sheet(
        StationSheet(
            sample.head("A sheet", "S-1"), Facts((("Rack", "SN-1"), ("Heat", BLANK))),
            (Section("1. saw", (table, shown)),), ("Mind the blade.",), "All is well.", ("Done by",),
        )
    )  # fmt: skip


def test_a_blank_is_a_line_and_not_a_value() -> None:
    (text,) = pages(sheet())
    assert "_" not in text
    assert flat("angle0") in flat(text)
    assert flat("kerfangle") in flat(text)  # nothing is printed where the kerf is to be written


def test_a_sheet_carries_deference_marks_and_empty_lines_to_sign() -> None:
    (text,) = pages(sheet())
    assert flat(DEFERENCE) in flat(text)
    assert "DEMO" in text
    assert flat("Done bynamesignaturedate") in flat(text)
    assert sheet() == sheet()
    assert all(overprinted(page) == [] for _, _, page in glyphs(sheet()))

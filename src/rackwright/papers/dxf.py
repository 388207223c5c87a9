"""DXF files of flat shapes: ASCII R2010, only lines, circles and closed polylines on the layers that are cut.

Layers are named by the act: CUT (outline and holes that the jet cuts), DRILL (holes finished otherwise), BEND (the bend
line), NOTE (words, grain, and a square of one inch, since readers may ignore the unit in the header). Arcs are bulges
of the one closed polyline, bulge = tan(turn/4), so no edge is doubled and no gap is left. The writer's own time stamp
and ids are fixed, so that equal shapes give equal bytes. Units are inches, and the file's name says so.
The element subset and the square are common practice; layer and unit codes are the format's (ezdxf 1.4 docs, read).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from io import StringIO
from math import tan

from ezdxf import units
from ezdxf._options import options
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from rackwright.making.flat import Flat, Point2
from rackwright.making.nest import Layout, Placed

__all__ = ["LAYERS", "blank_dxf", "file_name", "nest_dxf"]

#: layer -> colour index
LAYERS = {"CUT": 7, "DRILL": 5, "BEND": 1, "NOTE": 8}
NM = 25_400_000  # of an inch
LETTERS = 0.12  # in


def file_name(name: str) -> str:
    """`ER-47-T01_in.dxf`: the unit stands in the name."""
    return f"{name}_in.dxf"


def blank_dxf(flat: Flat, bend_at: int | None, notes: Iterable[str]) -> bytes:
    """One blank, origin at the middle of its square end, x along the grain. `bend_at` nm from that end."""
    doc, space = _new()
    _flat(space, flat, None)
    (x0, y0), (_, y1) = flat.box
    if bend_at is not None:
        space.add_line(_in((bend_at, y0)), _in((bend_at, y1)), {"layer": "BEND"})
    _words(space, (x0 / NM, y0 / NM - 0.35), notes)
    return _bytes(doc)


def nest_dxf(layout: Layout, flats: dict[str, Flat], bends: dict[str, int], notes: Iterable[str]) -> bytes:
    """A plate with its blanks, origin at its low corner, x along the grain. `bends`: part -> bend line from its end."""
    doc, space = _new()
    _ring(space, layout.border, "NOTE")
    for one in layout.placed:
        flat = flats[one.slot.part]
        _flat(space, flat, one)
        if one.slot.part in bends:
            move, (low, high) = one.mover(flat), flat.box
            start, end = (_in(move((bends[one.slot.part], y))) for y in (low[1], high[1]))
            space.add_line(start, end, {"layer": "BEND"})
    for rest in layout.rests:
        _ring(space, rest, "NOTE")
    _words(space, (0.0, -0.35), notes)
    return _bytes(doc)


# --- shapes --------------------------------------------------------------------------------------


def _new() -> tuple[Drawing, Modelspace]:
    with _fixed():
        doc = new("R2010", setup=False)
    doc.units = units.IN
    doc.header["$MEASUREMENT"] = 0
    for name, colour in LAYERS.items():
        doc.layers.add(name, color=colour)
    return doc, doc.modelspace()


def _in(point: Point2) -> tuple[float, float]:
    return round(point[0] / NM, 9), round(point[1] / NM, 9)


def _flat(space: Modelspace, flat: Flat, placed: Placed | None) -> None:
    """The outline as one closed polyline, holes as circles; where it is placed, else at its own origin."""
    outline, holes = (
        (flat.outline, flat.holes) if placed is None else (placed.outline(flat), placed.holes(flat))
    )
    points = [(*_in(one.start), round(tan(one.turn / 4), 12)) for one in outline]
    space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": "CUT"})
    for hole in holes:
        if hole.cut:
            space.add_circle(_in(hole.at), hole.cut / NM / 2, {"layer": "CUT"})
        if hole.cut != hole.diameter:
            space.add_circle(_in(hole.at), hole.diameter / NM / 2, {"layer": "DRILL"})


def _ring(space: Modelspace, corners: Iterable[Point2], layer: str) -> None:
    space.add_lwpolyline([_in(one) for one in corners], close=True, dxfattribs={"layer": layer})


def _words(space: Modelspace, at: tuple[float, float], notes: Iterable[str]) -> None:
    """Notes below the shape, then the square of one inch and the grain arrow."""
    x, y = at
    for line in (*notes, "SQUARE BELOW IS 1 IN. X IS ALONG THE GRAIN (ROLLING DIRECTION)."):
        plain = line.encode("ascii", "replace").decode().upper()
        space.add_text(plain, height=LETTERS, dxfattribs={"layer": "NOTE"}).set_placement((x, y))
        y -= 1.6 * LETTERS
    y -= 1.0
    (a, b), c = (round(x * NM), round(y * NM)), NM
    _ring(space, ((a, b), (a + c, b), (a + c, b + c), (a, b + c)), "NOTE")
    tip, back = (x + 3.5, y + 0.5), x + 1.5
    space.add_line((back, y + 0.5), tip, {"layer": "NOTE"})
    for side in (0.08, -0.08):
        space.add_line((tip[0] - 0.25, tip[1] + side), tip, {"layer": "NOTE"})


# --- bytes ---------------------------------------------------------------------------------------


@contextmanager
def _fixed() -> Iterator[None]:
    """The writer's own switch for the same ids and times in every file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _bytes(doc: Drawing) -> bytes:
    stream = StringIO()
    for used in sorted(
        doc.entitydb.dxf_types_in_use()
    ):  # the writer itself goes through a set, in no fixed order
        doc.classes.add_class(used)
    with _fixed():
        doc.write(stream)
    return stream.getvalue().encode("utf-8")

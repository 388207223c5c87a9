"""A picture of every page of every paper in a folder: `python docs/shots.py FOLDER OUT [DPI]`.

Pages become OUT/path-of-pdf-page.png; DXF files are drawn from what is on their layers; PNG files (labels) are copied
as they are. For looking at papers, and for the pictures in the README. A paper without a picture, or a picture that is
blank, ends it with exit code 1.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import ezdxf
import pypdfium2
from ezdxf.path import make_path
from PIL import Image, ImageDraw

#: layer -> colour in a DXF's picture
COLOURS = {"CUT": "#000000", "DRILL": "#0f4c75", "BEND": "#b03a2e", "NOTE": "#7a858d"}
MARGIN = 30


def shoot(folder: Path, out: Path, dpi: float = 110) -> list[Path]:
    """Write the pictures and return their paths, in order. Raises ValueError for a paper that has no picture."""
    out.mkdir(parents=True, exist_ok=True)
    made: list[Path] = []
    for source in sorted(folder.rglob("*")):
        name = "-".join(source.relative_to(folder).with_suffix("").parts)
        pictures = _pictures(source, dpi)
        for number, picture in enumerate(pictures, 1):
            low, high = picture.convert("L").getextrema()
            if low == high:
                raise ValueError(f"page {number} of {source} is blank")
            target = out / (f"{name}-{number}.png" if source.suffix == ".pdf" else f"{name}.png")
            picture.save(target)
            made.append(target)
        if source.suffix in (".pdf", ".dxf") and not pictures:
            raise ValueError(f"{source} has no page")
        if source.suffix == ".png":
            made.append(Path(shutil.copyfile(source, out / f"{name}.png")))
    return made


def _pictures(source: Path, dpi: float) -> list[Image.Image]:
    if source.suffix == ".pdf":
        with pypdfium2.PdfDocument(source) as document:
            return [page.render(scale=dpi / 72).to_pil() for page in document]
    return [_dxf(source, dpi)] if source.suffix == ".dxf" else []


def _dxf(source: Path, dpi: float) -> Image.Image:
    """What is on the layers, at the scale of a page; words are left out."""
    shapes = []
    for entity in ezdxf.readfile(source).modelspace():
        if entity.dxftype() != "TEXT":
            points = [(p.x, p.y) for p in make_path(entity).flattening(0.005)]
            shapes.append((COLOURS.get(entity.dxf.layer, "#000000"), points))
    xs, ys = ([p[i] for _, points in shapes for p in points] for i in (0, 1))
    scale = min(dpi, 1600 / max(max(xs) - min(xs), max(ys) - min(ys)))
    wide, high = ((max(v) - min(v)) * scale + 2 * MARGIN for v in (xs, ys))
    picture = Image.new("RGB", (round(wide), round(high)), "white")
    pen = ImageDraw.Draw(picture)
    for colour, points in shapes:
        pen.line(
            [(MARGIN + (x - min(xs)) * scale, MARGIN + (max(ys) - y) * scale) for x, y in points], colour, 2
        )
    return picture


if __name__ == "__main__":
    if len(sys.argv) not in (3, 4):
        sys.exit(__doc__)
    try:
        pictures = shoot(Path(sys.argv[1]), Path(sys.argv[2]), *map(float, sys.argv[3:]))
    except ValueError as error:
        sys.exit(f"no picture: {error}")
    print(f"{len(pictures)} pictures in {sys.argv[2]}")

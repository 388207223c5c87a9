"""A picture of every page of every PDF in a folder: `python docs/shots.py FOLDER OUT [DPI]`.

Pages become OUT/path-of-pdf-page.png; PNG files (labels) are copied as they are. For looking at papers,
and for the pictures in the README.
"""

from __future__ import annotations

import shutil
import sys
from pathlib import Path

import pypdfium2


def shoot(folder: Path, out: Path, dpi: float = 110) -> list[Path]:
    """Write the pictures and return their paths, in order."""
    out.mkdir(parents=True, exist_ok=True)
    made: list[Path] = []
    for source in sorted(folder.rglob("*")):
        name = "-".join(source.relative_to(folder).with_suffix("").parts)
        if source.suffix == ".png":
            made.append(Path(shutil.copyfile(source, out / f"{name}.png")))
        elif source.suffix == ".pdf":
            document = pypdfium2.PdfDocument(source)
            for number, page in enumerate(document, 1):
                target = out / f"{name}-{number}.png"
                page.render(scale=dpi / 72).to_pil().save(target)
                made.append(target)
            document.close()
    return made


if __name__ == "__main__":
    if len(sys.argv) not in (3, 4):
        sys.exit(__doc__)
    for path in shoot(Path(sys.argv[1]), Path(sys.argv[2]), *map(float, sys.argv[3:])):
        print(path)

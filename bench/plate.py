"""How densely plates are laid, on public sets of irregular shapes. Reported, never asserted.

    python bench/plate.py FOLDER [REPORTS]      the sets as JSON files; 2000 reports of the library unless given

None is stored here. A set is a strip of one height and shapes to be laid on the least length of it:

    {"name": .., "strip_height": h, "items": [{"demand": n, "allowed_orientations": [0.0, 180.0],
      "shape": {"type": "simple_polygon", "data": [[x, y], ..]}}]}

FOLDER/records.json gives published lengths by name, where they are known. Both ways of the program are shown, each
held to its own checker: the packer that is always there, and the nesting library. Turns are quarters, as in the shop; a
set that allows others, or a record found with them, is harder to meet so. The web is a millionth of the strip's height.
"""

from __future__ import annotations

import json
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from rackwright.making.flat import Flat, Segment
from rackwright.making.nest import Layout, check_layout, laid, lay_out, strip_of
from rackwright.making.sawing.cutting import Slot
from rackwright.shop import StockItem
from rackwright.shop.machines import PlateCut
from rackwright.work.metal.nesting import packed

HEIGHT = 10**9  # nm: every strip is a metre high
WEB = 1000  # nm
REPORTS = 2000
CUT = PlateCut(
    name="bench", gap=WEB, edge=WEB, kerf=0, kerf_known="none", quality=3, remnant_min=HEIGHT, document="none"
)


def flats_of(instance: dict[str, Any]) -> tuple[dict[str, Flat], list[Slot], float]:
    """Shapes and blanks with the strip a metre high, and the set's units in a nanometre."""
    scale = HEIGHT / instance["strip_height"]
    flats, blanks = {}, []
    for number, item in enumerate(instance["items"]):
        ring = [(round(x * scale), round(y * scale)) for x, y in item["shape"]["data"]]
        ring = [point for n, point in enumerate(ring) if point != ring[n - 1]]
        twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
        ring = ring if twice > 0 else ring[::-1]
        sides = tuple(Segment(a, b) for a, b in zip(ring, [*ring[1:], ring[0]], strict=True))
        asked = item.get("allowed_orientations")
        turns = tuple(
            t for t in (0, 90, 180, 270) if asked is None or t in {round(one) % 360 for one in asked}
        )
        part = f"{number:03}"
        flats[part] = Flat(part, "", "", 0, sides, (), turns)
        blanks += [Slot(1, "", f"{part}.{n}", part) for n in range(item["demand"])]
    return flats, blanks, 1 / scale


def shown(
    words: str, layout: Layout | None, flats: dict[str, Flat], unit: float, spent: float, record: float
) -> None:
    if layout is None:
        print(f"  {words:<28} nothing")
        return
    length = max(one.end[0] for one in layout.placed) - WEB
    net = sum(flats[one.slot.part].area for one in layout.placed)
    wrong = check_layout(replace(layout, rests=()), flats, CUT)
    beside = (
        f", {100 * (length * unit / record - 1):+.1f} % beside the record of {record:g}" if record else ""
    )
    print(
        f"  {words:<28} length {length * unit:.4g}, density {100 * net / (length * HEIGHT * 1e-18):.2f} %{beside}; "
        f"{'sound' if not wrong else wrong[0]}; {spent:.1f} s"
    )


def run(instance: dict[str, Any], reports: int, record: float) -> None:
    flats, blanks, unit = flats_of(instance)
    print(f"{instance['name']}: {len(blanks)} blanks of {len(flats)} shapes")
    long = 2 * sum(max(flats[slot.part].size) for slot in blanks)
    plate = StockItem("strip", "plate", "", "", "", 1, None, length_nm=long, width_nm=HEIGHT + 2 * WEB)
    began = time.perf_counter()
    layouts, _ = lay_out(blanks, flats, [plate], CUT)
    shown(
        "lowest free corner",
        layouts[0] if layouts else None,
        flats,
        unit,
        time.perf_counter() - began,
        record,
    )
    began = time.perf_counter()
    pack = packed(strip_of(blanks, flats, plate, CUT), reports)
    layout = laid(pack, blanks, flats, plate, 1, CUT)[0] if pack else None
    shown(f"library, {reports} reports", layout, flats, unit, time.perf_counter() - began, record)


def main(folder: Path, reports: int) -> None:
    known = folder / "records.json"
    records: dict[str, float] = json.loads(known.read_text("utf-8")) if known.exists() else {}
    for path in sorted(folder.glob("*.json")):
        if path != known:
            instance = json.loads(path.read_text("utf-8"))
            run(instance, reports, records.get(instance["name"], 0.0))


if __name__ == "__main__":
    if len(sys.argv) < 2:
        print("give a folder of sets: nothing is stored here, nothing is measured", file=sys.stderr)
    else:
        main(Path(sys.argv[1]), int(sys.argv[2]) if len(sys.argv) > 2 else REPORTS)

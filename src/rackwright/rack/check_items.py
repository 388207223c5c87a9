"""Sense checks of the items of equipment and of the tests given as evidence: `check.py` calls them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rackwright.rack.model import Definition, Equipment, Rack
from rackwright.trouble import Fault

__all__ = ["check_evidence", "check_items", "item_ranges"]

IN = 25_400_000  # nm
AXES = ("width (x)", "depth (y)", "height (z)")


def item_ranges(d: Definition) -> Iterator[tuple[str, float, float, float, str, float]]:
    """Path, value, least, most, unit shown, and its size."""
    for item in d.equipment:
        path = f"equipment.{item.name}"
        yield f"{path}.mass", item.mass, 1e-3, 1e5, "kg", 1
        yield f"{path}.mass_tolerance", item.mass_tolerance or 0, 0, item.mass, "kg", 1
    for test in d.evidence:
        yield f"evidence.{test.name}.metal_ratio", test.metal_ratio or 1.0, 0.1, 1.0, "", 1
        # no rig that pulls racks and their parts reaches a thousand tonnes (common practice, no source)
        yield f"evidence.{test.name}.force", test.force or 1, 1, 1e7, "N", 1
        yield f"evidence.{test.name}.moment", test.moment or 1, 1e-3, 1e7, "N*m", 1


def check_items(rack: Rack) -> Iterator[Fault]:
    """Mountings that hold an item, and a centre of gravity that lies in it."""
    d = rack.definition
    for item in d.equipment:
        path = f"equipment.{item.name}"
        yield from _centre(rack, path, item)
        if (item.on_shelf is None) == (item.on_rails is None):
            yield Fault(
                "RW101", rack.where(path), "one mounting is needed", "give either on_shelf or on_rails"
            )
        if item.on_shelf and len(set(item.on_shelf.feet)) < 3:
            yield Fault(
                "RW106",
                rack.where(f"{path}.on_shelf.feet"),
                "fewer than three feet",
                "give at least three different feet",
            )
        elif item.on_shelf and _in_line(item.on_shelf.feet):
            yield Fault(
                "RW106",
                rack.where(f"{path}.on_shelf.feet"),
                "all feet stand in one line, or nearly",
                "spread them, so that they hold the item upright",
            )
        if item.on_rails and d.rails is None:
            yield Fault("RW108", rack.where(f"{path}.on_rails"), "the rack has no rails", "add [rails]")
        elif item.on_rails and d.rails:
            last = item.on_rails.unit + item.on_rails.units - 1
            if item.on_rails.unit < 1 or item.on_rails.units < 1 or last > d.rails.units:
                yield Fault(
                    "RW205",
                    rack.where(f"{path}.on_rails.unit"),
                    f"units {item.on_rails.unit} to {last} are not on the rails",
                    f"use units 1 to {d.rails.units}",
                )


def _in_line(feet: Iterable[tuple[int, int]]) -> bool:
    """Do points lie within a thousandth of their length of one line, or share one fixing line (y)?"""
    points = list(feet)
    x0, y0 = points[0]
    x1, y1 = max(points, key=lambda p: (p[0] - x0) ** 2 + (p[1] - y0) ** 2)
    long = (x1 - x0) ** 2 + (y1 - y0) ** 2
    across = max(abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) for x, y in points)
    return len({y for _, y in points}) < 2 or across < long / 1_000


def _centre(rack: Rack, path: str, item: Equipment) -> Iterator[Fault]:
    """The centre of gravity lies in the item's box, with all of its tolerance."""
    band = item.cg_tolerance or (0, 0, 0)
    for n, (name, at, reach, size) in enumerate(zip(AXES, item.cg, band, item.size, strict=True)):
        if not 0 <= at <= size:
            found = f"the centre of gravity at {at / IN:.4g} in lies outside the item's {name} of {size / IN:.4g} in"
            do = "count it from the lower front left corner of the body (its mounting face), and give 0 to the size"
            yield Fault("RW106", rack.where(f"{path}.cg.{n}"), found, do)
        elif not reach <= at <= size - reach:
            found = f"the centre of gravity at {at / IN:.4g} ± {reach / IN:.4g} in may lie outside the item's {name}"
            yield Fault(
                "RW106", rack.where(f"{path}.cg_tolerance.{n}"), found, "give the tolerance of its document"
            )


def check_evidence(rack: Rack) -> Iterator[Fault]:
    """A test applied a force or a moment, and covers something."""
    for test in rack.definition.evidence:
        path = f"evidence.{test.name}"
        if (test.force is None) == (test.moment is None):
            yield Fault("RW101", rack.where(path), "one test load is needed", "give either force or moment")
        if not test.covers:
            yield Fault(
                "RW101", rack.where(f"{path}.covers"), "it covers no margin", "name margin ids, * for any"
            )

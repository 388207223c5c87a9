"""Racks for tests: the demo's files as text, edited copies of them, and a plain rack written from choices.

An edit is made as a user makes it: on a copy of the text, read through the same doors.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

import rackwright
from rackwright.design import Design
from rackwright.rack import Rack, Source, read_rack
from rackwright.strength.analyse import margins_of
from rackwright.strength.frame import Cases, as_drawn, solve
from rackwright.strength.margin import Margin
from rackwright.strength.run import Run
from rackwright.strength.solution import Solution
from rackwright.trouble import Fault

DEMO = Path(rackwright.__file__).parent / "demo" / "shop"
OVEN_TIME = 'oven_time = { metal = "380 degF", time = "150 min" }\n'
#: the demo's standard, but proven as delivered: what is checked by hand here reads the rows; `pieces/test_oven_time.py`
STANDARD = (DEMO / "standards" / "er-47.toml").read_text("utf-8").replace(OVEN_TIME, "")
VARIATION = (DEMO / "variations" / "er-47-v12.toml").read_text("utf-8")
LBF, LB, IN, PSI, G0 = 4.4482216152605, 0.45359237, 0.0254, 4.4482216152605 / 0.0254**2, 9.80665


def faults_of(standard: str = STANDARD, variation: str | None = None) -> tuple[Fault, ...]:
    """Everything that keeps a definition from being built: of reading, else of its pieces."""
    rack, faults = _read(standard, variation)
    return tuple(faults) if rack is None else Design(rack).faults


def rack_of(standard: str = STANDARD, variation: str | None = None) -> Rack:
    rack, faults = _read(standard, variation)
    assert rack is not None, "\n".join(map(str, faults))
    return rack


@cache
def design_of(standard: str = STANDARD, variation: str | None = None) -> Design:
    design = Design(rack_of(standard, variation))
    assert not design.faults, "\n".join(map(str, design.faults))
    return design


def _read(standard: str, variation: str | None) -> tuple[Rack | None, list[Fault]]:
    base = Source("standard.toml", standard.encode())
    source = base if variation is None else Source("variation.toml", variation.encode())
    return read_rack(source, {"er-47": base})


def swap(text: str, *pairs: tuple[str, str]) -> str:
    """The text with each first string put in place of the one that stands there, exactly once."""
    for old, new in pairs:
        assert text.count(old) == 1, f"{old!r} stands there {text.count(old)} times"
        text = text.replace(old, new)
    return text


def table_of(text: str, head: str) -> str:
    """The text of the one table whose first lines are `head`, up to the next table."""
    assert text.count(head) == 1, f"{head!r} stands there {text.count(head)} times"
    start = text.index(head)
    end = text.find("\n[", start + len(head))
    return text[start : end if end > 0 else len(text)]


def anchored(tables: dict[str, Any], kind: str) -> dict[str, Any]:
    """The same rack with its panel screws in anchors of a kind, its shelf angles a quarter inch thick for them."""
    make = tables["shelf_make"]
    screw = {name: value for name, value in AN3.items() if name != "nut"}
    angle = {**make["angle"], "thickness": "0.25 in"}
    made = {**make, "screw": {**screw, kind: ANCHORS[kind]}, "foot": AN3, "angle": angle}
    return {**tables, "shelf_make": made}


# --- a document as paths -------------------------------------------------------------------------


def paths(value: Any, here: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Every scalar of a document: its path joined by " > ", and its exact JSON."""
    if isinstance(value, Mapping) and value:
        for key, below in value.items():
            yield from paths(below, (*here, str(key)))
    elif isinstance(value, list) and value:
        for word, below in zip(_words(value), value, strict=True):
            yield from paths(below, (*here, word))
    else:
        yield " > ".join(here), json.dumps(value, allow_nan=False)


def _words(rows: list[Any]) -> list[str]:
    """What a list's entries are called: by the field that tells them apart, else by number."""
    for key in ("part_number", "bar", "id"):
        names = [str(row.get(key)) if isinstance(row, dict) else "" for row in rows]
        if all(isinstance(row, dict) and key in row for row in rows) and len(set(names)) == len(rows):
            return names
    return [str(number) for number in range(len(rows))]


def changed(before: Any, after: Any) -> list[str]:
    """The paths whose exact JSON differs, or that stand on one side only."""
    a, b = dict(paths(before)), dict(paths(after))
    return [path for path in dict.fromkeys([*a, *b]) if a.get(path) != b.get(path)]


# --- a plain rack, written from choices ------------------------------------------------------------------

AN4 = {"bolt": "AN4", "washer": "AN960-416", "nut": "MS21044N4", "hole": "0.2505 in"}
AN3 = {"bolt": "AN3", "washer": "AN960-10", "nut": "MS21044N3", "hole": "0.1915 in"}
#: what a panel screw turns into in place of a nut
ANCHORS: dict[str, dict[str, Any]] = {
    "tapped": {"locking": "INVENTED-TEST-2 rev A, patch on the screw"},
    "insert": {"part": "IN-3", "metal": "stainless", "mass": "0.003 lb", "hole": "0.25 in", "length": "0.22 in",
               "pull_out": "1800 lbf", "document": "INVENTED-TEST-2 rev A", "locking": "its own"},
    "nutplate": {"part": "NP-3", "metal": "cadmium-plated steel", "mass": "0.008 lb", "height": "0.2 in",
                 "pull_out": "1500 lbf", "document": "INVENTED-TEST-2 rev A", "locking": "its own"},
}  # fmt: skip
TOP_RINGS = {
    "front-left": ("-x", 33),
    "front-right": ("+x", -33),
    "rear-left": ("-x", -33),
    "rear-right": ("+x", 33),
}
LOW_RINGS = {
    "front-left": ("-x", -90),
    "front-right": ("+x", 90),
    "rear-left": ("-x", 90),
    "rear-right": ("+x", -90),
}
METALS = [
    ["aluminium", "cadmium-plated steel"],
    ["aluminium", "stainless"],
    ["stainless", "cadmium-plated steel"],
]
INVENTED = "INVENTED-TEST-1 rev A"
SELDOM = {"removed_often": False, "document": INVENTED}

#: a test of the joint in bending: for spigots across the grain of a bar
EVIDENCE = {
    "name": "T1", "covers": ["joint.*/spigot bending"], "article": "J1", "article_revision": "A",
    "conformity": INVENTED, "direction": "bending", "moment": "5000 in*lbf", "result": "held", "metal_ratio": 0.9,
    "gauge": "LC-1", "calibration": INVENTED, "report": INVENTED, "by": "a test house",
}  # fmt: skip


def inch(value: float) -> str:
    return f"{value:.4f} in"


def item(name: str, shelf: str, at: tuple[float, float], *, lb: float, size: tuple[float, float, float] = (14, 16, 6),
         cg: tuple[float, float, float] = (7, 8, 3)) -> dict[str, Any]:  # fmt: skip
    """Equipment on four feet, an inch in from its sides and two from its ends."""
    x, y, _ = size
    feet = [[inch(a), inch(b)] for b in (2, y - 2) for a in (1, x - 1)]
    return {
        "name": name, "part": name, "document": INVENTED, "revision": "A", "mass": f"{lb} lb", "mass_basis": "weighed",
        "mass_tolerance": f"{lb / 32} lb", "size": [*map(inch, size)], "cg": [*map(inch, cg)],
        "cg_tolerance": ["0 in", "0 in", "0 in"],
        "on_shelf": {"shelf": shelf, "at": [*map(inch, at)], "feet": feet, "flange": "1/8 in"},
    }  # fmt: skip


def plain(
    outside: tuple[float, float, float] = (24, 26, 40), shelves: Mapping[str, float] | None = None,
    items: Any = (), spread: float = 18, forward: str = "-y", wall: float = 0.125,
) -> dict[str, Any]:  # fmt: skip
    """A sound rack as the tables of its file: width, depth and height in inches, rings and straps at its corners.

    It is the same to its left and right and, in straps and frame, to its front and rear. Edit the tables at will.
    """
    width, depth, height = outside
    bolts = [{"at": "1/2 in", "through": "x"}, {"at": "1 1/4 in", "through": "x"}]
    across = [{"at": "1/2 in", "through": "z"}, {"at": "1 1/4 in", "through": "z"}]
    tube = {"material": "6061-T6-drawn-tube-S", "stock": "AMS-WW-T-700/6"}
    angle = {"material": "6061-T6511-ext-A", "stock": "AMS-QQ-A-200/8"}
    rings, straps, fittings = [], [], []
    for end, places, kind in (("top", TOP_RINGS, "rope"), ("bottom", LOW_RINGS, "strap")):
        for post, (face, turn) in places.items():
            name = f"{end} {post}"
            rings.append({"name": name, "post": post, "end": end, "face": face, "turn": f"{turn} deg"})
            straps.append({"name": name, "ring": name, "fitting": f"F {post}", "type": kind, "cone": "3 deg"})
    curve = [
        {"pull": f"{a} deg", "allowable_ultimate": f"{f} lbf"} for a, f in ((0, 3800), (45, 4600), (90, 5000))
    ]
    for post in TOP_RINGS:
        at = [inch(width + spread if post.endswith("right") else -spread),
              inch(depth + spread if post.startswith("rear") else -spread), "0 in"]  # fmt: skip
        fittings.append({"name": f"F {post}", "at": at, "document": INVENTED, "allowable": curve, "place": "track",
                         "part": "P-1", "stud": "single", "track": "rail", "least_pitch": "10 in",
                         "wear": SELDOM})  # fmt: skip
    tension = {
        "pretension_low": "40 lbf",
        "pretension_kept": "DOC-9, checked",
        "pretension_high": "150 lbf",
        "allowable_ultimate": "5000 lbf",
        "document": INVENTED,
        "maker": "an invented maker",
        "links": ["hook"],
        "wear": SELDOM,
    }
    link = {
        "rating": "5500 lbf",
        "means": "minimum break",
        "maker": "an invented maker",
        "document": INVENTED,
    }
    return {
        "format": "rackwright/rack/1", "part": "PLAIN", "title": "a plain rack", "drawing": "PLAIN-0", "revision": "A",
        "outside": {"height": inch(height), "width": inch(width), "depth": inch(depth)},
        "tube": {"side": "1.5 in", "wall": inch(wall), "corner_radius": "3/16 in", **tube},
        "block": {"material": "6061-T6511-ext-thick-A", "stock": "AMS-QQ-A-200/8", "spigot_length": "2 in",
                  "spigot_gap": "0.004 in", "fillet": "1/16 in", "grain": "z"},
        "joint": {"hardware": AN4, "post": bolts, "width": across, "depth": across,
                  "tightening": {"torque": "60 in*lbf", "nut_factor": 0.14, "document": INVENTED}},
        "shelf_make": {
            "angle": {"post_leg": "1.5 in", "carry_leg": "1.5 in", "thickness": "3/16 in", **angle},
            "panel": {"thickness": "0.090 in", "material": "2024-T3-sheet-A", "stock": "AMS-QQ-A-250/4"},
            "side_gap": "1/32 in", "hardware": AN4, "bolt_spread": "3/4 in", "screw": AN3, "screw_pitch": "4 in",
        },
        "pad": {"side": "1.5 in", "thickness": "1/4 in", "stiffness": "50000 lbf/in", "hardware": AN4,
                "allowable_ultimate": "2400 lbf", "document": INVENTED},
        "shelf": [{"name": name, "height": inch(z)} for name, z in (shelves or {}).items()],
        "ring_make": {
            "stock": "ASTM A240 304", "thickness": "1/4 in", "width": "2 in", "eye": "3/4 in", "eye_edge": "1 in",
            "flat_reach": "1.25 in", "leg_reach": "1 in", "bend": "45 deg", "density": 7920,
            "allowable": {"document": INVENTED, "Ftu": "75 ksi", "Fty": "30 ksi", "Fsu": "50 ksi", "Fbru": "140 ksi"},
            "root": {"inside_radius": "3/8 in", "least_thickness": "0.235 in", "pull_offset": "1/16 in",
                     "document": INVENTED},
        },
        "ring": rings,
        "strap_type": [{"name": "strap", "axial_stiffness": "50000 lbf", **tension},
                       {"name": "rope", "axial_stiffness": "200000 lbf", **tension}],
        "link": [{"name": "hook", "kind": "hook", **link}, {"name": "rail", "kind": "track", **link}],
        "strap": straps,
        "floor_fitting": fittings,
        "floor": {"document": INVENTED, "ultimate": {
            "per_area": "1200 psi", "per_length": {"load": "400 lbf/in", "over": "footprint"}, "at_point": "2600 lbf",
        }},
        "equipment": list(items),
        "aircraft": {"type": "an invented aircraft", "forward": forward, "document": INVENTED,
                     "origin": {"station": "0 in", "buttock_line": "0 in", "waterline": "0 in"}},
        "basis": {"rule": "29.561(b)(3)", "amendment": "29-38", "fitting_rule": "29.625(a)", "document": INVENTED},
        "protection": [{"name": " ".join(pair), "between": pair, "method": "sealed", "most": "250 degF",
                        "document": INVENTED} for pair in METALS],
    }  # fmt: skip


def written(tables: Mapping[str, Any]) -> str:
    """The tables as the text of a file."""
    lines = [f"{key} = {_value(value)}" for key, value in tables.items() if not _is_table(value)]
    for key, value in tables.items():
        for table in value if isinstance(value, list) else [value] if isinstance(value, Mapping) else []:
            head = f"[[{key}]]" if isinstance(value, list) else f"[{key}]"
            lines += [
                "",
                head,
                *(f"{field} = {_value(one)}" for field, one in table.items() if one is not None),
            ]
    return "\n".join(lines) + "\n"


def built(tables: Mapping[str, Any]) -> Design:
    """The design of a plain rack, read through the door of its text."""
    return design_of(written(tables))


def still_run(design: Design) -> Run:
    """A rack solved for small displacements, level as it was drawn, for what statics alone gives."""
    run = design.strength.run
    assert run is not None
    cases = Cases(inertia=np.array([case.inertia for case in run.cases]))
    return replace(run, solution=Solution(as_drawn(solve(run.model.frame, cases))))


def still(design: Design) -> dict[str, Margin]:
    """The margins of that, by id."""
    return {one.id: one for one in margins_of(still_run(design))}


def _is_table(value: Any) -> bool:
    return isinstance(value, (Mapping, list))


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return (
            "{ " + ", ".join(f"{key} = {_value(one)}" for key, one in value.items() if one is not None) + " }"
        )
    if isinstance(value, list):
        return "[" + ", ".join(map(_value, value)) + "]"
    return json.dumps(value)

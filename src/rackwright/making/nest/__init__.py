"""Flat shapes on plates: packed by one, checked by another, and what is left kept as a shape.

layout.py     a plate with its blanks and its remnants
fit.py        our packer: lowest free corner, on plates of any shape and in cut-outs
strip.py      the same job as the strips that a general-purpose nesting library packs (`work/metal/nesting.py` runs it)
remnant.py    what goes back
distance.py, check.py   the checker: lines and arcs as they are, from the layout's numbers alone
bound.py      what no layout undercuts, and what must be bought
"""

from rackwright.making.nest.bound import Short, area_bound, plates_bound, room, short
from rackwright.making.nest.check import check_layout
from rackwright.making.nest.fit import lay_out
from rackwright.making.nest.layout import Layout, Outline, Placed, outline_area, outline_nm2, plate_outline
from rackwright.making.nest.strip import Pack, Strip, laid, strip_of, usable_length

__all__ = [
    "Layout",
    "Outline",
    "Pack",
    "Placed",
    "Short",
    "Strip",
    "area_bound",
    "check_layout",
    "laid",
    "lay_out",
    "outline_area",
    "outline_nm2",
    "plate_outline",
    "plates_bound",
    "room",
    "short",
    "strip_of",
    "usable_length",
]

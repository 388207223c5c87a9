"""The demo's standard rack with braces, as text: a parallel-ended one in a side, a trapezoid in the top."""

from __future__ import annotations

from racks import STANDARD, swap

MAKE = """
[gusset_make]
thickness = "0.125 in"
material = "6061-T6-sheet-A"
stock = "AMS-QQ-A-250/11"
hardware = { bolt = "AN4", washer = "AN960-416", nut = "MS21044N4", hole = "0.2505 in" }
on_brace = 2
on_member = 3
pitch = "1 in"
edge = "0.625 in"
faces = "both"
"""
SIDE = """
[[brace]]
name = "left"
face = "left"
start = { member = "post.rear-left", at = "12 in" }
end = { member = "post.front-left", at = "28 in" }
"""
TOP = """
[[brace]]
name = "top"
face = "top"
start = { member = "depth.top.right", at = "12 in" }
end = { member = "width.top.rear", at = "11 in" }
"""
MEASURED = ('ring_angle = "1 deg"', 'ring_angle = "1 deg"\nmitre_angle = "0.5 deg"')
BRACED = swap(STANDARD, MEASURED) + MAKE + SIDE + TOP

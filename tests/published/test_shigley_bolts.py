"""Shigley, Mechanical Engineering Design, example of a cantilevered bar on four bolts (8-7 in recent editions).

How known: memory of the rounded answers. Bolts at (+-75, +-60) mm, 16 kN down at 425 mm from their centre.
"""

from __future__ import annotations

from rackwright.formulas import fastener_group

SOURCE = "Shigley, Mechanical Engineering Design"


def test_four_bolts(published):
    x, y = [0.075, 0.075, -0.075, -0.075], [0.060, -0.060, -0.060, 0.060]
    kilonewtons = fastener_group.group_shear(x, y, 0.0, -16.0, -16.0 * 0.425)
    published(SOURCE, "bolted cantilever, near bolts kN", kilonewtons[0], "21.0", "from memory")
    published(SOURCE, "bolted cantilever, far bolts kN", kilonewtons[2], "14.8", "from memory")

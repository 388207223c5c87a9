"""FAA-H-8083-31, Aviation Maintenance Technician Handbook - Airframe, chapter 4: the U-channel of the example.

How known: read, steps 1 to 3 on public reproductions. Sheet 0.040 in 2024-T3, radius 0.16 in, mold lines
1.00 x 2.00 x 1.00 in, bends of 90 degrees.
"""

from __future__ import annotations

from math import pi

from rackwright.formulas import bend

SOURCE = "FAA-H-8083-31 chapter 4"


def test_u_channel_setback_and_flats(published):
    setback = bend.setback(pi / 2, 0.16, 0.040)
    published(SOURCE, "U-channel, step 1: setback", setback, "0.20", "published")
    published(SOURCE, "U-channel, step 3: end flat", 1.00 - setback, "0.80", "published")
    published(SOURCE, "U-channel, step 3: middle flat", 2.00 - 2 * setback, "1.60", "published")

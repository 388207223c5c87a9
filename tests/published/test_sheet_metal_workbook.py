"""A sheet-metal workbook's page on 90-degree bends: 0.050 in sheet, radius 0.032 in.

How known: read, on a public page. It uses the trade formula BA = (0.01743 R + 0.0078 t) N, which is the
neutral axis at K = 0.0078 x 180/pi = 0.447.
"""

from __future__ import annotations

from math import pi

from rackwright.formulas import bend

SOURCE = "sheet-metal workbook, 90-degree bends"
K = 0.0078 * 180 / pi


def test_allowance_and_deduction(published):
    published(SOURCE, "bend allowance", bend.bend_allowance(pi / 2, 0.032, K, 0.050), ".085", "published")
    published(SOURCE, "two setbacks", 2 * bend.setback(pi / 2, 0.032, 0.050), ".164", "published")
    published(SOURCE, "bend deduction", bend.bend_deduction(pi / 2, 0.032, K, 0.050), ".079", "published")

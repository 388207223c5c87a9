"""FAA-H-8083-1, Weight and Balance Handbook: centre of gravity of a nosewheel aeroplane.

How known: -13.2 read, on public reproductions of the example; 114.8 with the datum 128 in ahead of the main
wheels from memory. Nose 340 lb at -78 in from the main-wheel line, 2006 lb in all.
"""

from __future__ import annotations

from rackwright.formulas import mass_props

SOURCE = "FAA-H-8083-1"


def test_nosewheel_from_the_main_wheels(published):
    found = mass_props.centre([340.0, 2006.0 - 340.0], [-78.0, 0.0])
    published(SOURCE, "nosewheel aeroplane, from the main wheels", found, "-13.2", "published")


def test_nosewheel_from_a_datum_ahead(published):
    found = mass_props.centre([340.0, 2006.0 - 340.0], [128.0 - 78.0, 128.0])
    published(SOURCE, "nosewheel aeroplane, datum 128 in ahead", found, "114.8", "from memory")

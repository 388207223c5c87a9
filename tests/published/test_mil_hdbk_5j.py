"""MIL-HDBK-5J (31 January 2003): rows of design allowables, ksi, 10^3 ksi and lb/in3.

How known: read in a machine transcription by a third party; our rows carry that state and every result from
them is marked unconfirmed. The bolt shears of chapter 8 are from memory.
"""

from __future__ import annotations

import pytest

from rackwright import reference
from rackwright.formulas import fastener
from rackwright.units import unit_factor

SOURCE = "MIL-HDBK-5J"
KSI, MSI = float(unit_factor("ksi")), float(unit_factor("Msi"))

ROWS = {
    ("6061-T6-drawn-tube-S", "3.6.2.0(c1)"): {
        "Ftu_L": "42", "Fty_L": "35", "Fcy_L": "34", "Fsu": "27", "Fbru_15": "67", "Fbru_20": "88",
        "Fbry_15": "49", "Fbry_20": "56",
    },
    ("6061-T6511-ext-A", "3.6.2.0(g)"): {
        "Ftu_L": "38", "Fty_L": "35", "Fcy_L": "34", "Fsu": "26", "Fbru_15": "64", "Fbru_20": "82",
    },
    ("6061-T651-plate-A", "3.6.2.0(b2)"): {"Ftu_LT": "42", "Fty_LT": "35", "Fcy_L": "35", "Fbry_20": "58"},
    ("6061-T651-bar-S", "3.6.2.0(d)"): {"Ftu_L": "42", "Fsu": "27"},
    ("2024-T3-sheet-A", "3.2.3.0(b1)"): {"Ftu_LT": "63", "Fty_LT": "42", "Fsu": "39", "Fbru_20": "129"},
    ("304-annealed-S", "2.7.1.0(b)"): {"Ftu_LT": "75", "Fcy_L": "23", "Fsu": "50", "Fbru_20": "162"},
}  # fmt: skip


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_rows(published, row):
    material, table = reference.shipped().materials[row[0]], row[1]
    assert material.unconfirmed
    assert table in material.known.place
    for name, printed in ROWS[row].items():
        published(SOURCE, f"table {table}, {name}", getattr(material, name) / KSI, printed, "published")


def test_stiffness_and_density_of_6061(published):
    row = reference.shipped().materials["6061-T6-drawn-tube-S"]
    for name, printed in (("E", "9.9"), ("Ec", "10.1"), ("G", "3.8")):
        published(SOURCE, f"table 3.6.2.0, {name}", getattr(row, name) / MSI, printed, "published")
    density = row.density / float(unit_factor("lb/in3"))
    published(SOURCE, "table 3.6.2.0, density", density, "0.098", "published")


def test_shear_of_a_quarter_inch_bolt(published):
    """Fsu 75 ksi (125 ksi class): 3682 lbf single, 7363 lbf double."""
    published(SOURCE, "chapter 8, 1/4 in single", fastener.shank_shear(75e3, 0.25, 1), "3682", "from memory")
    published(SOURCE, "chapter 8, 1/4 in double", fastener.shank_shear(75e3, 0.25, 2), "7363", "from memory")

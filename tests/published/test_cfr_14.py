"""14 CFR parts 23, 25, 27 and 29, and MIL-STD-209K: factors as the codes print them, and how special factors go
together.

How known: read, in public copies of the codes (29.561 as amended by 29-38, 29.625 by 29-42, 25.625 by 25-72, 25.303
by 25-23, 25.621 by 25-139; 25.561, 25.619, 23.2230, 23.2265 and 29.785 as printed now). MIL-STD-209K 5.2.3 and
5.2.3.2 and the operator's manual TM 55-1510-215-10: read, on public copies of the page.
"""

from __future__ import annotations

import pytest

from rackwright import reference
from rackwright.formulas import loads

RULES = {
    "29.561(b)(3)@29-38": {"up": "4", "forward": "16", "side": "8", "down": "20", "aft": "1.5"},
    "29.561(c)@29-38": {"up": "1.5", "forward": "12", "side": "6", "down": "12", "aft": "1.5"},
    "29.561(d)@29-38": {"up": "1.5", "forward": "4.0", "side": "2.0", "down": "4.0"},
    "25.561(b)(3)@25-91": {"up": "3.0", "forward": "9.0", "side": "3.0", "down": "6", "aft": "1.5"},
    "25.561(b)(3)-seats@25-91": {"side": "4.0"},
    "MIL-STD-209K 5.2.3.2@K": {"forward": "3", "aft": "3", "side": "1.5", "up": "2"},
    "TM 55-1510-215-10 6-25@unstated": {
        "side": "1.5",
        "aft": "1.5",
        "up": "3.0",
        "down": "6.6",
        "forward": "9.0",
    },
}
FACTORS = {
    "29.625(a)": "1.15", "29.625(d)": "1.33", "29.785(f)(2)": "1.33", "25.625(a)": "1.15", "25.561(c)(2)": "1.33",
    "25.303": "1.5", "23.2230(b)": "1.5", "25.621(c)(1)": "1.0", "25.621(d)(2)": "1.25", "25.621(d)(3)": "1.5",
    "25.621(d)(4)": "2.0", "29.621(c)(1)": "1.25", "29.621(d)": "2.0", "MIL-STD-209K 5.2.3": "1.5",
}  # fmt: skip


@pytest.mark.parametrize("rule", RULES)
def test_inertia_factors(published, rule):
    row = reference.shipped().load_rules[rule]
    assert row.ultimate == (not rule.startswith("MIL-STD-209K"))
    for direction, printed in RULES[rule].items():
        published(row.cited, direction, row.factors()[direction], printed, "published")


@pytest.mark.parametrize("factor", FACTORS)
def test_special_factors(published, factor):
    row = reference.shipped().factors[factor]
    published(row.known.source[:60], row.known.place, row.value, FACTORS[factor], "published")


def test_the_highest_special_factor_and_never_the_product(published):
    """25.619: the factor of safety is multiplied by the highest pertinent special factor; 1.15 and 1.33 are not
    1.53."""
    ours = loads.factored(FS=1.5, fitting=1.15, bearing=1.0, casting=1.0, removal=1.33)
    published(
        "14 CFR 25.619, 25.303, 25.561(c)(2)", "1.5 × highest of 1.15, 1.33", ours, 1.5 * 1.33, "closed form"
    )
    ours = loads.factored(FS=1.5, fitting=1.15, bearing=1.0, casting=1.25, removal=1.0)
    published(
        "23.619 (Amdt. 23-7), 25.621(d)(2)", "1.5 × highest of 1.15, 1.25", ours, "1.875", "closed form"
    )
    ours = loads.factored(FS=1.0, fitting=1.15, bearing=1.0, casting=1.0, removal=1.0)
    published("14 CFR 23.2265(c)", "on ultimate alone, emergency landing", ours, "1.15", "closed form")


@pytest.mark.parametrize(
    ("id", "why"),
    [
        ("23.2270@23-64", "no numbers"), ("27.561(b)(3)@27-30", "memory"), ("MIL-STD-1791@C-1", "memory"),
        ("25.561(b)(3)@25-91", "amendment from memory"), ("TM 55-1510-215-10 6-25@unstated", "no amendment"),
    ],
)  # fmt: skip
def test_a_row_from_memory_or_without_its_amendment_is_unconfirmed(id, why):
    row = reference.shipped().load_rules[id]
    assert row.unconfirmed, why
    assert row.has_numbers == (why != "no numbers")


def test_rows_read_with_their_amendment_are_firm():
    rows = {**reference.shipped().load_rules, **reference.shipped().factors}
    assert not any(rows[id].unconfirmed for id in ("29.561(b)(3)@29-38", "29.625(a)", "25.625(a)", "25.303"))

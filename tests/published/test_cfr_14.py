"""14 CFR 25.561, 29.561, 25.625 and 29.625: factors as the code prints them.

How known: read, in public copies of the code (29.561 as amended by 29-38).
"""

from __future__ import annotations

import pytest

from rackwright import reference

RULES = {
    "29.561(b)(3)@29-38": {"up": "4", "forward": "16", "side": "8", "down": "20", "aft": "1.5"},
    "29.561(c)@29-38": {"up": "1.5", "forward": "12", "side": "6", "down": "12", "aft": "1.5"},
    "25.561(b)(3)@25-91": {"up": "3.0", "forward": "9.0", "side": "3.0", "down": "6", "aft": "1.5"},
    "25.561(b)(3)-seats@25-91": {"side": "4.0"},
}
FACTORS = {"29.625(a)": "1.15", "29.625(d)": "1.33", "25.625(a)": "1.15", "25.561(c)(2)": "1.33"}


@pytest.mark.parametrize("rule", RULES)
def test_inertia_factors(published, rule):
    row = reference.load_rules()[rule]
    assert row.ultimate
    for direction, printed in RULES[rule].items():
        published(f"14 CFR {rule}", direction, row.factors()[direction], printed, "published")


@pytest.mark.parametrize("factor", FACTORS)
def test_special_factors(published, factor):
    ours = reference.factors()[factor].value
    published(f"14 CFR {factor}", "factor", ours, FACTORS[factor], "published")

"""14 CFR 29.561(b)(3) and (c), as amended by 29-38, through a whole rack: what its floor bears, over its weight.

How known: read, in public copies of the code. The rule's factors stand as printed; a rack stands with its nose
towards each of its four sides, and its reactions are summed in the aircraft's axes.
"""

from __future__ import annotations

import numpy as np
import pytest

from racks import G0, built, item, plain

PRINTED = {
    "29.561(b)(3)": {"forward": "16", "aft": "1.5", "left": "8", "right": "8", "up": "4", "down": "20"},
    "29.561(c)": {"forward": "12", "aft": "1.5", "left": "6", "right": "6", "up": "1.5", "down": "12"},
}
WAY = {
    "forward": (1, 0, 0),
    "aft": (-1, 0, 0),
    "left": (0, 1, 0),
    "right": (0, -1, 0),
    "up": (0, 0, 1),
    "down": (0, 0, -1),
}


@pytest.mark.parametrize("forward", ["-y", "+y", "+x", "-x"])
@pytest.mark.parametrize("rule", PRINTED)
def test_reactions_over_weight(published, rule, forward):
    """The sum along the direction the rule names; nothing is left across it."""
    tables = plain(shelves={"s": 8}, items=[item("a", "s", (4.5, 5), lb=32)], forward=forward)
    design = built({**tables, "basis": {**tables["basis"], "rule": rule}})
    weight = (design.loaded.mass + design.loaded.tolerance) * G0
    for direction, printed in PRINTED[rule].items():
        rows = [
            one.force
            for one in design.strength.reactions
            if one.case == f"emergency/{direction}" and one.pretension == "low"
        ]
        total = np.sum(rows, axis=0) / weight
        along = float(total @ WAY[direction])
        published(
            f"14 CFR {rule}", f"floor under a rack, nose {forward}, {direction}", along, printed, "published"
        )
        assert np.abs(total - along * np.array(WAY[direction])).max() < 1e-8

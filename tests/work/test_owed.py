"""What a rack owes by what its definition names: each stuff that is no metal owes how it burns."""

from __future__ import annotations

import racks
import small_shop as small
from rackwright.work.engineering.owed import owed_by

ISOLATED = ('isolators = { stiffness = ["16 N/mm", "16 N/mm", "25 N/mm"], damping = 0.1, '
            'document = "INVENTED-MOUNT-2 rev A" }')  # fmt: skip


def test_isolators_owe_how_they_burn_and_say_what_no_source_names() -> None:
    head, name, rest = racks.STANDARD.partition('name = "lidar controller"\n')
    assert name
    before = owed_by(racks.design_of())
    rows = owed_by(racks.design_of(f"{head}{name}{ISOLATED}\n{rest}"))
    [new] = [row for row in rows if row not in before]
    assert [row for row in rows if row in before] == before
    assert (new["evidence"], new["each"]) == ("flammability of the isolators of lidar controller", "revision")
    assert "INVENTED-MOUNT-2 rev A" in new["text"]
    assert "common practice, no source" in new["text"]
    assert new["document"] == next(row for row in before if row["kind"] == "flammability")["document"]


def test_a_bare_frame_owes_it_of_powder_and_sealant_alone() -> None:
    assert [row["evidence"] for row in owed_by(small.design()) if row["kind"] == "flammability"] == [
        *small.BURNS
    ]

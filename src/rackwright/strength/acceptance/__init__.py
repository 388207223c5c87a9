"""Outside checks that ship with the program and are run where a report is made: is this installation sound?

Each compares one number of ours with one from outside, which was read in a named source or worked out by the formula
of a named method, apart from this program. They need nothing but the program. The tests hold many more; these are
the ones that the strength of a rack leans on, and the report's annex prints them with what this machine gave.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.strength.acceptance.check import Check
from rackwright.strength.acceptance.details import detail_checks
from rackwright.strength.acceptance.frames import frame_checks
from rackwright.strength.acceptance.handbook import handbook_checks

__all__ = ["Check", "outside_checks"]


def outside_checks() -> Iterator[Check]:
    """Every shipped check, computed now."""
    yield from handbook_checks()
    yield from detail_checks()
    yield from frame_checks()

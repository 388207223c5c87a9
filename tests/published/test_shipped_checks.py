"""The outside checks that ship with the program and are run where a report is made.

Their sources and kinds stand beside the numbers, in `rackwright.strength.acceptance`. Here each is held to the same
tolerance, and it is made sure that a check that does not agree is told.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from rackwright.strength.acceptance import Check, outside_checks

CHECKS = tuple(outside_checks())


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.source}, {check.place}")
def test_agrees(published, check: Check) -> None:
    published(check.source, check.place, check.ours, check.theirs, check.kind, check.tol)
    assert check.good


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: f"{check.source}, {check.place}")
def test_a_number_that_is_off_is_told(check: Check) -> None:
    assert not replace(check, ours=check.ours + 2.1 * check.allowed).good
    assert not replace(check, ours=float("nan")).good


def test_enough_of_them_over_columns_fasteners_lugs_frames_and_one_sided_parts() -> None:
    places = " ".join(check.source for check in CHECKS)
    assert len(CHECKS) >= 60
    for named in (
        "Euler",
        "Johnson",
        "elastic vector",
        "Bruhn",
        "Timoshenko",
        "Castigliano",
        "one-sided",
        "Blevins",
    ):
        assert named in places

"""Where a story begins: `begin("made")` opens a record of its own in which the order has come so far."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import small_shop
from rackwright.record import Record
from stories.shop import Day

Begin = Callable[[str], Day]


@pytest.fixture
def begin(stages: Path, tmp_path: Path) -> Iterator[Begin]:
    opened: list[Record] = []

    def at(stage: str) -> Day:
        opened.append(small_shop.stage(stage, stages, tmp_path / f"{len(opened)}"))
        return Day(opened[-1])

    yield at
    for record in opened:
        record.close()

"""Where a story begins: `begin("made")` opens a record of its own in which the order has come so far."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import small_shop
from private_postgres import Place
from rackwright.record import Record
from stories.shop import Day

Begin = Callable[[str], Day]


@pytest.fixture
def begin(place: Place, stages: Path, tmp_path: Path) -> Iterator[Begin]:
    """On either engine: what stories tell holds wherever the record lies."""
    opened: list[Record] = []

    def at(stage: str) -> Day:
        opened.append(small_shop.stage(stage, stages, tmp_path / f"{len(opened)}", place))
        return Day(opened[-1])

    yield at
    for record in opened:
        record.close()

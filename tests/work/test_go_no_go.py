"""GO/NO-GO: yes or no by name, with a gauge in calibration; a blank is not yes."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

import small_shop
from papers.reading import flat, pages
from racks import swap
from rackwright.design import Design
from rackwright.pieces.characteristics import GO_NO_GO, Characteristic, characteristics
from rackwright.record import Record
from rackwright.trouble import Stopped
from rackwright.work.gates import rack_complete
from rackwright.work.metal.sawing import piece_id
from rackwright.work.papers.inspection import inspection_sheet
from rackwright.work.stations.inspecting import measure

SERIAL = small_shop.SERIALS[0]
PLUG = Characteristic("post.front-left", "plug 0.2505 in", GO_NO_GO, "", None, None, None, "before coat", "plug gauge",
                      asks="4 lines of holes: GO 0.2505, NO-GO 0.2525 in")  # fmt: skip
PIECE = piece_id(SERIAL, PLUG.piece)


@pytest.fixture
def record(tmp_path: Path, stages: Path) -> Iterator[Record]:
    with small_shop.stage("made", stages, tmp_path) as opened:
        yield opened


def checked(record: Record, text: str, who: str = "inspector", gauge: str = "HG-5") -> None:
    measure(small_shop.station(record, who), SERIAL, {PLUG: text}, gauge)


def found(record: Record) -> list[tuple[str, bool, str]]:
    return [(one.value, one.within, one.by) for one in small_shop.state(record).measured(PIECE)]


def test_yes_is_recorded_by_name_and_no_is_outside(record: Record) -> None:
    name = small_shop.PEOPLE["inspector"]
    checked(record, "no")
    state = small_shop.state(record)
    refused = rack_complete(state, PIECE, [PLUG.name])
    assert refused is not None
    assert "does not pass its GO/NO-GO gauge" in str(refused)
    checked(record, "yes")
    assert found(record) == [("no", False, name), ("yes", True, name)]
    assert rack_complete(small_shop.state(record), PIECE, [PLUG.name]) is None


@pytest.mark.parametrize("text", ["", " ", "y", "0.2510 in", "N/A"])
def test_nothing_else_is_yes(record: Record, text: str) -> None:
    with pytest.raises(Stopped, match="neither yes nor no"):
        checked(record, text)
    assert found(record) == []
    assert rack_complete(small_shop.state(record), PIECE, [PLUG.name]) is not None


def test_an_unknown_gauge_and_the_maker_are_refused(record: Record) -> None:
    with pytest.raises(Stopped, match="not in the record"):
        checked(record, "yes", gauge="PL-1")
    with pytest.raises(Stopped, match="made"):
        checked(record, "yes", who="sawyer")
    assert found(record) == []


# --- what is asked for ---------------------------------------------------------------------------


def gauged(design: Design) -> list[Characteristic]:
    return [one for one in characteristics(design.rack, design.pieces, 1) if one.by_gauge]


def test_holes_are_gauged_where_their_size_has_a_tolerance() -> None:
    text = small_shop.text()
    assert gauged(small_shop.design()) == []
    design = small_shop.racks.design_of(
        swap(text, ("hole_position = ", 'hole_size = "0.002 in"\nhole_position = '))
    )
    asked = gauged(design)
    posts = [one for one in asked if one.piece == "post.front-left"]
    lines = {
        hole.bolt for hole in design.pieces.get("post.front-left").holes if not hole.bolt.startswith("vent.")
    }
    (plug,) = [one for one in posts if one.name == "plug 0.2505 in"]
    assert plug.asks == f"{len(lines)} lines of holes: GO 0.2505, NO-GO 0.2525 in"
    sheet = flat(" ".join(pages(inspection_sheet(design, small_shop.shop(), small_shop.DAY))))
    assert flat(f"{plug.asks}; yes or no") in sheet


def test_threads_are_then_gauged_too() -> None:
    """Four pads are held by an insert each in the blocks above them: gauged when coated."""
    text = small_shop.text()
    design = small_shop.racks.design_of(
        swap(text, ("hole_position = ", 'hole_size = "0.002 in"\nhole_position = '))
    )
    inserts = {
        bolt.anchor.piece for bolt in design.pieces.bolts if bolt.anchor and bolt.anchor.kind == "insert"
    }
    asked = [one for one in gauged(design) if one.gauge == "thread gauge"]
    assert {one.piece for one in asked} == inserts
    assert inserts
    assert {one.stage for one in asked} == {"after coat"}
    assert all("NO-GO" in one.asks for one in asked)

"""The installer's page says what stays free around every item, in rack axes, with the clearance that is left."""

from __future__ import annotations

from dataclasses import replace

import pytest

import racks
from rackwright.papers.table import Table, Text
from rackwright.pieces.shelf_pieces import equipment_corner
from rackwright.strength.interface import Place, places
from rackwright.work.papers import installer
from rackwright.work.papers.installer import CLEARANCE, installer_sections
from rackwright.work.papers.words import ms

TITLE = "What stays free around the items, in, rack axes"


def test_every_keep_out_stands_in_rack_axes_with_its_kind_and_margin() -> None:
    design = racks.design_of(racks.STANDARD)
    (section,) = installer_sections(design)
    (table,) = [one for one in section.blocks if isinstance(one, Table) and one.title == TITLE]
    asked = [(item, box) for item in design.rack.definition.equipment for box in item.keep_out]
    assert asked
    assert len(table.rows) == len(asked)
    margins = {one.id: one.margin for one in design.strength.margins if one.mode == CLEARANCE}
    assert margins
    for (item, box), (name, kind, *spans, judged) in zip(asked, table.rows, strict=True):
        corner = equipment_corner(design.rack, item)
        assert (name, kind) == (item.name, box.kind or "not stated")
        for place, at, size, span in zip(corner, box.at, box.size, spans, strict=True):
            low, high = (float(text.replace("−", "-")) * 25_400_000 for text in span.split(" to "))
            assert (low, high) == pytest.approx((place + at, place + at + size), abs=0.0051 * 25_400_000)
        if box.kind == "removal path":
            assert judged == "on the ground only"
        else:
            assert judged == ms(margins[f"equipment.{item.name}/clearance"])


def test_without_keep_outs_the_page_says_that_they_are_not_known() -> None:
    text = "\n".join(line for line in racks.STANDARD.splitlines() if not line.startswith("keep_out"))
    (section,) = installer_sections(racks.design_of(text))
    assert any(
        isinstance(one, Text) and one.text.startswith("No keep-out box is stated") for one in section.blocks
    )


def test_a_document_that_states_every_place_stands_once_and_several_stand_apart() -> None:
    design = racks.design_of(racks.STANDARD)

    def table(found: tuple[Place, ...]) -> Table:
        return installer._table_of_places(found, stated=True)

    found = places(design.rack, design.strength)
    same = table(tuple(replace(one, document="AC-1 rev B") for one in found))
    assert "document" not in same.columns
    assert same.note == "Stated by: AC-1 rev B."
    apart = table(tuple(replace(one, document="" if n else "AC-1 rev B") for n, one in enumerate(found)))
    assert [row[-1] for row in apart.rows] == ["AC-1 rev B", *["no document"] * (len(found) - 1)]

"""Placard and damage limits as pages: drafts for the approval holder, nothing filled in for them."""

from __future__ import annotations

import pytest

import racks
from papers.reading import pages
from racks import built, plain
from rackwright.trouble import DEFERENCE, Stopped
from rackwright.work.papers import damage_draft, placard


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(pages(pdf)).split())


def test_the_placard_shows_masses_that_hold_at_once() -> None:
    design = built(plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)]))
    found = design.together
    assert found is not None
    text = text_of(placard(design, None, "2026-03-02"))
    assert f"{int(found.each['box'] / racks.LB * 100) / 100:.2f} lb" in text
    for words in ("draft", DEFERENCE[:30], "governs", "box"):
        assert words in text


def test_a_missing_margin_is_said_on_the_placard() -> None:
    tables = plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)])
    del tables["pad"]["allowable_ultimate"], tables["pad"]["document"]
    text = text_of(placard(built(tables), None, "2026-03-02"))
    assert "PRELIMINARY" in text
    assert "4 margins are missing and not counted here" in text


def test_an_empty_rack_has_no_placard() -> None:
    with pytest.raises(Stopped):
        placard(built(plain(shelves={"one": 20})), None, "2026-03-02")


def test_damage_limits_say_what_is_not_assessed() -> None:
    design = built(plain(shelves={"one": 20}, items=[racks.item("box", "one", (5, 5), lb=20)]))
    text = text_of(damage_draft(design, None, "2026-03-02"))
    assert text.count("NOT ASSESSED") >= 3
    for words in (
        "draft",
        "ring thickness",
        "at least",
        "no limit found",
        "not a permission",
        "tube wall left",
    ):
        assert words in text

"""What an order still lacks: told line by line and rack by rack, from the gates that will ask it."""

from __future__ import annotations

import pytest

import small_shop as small
import stories.office  # noqa: F401  (its sentences)
from rackwright.trouble import Stopped
from rackwright.work.office.due import due
from rackwright.work.office.ordering import answer, ask
from rackwright.work.serials.lacking import OrderLacks, RackLacks, lacking
from stories.conftest import Begin
from stories.shop import Day


def lacks(day: Day) -> OrderLacks:
    return lacking(day.record, small.ORDER, small.shop(), day.date)


def rack(found: OrderLacks, serial: str) -> RackLacks:
    return next(one for line in found.lines for one in line.racks if one.serial == serial)


def test_an_order_just_taken_lacks_nearly_everything(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead adds line 2: 1 x ER-47, due 2026-05-08, by CT-1 rev B
        lead records clause C4 before ship: notice of delay
    """)
    lead = small.station(day.record, "lead")
    ask(lead, "Q-1", "which floor?", "A. Quill", "2026-03-02", ["sign_out"], "PO-1", line="2",
        assumed="floor F1 carries 5000 lbf")  # fmt: skip
    found = lacks(day)
    assert not found.complete
    assert ["no contract review" in found.lacks[0], "clause C4, before ship" in found.lacks[1]] == [
        True,
        True,
    ]
    (asked,) = found.asked
    assert (asked.late, asked.question.told) == (True, "taken meanwhile: floor F1 carries 5000 lbf")
    first, second = found.lines
    assert first.lacks == (("metal", "none is signed out for SN-1, SN-2"),)
    assert second.lacks == (("serials", "1 of 1 racks have none"),)
    assert second.revisions == (small.revision(),)
    one = rack(found, "SN-1")
    gates = dict(one.lacks)
    assert gates["weight"] == "SN-1 is not weighed"
    assert "contract" in gates
    assert "open questions" not in gates  # that one is of the other line, and blocks no release
    saw = next(step for step in one.steps if step.operation == "saw")
    tubes = len(small.design().pieces.sawn)
    assert (saw.done, saw.of) == (0, tubes)
    with pytest.raises(Stopped, match="order PO-9 is not in the record"):
        lacking(day.record, "PO-9", small.shop(), day.date)


def test_a_line_cancelled_lacks_nothing_and_a_reference_missing_is_told(begin: Begin) -> None:
    day = begin("stocked").play("""
        lead orders and freezes two frames
        lead lets it go on at risk: the customer bears it
        lead adds line 2: 1 x ER-47, due 2026-05-08, by CT-1 rev B
        lead withdraws line 2, by CT-1 rev C: no longer needed
    """)
    first, second = lacks(day).lines
    (reference, _) = first.lacks
    assert reference[0] == "design-approval reference"
    assert "work goes on at risk by A. Quill: the customer bears it" in reference[1]
    assert (second.lacks, second.racks) == ((), ())


def test_a_held_rack_does_not_hold_another_and_what_is_shipped_lacks_nothing(begin: Begin) -> None:
    day = begin("assembled").play("lead holds serial SN-2 as H-1: the floor is not known")
    before = lacks(day)
    assert "holds" in dict(rack(before, "SN-2").lacks)
    assert dict(rack(before, "SN-1").lacks) == {}
    assert [step.operation for step in rack(before, "SN-1").steps] == ["bond_pads", "release"]
    day.play("inspector releases SN-1")
    assert rack(lacks(day), "SN-1").lacks == (("shipment", "it is released, and not shipped"),)
    day.play("lead ships SN-1 to the hangar")
    done = rack(lacks(day), "SN-1")
    assert (done.state, done.lacks, done.steps) == ("shipped", (), ())
    assert not lacks(day).complete


def test_an_answer_that_changed_after_a_rack_was_released_is_told(begin: Begin) -> None:
    day = begin("assembled")
    lead = small.station(day.record, "lead")
    ask(lead, "Q-1", "which floor?", "A. Quill", "2026-04-20", ["release"], "PO-1")
    answer(lead, "Q-1", "A", "MAIL-1")
    day.play("inspector releases SN-1")
    answer(lead, "Q-1", "B", "MAIL-2", reason="another aircraft")
    (changed,) = lacks(day).changed
    assert "(another aircraft), after SN-1 was released" in changed.words
    (waits,) = [
        row for row in due(day.state, day.date, events=day.record.events()) if row.kind == "changed answer"
    ]
    assert (waits.about, waits.words) == ("Q-1", changed.words)

"""`rackwright show ORDER` on the demo's shop: an order of two lines, all shipped, one of them back."""

from __future__ import annotations

import pytest

from faces.cli.shop_desk import Run, answer, runner
from played import Ran

run = pytest.fixture(runner)


def test_an_order_tells_its_lines_and_what_each_rack_lacks(run: Run, played_demo: Ran) -> None:
    told = answer(run, "show", "PO-2231", "--shop", played_demo.folder)
    assert told["format"] == "rackwright/order/1"
    assert [(line["line"], line["quantity"], line["due"]) for line in told["lines"]] == [
        ("1", 2, "2026-04-17"), ("2", 1, "2026-05-08")]  # fmt: skip
    states = {
        rack["serial"]: (rack["state"], rack["lacks"]) for line in told["lines"] for rack in line["racks"]
    }
    assert states["ER47V12-0001"] == ("shipped", [])
    assert states["ER47V12-0003"] == ("back", []), "it was shipped, and came back"
    (asked,) = told["questions"]
    assert [one["reason"] for one in asked["answers"]] == [None, "the interface document was reissued"]
    assert (told["lacks"], told["marks"], told["complete"]) == ([], [], True)
    code, out, err = run("show", "PO-2231", "--shop", played_demo.folder)
    assert (code, err) == (0, "")
    assert "ER47V12-0003 back" in out
    assert "2. Yes, as INVENTED-AC-114 rev C states" in out


def test_what_the_record_does_not_know_is_refused(run: Run, played_demo: Ran) -> None:
    code, _, err = run("show", "PO-9", "--shop", played_demo.folder)
    assert code == 1
    assert "RW503" in err

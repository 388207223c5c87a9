"""`rackwright show ORDER`, `SERIAL` and `REVISION` on the demo's shop: two racks shipped, one in its hands again."""

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
    state, (lack,) = states["ER47V12-0003"]
    assert (state, lack["what"]) == ("back", "back to service")
    (asked,) = told["questions"]
    assert [one["reason"] for one in asked["answers"]] == [None, "the interface document was reissued"]
    assert (told["lacks"], told["marks"], told["complete"]) == ([], [], False)
    code, out, err = run("show", "PO-2231", "--shop", played_demo.folder)
    assert (code, err) == (0, "")
    assert "ER47V12-0003 back" in out
    assert "2. Yes, as INVENTED-AC-114 rev C states" in out


def test_what_the_record_does_not_know_is_refused(run: Run, played_demo: Ran) -> None:
    code, _, err = run("show", "PO-9", "--shop", played_demo.folder)
    assert code == 1
    assert "RW503" in err


def test_a_rack_stands_as_designed_built_and_maintained(run: Run, played_demo: Ran) -> None:
    told = answer(run, "show", "ER47V12-0001", "--shop", played_demo.folder)
    rows = {row["what"]: row for row in told["rows"]}
    box = rows["carries power conditioner"]
    assert box["designed"].startswith("PC-240, 32.00 lb")
    assert box["maintained"].startswith("box 0417, INVENTED-BX-4, 28.80 lb")
    assert rows["governing margin"]["maintained"] > rows["governing margin"]["built"], (
        "a lighter box pulls less"
    )
    assert told["evidence"]
    assert all(one["there"] for one in told["evidence"])
    out = run("show", "ER47V12-0003", "--shop", played_demo.folder)[1]
    assert "it is not weighed after the work" in out
    assert "passivation of rings" in out


def test_a_revision_tells_its_serials(run: Run, played_demo: Ran) -> None:
    told = answer(run, "show", "ER-47-V12 rev A", "--shop", played_demo.folder)
    assert [row["serial"] for row in told["serials"]] == ["ER47V12-0001", "ER47V12-0002", "ER47V12-0003"]

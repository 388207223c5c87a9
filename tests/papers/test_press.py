"""What the compiler keeps of the papers that it set is let go of once it is much; the papers are the same."""

from __future__ import annotations

import json
from typing import Any

import pytest

from rackwright.papers.house import Head, _Press, set_pdf

HEAD = Head("Larkfield Racks (invented)", "A square", "D-1", "A", "2031-05-04", "0" * 64)


class Counted:
    """Counts the papers and the empty pages that a compiler sets, and keeps as it does for the last ten."""

    def __init__(self) -> None:
        self.kept: list[int] = []

    def compile(self, text: bytes, sys_inputs: dict[str, str] | None = None, **_: Any) -> bytes:
        self.kept = [*self.kept, len(sys_inputs["paper"]) if sys_inputs else 0][-11:]
        return text


def test_however_many_papers_are_set_no_more_than_much_is_kept_of_them() -> None:
    press, compiler = _Press(), Counted()
    press._compiler = compiler
    for number in range(100):
        inputs = {"paper": json.dumps("x" * (press.MUCH // 3 if number % 2 else 40))}
        assert press.set("labels", inputs, format="pdf")
        assert sum(compiler.kept) <= press.MUCH


def test_a_paper_is_the_same_once_everything_was_let_go(monkeypatch: pytest.MonkeyPatch) -> None:
    square = '<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"><rect width="9" height="9"/></svg>'
    data = {"sheets": [{"svg": square, "alt": "a square"}]}
    before = set_pdf("drawing", HEAD, data)
    monkeypatch.setattr(_Press, "MUCH", 0)
    assert [set_pdf("drawing", HEAD, data) for _ in range(2)] == [before] * 2

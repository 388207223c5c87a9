"""The list of evidence that one rack owes, for dossier and conformity paper: what is asked, where, and what stands."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.papers.table import Block, Table, Text
from rackwright.record import State
from rackwright.work.serials.evidence import Standing, standing_of

__all__ = ["evidence_blocks"]


def evidence_blocks(state: State, serial: str) -> Iterator[Block]:
    every = standing_of(state, serial)
    if not every:
        yield Text(
            "The revision was frozen without a list of evidence, and nobody wrote down what is owed: nothing was asked."
        )
        return
    missing = [one.owed.evidence for one in every if one.missing]
    if missing:
        yield Text(f"Missing: {', '.join(missing)}.", "caution")
    yield Table(
        "",
        ("evidence", "what is asked", "asked in", "of each", "what stands for it", "event"),
        tuple(map(_row, every)),
        align="lllllr",
        widths=(1.6, 2.6, 2.2, 0.8, 3, 0.6),
        note="That a document is there says what it says: whether it shows what is asked is for the person who signs.",
    )


def _row(one: Standing) -> tuple[str, ...]:
    owed = one.owed
    asked = (
        f"{owed.document}; {owed.by}, event {owed.seq}" if owed.by and not owed.not_owed else owed.document
    )
    return owed.evidence, owed.text, asked, owed.each, one.words, str(one.seq) if one.seq else "–"

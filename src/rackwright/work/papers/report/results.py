"""Every margin of the report in one appendix, a row each, under the load cases and in vibration side by side.

A page of a kind of check shows its least few; here the whole of it stands, kind after kind, the least first, so that
the eye finds what governs and nothing is left out.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rackwright.papers.table import Block, Section, Table, Text
from rackwright.strength.margin import Margin
from rackwright.work.papers.margins import factor_of
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.words import VARIANT_NOTE, load, mark_note, ms, variant

__all__ = ["Kind", "least_of", "results_section", "results_table"]

#: margins of one kind of check: under the load cases, in vibration
Kind = tuple[Sequence[Margin], Sequence[Margin]]
COLUMNS = ("margin", "case", "variant", "applied", "allowable", "factor", "M.S.", "",
           "in vibration", "applied", "M.S.", "")  # fmt: skip
LAST = float("inf")


def results_section(issue: Issue, kinds: Mapping[str, Kind]) -> Iterator[Section]:
    if kinds:
        yield Section("Appendix: every margin of safety", tuple(_every(issue, kinds)), new_page=True)


def _every(issue: Issue, kinds: Mapping[str, Kind]) -> Iterator[Block]:
    static = sum(len(cases) for cases, _ in kinds.values())
    shaken = sum(len(vibration) for _, vibration in kinds.values())
    yield Text(
        f"All {static} margins under the load cases and all {shaken} in vibration, in the order of the sections on "
        "checks; within a kind the missing ones and then the least first. A dash: not judged there."
    )
    rows = tuple(row for kind in kinds.values() for row in _rows(issue, kind))
    every = [one for cases, vibration in kinds.values() for one in (*cases, *vibration)]
    note = f"The part of a margin's name behind the stroke is its check. {VARIANT_NOTE} {mark_note(every)}"
    yield _table("", rows, note)


def results_table(issue: Issue, title: str, kind: Kind, most: int) -> Table:
    """The least `most` of one kind."""
    return _table(title, tuple(_rows(issue, kind))[:most], "")


def least_of(margins: Sequence[Margin]) -> list[Margin]:
    """Missing ones, then the least first."""
    return sorted(margins, key=_order)


def _order(margin: Margin) -> tuple[float, str]:
    return (-LAST if margin.margin is None else margin.margin, margin.id)


def _rows(issue: Issue, kind: Kind) -> Iterator[tuple[str, ...]]:
    cases, vibration = ({one.id: one for one in margins} for margins in kind)
    order = [one.id for one in least_of(kind[0])]
    order += [one.id for one in least_of(kind[1]) if one.id not in cases]
    for id in order:
        yield id, *_case(issue, cases.get(id)), *_shaken(issue, vibration.get(id))


def _case(issue: Issue, one: Margin | None) -> tuple[str, ...]:
    if one is None:
        return ("–",) * 6 + (" ",)
    return (one.case or one.why_missing, variant(one.pretension) or "–", load(one.applied, one.unit),
            load(one.allowable, one.unit), factor_of(one), ms(one.margin), issue.mark(one) or " ")  # fmt: skip


def _shaken(issue: Issue, one: Margin | None) -> tuple[str, ...]:
    if one is None:
        return "–", "–", "–", " "
    return variant(one.pretension) or "–", load(one.applied, one.unit), ms(one.margin), issue.mark(one) or " "


def _table(title: str, rows: tuple[tuple[str, ...], ...], note: str) -> Table:
    return Table(title, COLUMNS, rows, align="illrrrrllrrl", note=note, dense=True,
                 widths=(6.6, 2.5, 2.2, 1.5, 1.5, 0.85, 0.95, 0.35, 2.2, 1.3, 1, 0.35))  # fmt: skip

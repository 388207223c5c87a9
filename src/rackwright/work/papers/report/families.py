"""A page for each kind of check: one example worked in full, and every result of the kind.

The kinds are those of the margins themselves, in the order in which the checks give them: a new check has its page
without a word here.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.formulas.cards import cards
from rackwright.papers.table import Block, Items, Section, Table, Text
from rackwright.strength.margin import Margin
from rackwright.strength.vibration.answer import NOT_ASSESSED
from rackwright.strength.vibration.in_vibration import CASE
from rackwright.work.papers.margins import margin_table, worked_margin
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.vibration import not_assessed
from rackwright.work.papers.words import ms, number

__all__ = ["families", "family_sections"]


def families(design: Design) -> dict[str, list[Margin]]:
    """Margins by kind of check, in the order of their first appearance."""
    found: dict[str, list[Margin]] = {}
    for margin in design.strength.margins:
        found.setdefault(margin.mode, []).append(margin)
    for margin in design.vibration.margins:
        found.setdefault(margin.mode, [])
    return found


def example_of(margins: list[Margin]) -> Margin:
    """The least margin of a kind; where none could be given, the first that is missing."""
    given = [margin for margin in margins if margin.margin is not None]
    return min(given, key=lambda m: (m.margin or 0.0, m.id)) if given else margins[0]


def family_sections(issue: Issue) -> Iterator[Section]:
    found = families(issue.design)
    if not found:
        yield Section(
            "Checks, kind by kind", (Text("There are no margins: the basis or the orientation is missing."),)
        )
        return
    yield Section("Checks, kind by kind", tuple(_intro(issue, found)), new_page=True)
    shaken = issue.design.vibration.margins
    for mode, margins in found.items():
        blocks = (*_family(issue, margins), *_shaken(issue, [one for one in shaken if one.mode == mode]))
        yield Section(f"{mode[:1].upper()}{mode[1:]}", blocks, level=2, new_page=bool(margins))


def _intro(issue: Issue, found: dict[str, list[Margin]]) -> Iterator[Block]:
    yield Text(
        "On each of the following pages: the least margin of one kind worked with every step that led to it, then all "
        "results of that kind. Formulas are printed from the cards whose functions computed them; values are in SI, as "
        "the functions take them, with US units beside. Applied loads are the frame's answer in the case named."
    )
    rows = []
    for mode, margins in found.items():
        if not margins:  # judged in vibration alone
            continue
        given = [m.margin for m in margins if m.margin is not None]
        doubt = sum("U" in issue.mark(m) for m in margins)
        rows.append((mode, ", ".join(dict.fromkeys(m.level for m in margins)), str(len(margins)),
                     str(len(margins) - len(given)) if len(given) < len(margins) else "none",
                     ms(min(given)) if given else "missing", str(doubt) if doubt else "none"))  # fmt: skip
    yield Table(
        "",
        ("kind of check", "level", "results", "missing", "least M.S.", "unconfirmed"),
        tuple(rows),
        align="llrrrr",
        widths=(4, 1.2, 1, 1, 1, 1.2),
    )


def _family(issue: Issue, margins: list[Margin]) -> Iterator[Block]:
    if not margins:
        yield Text("No load case is judged by this check: no limit case is given. In vibration it is.")
        return
    worked = worked_margin(example_of(margins))
    negative = sum(m.margin is not None and m.margin < 0 for m in margins)
    factors = ", ".join(dict.fromkeys(number(m.factor, 2) for m in margins))
    yield Text(
        f"{len(margins)} results; factor {factors}."
        + (f" {negative} are negative." if negative else "")
        + f" Worked here: {example_of(margins).id}."
    )
    yield from worked.blocks
    yield margin_table("All results of this kind", margins, issue.mark)


def _shaken(issue: Issue, margins: list[Margin]) -> Iterator[Block]:
    """The same check in vibration; what it is made of stands with the governing margins in vibration."""
    given = [one for one in margins if one.margin is not None]
    if given:
        yield margin_table(f"Case “{CASE}”: all results of this kind in vibration", given, issue.mark)
    gone = [one for one in margins if one.margin is None]
    if gone:
        yield Items(tuple(not_assessed(gone)))
    if not margins:
        yield Text(f"In vibration: {NOT_ASSESSED}.")


def cards_table(design: Design) -> Table:
    """Every formula card that a step of a margin used."""
    every = (*design.strength.margins, *design.vibration.margins)
    used = dict.fromkeys(name for margin in every for name, _ in margin.steps)
    known = cards()
    return Table(
        "Formula cards used",
        ("card", "what", "source", "how known"),
        tuple((name, known[name].title, known[name].source, known[name].how_known) for name in sorted(used)),
        align="illl",
        widths=(1.8, 2, 3.4, 1.2),
    )

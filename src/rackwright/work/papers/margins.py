"""The dossier's margins of safety: governing ones in a table and worked in full, all of them at the end.

The worked margins run the same cards that computed them, so what is printed is what was computed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np

from rackwright.design import Design
from rackwright.formulas.cards import Symbol, explain
from rackwright.papers.table import Block, Facts, Section, Table, Text, Worked
from rackwright.strength.margin import Margin, Step
from rackwright.work.papers.words import (
    VARIANT_NOTE,
    digits,
    load,
    mark_note,
    mark_of,
    ms,
    number,
    pretty,
    variant,
)

__all__ = [
    "FACTOR_NOTE",
    "Mark",
    "all_margins",
    "factor_of",
    "governing_blocks",
    "governing_table",
    "margin_sections",
    "margin_table",
    "worked_margin",
    "worked_step",
]

Mark = Callable[[Margin], str]
FACTOR_NOTE = "A factor in brackets is already in the ratios of an interaction."
WIDEST = 95  # characters of a formula with numbers that find room on one line


def margin_sections(design: Design) -> tuple[Section, ...]:
    """The governing margins, and each of them worked in full."""
    return (
        Section("Governing margins of safety", tuple(governing_blocks(design))),
        Section("Governing margins worked in full", tuple(_worked_intro())),
        *(worked_margin(margin) for margin in design.strength.governing),
    )


def governing_blocks(design: Design, mark: Mark = mark_of) -> Iterator[Block]:
    found = design.strength.governing
    if not found:
        yield Text("There are no margins: the basis or the orientation is missing.")
        return
    yield Text(
        "Of every kind of check the least margin over all pieces, cases, pretensions and bounds of the joints; missing "
        "ones first."
    )
    yield governing_table("", found, mark)


def governing_table(title: str, governing: Sequence[Margin], mark: Mark = mark_of) -> Table:
    """One margin of each kind of check with its place and case."""
    return Table(
        title,
        ("check", "at", "case, pretension", "applied", "allowable", "factor", "M.S.", ""),
        tuple(
            (m.mode, f"{m.piece}{', ' + m.place if m.place else ''}",
             ", ".join(filter(None, (m.case, variant(m.pretension)))) or "–",
             load(m.applied, m.unit), load(m.allowable, m.unit), factor_of(m), ms(m.margin), mark(m))
            for m in governing
        ),
        align="lllrrrrl",
        widths=(2.2, 3, 2.5, 1.1, 1.1, 0.72, 0.75, 0.25),
        note="M.S. = allowable / (applied × factor) − 1, cut off downward to two places; for an interaction the load "
        f"multiplier that brings it to one, less one. {FACTOR_NOTE} {VARIANT_NOTE} {mark_note(governing)}",
    )  # fmt: skip


def factor_of(margin: Margin) -> str:
    """The special factor; in brackets where an interaction's ratios already hold it."""
    text = number(margin.factor, 2)
    return f"({text})" if margin.unit == "1" and margin.factor != 1.0 else text


def _worked_intro() -> Iterator[Block]:
    yield Text(
        "Each governing margin with every step that led to it. Formulas are printed from the cards whose functions "
        "computed them; values are in SI, as the functions take them, with US units beside. Applied loads are the "
        "frame's answer in the case named."
    )


def worked_margin(margin: Margin) -> Section:
    title = f"{margin.mode[:1].upper()}{margin.mode[1:]}: M.S. {ms(margin.margin)}"
    if margin.margin is None:
        facts = Facts((("At", margin.piece), ("Missing", margin.why_missing), ("Source", margin.source)))
        return Section(title, (facts,), level=2)
    facts = Facts((
        ("At", f"{margin.piece}{', ' + margin.place if margin.place else ''}"),
        ("Case", f"{margin.case}, {margin.level}{f', pretension {margin.pretension}' * bool(margin.pretension)}"),
        ("Applied, allowable", f"{load(margin.applied, margin.unit)} and {load(margin.allowable, margin.unit)}, "
                               f"factor {number(margin.factor, 2)}"
                               f"{', already in the ratio applied' if factor_of(margin)[0] == '(' else ''}"),
        ("Allowable from", margin.source),
    ))  # fmt: skip
    steps = tuple(
        worked_step(n, len(margin.steps), step, margin.unit) for n, step in enumerate(margin.steps, start=1)
    )
    return Section(title, (facts, *steps), level=2, marks=margin.marks)


def worked_step(n: int, of: int, step: Step, unit: str = "1") -> Worked:
    """One formula with its numbers. `unit` is that of a margin's applied and allowable, where it has them."""
    name, values = step
    done = explain(name, values)
    card = done.card
    rows = []
    for one, si, _ in done.table()[:-1]:
        if one.many:
            rows.append((one.name, "", f"{one.meaning}: {_many(one, si)}"))
        elif one.name in ("applied", "allowable"):
            rows.append((one.name, _loaded(float(si), unit), one.meaning))
        else:
            rows.append((one.name, _both(one, float(si)), one.meaning))
    rows += [(name, digits(float(value), 6), f"= {_readable(text)}") for name, text, value in done.steps()]
    short = len(done.substituted) <= WIDEST or "Piecewise" in card.printed
    result = f"{card.result.name} = {_both(card.result, float(np.max(done.result)))}"
    notes = "".join(f". {note[:1].upper()}{note[1:]}" for note in done.notes)
    return Worked(
        f"Step {n} of {of}: {card.title}",
        card.equation,
        "" if short else f"{card.result.name} = {_readable(done.substituted)}",
        result + notes,
        f"{card.source} ({card.how_known}); card {card.name}",
        f"{card.typst} \\ {done.typst}" if short else card.typst,
        tuple(rows),
    )


def _loaded(si: float, unit: str) -> str:
    """An applied or allowable value in SI and US units."""
    return digits(si, 6) if unit == "1" else f"{digits(si)} {pretty(unit)} ({load(si, unit)})"


def _both(symbol: Symbol, si: float) -> str:
    """SI and US side by side; a plain number alone."""
    if symbol.dimension == "1":
        return digits(si, 6)
    us = si / symbol.factor()
    shown = f"{digits(si)} {pretty(symbol.si_unit)}"
    return shown if symbol.unit == symbol.si_unit else f"{shown} ({digits(us)} {pretty(symbol.unit)})"


def _many(symbol: Symbol, values: object) -> str:
    return ", ".join(_both(symbol, float(v)) for v in np.ravel(np.asarray(values, dtype=float)))


def _readable(text: str) -> str:
    return text.replace("**", "^").replace("*", " · ").replace("-", "−")


def all_margins(design: Design) -> Iterator[Block]:
    """Every margin in one long table."""
    margins = design.strength.margins
    yield margin_table(f"{len(margins)} margins, in the order of pieces", margins)


def margin_table(title: str, margins: Sequence[Margin], mark: Mark = mark_of) -> Table:
    """Margins by their ids, a row each."""
    return Table(
        title,
        ("margin", "case", "pretension", "applied", "allowable", "factor", "M.S.", ""),
        tuple(
            (m.id, m.case or m.why_missing, variant(m.pretension),
             load(m.applied, m.unit), load(m.allowable, m.unit), factor_of(m), ms(m.margin), mark(m))
            for m in margins
        ),
        align="illrrrrl",
        widths=(4.6, 2.2, 2.1, 1.3, 1.3, 0.75, 0.9, 0.3),
        note=f"The part of a margin's name behind the stroke is its check. {VARIANT_NOTE} {FACTOR_NOTE} "
        f"{mark_note(margins)}",
    )  # fmt: skip

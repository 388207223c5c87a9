"""Which evidence a release of a rack needs by what the rack is: its materials and its interface.

Frozen with the definition, so that the list of a revision is the one it was frozen with. What is no metal owes how it
burns, where the definition names it: powder, what hardware is installed wet with, an item's isolators. A bond to the
aircraft owes its reading, a coat its pretreatment, racks that are swapped the fit of their points; a test that the
definition rests on states its own report. Placard stock, edge trim, foam, pads of no metal, threadlock and straps have
no stuff in a definition; that they owe how they burn too is common practice, no source. Of these, and of what a
customer asks besides, the lead writes it down (`serials/evidence.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from rackwright.making.coat import is_coated
from rackwright.making.jig import jig_plan
from rackwright.work.serials.evidence import POINTS

if TYPE_CHECKING:
    from rackwright.design import Design

__all__ = ["owed_by"]

Row = dict[str, Any]
BURNS = "853"  # the paragraph on compartment interiors, as `reference/compliance.toml` has it
NOT_NAMED = "the frozen definition"


def owed_by(design: Design) -> list[Row]:
    """Rows as `record.office.Owed` has them, in the order of a list."""
    return [*_burns(design), *_coat(design), *_bond(design), *_fit(design), *_tests(design)]


def _burns(design: Design) -> Iterator[Row]:
    """Powder and what hardware is installed wet with, by their names in the stock list; isolators, by their item."""
    d = design.rack.definition
    named = [f"powder {d.finish.powder}"] if d.finish else []
    named += [f"sealant {row.wet}" for row in d.protection if row.wet]
    for name in dict.fromkeys(named):
        yield {"evidence": f"flammability of {name}", "kind": "flammability", "each": "revision", "of": [name],
               "text": f"{name} is no metal: that it burns no further than its compartment allows, as applied",
               "document": _paragraph(design)}  # fmt: skip
    for item in d.equipment:
        if item.isolators is not None:
            by = item.isolators.document or "no document"
            yield {"evidence": f"flammability of the isolators of {item.name}", "kind": "flammability",
                   "each": "revision", "of": [item.name], "document": _paragraph(design),
                   "text": f"isolators, by {by}, which are of no named stuff: that they burn no further than their "
                   "compartment allows; that isolators are asked is common practice, no source"}  # fmt: skip


def _paragraph(design: Design) -> str:
    row, basis = design.rack.rows.paragraphs.get(BURNS), design.rack.definition.basis
    if row is None:
        return NOT_NAMED
    part = basis.rule.partition(".")[0] if basis else ""
    cited = f"14 CFR {part}.{BURNS}" if part in row.parts.split() else row.known.source
    return f"{cited}, {row.title}; compare with the code" if row.unconfirmed else f"{cited}, {row.title}"


def _coat(design: Design) -> Iterator[Row]:
    finish = design.rack.definition.finish
    if finish is not None:
        coated = [piece.id for piece in design.pieces.made if is_coated(finish, piece)]
        yield {"evidence": "pretreatment", "kind": "pretreatment", "each": "serial", "of": coated,
               "process": "pretreat", "text": finish.pretreatment,
               "document": finish.document or NOT_NAMED}  # fmt: skip


def _bond(design: Design) -> Iterator[Row]:
    bond = design.rack.definition.bond
    if bond is not None:
        name = f"bond {' to '.join(bond.pads)}"
        yield {"evidence": "bonding", "kind": "bonding", "each": "serial", "reading": name,
               "text": f"{name}: at most {bond.most * 1e3:g} mohm", "document": bond.document or NOT_NAMED}  # fmt: skip


def _fit(design: Design) -> Iterator[Row]:
    tolerance = design.rack.definition.tolerance
    if tolerance is not None and any(
        hole.interchange for hole in jig_plan(design.rack, design.pieces, None).holes
    ):
        yield {"evidence": "fit check", "kind": "fit check", "each": "serial", "reading": POINTS,
               "text": f"interchange points, racks within {tolerance.between_racks / 25_400_000:g} in of each other",
               "document": NOT_NAMED}  # fmt: skip


def _tests(design: Design) -> Iterator[Row]:
    for test in design.rack.definition.evidence:
        if (
            test.report is not None
        ):  # without, the definition leaves a question open, which blocks the release
            yield {"evidence": f"test {test.name}", "kind": "test", "each": "revision",
                   "text": f"{test.direction}, on {test.article} revision {test.article_revision}",
                   "document": NOT_NAMED, "stated": f"{test.result}, {test.report}; by {test.by}"}  # fmt: skip

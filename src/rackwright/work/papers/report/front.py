"""The report's first sections: scope, load path, certification basis and compliance, data list, materials, masses."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.papers.table import Block, Facts, Items, Section, Table, Text
from rackwright.reference import content_hash
from rackwright.reference.rows import Material, Row
from rackwright.shop import Shop
from rackwright.trouble import UNCONFIRMED
from rackwright.work.papers.definition import mass_blocks, orientation_blocks, pictures
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.report.tests import heat_blocks
from rackwright.work.papers.sources import documents, how_known
from rackwright.work.papers.strength import LOAD_PATH, case_blocks
from rackwright.work.papers.words import in_unit, number

__all__ = ["front_sections"]

#: who signs for what kind of evidence, in words
SIGNS = {
    "analysis": "preparer and checker of this report; holder of the design approval",
    "test": "whoever witnesses the test; holder of the design approval",
    "inspection": "inspector, in the dossier of each serial",
    "not covered": "holder of the design approval",
}
DOCUMENT = {"analysis": "this report", "inspection": "dossier of each serial", "test": "", "not covered": ""}


def front_sections(issue: Issue, shop: Shop | None, date: str) -> tuple[Section, ...]:
    design = issue.design
    drawn = tuple(pictures(design, shop, date, issue.demo)) if shop is not None else ()
    return (
        Section("Scope", tuple(_scope(design))),
        Section("Description and load path", (*_path(design), *drawn)),
        Section("Orientation in the aircraft", tuple(orientation_blocks(design)), level=2),
        Section("Certification basis and compliance", tuple(_compliance(design))),
        Section("Data list", tuple(_data(issue))),
        Section("Materials and allowables", tuple(_materials(issue))),
        Section("Equipment, mass and centre of gravity", (*mass_blocks(design), *heat_blocks(design))),
        Section("Load cases and factors", (*case_blocks(design), *_factors(design))),
    )


def _scope(design: Design) -> Iterator[Block]:
    d = design.rack.definition
    changed = len(design.rack.changes)
    yield Text(
        f"This report substantiates the strength of {d.part} revision {d.revision}, {d.title}, drawing {d.drawing} "
        f"revision {d.revision}, as designed"
        + (f": a variation of {design.rack.standard} in {changed} values. " if changed else ". ")
        + "It holds for every serial that is made and inspected to that drawing; what a serial measured otherwise is "
        "proven anew in its nonconformance and dossier."
    )
    yield Text(
        "It covers the frame, its joints, shelves, rails and their fasteners, the fixings of the "
        "equipment, the tie-down "
        "from ring to floor fitting, and the pads. It hands the forces on the floor to the aircraft's own "
        "substantiation, and lists what it leaves to others."
    )
    yield Facts((
        ("Pieces, bolts", f"{len(design.pieces.made)} made pieces, {len(design.pieces.bolts)} bolts"),
        ("Load cases", f"{len(design.strength.cases)}, each at the low and the high strap pretension{_warmth(design)}"),
        ("Margins", f"{len(design.strength.margins)} of {len({m.mode for m in design.strength.margins})} kinds"),
    ))  # fmt: skip


def _warmth(design: Design) -> str:
    return ", as fixed, hot and cold" if design.rack.definition.temperature else ""


def _path(design: Design) -> Iterator[Block]:
    d = design.rack.definition
    yield Text(
        f"Four posts and eight cross tubes of square tube stand between eight corner blocks; {len(d.shelf)} shelves on "
        f"angles{' and a pair of rails' if d.rails else ''} carry the equipment; {len(d.ring)} rings hold "
        f"{len(d.strap)} straps to {len(d.floor_fitting)} floor fittings; pads under the lower "
        "blocks stand on the floor."
    )
    yield Text(LOAD_PATH)


# --- certification basis -------------------------------------------------------------------------


def _compliance(design: Design) -> Iterator[Block]:
    basis = design.rack.definition.basis
    if basis is None:
        yield Text(
            "No certification basis is entered: there is nothing to comply with, and there are no margins."
        )
        return
    yield Facts((
        ("Rule", design.rack.rows.load_rules[f"{basis.rule}@{basis.amendment}"].cited),
        ("Fitting factor", f"14 CFR {basis.fitting_rule}"),
        ("Entered by", basis.document),
    ))  # fmt: skip
    rule, fitting = (
        design.rack.rows.load_rules[f"{basis.rule}@{basis.amendment}"],
        design.rack.rows.factors[basis.fitting_rule],
    )
    rows = [
        _row(basis.rule, basis.amendment, rule.title, "analysis", "load cases; governing margins", rule),
        _row(
            basis.fitting_rule,
            "by the basis",
            fitting.title,
            "analysis",
            "factor column of every margin",
            fitting,
        ),
    ]
    part = basis.rule.partition(".")[0]
    rows += [
        _row(f"{part}.{one.id}", "by the basis", one.title, one.means, one.where, one)
        for one in design.rack.rows.paragraphs.values()
        if part in one.parts.split()
    ]
    yield Table(
        "Compliance matrix",
        ("paragraph", "amendment", "subject", "means", "document", "where, or what is left", "who signs", ""),
        tuple(rows),
        align="illlllll",
        widths=(1.55, 1.2, 2.6, 1.15, 1.45, 2.8, 2.3, 0.3),
        note="By the basis: the amendment is that of the certification basis for this paragraph, "
        "which only the rule of "
        f"the inertia factors names here. U: {UNCONFIRMED}, the paragraph is from memory. The list "
        "is a reminder; which "
        "paragraphs apply is for the holder of the design approval.",
    )


def _row(paragraph: str, amendment: str, title: str, means: str, where: str, row: Row) -> tuple[str, ...]:
    return (paragraph, amendment, title, means, DOCUMENT[means] or "____", where, SIGNS[means],
            "U" if row.unconfirmed else " ")  # fmt: skip


def _factors(design: Design) -> Iterator[Block]:
    yield Text(
        "Every margin shows the one factor applied beside the load: the fitting factor at fittings, joints and "
        "fasteners, 1 where none is pertinent. Of several pertinent special factors the highest is taken, never their "
        "product. Items of equipment stand at their mass plus tolerance in every case."
    )
    uncertain = dict.fromkeys(case.source for case in design.strength.cases if case.unconfirmed)
    if uncertain:
        yield Items(tuple(f"{UNCONFIRMED}: {source}" for source in uncertain))


# --- data list -----------------------------------------------------------------------------------


def _data(issue: Issue) -> Iterator[Block]:
    d = issue.design.rack.definition
    own = [
        (d.drawing, d.revision, "drawing of the rack", "shop"),
        (issue.design.rack.standard, "–", "the standard that it varies", "shop"),
    ]
    own += [
        (name, digest[:16], "text of the definition, SHA-256 begins so", "shop")
        for name, digest in issue.texts.items()
    ]
    own.append(
        ("reference rows", content_hash()[:16], "materials, fasteners, rules; SHA-256 begins so", "program")
    )
    yield Table(
        "What the numbers were computed from",
        ("document", "revision or hash", "what it is", "held by"),
        tuple(own),
        align="iill",
        widths=(2.4, 2, 3.4, 1),
    )
    yield Table(
        "Inputs of this revision, whose hash stands on the cover",
        ("input", "what it is"),
        tuple(issue.inputs.items()),
        align="ii",
        widths=(1.3, 3),
        note="With any of these changed it is another revision, to which no signature of this one applies.",
    )
    yield Table(
        "Documents that the definition names, each with its revision as entered",
        ("document", "what it states"),
        tuple(documents(issue.design)),
        widths=(3, 2.6),
        note="Held by the shop or the customer. None was read by this program: what was entered of them is for the "
        "preparer and the checker to compare.",
    )


# --- materials -----------------------------------------------------------------------------------

STRENGTHS = ("Ftu", "Fty", "Fcy", "Fsu", "Fbru 1.5", "Fbru 2.0")


def _materials(issue: Issue) -> Iterator[Block]:
    design = issue.design
    kinds: dict[str, list[str]] = {}
    for piece in design.pieces.made:
        if piece.material:
            kinds.setdefault(piece.material, []).append(piece.kind)
    rows, sources = [], []
    for name, where in kinds.items():
        row = issue.design.rack.rows.materials[name]
        unread = row.unconfirmed and not issue.read(row)
        metal, pieces = f"{row.alloy}-{row.temper} {row.form}", ", ".join(dict.fromkeys(where))
        values = (_ksi(value) for value in _strengths(row))
        rows.append((name, metal, row.basis, _range(row), pieces, *values, "U" if unread else " "))
        sources.append(
            (name, f"{row.known.source}, {row.known.place}", how_known(row), _compared(issue, row))
        )
    yield Table(
        "Strength by reference row, ksi",
        ("row", "metal and form", "basis", "thickness, in", "pieces", *STRENGTHS, ""),
        tuple(rows),
        align="illll" + "r" * len(STRENGTHS) + "l",
        widths=(2.6, 2.2, 0.75, 1.4, 1.7, *(0.85,) * len(STRENGTHS), 0.3),
        note="Along the grain where the source gives it; where a check may meet the other direction "
        "it takes the lower. "
        f"A dash: the source gives no value. U: {UNCONFIRMED}.",
    )
    yield Table(
        "Where these values come from",
        ("row", "source and place", "how known", "compared with its source"),
        tuple(sources),
        align="illl",
        widths=(1.7, 3, 2.2, 1.8),
    )
    make = design.rack.definition.ring_make
    if make is not None:
        given = make.allowable
        yield Table(
            "Tie-down rings",
            ("stock", "basis", "thickness", "Ftu", "Fty", "Fsu", "Fbru 2.0", "document"),
            ((make.stock, (given.basis if given else None) or "not stated", in_unit(make.thickness * 1e-9, "in", 3),
              *(_ksi(v) for v in ((given.Ftu, given.Fty, given.Fsu, given.Fbru) if given else (None,) * 4)),
              given.document if given else "none: no margin of the rings is given"),),
            align="lllrrrrl",
            note="By the document named, for the stock and thickness named; ksi. Basis as that document states it: A, "
            "B, S, or none where it is of tests without one. Fbru at e/D 2.0, counted no further; nearer than 2.0 to "
            "an edge there is no margin. No handbook row is put in its place.",
        )  # fmt: skip
    yield Text(
        "What a mill certificate says of a heat is shown in each serial's dossier and is never used above these "
        "values: it tests the lot, not each item (14 CFR 25.613(e) asks for a specimen of each). Values are at room "
        "temperature and as delivered; what the oven that bakes the coat leaves of them is shown where the cases are.",
        "note",
    )


def _range(row: Material) -> str:
    low = number(row.t_min / 0.0254, 3)
    return f"{low} and over" if row.t_max is None else f"{low} to {number(row.t_max / 0.0254, 3)}"


def _strengths(row: Material) -> tuple[float | None, ...]:
    along = (row.strength(name, "L") or row.strength(name) for name in ("Ftu", "Fty", "Fcy"))
    return (*along, row.Fsu, row.Fbru_15, row.Fbru_20)


def _ksi(value: float | None) -> str:
    return "–" if value is None else in_unit(value, "ksi", 0, unit=False)


def _compared(issue: Issue, row: Row) -> str:
    one = issue.confirmed.get(row.id)
    if one is not None and issue.read(row):
        return f"by {one.by} with {one.document}, event {one.seq}"
    return "not recorded" if row.unconfirmed else "not required"

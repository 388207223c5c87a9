"""The strength substantiation report: a revisioned document for the person who signs, and the checker beside.

    issue.py      number, revision, inputs and their hash; why it is only a draft
    front.py      scope, basis and compliance, data list, materials, masses, load cases
    bodies.py     free bodies, deformed and mode shapes
    families.py   a section a kind of check
    results.py    the appendix of every margin
    back.py       motion, floor, assumptions, what was not checked, changes, sources
    annex.py      the tool: versions, outside checks run here
    tests.py      evidence by test, what a test would have to show, heat
    more.py       where it is asked for: payloads, and which measurement matters most
    hand.py, statics.py    a margin, a free body and the frame worked by hand

A new kind of check, a new margin, a new document or a new reference row appears by itself.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from rackwright.design import Design
from rackwright.papers.house import Head
from rackwright.papers.report import Report, Signer, set_report
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.shop import Shop
from rackwright.strength.cases import no_limit_case
from rackwright.strength.vibration.answer import NOT_ASSESSED
from rackwright.trouble import PRELIMINARY, REPLACED, UNCONFIRMED
from rackwright.work.papers.margins import governing_blocks
from rackwright.work.papers.report.annex import annex_sections
from rackwright.work.papers.report.back import back_sections
from rackwright.work.papers.report.bodies import body_places, body_sections
from rackwright.work.papers.report.families import families, family_sections, kinds_of
from rackwright.work.papers.report.front import front_sections
from rackwright.work.papers.report.issue import ASKED, DRAFT, MORE, Confirmed, Issue, Reason, row_hash
from rackwright.work.papers.report.more import more_sections
from rackwright.work.papers.report.results import results_section
from rackwright.work.papers.report.statics import frame_by_hand
from rackwright.work.papers.report.tests import test_blocks
from rackwright.work.papers.strength import active_blocks, model_blocks
from rackwright.work.papers.vibration import shaken_blocks
from rackwright.work.papers.words import DEMO, NO_SHOP, definition_hash, in_unit, ms, must_fit

__all__ = ["ASKED", "DRAFT", "MORE", "Confirmed", "Issue", "Reason", "families", "report", "row_hash"]

SIGNERS = (
    Signer("Prepared", "who made the model and chose its inputs"),
    Signer("Checked", "another person than the preparer"),
    Signer("Approval", "holder of the design approval, a designee, or the authority; outside this program"),
)
LIMITLESS = "Only ultimate load cases are given; no limit case exists."
FIRST_REASONS = 9  # on the cover; all of them stand in the section on open questions


def report(issue: Issue, shop: Shop | None, date: str) -> bytes:
    """The report as PDF/A-3b bytes; equal inputs and dates give equal bytes. Raises Stopped: a design's faults."""
    must_fit(issue.design)
    return set_report(_compose(issue, shop, date))


def _compose(issue: Issue, shop: Shop | None, date: str) -> Report:
    d = issue.design.rack.definition
    return Report(
        head=Head(shop.name if shop else NO_SHOP, "Strength report", issue.number or "unnumbered",
                  issue.revision or "none", date, definition_hash(issue.design), _marks(issue)),
        subject=f"{d.part} revision {d.revision}",
        identity=_identity(issue),
        signers=SIGNERS,
        inputs=_inputs(issue),
        state_title="State of this report",
        state=_state(issue),
        outcome=_outcome(issue),
        revisions=_revisions(issue, date),
        sections=tuple(_sections(issue, shop, date)),
    )  # fmt: skip


def _sections(issue: Issue, shop: Shop | None, date: str) -> list[Section]:
    design = issue.design
    return [
        *front_sections(issue, shop, date),
        Section("Model", (*_model(design), *model_blocks())),
        Section("Check of the model against hand calculation", tuple(frame_by_hand(design)), level=2),
        Section(
            "What acts in each case, and the free bodies",
            (*active_blocks(design), *body_places(design)),
            new_page=True,
        ),
        *body_sections(design),
        Section("Governing margins of safety", tuple(governing_blocks(design, issue.mark)), new_page=True),
        Section("Governing margins in vibration", tuple(_in_vibration(issue)), level=2),
        *family_sections(issue),
        Section("Evidence by test", tuple(test_blocks(design))),
        *more_sections(issue),
        *back_sections(issue),
        *results_section(issue, kinds_of(design)),
        *annex_sections(issue),
    ]


def _in_vibration(issue: Issue) -> Iterator[Block]:
    why = issue.design.vibration.why_no_peaks
    if why:
        yield Text(f"{NOT_ASSESSED}, because {why}.", "caution")
    else:
        yield from shaken_blocks(issue.design, issue.mark)


def _model(design: Design) -> Iterator[Block]:
    """What the frame consists of, in numbers."""
    model = design.strength.model
    kinds = Counter(segment.kind for segment in model.segments)
    members = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
    pad = design.rack.definition.pad
    yield Facts((
        ("Members", f"{len(model.segments)} ({members}) between {len(model.nodes)} nodes, shear-flexible"),
        ("Supports", f"{len(model.straps)} straps that only pull, {len(model.pads)} pads that only push, each pad "
                     f"{in_unit(pad.stiffness, 'lbf/in', 0)}; no friction"),
        ("Masses", f"{len(model.frame.masses)} at their centres of gravity, besides those of the members"),
    ))  # fmt: skip


# --- cover ---------------------------------------------------------------------------------------


def _marks(issue: Issue) -> tuple[str, ...]:
    unread = bool(issue.unread) or any("U" in issue.mark(m) for m in issue.design.strength.margins)
    asked = bool(issue.left_open or issue.open)
    return (
        (DEMO,) * issue.demo
        + (DRAFT,) * bool(issue.reasons)
        + (PRELIMINARY,) * asked
        + (UNCONFIRMED,) * unread
        + (REPLACED,) * (REPLACED in issue.design.marks)
    )


def _identity(issue: Issue) -> Facts:
    d = issue.design.rack.definition
    basis = d.basis
    cited = issue.design.rack.rows.load_rules[f"{basis.rule}@{basis.amendment}"].cited if basis else ""
    return Facts((
        ("What", d.title),
        ("Drawing", f"{d.drawing} revision {d.revision}"),
        ("Made of", f"frozen revision {issue.of}" if issue.of else "a file, outside a record"),
        ("Prepared by", f"{issue.prepared_by}, as recorded" if issue.prepared_by else "not recorded"),
        ("Aircraft", f"{d.aircraft.type}; {d.aircraft.document or 'no document'}" if d.aircraft else "not stated"),
        ("Basis", f"{cited}; {basis.document}" if basis else "not entered"),
    ))  # fmt: skip


def _inputs(issue: Issue) -> Facts:
    return Facts((
        ("Inputs, SHA-256", issue.inputs_hash),
        ("of", f"{len(issue.texts)} definition texts, reference rows, program and library versions, questions and "
               f"comparisons on record: {len(issue.inputs)} in all, in the data list"),
    ))  # fmt: skip


def _state(issue: Issue) -> tuple[str, ...]:
    reasons = issue.reasons
    if not reasons:
        return (
            "Nothing computed or recorded keeps it from being released by a named person. Whether it "
            "was released stands in "
            "the shop's record and in the dossiers, never on this paper.",
        )
    rows = [one.row for one in reasons if one.row]
    texts = [f"{one.text[:1].upper()}{one.text[1:]} [{one.code}]" for one in reasons if not one.row]
    shown = texts[:FIRST_REASONS]
    if rows:
        shown.append(
            f"Nobody recorded comparing these {UNCONFIRMED} rows with their sources: {', '.join(rows)} [RW531]"
        )
    if len(texts) > FIRST_REASONS:
        shown.append(f"and {len(texts) - FIRST_REASONS} more, in the section on open questions")
    many = "s" if len(reasons) > 1 else ""
    return (f"{DRAFT}: it cannot be released, for {len(reasons)} reason{many}:", *shown)


def _outcome(issue: Issue) -> str:
    strength = issue.design.strength
    given = [m for m in strength.margins if m.margin is not None]
    missing = len(strength.margins) - len(given)
    if not given:
        return "No margin of safety could be given."
    least = min(given, key=lambda m: (m.margin or 0.0, m.id))
    words = f"Least margin of safety {ms(least.margin)}: {least.mode} of {least.piece} in {least.case}"
    words += f"; {missing} missing" if missing else ""
    return f"{words}. {LIMITLESS if no_limit_case(issue.design.strength.cases) else ''}".strip()


def _revisions(issue: Issue, date: str) -> Table:
    rows = []
    if issue.before is not None:
        rows.append(
            (issue.before_revision, issue.before["of"], "–", "superseded; its signatures do not apply below")
        )
    now = "this revision" if issue.before is None else "this revision: what changed stands in its own section"
    rows.append((issue.revision or "none", issue.of or "a file", date, now))
    return Table("Revisions", ("revision", "made of", "date", "what"), tuple(rows), align="iill")

"""The strength substantiation report: a cover with what it is made of and lines to sign, then its sections.

The lines to sign are empty always: names, signatures and dates are for people. No computed state may fill the last.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.papers.house import Attachment, Head, set_pdf
from rackwright.papers.table import Facts, Section, Table

__all__ = ["Report", "Signer", "set_report"]


@dataclass(frozen=True)
class Signer:
    """A line to sign: what for, and who may, in words."""

    act: str
    who: str


@dataclass(frozen=True)
class Report:
    """Everything a report shows. `state` says in words why it is a draft, or that nothing keeps it from release."""

    head: Head
    subject: str
    identity: Facts
    signers: tuple[Signer, ...]
    inputs: Facts
    state_title: str
    state: tuple[str, ...]
    outcome: str
    revisions: Table
    sections: tuple[Section, ...]
    attachments: tuple[Attachment, ...] = ()


def set_report(report: Report) -> bytes:
    """PDF/A-3b bytes."""
    names = (
        "subject",
        "identity",
        "signers",
        "inputs",
        "state_title",
        "state",
        "outcome",
        "revisions",
        "sections",
    )
    return set_pdf("report", report.head, {name: getattr(report, name) for name in names}, report.attachments)

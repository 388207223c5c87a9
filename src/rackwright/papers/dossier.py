"""The dossier of one serial: what it is, what was computed, what was recorded, and what is not covered."""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.papers.house import Attachment, Head, set_pdf
from rackwright.papers.table import Facts, Section

__all__ = ["Dossier", "set_dossier"]


@dataclass(frozen=True)
class Dossier:
    """Everything a dossier shows.

    The cover shows `identity` (serial, part, revision, order line, aircraft ...), the `orientation`
    statement, the `state` of the marks in words, and the head of the `record` (size, root). Contents are
    made from the sections. `outcome` is one line, such as the least margin of safety and where it is.
    """

    head: Head
    serial: str
    part: str
    identity: Facts
    orientation: str
    record: Facts
    sections: tuple[Section, ...]
    outcome: str = ""
    state: tuple[str, ...] = ()
    attachments: tuple[Attachment, ...] = ()


def set_dossier(dossier: Dossier) -> bytes:
    """PDF/A-3b bytes."""
    data = {
        "serial": dossier.serial,
        "part": dossier.part,
        "identity": dossier.identity,
        "orientation": dossier.orientation,
        "record": dossier.record,
        "sections": dossier.sections,
        "outcome": dossier.outcome,
        "state": dossier.state,
    }
    return set_pdf("dossier", dossier.head, data, dossier.attachments)

"""The stations' papers of the played order, and those of each serial beside its dossier."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from rackwright.demo.job import ORDER, Job
from rackwright.record import Record, project, state_of
from rackwright.trouble import Fault, Stopped
from rackwright.work import papers

__all__ = ["order_files", "report_files", "serial_files"]

File = tuple[str, str, bytes]  # name in the folder, words, bytes


def order_files(
    record: Record, job: Job, names: tuple[str, ...], date: str, say: Callable[[str], None]
) -> Iterator[File]:
    """Every station's paper of the order, and the drawing with its characteristics numbered.

    A station that an edited variation does not need (no rings, no coat) has none, and that is said.
    """
    yield ("papers/balloons.pdf", "the drawing with the numbers of the inspection sheet",
           papers.balloons(job.design, job.shop, date, demo=True))  # fmt: skip
    for task in papers.order_papers(job.plan, ORDER, date, names, True, job.bakes, state_of(record)):
        try:
            made = task.make()
        except Stopped as stopped:
            if any(isinstance(trouble, Fault) for trouble in stopped.troubles):
                raise
            say(f"no {task.kind}: {stopped.troubles[0].found}")
            continue
        for name, data in made.items():
            yield f"papers/{name}", task.about, data


def report_files(record: Record, job: Job) -> Iterator[File]:
    """The newest strength report of the order's revision, as recorded."""
    last = state_of(record).report_of(job.revision)
    if last is not None:
        yield (
            f"papers/{last.report}-{last.revision}.pdf",
            f"the strength report, revision {last.revision}",
            record.get_file(last.file),
        )


def serial_files(record: Record, job: Job, serial: str, date: str) -> Iterator[File]:
    """Inspection sheet, weight and balance, conformity of one serial."""
    events = record.events()
    state, design, shop = project(events), job.design, job.shop
    yield (f"papers/{serial}-inspection.pdf", "every characteristic as measured, blank where it is not",
           papers.inspection_sheet(design, shop, date, serial, state, events=events))  # fmt: skip
    yield (f"papers/{serial}-balance.pdf", "weight and balance with moments for the installer",
           papers.balance_report(events, serial, design, shop, date))  # fmt: skip
    yield (f"papers/{serial}-conformity.pdf", "for the person who signs: gates, heats, nonconformances",
           papers.conformity(events, serial, design, shop, date, record.get_file))  # fmt: skip

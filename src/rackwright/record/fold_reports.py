"""The steps of the fold that concern strength reports: rows compared, revisions prepared, checked, released.

A check and a release name the bytes they are of; what names other bytes than the revision's is kept in `odd`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.fold_tables import Body, Tables
from rackwright.record.state import Report, RowConfirmed

__all__ = ["ReportSteps"]


class ReportSteps(Tables):
    """Mixed into the fold."""

    def on_row_confirmed(self, event: Event, body: Body) -> None:
        self.confirmed[body["row"]] = RowConfirmed(
            body["row"], body["row_hash"], body["document"], event.by, event.seq
        )

    def on_report(self, event: Event, body: Body) -> None:
        reasons = tuple((one["code"], one["found"]) for one in body["reasons"])
        made = Report(
            body["report"], body["revision"], body["of"], body["inputs"], body["file"], body["results"], reasons,
            event.by, event.at, event.seq,
        )  # fmt: skip
        self.reports[made.report] = (*self.reports.get(made.report, ()), made)

    def on_report_checked(self, event: Event, body: Body) -> None:
        self._sign(event, body, checked_by=event.by, checked_seq=event.seq)

    def on_report_released(self, event: Event, body: Body) -> None:
        self._sign(event, body, released_by=event.by, released_seq=event.seq)

    def _sign(self, event: Event, body: Body, **changes: Any) -> None:
        rows, wanted = self.reports.get(body["report"], ()), (body["revision"], body["file"])
        if not any((row.revision, row.file) == wanted for row in rows):
            self._odd(
                event, f"report {body['report']} revision {body['revision']} of these bytes is not known"
            )
            return
        self.reports[body["report"]] = tuple(
            replace(row, **changes) if (row.revision, row.file) == wanted else row for row in rows
        )

"""The steps of the fold that concern hold points: what is signed off, and what takes a sign-off with it.

A sign-off is of what was there when it was given. So it falls when something that was done or measured before it is
done anew, or undone by a red line; and with the piece itself.
"""

from __future__ import annotations

from collections.abc import Collection

from rackwright.record.envelope import Event
from rackwright.record.fold_tables import Body, Tables
from rackwright.record.office import HoldPoint

__all__ = ["PointSteps"]


class PointSteps(Tables):
    """Mixed into the fold."""

    def on_hold_point(self, event: Event, body: Body) -> None:
        for name in (*body.get("pieces", ()), *body.get("serials", ())):
            made = self.pieces.get(name)
            if made is None and name not in self.serials:
                self._odd(event, f"{name!r} is not known")
                continue
            after = made.done if made else ("assemble",)
            signed = HoldPoint(body["point"], event.by, event.at, event.seq, after, body.get("remarks", ""))
            self.hold_points[name] = {**self.hold_points.get(name, {}), signed.point: signed}

    def _done_anew(self, about: str, step: str) -> None:
        """What was signed off after this step was done falls."""
        self._keep(
            about, {one.seq for one in self.hold_points.get(about, {}).values() if step not in one.after}
        )

    def _undone(self, about: str, steps: Collection[str], readings: Collection[str]) -> None:
        """What was signed off after one of these was done or measured falls."""
        standing = self.hold_points.get(about)
        if not standing:
            return
        for step in steps:
            self._done_anew(about, step)
        if readings:
            mine = (one for one in self.measurements if about == (one.piece or one.serial))
            first = min((one.seq for one in mine if one.characteristic in readings), default=0)
            if first:
                self._keep(about, {one.seq for one in standing.values() if one.seq < first})

    def _keep(self, about: str, seqs: Collection[int]) -> None:
        standing = self.hold_points.get(about, {})
        left = {point: one for point, one in standing.items() if one.seq in seqs}
        if len(left) != len(standing):
            self.hold_points[about] = left

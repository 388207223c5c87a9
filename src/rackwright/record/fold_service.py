"""The steps of the fold that concern a rack after its release.

Work on a rack takes its release back: it is `back` until somebody who may release puts it back to service. A joint that
was taken apart is not tightened, a step that was undone is not done, and a rack that was worked on is not weighed (what
the scales found before stays known): the gates of release and of going back to service then ask for each anew. A
replacement that an older program recorded named no joints, and asks for nothing.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from rackwright.record.envelope import Event
from rackwright.record.fold_points import PointSteps
from rackwright.record.fold_tables import Body, day_done, with_names
from rackwright.record.service import CameBack, Carried, Service, Work, holes_open

__all__ = ["ServiceSteps"]


class ServiceSteps(PointSteps):
    """Mixed into the fold."""

    def on_come_back(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            came = CameBack(
                body["from"], body["document"], body["reason"], body["condition"], body["day"],
                body.get("hours", ""), event.by, event.seq,
            )  # fmt: skip
            kept = self._service(serial.serial)
            self.service[serial.serial] = replace(kept, back=(*kept.back, came))
            self.serials[serial.serial] = replace(serial, state="back", shipped_to="")
            self.installed.pop(serial.serial, None)

    def on_service_work(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial is None:
            return
        pieces, undone = tuple(body.get("pieces", ())), tuple(body.get("steps", ()))
        left: list[tuple[str, str]] = []
        for name in pieces:
            piece = self._known(self.pieces, name, event, "piece")
            if piece:
                left += [(name, step) for step in undone if step in piece.done]
                self._undone(name, undone, ())
                self.pieces[name] = replace(
                    piece,
                    makers=with_names(piece.makers, event.by),
                    done=tuple(step for step in piece.done if step not in undone),
                )
        self._worked(event, body, left, pieces)

    def on_replace(self, event: Event, body: Body) -> None:
        old = self._known(self.pieces, body["old"], event, "piece")
        new = self._known(self.pieces, body["new"], event, "piece")
        serial = self._known(self.serials, body["serial"], event, "serial")
        if old and new and serial:
            self.pieces[old.piece] = replace(
                old, state="replaced", reason=body["reason"], fate=body.get("fate", {}).get("what", ""),
                out_seq=event.seq, out_at=event.at,
            )  # fmt: skip
            self._awaits(event, old.piece, body.get("fate", {}))
            done = (*new.done, "assemble") if "work" in body else new.done
            self.pieces[new.piece] = replace(new, state="assembled", serial=serial.serial, done=done)
            self._into(serial.serial, pieces=(new.piece,), out=old.piece)
            self._done_anew(serial.serial, "assemble")
            if "work" in body:
                self._worked(event, body, [], (new.piece,))

    def on_back_to_service(self, event: Event, body: Body) -> None:
        serial = self._known(self.serials, body["serial"], event, "serial")
        if serial:
            kept = self._service(serial.serial)
            works = tuple(
                replace(one, cleared=event.seq) if one.work in body["works"] else one for one in kept.works
            )
            self.service[serial.serial] = replace(
                kept, works=works, cleared=event.seq, cleared_by=event.by, cleared_at=event.at
            )
            self.serials[serial.serial] = replace(serial, state="released", margins=tuple(body["margins"]))

    def on_swap(self, event: Event, body: Body) -> None:
        if self._known(self.serials, body["serial"], event, "serial"):
            before = self.carried.get(body["serial"], {}).get(body["item"])
            place = body.get("place", "")
            open_ = holes_open(before, body.get("left", ()), place)
            done = body.get("holes") == "filled"
            filled = (*(before.filled if before else ()), *(open_ if done else ()))
            now = Carried(
                body["item"], body["by_whom"], body["document"], body.get("day", ""), body.get("out", False),
                body.get("part", ""), body.get("box", ""), body.get("mass", ""), tuple(body.get("cg", ())),
                body.get("shelf", ""), tuple(body.get("at", ())), event.seq,
                place, () if done else open_, filled, body.get("day") or day_done(event),
            )  # fmt: skip
            carried = self.carried.get(body["serial"], {})
            self.carried[body["serial"]] = {**carried, body["item"]: now}

    # what several of them do

    def _worked(
        self, event: Event, body: Body, steps: list[tuple[str, str]], pieces: tuple[str, ...]
    ) -> None:
        """Work on a rack: what it leaves to be done anew, and that its release no longer stands."""
        name, apart = body["serial"], tuple(body.get("joints", ()))
        kind = body.get("kind", "replacement")
        read = [(each["about"], one) for each in body.get("characteristics", ()) for one in each["names"]]
        work = Work(
            body["work"], kind, body.get("text", body.get("reason", "")), body.get("document", ""),
            body.get("holder", ""), body.get("date", ""), body.get("nonconformance", ""), pieces,
            body.get("method", ""), event.by, event.at, event.seq, apart,
            day=day_done(event),
        )  # fmt: skip
        kept = self._service(name)
        self.service[name] = replace(
            kept, works=(*kept.works, work), loose=with_names(kept.loose, *apart),
            left=tuple(dict.fromkeys((*kept.left, *steps, *read))),
        )  # fmt: skip
        rack = self.serials[name]
        self.serials[name] = replace(
            rack,
            state="back" if rack.state == "released" else rack.state,
            joints={bolt: joint for bolt, joint in rack.joints.items() if bolt not in apart},
            weighed=rack.weighed if kind == "inspection" else None,
        )
        self._into(name, lots=tuple(body.get("lots", ())))
        if apart:
            self._done_anew(name, "assemble")

    def _heated(self, event: Event, body: Body, counts: bool) -> None:
        """What the oven recorded of these pieces, in a bake that counts or not."""
        beside = {body.get("late", {}).get("paper", ""), *(one["file"] for one in body.get("attached", ()))}
        files = body.get("logs", [file for file in event.refs.files if file not in beside])
        logs = tuple((file, event.seq) for file in files)
        for name in body.get("pieces", ()):
            if name in self.pieces:
                piece = self.pieces[name]
                if counts:
                    self.pieces[name] = replace(piece, bakes=(*piece.bakes, *logs))
                else:
                    self.pieces[name] = replace(piece, tried=(*piece.tried, *logs))

    def _tightened(self, serial: str, bolts: Any) -> None:
        kept = self.service.get(serial)
        if kept and kept.loose:
            self.service[serial] = replace(
                kept, loose=tuple(bolt for bolt in kept.loose if bolt not in bolts)
            )

    def _anew(self, about: str, *, step: str = "", reading: str = "") -> None:
        super()._anew(about, step=step, reading=reading)
        kept = self.service.get(about) or self.service.get(
            self.pieces[about].serial if about in self.pieces else ""
        )
        if kept and kept.left:
            done = ((about, step), (about, reading))
            self.service[kept.serial] = replace(kept, left=tuple(one for one in kept.left if one not in done))

    def _service(self, serial: str) -> Service:
        return self.service.get(serial) or Service(serial)

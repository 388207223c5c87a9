"""A form for every act that a request may ask for, drawn from its keys, with files that go with it.

What is typed is read as the words of `rackwright log`. A file is read whole, kept by its hash once the PIN is known to
be right, and the act names it: an answer that was lost is asked for again with the same act id, which does nothing
twice. What is entered late from paper says when it was done, and brings the scan of that. What was refused is said on
top, and what was typed stands in the form again, the PIN and the files apart.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import PurePosixPath, PureWindowsPath
from typing import Annotated

from fastapi import APIRouter, Depends, Request, Response
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

from rackwright.faces.acts.desk import attachments
from rackwright.faces.web.acting import OF_A_DEFINITION, Answer, Beside, Room, known, verbs
from rackwright.faces.web.gate import room_of, signed_in
from rackwright.faces.web.pages import code_of, drawn
from rackwright.faces.web.sessions import Session
from rackwright.trouble import Failure, Fault, Stopped, Trouble, Where

__all__ = ["PLACE", "private"]

PLACE = "/do"
KEY = "key."  # before the name of an act's key, so that none is taken for act_id or pin
MOST_ATTACHED = 20
#: how a kind of value is written
WRITTEN = {
    "date": "YYYY-MM-DD", "list": "a, b, c", "pairs": "name=value, name=value", "length": "40.5 in",
    "lengths": "name=40.5 in, name=12 in", "outlines": "name=12 in x 8 in; 12 in x 0 in; …",
}  # fmt: skip

private = APIRouter(prefix=PLACE, dependencies=[Depends(signed_in)])
Sitting = Annotated[Session, Depends(signed_in)]
InRoom = Annotated[Room, Depends(room_of)]


@dataclass(frozen=True)
class Sent:
    """A form as it came: what was typed, by key, and the files by name."""

    act_id: str
    pin: str
    typed: Mapping[str, str]
    beside: Beside
    wrong: tuple[Trouble, ...] = ()  # of the files: what was typed is kept


async def _sent(request: Request) -> Sent:
    """What is no form, or holds too many files, is `wrong`."""
    try:
        form = await request.form(max_files=MOST_ATTACHED)
    except HTTPException as error:
        do = f"send a form with at most {MOST_ATTACHED} files"
        fault = Fault("RW504", Where("request", 0, "form"), str(error.detail)[:80], do)
        return Sent("", "", {}, Beside(), (fault,))
    items = form.multi_items()
    texts = {name: value for name, value in items if isinstance(value, str)}
    sent = [(_name(one), await one.read()) for one in _files(items, "attach")]
    scans = [(_name(one), await one.read()) for one in _files(items, "scan")[:1]]
    typed = {name.removeprefix(KEY): text for name, text in texts.items() if name.startswith(KEY)}
    beside, wrong = Beside(done=texts.get("done", "").strip()), tuple[Trouble, ...]()
    try:
        files = attachments((name, name, data) for name, data in sent)
        (scan,) = attachments((name, name, data) for name, data in scans).values() or (b"",)
        beside = replace(beside, files=files, scan=scan)
    except Stopped as stopped:
        wrong = stopped.troubles
    return Sent(texts.get("act_id", ""), texts.get("pin", ""), typed, beside, wrong)


def _files(items: Iterable[tuple[str, object]], name: str) -> list[UploadFile]:
    """Those of one input; a browser sends an empty one where none was chosen."""
    return [one for key, one in items if key == name and isinstance(one, UploadFile) and one.filename]


def _name(one: UploadFile) -> str:
    """Of the file alone, whatever folder a browser tells."""
    return PurePosixPath(PureWindowsPath(one.filename or "").name).name


@private.get("")
def every(session: Sitting) -> Response:
    """Every act, with what it is."""
    return drawn(
        "acts.html", person=session.person, acts={name: kind.words for name, kind in verbs().items()}
    )


@private.get("/{verb}")
def form(verb: str, session: Sitting, room: InRoom) -> Response:
    return _form(verb, session, room, ())


@private.post("/{verb}")
def do(verb: str, sent: Annotated[Sent, Depends(_sent)], session: Sitting, room: InRoom) -> Response:
    """One act: its events, or the form again with why not."""
    if sent.wrong:
        return _form(verb, session, room, sent.wrong, sent)
    fields = {name: text for name, text in sent.typed.items() if text.strip()}
    answer = room.act(session, verb, sent.act_id, fields, sent.pin, sent.beside)
    if answer.troubles:
        return _form(verb, session, room, answer.troubles, sent, answer)
    told = [(event.seq, event.type) for event in answer.events]
    return drawn("done.html", person=session.person, verb=verb, told=told, repeated=answer.repeated)


def _form(
    verb: str, session: Session, room: Room, troubles: Sequence[Trouble], sent: Sent | None = None,
    answer: Answer | None = None,
) -> Response:  # fmt: skip
    """The form; an act that was refused is recorded, so that another try is another act."""
    if any(isinstance(one, Failure) for one in troubles):
        raise Stopped(troubles)
    kind = known(verb)
    decided = any(not isinstance(one, Fault) for one in troubles)
    act_id = sent.act_id if sent and sent.act_id and not decided else room.station.new_id()
    return drawn(
        "act.html", code_of(troubles), person=session.person, verb=verb, kind=kind, key=KEY,
        written=WRITTEN,
        troubles=troubles, typed=sent.typed if sent else {}, late=sent.beside.done if sent else "", act_id=act_id,
        done=[(event.seq, event.type) for event in answer.events] if answer else [],
        files=room.definitions() if verb in OF_A_DEFINITION else [],
    )  # fmt: skip

"""The pages: sign in, and the saw, where one tap says that one piece came off its bar.

Each form carries an act id that was made when its page was drawn, so that a second tap does nothing twice. A page is
drawn from the record alone; what is refused is said on top of it, in the words of the gate.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Form, Request, Response
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import Environment, PackageLoader, StrictUndefined

from rackwright.faces.cli.show import inches, one_line
from rackwright.faces.web.acting import Room
from rackwright.faces.web.gate import room_of, set_cookie, signed_in, token_of
from rackwright.faces.web.sessions import Session
from rackwright.making.sawing.replan import SawWork
from rackwright.record import State, Stock
from rackwright.record.metal import holding
from rackwright.trouble import DEFERENCE, Failure, Fault, Refusal, Stopped, Trouble, Where

__all__ = ["code_of", "drawn", "private", "public"]

public = APIRouter()
private = APIRouter(dependencies=[Depends(signed_in)])
Sitting = Annotated[Session, Depends(signed_in)]
InRoom = Annotated[Room, Depends(room_of)]
Text = Annotated[str, Form()]
Texts = Annotated[list[str], Form()]


@cache
def _drawn() -> Environment:
    pages = Environment(
        loader=PackageLoader("rackwright.faces.web"), autoescape=True, undefined=StrictUndefined
    )
    pages.filters |= {"line": one_line, "inches": inches, "exactly": _exactly}
    pages.globals["deference"] = DEFERENCE
    return pages


def _exactly(nm: int) -> str:
    """A length that reads back to the same nanometre."""
    return inches(nm) if nm % 2540 == 0 else f"{nm // 1_000_000}.{nm % 1_000_000:06d} mm"


def drawn(name: str, status: int = 200, **values: Any) -> Response:
    return HTMLResponse(_drawn().get_template(name).render(**values), status)


def code_of(troubles: Sequence[Trouble]) -> int:
    """200, 409 the answer is no, 422 the request is wrong, 500 the machine failed."""
    ranks = ((500, Failure), (422, Fault), (409, Refusal))
    return next((code for code, kind in ranks if any(isinstance(one, kind) for one in troubles)), 200)


@public.get("/style.css")
def style() -> Response:
    return Response(files(__package__).joinpath("style.css").read_bytes(), media_type="text/css")


# --- signing in ----------------------------------------------------------------------------------


@public.get("/sign-in")
def ask(room: InRoom) -> Response:
    """The form; where nobody has a password, the command that sets one."""
    return drawn("sign_in.html", wrong=False, possible=room.someone_can_sign_in())


@public.post("/sign-in")
def sign_in(request: Request, room: InRoom, person: Text = "", password: Text = "") -> Response:
    """A new session, whatever session the browser had. What was wrong is in the record, not in the answer."""
    try:
        token = room.sign_in(person.strip(), password)
    except Stopped as stopped:
        if any(isinstance(trouble, Failure) for trouble in stopped.troubles):
            raise
        return drawn("sign_in.html", 403, wrong=True, possible=room.someone_can_sign_in())
    room.sign_out(token_of(request))
    answer = RedirectResponse("/saw", 303)
    set_cookie(request, answer, token)
    return answer


@private.post("/sign-out")
def sign_out(request: Request, room: InRoom) -> Response:
    room.sign_out(token_of(request))
    answer = RedirectResponse("/sign-in", 303)
    answer.delete_cookie(request.app.state.cookie, path="/", secure=not request.app.state.loopback,
                         httponly=True, samesite="strict")  # fmt: skip
    return answer


# --- the saw -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Button:
    """A piece of a visit: its id, whether it came off, its length as planned, and the id of the act of tapping it."""

    piece: str
    off: bool
    length_nm: int | None
    act_id: str


@dataclass(frozen=True)
class AtTheSaw:
    """A bar that is signed out: its pieces in the order of the sign-out."""

    bar: Stock
    pieces: tuple[Button, ...]
    signed: bool
    act_id: str  # of booking the visit

    @property
    def off(self) -> list[Button]:
        return [one for one in self.pieces if one.off]


@private.get("/")
def start() -> Response:
    return RedirectResponse("/saw", 303)


@private.get("/saw")
def saw(session: Sitting, room: InRoom) -> Response:
    """The bars at the saw."""
    return _saw(session, room, ())


@private.post("/saw/begin")
def begin(session: Sitting, room: InRoom, stock_id: Text, pin: Text = "") -> Response:
    """The one signature of a visit."""
    try:
        room.begin_visit(session, stock_id, pin)
    except Stopped as stopped:
        return _saw(session, room, stopped.troubles)
    return RedirectResponse("/saw", 303)


@private.post("/saw/off")
def off(session: Sitting, room: InRoom, act_id: Text, piece: Text) -> Response:
    """A tap: the piece came off, and its label, which the button shows, is on it."""
    return _act(session, room, "label", act_id, {"piece": piece, "label": piece}, "")


@private.post("/saw/cut")
def cut(
    session: Sitting, room: InRoom, act_id: Text, stock_id: Text, job: Text, piece: Texts, length: Texts,
    kerf: Text = "", trim: Text = "", rest: Text = "", machine: Text = "", remnant: Text = "", label: Text = "",
    stop: Text = "", pin: Text = "",
) -> Response:  # fmt: skip
    """The visit is booked: what was cut, and the rest under its label as scanned."""
    if len(piece) != len(length):
        words, do = f"{len(piece)} pieces, {len(length)} lengths", "give a length for each piece"
        return _saw(session, room, [Fault("RW504", Where("request", 0, "length"), words, do)])
    lengths = dict(zip(piece, length, strict=True))
    said = {"stock_id": stock_id, "job": job, "kerf": kerf, "trim": trim, "rest": rest, "machine": machine,
            "remnant": remnant, "label": label}  # fmt: skip
    given: dict[str, Any] = {name: text for name, text in said.items() if text.strip()}
    given |= {"gauges": [stop.strip()]} if stop.strip() else {}
    typed = said | {"stop": stop} | {f"length of {name}": text for name, text in lengths.items()}
    return _act(session, room, "cut", act_id, {**given, "pieces": lengths}, pin, typed)


def _act(
    session: Session, room: Room, verb: str, act_id: str, fields: dict[str, Any], pin: str,
    typed: Mapping[str, str] | None = None,
) -> Response:  # fmt: skip
    answer = room.act(session, verb, act_id, fields, pin)
    return _saw(session, room, answer.troubles, typed) if answer.troubles else RedirectResponse("/saw", 303)


def _saw(
    session: Session, room: Room, troubles: Sequence[Trouble], typed: Mapping[str, str] | None = None
) -> Response:
    """The page; what was `typed` and refused stands in its form again, the PIN apart."""
    if any(isinstance(one, Failure) for one in troubles):
        raise Stopped(troubles)
    with room.looking() as state:
        lengths = _planned(room, state)
        bars = [_at_saw(session, room, bar, lengths) for bar in state.stock.values() if _is_at_saw(bar)]
    status = code_of(troubles)
    return drawn("saw.html", status, person=session.person, bars=bars, troubles=troubles, typed=typed or {})


def _is_at_saw(bar: Stock) -> bool:
    return bar.state == "issued" and bool(bar.planned and bar.length_nm) and not bar.outline


def _at_saw(session: Session, room: Room, bar: Stock, lengths: dict[str, int]) -> AtTheSaw:
    new_id = room.station.new_id
    pieces = tuple(Button(piece, piece in bar.off, lengths.get(piece), new_id()) for piece in bar.planned)
    return AtTheSaw(bar, pieces, room.signed_for(session, bar), new_id())


def _planned(room: Room, state: State) -> dict[str, int]:
    """piece -> nm by the saw plans of each order, the newest last; none where a file is not there."""
    lengths: dict[str, int] = {}
    for plan in (one for plans in state.saw_plans.values() for one in holding(plans)):
        try:
            work = SawWork.from_json(json.loads(room.station.record.get_file(plan.file)))
        except Stopped:
            continue  # the audit says so; at the saw the length is typed
        lengths |= {piece: nm for bar in work.bars for piece, nm in bar.pieces}
    return lengths

"""Who may come in: the session of a request, by its cookie; the dependencies that routes name."""

from __future__ import annotations

from fastapi import Request, Response

from rackwright.faces.web.acting import Room
from rackwright.faces.web.sessions import ABSOLUTE, Session

__all__ = ["Out", "room_of", "set_cookie", "signed_in", "token_of"]


class Out(Exception):
    """The request has no session, or one that has ended."""


def room_of(request: Request) -> Room:
    room: Room = request.app.state.room
    return room


def token_of(request: Request) -> str:
    return request.cookies.get(request.app.state.cookie, "")


def signed_in(request: Request) -> Session:
    """The session that the request belongs to. Raises Out."""
    session = room_of(request).sitting(token_of(request))
    if session is None:
        raise Out
    return session


def set_cookie(request: Request, answer: Response, token: str) -> None:
    """The session's token, for this site and no script; only encrypted where others reach the machine."""
    answer.set_cookie(request.app.state.cookie, token, max_age=int(ABSOLUTE), path="/", httponly=True,
                      samesite="strict", secure=not request.app.state.loopback)  # fmt: skip

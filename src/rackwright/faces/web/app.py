"""The routes, what every request must keep to, and how troubles become answers.

What must hold is that of the OWASP Application Security Verification Standard 5.0, chapters 3.3 to 3.5 (from memory): a
cookie that no script and no other site can use, every change by POST and from this site alone, nothing loaded from
elsewhere. A browser says where a request comes from by Sec-Fetch-Site (W3C Fetch Metadata) and Origin (RFC 6454); one
that says neither may change nothing. A route asks for a session by standing in the router `private`.
"""

from __future__ import annotations

import logging
import os
import sys
import traceback
from collections.abc import Awaitable, Callable
from typing import Annotated, Any

from fastapi import APIRouter, Depends, FastAPI, Request, Response
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse

from rackwright.faces import run_log
from rackwright.faces.acts.desk import MAX_PAPER
from rackwright.faces.web import forms, pages
from rackwright.faces.web.acting import REQUEST, Answer, Beside, Room
from rackwright.faces.web.gate import Out, room_of, signed_in
from rackwright.faces.web.sessions import Session
from rackwright.located import read_json
from rackwright.trouble import Failure, Fault, Refusal, Stopped, Trouble, Where

__all__ = ["create_app"]

MOST_BYTES = 200_000  # of a request
MOST_FILES = MAX_PAPER + MOST_BYTES  # of a form with what is attached to it
KINDS = ("heat", "piece", "serial", "gauge", "order")
HEADERS = {
    "Content-Security-Policy": "default-src 'self'; frame-ancestors 'none'; form-action 'self'; base-uri 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",  # `no-referrer` would take the Origin from our own forms
    "Cache-Control": "no-store",
}
LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})

private = APIRouter(dependencies=[Depends(signed_in)])
Sitting = Annotated[Session, Depends(signed_in)]
InRoom = Annotated[Room, Depends(room_of)]


def create_app(room: Room, loopback: bool = True) -> FastAPI:
    """The app of one process. `loopback`: only this machine reaches it, without encryption; else the cookie asks for
    it."""
    app = FastAPI(openapi_url=None, docs_url=None, redoc_url=None)
    app.state.room, app.state.loopback = room, loopback
    app.state.cookie = "session" if loopback else "__Host-session"
    app.middleware("http")(_kept_to)
    app.add_exception_handler(Out, _out)
    app.add_exception_handler(Stopped, _stopped)
    app.add_exception_handler(RequestValidationError, _unread)
    app.include_router(pages.public)
    app.include_router(private)
    app.include_router(pages.private)
    app.include_router(forms.private)
    return app


# --- what every request keeps to -----------------------------------------------------------------


async def _kept_to(request: Request, go_on: Callable[[Request], Awaitable[Response]]) -> Response:
    wrong = _host(request) or _size(request) or _site(request)
    if wrong:
        answer = _told(request, (wrong[1],), wrong[0])
    else:
        try:
            answer = await go_on(request)
        except Exception as error:
            answer = _ours(request, error)
    answer.headers.update(HEADERS)
    return answer


def _ours(request: Request, error: Exception) -> Response:
    """A fault of ours: named where the process writes, the traceback only where it was asked for."""
    print(f"a fault of ours: {type(error).__name__}: {error}", file=sys.stderr, flush=True)
    run_log.did("fault of ours", logging.ERROR, kind=type(error).__name__)
    if os.environ.get("RACKWRIGHT_TRACE"):
        traceback.print_exception(error)
    words = Failure("RW000", Where("request"), "a fault of ours", "ask the same again with the same act id: it does "
                    "nothing twice; report what the server wrote")  # fmt: skip
    return _told(request, (words,), 500)


def _host(request: Request) -> tuple[int, Refusal] | None:
    """On loopback a name that somebody else made point here is none of ours."""
    host = request.headers.get("host", "")
    name = host.rpartition(":")[0] if host.rpartition(":")[2].isdigit() else host
    if not request.app.state.loopback or name in LOOPBACK:
        return None
    return 400, Refusal("RW549", Where("request", 0, "Host"), f"{host[:60]!r} is not this machine",
                        "use the address that `rackwright serve` prints")  # fmt: skip


def _size(request: Request) -> tuple[int, Refusal] | None:
    if request.method in ("GET", "HEAD"):
        return None
    size = request.headers.get("content-length", "")
    most = MOST_FILES if request.url.path.startswith(f"{forms.PLACE}/") else MOST_BYTES
    if size.isdigit() and int(size) <= most:
        return None
    words = f"{size[:20]} bytes" if size else "it does not say how long it is"
    return 413, Refusal(
        "RW549", Where("request", 0, "Content-Length"), words, f"at most {most} bytes are read"
    )


def _site(request: Request) -> tuple[int, Refusal] | None:
    """A change comes from our own page, as the browser says; where it says nothing, from nowhere."""
    if request.method in ("GET", "HEAD"):
        return None
    site, origin = (request.headers.get(name) for name in ("sec-fetch-site", "origin"))
    ours = (f"http://{request.headers.get('host')}", f"https://{request.headers.get('host')}")
    if (site or origin) and site in (None, "same-origin") and (origin is None or origin in ours):
        return None
    said = f"Sec-Fetch-Site {site or 'not said'}, Origin {(origin or 'not said')[:60]}"
    return 403, Refusal("RW549", Where("request", 0, "Origin"), said,
                        "act on the pages themselves; a program sends the Origin of this address")  # fmt: skip


# --- troubles ------------------------------------------------------------------------------------


def _troubles(troubles: tuple[Trouble, ...]) -> dict[str, Any]:
    return {"trouble": [trouble.to_json() for trouble in troubles]}


def _browser(request: Request) -> bool:
    return "text/html" in request.headers.get("accept", "")


def _told(request: Request, troubles: tuple[Trouble, ...], code: int) -> Response:
    """As a page to a browser, as JSON to a program."""
    if _browser(request):
        return pages.drawn("refused.html", code, troubles=troubles)
    return JSONResponse(_troubles(troubles), code)


async def _out(request: Request, error: Exception) -> Response:
    """No session: a page leads to where one signs in, anything else is told."""
    if request.method == "GET" and _browser(request):
        return RedirectResponse("/sign-in", 303)
    words = Refusal("RW549", Where("request", 0, "Cookie"), "no session, or one that has ended", "sign in")
    return _told(request, (words,), 401)


async def _stopped(request: Request, error: Exception) -> Response:
    assert isinstance(error, Stopped)
    for trouble in error.troubles:
        if isinstance(trouble, Failure):
            request.app.state.room.failed(trouble)
    return _told(request, error.troubles, pages.code_of(error.troubles))


async def _unread(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = tuple(
        Fault("RW504", Where("request", 0, ".".join(map(str, one["loc"]))), str(one["msg"]), "give it")
        for one in error.errors()
    )
    return _told(request, faults, 422)


# --- acts and questions as JSON ------------------------------------------------------------------


async def _body(request: Request) -> dict[str, Any]:
    """The object that was sent. Raises Stopped."""
    sent = request.headers.get("content-type", "").partition(";")[0].strip()
    if sent != "application/json":
        do = "send application/json"
        raise Stopped([Fault("RW504", Where(REQUEST, 0, "Content-Type"), f"{sent[:60]!r} is not read", do)])
    document, faults = read_json(await request.body(), REQUEST)
    if document is None:
        raise Stopped(faults)
    kinds = {"act_id": str, "fields": dict, "pin": str, "done": str}
    wrong = [
        Fault("RW504", document.places.where((name,)), f"{name[:60]} is not asked for or of the wrong kind",
              "give act_id (text), fields (object), pin (text) where the act is signed, done (text) where it is late")
        for name, value in document.values.items() if not isinstance(value, kinds.get(name, ()))
    ]  # fmt: skip
    wrong += [Fault("RW504", Where(REQUEST, 0, name), f"{name} is missing", f"give {name}")
              for name in ("act_id", "fields") if name not in document.values]  # fmt: skip
    if wrong:
        raise Stopped(wrong)
    return document.values


@private.post("/acts/{verb}")
def act(
    verb: str, body: Annotated[dict[str, Any], Depends(_body)], session: Sitting, room: InRoom
) -> Response:
    """One act: its events, or why not."""
    late = Beside(done=body.get("done", ""))
    answer = room.act(session, verb, body["act_id"], body["fields"], body.get("pin", ""), late)
    return JSONResponse(to_json(answer), pages.code_of(answer.troubles))


def to_json(answer: Answer) -> dict[str, Any]:
    document: dict[str, Any] = {
        "format": "rackwright/act/1", "repeated": answer.repeated,
        "recorded": [{"seq": event.seq, "type": event.type} for event in answer.events],
    }  # fmt: skip
    return document | (_troubles(answer.troubles) if answer.troubles else {})


@private.get("/head")
def head(room: InRoom) -> dict[str, Any]:
    """How many events there are, and the root over them."""
    found, _ = room.look()
    return {"format": "rackwright/head/1", "size": found.size, "root": found.root}


@private.get("/trace/{kind}/{name:path}")
def trace(kind: str, name: str, room: InRoom) -> dict[str, Any]:
    """As `rackwright trace KIND NAME --json`."""
    from rackwright.work.serials.tracing import trace_in

    if kind not in KINDS:
        do = f"ask for {', '.join(KINDS)}"
        raise Stopped([Fault("RW504", Where("request", 0, "kind"), f"{kind[:60]!r} is not traced", do)])
    return {"format": "rackwright/trace/1", **trace_in(room.station.record, kind, name)}

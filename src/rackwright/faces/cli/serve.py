"""`rackwright serve`: one process that serves the pages of the stations and takes acts as JSON."""

from __future__ import annotations

import importlib.util
import ipaddress
import signal
import socket
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import click

from rackwright.trouble import Failure, Fault, Stopped, Where

if TYPE_CHECKING:
    from pathlib import Path

    from rackwright.work.station import Station

__all__ = ["serve"]

EXTRA = ("fastapi", "uvicorn", "jinja2", "python_multipart")
BACKLOG = 128
PATIENCE = 5  # s for requests under way once it is to end


@click.command()
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above, or RACKWRIGHT_SHOP."
)
@click.option("--host", default="127.0.0.1", show_default=True, help="The address to listen at.")
@click.option(
    "--port", type=click.IntRange(0, 65_535), default=8047, show_default=True, help="0: a free one."
)
def serve(shop: str | None, host: str, port: int) -> int:
    """Serve the stations' pages, and acts as JSON, until it is stopped.

    \b
    Example:   rackwright serve --shop demo-shop

    People sign in with the password of the record (`rackwright log secret kind=password`). On another address
    than this machine's own, put a proxy that speaks HTTPS before it: the session's cookie asks for that.

    \b
    POST /acts/VERB    {"act_id": ID, "fields": {...}, "pin": "..."} as `rackwright log VERB`; the same id again
                       does nothing twice, and a refused id stays refused: a new try has a new id.
                       200 recorded, 409 refused, 422 the request is wrong
    GET /head          size and root of the record
    GET /trace/KIND/ID as `rackwright trace KIND ID --json`

    A disk or server that fails ends the process with 3; nothing is retried. Ends with 0 when it is told to (SIGTERM).
    """
    if missing := [name for name in EXTRA if importlib.util.find_spec(name) is None]:
        do = "pip install 'rackwright[serve]'"
        raise Stopped([Fault("RW008", Where("installation"), f"{', '.join(missing)} is not installed", do)])
    from rackwright.work.keeping.shop_folder import folder_of
    from rackwright.work.station import open_station

    folder = folder_of(shop)
    station = replace(open_station(folder, ""), name="serve")
    try:
        with _listening(host, port) as door:
            return _run(folder, station, door)
    finally:
        station.record.close()


def _listening(host: str, port: int) -> socket.socket:
    """A socket that waits for clients. Raises Stopped (RW001) where the address cannot be had."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    door = socket.socket(family, socket.SOCK_STREAM)
    try:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind((host, port))
        door.listen(BACKLOG)
    except OSError as error:
        door.close()
        words = str(error.strerror or error).lower()
        where = Where("command line", 0, "--host, --port")
        raise Stopped(
            [Fault("RW001", where, f"{host}:{port}: {words}", "give an address that is free")]
        ) from None
    return door


def _run(folder: Path, station: Station, door: socket.socket) -> int:
    import uvicorn

    from rackwright.faces.web.acting import Room
    from rackwright.faces.web.app import create_app

    failures: list[Failure] = []

    def failed(failure: Failure) -> None:
        failures.append(failure)
        server.should_exit = True

    host, port = door.getsockname()[:2]
    app = create_app(Room(folder, station, failed), _is_loopback(host))
    config = uvicorn.Config(app, log_level="critical", access_log=False, server_header=False, proxy_headers=False,
                            timeout_graceful_shutdown=PATIENCE)  # fmt: skip
    server = uvicorn.Server(config)

    def heard(*_: Any) -> None:
        server.should_exit = True

    for number in (signal.SIGTERM, signal.SIGINT):  # uvicorn ends by them, then raises them once more
        signal.signal(number, heard)
    shown = f"[{host}]" if ":" in host else host
    click.echo(f"http://{shown}:{port}/")
    server.run(sockets=[door])
    if failures:
        raise Stopped(failures[:1])
    return 0


def _is_loopback(host: str) -> bool:
    return ipaddress.ip_address(host).is_loopback

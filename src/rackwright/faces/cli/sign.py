"""The PIN or password that an act is signed with: from a file, or asked for where it is not seen."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rackwright.work.station import Station

__all__ = ["SIGN", "first_password", "given", "new_secret", "signing"]

SIGN = click.Option(
    ["--sign"], metavar="FILE",
    help="A file whose first line is the person's PIN or password; - for standard input. Else it is asked for.",
)  # fmt: skip


def given(sign: str | None) -> list[str]:
    """The lines of the file. Raises Stopped (RW002) where it cannot be read."""
    if sign is None:
        return []
    from rackwright.faces.cli.files import read_bytes

    data = sys.stdin.buffer.read(4096) if sign == "-" else read_bytes(sign)
    return data.decode("utf-8", "replace").splitlines()


def first_password(lines: list[str], person: str) -> str:
    """The password that a shop is founded with: the first line, or asked for twice; "" where nobody can be asked.
    Raises Stopped (RW504) for one that is too weak."""
    from rackwright.trouble import Fault, Stopped, Where
    from rackwright.work.people.signing import PASSWORD, weakness

    if not lines and not sys.stdin.isatty():
        return ""
    ask = f"a password for {person}, of 15 characters or more"
    text: str = lines[0] if lines else click.prompt(ask, hide_input=True, confirmation_prompt=True, err=True)
    if weak := weakness(PASSWORD, text):
        raise Stopped([Fault("RW504", Where("command line", 0, "--sign"), weak, "choose another")])
    return text


def signing(station: Station, lines: list[str], codes: bool = False) -> Station:
    """The station with the secret; asked for at a terminal where the person has one. `codes`: a one-time code does."""
    if lines:
        return replace(station, secret=lines[0])
    person = station.follower.look(station.record)[1].persons.get(station.person)
    if person is None or not (person.signs or (codes and person.secrets)) or not sys.stdin.isatty():
        return station
    asked = "PIN, password or one-time code" if codes else "PIN or password"
    return replace(station, secret=click.prompt(f"{asked} of {station.person}", hide_input=True, err=True))


def new_secret(lines: list[str]) -> str:
    """The new PIN or password: the second line, the only one where none stood before, or asked for twice."""
    if lines:
        return lines[-1]
    if not sys.stdin.isatty():
        raise click.UsageError(
            "give --sign FILE: what stood before (or the one-time code), then the new one."
        )
    text: str = click.prompt("the new one", hide_input=True, confirmation_prompt=True, err=True)
    return text

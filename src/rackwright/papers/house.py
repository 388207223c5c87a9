"""The head that every paper carries, and the one way to set a paper as PDF or PNG.

The look is in `templates/house.typ`. Templates get their data as one JSON text, so a word of the user is
a value to them and cannot become markup. Only the fonts inside the typst wheel are used (`FONTS`), the
creation time is the head's date, and nothing else is read: equal data give equal bytes.
"""

from __future__ import annotations

import dataclasses
import datetime
import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import typst

from rackwright.trouble import DEFERENCE

__all__ = ["FONTS", "PAPERS", "Attachment", "Head", "content_hash", "set_pdf", "set_png"]

#: the families inside the typst wheel; system fonts are never looked at
FONTS = ("Libertinus Serif", "New Computer Modern Math", "DejaVu Sans Mono")

#: paper name -> portrait width and height in mm
PAPERS: dict[str, tuple[float, float]] = {
    "us-letter": (215.9, 279.4),
    "us-tabloid": (279.4, 431.8),
    "a4": (210.0, 297.0),
    "a3": (297.0, 420.0),
}


@dataclass(frozen=True)
class Head:
    """What the head and foot of every page say.

    `date` is ISO (2026-03-02), `definition` the full hex hash of the definition the paper follows,
    `marks` words such as DEMO, PRELIMINARY, UNCONFIRMED; `notes` what stands behind them, a line each, under the title
    of a sheet. Raises ValueError for another date or paper.
    """

    shop: str
    title: str
    number: str
    revision: str
    date: str
    definition: str
    marks: tuple[str, ...] = ()
    paper: str = "us-letter"
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        datetime.date.fromisoformat(self.date)
        if self.paper not in PAPERS:
            raise ValueError(f"{self.paper!r} is not one of {', '.join(PAPERS)}")


@dataclass(frozen=True)
class Attachment:
    """A file inside the PDF. `relationship` is one of source, data, alternative, supplement."""

    name: str
    content: bytes
    mime: str
    relationship: str = "data"
    about: str = ""


def content_hash(paper: Any) -> str:
    """SHA-256, in hex, of everything a paper's dataclass holds; printed in the foot of each page."""
    return hashlib.sha256(_json(paper)).hexdigest()


def set_pdf(
    template: str,
    head: Head,
    data: Mapping[str, Any],
    attachments: tuple[Attachment, ...] = (),
) -> bytes:
    """One PDF (PDF/A-3b) of the named template. `data` holds plain values and dataclasses."""
    stamp = datetime.datetime.fromisoformat(f"{head.date}T00:00:00+00:00")
    inputs = _inputs(head, data, attachments)
    made = _press().set(template, inputs, format="pdf", pdf_standards="a-3b", timestamp=stamp)
    assert isinstance(made, bytes)
    return made


def set_png(template: str, head: Head, data: Mapping[str, Any], ppi: float) -> list[bytes]:
    """One PNG a page of the named template, in full colour."""
    made = _press().set(template, _inputs(head, data, ()), format="png", ppi=ppi)
    assert made is not None
    return made if isinstance(made, list) else [made]


def _inputs(head: Head, data: Mapping[str, Any], attachments: tuple[Attachment, ...]) -> dict[str, str]:
    everything = {"head": head, "deference": DEFERENCE, "data": data, "attachments": attachments}
    everything["digest"] = content_hash(everything)
    return {"paper": _json(everything).decode()}


def _json(value: Any) -> bytes:
    return json.dumps(value, default=_plain, sort_keys=True, ensure_ascii=False, allow_nan=False).encode()


def _plain(value: Any) -> Any:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = {field.name: getattr(value, field.name) for field in dataclasses.fields(value)}
        return {"is": type(value).__name__} | fields
    if isinstance(value, bytes):
        return list(value)
    raise TypeError(f"a paper cannot show a {type(value).__name__}")


@cache
def _template(name: str) -> bytes:
    """The house style and one template as a single text, so that typst needs no file.

    Read once: a process sets all its papers in one style, though the files be replaced under it.
    """
    folder = resources.files("rackwright.papers") / "templates"
    return (folder / "house.typ").read_bytes() + b"\n" + (folder / f"{name}.typ").read_bytes()


class _Press:
    """The compiler. It keeps what it computed for the last papers that it set, some 600 bytes for each of their data
    (0.4 GB for a strength report): so much that a station that serves for weeks lets go of it now and then."""

    MUCH = 1_000_000  # characters of data set since
    AGE = 11  # so many papers later what was computed is let go

    def __init__(self) -> None:
        self._compiler = typst.Compiler(font_paths=typst.Fonts(include_system_fonts=False))
        self._since = 0

    def set(self, template: str, inputs: dict[str, str], **how: Any) -> Any:
        made = self._compiler.compile(_template(template), sys_inputs=inputs, **how)
        self._since += len(inputs["paper"])
        if self._since > self.MUCH:
            for _ in range(self.AGE):
                self._compiler.compile(b"", format="png", ppi=1.0)  # an empty page
            self._since = 0
        return made


@cache
def _press() -> _Press:
    return _Press()

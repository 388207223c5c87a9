"""The annex on the tool: what it is, the outside checks run on this machine, one margin and one free body by hand.

A program is a tool; whoever signs decides whether to rely on it. This annex gives what that decision needs.
"""

from __future__ import annotations

import platform
import sys
from collections import Counter
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, version
from typing import Any

import numpy as np
import scipy

from rackwright import __version__
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.reference import content_hash
from rackwright.strength.acceptance import Check
from rackwright.work.papers.report.hand import margin_by_hand
from rackwright.work.papers.report.issue import Issue
from rackwright.work.papers.report.statics import body_by_hand

__all__ = ["annex_sections"]


def annex_sections(issue: Issue) -> Iterator[Section]:
    yield Section("Annex: acceptance of the tool", tuple(_versions()), new_page=True)
    yield Section("Outside checks run on this machine", tuple(_checks(issue.checks)), level=2)
    yield Section("One margin worked by hand", tuple(margin_by_hand(issue.design)), level=2)
    yield Section("One free body worked by hand", tuple(body_by_hand(issue.design)), level=2)


def _versions() -> Iterator[Block]:
    yield Text(
        "What computed this report, on which machine. The reference rows are data of the program and are named by the "
        "hash of their files; any other hash is another set of rows."
    )
    yield Facts((
        ("Program", f"rackwright {__version__}"),
        ("Reference rows", f"SHA-256 {content_hash()}"),
        ("Python", f"{platform.python_implementation()} {platform.python_version()}"),
        ("Arrays and algebra", f"numpy {np.__version__}, scipy {scipy.__version__}"),
        ("Linear algebra", f"numpy with {_blas(np)}; scipy with {_blas(scipy)}"),
        ("Typesetting", f"typst {_version('typst')}"),
        ("Machine", f"{platform.system()} on {platform.machine()}, {8 * sys.float_info.mant_dig // 8}-bit significand"),
    ))  # fmt: skip


def _blas(library: Any) -> str:
    found = library.show_config(mode="dicts").get("Build Dependencies", {}).get("blas", {})
    return f"{found.get('name', 'an unnamed library')} {found.get('version', '')}".rstrip()


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "of unknown version"


def _checks(checks: tuple[Check, ...]) -> Iterator[Block]:
    good, kinds = sum(check.good for check in checks), Counter(check.kind for check in checks)
    counted = ", ".join(f"{count} {kind}" for kind, count in kinds.items())
    yield Text(
        f"{len(checks)} numbers from outside ({counted}), computed again when this report was made: {good} agree, "
        f"{len(checks) - good} do not. Closed form: the source gives the formula, the number was "
        "worked apart from this "
        "program. Published: the number stands in the source, which was read. From memory: it is remembered to."
    )
    yield Table(
        "",
        ("source", "place", "theirs", "ours", "within", "kind", ""),
        tuple(
            (
                c.source,
                c.place,
                _figure(c.theirs),
                _figure(c.ours),
                f"{c.allowed:.0e}",
                c.kind,
                "agrees" if c.good else "DIFFERS",
            )
            for c in checks
        ),
        align="llrrrll",
        widths=(2.5, 2.8, 1.45, 1.45, 0.8, 1.15, 0.85),
    )


def _figure(value: str | float) -> str:
    """As printed by a source; of our own and of closed forms ten digits at most."""
    return value if isinstance(value, str) else f"{value:.8g}"

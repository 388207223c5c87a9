"""Gussets of braces: not assessed yet.

Every end of a brace has a margin that is missing and says so: it keeps a report from release, unless a test covers it.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.strength.margin import Margin, Subject, missing
from rackwright.strength.run import Run

__all__ = ["gussets"]


def gussets(run: Run) -> Iterator[Margin]:
    """A margin of every end of every brace."""
    for brace in run.rack.definition.brace:
        for end in ("start", "end"):
            about = Subject(f"gusset.{brace.name}.{end}/strength", "gusset and its bolts", "")
            yield missing(
                about,
                "gussets and their bolts are not assessed by this program yet: test it, or another calculation",
            )

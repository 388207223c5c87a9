"""Names that a person cannot tell apart on a label: O and 0, I, l and 1, and letters of other scripts that look Latin.

Two heats whose names look alike may be one heat misread, or two that will be mixed up: a warning, never a refusal.
(Which characters are taken for each other at a bench: common practice, no source.)
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

__all__ = ["alike", "seen_as"]

_SEEN = str.maketrans(
    "OoQIlL|!SsZzBbGg" "АВЕКМНОРСТУХасеорхуІі" "ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο",
    "0001111155228866" "A8EKMH0PCTYXACE0PXY11" "A8E2H1KMN0PTYX0",
)  # fmt: skip


def seen_as(name: str) -> str:
    """The name as a tired reader sees it: no blanks, dashes or dots, one form for what looks the same."""
    plain = unicodedata.normalize("NFKC", name).translate(_SEEN).upper()
    return "".join(each for each in plain if each.isalnum())


def alike(name: str, others: Iterable[str]) -> list[str]:
    """Those of the others that differ from the name and look the same, sorted."""
    return sorted({other for other in others if other and other != name and seen_as(other) == seen_as(name)})

"""What a frozen revision gave when it was frozen, beside what the same texts give today.

A freeze keeps the hash of everything that `prove` answers, and of that every governing margin to six places. The hash
tells that something differs, the margins tell what. Where the hash differs and no kept number does, only digits beyond
the kept ones moved, as another version of a numerical library may move them.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from hashlib import sha256
from typing import TYPE_CHECKING

from rackwright.rack.check import check
from rackwright.record.state import Revision
from rackwright.seal import canonical

if TYPE_CHECKING:
    from rackwright.design import Design

__all__ = ["governing_numbers", "proof_hash", "since_frozen", "texts_only"]

SAME = 2e-6  # the last of six places may round either way


@lru_cache(maxsize=4)  # by identity: a design is asked at its freeze, at each release, and for each dossier
def proof_hash(design: Design) -> str:
    """SHA-256, in hex, of everything that is computed of a design."""
    from rackwright.answers import prove_json  # who records an order's answer waits for no numerical library

    return sha256(canonical(texts_only(prove_json(design)))).hexdigest()


def governing_numbers(design: Design) -> dict[str, str]:
    """The least margin of every kind of check, to six places."""
    return {
        one.mode: "missing" if one.margin is None else f"{one.margin:.6f}"
        for one in design.strength.governing
    }


def since_frozen(revision: Revision, design: Design) -> tuple[str, ...]:
    """What the frozen texts give otherwise today, as "name: then, now", what a definition could no longer say first;
    `design` is what they say, nothing measured."""
    refused = tuple(f"{one.where.field}: {one.found}, which is refused today" for one in check(design.rack))
    if not revision.design_hash or revision.design_hash == proof_hash(design):
        return refused
    then: Mapping[str, str] = revision.values.get("governing", {})
    now = governing_numbers(design)
    return refused + tuple(
        f"{name}: {then.get(name, 'absent')} when frozen, {now.get(name, 'absent')} today"
        for name in sorted(then.keys() | now.keys())
        if _differ(then.get(name, ""), now.get(name, ""))
    )


def _differ(then: str, now: str) -> bool:
    try:
        return abs(float(then) - float(now)) > SAME
    except ValueError:  # missing or absent, then or now
        return then != now


def texts_only(value: object) -> object:
    """A document with its floats as texts, as the record holds numbers."""
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, dict):
        return {key: texts_only(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [texts_only(one) for one in value]
    return value

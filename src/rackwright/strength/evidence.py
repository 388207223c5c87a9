"""Tests weighed against what is asked: a static pull of ring, joint or rack is evidence equal to analysis.

MS = tested × metal ratio / (required × factor) − 1: the load that the article held (or failed at), brought down to the
specification's least strength, against the greatest load of any case on that link. A margin that analysis cannot
give, for want of a sourced value, becomes the test's. Where analysis gives one, both stand and the smaller governs,
unless engineering accepts the test by name in the table.

The fitting factor: 14 CFR 25.625(a) and 29.625(a) ask at least 1.15 of "each fitting whose strength is not proven by
limit and ultimate load tests in which actual stress conditions are simulated in the fitting and surrounding
structures". It falls away where the table says that limit load was held and how the conditions were simulated;
other special factors never do. What an article held at room temperature counts hot at the share of strength that is
left there; without that share it proves nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from fnmatch import fnmatchcase
from math import isnan

from rackwright.formulas.loads import margin_of_safety
from rackwright.rack.model import Evidence, Rack
from rackwright.rack.questions import ASKED_OF_A_TEST
from rackwright.strength.factors import safety_row
from rackwright.strength.margin import TOO_HOT, Margin
from rackwright.strength.warming import share_left
from rackwright.trouble import UNCONFIRMED

__all__ = ["Needed", "counted_load", "covered", "covers", "needed", "weigh"]

BY_TEST = "test"


@dataclass(frozen=True)
class Needed:
    """What a test would have to show for a margin that analysis cannot give."""

    margin: Margin
    why: str
    load: (
        float | None
    )  # greatest load of any case on the link, without factor; None where no single load stands for it
    unit: str
    factor: float


def weigh(rack: Rack, margins: Iterable[Margin], fitting_factor: float) -> tuple[Margin, ...]:
    """The margins with those that tests prove: in place of missing ones, beside the others."""
    found: list[Margin] = []
    row, left = safety_row(rack), _left(rack)
    for margin in margins:
        own, beside = margin, []
        for test in rack.definition.evidence:
            if not covers(test, margin):
                continue
            why = _no_proof(test, margin) or (TOO_HOT if isnan(left) else "")
            if why:
                if own.margin is None:
                    own = replace(
                        own, why_missing=f"{own.why_missing}; test {test.name} proves nothing: {why}"
                    )
                continue
            proven = _proven(test, margin, fitting_factor, row.value if row else None, left)
            if own.margin is None:
                own = proven
            else:
                beside.append(
                    replace(proven, id=f"{margin.id}, test {test.name}", mode=f"{margin.mode}, by test")
                )
                if test.accepted_by and not margin.holds and margin.basis != BY_TEST:
                    own = replace(own, superseded=f"test {test.name}, accepted by {test.accepted_by}")
        found += [own, *beside]
    return tuple(found)


def covered(rack: Rack, margins: Iterable[Margin]) -> Mapping[str, tuple[str, ...]]:
    """Name of a test -> ids of the margins that it names."""
    ids = [margin for margin in margins if ", test " not in margin.id]
    return {test.name: tuple(one.id for one in ids if covers(test, one)) for test in rack.definition.evidence}


def needed(margins: Iterable[Margin]) -> tuple[Needed, ...]:
    """Every margin that is missing for want of a value: what a test would have to show."""
    return tuple(
        Needed(one, one.why_missing, one.required, one.required_unit, one.factor)
        for one in margins
        if one.margin is None and one.case
    )


def counted_load(test: Evidence, level: str = "ultimate", safety: float | None = None) -> float:
    """What the article held, at the specification's least strength, N or N·m; for yield its limit load, none without
    a factor of safety."""
    load = test.force if test.force is not None else test.moment or 0.0
    return load * (test.metal_ratio or 0.0) / ((safety or float("inf")) if level == "yield" else 1.0)


def covers(test: Evidence, margin: Margin) -> bool:
    """Does a test name this margin among those that it is of?"""
    return any(fnmatchcase(margin.id, pattern) for pattern in test.covers)


def _no_proof(test: Evidence, margin: Margin) -> str:
    """Why a test proves nothing of a margin; empty where it does."""
    gone = [name for name in ASKED_OF_A_TEST if getattr(test, name) is None]
    if gone:
        return f"{', '.join(gone)} not stated"
    if margin.level == "yield" and test.limit != "held":
        return "limit load was not held without permanent set"
    if margin.required is None:
        return "no single load stands for this check"
    unit = "N" if test.force is not None else "N*m"
    if unit != margin.required_unit:
        return f"it states a load in {unit}, the check asks one in {margin.required_unit}"
    return ""


def _left(rack: Rack) -> float:
    """Share of an article's strength at the hot extreme."""
    given = rack.definition.temperature
    return 1.0 if given is None else share_left(rack, given.hot.at)


def _proven(
    test: Evidence, margin: Margin, fitting_factor: float, safety: float | None, left: float
) -> Margin:
    assert margin.required is not None
    assert margin.required_each is not None
    waived = test.limit == "held" and test.simulates is not None and margin.factor == fitting_factor
    factor, load = 1.0 if waived else margin.factor, left * counted_load(test, margin.level, safety)
    symbols = {"allowable": load, "applied": margin.required, "factor": factor}
    value = float(margin_of_safety(**symbols))
    no_factor = f"; no fitting factor: limit load held too, {test.simulates}" if waived else ""
    return replace(
        margin, margin=value, why_missing="", allowable=load, applied=margin.required, unit=margin.required_unit,
        factor=factor, steps=(("margin_of_safety", symbols),), basis=BY_TEST,
        marks=(UNCONFIRMED,) if margin.doubtful_case else (),
        each=margin_of_safety(load, margin.required_each, factor),
        source=f"test {test.name}, report {test.report}, by {test.by}: {test.article} revision {test.article_revision}"
        f" ({test.conformity}) {test.result} under {test.direction}; load by {test.gauge}, {test.calibration}; "
        f"metal ratio {test.metal_ratio:g}{no_factor}",
    )  # fmt: skip

"""The answer to a cutting instance as a document in the instance's own format: bars, bound, what is short, what to buy.

Mitred pieces of a bar are listed with their angles, and, where their depth is given, with what turning every other one
over would save: the plan does not count on it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from rackwright.making.saw import (
    Answer,
    BarPlan,
    Purchase,
    Short,
    Shortage,
    balance,
    cheapest_purchase,
    shortage,
)
from rackwright.making.sawing.instance import Instance, Section
from rackwright.making.sawing.mitre import flip_saving, short_point

__all__ = ["Lack", "answer_document", "lacks"]


@dataclass(frozen=True)
class Lack:
    """What is short of a section that cannot all be cut, and the cheapest purchase of the bars on offer."""

    section: Section
    shortage: Shortage
    purchase: Purchase | None


def lacks(instance: Instance, answers: Sequence[Answer], effort: int) -> list[Lack]:
    """Of every section with pieces missing."""
    found = []
    for section, answer in zip(instance.sections, answers, strict=True):
        if answer.missing:
            problem, ids = section.problem, section.offered
            offered = [bar for bar in problem.bars if bar.id in ids]
            shelf = replace(problem, bars=tuple(bar for bar in problem.bars if bar.id not in ids))
            buy = cheapest_purchase(shelf, offered, effort) if offered else None
            found.append(Lack(section, shortage(problem, effort), buy))
    return found


def answer_document(
    instance: Instance, answers: Sequence[Answer], seconds: float, lack: Sequence[Lack] = ()
) -> dict[str, Any]:
    """The answer in the instance's own format. Where pieces are missing, `short` lists them and `purchase` what to buy.

    `gap` is (objective - lower_bound) / objective; `first_fit` is what plain first-fit decreasing costs.
    """
    missing = [
        (section, name, number)
        for section, answer in zip(instance.sections, answers, strict=True)
        for name, number in answer.missing
    ]
    by_heat = {(one.section.name, each.piece): each for one in lack for each in one.shortage.pieces}
    least = [(one.section, each.piece, each.number) for one in lack for each in one.shortage.pieces]
    short = [_short_row(section, name, number, by_heat) for section, name, number in least or missing]
    document: dict[str, Any] = {
        "instance": instance.name,
        "seconds": round(seconds, 2),
        "bars": [
            bar
            for section, answer in zip(instance.sections, answers, strict=True)
            for bar in _bars(section, answer, instance.plain)
        ],
        "bars_opened": sum(answer.bars_opened for answer in answers),
        "stop_moves": sum(answer.stop_moves for answer in answers),
        "balance": _balance(instance, answers),
    }
    if short:
        proven = any(answer.missing_proven for answer in answers)
        document |= {"status": "infeasible", "short": short, "short_proven": proven, "objective": None,
                     "lower_bound": None, "gap": None, "purchase": [_purchase_row(one) for one in lack]}  # fmt: skip
        return document
    objective = sum(answer.objective for answer in answers)
    bound = sum(answer.lower_bound for answer in answers)
    first = [answer.first_objective for answer in answers]
    document |= {
        "objective": objective,
        "lower_bound": bound,
        "gap": (objective - bound) / objective if objective else 0.0,
        "status": "optimal" if objective == bound else "feasible",
        "bound_how": sorted({answer.bound_how for answer in answers}),
        "first_fit": None if None in first else sum(n or 0 for n in first),
    }
    return document


def _short_row(
    section: Section, name: str, number: int, by_heat: Mapping[tuple[str, str], Short]
) -> dict[str, Any]:
    row: dict[str, Any] = {
        "section": section.name,
        "length": section.piece_length[name],
        "missing": number,
    }
    grouped = any(name in group.pieces for group in section.problem.groups)
    if grouped and (section.name, name) in by_heat:
        row |= {"from_one_heat": True, "most_by_heat": dict(by_heat[section.name, name].by_heat)}
    return row


def _purchase_row(one: Lack) -> dict[str, Any]:
    row: dict[str, Any] = {
        "section": one.section.name, "short_use": one.shortage.use, "short_use_at_least": one.shortage.least_use,
    }  # fmt: skip
    if one.purchase is None:
        return row | {"buy": None, "asked_for": "bars of kind purchase that are long enough, with their cost"}
    bars = [
        {"id": id, "length": one.section.problem.bar[id].length, "count": number}
        for id, number in one.purchase.bars
    ]
    return row | {"buy": bars, "cost": one.purchase.cost, "cost_at_least": one.purchase.least_cost}


def _bars(section: Section, answer: Answer, plain: bool) -> Iterable[dict[str, Any]]:
    for plan in answer.cuts:
        bar = section.problem.bar[plan.bar]
        entry: dict[str, Any] = {
            "length": bar.length, "bars": plan.times, "cut": dict(plan.cut), "leftover": plan.leftover,
        }  # fmt: skip
        if not plain:
            entry |= {"id": bar.id, "section": section.name, "heat": bar.heat, "lead_trim": bar.trim}
        mitred = list(_mitred(section, plan))
        if mitred:
            entry["mitred"] = mitred
        yield entry


def _mitred(section: Section, plan: BarPlan) -> Iterable[dict[str, Any]]:
    for name, number in plan.cut:
        mitre = section.mitres.get(name)
        if mitre is not None:
            row: dict[str, Any] = {
                "piece": name,
                "mitre_deg": list(mitre.angles),
                "long": section.piece_length[name],
            }
            if mitre.depth is not None:
                row["short"] = short_point(section.piece_length[name], mitre.depth, mitre.angles)
                row["saved_by_turning"] = flip_saving(number, mitre.depth, mitre.angles)
            yield row


def _balance(instance: Instance, answers: Sequence[Answer]) -> dict[str, int]:
    parts = [balance(s.problem, a) for s, a in zip(instance.sections, answers, strict=True)]
    return {
        "opened": sum(p.opened for p in parts),
        "use": sum(p.use for p in parts),
        "trim": sum(p.trim for p in parts),
        "scrap": sum(p.scrap for p in parts),
        "remnants": sum(p.remnants for p in parts),
    }

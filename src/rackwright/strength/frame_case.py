"""The open format frame-case/1: one 3-D frame with its load cases as JSON in, the answers as JSON out.

SI throughout. A beam's ends may be released about local y and z; ties carry tension only; a spring acts
both ways or in one sense; masses sit on nodes or on a beam's axis; inertia is a force per unit mass. A member may be
preloaded (N, tension with its ends held), a beam warmed in a case (by so many K, with its alpha).
The reading itself is in `frame_case_read`.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from rackwright.located import Places, read_json
from rackwright.located.document import decode
from rackwright.located.json import NOTATION
from rackwright.strength.frame import (
    Cases,
    Frame,
    Masses,
    MemberMasses,
    Members,
    Pads,
    Response,
    Springs,
    Ties,
    buckling,
    modes,
    second_order,
    solve,
)
from rackwright.strength.frame_case_read import Parts, Reader
from rackwright.trouble import Fault, Where

__all__ = ["Answer", "FrameCase", "answer", "answer_document", "read_case", "stability_document"]

LOST = 1e-6  # an answer with more imbalance than this share of the load is no answer


@dataclass(frozen=True, eq=False)
class FrameCase:
    """A sound case: the frame, its load cases, and how the file numbers its parts."""

    name: str
    frame: Frame
    cases: Cases
    case_names: tuple[str, ...]
    case_places: tuple[Where, ...]
    node_ids: tuple[int, ...]
    supported: tuple[int, ...]  # positions of nodes
    beams: tuple[int, ...]  # ids, in the frame's order
    ties: tuple[int, ...]
    member_order: tuple[int, ...]
    springs: tuple[int, ...]
    pads: tuple[int, ...]
    pad_sense: tuple[float, ...]  # +1 pushes along +freedom


def read_case(data: bytes | str, file: str) -> tuple[FrameCase | None, list[Fault]]:
    """The case in the text, or every fault with its JSON Pointer. `file` is only shown."""
    document, faults = read_json(data, file)
    if document is not None:
        reader = Reader(document.values, document.places)
    elif all(fault.code == "RW007" and fault.where.field for fault in faults):
        text, _ = decode(data, file)  # sound JSON but for repeated names and NaN: look for more at once
        reader = Reader(json.loads(text), Places(file, text, NOTATION), list(faults))
    else:
        return None, faults
    parts = reader.parts()
    return (None, reader.faults) if reader.faults else (_build(parts), [])


def _build(parts: Parts) -> FrameCase:
    beams = [m for m in parts.members if m["kind"] == "beam"]
    ties = [m for m in parts.members if m["kind"] == "tie"]
    both = [s for s in parts.springs if s["acts"] == "both"]
    pads = [s for s in parts.springs if s["acts"] != "both"]
    sense = tuple(1.0 if s["acts"] == "when_negative" else -1.0 for s in pads)
    on_node = [m for m in parts.masses if "node" in m]
    on_member = [m for m in parts.masses if "member" in m]
    place = {m["id"]: at for at, m in enumerate(beams)}

    def whole(rows: list[dict[str, Any]], key: str) -> Any:
        return np.array([row[key] for row in rows], dtype=np.int64)

    def real(rows: list[dict[str, Any]], key: str, *tail: int) -> Any:
        return np.array([row[key] for row in rows], dtype=float).reshape(len(rows), *tail)

    sections = {
        key: real(beams, key)
        for key in ("E", "G", "A", "Iy", "Iz", "J", "Asy", "Asz", "rho", "preload", "alpha")
    }
    frame = Frame(
        parts.xyz, parts.fixed,
        members=Members(
            whole(beams, "ends").reshape(-1, 2), zref=real(beams, "zref", 3),
            end_spring=real(beams, "end_spring", 2, 2), **sections,
        ),
        springs=Springs(whole(both, "node"), whole(both, "freedom"), real(both, "k")),
        ties=Ties(
            whole(ties, "ends").reshape(-1, 2), k=real(ties, "E") * real(ties, "A") / real(ties, "length"),
            T0=real(ties, "preload"),
        ),
        pads=Pads(
            whole(pads, "node"), push=np.array(sense).reshape(-1, 1) * np.eye(6)[whole(pads, "freedom")],
            k=real(pads, "k"),
        ),
        masses=Masses.on_nodes(whole(on_node, "node"), real(on_node, "m"), parts.xyz),
        member_masses=MemberMasses(
            np.array([place[m["member"]] for m in on_member], dtype=np.int64), at=real(on_member, "at"),
            m=real(on_member, "m"),
        ),
        names=tuple(map(str, parts.nodes)),
    )  # fmt: skip
    return FrameCase(
        parts.name, frame, parts.cases, tuple(parts.case_names), tuple(parts.case_places), parts.nodes,
        tuple(parts.supported),
        tuple(m["id"] for m in beams), tuple(m["id"] for m in ties), tuple(m["id"] for m in parts.members),
        tuple(s["id"] for s in both), tuple(s["id"] for s in pads), sense,
    )  # fmt: skip


# --- answering -------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class Answer:
    """The response of a case and its first four frequencies (None where they are not defined)."""

    case: FrameCase
    response: Response
    hz: list[float] | None

    @property
    def loose(self) -> tuple[str | None, ...]:
        """By load case: why there is no equilibrium."""
        return self.response.loose[0]


def answer(case: FrameCase, file: str) -> tuple[Answer | None, list[Fault]]:
    """Analyse a case. The fault: numbers so far apart that double precision cannot carry the answer."""
    do = "the stiffnesses lie too far apart for 16 digits: bring them together"
    try:
        with np.errstate(all="ignore"):
            response = solve(case.frame, case.cases)
            hz = _hz(case.frame)
    except (np.linalg.LinAlgError, FloatingPointError) as error:
        return None, [Fault("RW301", Where(file), f"the arithmetic breaks down ({error})", do)]
    good = np.array([reason is None for reason in response.loose[0]])
    worst = float(np.max(response.residual[0][good], initial=0.0))
    if not worst < LOST:
        found = f"the answer would miss equilibrium by {worst:.1g} of the load"
        return None, [Fault("RW301", Where(file), found, do)]
    return Answer(case, response, hz), []


def _hz(frame: Frame) -> list[float] | None:
    if frame.one_sided:
        return None
    found = modes(frame, 4, member_mass=False)
    if found.loose[0] is not None:
        return None
    return [float(hz) for hz in found.hz[0] if math.isfinite(hz)]


def answer_document(answered: Answer) -> dict[str, Any]:
    """`{"id", "cases", "modes_hz"}` as the format's contract says."""
    cases: dict[str, Any] = {}
    for at, name in enumerate(answered.case.case_names):
        reason = answered.loose[at]
        cases[name] = _one(answered, at) if reason is None else {"no_equilibrium": reason}
    return {"id": answered.case.name, "cases": cases, "modes_hz": answered.hz}


def stability_document(answered: Answer) -> dict[str, Any]:
    """Of every load case with an equilibrium: the multiple at which the frame buckles (None: at none) and where, and
    the displacements and end forces of the deformed frame, or why there are none."""
    case, r = answered.case, answered.response
    found = buckling(r)
    whole = not len(case.frame.member_masses)
    second = second_order(r) if whole else None
    cases: dict[str, Any] = {}
    for at, name in enumerate(case.case_names):
        if answered.loose[at] is not None:
            continue
        factor, why = float(found.factor[0, at]), found.loose[0][at]
        one: dict[str, Any] = {"buckles_at_times": factor if math.isfinite(factor) else None}
        one["where"] = why or found.words[0][at] or None
        if second is None:
            one["second_order"] = {"none": "a member carries a mass within its span: split it there"}
        elif second.why[0][at] is not None:
            one["second_order"] = {"none": second.why[0][at]}
        else:
            ends = dict(zip(case.beams, second.end_force[0, at].tolist(), strict=True))
            one["second_order"] = {
                "displacements": _by_id(case.node_ids, second.displacement[0, at].tolist()),
                "member_end_forces": {str(number): ends[number] for number in case.beams},
            }
        cases[name] = one
    return cases


def _one(answered: Answer, at: int) -> dict[str, Any]:
    case, r = answered.case, answered.response
    ends = dict(zip(case.beams, r.end_force[0, at].tolist(), strict=True))
    for tie, pull in zip(case.ties, r.tie_force[0, at].tolist(), strict=True):
        ends[tie] = [-pull, *[0.0] * 5, pull, *[0.0] * 5]
    springs = dict(zip(case.springs, r.spring_force[0, at].tolist(), strict=True))
    pushes = r.pad_force[0, at] * np.array(case.pad_sense)
    springs |= dict(zip(case.pads, pushes.tolist(), strict=True))
    return {
        "displacements": _by_id(case.node_ids, r.displacement[0, at].tolist()),
        "reactions": {str(case.node_ids[n]): r.reaction[0, at, n].tolist() for n in case.supported},
        "spring_forces": {str(number): force for number, force in sorted(springs.items())},
        "member_end_forces": {str(number): ends[number] for number in case.member_order},
        "slack_ties": sorted(t for t, acts in zip(case.ties, r.tie_acts[0, at], strict=True) if not acts),
        "open_springs": sorted(p for p, acts in zip(case.pads, r.pad_acts[0, at], strict=True) if not acts),
        "total_mass_kg": float(r.mass[0]),
    }


def _by_id(numbers: tuple[int, ...], values: list[Any]) -> dict[str, Any]:
    return {str(number): value for number, value in zip(numbers, values, strict=True)}

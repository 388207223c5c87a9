"""The reader of frame-case/1: every value checked and every mistake told, with its JSON Pointer.

Keys that a solver does not need (`expected`, `checked_by`, `seed`, `units` ...) are left unread. Any other key
is a fault inside the lists (a misspelt `Asz` would silently mean a stiffer beam); at the top only one that
looks like a known key.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

import numpy as np

from rackwright.located import Path
from rackwright.strength.frame import Cases
from rackwright.strength.frame_case_values import UNREAD, Row, Values, is_whole
from rackwright.trouble import Where

__all__ = ["FORMAT", "Parts", "Reader"]

FORMAT = "frame-case/1"
FREEDOMS = ("ux", "uy", "uz", "rx", "ry", "rz")
ACTS = ("both", "when_negative", "when_positive")
TOP = (
    "format", "id", "units", "seed", "nodes", "members", "supports", "springs", "masses", "load_cases",
    "expected", "expected_modes", "checked_by",
)  # fmt: skip
SHORTEST = 1e-9  # m
#: E / G is 2 (1 + nu): from 0 to 3 where a material is alike in all directions, to 20 along wood, to some 100 along
#: fibres (common practice, no source)
MOST_SHEAR, LEAST_SHEAR = 0.1, 200.0


@dataclass(frozen=True)
class Parts:
    """The parts of a case, checked: rows as dicts with node *positions* in place of node ids."""

    name: str
    nodes: tuple[int, ...]  # ids
    xyz: Any
    members: list[dict[str, Any]]
    fixed: Any
    supported: list[int]
    springs: list[dict[str, Any]]
    masses: list[dict[str, Any]]
    case_names: list[str]
    case_places: list[Where]
    cases: Cases


class Reader(Values):
    """The parts of a case, read in turn."""

    def parts(self) -> Parts:
        """What the file says; of use only where no fault was found."""
        if self.values.get("format") != FORMAT:
            found = (
                f"the format is {self.values['format']!r:.60}"
                if "format" in self.values
                else "no format is named"
            )
            self.fault("RW110", ("format",), found, f'give "format": "{FORMAT}"')
        for key in self.values:
            near = get_close_matches(key, TOP, n=1, cutoff=0.75)
            if key not in TOP and near:
                self.fault(
                    "RW102", (key,), f"the field {key!r:.60} is not known here", f"did you mean {near[0]!r}?"
                )
        name = self.text(self.values, (), "id")
        nodes = self.nodes()
        where = {node: place for place, node in enumerate(nodes)}
        xyz = np.array(list(nodes.values())).reshape(len(nodes), 3)
        members = list(self.members(where, xyz))
        fixed, supported = self.supports(where)
        springs = list(self.springs(where))
        masses = self.masses(where, {m["id"]: m for m in reversed(members)})
        beams = {m["id"]: at for at, m in enumerate(m for m in members if m["kind"] == "beam")}
        names, places, cases = self.load_cases(where, beams)
        self.joined(tuple(nodes), members, springs, fixed)
        return Parts(
            name, tuple(nodes), xyz, members, fixed, supported, springs, masses, names, places, cases
        )

    def nodes(self) -> dict[int, tuple[float, float, float]]:
        found: dict[int, tuple[float, float, float]] = {}
        for path, row in self.rows("nodes", needed=True):
            number = self.number_of(row, path, found)
            found[number] = (self.real(row, path, "x"), self.real(row, path, "y"), self.real(row, path, "z"))
        given = self.values.get("nodes")
        self.nodes_read = isinstance(given, list) and len(found) == len(given) > 0 and min(found) > UNREAD
        return found

    def members(self, where: Mapping[int, int], xyz: Any) -> Iterator[dict[str, Any]]:
        seen: dict[int, object] = {}
        pairs: dict[tuple[Any, ...], int] = {}
        for path, row in self.rows("members"):
            before = len(self.faults)
            one: dict[str, Any] = {
                "id": self.number_of(row, path, seen),
                "kind": self.word(row, path, "kind", ("beam", "tie")),
            }
            seen[one["id"]] = None
            ends = [self.node(row, path, end, where) for end in ("i", "j")]
            one["ends"], one["A"], one["E"] = (
                ends,
                self.positive(row, path, "A"),
                self.positive(row, path, "E"),
            )
            one["preload"] = self.real(row, path, "preload", 0.0)
            if one["kind"] == "tie":
                if abs(self.real(row, path, "rho", 0.0)) > 0:
                    self.fault("RW106", (*path, "rho"), "a tie has no mass in this format", "give 0")
                self.unfit(row, path, ("Asy", "Asz", "release_i", "release_j", "alpha"), "a tie")
            else:
                self.beam(row, path, one)
            if len(self.faults) == before and min(ends) >= 0:
                self.direction(path, one, xyz)
            pair = (one["kind"], *sorted(ends))
            if min(ends) >= 0 and pair in pairs:
                found = f"member {one['id']} joins the same nodes as member {pairs[pair]}"
                self.fault("RW107", path, found, "give one member with the section of both, or another node")
            pairs.setdefault(pair, one["id"])
            yield one

    def beam(self, row: Row, path: Path, one: dict[str, Any]) -> None:
        for key in ("Iy", "Iz", "J", "G"):
            one[key] = self.positive(row, path, key)
        for key in ("Asy", "Asz"):
            one[key] = self.positive(row, path, key) if key in row else math.inf
        ratio = one["E"] / one["G"]  # NaN where one of them is a fault already
        if not math.isnan(ratio) and not MOST_SHEAR <= ratio <= LEAST_SHEAR:
            found = f"G of {one['G']:g} Pa beside E of {one['E']:g} Pa: E / G is {ratio:.3g}"
            do = (
                f"give G in Pa, with E / G from {MOST_SHEAR:g} to {LEAST_SHEAR:g}; of a metal it is about 2.6"
            )
            self.fault("RW106", (*path, "G"), found, do)
        one["rho"] = self.real(row, path, "rho", low=0.0)
        one["alpha"] = self.real(row, path, "alpha", 0.0, low=0.0)
        one["zref"] = self.vector(row, path, "zref", 3)
        one["end_spring"] = np.full((2, 2), np.inf)
        for end, key in enumerate(("release_i", "release_j")):
            for at, freedom in enumerate(self.listed(row, path, key)):
                if freedom not in ("ry", "rz"):
                    self.fault("RW103", (*path, key, at), f"found {freedom!r:.60}", 'use "ry" or "rz"')
                elif one["end_spring"][end, int(freedom == "rz")] == 0:
                    self.fault("RW107", (*path, key, at), f"{freedom!r} is given twice", "give it once")
                else:
                    one["end_spring"][end, int(freedom == "rz")] = 0.0

    def direction(self, path: Path, one: dict[str, Any], xyz: Any) -> None:
        along = xyz[one["ends"][1]] - xyz[one["ends"][0]]
        length = float(np.linalg.norm(along))
        if length >= SHORTEST:
            one["length"] = length
        if length < SHORTEST:  # not where a node's place is a fault already
            self.fault(
                "RW106",
                path,
                "the member has no length: its nodes are at one place",
                "move a node or name another",
            )
        elif one["kind"] == "beam" and "length" in one:
            size = float(np.linalg.norm(one["zref"]))
            if size == 0 or np.linalg.norm(np.cross(one["zref"], along)) <= 1e-6 * size * length:
                found = "zref is zero" if size == 0 else "zref is parallel to the member"
                self.fault("RW106", (*path, "zref"), found, "give a vector across the member")

    def supports(self, where: Mapping[int, int]) -> tuple[Any, list[int]]:
        fixed = np.zeros((len(where), 6), dtype=bool)
        supported: list[int] = []
        for path, row in self.rows("supports"):
            at = self.node(row, path, "node", where)
            flags = self.listed(row, path, "fixed", needed=True)
            good = len(flags) == 6 and all(not isinstance(f, bool) and f in (0, 1) for f in flags)
            if "fixed" in row and not good:
                self.fault(
                    "RW103",
                    (*path, "fixed"),
                    f"found {row['fixed']!r:.60}",
                    "give six 0 or 1: ux uy uz rx ry rz",
                )
            if at in supported:
                found = f"node {row['node']} is supported twice"
                self.fault("RW107", (*path, "node"), found, "give one entry for each node")
            elif at >= 0 and good:
                supported.append(at)
                fixed[at] = [flag == 1 for flag in flags]
        return fixed, supported

    def joined(
        self, nodes: tuple[int, ...], members: list[dict[str, Any]], springs: list[dict[str, Any]], fixed: Any
    ) -> None:
        """A node that nothing joins and nothing holds is a slip, told before a solver looks for equilibrium."""
        if self.faults:
            return
        reached = {end for one in members for end in one["ends"]} | {one["node"] for one in springs}
        loose = [node for at, node in enumerate(nodes) if at not in reached and not fixed[at].all()]
        if loose:
            names = ", ".join(map(str, loose[:3])) + (f" and {len(loose) - 3} more" if len(loose) > 3 else "")
            found = f"no member and no spring joins node {names}"
            self.fault(
                "RW301", ("nodes", nodes.index(loose[0])), found, "join each, hold all six, or leave it out"
            )

    def springs(self, where: Mapping[int, int]) -> Iterator[dict[str, Any]]:
        seen: dict[int, object] = {}
        places: dict[tuple[object, ...], int] = {}
        for path, row in self.rows("springs"):
            number = self.number_of(row, path, seen)
            seen[number] = None
            place = tuple(repr(row.get(key)) for key in ("node", "dof", "acts"))
            if place in places and "node" in row:
                found = f"it holds node {row['node']!r:.20} in {row.get('dof')!r:.20} as spring {places[place]} does"
                self.fault("RW107", path, found, "give one spring with the sum of both")
            places.setdefault(place, number)
            yield {
                "id": number, "node": self.node(row, path, "node", where),
                "freedom": FREEDOMS.index(self.word(row, path, "dof", FREEDOMS)),
                "k": self.positive(row, path, "k"), "acts": self.word(row, path, "acts", ACTS),
            }  # fmt: skip

    def masses(self, where: Mapping[int, int], members: Mapping[int, dict[str, Any]]) -> list[dict[str, Any]]:
        found: dict[int, dict[str, Any]] = {}
        for path, row in self.rows("masses"):
            number = self.number_of(row, path, found)
            one = found[number] = {"m": self.real(row, path, "m", low=0.0)}
            if "node" in row and "member" in row:
                self.fault("RW103", path, "the mass names both node and member", "give one of them")
            elif "node" not in row and "member" not in row:
                self.fault("RW101", path, "the mass has no place", "give `node`, or `member` and `at`")
            elif "node" in row:
                one["node"] = self.node(row, path, "node", where)
                self.unfit(row, path, ("at",), "a mass on a node")
            else:
                self.on_member(row, path, one, members)
        return list(found.values())

    def on_member(
        self, row: Row, path: Path, one: dict[str, Any], members: Mapping[int, dict[str, Any]]
    ) -> None:
        number, at = self.whole(row, path, "member"), self.real(row, path, "at")
        member = members.get(number)
        length = member.get("length", math.nan) if member else math.nan  # no length: a fault already
        if member is None:
            if is_whole(row.get("member")):
                self.fault(
                    "RW108", (*path, "member"), f"there is no member {number}", "name a member of the case"
                )
        elif member["kind"] == "tie":
            found = f"member {number} is a tie, which carries no mass"
            self.fault("RW106", (*path, "member"), found, "put it on a beam or a node")
        elif at < -1e-6 * length or at > (1 + 1e-6) * length:
            self.fault("RW106", (*path, "at"), f"{at:g} m is off the member", f"give 0 to {length:.6g} m")
        else:
            one["member"], one["at"] = number, min(max(at, 0.0), length)

    def load_cases(
        self, where: Mapping[int, int], beams: Mapping[int, int]
    ) -> tuple[list[str], list[Where], Cases]:
        names: list[str] = []
        places: list[Where] = []
        inertia: list[list[float]] = []
        nodal: list[Any] = []
        warming: list[Any] = []
        for path, row in self.rows("load_cases", needed=True):
            name = self.text(row, path, "id")
            if name and name in names:
                found = f"the load case {name!r:.60} is given twice"
                self.fault("RW107", (*path, "id"), found, "give each its own id")
            names.append(name)
            places.append(self.places.where(path))
            inertia.append(self.vector(row, path, "inertia", 3))
            forces = np.zeros((len(where), 6))
            for at, load in self.rows("nodal_loads", row, path):
                node = self.node(load, at, "node", where)
                force = self.vector(load, at, "F", 6)
                if node >= 0:
                    forces[node] += force
            nodal.append(forces)
            warming.append(self.warming(row, path, beams))
        return (
            names,
            places,
            Cases(
                np.array(inertia, float).reshape(len(names), 3),
                np.array(nodal).reshape(len(names), len(where), 6),
                np.array(warming).reshape(len(names), len(beams)) if np.any(warming) else None,
            ),
        )

    def warming(self, row: Row, path: Path, beams: Mapping[int, int]) -> Any:
        """By how much each beam is warmer in a case, K."""
        found = np.zeros(len(beams))
        for at, one in self.rows("warming", row, path):
            number, by = self.whole(one, at, "member"), self.real(one, at, "by")
            if number in beams:
                found[beams[number]] = by
            elif is_whole(one.get("member")):
                told = f"there is no beam {number}"
                self.fault("RW108", (*at, "member"), told, "name a member of kind beam")
        return found

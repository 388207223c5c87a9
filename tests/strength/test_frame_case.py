"""The format frame-case/1: what it accepts, what it refuses and where, and what the command prints."""

from __future__ import annotations

import copy
import json
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rackwright.faces.cli.main import main
from rackwright.strength.frame_case import answer, answer_document, read_case, stability_document
from rackwright.trouble import DEFERENCE

BEAM = {
    "kind": "beam", "A": 4e-4, "Iy": 9e-8, "Iz": 9e-8, "J": 1.3e-7, "E": 7e10, "G": 2.6e10, "rho": 2700.0,
    "zref": [0, 0, 1],
}  # fmt: skip
SOUND = {
    "format": "frame-case/1", "id": "small", "units": "SI", "seed": 1,
    "nodes": [{"id": 1, "x": 0, "y": 0, "z": 0}, {"id": 2, "x": 1.0, "y": 0, "z": 0},
              {"id": 3, "x": 1, "y": 1, "z": 0.5}],
    "members": [{"id": 1, "i": 1, "j": 2, **BEAM},
                {"id": 2, "i": 2, "j": 3, "kind": "tie", "A": 1e-5, "E": 1e11, "rho": 0}],
    "supports": [{"node": 1, "fixed": [1, 1, 1, 1, 1, 1]}, {"node": 3, "fixed": [1, 1, 1, 1, 1, 1]}],
    "springs": [{"id": 1, "node": 2, "dof": "uz", "k": 1e5, "acts": "when_negative"}],
    "masses": [{"id": 1, "node": 2, "m": 5.0}, {"id": 2, "member": 1, "at": 0.5, "m": 2.0}],
    "load_cases": [{"id": "down", "inertia": [0, 0, -9.8], "nodal_loads": []},
                   {"id": "push", "inertia": [0, 0, 0], "nodal_loads": [{"node": 2, "F": [0, 1, 2, 0, 0, 3]}]}],
}  # fmt: skip


def edited(*edits) -> dict:
    """SOUND with values put, or taken away where the value is `del`, at their pointers."""
    case = copy.deepcopy(SOUND)
    for pointer, value in edits:
        at, *rest = (int(part) if part.isdigit() else part for part in pointer.split("/")[1:])
        place = case
        for part in rest:
            place, at = place[at], part
        if value == "del":
            del place[at]
        elif isinstance(place, list) and at == len(place):
            place.append(value)
        else:
            place[at] = value
    return case


def answered(case) -> dict:
    found, faults = read_case(json.dumps(case), "case.json")
    assert found is not None, faults
    result, faults = answer(found, "case.json")
    assert result is not None, faults
    return answer_document(result) | {"stability": stability_document(result)}


def column(push: float, **beam) -> dict:
    """A cantilever of two beams, 2 m upright, pushed down at its top."""
    beams = [{"id": n, "i": n, "j": n + 1, **BEAM, "zref": [1, 0, 0], "rho": 0.0, **beam} for n in (1, 2)]
    return {
        "format": "frame-case/1", "id": "column", "nodes": [{"id": n, "x": 0, "y": 0, "z": n - 1} for n in (1, 2, 3)],
        "members": beams, "supports": [{"node": 1, "fixed": [1] * 6}],
        "load_cases": [{"id": "down", "inertia": [0, 0, 0], "nodal_loads": [{"node": 3, "F": [0, 0, -push, 0, 0, 0]}]}],
    }  # fmt: skip


def test_stability_of_a_column():
    """Euler: π² EI / (2 L)² over the push; without a sideways load it only shortens."""
    euler = np.pi**2 * 7e10 * 9e-8 / (2 * 2.0) ** 2
    told = answered(column(euler / 4))["stability"]["down"]
    assert told["buckles_at_times"] == pytest.approx(4, rel=1e-6)
    assert "node 3" in told["where"]
    down = told["second_order"]["displacements"]["3"]
    assert down[2] == pytest.approx(-euler / 4 * 2 / (7e10 * 4e-4), rel=1e-6)
    assert "load buckles it" in answered(column(euler * 1.5))["stability"]["down"]["second_order"]["none"]
    assert answered(column(-euler))["stability"]["down"]["buckles_at_times"] is None


def test_preload_and_warming():
    """A beam between walls, 40 K warmer: EA α ΔT of push. A tie made short pulls its free node's spring out."""
    case = column(0.0, alpha=23e-6)
    case["supports"].append({"node": 3, "fixed": [1] * 6})
    case["load_cases"][0]["warming"] = [{"member": n, "by": 40} for n in (1, 2)]
    ends = answered(case)["cases"]["down"]["member_end_forces"]["1"]
    assert -ends[6] == pytest.approx(7e10 * 4e-4 * 23e-6 * 40, rel=1e-9)
    pulled = edited(("/members/1/preload", 500.0), ("/load_cases/0/inertia", [0, 0, 0]))
    found = answered(pulled)["cases"]["down"]
    assert 5 < found["member_end_forces"]["2"][6] < 500
    assert found["displacements"]["2"][1] > 1e-4


@pytest.mark.parametrize(
    ("edit", "code", "field"),
    [
        (("/members/0/preload", "much"), "RW103", "/members/0/preload"),
        (("/members/0/alpha", -1e-5), "RW106", "/members/0/alpha"),
        (("/members/1/alpha", 1e-5), "RW102", "/members/1/alpha"),
        (("/load_cases/0/warming", [{"member": 2, "by": 5}]), "RW108", "/load_cases/0/warming/0/member"),
        (("/load_cases/0/warming", [{"member": 1}]), "RW101", "/load_cases/0/warming/0/by"),
        (("/load_cases/0/warming", [{"member": 1, "by": 1e30}]), "RW106", "/load_cases/0/warming/0/by"),
    ],
)  # fmt: skip
def test_wrong_preload_and_warming(edit, code, field):
    assert faults_of(edited(edit)) == [(code, field)]


def faults_of(case) -> list[tuple[str, str]]:
    found, faults = read_case(case if isinstance(case, str | bytes) else json.dumps(case), "case.json")
    assert (found is None) == bool(faults)
    assert all(fault.where.file == "case.json" and fault.found and fault.do for fault in faults)
    return [(fault.code, fault.where.field) for fault in faults]


def test_a_sound_case_has_no_faults():
    assert faults_of(SOUND) == []


BROKEN = {
    "no format": (("/format", "del"), "RW110", "/format"),
    "another format": (("/format", "frame-case/2"), "RW110", "/format"),
    "no id": (("/id", "del"), "RW101", "/id"),
    "no nodes": (("/nodes", []), "RW106", "/nodes"),
    "nodes are a text": (("/nodes", "1"), "RW103", "/nodes"),
    "a node is a number": (("/nodes/2", 3), "RW103", "/nodes/2"),
    "a coordinate is missing": (("/nodes/1/y", "del"), "RW101", "/nodes/1/y"),
    "a coordinate is a text": (("/nodes/1/y", "0"), "RW103", "/nodes/1/y"),
    "a coordinate is true": (("/nodes/1/y", True), "RW103", "/nodes/1/y"),
    "a coordinate is not finite": (("/nodes/1/y", float("nan")), "RW007", "/nodes/1/y"),
    "a coordinate is out of this world": (("/nodes/1/y", 1e40), "RW106", "/nodes/1/y"),
    "a node twice": (("/nodes/1/id", 1), "RW107", "/nodes/1/id"),
    "a node id with a point": (("/nodes/2/id", 3.0), "RW103", "/nodes/2/id"),
    "an unknown node": (("/members/0/j", 9), "RW108", "/members/0/j"),
    "a member twice": (("/members/1/id", 1), "RW107", "/members/1/id"),
    "an unknown kind": (("/members/0/kind", "rod"), "RW103", "/members/0/kind"),
    "a negative area": (("/members/0/A", -1e-4), "RW106", "/members/0/A"),
    "no modulus": (("/members/0/E", "del"), "RW101", "/members/0/E"),
    "inertia null": (("/members/0/Iy", None), "RW103", "/members/0/Iy"),
    "negative density": (("/members/0/rho", -1), "RW106", "/members/0/rho"),
    "shear area zero": (("/members/0/Asy", 0), "RW106", "/members/0/Asy"),
    "a misspelt shear area": (("/members/0/Az", 1e-4), "RW102", "/members/0/Az"),
    "zref along the member": (("/members/0/zref", [2, 0, 0]), "RW106", "/members/0/zref"),
    "zref of two numbers": (("/members/0/zref", [0, 1]), "RW103", "/members/0/zref"),
    "zref zero": (("/members/0/zref", [0, 0, 0]), "RW106", "/members/0/zref"),
    "no length": (("/members/0/j", 1), "RW106", "/members/0"),
    "nodes at one place": (("/nodes/1/x", 0), "RW106", "/members/0"),
    "release of rx": (("/members/0/release_i", ["rx"]), "RW103", "/members/0/release_i/0"),
    "release twice": (("/members/0/release_i", ["ry", "ry"]), "RW107", "/members/0/release_i/1"),
    "release no list": (("/members/0/release_j", "ry"), "RW103", "/members/0/release_j"),
    "a heavy tie": (("/members/1/rho", 7800), "RW106", "/members/1/rho"),
    "a released tie": (("/members/1/release_i", ["ry"]), "RW102", "/members/1/release_i"),
    "support of true": (("/supports/0/fixed", [True] * 6), "RW103", "/supports/0/fixed"),
    "support of five": (("/supports/0/fixed", [1] * 5), "RW103", "/supports/0/fixed"),
    "support of two": (("/supports/0/fixed", [2] * 6), "RW103", "/supports/0/fixed"),
    "supported twice": (("/supports/2", {"node": 1, "fixed": [1] * 6}), "RW107", "/supports/2/node"),
    "unknown support": (("/supports/0/node", 7), "RW108", "/supports/0/node"),
    "spring freedom": (("/springs/0/dof", "x"), "RW103", "/springs/0/dof"),
    "spring acts": (("/springs/0/acts", "never"), "RW103", "/springs/0/acts"),
    "spring without stiffness": (("/springs/0/k", 0), "RW106", "/springs/0/k"),
    "negative mass": (("/masses/0/m", -5), "RW106", "/masses/0/m"),
    "mass nowhere": (("/masses/0/node", "del"), "RW101", "/masses/0"),
    "mass in two places": (("/masses/0/member", 1), "RW103", "/masses/0"),
    "mass off the member": (("/masses/1/at", 1.5), "RW106", "/masses/1/at"),
    "mass before the member": (("/masses/1/at", -0.1), "RW106", "/masses/1/at"),
    "mass on a tie": (("/masses/1/member", 2), "RW106", "/masses/1/member"),
    "mass on an unknown member": (("/masses/1/member", 5), "RW108", "/masses/1/member"),
    "case without inertia": (("/load_cases/0/inertia", "del"), "RW101", "/load_cases/0/inertia"),
    "case twice": (("/load_cases/1/id", "down"), "RW107", "/load_cases/1/id"),
    "load on an unknown node": (("/load_cases/1/nodal_loads/0/node", 5), "RW108", "/load_cases/1/nodal_loads/0/node"),
    "load of three": (("/load_cases/1/nodal_loads/0/F", [1, 2, 3]), "RW103", "/load_cases/1/nodal_loads/0/F"),
    "load with a text": (("/load_cases/1/nodal_loads/0/F/2", "1"), "RW103", "/load_cases/1/nodal_loads/0/F/2"),
    "a misspelt list": (("/spring", []), "RW102", "/spring"),
    "a second beam between two nodes": (("/members/2", {"id": 3, "i": 2, "j": 1, **BEAM}), "RW107", "/members/2"),
    "a second tie between two nodes": (("/members/2", {**SOUND["members"][1], "id": 3}), "RW107", "/members/2"),
    "a tie of negative area": (("/members/1/A", -1e-5), "RW106", "/members/1/A"),
    "not a number where a member ends": (("/nodes/1/x", float("nan")), "RW007", "/nodes/1/x"),
    "not a number across the member": (("/members/0/zref/2", float("nan")), "RW007", "/members/0/zref/2"),
    "an infinite inertia": (("/load_cases/0/inertia/2", float("inf")), "RW007", "/load_cases/0/inertia/2"),
    "1e30 for a coordinate": (("/nodes/1/x", 1e30), "RW106", "/nodes/1/x"),
    "1e30 for an area": (("/members/0/A", 1e30), "RW106", "/members/0/A"),
    "1e30 for a modulus": (("/members/1/E", 1e30), "RW106", "/members/1/E"),
    "1e30 for an inertia of section": (("/members/0/J", 1e30), "RW106", "/members/0/J"),
    "1e-30 for an area": (("/members/0/A", 1e-30), "RW106", "/members/0/A"),
    "1e30 for a stiffness": (("/springs/0/k", 1e30), "RW106", "/springs/0/k"),
    "1e30 for a mass": (("/masses/0/m", 1e30), "RW106", "/masses/0/m"),
    "1e30 for an acceleration": (("/load_cases/0/inertia/0", -1e30), "RW106", "/load_cases/0/inertia/0"),
    "1e30 for a load": (("/load_cases/1/nodal_loads/0/F/1", 1e30), "RW106", "/load_cases/1/nodal_loads/0/F/1"),
    "a node that nothing joins": (("/nodes/3", {"id": 4, "x": 5, "y": 5, "z": 0}), "RW301", "/nodes/3"),
    "an integer of 40 digits": (("/masses/0/m", 10**40), "RW007", "/masses/0/m"),
}  # fmt: skip


def test_two_springs_on_one_freedom_are_one_mistake():
    spring = {"node": 2, "dof": "uz", "k": 1e5, "acts": "when_negative"}
    assert faults_of(edited(("/springs", [{"id": n, **spring} for n in (1, 2)]))) == [("RW107", "/springs/1")]
    apart = [{"id": 1, **spring}, {"id": 2, **spring, "acts": "when_positive"}]
    assert faults_of(edited(("/springs", apart))) == []


@pytest.mark.parametrize("name", BROKEN)
def test_each_mistake_is_told_at_its_place(name):
    edit, code, field = BROKEN[name]
    assert faults_of(edited(edit)) == [(code, field)]


def test_all_mistakes_are_told_at_once():
    """Repeated names and NaN do not hide the others."""
    text = json.dumps(edited(("/masses/0/m", -5), ("/nodes/1/y", float("nan")), ("/members/0/E", "x")))
    text = text.replace('"units": "SI"', '"units": "SI", "units": "SI"')
    assert set(faults_of(text)) == {
        ("RW007", "/units"), ("RW007", "/nodes/1/y"), ("RW103", "/members/0/E"), ("RW106", "/masses/0/m"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "code"),
    [
        (b"\xff\xfe{}", "RW003"), ("", "RW004"), (" \n", "RW004"), ("{" * 70, "RW005"), ("[" * 65 + "]" * 65, "RW005"),
        (b"{" + b" " * 5_000_000 + b"}", "RW005"), ('{"format": }', "RW007"), ("[]", "RW103"),
        ('{"id": ' + "9" * 5000 + "}", "RW007"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_at_all(text, code):
    assert code in [found for found, _ in faults_of(text)]


def test_what_others_add_at_the_top_does_not_matter():
    assert faults_of(SOUND | {"generator": "x", "expected": {"a": [None]}, "checked_by": 3}) == []


JUNK = st.one_of(
    st.none(), st.booleans(), st.integers(-5, 5), st.floats(), st.text(max_size=3), st.just([]), st.just({}),
    st.just([1, 2]), st.sampled_from([1e300, 1e-300, 10**30]),
)  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.randoms(use_true_random=False), st.lists(JUNK, min_size=1, max_size=3))
def test_junk_anywhere_is_a_fault_or_an_answer(rng, junk):
    """Never a traceback, and never a number that JSON cannot carry."""
    case = copy.deepcopy(SOUND)
    for value in junk:
        _spoil(case, rng, value)
    found, faults = read_case(json.dumps(case), "case.json")
    if found is None:
        assert faults
    else:
        answered, faults = answer(found, "case.json")
        if answered is None:
            assert faults
        else:
            json.dumps(answer_document(answered), allow_nan=False)


def _spoil(value, rng: random.Random, junk) -> None:
    while True:
        keys = list(value) if isinstance(value, dict) else list(range(len(value)))
        if not keys:
            return
        key = rng.choice(keys)
        if isinstance(value[key], dict | list) and value[key] and rng.random() < 0.9:
            value = value[key]
            continue
        if rng.random() < 0.3 and isinstance(value, dict):
            del value[key]
        else:
            value[key] = copy.deepcopy(junk)
        return


# --- the command -----------------------------------------------------------------------------------------


def run(capsys, *args: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as left:
        main(["frame", *args])
    out, err = capsys.readouterr()
    return int(left.value.code or 0), out, err


@pytest.fixture
def file(tmp_path):
    def write(case) -> str:
        path = tmp_path / "case.json"
        path.write_text(json.dumps(case), encoding="utf-8")
        return str(path)

    return write


def test_the_answer_has_the_shape_of_the_format(capsys, file):
    code, out, _ = run(capsys, file(SOUND), "--json")
    document = json.loads(out)
    assert code == 0
    assert document.keys() == {"id", "cases", "modes_hz"}
    assert document["modes_hz"] is None
    down = document["cases"]["down"]
    assert set(down) == {"displacements", "reactions", "spring_forces", "member_end_forces", "slack_ties",
                         "open_springs", "total_mass_kg"}  # fmt: skip
    assert list(down["displacements"]) == ["1", "2", "3"]
    assert list(down["reactions"]) == ["1", "3"]
    assert len(down["member_end_forces"]["1"]) == 12
    tie = down["member_end_forces"]["2"]
    assert tie[6] == -tie[0]
    assert [tie[i] for i in range(12) if i not in (0, 6)] == [0] * 10
    assert down["spring_forces"]["1"] > 0
    assert down["total_mass_kg"] == pytest.approx(5 + 2 + 2700 * 4e-4)


def test_a_spring_that_acts_when_positive_pulls_back(capsys, file):
    case = edited(("/springs/0/acts", "when_positive"), ("/load_cases/0/inertia", [0, 0, 9.8]))
    code, out, _ = run(capsys, file(case), "--json")
    assert code == 0
    assert json.loads(out)["cases"]["down"]["spring_forces"]["1"] < 0


def test_a_mechanism_stands_in_its_place_and_exits_with_1(capsys, file):
    case = edited(("/supports/0/fixed", [1, 1, 1, 0, 1, 1]))
    code, out, err = run(capsys, file(case), "--json")
    cases = json.loads(out)["cases"]
    assert code == 1
    assert "rotation about x" in cases["down"]["no_equilibrium"]
    assert "case.json:1 /load_cases/0: no equilibrium" in err
    assert "RW302" in err


def test_frequencies_only_without_one_sided_parts(capsys, file):
    case = edited(("/springs", []), ("/members/1", "del"))
    _, out, _ = run(capsys, file(case), "--json")
    hz = json.loads(out)["modes_hz"]
    assert len(hz) == 4
    assert hz == sorted(hz)
    case["supports"][0]["fixed"] = [1, 1, 1, 0, 1, 1]
    assert json.loads(run(capsys, file(case), "--json")[1])["modes_hz"] is None


def test_faults_are_one_json_document_and_exit_2(capsys, file):
    code, out, err = run(capsys, file(edited(("/members/0/E", -1), ("/masses/0/m", "x"))), "--json")
    assert code == 2
    assert [row["field"] for row in json.loads(out)["trouble"]] == ["/members/0/E", "/masses/0/m"]
    assert "Traceback" not in err


def test_for_people_there_is_a_table_with_the_deference_line(capsys, file):
    code, out, _ = run(capsys, file(SOUND))
    assert code == 0
    assert "down" in out
    assert "slack ties" in out
    assert DEFERENCE in out


def test_reactions_springs_and_loads_balance_in_the_answer(capsys, file):
    """Summed from the printed answer alone."""
    _, out, _ = run(capsys, file(SOUND), "--json")
    for name, inertia in (("down", [0, 0, -9.8]), ("push", [0, 0, 0])):
        case = json.loads(out)["cases"][name]
        total = np.array(inertia, float) * case["total_mass_kg"] + (
            [0, 1, 2] if name == "push" else [0, 0, 0]
        )
        total += sum(np.array(row[:3]) for row in case["reactions"].values())
        total[2] += case["spring_forces"]["1"]
        assert total == pytest.approx([0, 0, 0], abs=1e-9)

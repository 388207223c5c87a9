"""Instances in both forms, every fault at once, and the answer document."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest

from rackwright.making.saw import Group, first_answer, improve
from rackwright.making.sawing.answer import answer_document
from rackwright.making.sawing.instance import Instance, read_instance
from rackwright.making.sawing.mitre import flip_saving
from rackwright.trouble import Fault

PLAIN: dict[str, Any] = {
    "name": "small", "kerf": 0, "stock": [{"length": 100, "count": -1, "cost": 1}],
    "pieces": [{"length": 60, "count": 2}, {"length": 40, "count": 2}],
}  # fmt: skip

SHOP: dict[str, Any] = {
    "format": "saw-1", "name": "posts", "units_per_inch": 1000, "kerf": 125, "tail_min": 2000,
    "remnant_min": 12000, "remnant_credit": 8,
    "stock": [
        {"id": "B1", "section": "T", "length": 60000, "count": 1, "cost": 480000, "kind": "remnant", "heat": "H1",
         "lead_trim": 0},
        {"id": "BUY", "section": "T", "length": 240000, "count": -1, "cost": 2400000, "kind": "purchase",
         "heat": "NEW", "lead_trim": 500},
    ],
    "pieces": [
        {"id": "P1", "section": "T", "length": 48000, "count": 4, "role": "post", "use": 48125},
        {"id": "P2", "section": "T", "length": 19875, "count": 2, "role": "brace", "use": 20052,
         "mitre_deg": [45.0, 45.0]},
    ],
    "groups": [
        {"section": "T", "length": 48000, "role": "post", "per_rack": 4, "racks": 1, "rule": "same_heat"},
    ],
}  # fmt: skip


def changed(document: dict[str, Any], *changes: tuple[str, Any]) -> dict[str, Any]:
    """A copy with values put at JSON Pointers; `...` takes the member away."""
    made = copy.deepcopy(document)
    for pointer, value in changes:
        *path, last = pointer.strip("/").split("/")
        at: Any = made
        for part in path:
            at = at[int(part)] if isinstance(at, list) else at[part]
        key = int(last) if isinstance(at, list) else last
        if value is ...:
            del at[key]
        else:
            at[key] = value
    return made


def read(document: dict[str, Any]) -> Instance:
    instance, faults = read_instance(json.dumps(document), "case.json")
    assert faults == []
    assert instance is not None
    return instance


def faults_of(document: Any) -> list[Fault]:
    instance, faults = read_instance(json.dumps(document, indent=1), "case.json")
    assert instance is None
    return faults


def solved(instance: Instance) -> dict[str, Any]:
    answers = [list(improve(section.problem, 300))[-1] for section in instance.sections]
    return answer_document(instance, answers, 0.5)


# --- sound instances -----------------------------------------------------------------------------


def test_the_plain_form_names_pieces_by_their_length() -> None:
    document = solved(read(PLAIN))
    assert document["bars"] == [{"length": 100, "bars": 2, "cut": {"60": 1, "40": 1}, "leftover": 0}]
    assert (document["objective"], document["lower_bound"], document["status"]) == (2, 2, "optimal")
    assert (document["instance"], document["gap"], document["bars_opened"]) == ("small", 0.0, 2)
    assert document["balance"] == {"opened": 200, "use": 200, "trim": 0, "scrap": 0, "remnants": 0}


@pytest.mark.parametrize(("bar", "bars"), [(303, 1), (302, 2)])
def test_in_the_plain_form_the_last_piece_may_end_on_the_end_of_the_bar(bar: int, bars: int) -> None:
    """Four pieces of 75 and three cuts of 1 between them: 303 suffices, 302 does not."""
    stock = [{"length": bar, "count": -1, "cost": 1}]
    document = solved(
        read(changed(PLAIN, ("/kerf", 1), ("/stock", stock), ("/pieces", [{"length": 75, "count": 4}])))
    )
    assert document["objective"] == bars
    assert sum(row["leftover"] * row["bars"] for row in document["bars"]) == (
        0 if bars == 1 else 2 * 302 - 302
    )


def test_a_length_given_twice_is_one_length() -> None:
    twice = [{"length": 60, "count": 1}, {"length": 60, "count": 1}, {"length": 40, "count": 2}]
    assert solved(read(changed(PLAIN, ("/pieces", twice)))) == solved(read(PLAIN))


def test_the_shop_form_by_hand() -> None:
    """Posts from the new bar leave 240000 - 500 - 4 · 48125 = 47000, braces from the remnant 60000 - 2 · 20052 =
    19896, both kept at 8 a unit: 2400000 - 376000 + 480000 - 159168 = 2344832. All on the new bar: 2400000."""
    instance = read(SHOP)
    assert instance.sections[0].problem.groups == (Group(("P1",), 4),)
    document = solved(instance)
    cut = {row["id"]: row for row in document["bars"]}
    assert (cut["BUY"]["cut"], cut["BUY"]["leftover"]) == ({"P1": 4}, 47000)
    assert (cut["B1"]["cut"], cut["B1"]["leftover"]) == ({"P2": 2}, 19896)
    assert (document["objective"], document["status"]) == (2344832, "optimal")
    assert {"section": "T", "heat": "NEW", "lead_trim": 500, "length": 240000}.items() <= cut["BUY"].items()
    parts = document["balance"]
    assert (parts["use"], parts["trim"], parts["scrap"], parts["remnants"]) == (232604, 500, 0, 66896)


def test_posts_of_one_rack_never_come_from_two_heats() -> None:
    """Two bars that take two posts each, of two heats: only with one heat is that a plan."""
    bars = [{**SHOP["stock"][0], "id": f"B{n}", "length": 99000, "heat": f"H{n}"} for n in range(2)]
    pieces = SHOP["pieces"][:1]
    assert solved(read(changed(SHOP, ("/stock", bars), ("/pieces", pieces))))["status"] == "infeasible"
    one_heat = [{**bar, "heat": "H1"} for bar in bars]
    assert solved(read(changed(SHOP, ("/stock", one_heat), ("/pieces", pieces))))["status"] == "optimal"


def test_groups_of_the_same_pieces_keep_the_rule_of_each() -> None:
    groups = [{**SHOP["groups"][0], "per_rack": 2}, {**SHOP["groups"][0], "per_rack": 4}]
    assert read(changed(SHOP, ("/groups", groups))).sections[0].problem.groups == (Group(("P1",), 4),)


def test_without_groups_posts_may_come_from_several_heats() -> None:
    assert read(changed(SHOP, ("/groups", ...))).sections[0].problem.groups == ()


def test_bounds_written_in_an_instance_are_not_read() -> None:
    said = changed(PLAIN, ("/optimum", 1), ("/lower_bound", "none"), ("/best_known", 1), ("/per_section", 7))
    assert solved(read(said)) == solved(read(PLAIN))


def test_nothing_to_cut_costs_nothing() -> None:
    for pieces in ([], [{"length": 60, "count": 0}]):
        document = solved(read(changed(PLAIN, ("/pieces", pieces))))
        assert (document["status"], document["objective"], document["bars"]) == ("optimal", 0, [])


@pytest.mark.parametrize(
    ("change", "short"),
    [
        (("/pieces/0/length", 101), {"101": 2}),
        (("/stock", []), {"60": 2, "40": 2}),
        (("/stock/0/count", 0), {"60": 2, "40": 2}),
        (("/stock/0/count", 1), {"60": 1, "40": 1}),
    ],
)
def test_what_cannot_be_cut_is_listed_as_short(change: tuple[str, Any], short: dict[str, int]) -> None:
    document = solved(read(changed(PLAIN, change)))
    assert document["status"] == "infeasible"
    assert {str(row["length"]): row["missing"] for row in document["short"]} == short
    assert document["short_proven"]


def test_a_section_without_any_bar_is_short_of_all_its_pieces() -> None:
    document = solved(read(changed(SHOP, ("/pieces/1/section", "U"))))
    assert document["short"] == [{"section": "U", "length": 19875, "missing": 2}]


# --- faults --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (("/kerf", 0.5), "RW103"),
        (("/kerf", -1), "RW106"),
        (("/kerf", ...), "RW101"),
        (("/name", ...), "RW101"),
        (("/name", 7), "RW103"),
        (("/stock", ...), "RW101"),
        (("/stock", {}), "RW103"),
        (("/stock/0", 5), "RW103"),
        (("/stock/0/length", True), "RW103"),
        (("/stock/0/length", 0), "RW106"),
        (("/stock/0/length", 10**13), "RW106"),
        (("/stock/0/count", -2), "RW106"),
        (("/stock/0/count", -1.0), "RW103"),
        (("/stock/0/cost", "1"), "RW103"),
        (("/stock/0/cost", ...), "RW101"),
        (("/pieces", ...), "RW101"),
        (("/pieces/1/length", None), "RW103"),
        (("/pieces/1/count", -1), "RW106"),
        (("/pieces/1/count", [3]), "RW103"),
    ],
)
def test_every_fault_of_the_plain_form_names_its_place(change: tuple[str, Any], code: str) -> None:
    (fault,) = faults_of(changed(PLAIN, change))
    assert (fault.code, fault.where.field) == (code, change[0])
    assert fault.where.line > 0 or fault.code == "RW101"  # what is missing at the top has no line


@pytest.mark.parametrize(
    ("change", "code"),
    [
        (("/tail_min", ...), "RW101"),
        (("/remnant_credit", 10**9), "RW106"),
        (("/stock/1/id", "B1"), "RW107"),
        (("/stock/0/heat", ...), "RW101"),
        (("/stock/0/lead_trim", -1), "RW106"),
        (("/stock/0/kind", "new"), "RW103"),
        (("/pieces/1/id", "P1"), "RW107"),
        (("/pieces/1/section", ""), "RW103"),
        (("/pieces/0/use", 48000), "RW106"),
        (("/groups/0/per_rack", 0), "RW106"),
        (("/groups/0/rule", "same_day"), "RW103"),
        (("/groups/0/role", ...), "RW101"),
    ],
)
def test_every_fault_of_the_shop_form_names_its_place(change: tuple[str, Any], code: str) -> None:
    (fault,) = faults_of(changed(SHOP, change))
    assert (fault.code, fault.where.field) == (code, change[0])


def test_a_group_of_no_pieces_and_an_unknown_format_are_faults() -> None:
    (fault,) = faults_of(changed(SHOP, ("/groups/0/section", "U")))
    assert (fault.code, fault.where.field) == ("RW108", "/groups/0")
    (fault,) = faults_of(changed(SHOP, ("/format", "saw-2")))
    assert (fault.code, fault.where.field) == ("RW110", "/format")


def test_all_faults_come_at_once() -> None:
    bad = changed(
        SHOP, ("/kerf", 1.5), ("/stock/0/cost", -5), ("/pieces/0/count", True), ("/pieces/1/use", ...)
    )
    assert [fault.where.field for fault in faults_of(bad)] == [
        "/kerf", "/stock/0/cost", "/pieces/0/count", "/pieces/1/use",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "RW004"),
        (b"\xff\xfe\x00saw", "RW003"),
        (b"{", "RW007"),
        (b"[1, 2]", "RW103"),
        (b"[" * 70 + b"]" * 70, "RW005"),
        (b'{"name": "' + b"x" * 5_000_001 + b'"}', "RW005"),
    ],
)
def test_what_is_no_document_is_refused(data: bytes, code: str) -> None:
    instance, faults = read_instance(data, "case.json")
    assert instance is None
    assert [fault.code for fault in faults] == [code]


def test_the_first_answer_already_fills_the_document() -> None:
    instance = read(SHOP)
    document = answer_document(instance, [first_answer(s.problem) for s in instance.sections], 0.0)
    assert document["lower_bound"] <= document["objective"]
    assert 0 <= document["gap"] < 1
    assert json.dumps(document)


def test_mitred_ends_take_their_slanted_kerf() -> None:
    """By hand: a kerf of 125 at 45 deg takes 125 x sqrt 2 = 176.8 of the bar: 19875 + 177 = 20052; less is refused."""
    assert read(SHOP).sections[0].mitres["P2"].angles == (45.0, 45.0)
    changes = {
        "/pieces/1/use": ("/pieces/1/use", 20051), "/pieces/1/mitre_deg": ("/pieces/1/mitre_deg", [45, 75]),
        "/pieces/1/length": ("/pieces/1/depth", 10000),
    }  # fmt: skip
    for place, change in changes.items():
        (fault,) = faults_of(changed(SHOP, change))
        assert (fault.code, fault.where.field) == ("RW106", place)
    (fault,) = faults_of(changed(SHOP, ("/pieces/1/mitre_deg", 45)))
    assert fault.where.field == "/pieces/1/mitre_deg"


def test_the_saving_by_turning_is_that_of_trapezoids_laid_out() -> None:
    """Two braces of depth 1500 at 45 deg: laid point to heel they reach 1500 less far, by the drawn corners."""
    depth, length = 1500, 19875
    upper, lower = (0, length), (depth, length - depth)  # long side above, short side below
    turned = [(x, y) for x, y in (lower, upper)]  # the next piece, turned over: short side above
    shift = max(upper[1] - turned[0][0], lower[1] - turned[1][0])  # until it touches, above or below
    assert 2 * length - (shift + length) == depth == flip_saving(2, depth, (45.0, 45.0))
    assert flip_saving(5, depth, (45.0, 45.0)) == 4 * depth
    assert flip_saving(5, depth, (45.0, 30.0)) == 0
    assert flip_saving(1, depth, (45.0, 45.0)) == 0
    answers = [list(improve(read(SHOP).sections[0].problem, 50))[-1]]
    mitred = read(changed(SHOP, ("/pieces/1/depth", depth)))
    rows = [row for bar in answer_document(mitred, answers, 0.1)["bars"] for row in bar.get("mitred", ())]
    assert {row["piece"] for row in rows} == {"P2"}
    assert all(row["short"] == length - 2 * depth for row in rows)

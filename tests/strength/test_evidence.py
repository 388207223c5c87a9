"""Tests as evidence: what they prove, what they do not, and that they never hide a lower margin."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from racks import EVIDENCE, INVENTED, LBF, STANDARD, VARIATION, built, design_of, item, plain
from rackwright.answers import prove_json
from rackwright.faces.cli.main import main
from rackwright.strength.evidence import needed
from rackwright.strength.margin import Margin
from rackwright.strength.plan_of_test import plan_text

Tables = dict[str, Any]
ONE = "joint.width.top.front.low/spigot bending"
IN_LBF = LBF * 0.0254


def rack(**evidence: Any) -> Tables:
    """A plain rack with blocks of bar, whose row gives nothing across the grain, and one test; None leaves out."""
    tables = plain(shelves={"s": 8}, items=[item("a", "s", (4, 4), lb=30)])
    tables["block"] |= {"material": "6061-T651-bar-S", "stock": "AMS-QQ-A-225/8"}
    return {**tables, "evidence": [{**EVIDENCE, **evidence}]}


def margins(tables: Tables) -> dict[str, Margin]:
    return {one.id: one for one in built(tables).strength.margins}


def without_tests() -> Tables:
    return {**rack(), "evidence": []}


def test_a_spigot_across_the_grain_has_no_margin_until_a_test() -> None:
    """The bar's row gives L only: posts have it, cross tubes have not. 5000 in·lbf × 0.9 over 1.15 × what is asked."""
    bare, tested = margins(without_tests()), margins(rack())
    gone = {id for id, one in bare.items() if one.margin is None}
    assert gone == {id for id in bare if re.fullmatch(r"joint\.(width|depth)\..*/spigot bending", id)}
    assert len(gone) == 16
    for id in gone:
        one = tested[id]
        assert one.margin == pytest.approx(5000 * IN_LBF * 0.9 / (1.15 * bare[id].required) - 1, rel=1e-9)  # type: ignore[operator]
        assert (one.basis, one.unit, one.case) == ("test", "N*m", bare[id].case)
        assert INVENTED in one.source
        assert "LC-1" in one.source
        assert "UNCONFIRMED" not in one.marks


def test_where_the_grain_is_not_stated_every_spigot_may_lie_across_it() -> None:
    tables = without_tests()
    tables["block"] = {**tables["block"], "grain": None}
    assert sum(one.margin is None for one in margins(tables).values()) == 24


@pytest.mark.parametrize("field", ["conformity", "gauge", "calibration", "metal_ratio", "report"])
def test_a_test_that_leaves_something_open_proves_nothing(field: str) -> None:
    design = built(rack(**{field: None}))
    one = next(m for m in design.strength.margins if m.id == ONE)
    assert one.margin is None
    assert f"test T1 proves nothing: {field} not stated" in one.why_missing
    assert f"evidence.T1.{field}" in {question.id for question in design.questions}


def test_a_load_of_another_kind_proves_nothing() -> None:
    one = margins(rack(moment=None, force="5000 lbf"))[ONE]
    assert one.margin is None
    assert "it states a load in N, the check asks one in N*m" in one.why_missing


def test_the_fitting_factor_falls_away_only_where_the_rule_says() -> None:
    """14 CFR 29.625(a): limit and ultimate load tests in which actual stress conditions are simulated."""
    kept = margins(rack(limit="held"))[ONE], margins(rack(simulates="a real corner"))[ONE]
    free = margins(rack(limit="held", simulates="a real corner of the rack"))[ONE]
    assert all(one.factor == 1.15 for one in kept)
    assert free.factor == 1.0
    assert free.margin + 1 == pytest.approx(1.15 * (kept[0].margin + 1))  # type: ignore[operator]
    assert "no fitting factor: limit load held too, a real corner of the rack" in free.source


WEAK = {"covers": ["strap.top front-left/tension"], "moment": None}


def test_a_test_stands_beside_a_margin_by_analysis_and_the_smaller_governs() -> None:
    id = "strap.top front-left/tension"
    for force, lower in (("100 lbf", True), ("90000 lbf", False)):
        found = margins(rack(**WEAK, force=force))
        own, beside = found[id], found[f"{id}, test T1"]
        assert own.margin == margins(without_tests())[id].margin
        assert (beside.margin < own.margin) == lower  # type: ignore[operator]
        assert not own.superseded
    assert not margins(rack(**WEAK, force="100 lbf"))[f"{id}, test T1"].holds


def test_engineering_may_accept_a_test_over_a_negative_margin_by_name() -> None:
    """A strap of 100 lbf by its document, pulled to 5000 lbf in a test: both stay, and only a name lets it hold."""
    id = "strap.top front-left/tension"
    weak = rack(**WEAK, force="5000 lbf", metal_ratio=1.0)
    weak["strap_type"] = [{**one, "allowable_ultimate": "100 lbf"} for one in weak["strap_type"]]
    accepted = {**weak, "evidence": [{**weak["evidence"][0], "accepted_by": "A. Name, engineering"}]}
    plain_, named = margins(weak)[id], margins(accepted)[id]
    assert plain_.margin == named.margin < 0  # type: ignore[operator]
    assert not plain_.holds
    assert named.holds
    assert named.superseded == "test T1, accepted by A. Name, engineering"
    refused = [str(one) for one in built(accepted).refusals() if one.code == "RW303"]
    assert not any(id in text for text in refused)
    assert id not in [one.id for one in built(accepted).strength.governing]


def test_a_test_that_covers_nothing_is_told() -> None:
    (one,) = [r for r in built(rack(covers=["ring.nowhere/eye"])).refusals() if r.code == "RW320"]
    assert "test T1 covers no margin" in one.found
    assert one.where.field == "evidence.T1.covers"


def test_what_is_needed_is_listed_with_its_load_and_a_plan() -> None:
    design = built(without_tests())
    document = prove_json(design)
    assert set(document["evidence_needed"]) == {
        one.id for one in design.strength.margins if one.margin is None
    }
    asked = document["evidence_needed"][ONE]
    assert asked["load_with_factor"] == pytest.approx(1.15 * asked["load"])
    (one,) = [each for each in needed(design.strength.margins) if each.margin.id == ONE]
    text = plan_text(design.rack, design.pieces, one)
    for words in ("TEST PLAN for joint.width.top.front.low", "conform", "load cell", f"{1.15 * one.load:.1f} N·m",  # type: ignore[operator]
                  "3 seconds", asked["case"], "Not approved data"):  # fmt: skip
        assert words in text


def test_the_plan_is_printed_by_prove(capsys: pytest.CaptureFixture[str], tmp_path: Any) -> None:
    from racks import written

    (tmp_path / "r.toml").write_text(written(without_tests()), "utf-8")
    for id, code in ((ONE, 0), ("post.front-left/strength", 1)):
        with pytest.raises(SystemExit) as left:
            main(["prove", str(tmp_path / "r.toml"), "--test-plan", id, "--json"])
        assert left.value.code == code
        out = json.loads(capsys.readouterr().out)
        assert ("text" in out) == (code == 0)


def test_the_demo_stands_by_its_test_and_says_its_heat() -> None:
    document = prove_json(design_of(STANDARD, VARIATION))
    assert document["evidence_needed"] == {}
    names = document["evidence"]["joint bending"]["covers"]
    assert len(names) == 16
    assert all(document["margins"][id]["basis"] == "test" for id in names)
    assert document["heat"]["total_W"] == pytest.approx(140 + 95 + 40 + 210 + 60)
    assert document["heat"]["not_stated"] == []
    assert "not computed" in document["heat"]["caution"]

"""The decision rule: limits moved inward by r times the gauge's uncertainty, kept with what was known then."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import small_shop
from papers.reading import flat, pages
from racks import DEMO
from rackwright.pieces.characteristics import Characteristic, characteristics
from rackwright.record import Event, Record, new_event
from rackwright.record.corrections import corrected
from rackwright.record.state import Gauge, Measurement
from rackwright.shop.model import Inspection
from rackwright.shop.read import read_shop
from rackwright.trouble import Stopped
from rackwright.work.gates import piece_complete
from rackwright.work.guard_band import Guarded, guarded, rule_words, unable, written
from rackwright.work.keeping.judges.verdicts import true_verdict
from rackwright.work.metal.sawing import piece_id
from rackwright.work.outcome import verdict
from rackwright.work.papers.inspection import inspection_sheet
from rackwright.work.people.founding import add_gauge
from rackwright.work.serials.doubtful import readings_of
from rackwright.work.stations.inspecting import measure

SERIAL = small_shop.SERIALS[0]
SAID = characteristics(
    small_shop.design().rack, small_shop.design().pieces, small_shop.shop().saw.cut_tolerance
)
LENGTH = next(one for one in SAID if one.name == "length" and one.piece.startswith("post."))
PIECE = piece_id(SERIAL, LENGTH.piece)
BOND = Characteristic(
    "rack", "bond", "resistance", "mohm", None, None, Fraction(5, 2000), "assembled", "bond meter"
)
ANGLE = Characteristic("r", "bend angle", "angle", "deg", Fraction(0.5235987755982988), Fraction(0.5061454830783556),
                       Fraction(0.5410520681182421), "before coat", "protractor")  # fmt: skip


@pytest.fixture
def record(tmp_path: Path, stages: Path) -> Iterator[Record]:
    with small_shop.stage("made", stages, tmp_path) as opened:
        yield opened


def inches(text: str) -> Fraction:
    return Fraction(text) * Fraction(254, 10_000)


def a_length(low: str, high: str) -> Characteristic:
    return replace(LENGTH, nominal=None, low=inches(low), high=inches(high))


# --- the limits that decide ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("one", "r", "spread", "low", "high"),
    [
        (a_length("9.99", "10.01"), 1.0, "0.002 in", "9.9920 in", "10.0080 in"),
        (a_length("9.99", "10.01"), 0.5, "0.002 in", "9.9910 in", "10.0090 in"),
        (a_length("9.99", "10.01"), 1.0, "0.025 mm", "9.9910 in", "10.0090 in"),  # 0.00098 in: inward
        (a_length("9.99", "10.01"), 1.0, "0.026 mm", "9.9911 in", "10.0089 in"),  # 0.00102 in: inward
        (a_length("9.99", "10.01"), 1.0, "0.011 in", "10.0010 in", "9.9990 in"),  # nothing is left
        (BOND, 1.0, "0.05 mohm", "", "2.4500 mohm"),
        (ANGLE, 1.0, "0.2 deg", "29.2000 deg", "30.8000 deg"),
    ],
)
def test_limits_move_inward(one: Characteristic, r: float, spread: str, low: str, high: str) -> None:
    assert guarded(one, r, spread) == Guarded(spread, low, high)


@pytest.mark.parametrize("spread", ["", "little", "0.1 mohm", "2"])
def test_an_uncertainty_that_is_not_of_the_dimension_makes_no_limits(spread: str) -> None:
    assert guarded(LENGTH, 1.0, spread) is None


def test_r_is_written_plainly() -> None:
    assert [written(r) for r in (0.0, 1.0, 0.5, 3.0)] == ["0", "1", "0.5", "3"]
    assert "guard band (r = 0)" in rule_words(0.0)
    assert "0.5 × the gauge's" in rule_words(0.5)


# --- a reading -----------------------------------------------------------------------------------


def at(off: str) -> str:
    """The post's length and so many inches, as text."""
    assert LENGTH.nominal is not None
    value = LENGTH.nominal / inches("1") + Fraction(off)
    return f"{float(value):.4f} in"


def read(record: Record, text: str, r: float = 1.0, gauge: str = "LB-2") -> Event:
    return measure(
        small_shop.station(record, "inspector"), SERIAL, {LENGTH: text}, gauge, guard_band=r
    ).events[0]


@pytest.mark.parametrize(
    ("off", "within", "undecided"),
    [("-0.0101", False, False), ("-0.0100", False, True), ("-0.0081", False, True), ("-0.0080", True, False),
     ("0", True, False),
     ("0.0080", True, False), ("0.0081", False, True), ("0.0100", False, True), ("0.0101", False, False)],
)  # fmt: skip
def test_both_sides_to_the_last_place(record: Record, off: str, within: bool, undecided: bool) -> None:
    """Cut tolerance 0.010 in, U = 0.002 in, r = 1: accepted to 0.008 in either way."""
    assert small_shop.shop().saw.cut_tolerance == round(0.010 * 25_400_000)
    body = read(record, at(off)).body
    guard: dict[str, Any] = {
        "r": "1",
        "uncertainty": "0.002 in",
        "lower": at("-0.008"),
        "upper": at("0.008"),
    }
    assert body["within"] is within
    assert body["guard"] == guard | ({"undecided": True} if undecided else {})
    assert true_verdict(body) is None
    last = small_shop.state(record).measured(PIECE)[-1]
    assert (last.within, last.undecided, last.accept_lower, last.accept_upper) == (
        within, undecided, at("-0.008"), at("0.008"),
    )  # fmt: skip
    for lie in ({"within": not within}, {"guard": guard | ({} if undecided else {"undecided": True})}):
        if "within" in lie or abs(Fraction(off)) < Fraction(
            "0.0099"
        ):  # the last place of a rounded limit is not judged
            assert true_verdict(body | lie) is not None


def test_without_a_rule_the_limits_themselves_decide(record: Record) -> None:
    for off, within in (("-0.0101", False), ("-0.0100", True), ("0.0100", True), ("0.0101", False)):
        body = read(record, at(off), r=0.0).body
        assert (body["within"], body["guard"]) == (within, {"r": "0"})
        assert true_verdict(body) is None


def test_between_both_limits_it_does_not_count_and_the_answer_says_what_to_do(record: Record) -> None:
    read(record, at("0.009"))
    refused = piece_complete(small_shop.state(record), PIECE, [LENGTH.name])
    assert refused is not None
    assert "within the limits, but not by the guard band" in refused.found
    assert at("0.008") in refused.found
    assert refused.do == "measure with a better gauge, or raise a nonconformance"
    add_gauge(small_shop.station(record, "lead"), "LB-9", "length bench", "2026-09-01", "0.0005 in")
    read(record, at("0.009"), gauge="LB-9")
    assert piece_complete(small_shop.state(record), PIECE, [LENGTH.name]) is None


def test_a_gauge_without_uncertainty_in_the_dimension_decides_only_without_a_band(record: Record) -> None:
    add_gauge(small_shop.station(record, "lead"), "LB-8", "length bench", "2026-09-01", "0.1 deg")
    with pytest.raises(Stopped, match="LB-8 states no uncertainty in a unit of length"):
        read(record, at("0"), gauge="LB-8")
    assert small_shop.state(record).measured(PIECE) == ()
    assert read(record, at("0"), r=0.0, gauge="LB-8").body["within"]


def test_the_limits_stored_must_follow_from_rule_and_uncertainty(record: Record) -> None:
    body = read(record, at("0")).body
    guard = body["guard"]
    for lie in ({"lower": at("-0.009")}, {"upper": at("0.0082")}, {"uncertainty": "0.001 in"}, {"r": "2"}):
        assert true_verdict(body | {"guard": guard | lie}) is not None
    for name in ("lower", "upper", "uncertainty"):
        assert true_verdict(body | {"guard": {key: guard[key] for key in guard if key != name}}) is not None


def test_the_verdict_stays_when_the_gauge_is_calibrated_anew(record: Record) -> None:
    read(record, at("0.007"))
    add_gauge(small_shop.station(record, "lead"), "LB-2", "length bench", "2026-10-01", "0.005 in")
    state = small_shop.state(record)
    assert state.measured(PIECE)[-1].within
    assert piece_complete(state, PIECE, [LENGTH.name]) is None
    assert not read(record, at("0.007")).body["within"]


def test_nearness_to_the_limit_ranks_as_before(record: Record) -> None:
    for off in ("0.001", "0.009", "0.005"):
        read(record, at(off))
    assert [one.value for one, _ in readings_of(small_shop.state(record), "LB-2")] == [
        at("0.009"), at("0.005"), at("0.001"),
    ]  # fmt: skip


# --- what was recorded before --------------------------------------------------------------------


def test_an_old_measurement_means_what_it_meant() -> None:
    body = {"piece": PIECE, "serial": SERIAL, "characteristic": "length", "value": "44.01 in", "lower": "43.99 in",
            "upper": "44.01 in", "gauge": "LB-2", "within": True}  # fmt: skip
    old = replace(new_event("measure", body, act_id="a", at="2026-03-10T08:00:00Z", by="E. Lund", v=1), seq=1)
    (now,) = corrected([old])
    assert (now.v, now.body) == (2, {**body, "guard": {"r": "0"}})
    assert true_verdict(now.body) is None
    assert true_verdict(now.body | {"value": "44.0101 in"}) is not None
    assert old.body == body


# --- told before it is measured ------------------------------------------------------------------


def a_gauge(name: str, kind: str, spread: str, state: str = "in_use") -> Gauge:
    return Gauge(name, kind, "2026-09-01", state, spread, "", 1, "2026-01-01")


COARSE, FINE = a_gauge("LB-1", "length bench, 60 in", "0.010 in"), a_gauge("CM-2", "arm", "0.001 in")


def test_a_gauge_that_eats_the_tolerance_is_told_with_the_one_that_would_do() -> None:
    one = a_length("9.99", "10.01")
    assert unable(one, 1.0, [COARSE, FINE]) == (("LB-1",), ("CM-2",))  # 2 w is just the tolerance
    assert unable(one, 1.0, [COARSE, replace(FINE, state="bad")]) == (("LB-1",), ())
    assert unable(one, 1.0, [replace(COARSE, uncertainty="0.0099 in"), FINE]) is None
    assert unable(one, 0.99, [COARSE]) is None
    assert unable(one, 0.0, [COARSE]) is None
    assert unable(one, 1.0, [FINE]) is None  # none of its kind is there
    assert unable(BOND, 1.0, [a_gauge("BM", "bond meter", "2.5 mohm")]) == (("BM",), ())
    assert unable(BOND, 1.0, [a_gauge("BM", "bond meter", "2.4 mohm")]) is None  # one limit moves, not two


def sheet(record: Record, r: float) -> str:
    shop = replace(small_shop.shop(), inspection=Inspection(guard_band=r))
    return flat(
        " ".join(
            pages(
                inspection_sheet(small_shop.design(), shop, small_shop.DAY, SERIAL, small_shop.state(record))
            )
        )
    )


def test_the_sheet_prints_the_rule_its_limits_and_what_cannot_be_decided(record: Record) -> None:
    read(record, at("0.009"))
    text = sheet(record, 1.0)
    low, high = at("-0.008").split()[0], at("0.008").split()[0]
    assert flat(rule_words(1.0)) in text
    assert flat(f"{low} to {high}") in text
    assert flat(f"1 in the GUARD BAND: no. {LENGTH.number}") in text
    bend = next(
        one for one in SAID if one.gauge == "protractor"
    )  # its gauge here states an uncertainty in inches
    assert flat(f"No. {bend.number}: the guard band of PR-1 takes the whole tolerance") in text
    plain = sheet(record, 0.0)
    assert flat(rule_words(0.0)) in plain
    assert flat(f"{low} to {high}") in plain  # of the reading that was decided so
    assert "takesthewholetolerance" not in plain


def test_three_words_for_three_answers() -> None:
    one = Measurement("p", "", "length", "1 in", "", "", "", True, "LB", "", "Bo", "", 1)
    answers = (one, replace(one, within=False, undecided=True), replace(one, within=False))
    assert [verdict(each) for each in answers] == ["within", "GUARD BAND", "OUTSIDE"]


# --- the shop's file -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "code"),
    [("-0.1", "RW106"), ("3.1", "RW106"), ("true", "RW103"), ('"1"', "RW103"), ("nan", "RW106")],
)
def test_a_rule_out_of_range_is_one_located_fault(said: str, code: str) -> None:
    text = (DEMO / "shop.toml").read_text("utf-8")
    shop, faults = read_shop(text.replace("guard_band = 1 ", f"guard_band = {said} ").encode(), "shop.toml")
    assert shop is None
    (fault,) = faults
    assert fault.code == code
    assert fault.where.field == "inspection.guard_band"


def test_a_shop_without_a_rule_accepts_by_the_limits() -> None:
    shop = small_shop.shop()
    assert shop.guard_band == 1.0
    assert replace(shop, inspection=None).guard_band == 0.0

"""Bakes: reading logs, the cure by the slowest metal, what heat takes from the temper, and the oven's load."""

from __future__ import annotations

import json
from dataclasses import replace
from itertools import pairwise
from math import inf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from racks import DEMO, STANDARD, VARIATION, design_of, swap
from rackwright import reference
from rackwright.design import Design
from rackwright.making.cycles import bake_cycles
from rackwright.making.oven.bake import Cure, cure, cure_json
from rackwright.making.oven.batches import Hung, pack
from rackwright.making.oven.exposure import exposed, knock_down_json
from rackwright.making.oven.load import OvenPlan, oven_json, oven_plan
from rackwright.making.oven.thermocouples import Log, read_thermocouples, windows
from rackwright.pieces.oven_time import Bake, curves_of, kept, knock_down, onset
from rackwright.rack.model import CurePoint, Finish
from rackwright.shop import Shop, read_shop
from rackwright.trouble import UNCONFIRMED

TEXT = (DEMO / "shop.toml").read_text("utf-8")
TUBE = reference.shipped().materials["6061-T6-drawn-tube-S"]


def shop(text: str = TEXT) -> Shop:
    found, faults = read_shop(text.encode(), "shop.toml")
    assert found is not None, faults
    return found


def K(degF: float) -> float:
    return (degF + 459.67) / 1.8


def finish() -> Finish:
    found = design_of(STANDARD, VARIATION).rack.definition.finish
    assert found is not None
    return found


def log_of(name: str) -> Log:
    log, faults = read_thermocouples((DEMO / "oven" / name).read_bytes(), name)
    assert log is not None, faults
    return log


def rows(*lines: str) -> bytes:
    return "\n".join(("time_min,block_degF,post_degF", *lines)).encode()


# --- reading -------------------------------------------------------------------------------------


def test_units_of_the_headings() -> None:
    text = b"\xef\xbb\xbf# a remark\ntime_h,a_degF,b_degC,c_K\n0, 212,100 ,373.15\n\n0.5,32,0,273.15\n"
    log, faults = read_thermocouples(text, "log.csv")
    assert not faults
    assert log is not None
    assert log.times == (0.0, 1800.0)
    assert log.names == ("a", "b", "c")
    for _, row in log.probes:
        assert row == pytest.approx((373.15, 273.15))


@pytest.mark.parametrize(
    ("data", "code", "line", "found"),
    [
        (b"", "RW004", 0, "no readings"),
        (b"# only remarks\n", "RW004", 0, "no readings"),
        (b"time_min,a_degF,b_degF\n0,\xff,1\n", "RW003", 2, "not UTF-8"),
        (b"minutes,a_degF,b_degF\n0,1,2\n1,1,2\n", "RW430", 1, "'minutes'"),
        (b"time_min,a,b_degF\n0,1,2\n1,1,2\n", "RW430", 1, "'a' has no unit"),
        (b"time_min,a_degF\n0,1\n1,1\n", "RW430", 1, "1 probe columns"),
        (b"time_min,a_degF,a_degC\n0,1,2\n1,1,2\n", "RW430", 1, "there twice"),
        (rows("0,70,70", "1,,70"), "RW430", 3, "found ''"),
        (rows("0,70,70", "1,nan,70"), "RW430", 3, "'nan'"),
        (rows("0,70,70", "1,-500,70"), "RW430", 3, "'-500'"),
        (rows("0,70,70", "1,70,99999"), "RW430", 3, "'99999'"),
        (rows("0,70,70", "1,70"), "RW430", 3, "2 values in 3 columns"),
        (rows("0,70,70", "2,70,70", "2,70,70"), "RW430", 4, "time 2 after 2"),
        (rows("0,70,70"), "RW430", 1, "fewer than two"),
    ],
)
def test_a_bad_log_names_its_line(data: bytes, code: str, line: int, found: str) -> None:
    log, faults = read_thermocouples(data, "bake.csv")
    assert log is None
    assert (faults[0].code, faults[0].where.file, faults[0].where.line) == (code, "bake.csv", line)
    assert found in faults[0].found


def test_every_bad_line_is_told_at_once() -> None:
    _, faults = read_thermocouples(rows("0,70,70", "1,x,70", "2,70,70", "3,70"), "bake.csv")
    assert [fault.where.line for fault in faults] == [3, 5]


def test_a_column_of_another_unit_is_one_mistake() -> None:
    """Fahrenheit under degC: each probe is told once, with its first line, however long the log."""
    rows = b"".join(b"%d,385,386\n" % minute for minute in range(20))
    log, faults = read_thermocouples(b"time_min,block_degC,post_degC\n" + rows, "oven.csv")
    assert log is None
    assert [(fault.where.line, fault.where.field) for fault in faults] == [(2, "block"), (2, "post")]
    assert all("19 more lines" in fault.found for fault in faults)


@given(st.binary(max_size=200))
def test_no_bytes_crash_the_reader(data: bytes) -> None:
    log, faults = read_thermocouples(data, "x")
    assert (log is None) == bool(faults)


# --- cure ----------------------------------------------------------------------------------------


def made(times: list[float], *probes: list[float]) -> Log:
    """Minutes and degrees Fahrenheit."""
    names = ("block", "post", "panel")
    return Log("made", tuple(60 * t for t in times),
               tuple((names[i], tuple(map(K, row))) for i, row in enumerate(probes)))  # fmt: skip


def test_a_bake_worked_by_hand() -> None:
    """The block climbs 8.6 degF a minute from 70: at 356 after 33.26 min; it is taken out at 60 and falls 10 a minute.

    It stands at 414 at minute 40, falls past 356 at 65.8: a window of 32.54 min; 414 is over 400.
    """
    log = made([0, 40, 60, 80], [70, 414, 414, 214], [70, 420, 420, 220])
    answer = cure(log, finish())
    (first, *_) = answer.points
    assert first.longest / 60 == pytest.approx(65.8 - 286 / 8.6)
    assert answer.state == "cured"
    assert answer.slowest == ("block", pytest.approx(60 * 286 / 8.6))
    assert answer.too_hot
    assert answer.hottest[0] == "post"
    assert [one.code for one in answer.refusals()] == ["RW432"]


def test_the_clock_starts_with_the_slowest_metal() -> None:
    """A tube that is hot for an hour cures nothing while the block is at 355."""
    log = made([0, 10, 70], [70, 355, 355], [70, 380, 380])
    answer = cure(log, finish())
    assert answer.state == "not cured"
    assert answer.slowest is None
    assert answer.refusals()[0].code == "RW431"


def test_the_demos_good_and_interrupted_bake() -> None:
    probes = [probe.name for probe in shop().oven.probe]  # type: ignore[union-attr]
    good, broken = (cure(log_of(f"bake-{n}.csv"), finish(), probes, 120.0) for n in (1, 2))
    assert (good.state, good.refusals()) == ("cured", ())
    assert broken.state == "interrupted"
    (refusal,) = broken.refusals()
    assert refusal.code == "RW431"
    assert "15.4 min of 20 min, 23.4 min in all" in refusal.found
    assert len(broken.points[0].windows) == 2
    assert json.loads(json.dumps(cure_json(broken), allow_nan=False)) == cure_json(broken)


def test_a_probe_that_the_shop_asks_for_must_be_in_the_log() -> None:
    answer = cure(log_of("bake-1.csv"), finish(), ["block", "rail"])
    assert answer.state == "no answer"
    assert [(one.code, one.found) for one in answer.refusals()] == [("RW434", "the log has no probe rail")]


def test_nothing_counts_over_a_gap() -> None:
    log = made([0, 1, 30, 31], [380, 380, 380, 380], [380, 380, 380, 380])
    assert cure(log, finish()).state == "cured"
    assert cure(log, finish(), longest_gap=120.0).state == "not cured"


def test_exactly_the_time_is_enough() -> None:
    log = made([0, 20], [356, 356], [356, 356])
    assert cure(log, finish()).state == "cured"
    assert cure(made([0, 19.99], [356, 356], [356, 356]), finish()).state == "not cured"


temps = st.lists(st.tuples(st.integers(300, 420), st.integers(300, 420)), min_size=2, max_size=12)


@given(temps, st.integers(310, 410))
def test_windows_are_what_sampling_finds(rows: list[tuple[int, int]], at: int) -> None:
    log = made([float(n) for n in range(len(rows))], [float(a) for a, _ in rows], [float(b) for _, b in rows])
    both, either = (windows(log, K(at), any_probe=any_probe) for any_probe in (False, True))
    for spans in (both, either):
        assert all(start <= end for start, end in spans)
        assert all(a[1] < b[0] for a, b in pairwise(spans))
    for n in range(len(rows) - 1):
        for part in (0.13, 0.5, 0.87):
            now = [row[n] + (row[n + 1] - row[n]) * part for row in zip(*rows, strict=True)]
            if min(abs(t - at) for t in now) > 1e-6:
                time = (n + part) * 60
                assert any(a <= time <= b for a, b in both) == all(t >= at for t in now)
                assert any(a <= time <= b for a, b in either) == any(t >= at for t in now)


@given(temps, st.integers(310, 400), st.integers(1, 10), st.integers(0, 30))
def test_hotter_metal_is_never_less_cured(
    rows: list[tuple[int, int]], at: int, minutes: int, hotter: int
) -> None:
    order = {"not cured": 0, "interrupted": 1, "cured": 2}
    only = replace(finish(), cure=(CurePoint(metal=K(at), time=60.0 * minutes),))

    def answer(more: int) -> Cure:
        times = [float(n) for n in range(len(rows))]
        return cure(made(times, *[[row[i] + float(more) for row in rows] for i in (0, 1)]), only)

    assert answer(0).points[0].longest <= answer(hotter).points[0].longest + 1e-6
    if answer(0).state == "cured":
        assert answer(hotter).state == "cured"
    assert order[answer(0).state] <= 2


# --- exposure ------------------------------------------------------------------------------------


@given(st.floats(60, 3e5), st.floats(1, 3), st.floats(300, 430), st.floats(0, 20))
def test_more_time_or_heat_never_keeps_more(
    seconds: float, longer: float, degF: float, hotter: float
) -> None:
    for name in ("Fty", "Ftu"):
        curves = curves_of(reference.shipped(), TUBE, name)
        here = kept(curves, seconds, K(degF))
        for other in (kept(curves, seconds * longer, K(degF)), kept(curves, seconds, K(degF + hotter))):
            if here is not None and other is not None:
                assert 0.5 < other <= here + 1e-12 <= 1 + 1e-12


def test_points_of_the_curves_come_back() -> None:
    for name in ("Fty", "Ftu"):
        curves = curves_of(reference.shipped(), TUBE, name)
        assert [one.time for one in curves] == [1800.0, 36_000.0, 360_000.0]
        for curve in curves:
            for kelvin, share in zip(curve.at, curve.kept, strict=True):
                assert kept(curves, curve.time, kelvin) == pytest.approx(share)


def test_between_half_an_hour_and_ten_by_hand() -> None:
    """At 389.9 degF: 0.5 h 99.3 - 5 x 11.9/23 = 96.713, 10 h 89.8; 1 h is ln 2 / ln 20 = 0.2314 of the way: 95.11."""
    share = kept(curves_of(reference.shipped(), TUBE, "Fty"), 3600.0, K(389.9))
    assert share == pytest.approx(0.96713 - 0.23138 * (0.96713 - 0.898), abs=2e-5)


def test_beyond_the_curves_there_is_no_value() -> None:
    curves = curves_of(reference.shipped(), TUBE, "Fty")
    assert kept(curves, 1800.0, K(460)) is None
    assert kept(curves, 1e6, K(360)) is None
    (row, _) = knock_down(reference.shipped(), [TUBE.id], [Bake("hot", 1800.0, K(500))])
    assert (row.share, row.left) == (None, None)
    assert "beyond the curves" in row.why


def test_a_cold_bake_costs_nothing_and_another_alloy_is_not_known() -> None:
    rows = knock_down(
        reference.shipped(),
        [TUBE.id, "2024-T3-sheet-A"],
        [Bake("warm", 0.0, K(250))],
    )
    assert [row.share for row in rows] == [1.0, 1.0, None, None]
    assert "2024-T3" in rows[2].why


@given(st.lists(st.tuples(st.floats(60, 7200), st.floats(345, 400)), min_size=1, max_size=5))
def test_another_bake_never_gives_strength_back(bakes: list[tuple[float, float]]) -> None:
    ledger = [Bake(str(n), seconds, K(degF)) for n, (seconds, degF) in enumerate(bakes)]
    shares = [
        knock_down(reference.shipped(), [TUBE.id], ledger[: n + 1])[0].share for n in range(len(ledger))
    ]
    known = [share for share in shares if share is not None]
    assert known == sorted(known, reverse=True)


def test_the_demos_two_bakes_in_the_ledger() -> None:
    above = onset(curves_of(reference.shipped(), TUBE, "Fty"))
    bakes = [exposed(f"bake-{n}.csv", log_of(f"bake-{n}.csv"), above) for n in (1, 2)]
    assert all(bake.hottest == pytest.approx(K(380)) for bake in bakes)
    assert 50 < bakes[0].seconds / 60 < 60  # the thin panel is hot soon after the door closes
    one, both = (
        knock_down(reference.shipped(), [TUBE.id], bakes[:1])[0],
        knock_down(reference.shipped(), [TUBE.id], bakes)[0],
    )
    assert one.share is not None
    assert both.share is not None
    assert both.share < one.share < 1
    assert both.left == pytest.approx(both.share * 35_000 * 6894.757293168361)
    assert both.marks == (UNCONFIRMED,)
    document = knock_down_json([one, both], bakes)
    assert json.loads(json.dumps(document, allow_nan=False)) == document


# --- the oven's load -----------------------------------------------------------------------------


def planned(
    text: str = TEXT, racks: int = 3, standard: str = STANDARD, design: Design | None = None
) -> OvenPlan:
    return oven_plan([(design or design_of(standard, VARIATION), racks)], shop(text).oven)


def test_every_coated_piece_is_in_one_batch() -> None:
    plan = planned()
    design = design_of(STANDARD, VARIATION)
    coated = [piece.id for piece in design.pieces.made if piece.kind != "ring"]
    found = [(one.rack, one.piece) for batch in plan.batches for one in batch.pieces]
    assert sorted(found) == sorted((rack, piece) for rack in (1, 2, 3) for piece in coated)
    assert plan.refusals == ()
    assert plan.asked == ()
    assert plan.at_least <= len(plan.batches) == 2


def test_pieces_of_several_designs_share_a_batch_only_with_the_same_coat() -> None:
    """One rack each of two designs: alike in coat they fill a batch, with another powder each has its own; a piece
    keeps its rack, and the hours of a shared batch are those of the slower."""
    one = design_of(STANDARD, VARIATION)
    alike, other = design_of(STANDARD), design_of(swap(STANDARD, ('powder = "PX-21"', 'powder = "PX-22"')))
    small = shop(TEXT).oven
    assert small is not None
    oven = replace(small, length=2 * small.length, most_mass=2 * small.most_mass)
    shared = oven_plan([(one, 1), (alike, 1)], oven)
    apart = oven_plan([(one, 1), (other, 1)], oven)
    assert [batch.racks for batch in shared.batches] == [(1, 2)]
    assert [(batch.powder, batch.racks) for batch in apart.batches] == [("PX-21", (1,)), ("PX-22", (2,))]
    assert (shared.at_least, apart.at_least) == (1, 2)
    hours = bake_cycles([(one, 1), (alike, 1)], shared)
    soonest = [
        min(cycle.in_oven or inf for cycle in shared.cycles if cycle.design == design.rack.definition.part)
        for design in (one, alike)
    ]
    assert sum(hours.values()) == pytest.approx(max(soonest))


def test_whole_racks_when_that_costs_no_batch() -> None:
    hung = [Hung(rack, f"p{n}", 1.0, 1.0) for rack in (1, 2, 3) for n in range(3)]
    assert [batch.racks for batch in pack(hung, 6.0, 100.0)] == [(1, 2), (3,)]
    assert len(pack(hung, 5.0, 100.0)) == 2  # whole racks would take three
    assert len(pack(hung, 100.0, 3.0)) == 3


@given(
    st.lists(st.tuples(st.integers(1, 3), st.floats(0.1, 1), st.floats(0.1, 1)), min_size=1, max_size=20),
    st.floats(1, 4), st.floats(1, 4),
)  # fmt: skip
def test_no_batch_is_too_full_and_nothing_is_lost(
    rows: list[tuple[int, float, float]], area: float, mass: float
) -> None:
    hung = [Hung(rack, str(n), a, m) for n, (rack, a, m) in enumerate(rows)]
    batches = pack(hung, area, mass)
    assert sorted(one.piece for batch in batches for one in batch.pieces) == sorted(one.piece for one in hung)
    assert all(batch.area <= area + 1e-9 and batch.mass <= mass + 1e-9 for batch in batches)
    assert len(batches) * area >= sum(one.area for one in hung) - 1e-9


def test_what_does_not_stand_the_oven_stays_out() -> None:
    silent = swap(STANDARD, (', most = "600 degF"', ""))
    out = planned(standard=silent).out
    assert [one.name.split(" ")[0] for one in out].count("nut") == 2
    unknown = {one.name for one in out if one.most is None}
    assert unknown == {"insert WI-4"}  # its sheet says nothing of heat
    assert not any("WI-4" in one.name for one in planned().out)  # 600 degF, the oven has 400
    weak = planned(standard=swap(STANDARD, ('most = "600 degF"', 'most = "300 degF"'))).out
    assert [one.most for one in weak if "WI-4" in one.name] == [pytest.approx(K(300))]
    assert all(one.most == pytest.approx(K(250)) for one in out if one.most is not None)
    assert {one.name.split(":")[0] for one in out} >= {"wet hardware", "ring seat", "ring hardware"}
    cool = swap(silent, ('most_metal = "400 degF"', 'most_metal = "240 degF"'),
                ('cure = [{ metal = "356 degF", time = "20 min" }, { metal = "375 degF", time = "15 min" }, '
                 '{ metal = "392 degF", time = "10 min" }]',
                 'cure = [{ metal = "230 degF", time = "60 min" }]'))  # fmt: skip
    assert {one.name for one in planned(standard=cool).out} == unknown


def test_blocks_are_slowest_and_the_fitted_run_comes_back() -> None:
    """A post of the demo has 360 degF after 12.6 min in 380 degF air by the run: so it must by its own lag."""
    ((_, lags),) = planned().lags
    by_kind = {lag.kind: lag for lag in lags}
    assert max(lags, key=lambda lag: lag.ratio).kind == "block"
    assert by_kind["post"].reaches(K(360), K(380), K(70)) == pytest.approx(12.6 * 60)
    assert by_kind["panel"].tau is not None
    assert by_kind["post"].tau is not None
    assert (
        by_kind["panel"].tau < by_kind["post"].tau
    )  # as thick as the tube's wall, but warmed from both sides
    assert by_kind["block"].biot is not None
    assert by_kind["block"].biot < 0.1
    # V/A of the block: 1.5^3 and three spigots 1.246^2 x 2 over the area of their union, holes apart
    volume, area = 1.5**3 + 3 * 1.246**2 * 2, 6 * 2.25 + 3 * 4 * 1.246 * 2
    assert by_kind["block"].ratio / 0.0254 == pytest.approx(volume / area, rel=0.04)


def test_a_point_that_the_cold_corner_never_reaches_says_so() -> None:
    cycles = {round(cycle.point.metal * 1.8 - 459.67): cycle for cycle in planned().cycles}
    assert cycles[356].in_oven == pytest.approx((cycles[356].reached or 0) + 1200)
    assert cycles[392].in_oven is None
    assert "never brings metal to it" in cycles[392].why
    shares = [rows[-1].share for _, rows in cycles[356].after]
    assert shares == sorted(shares, reverse=True)  # type: ignore[type-var]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('length = "6 ft"', 'length = "3 ft"', "RW433"),
        ('survey_hottest = "384 degF"', 'survey_hottest = "410 degF"', "RW432"),
        ('name = "block"\non = "block"', 'name = "block"\non = "rail"', "RW434"),
    ],
)
def test_an_oven_that_will_not_do_is_refused(old: str, new: str, code: str) -> None:
    height = ('height = "5 ft"', 'height = "3 ft"') if code == "RW433" else ("fill = 0.8", "fill = 0.8")
    plan = planned(swap(TEXT, (old, new), height))
    assert {refusal.code for refusal in plan.refusals} == {code}


def test_without_oven_run_or_finish_it_asks() -> None:
    design = design_of(STANDARD, VARIATION)
    assert [one.field for one in oven_plan([(design, 1)], None).asked] == ["[oven]"]
    run = TEXT[TEXT.index("[oven.heat_up]") :]
    run = run[: run.index("\n\n")] if "\n\n" in run else run
    plan = planned(swap(TEXT, (run, "")))
    assert [one.field for one in plan.asked] == ["oven.heat_up"]
    assert all(lag.tau is None for _, lags in plan.lags for lag in lags)
    assert plan.batches == planned().batches
    bare = replace(design.rack, definition=replace(design.rack.definition, finish=None))
    assert [one.field for one in planned(design=Design(bare)).asked] == ["finish"]
    document = oven_json(planned())
    assert json.loads(json.dumps(document, allow_nan=False)) == document
    assert document["marks"] == [UNCONFIRMED]


@pytest.mark.parametrize(
    ("old", "new", "code", "field"),
    [
        ("planes = 2", "planes = 0", "RW106", "oven.planes"),
        ("fill = 0.8", "fill = 1.2", "RW106", "oven.fill"),
        ('cart_mass = "60 lb"', 'cart_mass = "260 lb"', "RW106", "oven.cart_mass"),
        ('reached = "360 degF"', 'reached = "390 degF"', "RW106", "oven.heat_up"),
        ('name = "panel"\non = "panel"', 'name = "post"\non = "panel"', "RW107", "oven.probe.2.name"),
        ('name = "panel"\non = "panel"', 'name = "panel"\non = "lid"', "RW108", "oven.probe.2.on"),
        ('survey_coldest = "376 degF"', 'survey_coldest = "381 degF"', "RW106", "oven.survey_coldest"),
    ],
)
def test_faults_of_the_oven_name_their_place(old: str, new: str, code: str, field: str) -> None:
    found, faults = read_shop(swap(TEXT, (old, new)).encode(), "shop.toml")
    assert found is None
    (fault,) = faults
    assert (fault.code, fault.where.field.replace("[", ".").replace("]", "")) == (code, field)
    assert fault.where.line > 0

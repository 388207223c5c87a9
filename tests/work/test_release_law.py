"""Over random last days: a rack is released exactly when every gate holds, and then holds in hindsight too."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, example, given, settings

import racks
import small_shop as small
from rackwright import record as records
from rackwright.pieces.characteristics import RACK, shown
from rackwright.record import Record, State
from rackwright.trouble import Stopped
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.reporting import confirm_row
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.office.ordering import answer, ask
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import Acceptance, dispose, raise_nonconformance, release_hold
from rackwright.work.serials.releasing import Gate, release, release_gates
from rackwright.work.stations.assembling import assemble, draw_lot
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.passports import record_points
from rackwright.work.stations.weighing import weigh
from strategies import LastDay, last_days

SERIAL, PIECE = "SN-1", "SN-1/post.front-left"
JOINTS = [joint.bolt for joint in small.joints()]
ASKED = [one.name for one in small.whole_rack()]
GOOD = LastDay((), (), (), False, "good", "", "")
HELD = {"heat": {"heats": ["H4471"]}, "piece": {"pieces": [PIECE]}, "serial": {"serials": [SERIAL]},
        "lot": {"heats": ["LB-61"]}, "other serial": {"serials": ["SN-2"]}}  # fmt: skip


def play(record: Record, day: LastDay) -> None:
    lead, inspector, assembler = (small.station(record, who) for who in ("lead", "inspector", "assembler"))
    draw_lot(assembler, "F-1", small.ORDER, small.revision(), 60, [SERIAL])
    joints = [joint for joint in small.joints() if joint.bolt not in day.joints_left_out]
    assemble(assembler, SERIAL, small.all_pieces(SERIAL), joints, "J-47", small.coated_pieces(SERIAL))
    for one in small.whole_rack():
        if one.name not in day.not_measured:
            out = one.name in day.out_of_limits
            assert one.high is not None
            reading = shown(one, one.high * 2) if out else small.good(one)
            measure(inspector, SERIAL, {one: reading}, small.GAUGES[one.gauge])
    for number, name in enumerate(day.out_of_limits):
        if day.accepted:
            ncr = f"N-{number}"
            raise_nonconformance(inspector, ncr, "out", [], name, {}, serials=[SERIAL])
            accepted = Acceptance("INVENTED-ACC-1", "an invented holder", small.DAY)
            dispose(lead, ncr, "use_as_is", "no margin depends on it", accepted, {})
            release_hold(lead, f"hold {ncr}", "accepted in INVENTED-ACC-1")
    if day.points != "no":
        points = small.points(ring="0.030") if day.points == "far" else small.points()
        points = points.rpartition(b"\n")[0].rpartition(b"\n")[0] if day.points == "one" else points
        record_points(inspector, SERIAL, small.design(), small.shop(), "points.csv", points, "CM-2")
    if day.weighed != "no":
        share = 1.2 if day.weighed == "heavy" else 1.0
        weigh(inspector, SERIAL, small.weighing(small.design().bare.mass * share), "SC-1")
    if day.held:
        hold(inspector, "H-1", "a doubt", **HELD[day.held])
    if day.question:
        ask(lead, "Q-1", "which placard?", "the customer", "2026-04-01", ["release"], small.ORDER)
    if day.question == "answered":
        answer(lead, "Q-1", "the short one", "INVENTED-MAIL-1")


@pytest.mark.long
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(day=last_days(JOINTS, ASKED))
@example(day=GOOD)
def test_a_rack_is_released_exactly_when_every_gate_holds(stages: Path, day: LastDay) -> None:
    with TemporaryDirectory() as folder, small.stage("inspected", stages, Path(folder)) as record:
        play(record, day)
        before = small.state(record)
        gates = release_gates(
            before,
            SERIAL,
            small.design(),
            small.shop(),
            record.get_file,
            small.PEOPLE["inspector"],
            small.DAY,
        )
        refused = False
        try:
            release(small.station(record, "inspector"), SERIAL, small.design(), small.shop())
        except Stopped:
            refused = True
        assert refused != day.good
        assert day.good == all(gate.refusal is None for gate in gates)
        assert small.state(record).serials[SERIAL].state == ("released" if day.good else "planned")
        assert records.audit(record, judge=in_hindsight).troubles == ()


def test_every_characteristic_is_asked_at_release() -> None:
    """What the law leaves out one by one is all there is on the assembled rack."""
    assert [one.name for one in small.asked() if one.piece == RACK] == ASKED
    assert len(ASKED) == len(set(ASKED)) == 7


def test_a_rule_from_memory_holds_the_release_until_a_person_compared_it(
    stages: Path, tmp_path: Path
) -> None:
    """Part 27's factors are from memory here: RW525 names the row; the comparison with the code is recorded by name."""
    rule = ('rule = "29.561(b)(3)"\namendment = "29-38"', 'rule = "27.561(b)(3)"\namendment = "27-30"')
    design = racks.design_of(racks.swap(small.text(), rule))

    def gate(record: Record) -> Gate:
        people = small.PEOPLE["inspector"]
        gates = release_gates(
            small.state(record), SERIAL, design, small.shop(), record.get_file, people, small.DAY
        )
        (found,) = [one for one in gates if one.name == "rules of the basis"]
        return found

    with small.stage("inspected", stages, tmp_path) as record:
        refusal = gate(record).refusal
        assert refusal is not None
        assert (refusal.code, refusal.where.field) == ("RW525", "basis.rule")
        assert "27.561(b)(3)@27-30" in refusal.found
        confirm_row(small.station(record, "engineer"), "27.561(b)(3)@27-30", "INVENTED-COPY-27 of the code")
        assert gate(record).refusal is None


def test_the_oven_enters_the_margins_at_release(stages: Path, tmp_path: Path) -> None:
    """One post baked for 60 hours more: every piece of its metal is proven with what that left, the others as before;
    110 hours, which no curve covers, are NOT ASSESSED and keep the rack here."""

    def baked(state: State, record: Record, minutes: int) -> State:
        rows = "".join(f"{minute},385,385\n" for minute in range(30, minutes, 50))
        log = record.put_file(f"time_min,block_degF,post_degF\n0,70,70\n{rows}{minutes},90,90\n".encode())
        post = state.pieces["SN-1/post.front-left"]
        state.pieces[post.piece] = replace(post, bakes=(*post.bakes, (log, 999)))
        return state

    with small.stage("inspected", stages, tmp_path) as record:
        once = as_measured(small.state(record), small.design(), SERIAL, record.get_file)
        long = baked(small.state(record), record, 3600)
        built = as_measured(long, small.design(), SERIAL, record.get_file)
        before, after = (
            {(one.material, one.name): one.share or 0 for one in each.left} for each in (once, built)
        )
        less = {
            material for material, name in before if after[material, name] < before[material, name] - 0.01
        }
        assert less == {"6061-T6-drawn-tube-S"}
        assert {key for key in before if after[key] != before[key]} == {
            key for key in before if key[0] in less
        }
        pairs = zip(once.strength.margins, built.strength.margins, strict=True)
        assert any(
            b.margin < a.margin - 0.1 for a, b in pairs if a.margin is not None and b.margin is not None
        )
        station, state = small.station(record, "inspector"), baked(small.state(record), record, 6600)
        gates = release_gates(
            state, SERIAL, small.design(), small.shop(), record.get_file, station.person, small.DAY
        )
        (refusal,) = [gate.refusal for gate in gates if gate.name == "margins of safety"]
        assert refusal is not None
        assert (refusal.code, "beyond the curves" in refusal.found) == ("RW304", True)

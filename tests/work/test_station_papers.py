"""The stations' papers of the invented shop's order: whole, the same every time, and empty where a person writes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import rackwright
import small_shop as small
from papers.reading import flat, glyphs, overprinted, pages
from rackwright import record as records
from rackwright.design import Design
from rackwright.faces.cli import papers as face
from rackwright.making.inspected import characteristics_of
from rackwright.making.oven.bake import cure
from rackwright.papers.table import BLANK
from rackwright.pieces.characteristics import RACK
from rackwright.pieces.weight import on_pads, pad_places
from rackwright.plan import Plan
from rackwright.rack.orient import station_of
from rackwright.record import Record, Refs, project
from rackwright.seal import DEMO_SEED, key_id, public_key
from rackwright.shop import Shop
from rackwright.trouble import DEFERENCE, Stopped
from rackwright.work import papers
from rackwright.work.load import gather, load_rack, load_shop, load_stock_items
from rackwright.work.office.ordering import freeze, order, revision_id, serials
from rackwright.work.papers.bake import bake_text, logs_of
from rackwright.work.papers.balance import Weighed, weighed_of
from rackwright.work.papers.blocks import block_sketches
from rackwright.work.papers.pieces import piece_sketches
from rackwright.work.papers.plate_parts import plate_sketches
from rackwright.work.papers.words import axis
from rackwright.work.people.founding import add_gauge, add_person
from rackwright.work.station import Draft, Station, perform
from rackwright.work.stations.weighing import Weighing, weigh

SHOP = Path(rackwright.__file__).parent / "demo" / "shop"
DATE, ORDER, SERIALS = "2026-03-16", "PO-1", ("SN-1", "SN-2")
ORDER_KINDS = ("blocks", "traveler", "brake", "plate", "jig", "coat")


@cache
def design() -> Design:
    return Design(load_rack(SHOP / "variations" / "er-47-v12.toml", SHOP))


@cache
def shop() -> Shop:
    return load_shop(SHOP)


@cache
def plan() -> Plan:
    bars, items = load_stock_items(SHOP / "stock.toml")
    return Plan(((design(), len(SERIALS)),), bars, shop(), items=items)


def bakes() -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted((SHOP / "oven").glob("*.csv"))}


def made(kind: str) -> dict[str, bytes]:
    tasks = papers.order_papers(plan(), ORDER, DATE, SERIALS, True, bakes())
    return next(task for task in tasks if task.kind == kind).make()


@cache
def paper(kind: str) -> bytes:
    if kind == "balloons":
        return papers.balloons(design(), shop(), DATE, demo=True)
    if kind == "inspection":
        return papers.inspection_sheet(design(), shop(), DATE, demo=True)
    return next(data for name, data in made(kind).items() if name.endswith(".pdf"))


def text_of(pdf: bytes) -> str:
    return flat("".join(pages(pdf)))


every_kind = pytest.mark.parametrize("kind", [*ORDER_KINDS, "balloons", "inspection"])

# --- what holds on every page ---------------------------------------------------------------------


@every_kind
def test_every_page_defers_and_says_demo(kind: str) -> None:
    for text in pages(paper(kind)):
        assert flat(DEFERENCE) in flat(text)
        assert "DEMO" in text


@every_kind
def test_nothing_reads_as_an_approval_and_nothing_is_overprinted(kind: str) -> None:
    plain = text_of(paper(kind)).lower().replace(flat(DEFERENCE).lower(), "")
    for word in ("approveddata", "certified", "airworthy", "isapproved"):
        assert word not in plain
    for _, _, page in glyphs(paper(kind)):
        assert overprinted(page) == []


def test_papers_and_dxf_have_the_same_bytes_every_time() -> None:
    for kind in ("brake", "plate"):
        assert made(kind) == made(kind)
    assert made("coat")["coat.pdf"] == paper("coat")


def test_the_face_knows_every_kind() -> None:
    assert face.KINDS == papers.KINDS


# --- stations -------------------------------------------------------------------------------------


def test_traveler_has_every_step_with_its_hold_and_every_joint_once() -> None:
    text, traveler = text_of(paper("traveler")), plan().traveler(1)
    for step in traveler.steps:
        assert flat(f"{step.number}. {step.title}") in text
        if step.hold:
            assert flat(f"HOLD: {step.hold}.") in text
    assert flat(f"{len(plan().assembly[0].ours)} joints") in text
    assert "finaltorque,asked" not in text
    for joint in plan().assembly[0].ours:
        assert flat(f"{joint.id}: {joint.bolt}") in text


def test_brake_sheet_and_dxf_follow_the_blanks() -> None:
    files = made("brake")
    flats = {blank.flat_of for blank in plan().blanks.made}
    assert {name for name in files if name.endswith(".dxf")} == {f"dxf/{part}_in.dxf" for part in flats}
    text = text_of(paper("brake"))
    for blank in plan().blanks.made:
        assert blank.part in text
        assert flat(blank.neutral.source) in text
    assert flat("12 069 lbf") in text  # 10 057 lbf with the shop's reserve of 20 percent: 1.2 x 10 057.2


def test_plate_sheet_lists_every_blank_once() -> None:
    text = text_of(paper("plate"))
    laid = [one for job in plan().plate.jobs for layout in job.layouts for one in layout.placed]
    for slot in {one.slot for one in laid}:
        assert flat(slot.piece) in text
    assert flat("goes back") in text


def test_a_blank_without_a_plate_stops_the_plate_sheet() -> None:
    bars, _ = load_stock_items(SHOP / "stock.toml")
    bare = Plan(((design(), 1),), bars, shop(), items=())
    with pytest.raises(Stopped) as stopped:
        papers.plate_sheet(bare, ORDER, DATE)
    assert [trouble.code for trouble in stopped.value.troubles] == ["RW402"]


def test_jig_sheet_names_every_hole_and_says_what_governs() -> None:
    text = text_of(paper("jig"))
    for hole in plan().jig[0].holes:
        assert flat(hole.bolt) in text
    stack = plan().jig[0].stack
    assert stack is not None
    assert flat(f"Governs: {stack.governs}") in text


def test_coat_sheet_shows_the_good_bake_and_the_interrupted_one() -> None:
    text = text_of(paper("coat"))
    assert flat("CURED: the longest unbroken window") in text
    assert flat("INTERRUPTED, not cured: the longest unbroken window") in text
    for mask in plan().coat[0].masks:
        assert flat(mask.piece) in text


def test_the_answer_in_words_is_the_judgement_of_the_log() -> None:
    finish = design().rack.definition.finish
    assert finish is not None
    answers = [cure(log, finish) for log in logs_of(bakes())]
    assert [answer.state for answer in answers] == ["cured", "interrupted"]
    assert [bake_text(answer).split(":")[0] for answer in answers] == ["CURED", "INTERRUPTED, not cured"]


def test_terms_of_a_blocks_time_sum_to_it() -> None:
    for sketch, line in zip(block_sketches(plan()), plan().mill.lines, strict=True):
        *terms, total, _ = (float(minutes) for _, _, minutes in sketch.times)
        assert line.time is not None
        assert total == pytest.approx(line.time / 60, abs=0.005)
        assert sum(terms) == pytest.approx(total, abs=0.005 * len(terms) + 0.005)


def test_mill_sheet_shows_every_operation_of_every_program() -> None:
    text = text_of(paper("mill"))
    programs = [line for line in plan().mill.lines if line.same_as == line.part]
    for line in programs:
        assert flat(f"Program {line.part}") in text
        for setup in line.setups:
            assert flat(axis(setup.held)) in text
            for one in setup.operations:
                assert flat(one.task.on) in text
        for check in line.checks:
            assert flat(check.name) in text
    assert flat("FAILS") not in text
    fit = programs[0].fit
    assert fit is not None
    assert fit.worked is not None
    assert flat(f"ISO 286 {fit.fit} on 31.750 mm: {1.2444:.4f} to {1.2469:.4f} in") in text


def test_brake_sheet_shows_the_order_of_bends_and_where_the_gauge_stands() -> None:
    text = text_of(paper("brake"))
    (bend,) = plan().brake
    assert bend.folding is not None
    (step,) = bend.folding.steps
    assert flat(f"{(step.gauge or 0) / 0.0254:.3f} in") in text
    assert flat("Order of bends") in text
    assert flat("square end") in text


def test_a_bend_that_meets_its_tools_is_a_caution_on_the_sheet() -> None:
    brake = shop().brake
    assert brake is not None
    assert brake.die is not None
    flat_v = tuple(replace(p, y=-7_000_000) if (p.x, p.y < 0) == (0, True) else p for p in brake.die.points)
    blunt = replace(shop(), brake=replace(brake, die=replace(brake.die, points=flat_v)))
    text = text_of(papers.brake_sheet(Plan(plan().demand, (), blunt, items=plan().items), ORDER, DATE))
    assert flat("NO ORDER OF BENDS: fold 1, with none made: the strip meets the die.") in text


def test_without_tools_the_mill_sheet_says_that_its_time_is_coarse() -> None:
    mill = shop().mill
    assert mill is not None
    bare = Plan(plan().demand, (), replace(shop(), mill=replace(mill, tool=())), items=plan().items)
    text = text_of(papers.mill_sheet(bare, ORDER, DATE))
    assert flat("a coarse estimate") in text
    assert flat("mill.tool: tools with speed, chip and engagement") in text


# --- numbers --------------------------------------------------------------------------------------


def test_every_characteristic_has_a_balloon() -> None:
    wanted = characteristics_of(design(), shop())
    seen: set[int] = {one.number for one in wanted if one.piece.startswith((RACK, "ring."))}
    texts = [text for block in block_sketches(plan()) for text, _ in block.balloons]
    for sketch in piece_sketches(design(), shop(), balloon=True):
        texts += [sketch.length_balloon, sketch.film_balloon, *(hole.balloon for hole in sketch.holes)]
        texts += [text for hole in sketch.holes for text in re.findall(r"\[([\d·]+)\]", hole.note)]
        texts += [note[:-1].rpartition(" ")[2] for note in sketch.notes if note.startswith("Trimmed leg")]
    for plate in plate_sketches(design(), wanted):
        every = [one for hole in plate.holes for one in (hole.number_along, hole.number_across)]
        texts += [one.replace(", ", "·") for one in (*every, *(row[0] for row in plate.rows))]
    seen |= {int(number) for text in texts for number in text.split("·") if number}
    assert seen == {one.number for one in wanted}
    printed = {int(number) for text in pages(paper("balloons")) for number in re.findall(r"\d+", text)}
    assert seen <= printed


def test_an_inspection_form_is_blank_where_nothing_is_measured() -> None:
    text = "".join(pages(paper("inspection")))
    wanted = characteristics_of(design(), shop())
    assert flat(f"{len(wanted)} characteristics: 0 measured, {len(wanted)} blank") in flat(text)
    assert BLANK not in text
    assert "within" not in text.replace("reading is within when it lies within", "")


# --- weight and conformity ------------------------------------------------------------------------


@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9), st.floats(1, 500))
def test_levers_give_the_centre_back(x: float, y: float, kg: float) -> None:
    shares = {"a": (1 - x) * (1 - y), "b": x * (1 - y), "c": (1 - x) * y, "d": x * y}
    pads = {"a": (0.0, 0.0), "b": (1.0, 0.0), "c": (0.0, 1.0), "d": (1.0, 1.0)}
    weighed = Weighed(
        {pad: Fraction(kg * share) for pad, share in shares.items()}, {}, "", True, "", "", "", 0
    )
    assert weighed.mass == pytest.approx(kg)
    assert weighed.centre(pads) == pytest.approx((x, y))


@pytest.fixture(scope="module")
def weighed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Record]:
    """Two serials, the first said to be assembled, and weighed as computed; nothing else was done."""
    with records.create(tmp_path_factory.mktemp("shop") / "record.db") as record:
        ids = iter(range(100))
        lead = Station(record, "A. Quill", lambda: "2026-03-12T08:00:00Z", lambda: f"act {next(ids)}")
        small.founded_by_name(lead, key_id(public_key(DEMO_SEED)), "Larkspur Bench Works (invented)")
        add_person(lead, "E. Lund", ["inspector"])
        add_gauge(lead, "SC-1", "four floor scales", "2026-11-15", "0.1 lb")
        order(lead, ORDER, "an invented customer", design(), len(SERIALS), "2026-04-17", "CT-1")
        source, bases = gather(SHOP / "variations" / "er-47-v12.toml", SHOP)
        texts = {"definition": source.data, "shop": (SHOP / "shop.toml").read_bytes()}
        freeze(lead, design(), texts | {f"base/{name}": base.data for name, base in bases.items()}, ORDER)
        serials(lead, ORDER, revision_id(design()), SERIALS)
        joints = {"serial": "SN-1", "pieces": [], "values": {"joint.1": {"torque": "50 in*lbf"}}}
        perform(lead, "assemble", lambda state: [Draft("assemble", joints, Refs.of(serials=["SN-1"]))])
        for point in ("assemble", "inspect"):
            signed = {"point": point, "serials": ["SN-1"]}
            sign = Draft("hold_point", signed, Refs.of(serials=["SN-1"]))
            perform(lead.by("E. Lund"), "hold_point", lambda state, sign=sign: [sign])  # type: ignore[misc]
        readings = {pad: f"{kg:.6f} kg" for pad, kg in on_pads(design().rack, design().bare).items()}
        mass = Fraction(design().bare.mass)
        weigh(lead.by("E. Lund"), "SN-1", Weighing(readings, mass, mass, mass / 100), "SC-1")
        yield record


def test_weighed_as_computed_the_centre_is_the_computed_one(weighed: Record) -> None:
    found_ = weighed_of(weighed.events(), "SN-1")
    assert found_ is not None
    assert found_.centre(pad_places(design().rack)) == pytest.approx(tuple(design().bare.cg[:2]), abs=1e-6)


def test_balance_report_has_arms_with_their_signs_and_is_no_placard(weighed: Record) -> None:
    pdf = papers.balance_report(weighed.events(), "SN-1", design(), shop(), DATE)
    text = text_of(pdf)
    aircraft = design().rack.definition.aircraft
    assert aircraft is not None
    assert aircraft.origin is not None
    place = station_of(aircraft, np.array(design().bare.cg))
    assert place is not None
    for value in place:
        assert f"{'−' if value < 0 else '+'}{abs(value) / 0.0254:.2f}in" in text
    assert flat("itagreeswiththecomputed") in text
    assert flat("This page is no placard") in text
    assert pdf == papers.balance_report(weighed.events(), "SN-1", design(), shop(), DATE)


def test_what_is_not_weighed_has_no_balance_report(weighed: Record) -> None:
    with pytest.raises(Stopped) as stopped:
        papers.balance_report(weighed.events(), "SN-2", design(), shop(), DATE)
    assert [trouble.code for trouble in stopped.value.troubles] == ["RW522"]


def test_conformity_lists_refusing_gates_and_signs_for_nobody(weighed: Record) -> None:
    text = text_of(papers.conformity(weighed.events(), "SN-1", design(), shop(), DATE, weighed.get_file))
    assert flat("NOT RELEASED") in text
    assert flat("no from: design-approval reference") in text
    assert "no:" in text
    assert flat("It conforms / does not conform (strike out)") in text
    assert flat("Statement of conformity of SN-1namesignaturedate") in text
    state = project(weighed.events())
    assert state.serials["SN-1"].state == "planned"
    with pytest.raises(Stopped) as stopped:
        papers.conformity(weighed.events(), "SN-9", design(), shop(), DATE, weighed.get_file)
    assert [trouble.code for trouble in stopped.value.troubles] == ["RW503"]

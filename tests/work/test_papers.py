"""Papers of the invented shop's job: what stands on them is what was computed and recorded, whole and in its place."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cache
from itertools import count
from pathlib import Path

import numpy as np
import pikepdf
import pypdfium2
import pytest
import zxingcpp

import rackwright
import small_shop as small
from papers.reading import MM, flat, glyphs, overprinted, pages
from rackwright import record as records
from rackwright.design import Design
from rackwright.faces.cli.main import main
from rackwright.formulas.cards import explain
from rackwright.making.inspected import characteristics_of
from rackwright.papers.labels import read_envelope
from rackwright.pieces.characteristics import shown
from rackwright.plan import Plan, money
from rackwright.rack import open_questions, questions
from rackwright.record import Head, Record, project
from rackwright.seal import DEMO_SEED, Tree, key_id, public_key, read_canonical, read_signed_head, verify
from rackwright.shop import Shop
from rackwright.trouble import DEFERENCE, Stopped
from rackwright.work import papers
from rackwright.work.engineering.frozen import frozen, frozen_design
from rackwright.work.engineering.reporting import check_report, prepare_report
from rackwright.work.load import gather, load_rack, load_shop, load_stock_items
from rackwright.work.metal.receiving import accept, receive_bar
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, piece_id
from rackwright.work.office.ordering import (
    Approval,
    answer,
    ask,
    freeze,
    order,
    record_approval,
    revision_id,
    serials,
)
from rackwright.work.papers.drawing import rack_drawing
from rackwright.work.papers.labels import NOT_GIVEN, label_list
from rackwright.work.papers.pieces import piece_sketches
from rackwright.work.papers.words import digits, ms
from rackwright.work.people.founding import add_gauge, add_person
from rackwright.work.station import Station
from rackwright.work.stations.inspecting import measure

SHOP = Path(rackwright.__file__).parent / "demo" / "shop"
VARIATION = SHOP / "variations" / "er-47-v12.toml"
DATE, SERIALS, ORDER = "2026-03-16", ("SN-1", "SN-2"), "PO-1"
ULTIMATE_ONLY = "No limit case exists here"
Run = Callable[..., tuple[int, str, str]]


@cache
def design() -> Design:
    return Design(load_rack(VARIATION, SHOP))


@cache
def standard() -> Design:
    return Design(load_rack(SHOP / "standards" / "er-47.toml", SHOP))


@cache
def shop() -> Shop:
    return load_shop(SHOP)


@cache
def plan() -> Plan:
    return Plan(((design(), len(SERIALS)),), load_stock_items(SHOP / "stock.toml")[0], shop())


@cache
def unstocked() -> Plan:
    return Plan(((design(), 1),), None, shop(), effort=10)


def text_of(pdf: bytes) -> str:
    return flat("".join(pages(pdf)))


# --- a small record: one bar cut for the first serial, one piece measured ----------------------------


@dataclass(frozen=True)
class Kept:
    record: Record
    cut: tuple[CutPiece, ...]
    heat: str


@pytest.fixture(scope="module")
def kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Kept]:
    """People, a gauge, a question with its answer, a frozen revision, two serials; a bar received, cut and measured."""
    with records.create(tmp_path_factory.mktemp("shop") / "record.db") as record:
        ids = count(1)
        lead = Station(record, "A. Quill", lambda: "2026-03-12T08:00:00Z", lambda: f"act {next(ids)}")
        small.founded_by_name(lead, key_id(public_key(DEMO_SEED)), "Larkspur Bench Works (invented)")
        for person, role in (("B. Tarrow", "receiving"), ("C. Vint", "saw"), ("E. Lund", "inspector")):
            add_person(lead, person, [role])
        add_gauge(lead, "LB-2", "length bench, 60 in", "2026-09-01", "0.002 in")
        order(lead, ORDER, "Corrie & Tarn Survey (invented)", design(), len(SERIALS), "2026-04-17", "CT-2231")
        ask(lead, "Q1", "Do the fittings carry it?", "customer", "2026-03-10", ["sign_out"], ORDER)
        answer(lead, "Q1", "Yes, all four", "INVENTED-AC-114 rev B")
        ask(lead, "Q2", "Which colour?", "customer", "2026-04-01", ["release"], ORDER)
        source, bases = gather(VARIATION, SHOP)
        texts = {"definition": source.data, "shop": (SHOP / "shop.toml").read_bytes()}
        freeze(lead, design(), texts | {f"base/{name}": base.data for name, base in bases.items()}, ORDER)
        revision = revision_id(design())
        record_approval(lead, revision, Approval("DA-1", "an invented holder", "DA-1 rev A", "2026-03-09"))
        serials(lead, ORDER, revision, SERIALS)
        yield _cut_one(record, lead, revision)


def _asking_no_more_than_the_certificate() -> Shop:
    """The demo asks for slips and examined metal too; its own play brings them."""
    plain = {"papers": (), "read": (), "wall_tolerance": None, "conductivity": None}
    return replace(shop(), specification=tuple(replace(row, **plain) for row in shop().specification))


def _cut_one(record: Record, lead: Station, revision: str) -> Kept:
    bar = next(bar for section in plan().saw for bar in section.bars if bar.cuts[0].slot.rack == 1)
    stock = next(one for section in plan().saw for one in section.job.bars.values() if one.id == bar.bar)
    receive_bar(lead.by("B. Tarrow"), stock, shop().saw.bar_length_uncertainty)
    accept(lead.by("E. Lund"), _asking_no_more_than_the_certificate(), stock.id)
    mine = [each for each in bar.cuts if each.slot.rack == 1]
    made = tuple(CutPiece(piece_id("SN-1", each.slot.piece), "SN-1", each.length_nm) for each in mine)
    issue(lead.by("C. Vint"), stock.id, ORDER, revision, [one.piece for one in made], ["SN-1"])
    kerf = sum(each.kerf_nm for each in mine)
    rest = bar.measured_nm - bar.trim_nm - kerf - sum(one.length_nm for one in made)
    visit = Visit(stock.id, made, kerf, bar.trim_nm, rest, f"{stock.id}-R", "L-1", "S1")
    cut(lead.by("C. Vint"), ORDER, visit)
    wanted = characteristics_of(design(), shop())
    first = next(one for one in wanted if (one.piece, one.name) == (mine[0].slot.piece, "length"))
    measure(lead.by("E. Lund"), "SN-1", {first: shown(first, first.nominal)}, "LB-2")
    return Kept(record, made, stock.heat)


@pytest.fixture(scope="module")
def made(kept: Kept) -> tuple[bytes, bytes]:
    return papers.dossier(kept.record, "SN-1", design(), standard(), shop(), DEMO_SEED, DATE)


# --- drawing and piece sheets --------------------------------------------------------------------------


def test_the_drawing_gives_the_outside_the_shelves_and_every_part() -> None:
    text = text_of(papers.draw(design(), shop(), DATE, demo=True))
    for dimension in ("43.500[1104.9]", "24.000[609.6]", "26.000[660.4]", "32.000[812.8]"):
        assert dimension in text
    for piece in design().pieces.made:
        assert piece.part in text
    assert "DEMO" in text
    assert "Rackaxes:xright,yrear,zup" in text
    assert "14CFR29.561(b)(3)asamendedby29-38" in text


def test_quantities_of_the_parts_table_are_those_of_the_pieces_and_bolts() -> None:
    rows = {row.part: row for row in rack_drawing(design(), shop(), DATE).parts}
    for piece in design().pieces.made:
        assert int(rows[piece.part].quantity) == design().pieces.quantity(piece.part)
    bolts = [row for row in rows.values() if row.description.startswith("bolt")]
    assert sum(int(row.quantity) for row in bolts) == len(design().pieces.bolts)
    washers = sum(int(row.quantity) for row in rows.values() if row.description == "washer")
    assert washers == sum(bolt.washers for bolt in design().pieces.bolts)


@pytest.mark.parametrize(("forward", "nose"), [("-y", (0, -1, 0)), ("+x", (1, 0, 0)), ("-x", (-1, 0, 0))])
def test_forward_on_the_drawing_is_the_definitions(forward: str, nose: tuple[float, ...]) -> None:
    definition = design().rack.definition
    assert definition.aircraft is not None
    turned = replace(definition, aircraft=replace(definition.aircraft, forward=forward))
    shown = rack_drawing(Design(replace(design().rack, definition=turned)), None, DATE)
    assert shown.forward == nose
    assert any(f"rack {forward.replace('-', '−')} points to the nose" in note for note in shown.notes)


def test_an_orientation_that_is_not_stated_is_not_drawn() -> None:
    unstated = replace(design().rack.definition, aircraft=None)
    shown = papers.draw(Design(replace(design().rack, definition=unstated)), None, DATE)
    text = text_of(shown)
    assert "FORWARDisnotstated" in text
    assert "FORWARD(aircraft)" not in text
    assert "PRELIMINARY" in text


def test_straps_run_from_the_rings_eyes_to_their_fittings() -> None:
    shown = rack_drawing(design(), shop(), DATE)
    eyes, fittings = {ring.at_nm for ring in shown.rings}, {one.at_nm for one in shown.fittings}
    assert len(shown.straps) == len(design().rack.definition.strap)
    for strap in shown.straps:
        assert strap.from_nm in eyes
        assert strap.to_nm in fittings


def test_every_hole_of_a_piece_sheet_leads_back_to_its_place_on_the_piece() -> None:
    """Face, distance along and across of a sheet, put back on the piece, are the piece's holes: none lost or mirrored.

    A face named `left −x` is seen against its outward normal n with end A at the left, along = a; up is n × a.
    """
    sheets = piece_sketches(design(), shop())
    for part in {piece.part for piece in design().pieces.sawn}:
        piece = next(piece for piece in design().pieces.made if piece.part == part)
        back = set()
        for sheet in (one for one in sheets if one.part == part):
            assert sheet.length_nm == piece.length
            for hole in sheet.holes:
                side = sheet.face_names[hole.face].split()[1].replace("−", "-")
                out, along = "xyz".index(side[1]), "xyz".index(piece.axis or "")
                normal, way = np.zeros(3), np.eye(3)[along]
                normal[out] = 1 if side[0] == "+" else -1
                up = np.cross(normal, way)
                walls = [
                    wall for wall in piece.walls if wall.size(out) == min(wall.size(i) for i in range(3))
                ]
                wall = max(walls, key=lambda box: normal[out] * (box.lo[out] + box.hi[out]))
                middle = np.array([(low + high) / 2 for low, high in zip(wall.lo, wall.hi, strict=True)])
                at = middle + up * hole.across_nm
                at[along] = piece.lo[along] + hole.along_nm
                back.add((tuple(round(float(v)) for v in at), hole.dia_nm))
        assert back == {(hole.centre, hole.diameter) for hole in piece.holes}


# --- saw sheet and labels ------------------------------------------------------------------------------


def test_the_saw_sheet_has_every_bar_in_order_and_what_it_is_worth() -> None:
    text = text_of(papers.saw_sheet(plan(), ORDER, DATE, SERIALS, demo=True))
    places = [text.index(flat(f"{bar.bar}heat{bar.heat}")) for section in plan().saw for bar in section.bars]
    assert places == sorted(places)
    for section in plan().saw:
        for bar in section.bars:
            assert f"certificate{bar.certificate}" in text
            assert bar.keeps_rest == (f"remnant{bar.bar}-R" in text)
    cost = sum(section.objective or 0 for section in plan().saw)
    first = sum(section.first_fit or 0 for section in plan().saw)
    assert flat(f"Stock value used {money(cost, 'USD')}") in text
    assert flat(f"{money(first, 'USD')}: this plan saves {money(first - cost, 'USD')}") in text
    assert "rack1isSN-1;rack2isSN-2" in text
    assert "T-06(Fty34.2ksi,shortby0.8ksi)" in text
    assert "nogloves" in text


def test_bars_to_be_bought_say_so_and_give_no_labels() -> None:
    text = text_of(papers.saw_sheet(unstocked(), "", DATE))
    bars = [bar for section in unstocked().saw for bar in section.bars]
    assert text.count("tobebought") >= len(bars)
    assert "ordergobytheirnumber" in text
    with pytest.raises(Stopped, match="every bar is still to be bought"):
        papers.labels(unstocked(), design(), "", (), DATE)


def test_a_label_for_each_cut_piece_and_each_remnant_with_its_own_id_and_heat() -> None:
    made = label_list(plan(), design(), ORDER, SERIALS)
    cuts = {piece_id(SERIALS[cut.slot.rack - 1], cut.slot.piece): bar.heat
            for section in plan().saw for bar in section.bars for cut in bar.cuts}  # fmt: skip
    rests = {f"{bar.bar}-R": bar.heat for section in plan().saw for bar in section.bars if bar.keeps_rest}
    assert {label.id: label.heat for label in made} == cuts | rests
    assert len(made) == len(cuts) + len(rests)
    assert {label.material.split()[0] for label in made if label.heat.startswith("H")} == {"6061-T6"}


def test_labels_without_serials_say_so_on_every_piece() -> None:
    made = label_list(plan(), design(), ORDER, ())
    for label in made:
        assert label.kind == "REMNANT" or (NOT_GIVEN in label.note and not label.serial)
    assert len({label.id for label in made}) == len(made)


def test_a_scanner_reads_from_the_printed_sheet_what_the_label_says() -> None:
    pdf = papers.labels(plan(), design(), ORDER, SERIALS, DATE, demo=True)
    with pypdfium2.PdfDocument(pdf) as document:
        image = document[0].render(scale=3).to_pil()
    read = [read_envelope(code.bytes.decode()) for code in zxingcpp.read_barcodes(image)]
    wanted = {label.id: label for label in label_list(plan(), design(), ORDER, SERIALS)}
    assert len(read) == 14
    for fields in read:
        assert fields["heat"] == wanted[fields["id"]].heat


# --- dossier --------------------------------------------------------------------------------------------


def test_the_dossier_says_what_was_computed(made: tuple[bytes, bytes]) -> None:
    text = text_of(made[0])
    assert flat(ULTIMATE_ONLY) in text
    assert flat("Rack −y points to the nose of the KR-9") in text
    assert flat("no friction is counted anywhere") in text
    assert "shelf.upper.height36in32in" in text
    for margin in design().strength.governing:
        assert flat(f"{margin.mode[:1].upper()}{margin.mode[1:]}: M.S. {ms(margin.margin)}") in text
        name, values = margin.steps[-1]
        assert flat(f"MS = {digits(float(explain(name, values).result), 6)}") in text
    for margin in design().strength.margins:
        assert flat(margin.id) in text
    for case in design().strength.cases:
        assert flat(case.id) in text


def test_a_dossier_names_the_report_behind_it_and_leaves_the_length_to_it(kept: Kept, tmp_path: Path) -> None:
    """In a copy of the record an engineer prepares a report and another checks it."""
    shutil.copytree(kept.record.path.parent, tmp_path / "shop")
    with records.open(tmp_path / "shop" / "record.db") as copy:
        ids = count(1)
        lead = Station(copy, "A. Quill", lambda: f"{DATE}T09:00:00Z", lambda: f"report act {next(ids)}")
        for person in ("G. Marl", "H. Orrest"):
            add_person(lead, person, ["engineer"])
        prepare_report(lead.by("G. Marl"), "SR-9", revision_id(design()), design(), shop())
        check_report(lead.by("H. Orrest"), "SR-9", "A")
        last = project(copy.events()).report_of(revision_id(design()))
        assert last is not None
        text = text_of(papers.dossier(copy, "SN-1", design(), standard(), shop(), DEMO_SEED, DATE)[0])
        (paper,) = papers.papers_of_serial(copy, "SN-1", shop(), DEMO_SEED, DATE, only="report").papers
    assert (paper.name, paper.data) == (
        "SR-9-A.pdf",
        (tmp_path / "shop" / "attachments" / last.file).read_bytes(),
    )
    assert last.file in text
    for words in ("SR-9 revision A", "by G. Marl", "by H. Orrest", "reasons stand on its cover"):
        assert flat(words) in text
    for margin in design().strength.governing:
        assert flat(f"{margin.piece}") in text  # its own governing margins stay
    for at_length in (
        "Appendix: every margin",
        "Governing margins worked in full",
        "no friction is counted anywhere",
    ):
        assert flat(at_length) not in text


def test_the_dossier_says_what_was_recorded(kept: Kept, made: tuple[bytes, bytes]) -> None:
    text = text_of(made[0])
    assert "Yes,allfour;INVENTED-AC-114revB" in text
    assert flat("Which colour?") in text
    for piece in kept.cut:
        role = piece.piece.removeprefix("SN-1/")
        assert flat(f"{role} {design().pieces.get(role).part} {kept.heat}") in text
    assert "notmade" in text  # the other pieces of this rack
    assert text.count("LB-2") >= 1
    assert "within" in text
    assert "DA-1,DA-1revA" in text
    assert "conformity" in text.lower()


def test_a_serial_that_is_not_released_says_so_and_its_seal_does_too(made: tuple[bytes, bytes]) -> None:
    pdf, seal = made
    for page in pages(pdf):
        assert "NOT RELEASED" in page
        assert "PRELIMINARY" in page  # an open question blocks its release
    assert flat("Gates as they stand on 2026-03-16") in text_of(pdf)
    answers = {check.name: check.ok for check in verify(pdf, seal)}
    assert not answers.pop("serial")
    assert all(answers.values())


def test_a_release_shows_the_gates_as_they_stood_and_margins_that_differ(kept: Kept, tmp_path: Path) -> None:
    """A release that no gate let pass, put into a copy of the record: its dossier hides nothing."""
    shutil.copytree(kept.record.path.parent, tmp_path / "copy")
    with records.open(tmp_path / "copy" / "record.db") as copy:
        rows = [
            {
                "piece": "SN-1/post.rear-left",
                "check": "axial, bending, shear and torsion",
                "case": "x",
                "margin": "9.000000",
            }
        ]
        body = {"serial": "SN-1", "revision": revision_id(design()), "margins": rows}
        event = records.new_event("release", body, act_id="forced", at="2026-03-15T10:00:00Z", by="E. Lund",
                                  refs=records.Refs.of(serials=["SN-1"]))  # fmt: skip
        copy.append([event], seen=copy.head())
        pdf, seal = papers.dossier(copy, "SN-1", design(), standard(), shop(), DEMO_SEED, DATE)
    text = text_of(pdf)
    assert "NOTRELEASED" not in text
    assert flat("Gates as they stood just before the release") in text
    assert flat("no: question Q2 is open") in text
    assert (
        flat(
            "differ from what is computed now from the frozen texts and the measurements: SN-1/post.rear-left"
        )
        in text
    )
    assert all(check.ok for check in verify(pdf, seal))


def test_deference_marks_and_numbers_stand_on_every_page(made: tuple[bytes, bytes]) -> None:
    texts = pages(made[0])
    for number, page in enumerate(texts, 1):
        assert flat(DEFERENCE) in flat(page)
        assert "DEMO" in page
        assert f"{number}of{len(texts)}" in flat(page)


def test_nothing_is_printed_over_anything_or_off_the_page(made: tuple[bytes, bytes]) -> None:
    every = [made[0], papers.saw_sheet(plan(), ORDER, DATE, SERIALS), papers.sketches(design(), shop(), DATE)]
    every += [papers.draw(design(), shop(), DATE), papers.labels(plan(), design(), ORDER, SERIALS, DATE)]
    for pdf in every:
        for width, height, page in glyphs(pdf):
            assert overprinted(page) == []
            edge = 5 * MM
            assert all(edge < g.left and g.right < width - edge for g in page)
            assert all(edge < g.bottom and g.top < height - edge for g in page)


def test_no_state_reads_as_an_approval(made: tuple[bytes, bytes]) -> None:
    every = [made[0], papers.saw_sheet(plan(), ORDER, DATE, SERIALS), papers.draw(design(), shop(), DATE)]
    for pdf in every:
        plain = text_of(pdf).lower().replace(flat(DEFERENCE.lower()), "")
        for word in ("approved", "certified", "airworthy"):
            assert word not in plain


def test_what_is_attached_is_what_was_frozen_and_recorded(kept: Kept, made: tuple[bytes, bytes]) -> None:
    import io

    with pikepdf.open(io.BytesIO(made[0])) as pdf:
        files = {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments}
    assert files["definition.toml"] == VARIATION.read_bytes()
    assert files["er-47.toml"] == (SHOP / "standards" / "er-47.toml").read_bytes()
    assert b'"type": "cut"' in files["events.jsonl"]
    assert not [name for name, data in files.items() if b"USD" in data], "prices stay in the shop"
    assert hashlib.sha256((SHOP / "shop.toml").read_bytes()).hexdigest() in text_of(made[0]).replace(" ", "")
    assert {"drawing.pdf", "results.json"} <= files.keys()


def test_same_record_and_date_same_bytes(kept: Kept, made: tuple[bytes, bytes]) -> None:
    held = frozen(kept.record, revision_id(design()))
    assert held.shop is not None
    again = papers.dossier(kept.record, "SN-1", held.design, held.standard, held.shop, DEMO_SEED, DATE)
    assert [hashlib.sha256(one).hexdigest() for one in again] == [
        hashlib.sha256(one).hexdigest() for one in made
    ]


def test_heads_seen_before_are_proven_in_the_seal(kept: Kept) -> None:
    tree = Tree(event.leaf() for event in kept.record.events())
    seen = Head(5, tree.root(5).hex())
    pdf, seal = papers.dossier(
        kept.record, "SN-1", design(), standard(), shop(), DEMO_SEED, DATE, (seen, Head(5, "00" * 32))
    )
    words = {check.name: check.words for check in verify(pdf, seal)}
    assert words["earlier"] == "1 earlier heads lead to this one"


def test_an_unknown_serial_is_refused(kept: Kept) -> None:
    with pytest.raises(Stopped) as stopped:
        papers.dossier(kept.record, "SN-9", design(), standard(), shop(), DEMO_SEED, DATE)
    assert [trouble.code for trouble in stopped.value.troubles] == ["RW503"]


# --- frozen texts ---------------------------------------------------------------------------------------


def test_a_frozen_design_is_the_one_that_was_frozen(kept: Kept) -> None:
    again, base = frozen_design(kept.record, revision_id(design()))
    assert again.rack.definition == design().rack.definition
    assert base is not None
    assert base.rack.definition == standard().rack.definition
    assert [change.path for change in again.rack.changes] == [change.path for change in design().rack.changes]


def test_a_frozen_definition_is_asked_no_more_than_when_it_was_frozen(
    kept: Kept, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A later program asks a question more of every definition: of a new one, and not of a rack that was frozen."""
    before, asked = frozen(kept.record, revision_id(design())).design.questions, questions._missing
    monkeypatch.setattr(
        questions, "_missing", lambda rack: [*asked(rack), ("pad.new", "A new question?", ("quote",))]
    )
    assert "pad.new" in [one.id for one in open_questions(design().rack)]
    held = frozen(kept.record, revision_id(design())).design
    assert open_questions(held.rack) == before


def test_a_frozen_text_that_is_gone_or_a_revision_that_never_was(kept: Kept, tmp_path: Path) -> None:
    with pytest.raises(Stopped, match="RW514"):
        frozen_design(kept.record, "ER-99 rev Z")
    shutil.copytree(kept.record.path.parent, tmp_path / "copy")
    with records.open(tmp_path / "copy" / "record.db") as copy:
        digest = project(copy.events()).revisions[revision_id(design())].texts["definition"]
        (copy.attachments / digest).write_bytes(b"format = 'something else'")
        with pytest.raises(Stopped, match="RW507"):
            frozen_design(copy, revision_id(design()))


# --- papers as files ------------------------------------------------------------------------------------


def _named(made: papers.Made, name: str) -> bytes:
    return next(paper.data for paper in made.papers if paper.name == name)


def test_papers_of_a_serial_come_from_the_record_alone(kept: Kept) -> None:
    made = papers.papers_of_serial(kept.record, "SN-1", shop(), DEMO_SEED, DATE)
    assert [paper.name for paper in made.papers] == [
        "drawing.pdf", "pieces.pdf", "balloons.pdf", "SN-1-coat.pdf", "SN-1-inspection.pdf", "SN-1-conformity.pdf",
        "SN-1-labels.pdf", "SN-1-labels.head", "SN-1.pdf", "SN-1.seal",
    ]  # fmt: skip
    assert [kind for kind, _ in made.left_out] == [
        "balance",
        "report",
    ]  # it is not weighed; none was prepared
    labels = next(paper.data for paper in made.papers if paper.kind == "labels")
    assert all(flat(piece.piece) in text_of(labels) for piece in kept.cut)
    carried = read_signed_head(read_canonical(_named(made, "SN-1-labels.head").removesuffix(b"\n")))
    assert carried.holds()
    assert carried.head == kept.record.head()
    assert flat(carried.words) in text_of(labels)
    none_cut = papers.papers_of_serial(kept.record, "SN-2", shop(), DEMO_SEED, DATE)
    assert [kind for kind, _ in none_cut.left_out] == ["balance", "labels", "report"]


def test_labels_of_stock_name_it_and_its_heat_and_carry_a_signed_head(kept: Kept) -> None:
    state = project(kept.record.events())
    there = [one for one in state.stock.values() if one.state == "accepted"][:2]
    made = papers.papers_of_stock(
        kept.record, [one.stock_id for one in there], shop(), DATE, DEMO_SEED
    ).papers
    words = text_of(made[0].data)
    assert all(flat(one.stock_id) in words and flat(one.heat or one.lot) in words for one in there)
    carried = read_signed_head(read_canonical(made[1].data.removesuffix(b"\n")))
    assert carried.head == kept.record.head()
    gone = next(one.stock_id for one in state.stock.values() if one.state == "cut")
    with pytest.raises(Stopped, match=rf"{gone} is cut.*RW701"):
        papers.papers_of_stock(kept.record, [gone], shop(), DATE, None)


def test_travelers_of_an_order_carry_a_signed_head(kept: Kept) -> None:
    order = project(kept.record.events()).serials["SN-1"].order
    made = papers.papers_of_order(kept.record, order, shop(), DATE, "traveler", DEMO_SEED)
    carried = read_signed_head(read_canonical(_named(made, f"{order}-traveler.head").removesuffix(b"\n")))
    assert carried.holds()
    assert carried.head == kept.record.head()
    assert flat(carried.words) in text_of(_named(made, "SN-1-traveler.pdf"))
    bare = papers.papers_of_order(kept.record, order, shop(), DATE, "traveler")
    assert [paper.name for paper in bare.papers] == [paper.name for paper in made.papers[:-1]]


def test_papers_of_a_definition_say_what_could_not_be_made() -> None:
    made = papers.papers_of_file(design(), unstocked(), DATE)
    assert list(dict.fromkeys(paper.kind for paper in made.papers)) == [
        "drawing", "pieces", "report", "balloons", "blocks", "mill", "traveler", "saw-sheet", "brake", "jig", "coat",
        "inspection",
    ]  # fmt: skip
    assert [kind for kind, _ in made.left_out] == [
        "plate",
        "labels",
    ]  # no plate on the shelf, no heat of any bar
    assert [paper.kind for paper in papers.papers_of_file(design(), None, DATE).papers] == [
        "drawing",
        "pieces",
        "report",
    ]
    with pytest.raises(Stopped, match="a definition alone has no record"):
        papers.papers_of_file(design(), unstocked(), DATE, only="dossier")


def test_a_paper_is_written_whole_or_not_at_all(tmp_path: Path) -> None:
    target = papers.write(tmp_path / "new" / "paper.pdf", b"first")
    assert papers.write(target, b"second").read_bytes() == b"second"
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "inside").write_bytes(b"")
    for bad in (tmp_path / "taken", target / "below.pdf"):
        with pytest.raises(Stopped, match="RW701"):
            papers.write(bad, b"third")
    left = sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*"))
    assert left == ["new", "new/paper.pdf", "taken", "taken/inside"]
    assert target.read_bytes() == b"second"


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Run:
    """Runs `rackwright papers`; gives exit code, stdout, stderr."""
    monkeypatch.delenv("RACKWRIGHT_SHOP", raising=False)

    def run(*args: str) -> tuple[int, str, str]:
        with pytest.raises(SystemExit) as left:
            main(["papers", *args])
        out, err = capsys.readouterr()
        return int(left.value.code or 0), out, err

    return run


def test_the_command_writes_the_papers_of_a_serial(run: Run, kept: Kept, tmp_path: Path) -> None:
    shutil.copytree(kept.record.path.parent, tmp_path / "shop")
    shutil.copy(SHOP / "shop.toml", tmp_path / "shop")
    where = ("--out", str(tmp_path / "out"), "--shop", str(tmp_path / "shop"), "--date", DATE)
    code, out, _ = run("SN-1", *where, "--json")
    assert code == 0
    for paper in json.loads(out)["papers"]:
        assert hashlib.sha256(Path(paper["file"]).read_bytes()).hexdigest() == paper["sha256"]
    pdf, seal = ((tmp_path / "out" / f"SN-1.{end}").read_bytes() for end in ("pdf", "seal"))
    assert next(check.ok for check in verify(pdf, seal) if check.name == "pdf")
    code, _, err = run("SN-9", *where)
    assert (code, "RW503" in err) == (1, True)
    assert run("SN-1", *where, "--stock", "stock.toml")[0] == 2


def test_the_command_writes_the_papers_of_a_file(run: Run, tmp_path: Path) -> None:
    code, out, err = run(str(VARIATION), "--out", str(tmp_path), "--date", DATE)
    assert code == 0
    assert {"balloons.pdf", "drawing.pdf", "pieces.pdf", "rack-1-traveler.pdf", "saw-sheet.pdf"} <= {
        path.name for path in tmp_path.iterdir()
    }
    assert all(path.suffix == ".dxf" for path in (tmp_path / "dxf").iterdir())
    assert out.rstrip().endswith(DEFERENCE)
    assert [line.split(":")[0] for line in err.splitlines()] == ["no plate", "no labels"]
    assert run(str(VARIATION), "--out", str(tmp_path), "--only", "labels")[0] == 1
    assert run(str(VARIATION), "--out", str(tmp_path), "--date", "soon")[0] == 2
    assert run("missing.toml", "--out", str(tmp_path))[0] == 2

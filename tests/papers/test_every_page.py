"""What must hold on every page of every paper, read back with another renderer."""

from __future__ import annotations

import hashlib
import subprocess
import sys
from collections.abc import Callable
from io import BytesIO

import pikepdf
import pytest

from kept import paper_sample as sample
from papers.reading import MM, flat, glyphs, overprinted, pages
from rackwright.papers import house
from rackwright.papers.dossier import set_dossier
from rackwright.papers.drawing import draw_pieces, draw_rack
from rackwright.papers.house import FONTS
from rackwright.papers.labels import set_labels
from rackwright.papers.saw_sheet import set_saw_sheet
from rackwright.trouble import DEFERENCE

PAPERS: dict[str, Callable[[], bytes]] = {
    "dossier": lambda: set_dossier(sample.dossier()),
    "saw sheet": lambda: set_saw_sheet(sample.saw_sheet()),
    "labels": lambda: set_labels(sample.labels(), sample.head("Labels", "L-2291-1")),
    "rack": lambda: draw_rack(sample.rack_drawing()),
    "rack, tabloid": lambda: draw_rack(sample.rack_drawing("us-tabloid")),
    "rack, A4": lambda: draw_rack(sample.rack_drawing("a4")),
    "pieces": lambda: draw_pieces(sample.head("Piece sketch", "LR43-120-P"), sample.piece_sketches()),
}
each_paper = pytest.mark.parametrize("name", PAPERS)


@each_paper
def test_deference_marks_and_page_number_stand_on_every_page(name: str) -> None:
    texts = pages(PAPERS[name]())
    for number, text in enumerate(texts, 1):
        assert flat(DEFERENCE) in flat(text), f"page {number}"
        assert "DEMO" in text
        assert f"{number}of{len(texts)}" in flat(text)
        assert sample.DEFINITION[:16] in text


@each_paper
def test_nothing_is_printed_over_anything_or_off_the_page(name: str) -> None:
    for width, height, page in glyphs(PAPERS[name]()):
        assert overprinted(page) == []
        edge = 5 * MM
        assert all(edge < g.left and g.right < width - edge for g in page)
        assert all(edge < g.bottom and g.top < height - edge for g in page)


@each_paper
def test_same_data_same_bytes(name: str) -> None:
    assert PAPERS[name]() == PAPERS[name]()


def test_same_bytes_in_two_fresh_processes_and_in_this_one_after_all_that_it_has_set() -> None:
    """What the process set before, and the order of its hashes, must not be seen in any paper."""
    code = (
        f"import sys; sys.path[:0] = {[p for p in sys.path if p]!r}\n"
        "import hashlib\nfrom papers.test_every_page import PAPERS\n"
        "for name in sys.argv[1:]: print(hashlib.sha256(PAPERS[name]()).hexdigest(), name)"
    )
    names = list(PAPERS)
    ran = [
        subprocess.run(
            [sys.executable, "-c", code, *order],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        for seed, order in (("3", names), ("7", names[::-1]))
    ]
    fresh = [sorted(one.stdout.splitlines()) for one in ran]
    for name in (*names, *names[::-1]):  # each after every other
        PAPERS[name]()
    here = sorted(f"{hashlib.sha256(PAPERS[name]()).hexdigest()} {name}" for name in names)
    assert fresh[0] == fresh[1]
    assert here == fresh[0]


def test_a_process_keeps_the_style_it_began_with(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files that are replaced while a long process runs (an upgrade, a checkout) change nothing half way."""
    before = PAPERS["rack"]()
    real = house._template("drawing")
    monkeypatch.setattr(house.resources, "files", lambda _: pytest.fail("read again"))
    assert house._template("drawing") == real
    assert PAPERS["rack"]() == before


@each_paper
def test_is_pdf_a_3b_with_the_wheels_own_fonts_inside(name: str) -> None:
    allowed = {family.replace(" ", "") for family in FONTS} | {"NewCMMath"}
    with pikepdf.open(BytesIO(PAPERS[name]())) as pdf:
        meta = pdf.open_metadata()
        assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "B")
        fonts = [
            obj
            for obj in pdf.objects
            if isinstance(obj, pikepdf.Dictionary) and obj.get("/Type") == "/FontDescriptor"
        ]
        assert fonts
        for font in fonts:
            family = str(font["/FontName"]).split("+")[1].split("-")[0]
            assert family in allowed
            assert "/FontFile2" in font or "/FontFile3" in font


def test_attachments_are_associated_files_with_their_bytes() -> None:
    dossier = sample.dossier()
    with pikepdf.open(BytesIO(set_dossier(dossier))) as pdf:
        assert {name: pdf.attachments[name].get_file().read_bytes() for name in pdf.attachments} == {
            a.name: a.content for a in dossier.attachments
        }
        relations = {str(spec["/UF"]): str(spec["/AFRelationship"]) for spec in pdf.Root["/AF"]}
    assert relations == {"definition.json": "/Data", "events.jsonl": "/Data"}


@each_paper
def test_no_state_reads_as_an_approval(name: str) -> None:
    text = " ".join(pages(PAPERS[name]())).lower().replace(" ".join(DEFERENCE.lower().split()), "")
    plain = flat(text).replace(flat(DEFERENCE.lower()), "")
    for word in ("approved", "certified", "airworthy"):
        assert word not in plain

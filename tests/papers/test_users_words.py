"""The user's words are printed as they are: never as markup, never cut off, never over something else."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kept import paper_sample as sample
from papers.reading import MM, flat, glyphs, overprinted, pages
from rackwright.papers.dossier import set_dossier
from rackwright.papers.drawing import PartRow, draw_rack, drawing_svgs
from rackwright.papers.house import Head
from rackwright.papers.saw_sheet import set_saw_sheet
from rackwright.papers.table import Facts, Items, Section, Table, Text, Worked

HOSTILE = (
    '#panic("x") $a_b$ *bold* _it_ `raw` <lab> @ref [c] {d} \\e // f /* g */ ~ -- ... "q" \'s\' &amp; é ≥ µ'
)


def in_dossier(*blocks: Text | Items | Facts | Table | Worked, title: str = "T") -> bytes:
    return set_dossier(replace(sample.dossier(), sections=(Section(title, blocks),)))


def test_markup_in_every_kind_of_block_is_only_words() -> None:
    pdf = in_dossier(
        Text(HOSTILE), Text(HOSTILE, "caution"), Items((HOSTILE,)), Facts(((HOSTILE, HOSTILE),), HOSTILE),
        Table(HOSTILE, (HOSTILE,), ((HOSTILE,),), note=HOSTILE),
        Worked(HOSTILE, HOSTILE, HOSTILE, HOSTILE, HOSTILE, inputs=((HOSTILE, HOSTILE, HOSTILE),)),
        title=HOSTILE,
    )  # fmt: skip
    text = flat(" ".join(pages(pdf)))
    # title and contents 2, texts 2, list 1, facts 3, table 4, worked 5 and its input's value and meaning 2;
    # the symbol of that input prints a_b as an index and so is not counted
    assert text.count(flat(HOSTILE)) == 19


@settings(max_examples=40, deadline=None)
@given(
    st.text(
        st.characters(min_codepoint=0x21, max_codepoint=0x17E, exclude_categories=["Cc", "Cf"]),
        min_size=1,
        max_size=25,
    )
)
def test_any_short_text_is_printed_letter_for_letter(words: str) -> None:
    [page] = [p for p in pages(in_dossier(Table("", ("words",), (("»" + words + "«",),), "i"))) if "»" in p]
    assert flat("»" + words + "«") in flat(page)


def test_head_and_cover_take_any_words() -> None:
    head = Head("#shop *x*", "$t$", "<no>_1", "@A", "2026-03-02", "ab" * 32, ("#MARK",))
    text = flat(pages(set_dossier(replace(sample.dossier(), head=head)))[0])
    for words in ("#shop*x*", "$t$", "<no>_1", "@A", "#MARK"):
        assert flat(words) in text


@pytest.mark.parametrize("align", ["", "iiiiii", "rrrrrr"])
def test_a_hundred_rows_of_long_ids_stay_inside_their_columns(align: str) -> None:
    rows = tuple(
        (
            f"tube.upright.rear.left.{n}",
            "H" + "0123456789" * 4,
            "x" * 60,
            f"{n}",
            "within limits, see NC-3",
            "a b " * 12,
        )
        for n in range(100)
    )
    pdf = in_dossier(Table("long", ("piece", "heat", "certificate", "n", "result", "remarks"), rows, align))
    text = flat("".join(pages(pdf)))
    assert all(flat(cell) in text for cell in rows[99])
    for width, height, page in glyphs(pdf):
        assert overprinted(page) == []
        assert all(g.left > 20 * MM - 1 and g.right < width - 18 * MM + 1 for g in page)
        assert all(g.bottom > 5 * MM and g.top < height - 5 * MM for g in page)


def test_a_head_row_is_repeated_on_every_page_of_a_long_table() -> None:
    rows = tuple((str(n), "row") for n in range(120))
    texts = [p for p in pages(in_dossier(Table("", ("number of it", "what"), rows))) if p.count(" row") > 5]
    assert len(texts) > 2
    assert all("number of it" in text for text in texts)


def test_long_ids_on_the_saw_sheet_do_not_collide() -> None:
    sheet = sample.saw_sheet()
    bar = sheet.bars[0]
    cuts = tuple(
        replace(cut, piece="P-" + "7" * 30, part="LR43-" + "LEFT-HAND-" * 6, serial="LR43-0007-REWORK-2")
        for cut in bar.cuts
    )
    pdf = set_saw_sheet(replace(sheet, bars=(replace(bar, cuts=cuts, bar="BAR-" + "9" * 20),)))
    for width, _, page in glyphs(pdf):
        assert overprinted(page) == []
        assert all(g.left > 18 * MM and g.right < width - 17 * MM for g in page)


def test_drawing_takes_any_words_and_long_parts_go_on_over_sheets() -> None:
    drawing = sample.rack_drawing()
    parts = tuple(PartRow(str(n), f"LR43-{n}", HOSTILE, "1", "stock " * 9, "1.000 in") for n in range(1, 90))
    pdf = draw_rack(replace(drawing, parts=parts, notes=(HOSTILE,)))
    texts = pages(pdf)
    assert len(texts) > 4
    for n in range(1, 90):
        assert any(f"LR43-{n}" in text for text in texts)
    svg = "".join(drawing_svgs(replace(drawing, notes=("<script>&",))))
    assert "<script>" not in svg
    assert "&lt;script&gt;&amp;" in svg


def test_tables_and_formulas_that_do_not_fit_their_own_shape_are_refused() -> None:
    with pytest.raises(ValueError, match="2 entries"):
        Table("t", ("a", "b"), (("1",),))
    with pytest.raises(ValueError, match="align"):
        Table("t", ("a",), (), "x")
    with pytest.raises(ValueError, match="code"):
        Worked("t", "f", "", "", "", formula_typst='#panic("x")')
    with pytest.raises(ValueError, match="isoformat"):
        Head("s", "t", "n", "r", "yesterday", "00")

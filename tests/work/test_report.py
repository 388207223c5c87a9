"""The strength report: what stands on every page, nothing computed left out, everything worked as it is printed."""

from __future__ import annotations

import re
import subprocess
import sys
from dataclasses import replace
from decimal import Decimal
from functools import cache
from hashlib import sha256

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import racks
import small_shop
from papers.reading import MM, flat, glyphs, overprinted, pages
from rackwright.answers import prove_json
from rackwright.design import Design
from rackwright.formulas import expression
from rackwright.formulas.cards import Card, cards, explain
from rackwright.papers.table import Table
from rackwright.reference import shipped
from rackwright.strength.acceptance import outside_checks
from rackwright.strength.rack_frame import PRETENSIONS
from rackwright.trouble import DEFERENCE, UNCONFIRMED
from rackwright.work.engineering.rows_used import rows_of, used_rows
from rackwright.work.papers.report import DRAFT, Confirmed, Issue, families, report, row_hash
from rackwright.work.papers.report.bodies import LBF, Body, _rest
from rackwright.work.papers.report.families import example_of
from rackwright.work.papers.report.hand import by_decimal
from rackwright.work.papers.report.statics import body_by_hand
from rackwright.work.papers.sources import documents
from rackwright.work.papers.strength import motion_blocks
from rackwright.work.papers.words import digits, ms

DATE = "2026-03-30"
TEXTS = {"definition": "ab" * 32, "base/er-47": "cd" * 32}


@cache
def design() -> Design:
    return racks.design_of(racks.STANDARD, racks.VARIATION)


def made(of: Design | None = None, **more: object) -> bytes:
    return report(Issue(of or design(), TEXTS, **more), small_shop.shop(), DATE)  # type: ignore[arg-type]


@cache
def pdf() -> bytes:
    return made()


@cache
def texts() -> tuple[str, ...]:
    return tuple(pages(pdf()))


@cache
def whole() -> str:
    return flat(" ".join(texts()))


# --- every page ----------------------------------------------------------------------------------


def test_deference_marks_and_page_number_stand_on_every_page() -> None:
    for number, text in enumerate(texts(), 1):
        assert flat(DEFERENCE) in flat(text), f"page {number}"
        assert {DRAFT, UNCONFIRMED} <= set(text.split()), f"page {number}"
        assert f"page{number}of{len(texts())}" in flat(text)


def test_nothing_is_printed_over_anything_or_off_the_page() -> None:
    for number, (width, height, page) in enumerate(glyphs(pdf()), 1):
        assert overprinted(page) == [], f"page {number}"
        assert all(g.left > 5 * MM and g.right < width - 5 * MM for g in page), f"page {number}"
        assert all(g.bottom > 5 * MM and g.top < height - 5 * MM for g in page), f"page {number}"


def test_no_state_reads_as_an_approval() -> None:
    plain = whole().lower().replace(flat(DEFERENCE.lower()), "")
    for word in ("approved", "certified", "airworthy"):
        assert word not in plain


def test_same_inputs_same_bytes_also_in_another_process() -> None:
    assert made() == pdf()
    code = (
        f"import sys; sys.path[:0] = {[p for p in sys.path if p]!r}\n"
        "import hashlib\nfrom work.test_report import pdf\nprint(hashlib.sha256(pdf()).hexdigest())"
    )
    env = {"PYTHONHASHSEED": "7", "OPENBLAS_NUM_THREADS": "1"}
    ran = subprocess.run([sys.executable, "-c", code], env=env, capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == sha256(pdf()).hexdigest()


# --- everything that was computed ----------------------------------------------------------------


def test_every_margin_of_the_answer_stands_in_it_with_its_value() -> None:
    for id, margin in prove_json(design())["margins"].items():
        assert flat(id) in whole()
        assert flat(ms(margin["margin"])).replace("−", "-") in whole().replace("−", "-")


def test_every_case_document_row_question_and_card_stands_in_it() -> None:
    for case in design().strength.cases:
        assert whole().count(flat(f"Case {case.id}")) >= 2  # in the contents, and over its free body
    for document, _ in documents(design()):
        assert flat(document) in whole()
    for _, row in used_rows(design()):
        assert flat(row.id) in whole()
    for margin in design().strength.margins:
        for name, _ in margin.steps:
            assert flat(name) in whole()


@pytest.mark.parametrize("mode", [mode for mode, margins in families(design()).items() if margins])
def test_the_worked_example_of_a_kind_has_the_numbers_of_its_cards(mode: str) -> None:
    example = example_of(families(design())[mode])
    title = flat(f"{mode[:1].upper()}{mode[1:]}")
    start = next(
        n for n, text in enumerate(texts()) if n > 2 and re.search(rf"\d+\.\d+{re.escape(title)}", flat(text))
    )
    there = flat("".join(texts()[start : start + 4]))
    assert flat(example.id) in there
    for name, values in example.steps:
        done = explain(name, values)
        si = done.card.result.dimension == "1"
        printed = digits(float(np.max(done.result)), 6 if si else 5)
        assert flat(f"{done.card.result.name} = {printed}") in there


def test_a_kind_judged_in_vibration_alone_says_so_and_shows_its_results() -> None:
    alone = {mode for mode, margins in families(design()).items() if not margins}
    assert alone
    for mode in alone:
        assert flat(f"{mode[:1].upper()}{mode[1:]}") in whole()
    assert whole().count(flat("No load case is judged by this check")) == len(alone)


def test_a_new_kind_of_check_has_its_page_without_a_word_in_the_report() -> None:
    of = Design(design().rack)
    added = replace(of.strength.margins[0], id="post.front-left/whistling", mode="whistling of a post")
    of.__dict__["strength"] = replace(of.strength, margins=(*of.strength.margins, added))
    text = flat(" ".join(pages(made(of))))
    assert flat("Whistling of a post") in text
    assert "post.front-left/whistling" in text


# --- free bodies ---------------------------------------------------------------------------------


@pytest.mark.parametrize("v", range(len(PRETENSIONS)))
def test_every_free_body_is_in_balance_about_any_point(v: int) -> None:
    run = design().strength.run
    assert run is not None
    for c in range(len(run.cases)):
        body = Body(run, c, v)
        size = np.linalg.norm(body.applied)
        assert np.abs(body.left[0]).max() < 1e-9 * size
        assert np.abs(body.left[1]).max() < 1e-9 * size
        somewhere = np.array([3.0, -2.0, 5.0])
        about = np.cross(body.cg - somewhere, body.applied)
        about = about + sum(o.moment + np.cross(o.at - somewhere, o.force) for o in body.held)
        assert np.abs(about).max() < 1e-8 * size


def test_the_moments_of_a_free_body_vanish_by_its_printed_places() -> None:
    """Forces printed to 1 lbf and places to 0.001 in: off by no more than half a last digit of each leaves."""
    run = design().strength.run
    assert run is not None
    for body in (Body(run, c, 0) for c in range(len(run.cases))):
        total, slack = np.zeros(3), 0.0
        cg = np.round(body.cg / 0.0254, 3)
        for one in body.held:
            arm, force = np.round(one.at / 0.0254, 3) - cg, np.round(one.force / LBF)
            total = total + np.cross(arm, force)
            slack += 0.5 * float(np.abs(arm).sum()) + 0.001 * float(np.abs(force).sum())
        assert np.abs(total).max() <= slack
        row = next(r for r in _rest([body] * 4).rows if r[0] == "centre of gravity")
        assert [float(text.replace("−", "-")) for text in row[1:4]] == pytest.approx(cg)


def test_the_free_body_worked_by_hand_closes_to_what_its_figures_were_rounded_to() -> None:
    """Eight straps and pads rounded to 0.1 lbf, directions to 0.001 in: within a pound of 3000."""
    (table,) = [one for one in body_by_hand(design()) if isinstance(one, Table)]
    left = table.rows[-1]
    assert left[0] == "left over"
    assert max(abs(float(text.replace("−", "-"))) for text in left[4:]) < 1.0
    assert sum(row[0].startswith("strap") for row in table.rows) >= 4


def test_how_far_it_goes_is_told_for_every_case() -> None:
    (table,) = [one for one in motion_blocks(design()) if isinstance(one, Table)]
    assert whole().count(flat(table.title)) == 1, "once in the report"
    assert [row[0] for row in table.rows] == [case.id for case in design().strength.cases]
    assert max(float(row[3]) for row in table.rows) > 2


def test_its_weight_is_that_of_the_pieces_bolts_and_items() -> None:
    run, d = design().strength.run, design()
    assert run is not None
    parts = [p.mass for p in d.pieces.made] + [b.mass for b in d.pieces.bolts]
    parts += [item.mass + (item.mass_tolerance or 0.0) for item in d.rack.definition.equipment]
    assert Body(run, 0, 0).mass == pytest.approx(sum(parts), rel=1e-12)


# --- why it is a draft ---------------------------------------------------------------------------


def compared(*, stale: bool = False) -> dict[str, Confirmed]:
    return {
        row.id: Confirmed("00" * 32 if stale else row_hash(row), "H. Orrest", "INVENTED-HANDBOOK-1", 7)
        for _, row in used_rows(design())
    }


def test_rows_compared_as_they_stand_take_the_mark_away_and_leave_the_reasons_that_remain() -> None:
    fresh, stale = (
        Issue(design(), TEXTS, of="ER-47-V12 rev A", confirmed=compared(stale=old)) for old in (False, True)
    )
    assert fresh.reasons == ()
    assert {fresh.mark(m) for m in design().strength.margins} == {" "}
    assert {reason.code for reason in stale.reasons} == {"RW531"}
    assert {stale.mark(m) for m in design().strength.margins} == {" ", "U"}
    assert fresh.inputs_hash != stale.inputs_hash
    text = pages(report(fresh, small_shop.shop(), DATE))
    assert all(DRAFT not in page and UNCONFIRMED not in page.split() for page in text[:1])


def test_one_row_left_keeps_the_margins_that_rest_on_it() -> None:
    name = design().rack.definition.tube.material
    issue = Issue(design(), TEXTS, of="x", confirmed={k: v for k, v in compared().items() if k != name})
    assert [reason.row for reason in issue.reasons] == [name]
    for margin in design().strength.margins:
        rests = shipped().materials[name] in rows_of(design(), margin) and UNCONFIRMED in margin.marks
        assert (issue.mark(margin) == "U") == rests


def test_every_unconfirmed_margin_names_a_row_that_is_so() -> None:
    for margin in design().strength.margins:
        doubtful = [row for row in rows_of(design(), margin) if row.unconfirmed]
        assert doubtful or UNCONFIRMED not in margin.marks, margin.id


def test_an_open_question_a_missing_margin_and_a_print_from_a_file_are_reasons() -> None:
    of = racks.design_of(racks.swap(racks.STANDARD, ('allowable_ultimate = "2400 lbf"\n', "")))
    codes = [reason.code for reason in Issue(of, TEXTS).reasons]
    assert codes.count("RW304") == 4  # four pads
    assert "RW513" in codes  # and the question behind them
    assert codes[-1] == "RW514"  # no frozen revision
    answered = Issue(of, TEXTS, answered=(("pad.allowable_ultimate", "2400 lbf; MAIL-1"),))
    assert "RW513" not in [reason.code for reason in answered.reasons]
    assert [reason.code for reason in Issue(of, TEXTS, open=(("Q1", "why?"),)).reasons].count("RW513") == 2


def test_what_changed_against_the_last_revision_is_listed() -> None:
    before = Issue(racks.design_of(), TEXTS, "SR-1", "A", "ER-47 rev D")
    edited = racks.design_of(racks.swap(racks.STANDARD, ('height = "36 in"', 'height = "35 in"')))
    now = Issue(edited, {**TEXTS, "definition": "ef" * 32}, "SR-1", "B", "ER-47 rev E", "G. Marl",
                before=before.results, before_revision="A")  # fmt: skip
    text = flat(" ".join(pages(report(now, small_shop.shop(), DATE))))
    assert flat("text definition") in text
    assert "ef" * 32 in text
    assert flat("A signature under that revision does not apply to this one.") in text
    section = text[text.rindex("Changesagainstthelastrevision") :]
    then, after = ({m.id: m.margin for m in one.strength.margins} for one in (racks.design_of(), edited))
    least = min(id for id in after if ms(after[id]) != ms(then[id]) and min(after[id], then[id]) < 0.7)  # type: ignore[type-var]
    assert flat(least) in section


BARE = {
    "no shelf, no item": small_shop.text(),
    "no strap": re.sub(r"\[\[strap\]\]\n(?:.+\n)+", "", racks.STANDARD),
    "no basis": re.sub(r"\[basis\]\n(?:.+\n)+", "", racks.STANDARD),
    "no aircraft": re.sub(r"\[aircraft\]\n(?:.+\n)+", "", racks.STANDARD),
    "a limit case": racks.STANDARD
    + '\n[[case]]\nname = "gust"\nkind = "limit"\nforward = 0\nleft = 1\nup = 2\ndocument = "INVENTED-G-1"\n',
}


@pytest.mark.parametrize("which", BARE)
def test_a_rack_that_lacks_something_is_reported_and_says_so(which: str) -> None:
    of = Design(racks.rack_of(BARE[which]))
    text = flat(" ".join(pages(made(of))))
    said = {
        "no shelf, no item": "no beam to compare",
        "no strap": "There is no equilibrium",
        "no basis": "No certification basis is entered",
        "no aircraft": "The orientation in the aircraft is not stated",
        "a limit case": "Limit and ultimate are kept apart",
    }
    assert flat(said[which]) in text


# --- worked by hand ------------------------------------------------------------------------------


def _by_hand(card: Card) -> bool:
    try:
        by_decimal(
            card.printed, {s.name: Decimal(1) for s in card.symbols} | {n: Decimal(1) for n, _ in card.where}
        )
    except (ValueError, KeyError):
        return False
    except ArithmeticError:
        return True
    return not any(symbol.many for symbol in card.symbols) and "==" not in card.printed


PLAIN = [card for card in cards().values() if "==" not in card.printed and _by_hand(card)]


def test_most_formulas_can_be_worked_by_hand() -> None:
    assert len(PLAIN) > 60


@given(st.sampled_from(PLAIN), st.data())
def test_decimal_arithmetic_on_the_printed_text_agrees_with_the_algebra(
    card: Card, data: st.DataObject
) -> None:
    values = {s.name: data.draw(st.floats(0.1, 9.0), label=s.name) for s in card.symbols}
    try:
        for name, text in card.where:
            values[name] = float(expression.evaluate(text, values))
        expected = float(expression.evaluate(card.printed, values))
    except (ZeroDivisionError, OverflowError, TypeError):  # outside its range: no number, or a complex one
        assume(False)
        return
    assume(np.isfinite(expected))
    found = float(by_decimal(card.printed, {name: Decimal(repr(value)) for name, value in values.items()}))
    size = max([1.0, *map(abs, values.values())])
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * size)


def test_the_least_margin_comes_out_by_hand_as_by_the_program() -> None:
    least = min((m for m in design().strength.margins if m.margin is not None), key=lambda m: m.margin or 0.0)
    annex = whole()[whole().rindex(flat("One margin worked by hand")) :]
    assert flat(least.id) in annex
    shares = [float(share) for share in re.findall(r"(\d\.\d{4})%", annex)]
    assert least.margin is not None
    half = 0.5e-5 / least.margin  # of k = 1 + M.S. six digits are printed: half of the last one, over M.S.
    assert max(shares, default=0.0) < max(0.01, 100 * half)
    for name, values in least.steps:
        assert flat(digits(float(np.max(explain(name, values).result)), 6)) in annex
    assert "DIFFERS" not in whole()
    assert whole().count("agrees") >= len(tuple(outside_checks()))

"""A rack is proven with the metal that it is made of; what is not drawn stands on its papers, and what nobody
computed keeps it from release."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

import racks
import small_shop as small
from rackwright.papers.table import Block, Table, Text
from rackwright.record import State
from rackwright.record.metal import Substitution
from rackwright.shop import StockBar
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.engineering.metal_as_made import other_metal
from rackwright.work.metal.drawn import substitute
from rackwright.work.metal.receiving import accept, receive_bar
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue
from rackwright.work.papers.as_built import as_built_blocks
from rackwright.work.papers.record import metal_blocks
from rackwright.work.quality.nonconforming import Acceptance
from rackwright.work.serials.releasing import Gate, release_gates
from stories.conftest import Begin

SERIAL, EXTRUDED = "SN-1", "AMS-QQ-A-200/8"
BARS = ("T-01", "T-02")  # all tubes of SN-1
POST = "post.front-left"


@pytest.fixture
def made(stages: Path, tmp_path: Path) -> State:
    with small.stage("made", stages, tmp_path) as record:
        return small.state(record)


def of_metal(
    state: State, *bars: str, spec: str = EXTRUDED, section: str = small.TUBE, form: str = ""
) -> State:
    """The state, had these bars been of other metal."""
    for bar in bars:
        one = state.stock[bar]
        paper = {"number": "C-9", "values": {"form": form} if form else {}}
        state.stock[bar] = replace(one, stock_spec=spec, section=section, certificate=paper)
    return state


def margins(state: State) -> dict[str, float | None]:
    built = as_measured(state, small.design(), SERIAL, None)
    return {one.id: one.margin for one in built.strength.margins}


def gate(state: State) -> Gate:
    gates = release_gates(state, SERIAL, small.design(), small.shop(), None, "E. Lund", small.DAY)
    return next(one for one in gates if one.name == "metal as made")


def test_the_metal_drawn_changes_nothing(made: State) -> None:
    assert other_metal(made, small.design(), SERIAL) == ()
    assert as_measured(made, small.design(), SERIAL, None) is small.design()
    assert gate(made).words == "passed"


def test_a_rack_all_of_other_metal_has_the_margins_of_a_definition_that_draws_it(made: State) -> None:
    text = racks.swap(small.text(), ('material = "6061-T6-drawn-tube-S"', 'material = "6061-T6511-ext-A"'))
    drawn = {one.id: one.margin for one in racks.design_of(text).strength.margins}
    assert margins(of_metal(made, *BARS, form="extruded tube")) == margins(of_metal(made, *BARS))
    nominal = {one.id: one.margin for one in small.design().strength.margins}
    built = margins(of_metal(made, *BARS))
    assert built == drawn
    assert built != nominal


def test_where_two_metals_share_a_row_no_margin_is_better_than_in_either(made: State) -> None:
    nominal = {one.id: one.margin for one in small.design().strength.margins}
    mixed = margins(of_metal(made, BARS[0]))
    other = margins(of_metal(made, *BARS))
    assert mixed.keys() == nominal.keys()
    for id, margin in mixed.items():
        pure = [one for one in (nominal[id], other[id]) if one is not None]
        assert margin is None or margin <= min(pure) + 1e-9, id
    assert any(mixed[id] != nominal[id] for id in mixed)


@pytest.mark.parametrize(
    ("other", "why"),
    [
        ({"section": "SQ 1.5x0.065"}, "another section, SQ 1.5x0.065, than is drawn"),
        ({"spec": "INVENTED-SPEC-1"}, "no row of the reference gives design values of INVENTED-SPEC-1"),
        ({"form": "forged"}, f"no row of the reference gives design values of {EXTRUDED}"),
        ({"spec": "AMS 4037"}, "metals of unlike stiffness share the load, which is not computed"),
    ],
)
def test_metal_that_nothing_here_proves_is_not_assessed_and_keeps_the_rack(
    made: State, other: dict[str, str], why: str
) -> None:
    state = of_metal(made, BARS[0], **other)
    assert {one.why_not for one in other_metal(state, small.design(), SERIAL)} == {why}
    assert "without a substitution" in gate(state).words
    posts = tuple(small.pieces_of(SERIAL, "post"))
    let = Substitution(posts, "none to be had", "INVENTED-DA-9", "a holder", small.DAY, "A. Quill", 9)
    state.stock[BARS[0]] = replace(state.stock[BARS[0]], let=(let,))
    refusal = gate(state).refusal
    assert refusal is not None
    assert (refusal.code, f"NOT ASSESSED, {why}" in refusal.found) == ("RW304", True)
    words = said(list(as_built_blocks(state, small.design(), SERIAL, None)))
    assert "Margins as built: NOT ASSESSED" in words
    assert "as designed and" not in words


def said(blocks: list[Block]) -> str:
    texts = [one.text for one in blocks if isinstance(one, Text)]
    rows = [" ".join(map(str, row)) for one in blocks if isinstance(one, Table) for row in one.rows]
    return "\n".join([*texts, *rows])


def test_a_substitution_is_printed_with_reason_person_and_acceptance(begin: Begin) -> None:
    record = begin("ordered").record
    lead, saw = small.station(record, "lead"), small.station(record, "sawyer")
    paper = small.certificate(EXTRUDED, "H4611")
    bar = StockBar("T-31", small.TUBE, EXTRUDED, "bar", small.nm("240 in"), "H4611", paper, "A1")
    receive_bar(small.station(record, "stores"), bar, 50_000)
    accept(small.station(record, "inspector"), small.shop(), "T-31")
    piece, long = f"{SERIAL}/{POST}", drawn_length()
    accepted = Acceptance("INVENTED-DA-9", "an invented holder", small.DAY)
    substitute(lead, "T-31", small.revision(), [piece], "no drawn tube to be had", accepted)
    issue(saw, "T-31", small.ORDER, small.revision(), [piece], [SERIAL])
    rest = small.nm("240 in") - long - 3_000_000
    cut(
        saw,
        small.ORDER,
        Visit("T-31", (CutPiece(piece, SERIAL, long),), 3_000_000, 0, rest, "T-31-R", "T-31-R", "saw"),
    )
    state = small.state(record)
    assert state.stock["T-31-R"].instead == ()
    (one,) = other_metal(state, small.design(), SERIAL)
    assert (one.piece, one.rows, one.why_not) == (POST, ("6061-T6511-ext-A", "6061-T6511-ext-B"), "")
    words = said(list(metal_blocks(state, SERIAL, small.design(), small.shop())))
    row = next(line for line in words.splitlines() if "no drawn tube to be had" in line)
    for part in (
        POST,
        "T-31",
        "H4611",
        EXTRUDED,
        "A. Quill",
        "INVENTED-DA-9",
        "an invented holder",
        small.DAY,
    ):
        assert part in row
    assert "6061-T6511-ext-A" in said(list(as_built_blocks(state, small.design(), SERIAL, None)))
    assert gate(state).words.startswith("passed: other metal in 1 pieces, accepted in INVENTED-DA-9 (event ")


def drawn_length() -> int:
    return next(one.length or 0 for one in small.design().pieces.made if one.id == POST)

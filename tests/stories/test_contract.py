"""The contract behind an order: quotes, clauses with their evidence, reviews; and what the order took."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

import small_shop as small
from rackwright.papers.table import Facts
from rackwright.trouble import Stopped
from rackwright.work.office.due import due
from rackwright.work.office.ordering import answer, ask, order
from rackwright.work.office.quoting import offer
from rackwright.work.papers.making import wrong_blocks
from stories.conftest import Begin
from stories.office import priced

CUSTOMER = "A customer"


def test_a_quote_has_revisions_and_the_newest_is_agreed(begin: Begin) -> None:
    day = begin("ordered")
    customer = day.state.orders["PO-1"].customer
    day.play(f"""
        lead offers Q-1 to {customer}, until 2026-02-01
        lead offers Q-1 to {customer}, until 2026-06-01
        lead offers Q-1 to somebody else                             -> RW517
        sawyer agrees to Q-1 revision B                              -> RW516
        lead agrees to Q-1 revision A                                -> RW517
        lead agrees to Q-1 revision C                                -> RW503
        lead agrees to Q-1 revision B
        lead agrees to Q-1 revision B                                -> RW517
        lead offers Q-1 to {customer}                                -> RW517
    """)
    rows = day.state.quotes["Q-1"]
    assert [(row.revision, row.agreed) for row in rows] == [("A", False), ("B", True)]
    total = priced().price.total
    assert total is not None
    assert abs(Fraction(rows[-1].price.split()[0]) - total) <= Fraction(1, 200)


def test_a_quote_past_its_last_day_or_of_another_customer_is_not_agreed(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead offers Q-1 to somebody else
        lead agrees to Q-1 revision A                                -> RW517
    """)
    customer = day.state.orders["PO-1"].customer
    day.play(f"""
        lead offers Q-2 to {customer}, until 2026-04-01
        on 2026-04-02
        lead agrees to Q-2 revision A                                -> RW517
    """)
    assert day.why("lead agrees to Q-2") == "Q-2 revision A held until 2026-04-01, today is 2026-04-02"


def test_metal_waits_for_the_review_and_the_clauses_before_it(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead records clause C1 before sign_out: coating only by a named supplier
        lead records clause C2 before release: certificates with the racks
        sawyer issues T-01 for post.front-left of SN-1               -> RW548
        lead reviews the contract
        sawyer issues T-05 for post.front-left of SN-1               -> RW548
        lead has evidence of clause C1: MAIL-7
        sawyer issues T-01 for post.front-left of SN-1
        lead records clause C3: a notice of delay
        sawyer issues T-02 for post.front-right of SN-1              -> RW548
        lead reviews the contract
        sawyer issues T-02 for post.front-right of SN-1
    """)
    assert "no contract review" in day.why("sawyer issues T-01")
    assert "clause C1 of PO-1 (CT-1), met by inspection, has no evidence" in day.why("sawyer issues T-05")
    assert "after its review of event" in day.why("sawyer issues T-02")
    assert day.state.reviews["PO-1"].clauses == ("C1", "C2", "C3")
    assert day.audit() == []


def test_a_clause_recorded_anew_loses_its_evidence_and_a_withdrawn_one_asks_nothing(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead records clause C1 before sign_out: coating only by a named supplier
        lead has evidence of clause C1: MAIL-7
        lead records clause C1 before sign_out: coating only by two named suppliers
        lead reviews the contract
        sawyer issues T-01 for post.front-left of SN-1               -> RW548
        lead records clause C1 before sign_out: coating only by two named suppliers, withdrawn
        lead has evidence of clause C1: MAIL-8                       -> RW503
        lead reviews the contract
        sawyer issues T-01 for post.front-left of SN-1
    """)
    assert "met by inspection, has no evidence" in day.why("sawyer issues T-01")


def test_release_and_shipment_wait_for_their_clauses(begin: Begin) -> None:
    day = begin("assembled").play("""
        lead records clause C2 before release: certificates with the racks
        lead records clause C4 before ship: notice of what is used as it is
        inspector releases SN-1                                      -> RW548
        lead reviews the contract
        inspector releases SN-1                                      -> RW548
        stores has evidence of clause C2: DOSSIER-1
        inspector releases SN-1
        lead ships SN-1 to the hangar                                -> RW548
        lead has evidence of clause C4: MAIL-9
        lead ships SN-1 to the hangar
    """)
    assert day.audit() == []
    assert [row["evidence"] for row in day.trace("order", "PO-1")["clauses"]] == ["DOSSIER-1", "MAIL-9"]


def test_bad_clauses(begin: Begin) -> None:
    begin("ordered").play("""
        sawyer records clause C1: anything                           -> RW516
        lead records clause C1 before lunch: anything                -> RW517
        lead has evidence of clause C9: MAIL-7                       -> RW503
    """)


def test_what_it_took_stands_beside_the_quote(begin: Begin) -> None:
    day = begin("ordered")
    customer = day.state.orders["PO-1"].customer
    day.play(f"""
        lead offers Q-1 to {customer}
        lead agrees to Q-1 revision A
        sawyer logs 1.25 h of saw
        sawyer logs 0.5 h of saw
        sawyer logs 0 h of saw                                       -> RW517
        sawyer logs 1.2.3 h of saw                                   -> RW517
        sawyer logs 1 h of dreaming                                  -> RW517
        lead books 512.40 USD of outside by IN-1
        lead books 512.40 EUR of outside by IN-2                     -> RW517
        lead books 512,40 USD of outside by IN-2                     -> RW517
        lead books 10.00 USD of lunch by IN-3                        -> RW517
    """)
    took = {row["what"]: row for row in day.trace("order", "PO-1")["spent"]}
    quoted = next(line.quantity for line in priced().price.lines if line.name == "saw")
    assert quoted is not None
    assert took["saw"]["recorded"] == "1.750"
    assert float(took["saw"]["share"]) == round(1.75 / round(float(quoted), 3), 3)
    assert took["all of these recorded"]["quoted"] == took["saw"]["quoted"]
    assert took["drill"]["recorded"] is None
    assert took["outside"]["recorded"] == "512.400"


def test_a_quote_with_a_line_missing_is_not_offered(begin: Begin) -> None:
    """The shop as it stands asks for cycles that only stock on the shelf gives."""
    day = begin("ordered")
    plan = replace(priced(), shop=replace(priced().shop, part_price=()))
    with pytest.raises(Stopped) as stopped:
        offer(small.station(day.record, "lead", day.date), "Q-1", CUSTOMER, plan, "")
    (trouble,) = stopped.value.troubles
    assert trouble.code == "RW547"
    assert "part_price" in trouble.found
    assert "Q-1" not in day.state.quotes


def test_an_order_names_its_aircraft_and_a_question_whom_it_was_asked_of(begin: Begin) -> None:
    day = begin("stocked")
    lead = small.station(day.record, "lead")
    order(
        lead,
        "PO-5",
        "Another (invented)",
        small.design(),
        2,
        "2026-04-17",
        "CT-5",
        aircraft_serials=["0007", "0008"],
    )
    ask(lead, "Q-5", "which floor?", "A. Quill", "2026-03-20", ["sign_out"], "PO-5", addressee="the holder")
    assert day.state.orders["PO-5"].lines["1"].aircraft_serials == ("0007", "0008")
    told = next(row for row in due(day.state, "2026-03-10") if row.about == "Q-5")
    assert (told.words, told.whose) == ("which floor? (blocks sign_out) (asked of the holder)", "A. Quill")


def test_a_question_of_a_variation_blocks_its_quote_before_there_is_an_order(begin: Begin) -> None:
    day = begin("ordered")
    lead = small.station(day.record, "lead")
    with pytest.raises(Stopped, match="neither order nor variation"):
        ask(lead, "Q-0", "which?", "A. Quill", "2026-03-20", ["quote"], "")
    ask(
        lead, "Q-1", "which bolts?", "A. Quill", "2026-03-20", ["quote"], "", addressee="B", variation="ER-47"
    )
    ask(lead, "Q-2", "which bolts there?", "A. Quill", "2026-03-20", ["quote"], "", variation="ER-48")
    day.play("lead offers Q-9 to somebody                                  -> RW513")
    assert "question Q-1 is open (A. Quill): which bolts?" in day.why("lead offers Q-9")
    late = [one for one in due(day.state, "2026-03-21") if one.kind == "question"]
    assert [(one.about, one.late) for one in late] == [("Q-1", True), ("Q-2", True)]
    done = answer(lead, "Q-1", "AN4", "MAIL-1", paper=b"the mail").events[0]
    assert day.record.get_file(done.body["file"]) == b"the mail"
    day.play("lead offers Q-9 to somebody")
    assert day.audit() == []


def test_a_clause_has_the_customer_accept_what_is_used_as_is_or_repaired(begin: Begin) -> None:
    day = begin("made").play("""
        inspector measures length of post.rear-left of SN-2 with LB-2: 43.900 in
        inspector raises NCR-1 on length of post.rear-left of SN-2: too short
        lead records clause C9 before disposition: the customer accepts repairs and use as is
        lead decides use_as_is on NCR-1: margins stay positive, accepted in ACC-9                -> RW520
        lead decides repair on NCR-1: spliced, accepted in ACC-9                                 -> RW520
        lead decides use_as_is on NCR-1: margins stay positive, by the customer in MAIL-7        -> RW520
        lead decides use_as_is on NCR-1: margins stay positive, accepted in ACC-9, by the customer in MAIL-7
    """)
    assert day.why("lead decides repair").startswith(
        "repair of NCR-1 has no acceptance by the customer, which clause C9"
    )
    [decided] = [event.body for event in day.record.events() if event.type == "disposition"]
    assert decided["customer"] == {"document": "MAIL-7", "signer": "an invented customer", "date": day.date}
    shown = [
        block for block in wrong_blocks(day.record.events(), day.state, "SN-2") if isinstance(block, Facts)
    ]
    assert ("Acceptance by the customer", f"MAIL-7; an invented customer; {day.date}") in shown[0].rows
    assert [line for line in day.audit() if "disposition" in line] == []


def test_rework_and_a_withdrawn_clause_ask_no_customer(begin: Begin) -> None:
    begin("made").play("""
        lead records clause C9 before disposition: the customer accepts repairs and use as is
        inspector raises NCR-1 on length of post.rear-left of SN-2: burr
        lead decides rework on NCR-1: deburred
        lead records clause C9 before disposition: the customer accepts repairs and use as is, withdrawn
        inspector raises NCR-2 on length of post.rear-left of SN-2: too short
        lead decides use_as_is on NCR-2: margins stay positive, accepted in ACC-9
    """)

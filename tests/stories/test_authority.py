"""Authority is separate from arithmetic: references and answers are recorded by people before metal moves."""

from __future__ import annotations

from stories.conftest import Begin


def test_no_metal_before_the_approval_reference(begin: Begin) -> None:
    day = begin("stocked").play("""
        lead orders and freezes two frames
        sawyer issues T-05 for post.front-left of SN-1               -> RW514
        machinist makes block.bottom.front-left of SN-1 from M-1     -> RW514
        assembler draws 4 of F-1 for SN-1                            -> RW514
        lead records approval INVENTED-DA-1
        sawyer issues T-05 for post.front-left of SN-1
        assembler draws 4 of F-1 for SN-1
    """)
    assert day.why("sawyer issues T-05") == "no design-approval reference is recorded for ER-47 rev D"
    assert day.state.stock["T-05"].state == "issued"
    assert day.audit() == []


def test_at_risk_lets_metal_go_but_never_a_rack(begin: Begin) -> None:
    day = begin("stocked").play("""
        lead orders and freezes two frames
        sawyer lets it go on at risk: the customer waits             -> RW516
        lead lets it go on at risk: the customer waits
        sawyer issues T-05 for post.front-left of SN-1
        inspector releases SN-1                                      -> RW514
    """)
    assert [e.body["at_risk"] for e in day.record.events() if e.type == "issue"] == [True]
    assert "no design-approval reference" in day.why("inspector releases SN-1")
    assert day.state.revisions["ER-47 rev D"].at_risk_by == "A. Quill"


def test_an_open_question_stops_what_it_blocks_and_nothing_else(begin: Begin) -> None:
    day = begin("ordered").play("""
        lead asks Q1, blocking sign_out, release: do the floor fittings carry their ratings?
        lead asks Q2, blocking shipping: who pays the freight?       -> RW517
        stores receives T-08, 240 in, heat H4519, Fty 40.2 ksi
        inspector accepts T-08
        sawyer issues T-08 for post.front-left of SN-1               -> RW513
        lead answers Q1 by INVENTED-MAIL-77: yes, as the interface document states
        sawyer issues T-08 for post.front-left of SN-1
    """)
    assert "question Q1 is open (the customer)" in day.why("sawyer issues T-08")
    assert day.state.questions["Q1"].answers[-1].document == "INVENTED-MAIL-77"
    assert day.state.stock["T-08"].state == "issued"


def test_a_question_of_the_last_day_still_stops_the_release(begin: Begin) -> None:
    day = begin("assembled").play("""
        lead asks Q9, blocking release: is the placard text agreed?
        inspector releases SN-1                                      -> RW513
        lead answers Q9 by INVENTED-MAIL-80: agreed
        inspector releases SN-1
    """)
    assert "is the placard text agreed?" in day.why("inspector releases SN-1")
    assert day.state.serials["SN-1"].state == "released"
    assert day.audit() == []

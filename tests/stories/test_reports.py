"""The strength report is signed as it is: an edit, an answer or a comparison makes another revision."""

from __future__ import annotations

from stories.conftest import Begin

OF = "ER-47 rev D"


def test_a_signature_does_not_pass_to_an_edited_revision(begin: Begin) -> None:
    day = begin("ordered").play(f"""
        engineer prepares report SR-1 of {OF}
        checker checks report SR-1 revision A
        lead freezes revision E with height = "47 in" changed to height = "46 in"
        engineer prepares report SR-1 of ER-47 rev E
        checker releases report SR-1 revision A                      -> RW534
        checker releases report SR-1 revision B                      -> RW533
    """)
    assert "superseded by revision B" in day.why("checker releases report SR-1 revision A")
    assert day.why("checker releases report SR-1 revision B") == "nobody has checked SR-1 revision B"
    a, b = day.state.reports["SR-1"]
    assert (a.checked_by, b.checked_by) == ("H. Orrest", "")
    assert a.file != b.file
    assert day.audit() == []


def test_the_checker_is_not_the_preparer(begin: Begin) -> None:
    day = begin("ordered").play(f"""
        inspector prepares report SR-1 of {OF}                       -> RW516
        engineer prepares report SR-1 of {OF}
        engineer checks report SR-1 revision A                       -> RW533
        checker checks report SR-1 revision A
        checker checks report SR-1 revision A                        -> RW517
        engineer prepares report SR-1 of {OF}                        -> RW517
    """)
    assert day.why("engineer checks report") == "G. Marl prepared SR-1 revision A"
    assert "nothing has changed since SR-1 revision A" in day.why("engineer prepares report")


def test_rows_that_nobody_compared_keep_it_from_release(begin: Begin) -> None:
    day = begin("ordered").play(f"""
        engineer prepares report SR-1 of {OF}
        checker checks report SR-1 revision A
        checker releases report SR-1 revision A                      -> RW531
        engineer compares no-such-row with INVENTED-HANDBOOK-1       -> RW503
        engineer compares every doubtful row with INVENTED-HANDBOOK-1
        checker releases report SR-1 revision A                      -> RW534
        engineer prepares report SR-1 of {OF}
        checker releases report SR-1 revision B                      -> RW533
        checker checks report SR-1 revision B
        checker releases report SR-1 revision B
        checker releases report SR-1 revision B                      -> RW517
    """)
    a, b = day.state.reports["SR-1"]
    assert {code for code, _ in a.reasons} == {"RW531"}
    assert b.reasons == ()
    assert (b.released_by, a.released_by) == ("H. Orrest", "")
    assert day.audit() == []


def test_a_question_that_is_answered_later_needs_another_revision(begin: Begin) -> None:
    day = begin("ordered").play(f"""
        lead asks Q1, blocking release: do the floor fittings carry their ratings?
        engineer compares every doubtful row with INVENTED-HANDBOOK-1
        engineer prepares report SR-1 of {OF}
        checker checks report SR-1 revision A
        checker releases report SR-1 revision A                      -> RW513
        lead answers Q1 by INVENTED-MAIL-77: yes
        checker releases report SR-1 revision A                      -> RW534
        engineer prepares report SR-1 of {OF}
        checker checks report SR-1 revision B
        checker releases report SR-1 revision B
    """)
    a, b = day.state.reports["SR-1"]
    assert a.reasons[0] == ("RW513", "question Q1 is open: do the floor fittings carry their ratings?")
    assert (b.reasons, b.released_by) == ((), "H. Orrest")
    assert day.state.report_of(OF).revision == "B"  # type: ignore[union-attr]


def test_a_frame_that_does_not_hold_is_reported_and_never_released(begin: Begin) -> None:
    weaker = 'allowable_ultimate = "2400 lbf" changed to allowable_ultimate = "100 lbf"'
    day = begin("ordered").play(f"""
        engineer compares every doubtful row with INVENTED-HANDBOOK-1
        lead freezes revision E with {weaker}
        engineer prepares report SR-1 of ER-47 rev E
        checker checks report SR-1 revision A
        checker releases report SR-1 revision A                      -> RW303
    """)
    assert any(code == "RW303" for code, _ in day.state.reports["SR-1"][0].reasons)

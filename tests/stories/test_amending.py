"""What was entered wrongly is corrected beside what was recorded, never in it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from unittest import mock

import small_shop as small
from papers.reading import flat, pages
from rackwright.record import Event, corrected, corrections
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.papers.first_article import first_article_set
from rackwright.work.papers.inspection import inspection_sheet
from rackwright.work.people.founding import add_person
from rackwright.work.stations.first_articles import first_article
from stories.conftest import Begin
from stories.shop import Day

READ = "inspector measures length of post.front-left of SN-1 with LB-2: 40.441 in"
RIGHT = "lead corrects event last measure, value 44.001 in: digits exchanged, sheet IS-3"


def _last(day: Day, type: str) -> Event:
    return [event for event in day.record.events() if event.type == type][-1]


def test_a_reading_is_corrected_with_the_verdict_that_follows_and_stays_as_recorded(begin: Begin) -> None:
    day = begin("made").play(READ)
    before = _last(day, "measure")
    assert not day.state.measured("SN-1/post.front-left")[-1].within
    day.play(RIGHT)
    [read] = day.state.measured("SN-1/post.front-left")
    assert (read.value, read.within, read.by) == ("44.001 in", True, "E. Lund")
    assert _last(day, "measure") == before, "the event is as it was"
    done = _last(day, "correction")
    assert (done.corrects, done.by, done.body["changes"]) == (before.seq, "A. Quill", [])
    for kind, name in (("piece", "SN-1/post.front-left"), ("gauge", "LB-2"), ("serial", "SN-1")):
        [told] = day.trace(kind, name)["corrections"]
        assert (told["corrects"], told["by"], told["reason"]) == (
            before.seq,
            "A. Quill",
            "digits exchanged, sheet IS-3",
        )
        assert "value: 40.441 in -> 44.001 in" in told["words"]
        assert "within: no -> yes" in told["words"]
    assert day.audit() == []


def test_what_is_not_corrected_is_refused(begin: Begin) -> None:
    day = begin("made").play(READ)
    day.play("""
        inspector corrects event last measure, value 44.001 in: mine          -> RW516
        lead corrects event last measure, value 44.001 in:                    -> RW517
        lead corrects event last measure: nothing is said                     -> RW517
        lead corrects event 9999, value 44.001 in: which                      -> RW503
        lead corrects event last measure, piece SN-2/post.front-left: wrong   -> RW551
        lead corrects event last measure, gauge CA-11: wrong                  -> RW551
        lead corrects event last measure, within yes: it fits                 -> RW551
        lead corrects event last measure, value forty: misread                -> RW551
        lead corrects event last measure, value 44.001 mm: misread            -> RW551
        lead corrects event last measure, value 4x in: misread                -> RW551
        lead corrects event last cut, kerf_nm 5: misread                      -> RW551
        lead corrects event last measure, late yesterday: on paper            -> RW551
        lead corrects event last approval_reference, document DA-2: wrong     -> RW551
        lead corrects event last person, roles lead: forgotten                -> RW551
        lead corrects event last cut, void: not cut                           -> RW551
        lead corrects event last measure, void: of another post
        lead corrects event last measure, void: again                         -> RW517
        lead corrects event last correction, value 1 in: which                -> RW551
        lead corrects event last correction, void: it was this post
    """)
    assert day.why("lead corrects event last measure, gauge").startswith("gauge of event")
    [read] = day.state.measured("SN-1/post.front-left")
    assert (read.value, read.within) == ("40.441 in", False), "the void one is void, so it stands again"
    assert day.audit() == []


def test_the_judge_reads_what_is_corrected_and_not_the_whole_history_for_each(begin: Begin) -> None:
    """Twice the corrections are twice the reading, not four times: counted, not timed."""
    day = begin("made").play(READ)
    read, sizes = [], []

    def counted(events: Iterable[Event]) -> list[Event]:
        every = list(events)
        read.append(len(every))
        return corrected(every)

    for n in range(8):
        day.play(f"lead corrects event last measure, value 44.00{n} in: misread, {n}")
        if n in (3, 7):
            read.clear()
            with mock.patch.object(corrections, "corrected", counted):
                assert in_hindsight(day.record.events()) == []
            sizes.append(sum(read))
    assert 0 < sizes[0] <= 4 * 5
    assert 0 < sizes[1] <= 8 * 9


def test_who_made_a_piece_does_not_correct_its_reading(begin: Begin) -> None:
    day = begin("made")
    add_person(
        small.station(day.record, "lead", day.date), "C. Vint", ["lead", "saw", "inspector"], again=True
    )
    day.play(f"""
        {READ}
        sawyer corrects event last measure, value 44.001 in: misread          -> RW516
        sawyer corrects event last measure, void: misread                     -> RW516
        {RIGHT}
    """)
    assert day.why("sawyer corrects") == "C. Vint made SN-1/post.front-left"


def test_a_correction_says_what_no_longer_follows_and_the_audit_finds_it(begin: Begin) -> None:
    day = begin("released")
    last = [
        event for event in day.record.events() if event.type == "measure" and "SN-1" in event.refs.serials
    ][-1]
    unit = last.body["value"].partition(" ")[2]
    day.play(f"lead corrects event {last.seq}, value 99999 {unit}: the sheet says so")
    [told] = _last(day, "correction").body["changes"]
    assert "(release) should have been refused" in told
    assert [line for line in day.audit() if "(release) should have been refused" in line]


def test_what_was_written_past_the_gate_is_found(begin: Begin) -> None:
    """A correction that gives the verdict, changes a name, or is of what decides, by whoever wrote it."""
    day = begin("made").play(f"{READ}\n{RIGHT}")
    history = day.record.events()
    assert in_hindsight(history) == []
    for change in (
        {"fields": {"piece": "SN-2/post.front-left"}},
        {"fields": {"value": "44.001 in"}},
        {"reason": " "},
    ):
        done = replace(history[-1], body={**history[-1].body, **change})
        assert in_hindsight([*history[:-1], done]), change
    old = {name: value for name, value in history[-1].body.items() if name != "changes"}
    assert in_hindsight([*history[:-1], replace(history[-1], v=1, body={**old, "reason": " "})]) == []


def test_an_event_made_void_past_the_gate_is_found_by_what_rests_on_it(begin: Begin) -> None:
    day = begin("made").play(f"{READ}\n{RIGHT}")
    *before, done = day.record.events()
    for type, body in (
        ("cut", {"void": True}),
        ("cut", {"fields": {"kerf_nm": 5}}),
        ("measure", {"fields": {"value": "4x in"}}),
    ):
        seq = next(event.seq for event in before if event.type == type)
        past = replace(done, corrects=seq, body={"reason": "so", "changes": [], **body})
        assert in_hindsight([*before, past]), (type, body)


def test_sheet_and_first_article_mark_the_corrected_reading(begin: Begin) -> None:
    """As recorded, as read, by whom and why, in one row; a void one stands under the table alone."""
    day = begin("made").play(f"{READ}\n{RIGHT}")
    first_article(small.station(day.record, "inspector", day.date), "SN-1", "full", "C", "first rack")
    seq = day.record.events()[-2].seq

    def sheet() -> str:
        events = day.record.events()
        made = inspection_sheet(
            small.design(), small.shop(), day.date, "SN-1", small.state(day.record), events=events
        )
        return flat(" ".join(pages(made)))

    why = f"A.Quill,{small.DAY}(event{seq}):digitsexchanged,sheetIS-3"
    assert "CORRECTED,recorded40.441in" in sheet()
    assert f"40.441in44.001in{why}" in sheet()
    said = flat(" ".join(pages(first_article_set(
        day.record.events(), "SN-1", small.design(), small.shop(), small.DAY))))  # fmt: skip
    assert f"CORRECTED,recorded40.441in,readas44.001in,by{why}" in said
    day.play("lead corrects event last correction, void: it was right")
    assert "CORRECTED" not in sheet(), "what is itself void corrects nothing"
    day.play("lead corrects event last measure, void: of another post")
    assert "CORRECTED" not in sheet()
    assert f"40.441invoidA.Quill,{small.DAY}" in sheet()
    plain = inspection_sheet(small.design(), small.shop(), day.date, "SN-2", small.state(day.record),
                             events=day.record.events())  # fmt: skip
    assert "Correctedreadings" not in flat(" ".join(pages(plain)))

"""A rack comes back, is worked on, and leaves again only when everything that was undone is done anew."""

from __future__ import annotations

import small_shop as small
import stories.service  # noqa: F401  (its sentences)
from rackwright.work.engineering.as_built import as_measured
from rackwright.work.office.due import due
from rackwright.work.serials.recalling import affected
from rackwright.work.service.effectivity import effectivity
from rackwright.work.service.maintained import as_maintained
from rackwright.work.service.standing import standing
from stories.conftest import Begin

LOW, HIGH = "joint.post.front-left.low.1", "joint.post.front-left.high.1"
HOLE = f"hole {HIGH}"

SECOND_POST = """
    sawyer issues T-02-R reading label T-02-R for post.front-left.2 of SN-1
    sawyer cuts T-02-R into post.front-left.2 44 in of SN-1, kerf 0.125 in, trim 0 in, rest 18.625 in
    assembler does fit_up on post.front-left.2 of SN-1
    assembler does drill on post.front-left.2 of SN-1
    assembler does take_apart on post.front-left.2 of SN-1
    assembler does deburr on post.front-left.2 of SN-1
    inspector measures all before coat of post.front-left.2 of SN-1
    assembler does pretreat on post.front-left.2 of SN-1
    assembler does coat on post.front-left.2 of SN-1 with lot PX-61
    lead records OS-3, oven survey, of the oven, due 2026-06-10
    assembler bakes post.front-left.2 of SN-1 by OS-3, oven log good
    inspector measures all after coat of post.front-left.2 of SN-1
"""


def test_a_rack_that_came_back_is_here_and_leaves_after_somebody_looked(begin: Begin) -> None:
    day = begin("released").play("""
        stores takes back SN-1 on 2026-03-10: never left                            -> RW517
        stores takes back SN-7 on 2026-03-10: never made                            -> RW503
        lead ships SN-1 to the hangar
        lead says that SN-1 flies in 0007
        assembler records rework W-1 on SN-1 by DWG-1, pieces post.front-left: it is away   -> RW517
        inspector puts SN-1 back to service after nothing                           -> RW517
        on 2026-06-01
        lead takes back SN-1 on 2026-06-01: coat flakes                             -> RW516
        stores takes back SN-1 on 2026-06-02: coat flakes                           -> RW517
        stores takes back SN-1 on 2026-06-01, many h in service: coat flakes        -> RW517
        stores takes back SN-1 on 2026-06-01, 1240.5 h in service: coat flakes
        stores takes back SN-1 on 2026-06-01: again                                 -> RW517
        lead ships SN-1 to the hangar                                               -> RW517
        lead says that SN-1 flies in 0007                                           -> RW517
        inspector puts SN-1 back to service after nothing                           -> RW517
        inspector records inspection W-1 on SN-1 by PS-9: nothing found
        inspector records inspection W-1 on SN-1 by PS-9: again                     -> RW517
        inspector puts SN-1 back to service after W-1                               -> RW516
        assembler puts SN-1 back to service after W-1                               -> RW516
        sawyer puts SN-1 back to service after nothing                              -> RW517
        sawyer puts SN-1 back to service after W-1
        sawyer puts SN-1 back to service after W-1                                  -> RW517
        lead ships SN-1 to the hangar
        lead says that SN-1 flies in 0008
    """)
    kept = day.state.service["SN-1"]
    assert (kept.back[0].hours, kept.back[0].whom, len(kept.back)) == ("1240.5", "the hangar", 1)
    assert kept.open_works == ()
    assert kept.cleared_by == small.PEOPLE["sawyer"]
    assert day.why("inspector puts SN-1 back to service after W-1") == "E. Lund did inspection W-1 on SN-1"
    assert day.why("assembler puts SN-1 back") == "F. Ansty tightened joints of SN-1"
    assert (day.state.serials["SN-1"].state, day.state.installed["SN-1"].aircraft) == ("shipped", "0008")
    assert day.audit() == []


def test_a_replaced_post_asks_its_joints_the_rack_and_the_scales_anew(begin: Begin) -> None:
    day = begin("released").play("lead ships SN-1 to the hangar", good=small.GOOD_BAKE).play(SECOND_POST)
    day.play("""
        on 2026-06-01
        lead replaces post.front-left of SN-1 by post.front-left.2: bent                       -> RW517
        stores takes back SN-1 on 2026-06-01: bent by a forklift
        lead replaces post.front-left of SN-1 by post.front-left.2: bent, lost                 -> RW517
        lead replaces post.front-left of SN-1 by post.front-left.2: bent, kept                 -> RW517
        lead replaces post.front-left of SN-1 by post.front-left.2: bent, scrapped             -> RW517
        lead replaces post.front-left of SN-1 by post.front-left.2: bent, scrapped; sawn through, seen by inspector
        sawyer puts SN-1 back to service after W-1                                             -> RW520
        inspector witnesses SN-1/post.front-left
        sawyer puts SN-1 back to service after W-1                                             -> RW521
        assembler tightens all that is loose of SN-1
        sawyer puts SN-1 back to service after W-1                                             -> RW550
        inspector measures the whole rack SN-1
        sawyer puts SN-1 back to service after W-1                                             -> RW522
        inspector weighs SN-1: 41.5 lb
        sawyer puts SN-1 back to service after W-1                                             -> RW522
        inspector weighs SN-1: 39.8 lb
        sawyer puts SN-1 back to service after W-1
    """)
    state = day.state
    old, new = (state.pieces[f"SN-1/post.front-left{end}"] for end in ("", ".2"))
    assert (old.state, old.fate, old.out_at[:10]) == ("replaced", "scrapped", "2026-06-01")
    assert new.piece in state.serials["SN-1"].pieces
    assert old.piece not in state.serials["SN-1"].pieces
    apart = next(e.body["joints"] for e in day.record.events() if e.type == "replace")
    assert (
        set(apart) == {bolt for bolt in state.serials["SN-1"].joints if ".post.front-left." in bolt} != set()
    )
    stored = {row["piece"] for row in state.serials["SN-1"].margins}
    assert new.piece in stored
    assert old.piece not in stored
    assert day.audit() == []


def test_a_repair_is_what_the_holder_accepted_and_nothing_else(begin: Begin) -> None:
    day = begin("released").play(f"""
        lead ships SN-1 to the hangar
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: a hole is worn
        assembler records repair W-2 on SN-1 by REP-7, pieces post.front-left: bushed               -> RW520
        assembler records repair W-2 on SN-1 by REP-7, pieces post.front-left; after NCR-5: bushed  -> RW503
        inspector raises NCR-5 on {HOLE} of post.front-left of SN-1: worn
        inspector raises NCR-6 on length of post.front-left of SN-2: of another rack
        assembler records repair W-2 on SN-1 by REP-7, pieces post.front-left; after NCR-6: bushed  -> RW517
        assembler records repair W-2 on SN-1 by REP-7, pieces post.front-left; after NCR-5: bushed  -> RW520
        inspector records inspection W-1 on SN-1 by PS-9: worn hole
        sawyer puts SN-1 back to service after W-1                                                  -> RW520
        lead decides repair on NCR-5: bush it, accepted in REP-7
        assembler records repair W-2 on SN-1 by REP-8, pieces post.front-left; after NCR-5: bushed  -> RW520
        assembler records repair W-2 on SN-1 by REP-7; after NCR-5: bushed                          -> RW517
        assembler records repair W-2 on SN-1 by REP-7, pieces no.1; after NCR-5: bushed             -> RW517
        assembler records mending W-2 on SN-1 by REP-7, pieces post.front-left: bushed              -> RW517
        assembler records repair W-2 on SN-1 by REP-7, pieces post.front-left; joints x.1; after NCR-5: bushed  -> RW503
        assembler records rework W-2 on SN-1 by DWG-1, pieces post.rear-left; dated 2026-06-02: deburred        -> RW517
        machinist records repair W-2 on SN-1 by REP-7, pieces post.front-left; after NCR-5: bushed  -> RW516
        assembler records repair W-2 on SN-1 by REP-7, pieces post.front-left; joints {HIGH}; after NCR-5: bushed
        sawyer puts SN-1 back to service after W-1                                                  -> RW517
        sawyer puts SN-1 back to service after W-1, W-2                                             -> RW517
        lead lifts hold NCR-5: repaired
        assembler tightens joint {HIGH} of SN-1
        inspector measures the whole rack SN-1
        sawyer puts SN-1 back to service after W-1, W-2                                             -> RW550
        assembler measures {HOLE} of post.front-left of SN-1 with HG-5: 42.1875 in                   -> RW516
        inspector measures {HOLE} of post.front-left of SN-1 with HG-5: 42.1875 in
        inspector weighs SN-1: 39.8 lb
        sawyer puts SN-1 back to service after W-1, W-2
    """)
    assert "NCR-5 is to be repaired by REP-7, not by REP-8" in "; ".join(day.no.values())
    assert [work.kind for work in day.state.service["SN-1"].works] == ["inspection", "repair"]
    assert day.audit() == []


def test_a_recoat_adds_oven_time_and_is_asked_from_the_strip_on(begin: Begin) -> None:
    day = begin("released").play("""
        lead ships SN-1 to the hangar
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: coat flakes
        assembler does coat on all that is coated of SN-2 with lot PX-61                           -> RW517
        assembler records strip W-1 on SN-1 by PS-4: all coat off                                  -> RW517
        assembler records strip W-1 on SN-1 by PS-4, pieces post.front-left; by way of media: off
        assembler does coat on post.front-left of SN-1 with lot PX-61                              -> RW518
        assembler records strip W-2 on SN-1 by PS-4, pieces post.front-left; by way of media: off  -> RW518
        assembler does pretreat on post.front-left of SN-1
        assembler does coat on post.front-left of SN-1 with lot PX-61
        sawyer puts SN-1 back to service after W-1                                                 -> RW550
        lead records OS-3, oven survey, of the oven, due 2026-06-10
        assembler bakes post.front-left of SN-1 by OS-3, oven log good
        sawyer puts SN-1 back to service after W-1                                                 -> RW550
        inspector measures all after coat of post.front-left of SN-1
        inspector weighs SN-1: 39.8 lb
        sawyer puts SN-1 back to service after W-1                                                 -> RW556
        inspector measures the whole rack SN-1
        sawyer puts SN-1 back to service after W-1
    """, good=small.GOOD_BAKE)  # fmt: skip
    post = day.state.pieces["SN-1/post.front-left"]
    assert len(post.bakes) == 2
    assert post.done[-3:] == ("pretreat", "coat", "bake")
    [back] = [event for event in day.record.events() if event.type == "back_to_service"]
    assert "min; Fty" in "; ".join(back.body["values"]["oven"].values())
    assert day.audit() == []


def test_oven_time_that_no_curve_covers_keeps_a_rack_from_service(begin: Begin) -> None:
    """The curves end at 100 hours. A bake that was refused heated the metal all the same, and is added once."""
    hot = "".join(f"{minute},385,385\n" for minute in range(30, 7000, 50))
    long = f"time_min,block_degF,post_degF\n0,70,70\n{hot}7010,90,90\n"
    never = "time_min,block_degF,post_degF\n0,70,70\n30,300,385\n60,300,385\n70,90,90\n"
    day = begin("released").play("""
        lead ships SN-1 to the hangar
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: coat flakes
        assembler records strip W-1 on SN-1 by PS-4, pieces post.front-left; by way of media: off
        assembler does pretreat on post.front-left of SN-1
        assembler does coat on post.front-left of SN-1 with lot PX-61
        lead records OS-3, oven survey, of the oven, due 2026-06-10
        assembler bakes post.front-left of SN-1 by OS-3, oven log never                                    -> RW519
        assembler bakes post.front-left of SN-1 by OS-3, oven log never                                    -> RW519
        assembler bakes post.front-left of SN-1 by OS-3, oven log long
        inspector measures all after coat of post.front-left of SN-1
        inspector measures the whole rack SN-1
        inspector weighs SN-1: 39.8 lb
        sawyer puts SN-1 back to service after W-1                                                 -> RW304
    """, long=long, never=never)  # fmt: skip
    assert "NOT ASSESSED" in day.why("sawyer puts SN-1 back")
    assert "lies beyond the curves" in day.why("sawyer puts SN-1 back")
    assert len(day.state.pieces["SN-1/post.front-left"].heated) == 3
    assert day.audit() == []


def test_a_heat_that_was_taken_out_is_told_as_it_was(begin: Begin) -> None:
    """Heat H9 flew in SN-1 from its post .2 to its post .3; SN-2 never had it."""
    third = SECOND_POST.replace("front-left.2", "front-left.3")
    day = begin("released").play("""
        stores receives T-09, 60 in, heat H9, Fty 40 ksi
        inspector accepts T-09
    """, good=small.GOOD_BAKE)  # fmt: skip
    second = (
        SECOND_POST.replace("T-02-R reading label T-02-R", "T-09")
        .replace("T-02-R", "T-09")
        .replace("rest 18.625 in", "rest 15.875 in")
    )
    tight = """
        assembler tightens all that is loose of SN-1
        inspector measures the whole rack SN-1
        inspector weighs SN-1: 39.8 lb
    """
    day.play(second).play("lead replaces post.front-left of SN-1 by post.front-left.2: bent").play(tight)
    day.play("sawyer puts SN-1 back to service after W-1").play("lead ships SN-1 to the hangar")

    def in_doubt() -> list[tuple[str, tuple[str, ...], bool]]:
        rows = affected(day.record.events(), day.state, "heat", "H9")
        return [(row.serial, row.pieces, row.only_was) for row in rows]

    assert in_doubt() == [("SN-1", ("SN-1/post.front-left.2",), False)]
    day.play(third).play("""
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: heat in doubt
        lead replaces post.front-left.2 of SN-1 by post.front-left.3 as W-2: heat in doubt, customer
    """).play(tight)
    assert in_doubt() == [("SN-1", (), True)]
    [row] = affected(day.record.events(), day.state, "heat", "H9")
    replaced = next(e.seq for e in day.record.events() if e.type == "replace" and e.body["work"] == "W-2")
    assert row.was == (f"SN-1/post.front-left.2 until 2026-06-01 (event {replaced}), with the customer",)
    assert (row.margin, row.place) == (None, "in the shop")
    shown = standing(day.record.events(), "SN-1", small.design(), day.record.get_file)
    [post] = [one for one in shown.pieces if one.changed]
    assert (post.place, post.piece) == ("post.front-left", "SN-1/post.front-left.3")
    assert post.built.startswith("H4471")
    assert len(post.was) == 2
    assert [row.about for row in due(day.state, "2026-06-01") if row.kind == "rack"] == ["SN-1"]
    assert day.audit() == []


def test_what_oven_time_takes_is_asked_with_the_rack_as_it_is(begin: Begin) -> None:
    """A bake of 60 hours at 385 degF leaves the tube less of Fty than the first one; each strength that follows it
    falls by the same share, and no margin is more than that of the other rack, which was baked once."""
    hot = "".join(f"{minute},385,385\n" for minute in range(30, 3600, 50))
    day = begin("released").play("""
        lead ships SN-1 to the hangar
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: coat flakes
        assembler records strip W-1 on SN-1 by PS-4; by way of media: off
        assembler does pretreat on all that is coated of SN-1
        assembler does coat on all that is coated of SN-1 with lot PX-61
        lead records OS-3, oven survey, of the oven, due 2026-06-10
        assembler bakes all that is coated of SN-1 by OS-3, oven log long
    """, long=f"time_min,block_degF,post_degF\n0,70,70\n{hot}3610,90,90\n")  # fmt: skip
    state, get = day.state, day.record.get_file
    one, other = (as_maintained(state, small.design(), serial, get) for serial in ("SN-1", "SN-2"))
    tube = next(row for row in one.heated if "tube" in row.material)
    assert [len(row.bakes) for row in one.heated] == [2] * len(one.heated)
    fty = next(down for down in tube.down if down.name == "Fty")
    assert fty.share is not None
    assert 0.5 < fty.share < 0.9
    rows = small.design().rack.rows.materials, one.design.proven.rows.materials
    drawn, left = (every[tube.material] for every in rows)
    for name in ("Fty", "Fcy", "Fbry_15"):
        was = getattr(drawn, name) if name != "Fty" else drawn.strength("Fty")
        now = getattr(left, name) if name != "Fty" else left.strength("Fty")
        assert was is None or abs(now / was - fty.share) < 1e-12
    built = as_measured(state, small.design(), "SN-1", None)
    pairs = zip(built.strength.margins, one.design.strength.margins, strict=True)
    less = [(a.margin, b.margin) for a, b in pairs if a.margin is not None and b.margin is not None]
    assert all(b <= a + 1e-12 for a, b in less)
    assert any(b < a - 1e-3 for a, b in less)
    assert as_measured(state, small.design(), "SN-2", get).left == other.design.left
    once = {(down.material, down.name): down.share for row in other.heated for down in row.down}
    assert all(0.9 < share <= 1 for share in once.values() if share is not None)


def test_which_racks_are_still_at_their_revision(begin: Begin) -> None:
    day = begin("released").play(f"""
        lead ships SN-1 to the hangar
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: worn
        inspector raises NCR-5 on {HOLE} of post.front-left of SN-1: worn
        lead decides repair on NCR-5: bush it, accepted in REP-7
        lead red-lines post.front-left of SN-2 as RL-1, anew drill                                 -> RW517
        lead red-lines post.front-left of SN-1 as RL-1; measure length
    """)
    one, two = effectivity(day.state, small.revision())
    assert (one.at_it, one.state, one.departs) == (
        False,
        "back",
        (
            "red line RL-1 (ECO-5): slot 1/8 in lower",
            "NCR-5 repair (REP-7): worn",
        ),
    )
    assert (two.at_it, two.departs) == (True, ())
    assert [row.at_it for row in effectivity(begin("released").state, small.revision())] == [True, True]
    assert [row.at_it for row in effectivity(begin("assembled").state, small.revision())] == [False, False]


def test_who_has_the_rack_swaps_its_boxes(begin: Begin) -> None:
    day = begin("released").play("""
        lead swaps the radio tray of SN-1 for 20 lb by the customer                                  -> RW517
        lead ships SN-1 to the hangar
        lead swaps the radio tray of SN-1 for 20 lb by the shop                                      -> RW517
        lead swaps the radio tray of SN-1 for 20 lb by the moon                                      -> RW517
        lead swaps the radio tray of SN-2 for 20 lb by the customer                                  -> RW517
        lead swaps the radio tray of SN-1 for 20 lb by the customer, on 2026-03-11                   -> RW517
        inspector swaps the radio tray of SN-1 for 20 lb by the customer                             -> RW516
        lead swaps the radio tray of SN-1 for 20 lb by the customer, on 2026-03-10
        on 2026-06-01
        stores takes back SN-1 on 2026-06-01: to be fitted anew
        lead swaps the radio tray of SN-1 for 21 lb by the customer                                  -> RW517
        lead swaps the radio tray of SN-1 for 21 lb by the shop
    """)
    assert day.state.carried["SN-1"]["radio tray"].by_whom == "shop"
    assert day.audit() == []

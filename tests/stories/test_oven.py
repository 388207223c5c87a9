"""The oven: the clock of a cure starts when the metal is hot, an interruption starts it again, and its survey is
the record's."""

from __future__ import annotations

from stories.conftest import Begin

# powder PX-21 asks for 15 minutes above 375 degF, or 20 above 356, in one go, measured on the metal
INTERRUPTED = """time_min,block_degF,post_degF
0,70,70
30,380,382
40,380,382
45,300,296
55,380,382
62,380,382
80,90,85
"""
WHOLE = """time_min,block_degF,post_degF
0,70,70
30,380,382
46,380,382
60,90,85
"""
AIR_ONLY = """time_min,block_degF,post_degF
0,70,70
10,240,380
40,352,380
50,90,85
"""


def test_an_interrupted_bake_is_baked_again(begin: Begin) -> None:
    day = begin("made").play("""
        assembler does pretreat on post.front-left of SN-1
        assembler bakes post.front-left of SN-1, oven log INTERRUPTED      -> RW518
        assembler does coat on post.front-left of SN-1 with lot PX-61
        assembler bakes post.front-left of SN-1, oven log WHOLE                     -> RW519
        lead records OS-3, oven survey, of the oven, due 2026-06-10
        assembler bakes post.front-left of SN-1, oven log INTERRUPTED               -> RW512
        assembler bakes post.front-left of SN-1 by OS-3, oven log INTERRUPTED       -> RW519
        on 2026-06-11
        assembler bakes post.front-left of SN-1 by OS-3, oven log LATER             -> RW512
        lead records OS-3, oven survey, of the oven, due 2026-12-10
        assembler bakes post.front-left of SN-1 by OS-3, oven log LATER
    """, INTERRUPTED=INTERRUPTED, WHOLE=WHOLE, LATER=WHOLE)  # fmt: skip
    [baked] = [event for event in day.record.events() if event.type == "bake"]
    assert day.state.pieces["SN-1/post.front-left"].done[-3:] == ("pretreat", "coat", "bake")
    assert day.record.get_file(baked.refs.files[0]).decode() == WHOLE
    assert [e.body["code"] for e in day.record.events() if e.type == "refusal"] == [
        "RW518", "RW519", "RW512", "RW519", "RW512"]  # fmt: skip
    assert day.why("assembler bakes post.front-left of SN-1, oven log WHOLE").startswith(
        "bake: no oven survey is in the"
    )
    assert day.audit() == []


def test_hot_tube_and_cold_block_is_no_cure(begin: Begin) -> None:
    day = begin("made").play("""
        assembler does pretreat on block.top.front-left of SN-1
        assembler does coat on block.top.front-left of SN-1 with lot PX-61
        assembler does bake on block.top.front-left of SN-1                -> RW519
        lead records OS-3, oven survey, of the oven, due 2026-06-10
        assembler bakes block.top.front-left of SN-1 by OS-3, oven log AIR_ONLY     -> RW519
        assembler does bond_pads on block.top.front-left of SN-1           -> RW518
    """, AIR_ONLY=AIR_ONLY)  # fmt: skip
    assert "at 356 degF metal the longest window was 0.0 min of 20 min" in day.why("assembler bakes")
    assert day.why("assembler does bake on") == "the bake has no thermocouple record"
    assert "bake" not in day.state.pieces["SN-1/block.top.front-left"].done

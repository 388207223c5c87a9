"""What a rack owes as evidence before it is released, told as a day in the shop.

The frozen definition asks how powder and sealant burn, the bond, the pretreatment, the fit of the points; the lead
writes down what a customer asks besides.
"""

from __future__ import annotations

import small_shop as small
import stories.office  # noqa: F401  (its sentences)
from rackwright.papers.table import Table, Text
from rackwright.work.office.due import due
from rackwright.work.papers.evidence import evidence_blocks
from rackwright.work.quality.noting import add_supplier
from rackwright.work.serials.evidence import POINTS, standing_of
from rackwright.work.stations.making import receive_back, send_out
from stories.conftest import Begin
from stories.shop import Day

POWDER, SEALANT = small.BURNS


def stands(day: Day, serial: str = "SN-1") -> dict[str, str]:
    return {one.owed.evidence: one.words for one in standing_of(day.state, serial)}


def test_the_list_is_frozen_with_the_definition_and_fills_as_the_rack_is_made(begin: Begin) -> None:
    day = begin("made")
    assert list(stands(day)) == [*small.BURNS, "pretreatment", "bonding", "fit check", "test joint bending"]
    missing = [name for name, words in stands(day).items() if words.startswith("MISSING")]
    assert missing == list(stands(day))[:-1]
    assert stands(day)["fit check"] == f"MISSING: {POINTS} are not measured"
    waits = [(one.about, one.words) for one in due(day.state, day.date) if one.kind == "evidence"]
    assert waits == [(small.ORDER, f"{name}, for SN-1, SN-2") for name in small.BURNS]
    whole = begin("assembled")
    assert not any(words.startswith("MISSING") for words in stands(whole).values())
    assert "BM-4" in stands(whole)["bonding"]
    coated = len(small.coated_pieces("SN-1"))
    assert stands(whole)["pretreatment"] == f"pretreat: the shop's own step on {coated} pieces"


def test_a_rack_is_not_released_while_evidence_is_missing_or_did_not_pass(begin: Begin) -> None:
    day = begin("assembled").play(f"""
        lead owes passivation for the order: each lot of {spec()}, process passivate
        lead owes proof load for the order: each serial
        inspector releases SN-1                                                             -> RW556
        inspector has evidence PL-1 of proof load, for the revision                         -> RW517
        inspector has evidence PL-1 of proof load, for SN-1
        inspector has evidence PC-1 of passivation, for lot {heat()}
        inspector has evidence FT-2 of {POWDER}, for the revision, which did not pass: it dripped
        inspector releases SN-1                                                             -> RW556
        inspector has evidence FT-3 of {POWDER}, for lot PX-61
        inspector releases SN-1
        inspector releases SN-2                                                             -> RW556
    """)
    assert day.why("inspector releases SN-1") == (
        f"SN-1 lacks evidence: {POWDER} (FT-2 of {small.DAY} did not pass: it dripped)"
    )
    assert day.why("inspector releases SN-2") == (
        "SN-2 lacks evidence: proof load (nothing in the record covers SN-2)"
    )
    assert day.audit() == []


def test_what_the_lead_says_is_not_owed_stays_on_the_list_with_reason_and_document(begin: Begin) -> None:
    day = begin("made").play(f"""
        sawyer says {POWDER} is not owed by the order, MAIL-9: no occupied compartment      -> RW516
        lead says tea is not owed by the order, MAIL-9: no tea                              -> RW503
        lead says {POWDER} is not owed by the order, MAIL-9: no occupied compartment
    """)
    assert stands(day)[POWDER] == "not owed: no occupied compartment, MAIL-9, by A. Quill"
    [table] = [block for block in evidence_blocks(day.state, "SN-1") if isinstance(block, Table)]
    assert next(row for row in table.rows if row[0] == POWDER)[4] == stands(day)[POWDER]
    [said] = [block for block in evidence_blocks(day.state, "SN-1") if isinstance(block, Text)]
    assert POWDER not in said.text
    assert SEALANT in said.text


def test_outside_work_that_came_with_its_certificate_stands_for_its_process(begin: Begin) -> None:
    rings, processor = small.pieces_of("SN-1", "ring"), "Fell Passivators (invented)"
    day = begin("made").play(f"lead owes passivation for the order: each lot of {spec()}, process passivate")
    stores = small.station(day.record, "stores")
    add_supplier(small.station(day.record, "lead"), processor, ["passivate"])
    send_out(stores, processor, "passivate", rings, "DN-7")
    receive_back(stores, processor, "passivate", rings[1:], rings[:1], "CP-7")
    assert stands(day)["passivation"] == f"MISSING: passivate of {rings[0]} is not recorded"
    receive_back(stores, processor, "passivate", rings[:1], (), "CP-8")
    assert stands(day)["passivation"] == "passivate: certificate CP-8, CP-7"
    assert stands(day, "SN-2")["passivation"].startswith("MISSING: passivate of SN-2/ring.")


def test_bad_evidence(begin: Begin) -> None:
    day = begin("made").play(f"""
        lead owes passivation for the order: each lot of {spec()}, process passivate
        lead owes passivation for the order: each week                                      -> RW517
        lead owes passivation for the order: each lot                                       -> RW517
        lead owes passivation for nothing: each serial                                      -> RW517
        lead owes passivation for the order: each nothing                                   -> RW517
        stores has evidence FT-9 of {POWDER}, for SN-1                                      -> RW516
        inspector has evidence FT-9 of {POWDER}, for nothing                                -> RW517
        inspector has evidence FT-9 of {POWDER}, for revision Z                             -> RW514
        inspector has evidence FT-9 of {POWDER}, for SN-7                                   -> RW503
        inspector has evidence FT-9 of {POWDER}, for lot PX-77                              -> RW503
        inspector has evidence FT-9 of {POWDER}, for lot LB-61                              -> RW517
        inspector has evidence FT-9 of bonding, for lot LB-61                               -> RW517
        inspector has evidence FT-9 of tea, for SN-1                                        -> RW503
        inspector has evidence FT-9 of {POWDER} dated 2031-01-01, for SN-1                  -> RW517
        inspector has evidence FT-9 of {POWDER}, for SN-1, without its paper                -> RW517
        inspector has evidence FT-9 of {POWDER}, for SN-1, which did not pass:              -> RW517
    """)
    refused = [event.body for event in day.record.events() if event.type == "refusal"]
    assert next(body for body in refused if "tea" in body["found"])["do"].startswith(
        f"owed are: {POWDER}; {SEALANT};"
    )
    assert day.audit() == []


def spec() -> str:
    return next(piece.stock for piece in small.design().pieces.made if piece.kind == "ring")


def heat() -> str:
    return next(item.heat for item in small.items() if item.stock == spec())

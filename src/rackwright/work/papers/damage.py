"""Damage limits, as a draft of instructions for continued airworthiness for the approval holder to judge.

Limits are those of `strength.damage`, cut off on the safe side. What was not computed says NOT ASSESSED: intervals,
fatigue, corrosion. No words of this paper are approved, and none are filled in for the holder.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil, floor

from rackwright.design import Design
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import BLANK, Block, Facts, Items, Section, Table, Text
from rackwright.shop import Shop
from rackwright.strength.damage import DamageLimit
from rackwright.trouble import Refusal, Stopped
from rackwright.work.papers.words import head, in_unit, ms, must_fit, number

__all__ = ["damage_draft"]

NOT_ASSESSED = "NOT ASSESSED"
NO_LIMIT = "the search ended there: not a permission"


def damage_draft(design: Design, shop: Shop | None, date: str, demo: bool = False) -> bytes:
    """PDF. Raises Stopped: a design's faults; RW304 where there are no margins to judge damage by."""
    must_fit(design)
    limits, _ = design.damage
    if not limits:
        raise Stopped([Refusal("RW304", design.rack.where("basis"), "no margins, so no limits of damage",
                               "enter [basis] and [aircraft] with their documents")])  # fmt: skip
    d = design.rack.definition
    return set_station_sheet(StationSheet(
        head(design, shop, "Damage limits, draft", f"{d.part}-DL", date, demo),
        Facts((
            ("Rack", f"{d.part} revision {d.revision}: {d.title}"),
            ("What this is", "a draft towards instructions for continued airworthiness, for the holder of the design "
             "approval to judge, complete and issue"),
            ("Fatigue", f"{NOT_ASSESSED}: no spectrum of repeated loads is known to this program"),
            ("Inspection intervals", f"{NOT_ASSESSED}: {BLANK}"),
        )),
        (
            Section("Limits", tuple(_limits(limits))),
            Section("One bolt missing", tuple(_bolts(design))),
            Section("What these limits stand on", (Items((
                "One kind of damage at a time, on every part of its kind at once, all round and over the whole length; "
                "two kinds together are not looked at.",
                "Forces of the intact rack under the cases of its strength report; static strength alone.",
                "A crack is not damage within these limits: a cracked part is taken out of service.",
                "A bolt hole is judged by what its metal bears: play of the bolt in it, slip of the joint under "
                f"changing loads and the frame softened by it are {NOT_ASSESSED}. A bolt that is loose in its hole "
                "is no damage within these limits.",
                f"Corrosion, wear of straps and fittings, loose bolts, heat: {NOT_ASSESSED}.",
            )),)),
        ),
        cautions=("Beyond a limit, or where in doubt: take the rack out of service and ask the approval holder.",),
        signatures=("For the holder of the design approval",),
    ))  # fmt: skip


def _limits(limits: tuple[DamageLimit, ...]) -> Iterator[Block]:
    rows = []
    for one in limits:
        if one.limit.value is None:
            rows.append((one.what, _inches(one.nominal), "none: repair or replace", one.limit.governing))
            continue
        value = _cut(one.limit.value, one.least)
        if one.limit.beyond is None:
            way = "down" if one.least else "up"
            rows.append((one.what, _inches(one.nominal), f"no limit found {way} to {value}", NO_LIMIT))
            continue
        word = "at least" if one.least else "at most"
        rows.append((one.what, _inches(one.nominal), f"{word} {value}", one.limit.governing))
    yield Table(
        "", ("what is measured", "as drawn", "limit", "governing check"), tuple(rows), align="lrrl",
        widths=(2.4, 1, 1.5, 2.6),
        note="Limits are cut off on the safe side to a thousandth of an inch; at the limit every margin is zero or "
        "more, a thousandth of its value beyond it one is not.",
    )  # fmt: skip


def _bolts(design: Design) -> Iterator[Block]:
    _, bolts = design.damage
    held = [one for one in bolts if one.holds]
    how_many = f"{len(held)} hold" if held else "none holds"
    yield Text(
        f"Of {len(bolts)} tube ends {how_many} with any one of their bolts missing, under the forces of the intact "
        f"rack. {'Everywhere else a' if held else 'A'} missing bolt is replaced before flight."
    )
    if held:
        yield Table("", ("tube end", "M.S.", "governing check"),
                    tuple((one.joint, ms(one.margin), one.check) for one in held), align="irl")  # fmt: skip
    for why in dict.fromkeys(one.why for one in bolts if one.why):
        yield Text(f"The others: {why}.", "note")
    yield Text(f"A bolt missing at a shelf, rail, ring, pad or item: {NOT_ASSESSED}.")


def _inches(m: float) -> str:
    return in_unit(m, "in", 4)


def _cut(m: float, least: bool) -> str:
    steps = m / 0.0254 * 1e3
    return f"{number((ceil(steps - 1e-6) if least else floor(steps + 1e-6)) / 1e3, 3)} in"

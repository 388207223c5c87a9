"""The placard as a draft: what each place may carry at most, how high its centre may lie, and on which conditions.

The masses are those that hold all at once, whatever else stays at home (`strength.inverse.together`), cut off downward.
A draft: the words and their place on the rack are the approval holder's, and no computed state fills a signature.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from rackwright.design import Design
from rackwright.papers.station_sheet import StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Items, Section, Table, Text
from rackwright.shop import Shop
from rackwright.strength.inverse import Payload, Stretch, Together
from rackwright.trouble import PRELIMINARY, Refusal, Stopped
from rackwright.units import unit_factor
from rackwright.work.papers.words import head, in_unit, must_fit, number

__all__ = ["placard", "placard_blocks"]

POUND = float(unit_factor("lb"))


def placard(design: Design, shop: Shop | None, date: str, demo: bool = False) -> bytes:
    """PDF. Raises Stopped: a design's faults; RW303 where not even an empty rack holds, or it has no equipment."""
    must_fit(design)
    found = design.together
    if found is None or found.most.value is None:
        why = "nothing is carried" if found is None else f"no payload holds: {found.most.governing}"
        raise Stopped([Refusal("RW303", design.rack.where("equipment"), why, "see `rackwright prove`")])
    d, missing = design.rack.definition, design.batch.missing
    more = (PRELIMINARY,) if missing and PRELIMINARY not in design.marks else ()
    cautions = [
        f"{len(missing)} margins are missing and not counted here: {', '.join(one.id for one in missing[:4])}"
        f"{' and more' if len(missing) > 4 else ''}."
    ] if missing else []  # fmt: skip
    return set_station_sheet(StationSheet(
        head(design, shop, "Placard, draft", f"{d.part}-PL", date, demo, more),
        Facts((
            ("Rack", f"{d.part} revision {d.revision}: {d.title}"),
            ("Aircraft", f"{d.aircraft.type}; {d.aircraft.document or 'no document'}" if d.aircraft else "not stated"),
            ("Basis", f"14 CFR {d.basis.rule} as amended by {d.basis.amendment}; {d.basis.document}" if d.basis
             else "not entered"),
        )),
        (
            Section("What the rack may carry", tuple(_carried(design, found))),
            Section("How the masses were found", tuple(placard_blocks(design))),
        ),
        cautions=tuple(cautions),
        answer=f"All together at most {pounds(found.most.value)} of equipment.",
        signatures=("For the holder of the design approval",),
    ))  # fmt: skip


def _carried(design: Design, found: Together) -> Iterator[Block]:
    d = design.rack.definition
    rows = []
    for item in d.equipment:
        where = f"shelf {item.on_shelf.shelf}" if item.on_shelf else "rails"
        rows.append((where, item.name, pounds(found.each[item.name]), in_unit(item.cg[2] * 1e-9, "in", 2)))
    yield Table(
        "", ("place", "item", "total mass at most", "centre above its bottom at most"), tuple(rows), align="llrr",
        note="As on the scales: tolerance included. Masses are cut off downward to a hundredth of a pound.",
    )  # fmt: skip
    yield Items((
        "In plan each centre of gravity lies where the definition has it, within the tolerance stated there.",
        f"Every strap is fitted: {len(d.strap)} straps, tensions within the range of the drawing.",
        "Nothing else is fixed to the rack; what is not aboard leaves its place empty.",
    ))  # fmt: skip


def placard_blocks(design: Design) -> Iterator[Block]:
    """Largest masses, together and each alone, with the checks that govern; for the dossier as well."""
    found, alone = design.together, design.payloads
    if found is None:
        yield Text("The definition has no equipment.")
        return
    if found.most.value is None:
        yield Text(f"No payload holds: {found.most.governing}.")
        return
    low = ", their centres at the mounting face" if found.low else ""
    yield Text(
        f"All items grown by one factor: {pounds(found.most.value)} hold, a thousandth more does not. The check that "
        f"governs is {found.most.governing}, with {', '.join(found.aboard) or 'nothing'} aboard{low}. {found.choices} "
        "choices were judged: items aboard or not, centres as defined or at the mounting face."
    )
    yield Table(
        "Each alone, all else as defined",
        ("place", "now", "largest", "governing check"),
        tuple((one.place.partition(".")[2], in_unit(one.now, "lb", 2), pounds(one.most.value), _check(one.most))
              for one in alone),
        align="lrrl",
        widths=(2, 1, 1, 3),
        note="Not to be used at once: the table above is for that. Between the values judged nothing is proven.",
    )  # fmt: skip
    low_ends: list[Payload] = [one for one in alone if one.lowest]
    if low_ends:
        yield Text(f"Lighter does not hold either: {', '.join(one.place for one in low_ends)}.", "caution")


def pounds(kg: float | None) -> str:
    """A largest mass, cut off downward."""
    return "none" if kg is None else f"{number(floor(100 * kg / POUND) / 100, 2)} lb"


def _check(one: Stretch) -> str:
    return "no end found" if one.value is not None and one.beyond is None else one.governing

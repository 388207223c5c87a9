"""The dossier's page for the installer: where the rack meets the floor, what it does there, and every strap's chain.

Forces are those of the rack on the aircraft, in aircraft axes, limit and ultimate apart.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.papers.table import Block, Section, Table, Text
from rackwright.pieces.fit import equipment_boxes
from rackwright.rack.orient import SIGNS
from rackwright.strength.checks.clearance import MODE as CLEARANCE
from rackwright.strength.interface import Place, places
from rackwright.work.papers.words import force, in_unit, ms, short_names

__all__ = ["installer_sections"]


def installer_sections(design: Design) -> tuple[Section, ...]:
    return (Section("For the installer: places, forces and chains", tuple(_blocks(design)), new_page=True),)


def _blocks(design: Design) -> Iterator[Block]:
    found = places(design.rack, design.strength)
    if not found:
        yield Text("There are no forces: the basis or the orientation is missing.")
        return
    stated = all(one.station is not None for one in found)
    yield Text(
        SIGNS
        + ("" if stated else " The rack's origin in the aircraft is not stated: places are in rack axes.")
    )
    yield _table_of_places(found, stated)
    for level in ("ultimate", "limit"):
        rows = tuple(_row(one, level) for one in found if level in one.largest)
        if rows:
            yield Table(
                f"Largest force of the rack at each place, {level} load, lbf, aircraft axes",
                ("place", "case, pretension", "x forward", "y left", "z up"),
                rows,
                align="ilrrr",
                note="At the factors of the case, no special factor in it; all cases stand with the floor forces.",
            )
    if not any("limit" in one.largest for one in found):
        yield Text("There is no limit case, so there are no limit forces.", "note")
    yield from _chains(design)
    yield from _kept_free(design)


def _kept_free(design: Design) -> Iterator[Block]:
    """What stays free around every item, in rack axes, and the clearance left in the deflected rack."""
    margins = {one.id: one for one in design.strength.margins if one.mode == CLEARANCE}
    rows = []
    for item in design.rack.definition.equipment:
        boxes, least = (
            dict(equipment_boxes(design.rack, item)),
            margins.get(f"equipment.{item.name}/clearance"),
        )
        for n, one in enumerate(item.keep_out):
            box = boxes[f"equipment.{item.name}.keep_out.{n}"]
            spans = (
                f"{in_unit(lo * 1e-9, 'in', 2, unit=False)} to {in_unit(hi * 1e-9, 'in', 2, unit=False)}"
                for lo, hi in zip(box.lo, box.hi, strict=True)
            )
            judged = (
                "on the ground only" if one.kind == "removal path" else ms(least.margin) if least else "–"
            )
            rows.append((item.name, one.kind or "not stated", *spans, judged))
    if not rows:
        yield Text(
            "No keep-out box is stated: what connectors, cables, air and removal need is not known.", "note"
        )
        return
    nearest = [f"{name.removeprefix('equipment.').removesuffix('/clearance')}: {one.place}, {one.case}"
               for name, one in margins.items() if one.place]  # fmt: skip
    yield Table(
        "What stays free around the items, in, rack axes",
        ("item", "for", "x", "y", "z", "least M.S. of the item"),
        tuple(rows),
        align="llrrrr",
        note="From the rack's lower front left corner. The margin is that of the nearest of its body and boxes, in "
        f"the deflected rack: the load multiplier, less one, at which they touch. {'; '.join(nearest)}. A removal path "
        "may reach out of the rack.",
    )


def _table_of_places(found: tuple[Place, ...], stated: bool) -> Table:
    """A document that states every place stands once, below."""
    names = ("station", "buttock line", "waterline") if stated else ("x", "y", "z")
    documents = [one.document or "no document" for one in found]
    apart = len(set(documents)) > 1
    rows = []
    for one, document in zip(found, documents, strict=True):
        at = one.at if one.station is None else one.station
        numbers = (in_unit(float(v), "in", 2, unit=False) for v in at)
        rows.append((one.name, *numbers, one.what, *((document,) if apart else ())))
    return Table(
        "Places on the floor, in",
        ("place", *names, "what is there", *(("document",) if apart else ())),
        tuple(rows),
        align="irrrl" + "l" * apart,
        widths=(1.7, 1, 1, 1, 2.6, *((2.6,) if apart else ())),
        note="" if apart else f"Stated by: {documents[0]}.",
    )


def _row(one: Place, level: str) -> tuple[str, ...]:
    largest = one.largest[level]
    return (one.name, f"{largest.case}, {largest.pretension}", *force(largest.force))


def _chains(design: Design) -> Iterator[Block]:
    chains = design.strength.chains
    if not chains:
        return
    marks = short_names("S", tuple(one.strap for one in chains))
    rows = []
    for one in chains:
        gone = ", ".join(one.unrated)
        rows.append(
            (marks[one.strap], one.strap, one.weakest or "none has a margin", ms(one.margin), gone or "–")
        )
    yield Table(
        "Weakest link of every strap's chain, ring to track, at ultimate",
        ("mark", "strap", "weakest link", "M.S.", "links without a margin"),
        tuple(rows),
        align="lllrl",
        widths=(0.6, 1.6, 2.6, 0.7, 2),
    )
    cases = [case for case, _, _ in chains[0].by_case]
    by = {(one.strap, case): (id, margin) for one in chains for case, id, margin in one.by_case}
    yield Table(
        "The same in each case",
        ("case", "strap", "weakest link and its M.S."),
        tuple((case, marks[one.strap], f"{id} {ms(margin)}") for case in cases for one in chains
              for id, margin in [by[one.strap, case]] if margin < 5),
        align="ill",
        note="Chains whose weakest link has a margin of 5 or more in a case are left out of that case.",
    )  # fmt: skip

"""Labels for what leaves the saw: one for each piece, one for each remnant that goes back to the rack.

A label carries a heat, so a bar that is still to be bought gives none: they are printed when it is received.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rackwright.design import Design
from rackwright.making.sawing.cut_sheet import CutBar, CuttingPlan
from rackwright.papers.house import Head
from rackwright.papers.labels import Label, set_labels
from rackwright.papers.lengths import length
from rackwright.plan import Plan
from rackwright.record import State, Stock
from rackwright.record.metal import GONE
from rackwright.seal import SignedHead
from rackwright.shop import Shop
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.metal.sawing import piece_id
from rackwright.work.papers.saw import order_head, rack_name, remnant_id
from rackwright.work.papers.words import DEMO, definition_hash

__all__ = ["label_list", "labels", "serial_labels", "stock_labels"]

NOT_GIVEN = "serial not given"


def labels(
    plan: Plan,
    design: Design,
    order: str,
    serials: Sequence[str],
    date: str,
    demo: bool = False,
    skip: int = 0,
) -> bytes:
    """Sheets of labels, PDF, in the order of cutting; the first `skip` places of the first sheet stay free.

    Without serials the labels say so and name the rack by its number. Raises Stopped: RW701 when no label can be
    made, because every bar is still to be bought.
    """
    head = order_head(plan, "Labels", f"{order}-LABELS" if order else "LABELS", order, date, demo)
    made = label_list(plan, design, order, serials, head.marks)
    if not made:
        found = "no label can be made: every bar is still to be bought, so no heat is known"
        raise Stopped(
            [Refusal("RW701", Where("labels"), found, "give the stock, or print them at receiving")]
        )
    return set_labels(made, head, skip=skip)


def serial_labels(
    state: State, serial: str, design: Design, shop: Shop, date: str, witness: SignedHead | None = None
) -> bytes:
    """Labels for the sawn pieces of a serial as the record has them, and one with the head of the record that the run
    carries. Raises Stopped (RW701) where none is cut yet."""
    rack, unit = state.serials[serial], shop.style.unit
    d, demo = design.rack.definition, (DEMO,) if state.demo else ()
    made = []
    for piece in design.pieces.sawn:
        one = state.pieces.get(piece_id(serial, piece.id))
        if one is None or one.state in ("scrapped", "replaced"):
            continue
        row, stock = design.rack.rows.materials.get(piece.material), state.stock.get(one.stock_id)
        values = (stock.certificate or {}).get("values", {}) if stock else {}
        alloy = "-".join(filter(None, (row.alloy if row else "", values.get("temper", ""))))
        made.append(Label("PIECE", one.piece, one.heat, f"{alloy} {piece.section}, {piece.stock}".strip(),
                          f"{length(one.length_nm, unit)} {unit}", piece.part, serial, rack.order,
                          f"from {one.stock_id}", demo))  # fmt: skip
    if not made:
        found = f"no sawn piece of {serial} is in the record"
        raise Stopped([Refusal("RW701", Where("labels"), found, "cut its pieces first")])
    if witness is not None:
        made.append(
            Label("RECORD", f"{serial}-LABELS", "", "", "", d.part, serial, rack.order, witness.words, demo)
        )
    head = Head(shop.name, "Labels", f"{serial}-LABELS", d.revision, date, definition_hash(design), demo)
    return set_labels(tuple(made), head)


def stock_labels(
    state: State, ids: Sequence[str], shop: Shop, date: str, witness: SignedHead | None = None
) -> bytes:
    """Labels for stock that is there, to be put on it when it comes in or where one was lost, and one with the head."""
    gone = [id for id in ids if state.stock[id].state in GONE]
    if gone:
        found = f"{', '.join(gone)} is {state.stock[gone[0]].state}"
        raise Stopped([Refusal("RW701", Where("labels"), found, "name stock that is there")])
    demo = (DEMO,) if state.demo else ()
    made = [_of_stock(state.stock[id], shop.style.unit, demo) for id in ids]
    name = f"{ids[0]}-LABELS"
    if witness is not None:
        made.append(Label("RECORD", name, "", "", "", note=witness.words, marks=demo))
    return set_labels(tuple(made), Head(shop.name, "Labels", name, "-", date, "", demo))


def _of_stock(stock: Stock, unit: str, marks: tuple[str, ...]) -> Label:
    kind = "REMNANT" if stock.parent else "LOT" if stock.lot else "PLATE" if stock.outline else "BAR"
    long = f"{length(stock.length_nm, unit)} {unit}" if stock.length_nm else ""
    temper = (stock.certificate or {}).get("values", {}).get("temper", "")
    material = " ".join(filter(None, (temper, stock.section, stock.stock_spec)))
    note = f"rest of {stock.parent}" if stock.parent else stock.place and f"place {stock.place}"
    return Label(kind, stock.stock_id, stock.heat or stock.lot, material, long, note=note, marks=marks)


def label_list(
    plan: Plan, design: Design, order: str, serials: Sequence[str], marks: tuple[str, ...] = ()
) -> tuple[Label, ...]:
    """The labels as plain data."""
    unit = plan.shop.style.unit
    return tuple(
        label
        for section in plan.saw
        for bar in section.bars
        if bar.heat
        for label in _of_bar(section, bar, design, order, serials, unit, marks)
    )


def _of_bar(
    section: CuttingPlan, bar: CutBar, design: Design, order: str, serials: Sequence[str], unit: str,
    marks: tuple[str, ...],
) -> Iterator[Label]:  # fmt: skip
    shown = tuple(mark for mark in marks if mark == "DEMO")  # the others belong to results, not to metal
    material = _material(section, bar, design)
    for cut in bar.cuts:
        rack = rack_name(serials, cut.slot.rack).replace("rack ", "RACK-")
        yield Label(
            "PIECE",
            piece_id(rack, cut.slot.piece),
            bar.heat,
            material,
            f"{length(cut.length_nm, unit)} {unit}",
            cut.slot.part,
            serials[cut.slot.rack - 1] if serials else "",
            order,
            f"from {bar.bar}" if serials else f"{NOT_GIVEN}; from {bar.bar}",
            shown,
        )
    if bar.keeps_rest:
        rest = f"about {length(bar.rest_nm, unit)} {unit}"
        note = f"rest of {bar.bar}; measure before it goes back"
        yield Label("REMNANT", remnant_id(bar.bar), bar.heat, material, rest, note=note, marks=shown)


def _material(section: CuttingPlan, bar: CutBar, design: Design) -> str:
    """Alloy and the certificate's temper, section, specification: `6061-T6 SQ 1.5x0.125, AMS-WW-T-700/6`."""
    material = {piece.id: piece.material for piece in design.pieces.sawn}
    row = next((design.rack.rows.materials.get(material.get(cut.slot.piece, "")) for cut in bar.cuts), None)
    certificate = section.job.bars[bar.bar].certificate
    temper = certificate.temper if certificate else ""
    alloy = "-".join(filter(None, (row.alloy if row else "", temper)))
    return f"{alloy} {section.section}, {section.stock}".strip()

"""The first-article set of one serial: the forms of the public standard, by the field list that was chosen.

The fields are data (`reference/first_article.toml`); here stands what each is filled with, from the definition as
frozen and the record. A field without a value is a line to write on, every signature is. Field "designed tooling" names
the jig, never a gauge: the gauge of a reading is in the record and on the inspection sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from rackwright.design import Design
from rackwright.making.inspected import characteristics_of
from rackwright.papers.labels import Label, symbol
from rackwright.papers.station_sheet import BLANK, StationSheet, set_station_sheet
from rackwright.papers.table import Block, Facts, Section, Table, Text
from rackwright.pieces.characteristics import RACK, Characteristic, shown
from rackwright.record import Event, State, project
from rackwright.record.office import FirstArticle
from rackwright.record.state import Measurement
from rackwright.reference.rows import FormField
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.work.gates import no
from rackwright.work.metal.sawing import piece_id
from rackwright.work.outcome import verdict
from rackwright.work.papers.words import head, must_fit
from rackwright.work.quality.amending import Amended, readings_amended

__all__ = ["first_article_set"]

TITLES = {1: "Form 1: part number accountability", 2: "Form 2: materials, processes, functional tests",
          3: "Form 3: characteristics"}  # fmt: skip
NONE = "none"
Values = Mapping[str, str]


def first_article_set(events: Sequence[Event], serial: str, design: Design, shop: Shop, date: str) -> bytes:
    """The set, PDF. Raises Stopped: RW503 the serial is no first article; a design's faults."""
    must_fit(design)
    state = project(events)
    known = state.first_articles.get(serial)
    if known is None:
        do = "record it: rackwright log first_article"
        raise Stopped([no("RW503", serial, f"{serial} is not recorded as a first article", do)])
    fields = [row for row in design.rack.rows.form_fields.values() if row.list == known.field_list]
    one = _values(state, known, serial, design, shop)
    rows = {1: [*_parts(state, serial, design)], 2: [*_metals(state, serial), *_processes(events, state, serial)],
            3: [*_characteristics(state, serial, design, shop, readings_amended(events))]}  # fmt: skip
    blank = sum(row["row.result"] == BLANK for row in rows[3])
    out = sum(bool(row["row.nonconformance"]) for row in rows[3])
    source = fields[0].known
    return set_station_sheet(
        StationSheet(
            head(design, shop, "First article", one["identifier"], date, state.demo),
            Facts((
                ("Rack", f"{design.rack.definition.title}; part {one['part_number']}, serial {serial}"),
                ("Kind", one["full_or_partial"]),
                ("Field list", f"{source.source} ({source.how_known}; {source.state})"),
            )),
            tuple(Section(TITLES[form], tuple(_form(form, fields, one, rows[form])), new_page=form > 1)
                  for form in rows),
            answer=f"{len(rows[3])} characteristics: {len(rows[3]) - blank} measured, {blank} blank, "
                   f"{out} with a nonconformance.",
            signatures=("Prepared by", "Reviewed by"),
            symbol=symbol(Label("RACK", serial, "", "", "", part=design.rack.definition.part)),
            symbol_words=serial,
            flipped=True,
        )
    )  # fmt: skip


def _form(form: int, fields: Sequence[FormField], one: Values, rows: Sequence[Values]) -> Iterator[Block]:
    """The fields that stand once as name and value, those of each row as a table."""
    mine = sorted((row for row in fields if int(row.form) == form), key=lambda row: row.number)
    yield Facts(tuple(
        (f"{row.number:.0f} {row.title}", one.get(row.holds) or BLANK) for row in mine
        if not row.holds.startswith("row.")
    ))  # fmt: skip
    columns = [row for row in mine if row.holds.startswith("row.")]
    yield Table(
        "", tuple(f"{row.number:.0f} {row.title}" for row in columns),
        tuple(tuple(each.get(row.holds, "") for row in columns) for each in rows),
    )  # fmt: skip
    if not rows:
        yield Text("Nothing is recorded for this form yet.", "note")


def _values(state: State, known: FirstArticle, serial: str, design: Design, shop: Shop) -> Values:
    d, rack = design.rack.definition, state.serials[serial]
    order = state.orders.get(rack.order)
    kind = known.kind if known.kind == "full" else f"partial, baseline {known.baseline}"
    return {
        "part_number": d.part, "part_name": d.title, "serial": serial, "identifier": f"{serial}-FA",
        "part_revision": d.revision, "drawing": d.drawing, "drawing_revision": d.revision, "changes": NONE,
        "process_reference": f"{serial}-traveler", "organization": shop.name,
        "purchase_order": f"{rack.order}{f', {order.document}' if order and order.document else ''}",
        "nonconformances": _documented(state, serial), "detail_or_assembly": "assembly",
        "full_or_partial": f"{kind}: {known.reason}",
    }  # fmt: skip


def _parts(state: State, serial: str, design: Design) -> Iterator[Values]:
    """One row a part number that was made, with how many."""
    made: dict[str, list[str]] = {}
    for piece in design.pieces.made:
        made.setdefault(piece.part, []).append(piece.id)
    titles = {piece.part: piece.kind for piece in design.pieces.made}
    for part, names in sorted(made.items()):
        there = sum(piece_id(serial, name) in state.pieces for name in names)
        yield {"row.part_number": part, "row.part_name": f"{titles[part]}, {len(names)} off, {there} made",
               "row.serial": names[0] if len(names) == 1 else "see traveler", "row.identifier": "",
               "row.type": "detail part"}  # fmt: skip


def _metals(state: State, serial: str) -> Iterator[Values]:
    """Each metal, hardware lot and coating that went into the rack, with its certificate."""
    rack = state.serials[serial]
    ids = {
        one.stock_id for one in state.pieces.values() if one.serial == serial and one.stock_id in state.stock
    }
    ids |= {one.stock_id for one in state.stock.values() if {one.lot, one.stock_id} & set(rack.lots)}
    seen = set()
    for stock in sorted(
        (state.stock[name] for name in ids), key=lambda one: (one.stock_spec, one.heat, one.lot)
    ):
        paper = stock.certificate or {}
        row = (stock.section or stock.form, stock.stock_spec, stock.heat or stock.lot, str(paper.get("mill", "")),
               str(paper.get("number", "none")))  # fmt: skip
        if row not in seen:
            seen.add(row)
            yield {"row.name": row[0], "row.specification": row[1], "row.code": row[2], "row.supplier": row[3],
                   "row.certificate": row[4], "row.customer": ""}  # fmt: skip


def _processes(events: Sequence[Event], state: State, serial: str) -> Iterator[Values]:
    """Outside work that came back, with the certificate of the supplier."""
    seen = set()
    for event in events:
        if event.type != "receive_back" or not any(
            name in state.pieces and state.pieces[name].serial == serial
            for name in event.body.get("pieces", ())
        ):
            continue
        body = event.body
        row = (
            body["process"],
            body["supplier"],
            str((body.get("certificate") or {}).get("number", "none")),
            body.get("lot", ""),
        )
        if row not in seen:
            seen.add(row)
            yield {"row.name": row[0], "row.specification": "", "row.code": row[3], "row.supplier": row[1],
                   "row.certificate": row[2], "row.customer": ""}  # fmt: skip


def _characteristics(
    state: State, serial: str, design: Design, shop: Shop, amended: Mapping[int, Amended]
) -> Iterator[Values]:
    last: dict[tuple[str, str], Measurement] = {
        (each.piece, each.characteristic): each for each in state.measured(serial)
    }
    jig = shop.jig.name if shop.jig else ""
    for one in characteristics_of(design, shop):
        name = "" if one.piece == RACK else piece_id(serial, one.piece)
        reading = last.get((name, one.name))
        signed = f"{reading.by}, {reading.at[:10]}" if reading else ""
        if reading and (change := amended.get(reading.seq)):
            signed += f"; CORRECTED, recorded {change.recorded}, read as {change.read_as}, by {change.why}"
        yield {
            "row.number": str(one.number), "row.place": one.piece, "row.designator": "",
            "row.requirement": _requirement(one), "row.result": reading.value if reading else BLANK,
            "row.tooling": jig if one.stage == "assembled" else "",
            "row.nonconformance": _case(state, name or serial, one.name, verdict(reading))
            if reading and not reading.within else "",
            "row.comments": signed,
        }  # fmt: skip


def _requirement(one: Characteristic) -> str:
    if one.by_gauge:
        return f"{one.name}: {one.asks}; yes or no"
    low, high = (None if v is None else shown(one, v) for v in (one.low, one.high))
    if low and high:
        limits = f"{low} to {high}"
    else:
        limits = f"at most {high}" if high else f"at least {low}"
    return f"{one.name}: {limits}"


def _documented(state: State, serial: str) -> str:
    """Yes with their numbers, or no: what was raised on the rack or a piece of it."""
    names = [
        case.nonconformance for case in state.nonconformances.values()
        if serial in case.serials or any(piece.partition("/")[0] == serial for piece in case.pieces)
    ]  # fmt: skip
    return f"yes: {', '.join(names)}" if names else "no"


def _case(state: State, about: str, characteristic: str, word: str) -> str:
    names = [
        case.nonconformance for case in state.nonconformances.values()
        if about in (*case.pieces, *case.serials) and case.characteristic in ("", characteristic)
    ]  # fmt: skip
    return ", ".join(names) or f"{word}, not raised"

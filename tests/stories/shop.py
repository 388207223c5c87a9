"""A day in the small shop, told in lines that a person of the trade reads.

    on 2026-03-11
    sawyer issues T-05 for post.front-left of SN-1           -> RW514
    lead records approval INVENTED-DA-1

Who, what, and after `->` the code of the gate that says no; without one the act must be done. `Day.play` calls the
verb of each line and fails where the shop did otherwise than the story tells.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

import racks
import small_shop as small
from rackwright import record as records
from rackwright.papers.labels import Label, envelope
from rackwright.record import Appended, Record, State
from rackwright.shop import Shop
from rackwright.trouble import Stopped
from rackwright.units import parse_quantity
from rackwright.work.engineering.as_built import as_measured, reproof
from rackwright.work.engineering.frozen import frozen_design
from rackwright.work.engineering.reporting import check_report, confirm_row, prepare_report, release_report
from rackwright.work.engineering.rows_used import used_rows
from rackwright.work.keeping.hindsight import in_hindsight
from rackwright.work.metal.counting import Unusable, count, scrap_piece, scrap_stock
from rackwright.work.metal.drawn import role, substitute
from rackwright.work.metal.examining import examine
from rackwright.work.metal.labelling import label_stock, read_piece_label
from rackwright.work.metal.origins import enter_origin
from rackwright.work.metal.plates import Remnant, profile_cut, visit_of_record
from rackwright.work.metal.receiving import accept, enter_certificate, open_lot, receive_bar, receive_item
from rackwright.work.metal.sawing import CutPiece, Visit, cut, issue, make_from, piece_id, return_stock
from rackwright.work.metal.storage import Stored, decide_storage, state_storage
from rackwright.work.metal.witnessing import witness
from rackwright.work.office.ordering import Approval, answer, ask, freeze, order, record_approval, serials
from rackwright.work.people.founding import add_gauge
from rackwright.work.quality.amending import Amendment, amend, as_its_layout
from rackwright.work.quality.holding import hold
from rackwright.work.quality.nonconforming import Acceptance, dispose, raise_nonconformance, release_hold
from rackwright.work.quality.noting import go_on_at_risk
from rackwright.work.quality.red_lining import Change, lift_red_line, red_line
from rackwright.work.serials.releasing import release
from rackwright.work.serials.shipping import Mended, replace_piece, replacement, ship
from rackwright.work.serials.tracing import trace
from rackwright.work.service.anew import joints_of, rack_anew
from rackwright.work.station import Station
from rackwright.work.stations.assembling import assemble, draw_lot, return_lot
from rackwright.work.stations.baking import bake
from rackwright.work.stations.inspecting import measure
from rackwright.work.stations.making import Step, step
from rackwright.work.stations.passports import record_points
from rackwright.work.stations.signing_off import point_of, sign_off
from rackwright.work.stations.weighing import weigh

Words = Mapping[str, str]
POWDER = "powder PX-21"
SENTENCES: list[tuple[re.Pattern[str], Callable[[Day, Station, Words], Appended]]] = []


class Day:
    """A record at some stage, and what was said in it."""

    def __init__(self, record: Record, **files: str) -> None:
        self.record, self.files, self.date = record, files, small.DAY
        self.no: dict[str, str] = {}  # line -> why a gate said no

    def play(self, text: str, **files: str) -> Day:
        self.files = {**self.files, **files}
        for line in filter(None, map(str.strip, text.strip().splitlines())):
            if line.startswith("on "):
                self.date = line[3:].strip()
            else:
                self._line(*(part.strip() for part in (line.partition("->")[0], line.partition("->")[2])))
        return self

    def _line(self, said: str, code: str) -> None:
        who, _, what = said.partition(" ")
        found = [(do, match) for pattern, do in SENTENCES if (match := pattern.fullmatch(what.strip()))]
        assert len(found) == 1, f"{said!r} is read in {len(found)} ways"
        do, match = found[0]
        try:
            do(self, small.station(self.record, who, self.date), match.groupdict())
        except Stopped as stopped:
            if [trouble.code for trouble in stopped.troubles] != [code]:
                raise AssertionError(f"{said}: {'; '.join(map(str, stopped.troubles))}") from stopped
            self.no[said] = "; ".join(trouble.found for trouble in stopped.troubles)
        else:
            assert not code, f"{said}: done, where {code} was expected"

    def why(self, said: str) -> str:
        """What the gate found, of the line that starts so."""
        return next(found for line, found in self.no.items() if line.startswith(said))

    @property
    def state(self) -> State:
        return small.state(self.record)

    def trace(self, kind: str, id: str) -> dict[str, Any]:
        return trace(self.record.events(), kind, id)

    def audit(self) -> list[str]:
        return [str(trouble) for trouble in records.audit(self.record, judge=in_hindsight).troubles]

    def from_what(self, serial: str, piece: str) -> dict[str, Any]:
        return replacement(self.state, small.design(), serial, piece)


def sentence(pattern: str) -> Callable[..., Any]:
    def keep(do: Any) -> Any:
        SENTENCES.append((re.compile(pattern), do))
        return do

    return keep


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.split(",")]


def _pieces(words: Words) -> list[str]:
    if words["pieces"] == "all":
        return small.all_pieces(words["serial"])
    if words["pieces"] == "all that is coated":
        return small.coated_pieces(words["serial"])
    return [piece_id(words["serial"], name) for name in _names(words["pieces"])]


# --- stores --------------------------------------------------------------------------------------


@sentence(r"counts (?P<id>\S+) at (?:(?P<length>[\d.]+ in)|(?P<number>\d+))")
def _(day: Day, at: Station, w: Words) -> Appended:
    """The tape of the story is good to 1/32 in."""
    if w["length"]:
        return count(at, w["id"], small.nm(w["length"]), None, small.nm("0.03125 in"))
    return count(at, w["id"], None, int(w["number"]))


@sentence(
    r"throws away (?:(?P<length>[\d.]+ in) of |(?P<number>\d+) of )?(?P<id>[^\s/:]+)(?P<piece>/[^:]+)?:"
    r"(?P<reason>[^;]*)(?:; (?P<how>[^,]*), seen by (?P<witness>.*))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    if w["piece"]:
        return scrap_piece(at, w["id"] + w["piece"], w["reason"], _unusable(w))
    length = small.nm(w["length"]) if w["length"] else None
    return scrap_stock(
        at, w["id"], w["reason"], _unusable(w), length, int(w["number"]) if w["number"] else None
    )


@sentence(r"witnesses (?P<names>\S+(?: and \S+)*)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return witness(at, w["names"].split(" and "), "seen by these eyes")


def _unusable(w: Words) -> Unusable:
    """As said; where nothing is said, properly."""
    witness = w["witness"] or "inspector"
    return Unusable(w["how"] if w["how"] is not None else "sawn through", small.PEOPLE.get(witness, witness))


@sentence(r"brings back (?P<number>\d+) of (?P<id>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return return_lot(at, w["id"], small.ORDER, int(w["number"]))


@sentence(
    r"receives (?P<id>\S+), (?P<length>[\d.]+ in), heat (?P<heat>\S+), "
    r"(?P<paper>Fty (?P<fty>[\d.]+) ksi|no certificate)(?:, of (?P<section>.+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    values = {"Fty": float(w["fty"])} if w["fty"] else {}
    bar = small.bar(w["id"], w["length"], w["heat"], certified=w["paper"] != "no certificate", **values)
    bar = replace(bar, section=w["section"] or bar.section)
    return receive_bar(at, bar, 50_000)


@sentence(
    r"receives (?P<id>\S+), lot (?P<lot>\S+) of (?P<spec>.+), (?P<number>\d+), last day of use (?P<last>\S+)"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    item = small.lot(w["id"], w["lot"], w["spec"], int(w["number"]), w["last"])
    return receive_item(at, item)


@sentence(r"receives (?P<id>\S+), plate (?P<long>[\d.]+ in) by (?P<wide>[\d.]+ in), heat (?P<heat>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    item = small.plate(w["id"], w["long"], w["wide"], w["heat"])
    return receive_item(at, item)


@sentence(r"accepts (?P<id>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return accept(at, small.shop(), w["id"])


@sentence(
    r"enters for (?P<id>\S+) a certificate of heat (?P<heat>\S+), Fty (?P<fty>[\d.]+) ksi(?: \(file (?P<file>\S+)\))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    paper = small.certificate(small.TUBE_SPEC, w["heat"], Fty=float(w["fty"]))
    return enter_certificate(at, w["id"], paper, paper=(w["file"] or "").encode())


@sentence(r"holds (?P<what>heat|piece|serial|bar) (?P<id>.+) as (?P<name>\S+): (?P<reason>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    key = {"heat": "heats", "piece": "pieces", "serial": "serials", "bar": "stock_ids"}[w["what"]]
    return hold(at, w["name"], w["reason"], **{key: [w["id"]]})


@sentence(r"lifts (?P<name>.+): (?P<reason>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return release_hold(at, w["name"], w["reason"])


# --- the office ----------------------------------------------------------------------------------


@sentence(r"orders and freezes two frames")
def _(day: Day, at: Station, w: Words) -> Appended:
    order(at, small.ORDER, "Corrie & Tarn Survey (invented)", small.design(), 2, "2026-04-17", "CT-1")
    freeze(at, small.design(), {"definition": small.text().encode()}, small.ORDER)
    return serials(at, small.ORDER, small.revision(), small.SERIALS)


@sentence(r"records approval (?P<document>.*)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return record_approval(
        at, small.revision(), Approval(w["document"], "an invented holder", w["document"], day.date)
    )


@sentence(r"lets it go on at risk: (?P<reason>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return go_on_at_risk(at, small.revision(), w["reason"])


@sentence(r"asks (?P<question>\S+), blocking (?P<blocks>[^:]+): (?P<text>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return ask(at, w["question"], w["text"], "the customer", "2026-04-01", _names(w["blocks"]), small.ORDER)


@sentence(r"answers (?P<question>\S+) by (?P<document>[^:]+): (?P<text>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return answer(at, w["question"], w["text"], w["document"])


@sentence(r"freezes revision (?P<letter>\S+) with (?P<old>.+) changed to (?P<new>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    text = racks.swap(small.text(), ('revision = "D"', f'revision = "{w["letter"]}"'), (w["old"], w["new"]))
    return freeze(at, racks.design_of(text), {"definition": text.encode()}, small.ORDER)


@sentence(r"prepares report (?P<report>\S+) of (?P<revision>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    design = frozen_design(day.record, w["revision"])[0]
    return prepare_report(at, w["report"], w["revision"], design, small.shop())


@sentence(r"(?P<what>checks|releases) report (?P<report>\S+) revision (?P<letter>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    act = check_report if w["what"] == "checks" else release_report
    return act(at, w["report"], w["letter"])


@sentence(r"compares (?P<rows>.+) with (?P<document>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    every = [row.id for _, row in used_rows(small.design()) if row.unconfirmed]
    rows = every if w["rows"] == "every doubtful row" else _names(w["rows"])
    return [confirm_row(at, row, w["document"]) for row in rows][-1]


# --- saw, mill, route ----------------------------------------------------------------------------


@sentence(r"issues (?P<id>\S+)(?: reading (?P<label>.+?))? for (?P<pieces>.+) of (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    read = _as_scanned(w["label"] or "")
    return issue(at, w["id"], small.ORDER, small.revision(), _pieces(w), [w["serial"]], label=read)


@sentence(r"labels (?P<id>\S+) (?P<label>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return label_stock(at, w["id"], _as_scanned(w["label"]))


def _as_scanned(text: str) -> str:
    """`symbol ID of HEAT` as a scanner gives it, else as it was typed."""
    match = re.fullmatch(r"symbol (\S+) of (\S+)", text)
    return envelope(Label("", match[1], match[2], "", "")) if match else text


@sentence(
    r"lets (?P<id>\S+) go into (?P<pieces>.+) of (?P<serial>SN-\d), accepted in (?P<document>[^:]*): (?P<reason>.+)"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    accepted = Acceptance(w["document"].strip(), "an invented holder", day.date)
    return substitute(at, w["id"], small.revision(), _pieces(w), w["reason"], accepted)


@sentence(
    r"examines (?P<id>\S+) marked (?P<marking>.+?)(?:, walls (?P<walls>.+?))?(?:, (?P<iacs>\S+) % IACS)?"
    r"(?:, by (?P<gauge>\S+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    walls = {f"place {n}": small.nm(f"{text} in") for n, text in enumerate((w["walls"] or "").split(), 1)}
    read = {"conductivity": w["iacs"]} if w["iacs"] else {}
    return examine(at, w["id"], w["marking"], (w["gauge"],) if w["gauge"] else (), walls, read)


@sentence(
    r"enters of (?P<id>\S+)(?: the slip (?P<slip>\S+) of (?P<distributor>[^,(]+?)(?: \(file (?P<file>\S+)\))?)?"
    r"(?:,? ?purchase order (?P<order>\S+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    said = {"distributor": w["distributor"], "slip": w["slip"], "purchase_order": w["order"]}
    given = {name: value for name, value in said.items() if value}
    return enter_origin(at, w["id"], given, (w["file"] or "").encode())


@sentence(
    r"states (?P<id>\S+) stored at (?P<low>.+) to (?P<high>.+) until (?P<until>\S+?)(?:, by (?P<gauge>\S+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    kept = Stored(w["low"], w["high"], "2026-03-01", w["until"], "INVENTED-LOG-1", w["gauge"] or "")
    return state_storage(at, asking(), w["id"], kept)


@sentence(r"decides that (?P<id>\S+) may (?P<never>not )?be used, (?P<reason>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return decide_storage(at, w["id"], not w["never"], w["reason"], "INVENTED-MAIL-1")


@sentence(r"accepts (?P<id>\S+) with all its papers")
def _(day: Day, at: Station, w: Words) -> Appended:
    return accept(at, asking(), w["id"])


def asking() -> Shop:
    """The small shop, which asks for the three papers of its tubes and lots, and has a range for storing lots."""
    asked: dict[str, dict[str, Any]] = {
        small.TUBE_SPEC: {"papers": ("mill", "distributor", "purchase_order")},
        POWDER: {
            "papers": ("purchase_order",),
            "storage": (277.5944444444444, 299.8166666666667),
        },  # 40 to 80 degF
    }
    return replace(
        small.shop(),
        specification=tuple(replace(one, **asked.get(one.stock, {})) for one in small.shop().specification),
    )


@sentence(r"opens (?P<id>\S+), good until (?P<until>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return open_lot(at, w["id"], w["until"], "INVENTED-SHEET-1")


@sentence(r"reads (?P<label>.+) on (?P<piece>\S+) of (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return read_piece_label(at, piece_id(w["serial"], w["piece"]), _as_scanned(w["label"]))


@sentence(r"returns (?P<id>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return return_stock(at, w["id"], small.ORDER)


@sentence(
    r"cuts (?P<id>\S+) into (?P<piece>\S+) (?P<length>[\d.]+ in) of (?P<serial>SN-\d), kerf (?P<kerf>[\d.]+ in), "
    r"trim (?P<trim>[\d.]+ in), rest (?P<rest>[\d.]+ in)(?: as (?P<remnant>\S+))?(?: labelled (?P<label>\S+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    piece = CutPiece(piece_id(w["serial"], w["piece"]), w["serial"], small.nm(w["length"]))
    visit = Visit(w["id"], (piece,), small.nm(w["kerf"]), small.nm(w["trim"]), small.nm(w["rest"]), w["remnant"] or "",
                  w["label"] or "", "saw")  # fmt: skip
    return cut(at, small.ORDER, visit)


@sentence(
    r"profile-cuts (?P<id>[^\s,]+)(?: into (?P<pieces>.+) of (?P<serial>SN-\d))?(?:, (?P<rests>remnant .+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    """A remnant is told as `remnant P-1-R: 0 in x 8 in; 36 in x 8 in; ... labelled L-1`, more of them after `and`."""
    told = re.findall(r"remnant (\S+): (.+?)(?: labelled (\S+))?(?: and (?=remnant)|$)", w["rests"] or "")
    rests = [
        Remnant(id, tuple(tuple(map(small.nm, corner.split(" x "))) for corner in corners.split("; ")), label)
        for id, corners, label in told
    ]
    pieces = _pieces(w) if w["pieces"] else []
    done = visit_of_record(day.record, w["id"], pieces, rests, "jet", small.shop())
    return profile_cut(at, small.ORDER, done)


@sentence(r"makes (?P<piece>.+) of (?P<serial>SN-\d) from (?P<id>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    made = [CutPiece(piece_id(w["serial"], w["piece"]), w["serial"], 0)]
    return make_from(at, w["id"], small.ORDER, small.revision(), made)


@sentence(r"does (?P<step>\w+) on (?P<pieces>.+?) of (?P<serial>SN-\d)(?: with lot (?P<lot>\S+))?")
def _(day: Day, at: Station, w: Words) -> Appended:
    return step(at, Step(w["step"], lots=(w["lot"],) if w["lot"] else ()), _pieces(w), [w["serial"]])


@sentence(r"bakes (?P<pieces>.+?) of (?P<serial>SN-\d)(?: by (?P<survey>\S+))?, oven log (?P<log>\w+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    data, survey = day.files[w["log"]].encode(), [w["survey"]] if w["survey"] else []
    return bake(
        at, w["log"], data, "oven", small.design(), small.shop(), _pieces(w), [w["serial"]], gauges=survey
    )


@sentence(r"records (?P<gauge>\S+), (?P<kind>.+), due (?P<due>\S+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return add_gauge(at, w["gauge"], w["kind"], w["due"], "0.003 in")


# --- inspection ----------------------------------------------------------------------------------


@sentence(r"measures (?P<name>.+) of (?P<piece>\S+) of (?P<serial>SN-\d) with (?P<gauge>\S+): (?P<value>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    one = replace(small.characteristic(w["piece"].removesuffix(".2"), w["name"]), piece=w["piece"])
    return measure(at, w["serial"], {one: w["value"]}, w["gauge"])


@sentence(r"measures all (?P<stage>before coat|after coat) of (?P<piece>\S+) of (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    """Every characteristic of the drawing's piece, in the middle of its limits, on the piece named."""
    place = role(day.state, small.revision(), piece_id(w["serial"], w["piece"]))
    acts = [
        readings for readings in small.by_piece_and_gauge(w["stage"]) if next(iter(readings)).piece == place
    ]
    for readings in acts:
        named = {replace(one, piece=w["piece"]): text for one, text in readings.items()}
        done = measure(at, w["serial"], named, small.GAUGES[next(iter(readings)).gauge])
    return done


def _proven(day: Day, piece: str) -> dict[str, str]:
    built = as_measured(day.state, small.design(), piece.partition("/")[0], day.record.get_file)
    return reproof(small.design(), built)


@sentence(r"raises (?P<ncr>\S+) on (?P<name>.+) of (?P<piece>\S+) of (?P<serial>SN-\d): (?P<text>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    piece = piece_id(w["serial"], w["piece"])
    return raise_nonconformance(at, w["ncr"], w["text"], [piece], w["name"], _proven(day, piece))


@sentence(r"raises (?P<ncr>\S+) on the rack (?P<serial>SN-\d), (?P<name>.+): (?P<text>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return raise_nonconformance(at, w["ncr"], w["text"], [], w["name"], {}, serials=[w["serial"]])


@sentence(
    r"decides (?P<what>\w+) on (?P<ncr>\S+): (?P<reason>[^,;]+)(?:, accepted in (?P<document>[^,;]+))?"
    r"(?:, by the customer in (?P<customer>[^,;]+))?"
    r"(?:, because of (?P<cause>[^;]+))?(?:; (?P<how>[^,]*), seen by (?P<witness>.*))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    raised = day.state.nonconformances[w["ncr"]]
    accepted = Acceptance(w["document"], "an invented holder", day.date) if w["document"] else None
    return dispose(
        at,
        w["ncr"],
        w["what"],
        w["reason"],
        accepted,
        _proven(day, raised.pieces[0]) if raised.pieces else {},
        cause=w["cause"] or "",
        unusable=_unusable(w),
        customer=Acceptance(w["customer"], "an invented customer", day.date) if w["customer"] else None,
    )


@sentence(
    r"red-lines (?P<pieces>\S+(?:, \S+)*) of (?P<serial>SN-\d) as (?P<name>\S+)(?:, anew (?P<steps>[^;]+))?"
    r"(?:; measure (?P<chars>.+))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    change = Change(small.revision(), "slot 1/8 in lower", "ECO-5", "an invented holder")
    pieces, serials = ([], [w["serial"]]) if w["pieces"] == "rack" else (_pieces(w), [])
    steps, chars = (_names(w[key]) if w[key] else [] for key in ("steps", "chars"))
    return red_line(at, w["name"], change, pieces, serials, steps, chars)


@sentence(
    r"corrects event (?P<seq>\d+|last)(?: (?P<what>\w+))?(?:, (?P<field>\w+) (?P<value>[^,:]+)|, (?P<void>void))?:"
    r"(?P<reason>.*)"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    """By its number, or the last of its type."""
    events = day.record.events()
    seq = (
        int(w["seq"]) if w["seq"] != "last" else max(event.seq for event in events if event.type == w["what"])
    )
    fields = as_its_layout(events, seq, {w["field"]: w["value"]} if w["field"] else {})
    return amend(at, Amendment(seq, w["reason"].strip(), fields, bool(w["void"])))


@sentence(r"drops red line (?P<name>[^:]+):(?P<reason>.*)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return lift_red_line(at, w["name"], w["reason"])


@sentence(r"signs (?P<point>\w+) of (?P<pieces>.+?) of (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    pieces = [] if w["pieces"] == "the rack" else _pieces(w)
    return sign_off(at, w["point"], [point_of(small.design(), small.shop(), w["point"], w["serial"], pieces)])


# --- assembly and leaving ------------------------------------------------------------------------


@sentence(r"draws (?P<number>\d+) of (?P<id>\S+) for (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return draw_lot(at, w["id"], small.ORDER, small.revision(), int(w["number"]), [w["serial"]])


@sentence(
    r"assembles (?P<serial>SN-\d)(?:, joint (?P<joint>\S+) (?P<how>without torque|left out|at (?P<torque>\S+ \S+)|"
    r"with lot (?P<lot>\S+)))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    done = {joint.bolt: joint for joint in small.joints()}
    if w["how"] == "without torque":
        done[w["joint"]] = replace(done[w["joint"]], torque="")
    elif w["how"] == "left out":
        del done[w["joint"]]
    elif w["torque"]:
        done[w["joint"]] = replace(done[w["joint"]], torque=w["torque"])
    elif w["lot"]:
        done[w["joint"]] = replace(done[w["joint"]], lots=(*done[w["joint"]].lots, w["lot"]))
    coated = small.coated_pieces(w["serial"])
    return assemble(at, w["serial"], small.all_pieces(w["serial"]), done.values(), "J-47", coated)


@sentence(r"measures the whole rack (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    for readings in small.by_piece_and_gauge("assembled"):
        done = measure(at, w["serial"], readings, small.GAUGES[next(iter(readings)).gauge])
    record_points(at, w["serial"], small.design(), small.shop(), "points.csv", small.points(), "CM-2")
    return done


@sentence(r"measures the points of (?P<serial>SN-\d)(?:, a (?P<use>\w+) hole off by (?P<off>[\d.]+) in)?")
def _(day: Day, at: Station, w: Words) -> Appended:
    data = small.points(**{w["use"]: w["off"]} if w["use"] else {})
    return record_points(at, w["serial"], small.design(), small.shop(), "points.csv", data, "CM-2")


@sentence(r"weighs (?P<serial>SN-\d): (?P<mass>[\d.]+ lb)")
def _(day: Day, at: Station, w: Words) -> Appended:
    kilograms: Fraction = parse_quantity(w["mass"], "mass")
    return weigh(at, w["serial"], small.weighing(float(kilograms)), "SC-1")


@sentence(r"releases (?P<serial>SN-\d)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return release(at, w["serial"], small.design(), small.shop())


@sentence(r"ships (?P<serials>SN-\d(?:, SN-\d)*) to (?P<to>.+)")
def _(day: Day, at: Station, w: Words) -> Appended:
    return ship(at, _names(w["serials"]), w["to"], "DN-1")


@sentence(
    r"replaces (?P<old>\S+) of (?P<serial>SN-\d) by (?P<new>\S+)(?: as (?P<work>\S+))?: (?P<reason>[^,;]+)"
    r"(?:, (?P<fate>scrapped|customer|kept|lost)(?: (?P<place>.+?))?)?(?:; (?P<how>[^,]*), seen by (?P<witness>.*))?"
)
def _(day: Day, at: Station, w: Words) -> Appended:
    """The old piece is kept in the cage where nothing else is said."""
    old, new = (piece_id(w["serial"], w[key]) for key in ("old", "new"))
    joints = joints_of(day.state, small.design(), small.shop(), w["serial"], old)
    mended = Mended(
        w["work"] or "W-1", "an invented holder", day.date, joints, w["fate"] or "kept",
        w["place"] or ("" if w["fate"] else "cage"), _unusable(w) if w["how"] else None,
        rack_anew(small.design(), small.shop(), w["serial"]) if joints else {},
    )  # fmt: skip
    return replace_piece(at, w["serial"], old, new, w["reason"], "INVENTED-REPAIR-1", mended)

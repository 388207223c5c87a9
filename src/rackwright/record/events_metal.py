"""The table of events on stock and pieces: receiving, issue, saw and table, making, inspection, outside work."""

from __future__ import annotations

from rackwright.record.event_type import EventType

__all__ = ["METAL"]

_CERTIFICATE = {
    "number": "id", "file?": "sha256", "mill?": "text", "spec?": "text", "basis?": "text", "values?": "map",
}  # fmt: skip
#: a label as read off what it is on: the number typed, or the id in its symbol and the heat beside it
_READ, _ON = {"label?": "id", "label_heat?": "text"}, {"label": "id", "label_heat?": "text"}
_PROCESS = {
    "pieces?": "ids", "serials?": "ids", "lots?": "ids", "gauges?": "ids", "machine?": "text",
    "program?": "text", "values?": "map", "controlled?": "ids",
}  # fmt: skip

METAL: dict[str, EventType] = {
    # stock
    "receive": EventType(
        "stock came in, on the day `came`; a bar has a length, a plate an outline, a lot a quantity; without "
        "certificate it stays in quarantine",
        {"stock_id": "id", "form": "id", "section?": "text", "stock_spec": "text", "heat?": "id",
         "lot?": "id", "length_nm?": "nm", "length_uncertainty_nm?": "nm", "width_nm?": "nm",
         "outline?": "outline", "quantity?": "count", "certificate?": _CERTIFICATE, "supplier?": "text",
         "purchase_order?": "text", "place?": "text", "measured?": "map", "value?": "quantity", "came?": "date"},
    ),
    "accept": EventType(
        "received stock was checked against its specification and may be issued",
        {"stock_id": "id", "checks": [{"name": "id", "required": "text", "found": "text", "ok": "bool"}],
         "certificate?": _CERTIFICATE, "entered_by?": "id"},
    ),
    "certificate": EventType(
        "the certificate of received stock was entered after it came in, or anew; another person accepts by it",
        {"stock_id": "id", "certificate": _CERTIFICATE},
    ),
    "examine": EventType(
        "what was seen and measured of stock that came in: its marking, the wall at several places (nm), conductivity "
        "in % IACS, hardness and weight as read",
        {"stock_id": "id", "marking": "text", "walls?": [{"place": "id", "wall_nm": "nm"}], "conductivity?": "number",
         "hardness?": "text", "weight?": "text", "gauges": "ids"},
    ),
    "reading_decided": EventType(
        "a named person decides of a value read off stock, for which no limit is known: why, and on whose document",
        {"stock_id": "id", "reading": "id", "value": "text", "use": "bool", "reason": "text", "document": "id"},
    ),
    "origin": EventType(
        "the papers between the mill and the shop, each for itself: who sold the stock with the number of its "
        "certificate or packing slip, and the shop's own purchase order; files by hash",
        {"stock_id": "id", "distributor?": "id", "slip?": "id", "slip_file?": "sha256", "purchase_order?": "id",
         "order_file?": "sha256"},
    ),
    "storage": EventType(
        "the lowest and highest temperature that stock which ages was stored at, beside the range of then; out of it, "
        "the stock is quarantined until a named person decides",
        {"stock_id": "id", "lowest": "quantity", "highest": "quantity", "least": "quantity", "most": "quantity",
         "since": "date", "until": "date", "document": "id", "gauge?": "id", "within": "bool"},
    ),
    "storage_decided": EventType(
        "a named person decides whether stock that was stored out of its range may be used: why, and on whose document",
        {"stock_id": "id", "use": "bool", "reason": "text", "document": "id"},
    ),
    "opened": EventType(
        "a lot was opened or mixed: from then on it is good until this day and no longer",
        {"stock_id": "id", "until": "date", "document": "id"},
    ),
    "quarantine": EventType("stock must not be used until accepted", {"stock_id": "id", "reason": "text"}),
    "issue": EventType(
        "stock was taken for a job against a frozen revision; a lot gives a quantity; `label` as read off the metal",
        {"stock_id": "id", "job": "id", "revision": "id", "pieces?": "ids", "length_nm?": "nm", "area_nm2?": "nm2",
         "quantity?": "count", "serials?": "ids", "at_risk?": "bool", **_READ},
    ),
    "substitute": EventType(
        "a named person lets stock go into pieces that are drawn of other metal: why, and where the holder of the "
        "design approval accepts it",
        {"stock_id": "id", "revision": "id", "pieces": "ids", "reason": "text", "document": "id", "signer": "text",
         "date": "date", "file?": "sha256"},
    ),
    "return": EventType(
        "issued stock came back unused",
        {"stock_id": "id", "job": "id", "length_nm?": "nm", "area_nm2?": "nm2", "quantity?": "count",
         "place?": "text"},
    ),
    "saw_plan": EventType(
        "a numbered plan of what is still to be sawn of an order or one line of it, its sheet beside it; it supersedes "
        "the one before",
        {"plan": "id", "order": "id", "line?": "id", "file": "sha256", "sheet": "sha256", "inputs": "sha256",
         "supersedes?": "id", "reason?": "text", "changes?": "ids"},
    ),
    "cut": EventType(
        "a bar became pieces, kerf, trim, a remnant and scrap: they sum to its length to the nanometre",
        {"stock_id": "id", "job": "id", "pieces": [{"piece": "id", "length_nm": "nm", "serial?": "id"}],
         "kerf_nm": "nm", "trim_nm": "nm", "scrap_nm": "nm", "machine?": "text", "blade?": "text",
         "gauges?": "ids", "controlled?": "ids",
         "remnant?": {"stock_id": "id", "length_nm": "nm", **_ON, "place?": "text"}},
    ),
    "profile_cut": EventType(
        "a plate became blanks, kerf, skeleton and remnants: their areas sum to its own to the square nanometre; a "
        "remnant's outline is that of where it lay on the plate",
        {"stock_id": "id", "job": "id", "pieces": [{"piece": "id", "area_nm2": "nm2", "serial?": "id"}],
         "kerf_nm2": "nm2", "skeleton_nm2": "nm2", "machine?": "text",
         "remnants": [{"stock_id": "id", "outline": "outline", **_ON, "place?": "text"}]},
    ),
    "label": EventType(
        "a label was put on and read back", {"stock_id?": "id", "piece?": "id", **_ON}
    ),
    "stock_label": EventType(
        "a label was put on stock and read back: what bears one is signed out by it", {"stock_id": "id", **_ON}
    ),
    "scrap": EventType(
        "stock or a piece was scrapped: how it was made unusable, and who saw it; both empty where that was not stated",
        {"stock_id?": "id", "piece?": "id", "reason": "text", "length_nm?": "nm", "area_nm2?": "nm2",
         "quantity?": "count", "unusable": "id", "witness": "id", "awaits?": "bool"},
        v=2,
    ),
    "witness": EventType(
        "who saw scrap made unusable says so, by an act of their own; scrap that `awaits` it is not whole before",
        {"about": "ids", "text": "text"},
    ),
    "count": EventType(
        "a person measured or counted what is there",
        {"stock_id": "id", "length_nm?": "nm", "quantity?": "count", "expected_nm?": "nm", "expected?": "count",
         "uncertainty_nm?": "nm"},
    ),
    "inside": EventType(
        "the inside of a tube as bought: widths across flats at the places seen, and the corner's radius, by a gauge "
        "with its uncertainty",
        {"stock_id": "id", "widths": [{"place": "id", "width_nm": "nm"}], "corner_nm": "nm", "gauge": "id",
         "uncertainty_nm": "nm"},
    ),
    # making
    "piece": EventType(
        "a piece came to be other than by sawing (blank nested from a plate, block, bought part)",
        {"piece": "id", "stock_id": "id", "serial?": "id", "job?": "id", "values?": "map"},
    ),
    "mill": EventType("pieces were milled", _PROCESS),
    "bend": EventType("pieces were bent", _PROCESS),
    "drill": EventType("holes were drilled or reamed", _PROCESS),
    "coat": EventType("pieces or racks were coated", _PROCESS),
    "bake": EventType("pieces or racks were baked", _PROCESS),
    "operation": EventType(
        "a step of the route without a type of its own was done: fit_up, take_apart, deburr, pretreat, bond_pads",
        {"step": "id", "pieces?": "ids", "serials?": "ids", "lots?": "ids", "gauges?": "ids", "controlled?": "ids",
         "machine?": "text", "values?": "map"},
    ),
    "assemble": EventType(
        "pieces were assembled into a serial",
        {"serial": "id", "pieces": "ids", "lots?": "ids", "jig?": "text", "values?": "map", "gauges?": "ids",
         "controlled?": "ids"},
    ),
    "measure": EventType(
        "a characteristic was measured; value and limits are quantities in one unit; `within` is by the limits of "
        "`guard`: moved inward by r times the gauge's uncertainty, as known then; r 0: by the limits themselves",
        {"piece?": "id", "serial?": "id", "characteristic": "id", "value": "quantity", "nominal?": "quantity",
         "lower?": "quantity", "upper?": "quantity", "gauge": "id", "within": "bool", "rule?": "text",
         "temperature?": "quantity", "file?": "sha256",
         "guard": {"r": "number", "uncertainty?": "quantity", "lower?": "quantity", "upper?": "quantity",
                   "undecided?": "bool"}},
        v=2,
    ),
    "gauge_check": EventType(
        "every hole or thread of one size was checked with a GO/NO-GO gauge: GO entered and NO-GO did not, yes or no",
        {"piece?": "id", "serial?": "id", "characteristic": "id", "asked": "text", "passed": "bool", "gauge": "id"},
    ),
    "weigh": EventType(
        "a rack was weighed on its pads; computed mass and centre of gravity stand beside",
        {"serial": "id", "gauge": "id", "readings": "map", "mass": "quantity", "computed": "quantity",
         "cg?": "map", "within": "bool"},
    ),
    "test_bend": EventType(
        "a test bend of a heat was measured; `cut`: rings cut before it and not bent yet, by an older K",
        {"bend": "id", "heat": "id", "spec": "id", "gauge": "id", "file": "sha256", "K": "number", "cracked": "bool",
         "cut": "ids", "gauges?": "ids", "controlled?": "ids"},
    ),
    "passport": EventType(
        "the interchange points of an assembled rack, as measured from the jig's datum: name -> three lengths",
        {"serial": "id", "gauge": "id", "points": "map", "file": "sha256", "gauges?": "ids", "controlled?": "ids"},
    ),
    "hold_point": EventType(
        "an inspector who did not make it signed a hold point of these pieces, or of these racks, off: work goes on",
        {"point": "id", "pieces?": "ids", "serials?": "ids", "remarks?": "text"},
    ),
    "send_out": EventType(
        "pieces or stock went to a supplier",
        {"supplier": "id", "process": "text", "pieces?": "ids", "stock_ids?": "ids", "document?": "text",
         "clauses?": "ids", "back?": "date"},
    ),
    "receive_back": EventType(
        "pieces or stock came back from a supplier",
        {"supplier": "id", "process": "text", "pieces?": "ids", "stock_ids?": "ids",
         "certificate?": _CERTIFICATE, "lot?": "id", "short?": "ids"},
    ),
}  # fmt: skip

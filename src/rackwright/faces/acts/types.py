"""What can be recorded from the command line: each type's keys, an example, and the act that its gate decides in.

A new type is one row of `TYPES` and one function `do_TYPE` in the module of its part of the job.
"""

from __future__ import annotations

from dataclasses import dataclass

from rackwright.faces.acts.arriving import (
    do_examine,
    do_inside,
    do_opened,
    do_origin,
    do_reading_decided,
    do_stock_label,
    do_storage,
    do_storage_decided,
)
from rackwright.faces.acts.desk import Do
from rackwright.faces.acts.making import (
    do_assemble,
    do_bake,
    do_hold_point,
    do_measure,
    do_passport,
    do_profile_cut,
    do_receive_back,
    do_release,
    do_saw_plan,
    do_send_out,
    do_ship,
    do_step,
    do_test_bend,
    do_weigh,
)
from rackwright.faces.acts.office import (
    do_action_done,
    do_action_verified,
    do_agree,
    do_clause,
    do_clause_met,
    do_contract_review,
    do_correction,
    do_corrective_action,
    do_first_article,
    do_hours,
    do_installed,
    do_invoice,
    do_quote,
    do_red_line,
    do_red_line_lifted,
)
from rackwright.faces.acts.reports import (
    do_evidence,
    do_evidence_owed,
    do_report,
    do_report_checked,
    do_report_released,
    do_row_confirmed,
)
from rackwright.faces.acts.service import (
    do_back_to_service,
    do_come_back,
    do_replace,
    do_service_work,
    do_swap,
)
from rackwright.faces.acts.shop import (
    do_accept,
    do_answer,
    do_approval_reference,
    do_at_risk,
    do_away,
    do_certificate,
    do_clock,
    do_code,
    do_count,
    do_cut,
    do_disposition,
    do_gauge,
    do_gauge_bad,
    do_hold,
    do_issue,
    do_key,
    do_key_revoked,
    do_label,
    do_lift,
    do_nonconformance,
    do_order,
    do_order_line,
    do_person,
    do_piece,
    do_quarantine,
    do_question,
    do_receive,
    do_return,
    do_scrap,
    do_secret,
    do_serial,
    do_signatures,
    do_substitute,
    do_supplier,
    do_without_report,
    do_witness,
)
from rackwright.faces.acts.values import Field

__all__ = ["TYPES", "Type"]


@dataclass(frozen=True)
class Type:
    """One kind of act: what it is in words, an example, its keys, how it is done."""

    words: str
    example: str
    fields: tuple[Field, ...]
    do: Do
    file: str = ""  # what --from names, where that is a file with a format of its own


def _f(line: str) -> tuple[Field, ...]:
    """Fields from `name:kind words | name?:kind words`; `?` may be left out."""
    fields = []
    for part in line.split("|"):
        head, _, words = part.strip().partition(" ")
        name, _, kind = head.partition(":")
        fields.append(Field(name.rstrip("?"), kind, words, not name.endswith("?")))
    return tuple(fields)


_STEP = _f("pieces:list SERIAL/piece | machine?:text or place | values?:pairs read, with units | lots?:list used"
           " | gauges?:list used")  # fmt: skip
_PIECES = "pieces:list SERIAL/piece"

TYPES: dict[str, Type] = {
    "person": Type("a person and their roles from now on", "person='B. Tarrow' roles=receiving,saw",
                   _f("person:text name | roles:list roles from now on | credential?:text behind them"
                      " | until?:date it ends | scopes?:list acts and steps it covers, no others; all, if none is named"
                      " | active?:yes_no no: the person has left"
                      " | number?:text the shop's own of the person: one number, one name"
                      " | since?:date they are of the shop: nothing entered late was done before"
                      " | again?:yes_no yes: a row of the person who is known by this name"), do_person),
    "secret": Type("the person who acts signs with a new PIN or password from now on", "kind=pin",
                   _f("kind:text pin or password"), do_secret),
    "code": Type("the lead gives a one-time code with which a person sets a PIN or password", "person='B. Tarrow'",
                 _f("person:text name"), do_code),
    "signatures": Type("the lead says whether every act is to be signed from now on",
                       "required=yes reason='tablets at all stations'",
                       _f("required:yes_no signed or by name only | reason:text why"), do_signatures),
    "gauge": Type("a gauge and the day its calibration is due",
                  "gauge=CA-11 kind='caliper, 40 in' due=2031-09-01 uncertainty='0.002 in'",
                  _f("gauge:text number | kind:text what it is | due:date of calibration |"
                     " uncertainty:text with unit, expanded (k = 2)"),
                  do_gauge),
    "gauge_bad": Type("a gauge was found bad", "gauge=CA-11 reason='jaw bent' since=2031-05-01",
                      _f("gauge:text number | reason:text how found | since?:date in doubt from"), do_gauge_bad),
    "supplier": Type("a supplier and what it may do", "supplier='Fell Coaters' scope=coat,bake",
                     _f("supplier:text name | scope:list processes | until?:date ends | document?:text basis"),
                     do_supplier),
    "away": Type("a machine, person or supplier is not there; the next schedule goes round it",
                 "what=mill first=2031-05-09 last=2031-05-13 reason='spindle bearing'",
                 _f("what:text machine, person, supplier | first:date day | last:date included | reason:text why"),
                 do_away),
    "clock": Type("the lead states that the clock is right, though later times are recorded",
                  "reason='T-2 stood at 2099 after its battery was changed'", _f("reason:text how it came about"),
                  do_clock),
    "key": Type("the shop's key hands over to a new one, which signs from now on; both are kept",
                "reason='the shop gets a new key every five years'", _f("reason:text why"), do_key),
    "key_revoked": Type("an earlier key is revoked: what it signed of more events than these is believed no more",
                        "key=KEYID since=412 reason='the old tablet was stolen'",
                        _f("key:text id, 64 hex digits | since:count of events up to which its heads stand"
                           " | reason:text why"), do_key_revoked),
    "order": Type("an order, with its first line: racks of one variation",
                  "order=PO-7 customer='A survey' file=variations/er-47-v12.toml quantity=3"
                  " due=2031-06-01 document=CT-1",
                  _f("order:text number | customer:text name | file:text definition | quantity:count of racks"
                     " | due:date of delivery | document:text of the customer | weight?:count of a late day"
                     " | aircraft_serials?:list of the aircraft they are for"),
                  do_order),
    "order_line": Type("a line of an order is added, changed or withdrawn, by the customer's document",
                       "order=PO-7 line=2 file=variations/er-47-v12.toml quantity=1 due=2031-07-01"
                       " document='CT-1 rev B'",
                       _f("order:text number | line:text its name, 1 that of the first"
                          " | document:text of the customer that says so | reason?:text why, where the line was there"
                          " | file?:text definition, of a new line | quantity?:count of racks | due?:date of delivery"
                          " | price?:text of the line, with its currency | aircraft_serials?:list it is for"
                          " | withdrawn?:yes_no no longer to be made | without?:list serials that fall out"),
                       do_order_line),
    "quote": Type("a price is offered: the next revision of a quote, of the definition in the folder",
                  "quote=Q-118 customer='A survey' file=variations/er-47-v12.toml quantity=3 until=2031-06-30",
                  _f("quote:text number | customer:text name | file:text definition | quantity:count of racks"
                     " | more?:pairs FILE=quantity of further definitions | until?:date it holds"), do_quote),
    "agree": Type("the customer ordered at a revision of a quote", "quote=Q-118 revision=B order=PO-7",
                  _f("quote:text number | revision:text its letter | order:text number"), do_agree),
    "clause": Type("a clause of an order, who meets it, and what waits for its evidence",
                   "order=PO-7 clause=C4 text='first article with the first rack' met_by=inspection document=CT-1"
                   " before=ship",
                   _f("order:text number | clause:text its name | text:text what it asks | met_by:text who"
                      " | document:text that holds it | before?:text sign_out, release, ship waits for its evidence;"
                      " disposition: the customer accepts | withdrawn?:yes_no it no longer holds"), do_clause),
    "clause_met": Type("the evidence that a clause is met", "order=PO-7 clause=C4 document=FA-118",
                       _f("order:text number | clause:text its name | document:text the evidence"
                          " | serials?:list it is about"), do_clause_met),
    "contract_review": Type("the lead compared an order, its clauses and its quote with what the shop can do",
                            "order=PO-7 document=CR-7",
                            _f("order:text number | document:text of the review | remarks?:text on it"),
                            do_contract_review),
    "hours": Type("what an operation of an order took", "order=PO-7 operation=saw hours=1.5",
                  _f("order:text number | operation:text of the route | hours:text decimal number"
                     " | serials?:list they were for | day?:date of the work"), do_hours),
    "invoice": Type("what was paid for an order", "order=PO-7 kind=outside amount='612.00 USD' document=IN-81",
                    _f("order:text number | kind:text material, hardware, outside | amount:text with its currency"
                       " | document:text of the invoice | supplier?:text name"), do_invoice),
    "question": Type("something must be known", "question=Q1 text='Rating of F1?' owner=customer due=2031-05-09"
                     " blocks=release order=PO-7",
                     _f("question:text its name | text:text what is asked | owner:text who answers | due:date until"
                        " | blocks:list quote, sign_out, release | order?:text number, or"
                        " | line?:text of that order, where not all of it"
                        " | variation?:text part, before any order"
                        " | field?:text the open question of a definition that it asks"
                        " | assumed?:text what results take meanwhile"
                        " | addressee?:text who is asked, where not the owner"), do_question),
    "answer": Type("an answer with its document", "question=Q1 answer='5000 lbf' document=MAIL-77",
                   _f("question:text its name | answer:text what is known now | document:text that says so"
                      " | file?:text scan of it, in the folder"
                      " | reason?:text why it is another now; the earlier answer is kept"), do_answer),
    "approval_reference": Type(
        "where the design approval of a revision is documented",
        "revision='ER-47-V12 rev A' reference=DA-118 holder='The holder' document='DA-118 rev A' date=2031-05-09",
        _f("revision:text PART rev LETTER | reference:text number | holder:text of the approval"
           " | document:text that holds it | date:date of it"), do_approval_reference),
    "at_risk": Type("a named person lets sawing go on before the approval reference is there",
                    "revision='ER-47-V12 rev A' reason='customer accepts the risk, MAIL-80'",
                    _f("revision:text PART rev LETTER | reason:text why"), do_at_risk),
    "row_confirmed": Type("a person compared a reference row with its source",
                          "row=6061-T6-drawn-tube-S document='the handbook, own copy 3' place='table 3.6.2.0(c1)'",
                          _f("row:text id | document:text compared with | place?:text in it"), do_row_confirmed),
    "report": Type("the next revision of a strength report is prepared of a frozen revision",
                   "report=SR-118 revision='ER-47-V12 rev A'",
                   _f("report:text number | revision:text PART rev LETTER"
                      " | more?:list payloads, sensitivity; they take minutes"), do_report),
    "report_checked": Type("another person than its preparer checked the newest revision of a report",
                           "report=SR-118 letter=B remarks='margins of the posts worked again'",
                           _f("report:text number | letter:text of the report's revision | remarks?:text on it"),
                           do_report_checked),
    "report_released": Type("a checked revision of a report is released; refused with its reasons",
                            "report=SR-118 letter=B",
                            _f("report:text number | letter:text of the report's revision"), do_report_released),
    "without_report": Type("an engineer lets racks of a revision leave though its strength report is not released",
                           "revision='ER-47-V12 rev A' reason='the holder has a substantiation of its own'"
                           " document='SUB-118 rev A'",
                           _f("revision:text PART rev LETTER | reason:text why | document?:text in its place"),
                           do_without_report),
    "serial": Type("serial numbers for the racks of an order",
                   "order=PO-7 revision='ER-47-V12 rev A' serials=V12-0001,V12-0002,V12-0003",
                   _f("order:text number | revision:text PART rev LETTER | serials:list one a rack"
                      " | line?:text of the order, where it has several"), do_serial),
    "receive": Type("stock came in: all of the stock file that is not in the record yet", "--from stock.toml",
                    _f("stock_id?:list only these"), do_receive,
                    file="The stock file.  [default: the shop's stock.toml]"),
    "accept": Type("another than who entered it compares the certificate with the paper; each row is judged",
                   "stock_id=T-01,T-02",
                   _f("stock_id:list bars, offcuts, lots"), do_accept),
    "certificate": Type("the certificate of stock that is here is entered as the stock file has it now",
                        "stock_id=T-07",
                        _f("stock_id:list bars, offcuts, lots"), do_certificate,
                        file="The stock file.  [default: the shop's stock.toml]"),
    "examine": Type("what is seen and measured of stock that came in, before it is accepted",
                    "stock_id=T-01 marking='HV 6061-T6 H4471' gauges=MI-3 conductivity=43.1"
                    " walls='end 1=0.1252 in, middle=0.1248 in, end 2=0.1250 in'",
                    _f("stock_id:text which | marking:text as it stands on the metal | gauges?:list what measured"
                       " | walls?:lengths place=wall or thickness, three or more | conductivity?:text % IACS"
                       " | hardness?:text with its scale, as 82 HRB"
                       " | weight?:text per length, as 0.777 lb/ft, or of the bar, as 15.5 lb"), do_examine),
    "reading_decided": Type("a lead decides of a value read off stock for which no limit is known: may it be used",
                            "stock_id=P-41 reading=hardness use=yes reason='as the lots before' document=MAIL-12",
                            _f("stock_id:text which | reading:text conductivity, hardness or weight"
                               " | use:yes_no may it be used | reason:text why | document:text of whom"),
                            do_reading_decided),
    "origin": Type("the papers between mill and shop: the distributor's and the shop's own purchase order",
                   "stock_id=T-01,T-02 distributor='Fell Metals' slip=PS-118 slip_file=papers-in/PS-118.pdf"
                   " purchase_order=B-77",
                   _f("stock_id:list bars, offcuts, lots | distributor?:text who sold it"
                      " | slip?:text number of its certificate or packing slip | slip_file?:text scan, in the folder"
                      " | purchase_order?:text number of the shop's own | order_file?:text scan, in the folder"),
                   do_origin),
    "storage": Type("how stock that ages was stored; out of the range of its row it is quarantined",
                    "stock_id=X-2 lowest='41 degF' highest='79 degF' since=2031-05-01 until=2031-05-09 document=LOG-4",
                    _f("stock_id:text the lot | lowest:degrees seen | highest:degrees seen | since:date day"
                       " | until:date included | document:text the log | gauge?:text what measured"), do_storage),
    "storage_decided": Type("the lead decides on stock that was stored out of its range; then it is accepted anew",
                            "stock_id=X-2 use=yes reason='four hours, as the maker allows' document=MAIL-12",
                            _f("stock_id:text the lot | use:yes_no may it be used | reason:text why"
                               " | document:text of the maker"), do_storage_decided),
    "stock_label": Type("a label was put on stock and read back: metal that bears one is signed out by it",
                        "stock_id=T-01 label=T-01",
                        _f("stock_id:text bar, plate or lot | label:text its symbol as scanned, or its number"),
                        do_stock_label),
    "inside": Type("the inside of a tube as measured at its ends: the mill's spigots are held against it",
                   "stock_id=T-01 widths='end 1=1.2495 in, end 2=1.2500 in' corner='0.062 in' gauge=CA-11",
                   _f("stock_id:text bar or offcut | widths:lengths place=width across flats, two or more"
                      " | corner:length inside radius | gauge:text number"), do_inside),
    "opened": Type("a lot is opened or mixed: from then on it is good until a day and no longer",
                   "stock_id=X-2 until=2031-06-01 document='maker\'s sheet WS-8'",
                   _f("stock_id:text the lot | until:date by its maker's sheet | document:text that says so"),
                   do_opened),
    "quarantine": Type("stock is set aside", "stock_id=T-06 reason='Fty below the specification'",
                       _f("stock_id:text which | reason:text why"), do_quarantine),
    "saw_plan": Type("what is still to be sawn of an order is planned and numbered; the plan before is superseded",
                     "order=PO-7 reason='V12-0001/post.front-left sawn short'",
                     _f("order:text number | line?:text of it, planned apart"
                        " | reason?:text why anew, needed from the second plan on"
                        " | metal_at?:temperature measured of the bars | scale_at?:temperature measured of the stop's"
                        " scale"), do_saw_plan),
    "issue": Type("a bar or plate is signed out for pieces, or hardware of a lot for serials",
                  "stock_id=T-01 order=PO-7 revision='ER-47-V12 rev A' pieces=V12-0001/post.front-left label=T-01",
                  _f("stock_id:text which | order:text number | revision:text PART rev LETTER"
                     " | pieces?:list SERIAL/piece"
                     " | label?:text as read off the bar or plate, where it bears one"
                     " | serials?:list of a lot | quantity?:count of a lot"), do_issue),
    "substitute": Type("a lead lets stock go into pieces that are drawn of other metal, as the holder accepts",
                       "stock_id=T-31 revision='ER-47-V12 rev A' pieces=V12-0001/rail.left reason='no 1/8 wall'"
                       " document='DA-118 rev B' signer='The holder' date=2031-05-09",
                       _f("stock_id:text which | revision:text PART rev LETTER | pieces:list SERIAL/piece"
                          " | reason:text why | document:text of the holder | signer:text of the holder"
                          " | date:date of it"), do_substitute),
    "return": Type("an issued bar or plate goes back unused, or hardware to its lot",
                   "stock_id=F-1 order=PO-7 quantity=6",
                   _f("stock_id:text which | order:text number | quantity?:count of a lot"), do_return),
    "count": Type("what a person measured of a bar or counted of a lot; the audit compares",
                  "stock_id=T-01-R length='62.9 in'",
                  _f("stock_id:text which | length?:length of a bar | quantity?:count of a lot"), do_count),
    "scrap": Type("stock or a piece is thrown away, with a reason, made unusable before a witness",
                  "stock_id=T-01-R length='3 in' reason='end split' unusable='sawn through' witness='E. Lund'",
                  _f("reason:text why | unusable:text how, as in sawn through | witness:text who saw it, an inspector"
                     " | stock_id?:text bar, plate or lot | length?:length of a bar, else all of it"
                     " | quantity?:count of a lot, else all of it | piece?:text SERIAL/piece"), do_scrap),
    "witness": Type("who saw scrap made unusable signs it: another than who scrapped it",
                    "about=V12-0001/post.front-left text='sawn through at half its length'",
                    _f("about:list pieces, stock or racks that await a witness | text:text what was seen"), do_witness),
    "label": Type("a piece came off its bar, and the label put on it was read back: one act a piece",
                  "piece=V12-0001/post.front-left label=V12-0001/post.front-left",
                  _f("piece:text SERIAL/piece | label:text its symbol as scanned, or its number"), do_label),
    "cut": Type("a bar's visit to the saw: pieces, kerf, trim and rest sum to its length",
                "stock_id=T-01 order=PO-7 pieces='V12-0001/post.front-left=40.5 in' kerf='0.125 in' trim='0.5 in'"
                " rest='198.875 in' remnant=T-01-R label=L-9 machine=S1",
                _f("stock_id:text which | order:text number | pieces:lengths SERIAL/piece=length | kerf:length in all"
                   " | trim:length squaring cut included | rest:length as left | machine:text saw"
                   " | remnant?:text id of a rest that is kept | label?:text put on it | gauges?:list stop"), do_cut),
    "profile_cut": Type("a plate's visit to the table: blanks, kerf, skeleton and remnants sum to its area",
                        "stock_id=P-41 order=PO-7 machine=J1"
                        " remnants='P-41-R1=20 in x 0 in; 36 in x 0 in; 36 in x 12 in;"
                        " 20 in x 12 in' labels='P-41-R1=L-12'",
                        _f("stock_id:text which | order:text number | machine:text table"
                           " | pieces?:list SERIAL/piece, else all that it was signed out for"
                           " | remnants?:outlines id=corners as they lay on the plate, anticlockwise"
                           " | labels?:pairs id=label put on it and read back"
                           " | kerf?:length as measured, else the shop's"),
                        do_profile_cut),
    "piece": Type("pieces come from counted stock: blanks, sheet",
                  "stock_id=B-01 order=PO-7 revision='ER-47-V12 rev A' pieces=V12-0001/block.top.front-left",
                  _f(f"stock_id:text which | order:text number | revision:text PART rev LETTER | {_PIECES}"), do_piece),
    **{name: Type(f"{words} pieces", "pieces=V12-0001/post.front-left machine=M1 values='angle=45.1 deg'", _STEP,
                  do_step(name))
       for name, words in (("mill", "milled"), ("bend", "bent"), ("drill", "drilled"), ("coat", "coated"))},
    "bake": Type("pieces were baked: the oven's own file says whether it met its rule",
                 "--from oven-3.csv pieces=V12-0001/post.front-left machine='oven O-3'",
                 _f(f"{_PIECES} | machine:text oven | gauges?:list of the oven"), do_bake,
                 file="The oven's thermocouple file (CSV)."),
    "operation": Type("another step of the route on pieces", "step=deburr pieces=V12-0001/post.front-left",
                      (Field("step", "text", "deburr, pretreat, fit_up ..."), *_STEP), do_step("operation")),
    "send_out": Type("pieces go to a supplier",
                     "supplier='Fell Coaters' process=coat pieces=V12-0001/pad.1 document=DN-4",
                     _f(f"supplier:text name | process:text in its scope | {_PIECES} | document:text note"
                        " | back?:date agreed"),
                     do_send_out),
    "receive_back": Type("pieces come back, counted", "supplier='Fell Coaters' process=coat pieces=V12-0001/pad.1"
                         " certificate=CC-9 lot=B-31",
                         _f(f"supplier:text name | process:text done | {_PIECES} | short?:list missing"
                            " | certificate?:text number; none only where all is short"
                            " | lot?:text the supplier's; one act a lot"), do_receive_back),
    "assemble": Type("joints of a rack were tightened, and the pieces that they hold are assembled",
                     "serial=V12-0001 jig=J-47 wrench=TW-6 torque='joint.post.front-left.low.1=55 in*lbf'"
                     " running='joint.post.front-left.low.1=4 in*lbf'",
                     _f("serial:text number | jig:text its number in the record | wrench:text gauge number"
                        " | torque:pairs joint=final torque | running:pairs joint=running torque of its nut"
                        " | lots?:list used, else those drawn for the serial"
                        " | pieces?:list SERIAL/piece, else all that are not assembled yet"), do_assemble),
    "test_bend": Type("a test bend of a heat, measured: it gives K to the blanks that are not cut yet",
                      "--from TB-21.toml gauge=PR-1 cracks=none",
                      _f("gauge:text what measured | cracks:text none, or as seen | gauges?:list die"), do_test_bend,
                      file='The bend: TOML, format = "rackwright/test-bend/1" and one [[bend_test]] as in shop.toml.'),
    "passport": Type("the interchange points of an assembled rack, as measured from the jig's datum",
                     "--from points.csv serial=V12-0001 gauge=CM-2",
                     _f("serial:text number | gauge:text what measured | gauges?:list the jig's bushings"), do_passport,
                     file="The points: a CSV with the columns point,x_in,y_in,z_in."),
    "weigh": Type("a bare rack on four scales, under its pads",
                  "serial=V12-0001 gauge=SC-1 readings='front-left=10.1 lb, front-right=10.2 lb,"
                  " rear-left=9.8 lb, rear-right=9.9 lb'",
                  _f("serial:text number | gauge:text scales | readings:pairs pad=mass"), do_weigh),
    "measure": Type("what one gauge read on one piece, or on the rack as SERIAL/rack",
                    "piece=V12-0001/post.front-left readings='length=40.501 in' gauge=LB-2",
                    _f("piece:text SERIAL/piece | readings:pairs characteristic=value, GO/NO-GO: yes, no"
                       " | gauge:text number"),
                    do_measure),
    "hold_point": Type("an inspector who did not make it signs a hold point off, and work goes on",
                       "point=fit_up serials=V12-0001 remarks='gaps below 0.010 in'",
                       _f("point:text as on the traveler: mill, bend, fit_up, inspect_metal, bake, inspect_film,"
                          " assemble, inspect | serials?:list racks: every piece of them that it is of"
                          " | pieces?:list SERIAL/piece, these alone | remarks?:text what was seen"), do_hold_point),
    "evidence_owed": Type("a lead writes down what evidence racks owe before their release, or what they do not owe",
                          "evidence='passivation of rings' kind=passivation order=PO-7 document='CT-1 rev B'"
                          " text='rings passivated after bending' each=lot of='ASTM A240 304' process=passivate",
                          _f("evidence:text its name | document:text that asks for it, or lets it go"
                             " | order?:text number, or | revision?:text PART rev LETTER"
                             " | kind?:text flammability, passivation, proof load ... | text?:text what is asked"
                             " | each?:text revision, lot or serial: what one may cover"
                             " | of?:list stock specifications, or pieces as the definition names them"
                             " | process?:text outside work or step whose record on these stands for it"
                             " | not_owed?:text why what is on the list is not owed"), do_evidence_owed),
    "evidence": Type("evidence that is owed is there, or did not pass: its document, and what it covers",
                     "evidence='flammability of powder PX-21' document=FT-31 date=2031-02-11 tested_by='a laboratory'"
                     " file=ft-31.pdf revision='ER-47-V12 rev A'",
                     _f("evidence:text as it is owed | document:text its number | date:date of it"
                        " | tested_by:text who tested or certified | file:text its paper, in the folder"
                        " | revision?:text PART rev LETTER, a type test; or | lots?:list lots or heats; or"
                        " | serials?:list racks | passed?:yes_no no: it did not | found?:text what was found"),
                     do_evidence),
    "release": Type("a serial is released, every gate passed", "serial=V12-0001", _f("serial:text number"), do_release),
    "ship": Type("released serials leave", "serials=V12-0001 to='A survey' document=DN-9",
                 _f("serials:list numbers | to:text whom | document:text note"), do_ship),
    "first_article": Type("a serial is the first article of its revision",
                          "serial=V12-0001 kind=full field_list=C reason='first rack of revision A'",
                          _f("serial:text number | kind:text full or partial | field_list:text revision of the list"
                             " | reason:text why | baseline?:text serial that a partial one adds to"),
                          do_first_article),
    "installed": Type("a customer says in which aircraft a rack is",
                      "serial=V12-0001 aircraft='no. 1107' document=MAIL-9",
                      _f("serial:text number | aircraft:text its serial number | document:text that says so"
                         " | day?:date of it"), do_installed),
    "come_back": Type("a rack that was shipped is in the shop's hands again",
                      "serial=V12-0001 from='A survey' document=DN-31 reason='coat flaking at the rear'"
                      " condition='posts scratched, nothing bent' day=2033-02-01 hours=1240.5",
                      _f("serial:text number | from:text whom | document:text note | reason:text why"
                         " | condition:text as found | day:date it came | hours?:text in service, decimal"),
                      do_come_back),
    "service_work": Type("work on a rack that came back: inspection, rework, repair or strip",
                         "serial=V12-0001 work=W-8 kind=strip text='all coat off' method='plastic media, 30 psi'"
                         " document='PS-4 rev C' holder='A shop' date=2033-02-03",
                         _f("serial:text number | work:text its number | kind:text inspection, rework, repair, strip"
                            " | text:text what was done | document:text whose data it is done by | holder:text of it"
                            " | date:date of it | pieces?:list SERIAL/piece; of a strip all coated ones, if none is"
                            " named | joints?:list taken apart | nonconformance?:text that it follows"
                            " | characteristics?:list measured anew of its pieces | method?:text of a strip"
                            " | lots?:list used"), do_service_work),
    "replace": Type("a piece of a serial is replaced; the joints that hold it are taken apart",
                    "serial=V12-0001 old=V12-0001/rail.left new=V12-0001/rail.left.2 reason=dented work=W-9"
                    " document=SR-3 holder='The holder' date=2033-02-03 fate=kept place='shelf Q1'",
                    _f("serial:text number | old:text piece | new:text piece | reason:text why | work:text its number"
                       " | document:text whose data it is done by | holder:text of it | date:date of it"
                       " | fate:text of the old piece: scrapped, customer, kept | place?:text where it is kept"
                       " | unusable?:text how scrap was made so | witness?:text who saw it, an inspector"),
                    do_replace),
    "back_to_service": Type("a rack that was worked on may leave again, every gate passed",
                            "serial=V12-0001 works=W-8,W-9",
                            _f("serial:text number | works:list all work since it came back | text?:text on it"),
                            do_back_to_service),
    "swap": Type("a rack carries another box in an item's place; its margins are said",
                 "serial=V12-0001 item=recorder by_whom=customer part=RC-9 box=0417 mass='21.5 lb'"
                 " cg='4 in, 6 in, 3 in' document=MAIL-120",
                 _f("serial:text number | item:text of the definition | by_whom:text customer or shop"
                    " | document:text that states it | mass?:text of the box, with unit"
                    " | cg?:list three lengths from its corner | part?:text number | box?:text its own serial number"
                    " | shelf?:text that it stands on now | at?:list two lengths, x and y there"
                    " | out?:yes_no yes: nothing is there | day?:date of it"
                    " | holes?:text of those that it leaves where it was: open, filled"
                    " | nonconformance?:text whose accepted repair fills them"), do_swap),
    "nonconformance": Type("something is not as it should be; its pieces or racks are held",
                           "nonconformance=NC-1 text='hole torn' pieces=V12-0001/post.front-left",
                           _f("nonconformance:text number | text:text what | pieces?:list SERIAL/piece"
                              " | serials?:list whole racks | characteristic?:text which | values?:pairs margins"),
                           do_nonconformance),
    "disposition": Type("what is done about it: use_as_is, repair, rework or scrap",
                        "nonconformance=NC-1 decision=scrap reason='beyond repair' unusable='sawn through'"
                        " witness='E. Lund'",
                        _f("nonconformance:text number | decision:text which | reason:text why"
                           " | cause?:text what it came of, in few words | document?:text of the holder"
                           " | signer?:text of the holder | date?:date of it | customer_document?:text where ordered"
                           " | customer_signer?:text of the customer | customer_date?:date of it"
                           " | unusable?:text how scrap was made so | witness?:text who saw it, an inspector"),
                        do_disposition),
    "corrective_action": Type("what is done so that a cause does not come again",
                              "action=CA-4 cause='clamp left open' text='clamp interlock on saw S1' owner='B. Tarrow'"
                              " due=2031-07-01 nonconformances=NC-1,NC-3",
                              _f("action:text number | cause:text as at the disposition | text:text what is done"
                                 " | owner:text person | due:date until | nonconformances?:list it answers"),
                              do_corrective_action),
    "action_done": Type("the owner of a corrective action did it", "action=CA-4 text='fitted and tried'",
                        _f("action:text number | text:text what was done | document?:text of it"), do_action_done),
    "action_verified": Type("another person than its owner looked whether an action holds",
                            "action=CA-4 effective=yes found='no short cut in 40 bars'",
                            _f("action:text number | effective:yes_no does it hold | found:text what was seen"
                               " | document?:text of it"), do_action_verified),
    "red_line": Type("a drawing was changed after work began: what was recorded is done or measured anew",
                     "red_line=RL-1 revision='ER-47-V12 rev A' text='hole 1/8 in lower' document=ECO-5"
                     " decided_by='A. Quill' pieces=V12-0001/post.front-left steps=drill,deburr",
                     _f("red_line:text its number | revision:text PART rev LETTER | text:text what is changed"
                        " | document:text of it | decided_by:text who | pieces?:list SERIAL/piece"
                        " | serials?:list racks | steps?:list done anew on each of the pieces"
                        " | characteristics?:list measured anew of each"), do_red_line),
    "red_line_lifted": Type("what a red line still asks for need not be done anew",
                            "red_line=RL-1 reason='part of ECO-5 withdrawn'",
                            _f("red_line:text its number | reason:text why | document?:text of it"),
                            do_red_line_lifted),
    "correction": Type("how an earlier event should have read; it stays as it was recorded",
                       "event=412 reason='digits exchanged, sheet IS-3' fields='value=40.510 in'",
                       _f("event:count its number | reason:text how it came about"
                          " | fields?:pairs field=as it should have read | void?:yes_no not at all"), do_correction),
    "hold": Type("nothing more may be done with these", "hold=H-1 reason='heat in doubt' heats=H4471",
                 _f("hold:text its name | reason:text why | pieces?:list held | serials?:list held"
                    " | stock_ids?:list held | heats?:list held"), do_hold),
    "lift": Type("a hold is lifted, with a reason", "hold=H-1 reason='mill confirmed the heat, MAIL-90'",
                 _f("hold:text its name | reason:text why"), do_lift),
}  # fmt: skip

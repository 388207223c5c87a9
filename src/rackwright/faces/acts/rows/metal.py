"""From truck to piece: receiving, issue, saw and plate."""

from __future__ import annotations

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
from rackwright.faces.acts.making import do_profile_cut, do_saw_plan, do_step
from rackwright.faces.acts.shop import (
    do_accept,
    do_certificate,
    do_count,
    do_cut,
    do_issue,
    do_label,
    do_piece,
    do_quarantine,
    do_receive,
    do_return,
    do_scrap,
    do_substitute,
    do_witness,
)
from rackwright.faces.acts.type import PIECES, STEP, Type, keys

__all__ = ["METAL"]

METAL: dict[str, Type] = {
    "receive": Type("stock came in: all of the stock file that is not in the record yet", "--from stock.toml",
                    keys("stock_id?:list only these"), do_receive,
                    file="The stock file.  [default: the shop's stock.toml]"),
    "accept": Type("another than who entered it compares the certificate with the paper; each row is judged",
                   "stock_id=T-01,T-02",
                   keys("stock_id:list bars, offcuts, lots"), do_accept),
    "certificate": Type("the certificate of stock that is here is entered as the stock file has it now",
                        "stock_id=T-07",
                        keys("stock_id:list bars, offcuts, lots"), do_certificate,
                        file="The stock file.  [default: the shop's stock.toml]"),
    "examine": Type("what is seen and measured of stock that came in, before it is accepted",
                    "stock_id=T-01 marking='HV 6061-T6 H4471' gauges=MI-3 conductivity=43.1"
                    " walls='end 1=0.1252 in, middle=0.1248 in, end 2=0.1250 in'",
                    keys("stock_id:text which | marking:text as it stands on the metal | gauges?:list what measured"
                       " | walls?:lengths place=wall or thickness, three or more | conductivity?:text % IACS"
                       " | hardness?:text with its scale, as 82 HRB"
                       " | weight?:text per length, as 0.777 lb/ft, or of the bar, as 15.5 lb"), do_examine),
    "reading_decided": Type("a lead decides of a value read off stock for which no limit is known: may it be used",
                            "stock_id=P-41 reading=hardness use=yes reason='as the lots before' document=MAIL-12",
                            keys("stock_id:text which | reading:text conductivity, hardness or weight"
                               " | use:yes_no may it be used | reason:text why | document:text of whom"),
                            do_reading_decided),
    "origin": Type("the papers between mill and shop: the distributor's and the shop's own purchase order",
                   "stock_id=T-01,T-02 distributor='Fell Metals' slip=PS-118 slip_file=papers-in/PS-118.pdf"
                   " purchase_order=B-77",
                   keys("stock_id:list bars, offcuts, lots | distributor?:text who sold it"
                      " | slip?:text number of its certificate or packing slip | slip_file?:text scan, in the folder"
                      " | purchase_order?:text number of the shop's own | order_file?:text scan, in the folder"),
                   do_origin),
    "storage": Type("how stock that ages was stored; out of the range of its row it is quarantined",
                    "stock_id=X-2 lowest='41 degF' highest='79 degF' since=2031-05-01 until=2031-05-09 document=LOG-4",
                    keys("stock_id:text the lot | lowest:degrees seen | highest:degrees seen | since:date day"
                       " | until:date included | document:text the log | gauge?:text what measured"), do_storage),
    "storage_decided": Type("the lead decides on stock that was stored out of its range; then it is accepted anew",
                            "stock_id=X-2 use=yes reason='four hours, as the maker allows' document=MAIL-12",
                            keys("stock_id:text the lot | use:yes_no may it be used | reason:text why"
                               " | document:text of the maker"), do_storage_decided),
    "stock_label": Type("a label was put on stock and read back: metal that bears one is signed out by it",
                        "stock_id=T-01 label=T-01",
                        keys("stock_id:text bar, plate or lot | label:text its symbol as scanned, or its number"),
                        do_stock_label),
    "inside": Type("the inside of a tube as measured at its ends: the mill's spigots are held against it",
                   "stock_id=T-01 widths='end 1=1.2495 in, end 2=1.2500 in' corner='0.062 in' gauge=CA-11",
                   keys("stock_id:text bar or offcut | widths:lengths place=width across flats, two or more"
                      " | corner:length inside radius | gauge:text number"), do_inside),
    "opened": Type("a lot is opened or mixed: from then on it is good until a day and no longer",
                   "stock_id=X-2 until=2031-06-01 document='maker\'s sheet WS-8'",
                   keys("stock_id:text the lot | until:date by its maker's sheet | document:text that says so"),
                   do_opened),
    "quarantine": Type("stock is set aside", "stock_id=T-06 reason='Fty below the specification'",
                       keys("stock_id:text which | reason:text why"), do_quarantine),
    "saw_plan": Type("what is still to be sawn of an order is planned and numbered; the plan before is superseded",
                     "order=PO-7 reason='V12-0001/post.front-left sawn short'",
                     keys("order:text number | line?:text of it, planned apart"
                        " | reason?:text why anew, needed from the second plan on"
                        " | metal_at?:temperature measured of the bars | scale_at?:temperature measured of the stop's"
                        " scale"), do_saw_plan),
    "issue": Type("a bar or plate is signed out for pieces, or hardware of a lot for serials",
                  "stock_id=T-01 order=PO-7 revision='ER-47-V12 rev A' pieces=V12-0001/post.front-left label=T-01",
                  keys("stock_id:text which | order:text number | revision:text PART rev LETTER"
                     " | pieces?:list SERIAL/piece"
                     " | label?:text as read off the bar or plate, where it bears one"
                     " | serials?:list of a lot | quantity?:count of a lot"), do_issue),
    "substitute": Type("a lead lets stock go into pieces that are drawn of other metal, as the holder accepts",
                       "stock_id=T-31 revision='ER-47-V12 rev A' pieces=V12-0001/rail.left reason='no 1/8 wall'"
                       " document='DA-118 rev B' signer='The holder' date=2031-05-09",
                       keys("stock_id:text which | revision:text PART rev LETTER | pieces:list SERIAL/piece"
                          " | reason:text why | document:text of the holder | signer:text of the holder"
                          " | date:date of it"), do_substitute),
    "return": Type("an issued bar or plate goes back unused, or hardware to its lot",
                   "stock_id=F-1 order=PO-7 quantity=6",
                   keys("stock_id:text which | order:text number | quantity?:count of a lot"), do_return),
    "count": Type("what a person measured of a bar or counted of a lot; the audit compares",
                  "stock_id=T-01-R length='62.9 in'",
                  keys("stock_id:text which | length?:length of a bar | quantity?:count of a lot"), do_count),
    "scrap": Type("stock or a piece is thrown away, with a reason, made unusable before a witness",
                  "stock_id=T-01-R length='3 in' reason='end split' unusable='sawn through' witness='E. Lund'",
                  keys("reason:text why | unusable:text how, as in sawn through | witness:text who saw it, an inspector"
                     " | stock_id?:text bar, plate or lot | length?:length of a bar, else all of it"
                     " | quantity?:count of a lot, else all of it | piece?:text SERIAL/piece"), do_scrap),
    "witness": Type("who saw scrap made unusable signs it: another than who scrapped it",
                    "about=V12-0001/post.front-left text='sawn through at half its length'",
                    keys("about:list pieces, stock or racks that await a witness | text:text what was seen"),
                    do_witness),
    "label": Type("a piece came off its bar, and the label put on it was read back: one act a piece",
                  "piece=V12-0001/post.front-left label=V12-0001/post.front-left",
                  keys("piece:text SERIAL/piece | label:text its symbol as scanned, or its number"), do_label),
    "cut": Type("a bar's visit to the saw: pieces, kerf, trim and rest sum to its length",
                "stock_id=T-01 order=PO-7 pieces='V12-0001/post.front-left=40.5 in' kerf='0.125 in' trim='0.5 in'"
                " rest='198.875 in' remnant=T-01-R label=L-9 machine=S1",
                keys("stock_id:text which | order:text number | pieces:lengths SERIAL/piece=length | kerf:length in all"
                   " | trim:length squaring cut included | rest:length as left | machine:text saw"
                   " | remnant?:text id of a rest that is kept | label?:text put on it | gauges?:list stop"), do_cut),
    "profile_cut": Type("a plate's visit to the table: blanks, kerf, skeleton and remnants sum to its area",
                        "stock_id=P-41 order=PO-7 machine=J1"
                        " remnants='P-41-R1=20 in x 0 in; 36 in x 0 in; 36 in x 12 in;"
                        " 20 in x 12 in' labels='P-41-R1=L-12'",
                        keys("stock_id:text which | order:text number | machine:text table"
                           " | pieces?:list SERIAL/piece, else all that it was signed out for"
                           " | remnants?:outlines id=corners as they lay on the plate, anticlockwise"
                           " | labels?:pairs id=label put on it and read back"
                           " | kerf?:length as measured, else the shop's"),
                        do_profile_cut),
    "piece": Type("pieces come from counted stock: blanks, sheet",
                  "stock_id=B-01 order=PO-7 revision='ER-47-V12 rev A' pieces=V12-0001/block.top.front-left",
                  keys(f"stock_id:text which | order:text number | revision:text PART rev LETTER | {PIECES}"),
                  do_piece),
    **{name: Type(f"{words} pieces", "pieces=V12-0001/post.front-left machine=M1 values='angle=45.1 deg'", STEP,
                  do_step(name))
       for name, words in (("mill", "milled"), ("bend", "bent"), ("drill", "drilled"), ("coat", "coated"))},
}  # fmt: skip

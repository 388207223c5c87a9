"""The order: lines, quotes, clauses, questions, reports, serials."""

from __future__ import annotations

from rackwright.faces.acts.office import (
    do_agree,
    do_clause,
    do_clause_met,
    do_contract_review,
    do_hours,
    do_invoice,
    do_quote,
)
from rackwright.faces.acts.reports import do_report, do_report_checked, do_report_released, do_row_confirmed
from rackwright.faces.acts.shop import (
    do_answer,
    do_approval_reference,
    do_at_risk,
    do_order,
    do_order_line,
    do_question,
    do_serial,
    do_without_report,
)
from rackwright.faces.acts.type import Type, keys

__all__ = ["OFFICE"]

OFFICE: dict[str, Type] = {
    "order": Type("an order, with its first line: racks of one variation",
                  "order=PO-7 customer='A survey' file=variations/er-47-v12.toml quantity=3"
                  " due=2031-06-01 document=CT-1",
                  keys("order:text number | customer:text name | file:text definition | quantity:count of racks"
                     " | due:date of delivery | document:text of the customer | weight?:count of a late day"
                     " | aircraft_serials?:list of the aircraft they are for"),
                  do_order),
    "order_line": Type("a line of an order is added, changed or withdrawn, by the customer's document",
                       "order=PO-7 line=2 file=variations/er-47-v12.toml quantity=1 due=2031-07-01"
                       " document='CT-1 rev B'",
                       keys("order:text number | line:text its name, 1 that of the first"
                          " | document:text of the customer that says so | reason?:text why, where the line was there"
                          " | file?:text definition, of a new line | quantity?:count of racks | due?:date of delivery"
                          " | price?:text of the line, with its currency | aircraft_serials?:list it is for"
                          " | withdrawn?:yes_no no longer to be made | without?:list serials that fall out"),
                       do_order_line),
    "quote": Type("a price is offered: the next revision of a quote, of the definition in the folder",
                  "quote=Q-118 customer='A survey' file=variations/er-47-v12.toml quantity=3 until=2031-06-30",
                  keys("quote:text number | customer:text name | file:text definition | quantity:count of racks"
                     " | more?:pairs FILE=quantity of further definitions | until?:date it holds"), do_quote),
    "agree": Type("the customer ordered at a revision of a quote", "quote=Q-118 revision=B order=PO-7",
                  keys("quote:text number | revision:text its letter | order:text number"), do_agree),
    "clause": Type("a clause of an order, who meets it, and what waits for its evidence",
                   "order=PO-7 clause=C4 text='first article with the first rack' met_by=inspection document=CT-1"
                   " before=ship",
                   keys("order:text number | clause:text its name | text:text what it asks | met_by:text who"
                      " | document:text that holds it | before?:text sign_out, release, ship waits for its evidence;"
                      " disposition: the customer accepts | withdrawn?:yes_no it no longer holds"), do_clause),
    "clause_met": Type("the evidence that a clause is met", "order=PO-7 clause=C4 document=FA-118",
                       keys("order:text number | clause:text its name | document:text the evidence"
                          " | serials?:list it is about"), do_clause_met),
    "contract_review": Type("the lead compared an order, its clauses and its quote with what the shop can do",
                            "order=PO-7 document=CR-7",
                            keys("order:text number | document:text of the review | remarks?:text on it"),
                            do_contract_review),
    "hours": Type("what an operation of an order took", "order=PO-7 operation=saw hours=1.5",
                  keys("order:text number | operation:text of the route | hours:text decimal number"
                     " | serials?:list they were for | day?:date of the work"), do_hours),
    "invoice": Type("what was paid for an order", "order=PO-7 kind=outside amount='612.00 USD' document=IN-81",
                    keys("order:text number | kind:text material, hardware, outside | amount:text with its currency"
                       " | document:text of the invoice | supplier?:text name"), do_invoice),
    "question": Type("something must be known", "question=Q1 text='Rating of F1?' owner=customer due=2031-05-09"
                     " blocks=release order=PO-7",
                     keys("question:text its name | text:text what is asked | owner:text who answers | due:date until"
                        " | blocks:list quote, sign_out, release | order?:text number, or"
                        " | line?:text of that order, where not all of it"
                        " | variation?:text part, before any order"
                        " | field?:text the open question of a definition that it asks"
                        " | assumed?:text what results take meanwhile"
                        " | addressee?:text who is asked, where not the owner"), do_question),
    "answer": Type("an answer with its document", "question=Q1 answer='5000 lbf' document=MAIL-77",
                   keys("question:text its name | answer:text what is known now | document:text that says so"
                      " | file?:text scan of it, in the folder"
                      " | reason?:text why it is another now; the earlier answer is kept"), do_answer),
    "approval_reference": Type(
        "where the design approval of a revision is documented",
        "revision='ER-47-V12 rev A' reference=DA-118 holder='The holder' document='DA-118 rev A' date=2031-05-09",
        keys("revision:text PART rev LETTER | reference:text number | holder:text of the approval"
           " | document:text that holds it | date:date of it"), do_approval_reference),
    "at_risk": Type("a named person lets sawing go on before the approval reference is there",
                    "revision='ER-47-V12 rev A' reason='customer accepts the risk, MAIL-80'",
                    keys("revision:text PART rev LETTER | reason:text why"), do_at_risk),
    "row_confirmed": Type("a person compared a reference row with its source",
                          "row=6061-T6-drawn-tube-S document='the handbook, own copy 3' place='table 3.6.2.0(c1)'",
                          keys("row:text id | document:text compared with | place?:text in it"), do_row_confirmed),
    "report": Type("the next revision of a strength report is prepared of a frozen revision",
                   "report=SR-118 revision='ER-47-V12 rev A'",
                   keys("report:text number | revision:text PART rev LETTER"
                      " | more?:list payloads, sensitivity; they take minutes"), do_report),
    "report_checked": Type("another person than its preparer checked the newest revision of a report",
                           "report=SR-118 letter=B remarks='margins of the posts worked again'",
                           keys("report:text number | letter:text of the report's revision | remarks?:text on it"),
                           do_report_checked),
    "report_released": Type("a checked revision of a report is released; refused with its reasons",
                            "report=SR-118 letter=B",
                            keys("report:text number | letter:text of the report's revision"), do_report_released),
    "without_report": Type("an engineer lets racks of a revision leave though its strength report is not released",
                           "revision='ER-47-V12 rev A' reason='the holder has a substantiation of its own'"
                           " document='SUB-118 rev A'",
                           keys("revision:text PART rev LETTER | reason:text why | document?:text in its place"),
                           do_without_report),
    "serial": Type("serial numbers for the racks of an order",
                   "order=PO-7 revision='ER-47-V12 rev A' serials=V12-0001,V12-0002,V12-0003",
                   keys("order:text number | revision:text PART rev LETTER | serials:list one a rack"
                      " | line?:text of the order, where it has several"), do_serial),
}  # fmt: skip

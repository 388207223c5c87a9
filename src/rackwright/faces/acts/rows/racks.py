"""Evidence, release, shipment and what comes after."""

from __future__ import annotations

from rackwright.faces.acts.making import do_release, do_ship
from rackwright.faces.acts.office import do_first_article, do_installed
from rackwright.faces.acts.reports import do_evidence, do_evidence_owed
from rackwright.faces.acts.service import (
    do_back_to_service,
    do_come_back,
    do_replace,
    do_service_work,
    do_swap,
)
from rackwright.faces.acts.type import Type, keys

__all__ = ["RACKS"]

RACKS: dict[str, Type] = {
    "evidence_owed": Type("a lead writes down what evidence racks owe before their release, or what they do not owe",
                          "evidence='passivation of rings' kind=passivation order=PO-7 document='CT-1 rev B'"
                          " text='rings passivated after bending' each=lot of='ASTM A240 304' process=passivate",
                          keys("evidence:text its name | document:text that asks for it, or lets it go"
                             " | order?:text number, or | revision?:text PART rev LETTER"
                             " | kind?:text flammability, passivation, proof load ... | text?:text what is asked"
                             " | each?:text revision, lot or serial: what one may cover"
                             " | of?:list stock specifications, or pieces as the definition names them"
                             " | process?:text outside work or step whose record on these stands for it"
                             " | not_owed?:text why what is on the list is not owed"), do_evidence_owed),
    "evidence": Type("evidence that is owed is there, or did not pass: its document, and what it covers",
                     "evidence='flammability of powder PX-21' document=FT-31 date=2031-02-11 tested_by='a laboratory'"
                     " file=ft-31.pdf revision='ER-47-V12 rev A'",
                     keys("evidence:text as it is owed | document:text its number | date:date of it"
                        " | tested_by:text who tested or certified | file:text its paper, in the folder"
                        " | revision?:text PART rev LETTER, a type test; or | lots?:list lots or heats; or"
                        " | serials?:list racks | passed?:yes_no no: it did not | found?:text what was found"),
                     do_evidence),
    "release": Type("a serial is released, every gate passed", "serial=V12-0001", keys("serial:text number"),
    do_release),
    "ship": Type("released serials leave", "serials=V12-0001 to='A survey' document=DN-9",
                 keys("serials:list numbers | to:text whom | document:text note"), do_ship),
    "first_article": Type("a serial is the first article of its revision",
                          "serial=V12-0001 kind=full field_list=C reason='first rack of revision A'",
                          keys("serial:text number | kind:text full or partial | field_list:text revision of the list"
                             " | reason:text why | baseline?:text serial that a partial one adds to"),
                          do_first_article),
    "installed": Type("a customer says in which aircraft a rack is",
                      "serial=V12-0001 aircraft='no. 1107' document=MAIL-9",
                      keys("serial:text number | aircraft:text its serial number | document:text that says so"
                         " | day?:date of it"), do_installed),
    "come_back": Type("a rack that was shipped is in the shop's hands again",
                      "serial=V12-0001 from='A survey' document=DN-31 reason='coat flaking at the rear'"
                      " condition='posts scratched, nothing bent' day=2033-02-01 hours=1240.5",
                      keys("serial:text number | from:text whom | document:text note | reason:text why"
                         " | condition:text as found | day:date it came | hours?:text in service, decimal"),
                      do_come_back),
    "service_work": Type("work on a rack that came back: inspection, rework, repair or strip",
                         "serial=V12-0001 work=W-8 kind=strip text='all coat off' method='plastic media, 30 psi'"
                         " document='PS-4 rev C' holder='A shop' date=2033-02-03",
                         keys("serial:text number | work:text its number | kind:text inspection, rework, repair, strip"
                            " | text:text what was done | document:text whose data it is done by | holder:text of it"
                            " | date:date of it | pieces?:list SERIAL/piece; of a strip all coated ones, if none is"
                            " named | joints?:list taken apart | nonconformance?:text that it follows"
                            " | characteristics?:list measured anew of its pieces | method?:text of a strip"
                            " | lots?:list used"), do_service_work),
    "replace": Type("a piece of a serial is replaced; the joints that hold it are taken apart",
                    "serial=V12-0001 old=V12-0001/rail.left new=V12-0001/rail.left.2 reason=dented work=W-9"
                    " document=SR-3 holder='The holder' date=2033-02-03 fate=kept place='shelf Q1'",
                    keys("serial:text number | old:text piece | new:text piece | reason:text why | work:text its number"
                       " | document:text whose data it is done by | holder:text of it | date:date of it"
                       " | fate:text of the old piece: scrapped, customer, kept | place?:text where it is kept"
                       " | unusable?:text how scrap was made so | witness?:text who saw it, an inspector"),
                    do_replace),
    "back_to_service": Type("a rack that was worked on may leave again, every gate passed",
                            "serial=V12-0001 works=W-8,W-9",
                            keys("serial:text number | works:list all work since it came back | text?:text on it"),
                            do_back_to_service),
    "swap": Type("a rack carries another box in an item's place; its margins are said",
                 "serial=V12-0001 item=recorder by_whom=customer part=RC-9 box=0417 mass='21.5 lb'"
                 " cg='4 in, 6 in, 3 in' document=MAIL-120",
                 keys("serial:text number | item:text of the definition | by_whom:text customer or shop"
                    " | document:text that states it | mass?:text of the box, with unit"
                    " | cg?:list three lengths from its corner | part?:text number | box?:text its own serial number"
                    " | shelf?:text that it stands on now | at?:list two lengths, x and y there"
                    " | out?:yes_no yes: nothing is there | day?:date of it"
                    " | holes?:text of those that it leaves where it was: open, filled"
                    " | nonconformance?:text whose accepted repair fills them"), do_swap),
}  # fmt: skip

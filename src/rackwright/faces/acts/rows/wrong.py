"""What went wrong: nonconformances, corrections, red lines, holds."""

from __future__ import annotations

from rackwright.faces.acts.office import (
    do_action_done,
    do_action_verified,
    do_correction,
    do_corrective_action,
    do_red_line,
    do_red_line_lifted,
)
from rackwright.faces.acts.shop import do_disposition, do_hold, do_lift, do_nonconformance
from rackwright.faces.acts.type import Type, keys

__all__ = ["WRONG"]

WRONG: dict[str, Type] = {
    "nonconformance": Type("something is not as it should be; its pieces or racks are held",
                           "nonconformance=NC-1 text='hole torn' pieces=V12-0001/post.front-left",
                           keys("nonconformance:text number | text:text what | pieces?:list SERIAL/piece"
                              " | serials?:list whole racks | characteristic?:text which | values?:pairs margins"),
                           do_nonconformance),
    "disposition": Type("what is done about it: use_as_is, repair, rework or scrap",
                        "nonconformance=NC-1 decision=scrap reason='beyond repair' unusable='sawn through'"
                        " witness='E. Lund'",
                        keys("nonconformance:text number | decision:text which | reason:text why"
                           " | cause?:text what it came of, in few words | document?:text of the holder"
                           " | signer?:text of the holder | date?:date of it | customer_document?:text where ordered"
                           " | customer_signer?:text of the customer | customer_date?:date of it"
                           " | unusable?:text how scrap was made so | witness?:text who saw it, an inspector"),
                        do_disposition),
    "corrective_action": Type("what is done so that a cause does not come again",
                              "action=CA-4 cause='clamp left open' text='clamp interlock on saw S1' owner='B. Tarrow'"
                              " due=2031-07-01 nonconformances=NC-1,NC-3",
                              keys("action:text number | cause:text as at the disposition | text:text what is done"
                                 " | owner:text person | due:date until | nonconformances?:list it answers"),
                              do_corrective_action),
    "action_done": Type("the owner of a corrective action did it", "action=CA-4 text='fitted and tried'",
                        keys("action:text number | text:text what was done | document?:text of it"), do_action_done),
    "action_verified": Type("another person than its owner looked whether an action holds",
                            "action=CA-4 effective=yes found='no short cut in 40 bars'",
                            keys("action:text number | effective:yes_no does it hold | found:text what was seen"
                               " | document?:text of it"), do_action_verified),
    "red_line": Type("a drawing was changed after work began: what was recorded is done or measured anew",
                     "red_line=RL-1 revision='ER-47-V12 rev A' text='hole 1/8 in lower' document=ECO-5"
                     " decided_by='A. Quill' pieces=V12-0001/post.front-left steps=drill,deburr",
                     keys("red_line:text its number | revision:text PART rev LETTER | text:text what is changed"
                        " | document:text of it | decided_by:text who | pieces?:list SERIAL/piece"
                        " | serials?:list racks | steps?:list done anew on each of the pieces"
                        " | characteristics?:list measured anew of each"), do_red_line),
    "red_line_lifted": Type("what a red line still asks for need not be done anew",
                            "red_line=RL-1 reason='part of ECO-5 withdrawn'",
                            keys("red_line:text its number | reason:text why | document?:text of it"),
                            do_red_line_lifted),
    "correction": Type("how an earlier event should have read; it stays as it was recorded",
                       "event=412 reason='digits exchanged, sheet IS-3' fields='value=40.510 in'",
                       keys("event:count its number | reason:text how it came about"
                          " | fields?:pairs field=as it should have read | void?:yes_no not at all"), do_correction),
    "hold": Type("nothing more may be done with these", "hold=H-1 reason='heat in doubt' heats=H4471",
                 keys("hold:text its name | reason:text why | pieces?:list held | serials?:list held"
                    " | stock_ids?:list held | heats?:list held"), do_hold),
    "lift": Type("a hold is lifted, with a reason", "hold=H-1 reason='mill confirmed the heat, MAIL-90'",
                 keys("hold:text its name | reason:text why"), do_lift),
}  # fmt: skip

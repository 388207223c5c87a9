"""Who works here and with what: people, gauges, suppliers, the clock and the key."""

from __future__ import annotations

from rackwright.faces.acts.shop import (
    do_away,
    do_clock,
    do_code,
    do_gauge,
    do_gauge_bad,
    do_key,
    do_key_revoked,
    do_person,
    do_secret,
    do_signatures,
    do_supplier,
)
from rackwright.faces.acts.type import Type, keys

__all__ = ["PEOPLE"]

PEOPLE: dict[str, Type] = {
    "person": Type("a person and their roles from now on", "person='B. Tarrow' roles=receiving,saw",
                   keys("person:text name | roles:list roles from now on | credential?:text behind them"
                      " | until?:date it ends | scopes?:list acts and steps it covers, no others; all, if none is named"
                      " | active?:yes_no no: the person has left"
                      " | number?:text the shop's own of the person: one number, one name"
                      " | since?:date they are of the shop: nothing entered late was done before"
                      " | again?:yes_no yes: a row of the person who is known by this name"), do_person),
    "secret": Type("the person who acts signs with a new PIN or password from now on", "kind=pin",
                   keys("kind:text pin or password"), do_secret),
    "code": Type("the lead gives a one-time code with which a person sets a PIN or password", "person='B. Tarrow'",
                 keys("person:text name"), do_code),
    "signatures": Type("the lead says whether every act is to be signed from now on",
                       "required=yes reason='tablets at all stations'",
                       keys("required:yes_no signed or by name only | reason:text why"), do_signatures),
    "gauge": Type("a gauge and the day its calibration is due",
                  "gauge=CA-11 kind='caliper, 40 in' due=2031-09-01 uncertainty='0.002 in'",
                  keys("gauge:text number | kind:text what it is | due:date of calibration |"
                     " uncertainty:text with unit, expanded (k = 2)"),
                  do_gauge),
    "gauge_bad": Type("a gauge was found bad", "gauge=CA-11 reason='jaw bent' since=2031-05-01",
                      keys("gauge:text number | reason:text how found | since?:date in doubt from"), do_gauge_bad),
    "supplier": Type("a supplier and what it may do", "supplier='Fell Coaters' scope=coat,bake",
                     keys("supplier:text name | scope:list processes | until?:date ends | document?:text basis"),
                     do_supplier),
    "away": Type("a machine, person or supplier is not there; the next schedule goes round it",
                 "what=mill first=2031-05-09 last=2031-05-13 reason='spindle bearing'",
                 keys("what:text machine, person, supplier | first:date day | last:date included | reason:text why"),
                 do_away),
    "clock": Type("the lead states that the clock is right, though later times are recorded",
                  "reason='T-2 stood at 2099 after its battery was changed'", keys("reason:text how it came about"),
                  do_clock),
    "key": Type("the shop's key hands over to a new one, which signs from now on; both are kept",
                "reason='the shop gets a new key every five years'", keys("reason:text why"), do_key),
    "key_revoked": Type("an earlier key is revoked: what it signed of more events than these is believed no more",
                        "key=KEYID since=412 reason='the old tablet was stolen'",
                        keys("key:text id, 64 hex digits | since:count of events up to which its heads stand"
                           " | reason:text why"), do_key_revoked),
}  # fmt: skip

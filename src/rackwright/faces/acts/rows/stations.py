"""After the saw: bakes and other steps, outside work, assembly, measuring."""

from __future__ import annotations

from rackwright.faces.acts.making import (
    do_assemble,
    do_bake,
    do_hold_point,
    do_measure,
    do_passport,
    do_receive_back,
    do_send_out,
    do_step,
    do_test_bend,
    do_weigh,
)
from rackwright.faces.acts.type import PIECES, STEP, Type, keys
from rackwright.faces.acts.values import Field

__all__ = ["STATIONS"]

STATIONS: dict[str, Type] = {
    "bake": Type("pieces were baked: the oven's own file says whether it met its rule",
                 "--from oven-3.csv pieces=V12-0001/post.front-left machine='oven O-3'",
                 keys(f"{PIECES} | machine:text oven | gauges?:list of the oven"), do_bake,
                 file="The oven's thermocouple file (CSV)."),
    "operation": Type("another step of the route on pieces", "step=deburr pieces=V12-0001/post.front-left",
                      (Field("step", "text", "deburr, pretreat, fit_up ..."), *STEP), do_step("operation")),
    "send_out": Type("pieces go to a supplier",
                     "supplier='Fell Coaters' process=coat pieces=V12-0001/pad.1 document=DN-4",
                     keys(f"supplier:text name | process:text in its scope | {PIECES} | document:text note"
                        " | back?:date agreed"),
                     do_send_out),
    "receive_back": Type("pieces come back, counted", "supplier='Fell Coaters' process=coat pieces=V12-0001/pad.1"
                         " certificate=CC-9 lot=B-31",
                         keys(f"supplier:text name | process:text done | {PIECES} | short?:list missing"
                            " | certificate?:text number; none only where all is short"
                            " | lot?:text the supplier's; one act a lot"), do_receive_back),
    "assemble": Type("joints of a rack were tightened, and the pieces that they hold are assembled",
                     "serial=V12-0001 jig=J-47 wrench=TW-6 torque='joint.post.front-left.low.1=55 in*lbf'"
                     " running='joint.post.front-left.low.1=4 in*lbf'",
                     keys("serial:text number | jig:text its number in the record | wrench:text gauge number"
                        " | torque:pairs joint=final torque | running:pairs joint=running torque of its nut"
                        " | lots?:list used, else those drawn for the serial"
                        " | pieces?:list SERIAL/piece, else all that are not assembled yet"), do_assemble),
    "test_bend": Type("a test bend of a heat, measured: it gives K to the blanks that are not cut yet",
                      "--from TB-21.toml gauge=PR-1 cracks=none",
                      keys("gauge:text what measured | cracks:text none, or as seen | gauges?:list die"), do_test_bend,
                      file='The bend: TOML, format = "rackwright/test-bend/1" and one [[bend_test]] as in shop.toml.'),
    "passport": Type("the interchange points of an assembled rack, as measured from the jig's datum",
                     "--from points.csv serial=V12-0001 gauge=CM-2",
                     keys("serial:text number | gauge:text what measured | gauges?:list the jig's bushings"),
                     do_passport,
                     file="The points: a CSV with the columns point,x_in,y_in,z_in."),
    "weigh": Type("a bare rack on four scales, under its pads",
                  "serial=V12-0001 gauge=SC-1 readings='front-left=10.1 lb, front-right=10.2 lb,"
                  " rear-left=9.8 lb, rear-right=9.9 lb'",
                  keys("serial:text number | gauge:text scales | readings:pairs pad=mass"), do_weigh),
    "measure": Type("what one gauge read on one piece, or on the rack as SERIAL/rack",
                    "piece=V12-0001/post.front-left readings='length=40.501 in' gauge=LB-2",
                    keys("piece:text SERIAL/piece | readings:pairs characteristic=value, GO/NO-GO: yes, no"
                       " | gauge:text number"),
                    do_measure),
    "hold_point": Type("an inspector who did not make it signs a hold point off, and work goes on",
                       "point=fit_up serials=V12-0001 remarks='gaps below 0.010 in'",
                       keys("point:text as on the traveler: mill, bend, fit_up, inspect_metal, bake, inspect_film,"
                          " assemble, inspect | serials?:list racks: every piece of them that it is of"
                          " | pieces?:list SERIAL/piece, these alone | remarks?:text what was seen"), do_hold_point),
}  # fmt: skip

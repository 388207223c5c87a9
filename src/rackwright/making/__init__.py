"""How an order is made, station by station, from the pieces and the shop's machines.

    saw/            the cutting solver: whole numbers in and out; saw_instance.py, saw_answer.py its open file format;
                    mitre.py slanted ends
    cutting.py      the order's sawn pieces as saw problems; assign.py, cut_sheet.py the answer in the shop's words;
                    purchase.py what is lacking and what to buy; replan.py what a new plan does otherwise;
                    saw_stop.py the stop away from 20 °C
    flat.py, blank.py, brake.py          ring blanks and their bend
    nest/, plate.py                      what is cut flat, laid out on plates by true shape, and checked
    mill.py                              corner blocks
    jig.py, passport.py                  hole coordinates, stack-up, can one rack stand for another
    coat.py, oven_load.py                powder, masking, oven batches
    thermocouples.py, bake.py, exposure.py   did it cure, and what the heat did to the temper
    assembly.py, fasteners.py            joints with torque and protection, hardware by lot
    operations.py, route.py, cycles.py, schedule.py, traveler.py   the true order of steps, hours, dates
    price.py                             what it costs; asked.py what the shop must still say

May import: pieces and below.
A value that the shop has not measured is asked for (`asked.py`), never guessed. `plan.py` holds the results.
"""

"""How an order is made, station by station, from the pieces and the shop's machines.

    saw/, sawing/                        the cutting solver, whole numbers in and out; an order in its words and back
    flat.py, blank.py, brake.py          ring blanks and their bend; folding/: the order of bends on the brake
    nest/, plate.py, gusset.py, jet.py   what is cut flat, laid out on plates by true shape, and checked
    mill/                                corner blocks: setups and operations with the shop's tools, the spigots' fit
    jig.py, passport.py                  hole coordinates, stack-up, can one rack stand for another
    coat.py, oven/                       powder, masking; batches, did it cure, what the heat did to the temper
    assembly.py, fasteners.py            joints with torque and protection, hardware by lot
    operations.py, route.py, cycles.py, traveler.py   the true order of steps and their hours
    inspected.py                         what is measured on one rack
    dates/                               when: one job, and all open orders at once
    price.py, plate_value.py             what it costs; asked.py what the shop must still say; check.py what must hold

May import: pieces and below.
A value that the shop has not measured is asked for (`asked.py`), never guessed. `plan.py` holds the results.
"""

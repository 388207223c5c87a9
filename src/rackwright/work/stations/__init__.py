"""After the saw: steps, machines, gauges, and what was measured.

making.py       a step of the route on named pieces
bending.py      test bends of a heat                    baking.py   the oven's own record
assembling.py   each joint with lot, wrench, torque and person (torque_card.py: against its card)
inspecting.py   characteristics, gauges, verdicts       first_articles.py   which serial proved the making
passports.py    a rack's interchange points             weighing.py   the rack on the scales
"""

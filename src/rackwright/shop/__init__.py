"""What the shop has: machines, stops, kerf, rates, house style and its own reference rows.

May import: formulas, reference, located, units, trouble.
A new machine setting starts here, in `model.py` and `read.py`.
"""

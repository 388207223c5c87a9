"""What a rack is: standard and variation, equipment, aircraft interface, orientation, open questions.

May import: formulas, reference, located, units, trouble.
A new thing the customer may ask for starts here, in `model.py` (the frozen data) and `read.py` (TOML to data).
"""

"""A number and everything it answers for.

releasing.py    every gate in one list, and the act      shipping.py   parts of an order, replacement pieces
tracing.py      where things came from and went          recalling.py  from what is in doubt to every place
"""

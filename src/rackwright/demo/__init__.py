"""The invented shop: package data and its list of acts, played through `work`.

May import: work and below.
A new act of the played job goes into `acts.py`; the shop's files are beside it.
"""

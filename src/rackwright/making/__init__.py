"""How pieces are made: the saw first.

May import: pieces and below.
One file or folder a station.
"""

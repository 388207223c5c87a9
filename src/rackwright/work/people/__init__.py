"""Who works here, and how they answer for what they do.

founding.py     the shop's founding, its people, its gauges
signing.py      the PIN or password behind a name, asked for before any gate decides
signers.py      how a person comes by one, and whether all have
"""

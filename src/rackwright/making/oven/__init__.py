"""The bake. The powder itself and its masking are `making.coat`.

batches.py      which pieces of all racks and designs bake together: those of one coat
load.py         what fits, what stays out, and how long the slowest metal takes
thermocouples.py   the log of a bake as it was read
bake.py         did the powder cure
exposure.py     what all bakes together may have taken from the temper
"""

"""The bake. The powder itself and its masking are `making.coat`.

load.py         batches by what fits, and how long the slowest metal takes
thermocouples.py   the log of a bake as it was read
bake.py         did the powder cure
exposure.py     what all bakes together may have taken from the temper
"""

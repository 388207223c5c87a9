"""A rack as its frozen texts say, as it was measured, and the strength report that stands behind it.

frozen.py       a design rebuilt from frozen texts (frozen_texts.py: their names); as_frozen.py, then beside now
as_built.py     measured values gathered for a new proof
reporting.py    rows compared, reports prepared, checked, released   rows_used.py, heat_strengths.py   what they rest on
"""

"""Load cases, the 3-D frame, detail checks and margins.

May import: pieces and below.
A new check is one function in `checks/` that returns margins, with its formula in `formulas/`.
"""

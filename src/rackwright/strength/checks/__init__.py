"""Detail checks: each module takes the solved rack (`Run`) and gives the margins of its kind of part.

May import: what `strength` may. A new check is one function here that returns margins, listed in
`strength/analyse.py`, with its formula in `formulas/`.
"""

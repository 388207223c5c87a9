"""Load cases, the 3-D frame, detail checks and margins.

    analyse.py      the one way in: Rack, Pieces -> Strength
    cases.py        which inertia acts, limit and ultimate apart
    idealise.py     a rack as a frame, and what that leaves out
    frame/          the frame solver, which knows no rack; frame_case*.py its open file format
    run.py          a solved rack, as the checks read it
    checks/         a module for each kind of part
    acceptance/     outside checks that ship with the program, run where a report is made
    vibration/      modes as ranges, distance from harmonics, sine on random; bodies.py: items turn, on isolators
    margin.py       a margin with its case, place, steps and source

May import: pieces and below.
A new check is one function in `checks/` that returns margins, with its formula in `formulas/`, listed in
`analyse.py`.
"""

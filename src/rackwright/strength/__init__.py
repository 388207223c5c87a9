"""Load cases, the 3-D frame, detail checks and margins.

    analyse.py      the one way in: Rack, Pieces -> Strength
    cases.py        which inertia acts, limit and ultimate apart
    factors.py      the one special factor on a part, and the factor of safety
    idealise.py     a rack as a frame (rack_frame.py), and what that leaves out; held.py: straps, pads, bolted feet
    pulls.py        every pull on a ring that its cone of directions allows
    frame/          the frame solver, which knows no rack; frame_case*.py its open file format
    run.py          a solved rack, as the checks read it; solution.py: its frame alone, what follows worked out once
    checks/         a module for each kind of part
    acceptance/     outside checks that ship with the program, run where a report is made
    vibration/      modes as ranges, distance from harmonics, sine on random; bodies.py: items turn, on isolators
    isolators.py    where a load case takes an item on isolators, and what each then holds
    interface.py    what the installer reads; support.py: what keeps a result from supporting a released report
    tipping.py      at how many g a case that nothing holds lets go, in words
    margin.py       a margin with its case, place, steps and source

May import: pieces and below.
A new check is one function in `checks/` that returns margins, with its formula in `formulas/`, listed in
`analyse.py`.
"""

"""A rack becomes tubes, blocks, angles, rails, shelves, rings, pads and fasteners, with holes, mass and place.

    build.py            the one way in: Rack -> Pieces (made, bolts, faults)
    model.py            Piece, Hole, Bolt, Layer, Box: frozen, whole nanometres
    frame_pieces.py     posts, cross tubes, corner blocks, and the bolts of their joints
    shelf_pieces.py     shelf angles and panels, 19-inch rails, and their bolts
    tiedown.py          rings and floor pads
    brace_pieces.py     braces, gussets, their bolts; brace_fit.py: what they run into; shape.py: which are alike
    slab.py             outlines of what lies askew
    hardware.py         which bolt, how long, and the holes it drills
    vents.py            vent and drain holes        metals.py   unlike metals and their protection
    fit.py              can it be built             solids.py   mass and inertia of simple solids
    weight.py           mass, CG, inertia           surface.py  outside areas
    near_edges.py       tolerances that let a hole stand too near an edge
    oven_time.py        what the oven leaves of strengths
    characteristics.py  what is measured            datums.py   from where, of plates and angles
    as_built.py measured values in place of nominal ones

May import: rack, shop and below.
A new kind of piece goes into the module of its family and into `build.py`; a rule of fit into `fit.py`.
"""

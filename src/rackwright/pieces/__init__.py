"""A rack becomes tubes, blocks, angles, rails, shelves, rings, pads and fasteners, with holes, mass and place.

May import: rack, shop and below.
A new kind of piece, hole or fit rule goes here.
"""

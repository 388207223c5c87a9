"""A rack's life after its release: as designed, as built, as maintained.

coming_back.py    it is in the shop's hands again         working.py     what is done to it, by whose data
anew.py           what is asked for anew after that       carrying.py    another box in an item's place
as_carried.py     an item as that box                     holes.py       those that a moved box leaves
maintained.py     the design as the rack is now           standing.py    the three side by side
putting_back.py   every gate before it may leave again; standing_gates.py: those that the record alone answers
effectivity.py    which serials are at a revision
"""

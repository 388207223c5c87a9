"""From the truck to the piece: every nanometre of a bar, every patch of a plate, every bolt of a lot.

receiving.py    stock in, its certificate compared, accepted or not     lookalike.py   names that look the same
insides.py      a tube's inside as measured, for the mill's spigots
saw_plans.py    the numbered plan of an order (planning.py: of any order)      sawing.py   signed out, cut, returned
plates.py       the same at the table (nesting.py packs)
counting.py     what a person finds and what is thrown away     counts.py   what the counts say
"""

"""Data in, bytes out: dossier, station sheets, labels, drawings, DXF.

May import: design, plan and below; never the record.
A new paper is one file here: a frozen dataclass of what it shows and a function that sets it.

What a paper shows arrives as plain data: words and numbers already written with their units, lengths
that are drawn to scale as whole nanometres. No paper reads a file, the clock or the record, so the same
data give the same bytes. `house.py` holds what all of them share (the head of every page, the typst
compiler), `table.py` the blocks of running papers, `templates/` the look: `house.typ` is the one house
style. Words of the user reach typst as data, never as markup.
"""

"""Data in, bytes out: dossier, saw sheet, labels, drawing.

May import: design, plan and below; never the record.
A new paper is one file here: a frozen dataclass of what it shows and a function that sets it.
"""

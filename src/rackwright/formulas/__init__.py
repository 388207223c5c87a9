"""One handbook chapter a file: every trade and engineering formula, written once.

May import: reference, units, trouble.
A formula is a plain function on SI floats or arrays with a card (data) beside it. The function computes in the
margin search, the card explains in the dossier, on the command line and in the documents.
A new formula goes into its chapter: the function, its name in `__all__`, and its `Card` in `CARDS`. A new chapter
goes into `cards.CHAPTERS`. `cards.explain(name, values)` works a formula with numbers; `expression.py` is the
small algebra the printed formulas are written in.
"""

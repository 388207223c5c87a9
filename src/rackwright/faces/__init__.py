"""What people touch: the command line and the pages. Read input, call one verb, show the result.

May import: everything.
A new command is one file in `cli/` and one line in `cli/main.py`.
"""

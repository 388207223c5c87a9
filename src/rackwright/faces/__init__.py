"""What people touch: the command line. Reads input, calls one verb, shows the result.

May import: everything.
A new command is one file in `cli/` and one line in `cli/main.py`.
"""

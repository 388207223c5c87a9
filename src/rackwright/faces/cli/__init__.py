"""The command line: one file a family of commands; `main.py` lists them and turns troubles into exit codes."""

"""The command line: one file a family of commands; `main.py` lists them and makes exit codes of troubles."""

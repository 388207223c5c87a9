"""What can be recorded, whoever asks: each type's keys as fields, and the verb of `work` that it calls.

The command line (`cli/log.py`) and the pages (`web/`) run the same rows. May import: work and everything below it.
"""

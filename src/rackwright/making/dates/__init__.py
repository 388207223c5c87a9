"""When work is done.

tasks.py        one job: critical path, one resource a station, a one-shift calendar
shop_load.py    all open orders: the works of many jobs, who and what can do them, when those are not there
placing.py      works placed in a given order, and the rule that finds a first one
sequence.py     a sequence for all jobs from a constraint solver
lateness.py     why a job is late, and what moved between two sequences
"""

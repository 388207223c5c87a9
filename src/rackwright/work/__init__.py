"""The verbs a person would say, a folder a part of the job, and the gates that decide.

station.py      who acts, at which record; look, decide, append       station_gates.py  after the saw
gates.py        may this be done now: pure functions of what the record holds
people/         who works here      office/       the order          engineering/  frozen, as built, reported
metal/          from truck to piece stations/     after the saw      quality/      what went wrong
serials/        release to recall   service/      after the release    keeping/      the record itself
papers/         what each paper shows, from design, plan and record
load.py         from paths to definitions, shop and stock        run.py   the stopwatch of a search

May import: papers, record and below.
A new verb is a function in the file of its family; whether it may be done is decided in `gates.py`.
"""

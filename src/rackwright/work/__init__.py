"""The verbs a person would say, one file a family, and the gates that decide.

    station.py      who acts, at which record; look, decide, append
    gates.py        may this be done now: pure functions of what the record holds
    founding, ordering, receiving, sawing, making, inspecting, nonconforming, holding, noting, assembling,
    releasing, shipping                       the acts of a job, in that order
    quoting, contracts, spent, correcting, first_articles, recalling    the office: what was offered and agreed, clauses
                    and their evidence, what an order took, causes, first articles, recall; due.py what waits for whom
    reporting.py    strength reports: rows compared, revisions prepared, checked, released
    as_built.py     measured values gathered for a new proof      frozen.py   a design from its frozen texts
    frozen_texts.py                           the names a freeze keeps its texts by
    saw_plans.py    the numbered saw plan of an order, made anew after a bad cut
    tracing.py      where things went     hindsight.py, balance.py    the judges of an audit
    load.py, shop_folder.py, heads.py, backup.py    files and folders
    planning.py, run.py                       the stopwatch of a search
    papers/                                   what each paper shows, from design, plan and record

May import: papers, record and below.
A new verb is a function in the file of its family; whether it may be done is decided in `gates.py`.
"""

"""The verbs a person would say: receive, accept, issue, cut, measure, release, trace.

May import: papers, record and below.
A new verb is a function in the file of its family; whether it may be done is decided in `gates.py`.
"""

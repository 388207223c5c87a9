"""The append-only record: events, the store, projections.

May import: seal, units, trouble.
A new event type goes into `events.py`; old versions are read by a function v to v+1, never rewritten.
"""

"""Each act asked its gates again, by what the record held just before it.

A verb asks its gates before it records; who writes past the verbs (another program, an enemy, a slip of ours) asks
nobody. Here the same gates are asked of the events themselves, with the roles that their verbs ask for. What only the
frozen definition could tell, which joints and characteristics a rack has and what its margins are, is judged before a
release (`work/serials/releasing.py`), not here: an audit needs no engineering library.
The test `test_gates_in_hindsight.py` breaks every gate of every verb and holds this to find it.

past.py      what is kept of a history          who.py       roles and signatures
office.py    metal.py    stations.py    leaving.py           a judge for each type of event
service.py   after the release
verdicts.py  "within" against its numbers       asked.py     all of them asked of one event
"""

"""What is not as it should be.

nonconforming.py   raised, contained, proven anew, decided      correcting.py   so that it does not come again
holding.py         nothing more with what a hold names          noting.py       bad gauges, lapsed scopes, work at risk
amending.py        how an event should have read, which stays as it was recorded
"""

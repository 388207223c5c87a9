"""An order from its first wish to its last invoice: what was offered, agreed, promised, and what it took.

ordering.py     order, questions, frozen revision, approval reference, serials
lines.py        a line comes, changes or goes                  answers.py   what rested on an answer that changed
quoting.py      revisions of a quote, and the one agreed       spent.py   what the order took beside it
contracts.py    clauses, who meets each, the review before metal
scheduling.py   all open orders at once                        schedule_document.py   the sheet on the wall
progress.py     how much of an operation is recorded
due.py          what waits for whom this morning
"""

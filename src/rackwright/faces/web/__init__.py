"""What tablets touch: `rackwright serve`, one process with the pages and the acts as JSON.

    app.py        the routes, what every request must keep to, how troubles become answers
    sessions.py   who sits at which browser, and for how long
    acting.py     one act of a session, by the rows of `faces/acts`
    forms.py      a form for every act, with files attached to it
    pages.py      the pages, which post forms and need no script; templates/ and style.css are theirs

A thin face: every act goes through the same gates as at the command line. May import: work and everything below it,
faces/acts. A new route says by its router whether it asks for a session; the tests try each without.
"""

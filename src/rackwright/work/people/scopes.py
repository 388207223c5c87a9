"""The operations that a credential's scopes cover: one table that every act asks before its gates, and the judge.

A person without scopes may do what their roles may. Who has some may do only these. A `person` row that an older
program recorded bound with its scopes only the acts in `BEFORE`: its holder is asked no more than then.
"""

from __future__ import annotations

from rackwright.record import State
from rackwright.trouble import Refusal
from rackwright.work.gates import covers

__all__ = ["BEFORE", "in_scope", "scope_of"]

#: act -> the word of its scope, where that is not the act's own name; "" asks for none: a person's own secret, the
#: first act of all, and papers that only witness the record
SCOPE = {
    "label": "cut", "gauge_check": "measure", "red_line_lifted": "lift",
    **dict.fromkeys(("found", "refusal", "secret", "head", "dossier"), ""),
}  # fmt: skip
#: acts that an older program asked a scope of, besides the steps of the route
BEFORE = ("label", "cut", "mill", "bend", "drill", "coat", "bake", "assemble", "measure", "gauge_check", "passport",
          "weigh", "accept", "examine", "profile_cut", "piece", "disposition", "lift", "release", "test_bend",
          "first_article", "red_line_lifted", "operation")  # fmt: skip


def scope_of(act: str) -> str:
    """The word that a credential's scopes name this act, or step of the route, by."""
    return SCOPE.get(act, act)


def in_scope(state: State, person: str, act: str, of_route: bool = False) -> Refusal | None:
    """Do this person's scopes cover the act? `of_route`: it is a step of the route."""
    known = state.persons.get(person)
    if known is None or not (known.every_act or of_route or act in BEFORE):
        return None
    return covers(known, scope_of(act))

"""The steps of the fold that concern people: who they are, what they sign with, and how often it was wrong.

A secret itself is nowhere in the record, only the hash of its verifier (`work/people/signing.py`). A new PIN or
password uses up the one-time code that it was set with.
"""

from __future__ import annotations

from dataclasses import replace

from rackwright.record.envelope import Event
from rackwright.record.fold_tables import Body, Tables
from rackwright.record.state import Person

__all__ = ["BY_SESSION", "WRONG_SECRET", "PeopleSteps"]

BY_SESSION = "session"  # `known.signed` of a tap: the PIN was given before, in this session

WRONG_SECRET = "RW546"  # the refusal of a wrong PIN or password, about its person


class PeopleSteps(Tables):
    """Mixed into the fold."""

    def on_person(self, event: Event, body: Body) -> None:
        name = body["person"]
        before = self.persons.get(name)
        self.persons[name] = Person(
            name, tuple(body["roles"]), body.get("active", True), body.get("until", ""), event.seq,
            body.get("credential", ""), tuple(body.get("scopes", ())), before.secrets if before else {},
            number=body.get("number", before.number if before else ""), every_act=body.get("every_act", False),
            since=body.get("since", before.since if before else ""),
        )  # fmt: skip

    def on_secret(self, event: Event, body: Body) -> None:
        self._secret(event, body["kind"], body)

    def on_code(self, event: Event, body: Body) -> None:
        self._secret(event, "code", body)

    def _secret(self, event: Event, kind: str, body: Body) -> None:
        person = self._known(self.persons, body["person"], event, "person")
        if person:
            kept = {each: verifier for each, verifier in person.secrets.items() if each != "code"}
            self.persons[person.person] = replace(
                person, secrets={**kept, kind: body["verifier"]}, code_until=body.get("until", ""),
                wrong=0, wrong_at="",
            )  # fmt: skip

    def on_signatures(self, event: Event, body: Body) -> None:
        self.signatures = body["required"]

    def on_refusal(self, event: Event, body: Body) -> None:
        person = self.persons.get(body.get("about", ""))
        if body["code"] == WRONG_SECRET and person:
            self.persons[person.person] = replace(person, wrong=person.wrong + 1, wrong_at=event.at)

    def _right_again(self, event: Event) -> None:
        """A signed act ends a row of wrong secrets; a tap, for which none was given, does not."""
        person = self.persons.get(event.by)
        if event.known.signed not in ("", BY_SESSION) and person and person.wrong:
            self.persons[event.by] = replace(person, wrong=0, wrong_at="")

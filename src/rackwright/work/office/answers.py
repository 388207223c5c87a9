"""Answers that took an earlier one's place, and what had been done by the earlier one.

Every answer stays in the record, in its order; a later one says why. What was quoted, signed out or released while an
earlier answer stood, and waited for it, rests on that one: it is named here for a person to look at. Nothing is
decided.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rackwright.record import Event, State, corrected
from rackwright.record.office import Answer, Question
from rackwright.trouble import Refusal
from rackwright.work.gates import no

__all__ = ["Changed", "changed_answers", "may_be_answered"]

RESTS = {
    "quote": "quote", "saw_plan": "sign_out", "issue": "sign_out", "release": "release", "dossier": "release",
}  # fmt: skip  # type of act -> what it waited for


@dataclass(frozen=True)
class Changed:
    """An answer that came after something had been done by the one before."""

    question: Question
    answer: Answer
    done: tuple[str, ...]  # in words, each with its event

    @property
    def words(self) -> str:
        one, more = self.answer, f" and {len(self.done) - 3} more" if len(self.done) > 3 else ""
        return (
            f"question {self.question.question} was answered otherwise in event {one.seq} by {one.by} ({one.reason}), "
            f"after {', '.join(self.done[:3])}{more}: look whether these stand"
        )


def may_be_answered(state: State, question: str, reason: str) -> Refusal | None:
    """It was asked, and an answer that takes another's place says why."""
    asked = state.questions.get(question)
    if asked is None:
        return no("RW503", question, f"question {question} was not asked", "check its id")
    if asked.open or reason.strip():
        return None
    last = asked.answers[-1]
    found = f"{question} was answered by {last.by} on {last.at[:10]}: {last.answer}; {last.document}"
    return no("RW517", question, found, "say why the answer is another now: reason=...")


def changed_answers(events: Sequence[Event], state: State) -> Iterator[Changed]:
    """Of a whole history: each answer after the first that came when something rested on the one before."""
    again = [one for one in state.questions.values() if len(one.answers) > 1]
    acts = [event for event in corrected(events) if event.type in RESTS] if again else []
    for question in again:
        for before, now in zip(question.answers, question.answers[1:], strict=False):
            done = [
                _words(event)
                for event in acts
                if before.seq < event.seq < now.seq and _waited(state, question, event)
            ]
            if done:
                yield Changed(question, now, tuple(done))


def _waited(state: State, question: Question, event: Event) -> bool:
    """Did this act wait for that answer?"""
    if RESTS[event.type] not in question.blocks:
        return False
    body = event.body
    if event.type == "quote":
        parts = body.get("variations", ())
        order = state.orders.get(question.order)
        own = {one.variation for one in order.lines.values()} if order else set()
        return bool({question.variation} & {"", *parts}) and (not own or bool(own & set(parts)))
    frozen = state.revisions.get(body.get("revision", ""))
    names = (*event.refs.serials, *body.get("serials", ()), *body.get("pieces", ()), body.get("serial", ""))
    racks = [state.serials[one] for name in names if (one := name.partition("/")[0]) in state.serials]
    order_ = body.get("job") or body.get("order") or next((rack.order for rack in racks), "")
    known = [state.revisions[rack.revision] for rack in racks if rack.revision in state.revisions]
    frozen = frozen or next(iter(known), None)
    lines = {rack.line for rack in racks} or {""}
    return any(question.covers(order_, frozen.variation if frozen else "", line) for line in lines)


def _words(event: Event) -> str:
    body, past = (
        event.body,
        {
            "quote": "offered",
            "saw_plan": "given to the saw",
            "issue": "signed out",
            "release": "released",
            "dossier": "given a dossier",
        },
    )
    about = f"{body['quote']} revision {body.get('revision', '')}" if event.type == "quote" else ""
    about = about or body.get("serial") or body.get("plan") or body["stock_id"]
    return f"{about} was {past[event.type]} (event {event.seq})"

"""The shop's keys as its own events hand them over and revoke them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from histories import act
from rackwright.record import Event
from rackwright.record.keys import trust_of, unsound
from rackwright.seal import Trust, hand_over, key_id, public_key, revoke
from states import heard

AT = "2031-05-04T13:00:00Z"
FIRST, SECOND, THIRD = (bytes([n]) * 32 for n in range(1, 4))
ON, BACK = hand_over(FIRST, SECOND, 5, AT), hand_over(SECOND, THIRD, 9, AT)
GONE = revoke(key_id(public_key(FIRST)), 7, AT, "the card was lost", "Ada Quill", SECOND)
STRANGE = revoke(key_id(public_key(SECOND)), 7, AT, "mine now", "nobody", FIRST)
TORN = replace(ON, to_signature=BACK.to_signature)


def said(kind: str, value: Any) -> Event:
    type, field = {"on": ("key", "handover"), "off": ("key_revoked", "revocation")}[kind]
    return act(1, heard(type), {field: value})


EVENTS = [
    said("on", ON.to_json()),
    act(1, "key", {}),
    said("off", "no object"),
    said("on", TORN.to_json()),
    *(act(1, type, {"handover": BACK.to_json(), "revocation": GONE.to_json()}) for type in ("clock", "note")),
    said("on", BACK.to_json()),
    said("off", GONE.to_json()),
]


def test_the_keys_are_those_of_the_events_that_are_sound() -> None:
    assert trust_of(EVENTS) == Trust.of([ON, BACK], [GONE])
    assert trust_of(EVENTS[:4]) == Trust.of([ON])
    assert trust_of(EVENTS[:7]) == Trust.of([ON, BACK])
    assert trust_of(EVENTS[:6]) == Trust.of([ON]), "whatever another event says"


@pytest.mark.parametrize(
    ("event", "why"),
    [
        (said("on", ON.to_json()), ""),
        (said("off", GONE.to_json()), ""),
        (said("on", TORN.to_json()), "this handover is not signed by both keys"),
        (said("off", STRANGE.to_json()),
         f"key {STRANGE.key_id} is not revoked by a key that it handed over to"),
    ],
)  # fmt: skip
def test_what_is_sound_counts_and_what_is_not_says_why(event: Event, why: str) -> None:
    assert unsound(event, trust_of([*EVENTS, event])) == why


@pytest.mark.parametrize(
    "event", [said("on", {}), said("off", {}), act(1, "key", {}), act(1, "key_revoked", {})]
)
def test_what_cannot_be_read_counts_for_nothing(event: Event) -> None:
    assert unsound(event, trust_of([*EVENTS, event])).startswith("it cannot be read: ")

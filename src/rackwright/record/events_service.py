"""The table of events on a rack that was released: it comes back, work is done on it, it goes back to service.

Documents are references that a person gives; none of these events approves anything.
"""

from __future__ import annotations

from rackwright.record.event_type import EventType, Layout

__all__ = ["ANEW", "FATE", "SERVICE"]

#: where a piece that was taken out of a rack is: scrapped (how, seen by whom), with the customer, or kept here
FATE: Layout = {"what": "id", "unusable?": "text", "witness?": "id", "place?": "text", "awaits?": "bool"}

ANEW = [{"about": "id", "names": "ids"}]  # what is measured anew of a piece, or of the rack

SERVICE: dict[str, EventType] = {
    "come_back": EventType(
        "a rack that was shipped is in the shop's hands again: from whom, why, and as it was found",
        {"serial": "id", "from": "id", "document": "id", "reason": "id", "condition": "id", "day": "date",
         "hours?": "number"},
    ),
    "service_work": EventType(
        "work was done on a rack that was released: inspection, rework, repair or strip, by whose data; `joints` were "
        "taken apart, `steps` and `characteristics` are done and measured anew on each piece that had them",
        {"serial": "id", "work": "id", "kind": "id", "text": "id", "document": "id", "holder": "id", "date": "date",
         "nonconformance?": "id", "pieces?": "ids", "joints?": "ids", "steps?": "ids",
         "characteristics?": ANEW, "method?": "id", "lots?": "ids"},
    ),
    "back_to_service": EventType(
        "a rack that had come back may leave again, after named work, by who may release: each piece's governing "
        "margin as maintained, computed then, the oven time behind it and what it carries",
        {"serial": "id", "works": "ids", "text?": "text", "margins": [
            {"piece?": "id", "place?": "text", "check": "id", "case?": "text", "margin": "number"}],
         "numbers?": "sha256", "values?": "map"},
    ),
    "swap": EventType(
        "a rack carries another box in an item's place, or none, from now on; `by_whom` customer or shop; the least "
        "margin with all that it carries then, computed and not judged here; `place` where it is screwed on, `left` "
        "where it was, whose holes are open, or filled by the repair of a nonconformance",
        {"serial": "id", "item": "id", "by_whom": "id", "document": "id", "out?": "bool", "part?": "id", "box?": "id",
         "mass?": "quantity", "cg?": "ids", "shelf?": "id", "at?": "ids", "day?": "date", "least?": "map",
         "place?": "text", "left?": "ids", "holes?": "id", "nonconformance?": "id"},
    ),
}  # fmt: skip

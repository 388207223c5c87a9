"""Open questions: what a document must still say, derived from the fields that are absent.

A question's id is the path of its field, so that it closes by itself when the field is given in a new
revision. Who owns it, until when, and the answer are events of the record; the gates join both. A
question blocks what it says it blocks (quote, sign_out, release), never computing: results then carry
PRELIMINARY.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from rackwright.rack.build_up_questions import asked_of_build_up
from rackwright.rack.check_temperature import asked_of_temperature
from rackwright.rack.interface_questions import asked_of_interface
from rackwright.rack.model import Rack
from rackwright.trouble import Where

__all__ = ["ASKED_OF_A_TEST", "BLOCKS", "Question", "open_questions"]

BLOCKS = ("quote", "sign_out", "release")
#: what a test must state before it proves anything
ASKED_OF_A_TEST = {
    "conformity": "Which document found the article of test {} to conform before it was loaded",
    "gauge": "Which load cell measured the load of test {}",
    "calibration": "Which certificate calibrates the load cell of test {}",
    "metal_ratio": "How does the metal of the article of test {} compare with the specification's least strength",
    "report": "Which report states the result of test {}",
}


@dataclass(frozen=True)
class Question:
    """What is asked, what it blocks, and where the answer belongs."""

    id: str
    text: str
    blocks: tuple[str, ...]
    where: Where


def open_questions(rack: Rack) -> tuple[Question, ...]:
    """Every question that the definition itself leaves open, in the order of ids; of a frozen one those of then."""
    then = rack.left_open
    asked = [Question(path, text, blocks, rack.where(path)) for path, text, blocks in _missing(rack)
             if then is None or path in then]  # fmt: skip
    return tuple(sorted(asked, key=lambda question: question.id))


def _missing(rack: Rack) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    d = rack.definition
    every, later = BLOCKS, BLOCKS[1:]
    if d.aircraft is None:
        yield "aircraft", "In which aircraft, and which rack axis points to its nose?", every
    else:
        if d.aircraft.document is None:
            yield "aircraft.document", "Which document states the aircraft interface?", later
        if d.aircraft.origin is None:
            yield "aircraft.origin", "Where does the rack's origin lie in the aircraft?", later
    if d.joint.tightening is None:
        yield (
            "joint.tightening",
            "Which torque and least nut factor hold for the joint bolts, by which document?",
            later,
        )
    yield from asked_of_build_up(rack, later)
    yield from asked_of_interface(rack, every, later)
    if d.pad.counterbore is None:
        asked = "In which counterbore do head and washers of the pad's bolt stay above the floor?"
        yield "pad.counterbore", asked, later
    if d.pad.allowable_ultimate is None or d.pad.document is None:
        name = "allowable_ultimate" if d.pad.allowable_ultimate is None else "document"
        yield f"pad.{name}", "What may the floor carry under a pad, by which document?", later
    for item in d.equipment:
        path, tray = f"equipment.{item.name}", item.on_shelf.tray if item.on_shelf else None
        if item.document is None:
            yield f"{path}.document", f"Which document states {item.name}?", later
        elif item.revision is None:
            yield f"{path}.revision", f"Which revision of its document states {item.name}?", later
        if item.mass_tolerance is None:
            yield f"{path}.mass_tolerance", f"How well is the mass of {item.name} known?", later
        if item.cg_tolerance is None:
            yield f"{path}.cg_tolerance", f"How well is the centre of gravity of {item.name} known?", later
        if tray and (tray.allowable_ultimate is None or tray.document is None):
            name = "allowable_ultimate" if tray.allowable_ultimate is None else "document"
            yield f"{path}.on_shelf.tray.{name}", f"What may tray {tray.part} hold, by which document?", later
    if d.block.grain is None:
        yield "block.grain", "Along which axis does the grain of the blocks' stock run?", later
    for test in d.evidence:
        for name, text in ASKED_OF_A_TEST.items():
            if getattr(test, name) is None:
                yield f"evidence.{test.name}.{name}", f"{text.format(test.name)}?", later
    yield from _vibration(rack, later)
    yield from asked_of_temperature(rack, later)
    if d.finish is not None and d.finish.document is None:
        yield "finish.document", f"Which document states the window of powder {d.finish.powder}?", later
    for row in d.protection:
        if row.document is None:
            yield f"protection.{row.name}.document", f"Which document states protection {row.name}?", later
    if d.bond is not None and d.bond.document is None:
        yield "bond.document", "Which document states the bond to the aircraft?", later


def _vibration(rack: Rack, later: tuple[str, ...]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """What shakes the floor, and what isolators leave unsaid."""
    given = rack.definition.vibration
    for item in rack.definition.equipment:
        if item.isolators is not None:
            path = f"equipment.{item.name}.isolators"
            if item.isolators.document is None:
                yield f"{path}.document", f"Which document states the isolators of {item.name}?", later
            if item.isolators.sway is None:
                yield f"{path}.sway", f"How far may the isolators of {item.name} move?", later
            if item.isolators.allowable_ultimate is None:
                asked = f"What does each isolator of {item.name} hold captive, its stop included?"
                yield f"{path}.allowable_ultimate", asked, later
    if given is None:
        yield (
            "vibration",
            "Which rotor harmonics and which vibration does the aircraft's document state?",
            later,
        )
        return
    if not given.harmonic:
        yield "vibration.harmonic", "Which frequencies of the aircraft are to be kept away from?", later
    elif given.separation is None:
        yield "vibration.separation", "How far must natural frequencies stay from a harmonic?", later
    if not given.spectrum:
        yield "vibration.spectrum", "Which vibration does the floor have, by which document?", later
    elif given.damping is None:
        yield "vibration.damping", "Which damping may be counted, by which document?", later
    for kind, rows in (("harmonic", given.harmonic), ("spectrum", given.spectrum)):
        for row in rows:
            if row.document is None:
                text = f"Which document states the {kind} {row.name}?"
                yield f"vibration.{kind}.{row.name}.document", text, later

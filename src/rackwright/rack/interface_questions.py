"""What the documents of basis, tie-down and aircraft interface must still say.

Each question is a path of the definition, its text and what it blocks; `questions.py` gathers them.
"""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.rack.model import FloorFitting, Link, Rack, StrapType

__all__ = ["asked_of_interface"]

Asked = tuple[str, str, tuple[str, ...]]
Blocks = tuple[str, ...]
#: direction of a rule -> the field and sign of a customer's case that covers it
WAYS = {
    "up": ("up", 1),
    "down": ("up", -1),
    "forward": ("forward", 1),
    "aft": ("forward", -1),
    "side": ("left", 0),
}


def asked_of_interface(rack: Rack, every: Blocks, later: Blocks) -> Iterator[Asked]:
    """`every` blocks from the quote on, `later` from the sign-out on."""
    d = rack.definition
    yield from _basis(rack, every, later)
    if d.ring and d.ring_make and d.ring_make.allowable is None:
        yield "ring_make.allowable", "Which document states the strength of the ring material?", later
    given = d.ring_make.allowable if d.ring and d.ring_make else None
    if given is not None and given.Fbry is None and _limits(rack):
        text = "Which bearing yield strength does the document of the ring material state?"
        yield "ring_make.allowable.Fbry", text, later
    if d.ring and d.ring_make and d.ring_make.root is None:
        yield (
            "ring_make.root",
            "What do the ring's drawing and test bend say of its bend, and of the strap's seat?",
            later,
        )
    if not d.strap and not d.foot:
        yield "strap", "How is the rack tied down?", every
    rings = {ring.name: ring for ring in d.ring}
    for strap in d.strap:
        if strap.cone is None and (strap.ring not in rings or rings[strap.ring].cone is None):
            text = f"How far may strap {strap.name} lie from its nominal direction when installed?"
            yield f"strap.{strap.name}.cone", text, later
    for kind in d.strap_type:
        yield from _strap_type(kind, later)
    for link in d.link:
        yield from _rated(f"link.{link.name}", link, later)
    for fitting in d.floor_fitting:
        strapped = any(strap.fitting == fitting.name for strap in d.strap)
        footed = any(foot.fitting == fitting.name for foot in d.foot)
        yield from _fitting(fitting, strapped, footed, later)
    for foot in d.foot:
        if foot.wear is None:
            yield f"foot.{foot.name}.wear", f"Is foot {foot.name} removed often, by which document?", later
    yield from _floor(rack, later)


def _basis(rack: Rack, every: Blocks, later: Blocks) -> Iterator[Asked]:
    d = rack.definition
    if d.basis is None:
        yield "basis", "Which rule, at which amendment, is the certification basis?", every
        return
    rule = rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"]
    silent = [name for name, factor in rule.factors().items() if factor is None and not _covered(rack, name)]
    if silent:
        text = f"{rule.id} has no factor {', '.join(silent)}: which inertia cases does the means of compliance give?"
        yield "case", text, every
    if _limits(rack) and (d.basis.safety_rule or rule.safety) not in rack.rows.factors:
        yield "basis.safety_rule", "Which factor of safety goes from limit to ultimate loads?", later
    worn = (
        [one.wear for one in d.strap_type]
        + [one.wear for one in d.floor_fitting]
        + [one.wear for one in d.foot]
    )
    if d.basis.removal_rule is None and any(one is not None and one.removed_often for one in worn):
        yield "basis.removal_rule", "Which factor does the basis put on attachments removed often?", later


def _limits(rack: Rack) -> bool:
    """Are there limit cases, of the customer or of the rule?"""
    d = rack.definition
    rule = rack.rows.load_rules[f"{d.basis.rule}@{d.basis.amendment}"] if d.basis else None
    of_rule = rule is not None and rule.has_numbers and not rule.ultimate
    return of_rule or any(case.kind == "limit" for case in d.case)


def _covered(rack: Rack, direction: str) -> bool:
    field, sign = WAYS[direction]
    values = [getattr(case, field) for case in rack.definition.case]
    return any(value * sign > 0 if sign else value != 0 for value in values)


def _strap_type(kind: StrapType, later: Blocks) -> Iterator[Asked]:
    path, ask = f"strap_type.{kind.name}", f"What does the maker of strap {kind.name} state?"
    given = kind.allowable_ultimate if kind.rating is None else kind.rating
    if given is None or kind.document is None:
        yield f"{path}.{'allowable_ultimate' if given is None else 'document'}", ask, later
    if kind.means in ("proof", "working load") and kind.to_ultimate is None:
        text = _factor_asked(kind.means, kind.name)
        yield f"{path}.to_ultimate", text, later
    if kind.maker is None:
        yield f"{path}.maker", f"Who makes strap {kind.name}?", later
    if kind.links is None:
        yield f"{path}.links", f"Which hooks, ratchets and other links belong to strap {kind.name}?", later
    if kind.wear is None:
        yield (
            f"{path}.wear",
            f"Is strap {kind.name} hooked out often (quick release), by which document?",
            later,
        )


def _factor_asked(means: str, name: str) -> str:
    return f"Which factor, by which document, makes an ultimate allowable of the {means} rating of {name}?"


def _rated(path: str, link: Link, later: Blocks) -> Iterator[Asked]:
    for field in ("rating", "document", "maker"):
        if getattr(link, field) is None:
            yield f"{path}.{field}", f"What does the maker of {link.kind} {link.name} state?", later
    if link.means in ("proof", "working load") and link.to_ultimate is None:
        text = _factor_asked(link.means, link.name)
        yield f"{path}.to_ultimate", text, later


def _fitting(fitting: FloorFitting, strapped: bool, footed: bool, later: Blocks) -> Iterator[Asked]:
    path, carry = (
        f"floor_fitting.{fitting.name}",
        f"What may floor fitting {fitting.name} carry, by which document?",
    )
    if strapped and (not fitting.allowable or fitting.document is None):
        yield f"{path}.{'document' if fitting.allowable else 'allowable'}", carry, later
    if footed and fitting.bolted is None:
        yield f"{path}.bolted", carry, later
    if not (strapped or footed):
        return
    if fitting.place is None:
        yield f"{path}.place", f"Is floor fitting {fitting.name} in a track, a pan or a hard point?", later
    if fitting.part is None:
        yield f"{path}.part", f"Which part number is floor fitting {fitting.name}?", later
    if strapped and fitting.wear is None:
        yield f"{path}.wear", f"Is floor fitting {fitting.name} removed often, by which document?", later
    if fitting.place == "track":
        for field, text in (
            ("stud", "one stud or two"),
            ("track", "which track"),
            ("least_pitch", "which least pitch"),
        ):
            if getattr(fitting, field) is None:
                yield f"{path}.{field}", f"Floor fitting {fitting.name} in its track: {text}?", later


def _floor(rack: Rack, later: Blocks) -> Iterator[Asked]:
    floor = rack.definition.floor
    if floor is None:
        yield "floor", "What does the aircraft's floor bear per area, per length and at a point?", later
        return
    levels = [one for one in (floor.ultimate, floor.limit) if one is not None]
    for name in ("per_area", "per_length", "at_point"):
        if not any(getattr(one, name) is not None or name in one.not_limited for one in levels):
            text = (
                f"What does the floor bear {name.replace('_', ' ')}, or does its document set no such limit?"
            )
            yield f"floor.ultimate.{name}", text, later

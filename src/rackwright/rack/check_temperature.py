"""Sense of the temperature table, and what its documents must still say."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.rack.check_sizes import hardware_of, metals_of
from rackwright.rack.model import Rack
from rackwright.rack.temperature import ROOM, Expands, Temperatures
from rackwright.trouble import Fault
from rackwright.units import ZERO_C, degrees

__all__ = ["asked_of_temperature", "temperature"]

COLDEST, HOTTEST = 173.15, 473.15  # K: no cabin is colder or hotter (judgement, no source)
LEAST, MOST = -2e-5, 2e-4  # 1/K: aramid shrinks by 2e-6 to 6e-6, plastics grow by 1e-4 (from memory)
ONE_METAL = 1.3  # rows whose densities differ by more are of metals that grow differently


def temperature(rack: Rack) -> Iterator[Fault]:
    """Faults of `[temperature]` and of the straps' own expansion."""
    d = rack.definition
    for kind in d.strap_type:
        if kind.expansion is not None:
            yield from _expands(rack, f"strap_type.{kind.name}.expansion", kind.expansion)
    given = d.temperature
    if given is None:
        return
    yield from _degrees(rack, given)
    yield from _expands(rack, "temperature.floor", given.floor)
    yield from _expands(rack, "temperature.frame", given.frame)
    if given.left is not None and not 0.05 <= given.left.share <= 1:
        found = f"{given.left.share:.4g} of the strength is out of range"
        yield Fault("RW106", rack.where("temperature.left.share"), found, "give a share from 0.05 to 1")
    yield from _outlasted(rack, given)
    metals = [rack.rows.materials[name] for _, name in metals_of(d) if name in rack.rows.materials]
    density = [metal.density for metal in metals if metal.density]
    if density and max(density) > ONE_METAL * min(density):
        found = (
            f"the frame is of metals that grow differently: {', '.join(sorted({m.alloy for m in metals}))}"
        )
        do = "make tubes, blocks, angles and panels of one metal; other frames are not computed warm"
        yield Fault("RW111", rack.where("temperature.frame"), found, do)


def _outlasted(rack: Rack, given: Temperatures) -> Iterator[Fault]:
    """What locks or protects a joint and stands less than the rack's hot extreme."""
    stands: list[tuple[str, str, float | None]] = []
    for path, set_ in hardware_of(rack.definition):
        nut = rack.rows.nuts.get(set_.nut or "")
        stands += [(f"{path}.nut", f"nut {nut.id}", nut.most_temperature)] if nut else []
        for kind in ("insert", "nutplate"):
            one = getattr(set_, kind)
            stands += [(f"{path}.{kind}.most", f"{kind} {one.part}", one.most)] if one else []
    for row in rack.definition.protection:
        stands.append((f"protection.{row.name}.most", f"protection {row.name}", row.most))
    for path, name, most in stands:
        if most is not None and most < given.hot.at <= HOTTEST:
            found = f"{name} stands {degrees(most)}, the rack's hot extreme is {degrees(given.hot.at)}"
            yield Fault("RW106", rack.where(path), found, "use one that stands it, by its document")


def _degrees(rack: Rack, given: Temperatures) -> Iterator[Fault]:
    """Within what a cabin sees, and in order."""
    for name in ("fixed", "hot", "cold"):
        kelvin = getattr(given, name).at
        if not COLDEST <= kelvin <= HOTTEST:
            do = f"give {COLDEST - ZERO_C:g} to {HOTTEST - ZERO_C:g} degC, with its unit"
            yield Fault(
                "RW106", rack.where(f"temperature.{name}.at"), f"{degrees(kelvin)} is out of range", do
            )
    for low, high in (("cold", "hot"), ("cold", "fixed"), ("fixed", "hot")):
        below, above = getattr(given, low).at, getattr(given, high).at
        if below > above:
            found = f"{low}, {degrees(below)}, is warmer than {high}, {degrees(above)}"
            do = "give extremes, with that at which the rack was fixed between them"
            yield Fault("RW106", rack.where(f"temperature.{high}.at"), found, do)


def _expands(rack: Rack, path: str, one: Expands) -> Iterator[Fault]:
    """A row that exists, or a coefficient within what materials have."""
    if (one.row is None) == (one.coefficient is None):
        found = "neither row nor coefficient is given" if one.row is None else "row and coefficient are given"
        yield Fault(
            "RW111", rack.where(path), found, "give a reference row, or a coefficient and its document"
        )
    elif one.coefficient is None and one.row not in rack.rows.expansions:
        do = f"use one of {', '.join(rack.rows.expansions)}"
        yield Fault("RW108", rack.where(f"{path}.row"), f"no expansion row {one.row!r}", do)
    elif one.coefficient is not None and not LEAST <= one.coefficient <= MOST:
        found = f"{one.coefficient:.3g} 1/K is out of range"
        yield Fault("RW106", rack.where(f"{path}.coefficient"), found, f"give {LEAST:g} to {MOST:g} 1/K")


# --- questions -----------------------------------------------------------------------------------


def asked_of_temperature(rack: Rack, later: tuple[str, ...]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Questions of a table that is given; where none is, the report says that nothing was computed."""
    d = rack.definition
    given = d.temperature
    if given is None:
        return
    said = {
        "fixed": "at which it is fixed to the aircraft",
        "hot": "of its hot extreme",
        "cold": "of its cold extreme",
    }
    for name, words in said.items():
        if getattr(given, name).document is None:
            yield (
                f"temperature.{name}.document",
                f"Which document states the rack's temperature {words}?",
                later,
            )
    used = {strap.type for strap in d.strap}
    grow: list[tuple[str, str, Expands | None]] = [
        ("temperature.floor", "the floor", given.floor),
        ("temperature.frame", "the frame", given.frame),
    ]
    grow += [
        (f"strap_type.{k.name}.expansion", f"strap {k.name}", k.expansion)
        for k in d.strap_type
        if k.name in used
    ]
    for path, whose, one in grow:
        if one is None:
            text = f"How does {whose} grow as it warms, by which document? Until then not at all is counted."
            yield path, text, later
        elif one.coefficient is not None and one.document is None:
            yield f"{path}.document", f"Which document states how {whose} grows as it warms?", later
    if given.hot.at > ROOM and given.left is None:
        text = f"What is left of all strengths at {degrees(given.hot.at)}? Reference rows hold up to {degrees(ROOM)}."
        yield "temperature.left", text, later

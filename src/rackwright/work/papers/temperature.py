"""The papers' words on temperature: what was entered, what does not fit warm or cold, or that nothing was computed;
and what the oven leaves of the strengths."""

from __future__ import annotations

from collections.abc import Iterator

from rackwright.design import Design
from rackwright.making.oven.bake import degf
from rackwright.papers.table import Block, Table, Text
from rackwright.pieces.oven_time import KnockDown
from rackwright.rack.temperature import ROOM, At, Expands, Temperatures
from rackwright.strength.warming import states
from rackwright.work.papers.words import in_unit, number

__all__ = ["NOT_BAKED", "NOT_WARM", "oven_blocks", "temperature_blocks"]

NOT_WARM = (
    "Thermal loads were not computed: no temperature is entered. The holder of the design approval must say, with a "
    "document, that none are needed, or the temperatures are entered."
)
NOT_BAKED = (
    "Strengths are as delivered: the definition states no time in the oven (finish.oven_time). What baking the coat "
    "takes is counted in each serial's margins as built."
)


def oven_blocks(design: Design) -> Iterator[Block]:
    """Of each material what the oven leaves, by the definition or the record; or one line."""
    finish = design.rack.definition.finish
    if finish is None:
        return
    if not design.left:
        yield Text(NOT_BAKED)
        return
    time, curves = finish.oven_time, dict.fromkeys(one.why for one in design.left if one.share is not None)
    said = "" if time is None else (
        f"The definition counts {number(time.time / 60, 0)} min at {number(degf(time.metal), 0)} °F, all coats "
        "together. "
    )  # fmt: skip
    yield Table(
        "Strength after the oven, in all margins",
        ("material", "property", "allowable", "kept", "left"),
        tuple(_kept(one) for one in design.left),
        align="ilrrr",
        widths=(2.4, 0.9, 1, 2.4, 1),
        note=f"{said}Less than this is never counted; where a rack was longer in the oven, its margins as built take "
        "that. Fsu and Fbru are taken to follow Ftu, Fcy and Fbry to follow Fty (derived, no source). UNCONFIRMED "
        f"like the curves: {'; '.join(curves)}.",
    )


def _kept(one: KnockDown) -> tuple[str, ...]:
    allowable, left = (
        "–" if value is None else in_unit(value, "ksi", 1) for value in (one.allowable, one.left)
    )
    share = f"NO MARGIN: {one.why}" if one.share is None else f"{number(100 * one.share, 1)} %"
    return one.material, one.name, allowable, share, left


def temperature_blocks(design: Design) -> Iterator[Block]:
    """One table of temperatures and one of what grows; or one line."""
    given = design.rack.definition.temperature
    if given is None:
        yield Text(NOT_WARM)
        return
    yield Table(
        "Temperatures of rack, straps and floor",
        ("", "°C", "°F", "stated by", "strength counted"),
        tuple(_degrees(name, getattr(given, name), given) for name in ("fixed", "hot", "cold")),
        align="lrrll",
        widths=(0.8, 0.7, 0.7, 4, 3),
        note="Every case stands as fixed, hot and cold, at every pretension and bound of the joints, and the adverse "
        "governs; straps are tensioned as fixed. Everything is at one temperature: no gradient is counted.",
    )
    yield Table(
        "Expansion, and by how much more than the floor it grows",
        (
            "",
            "1e-6 per K",
            *(f"{state.name.removeprefix(', ')}, 1e-6" for state in states(design.rack)[1:]),
            "source",
        ),
        tuple(_expands(design, given)),
        align="l" + "r" * len(states(design.rack)) + "l",
        widths=(1.6, 1, *(1,) * (len(states(design.rack)) - 1), 4.5),
    )


def _degrees(name: str, one: At, given: Temperatures) -> tuple[str, ...]:
    celsius = one.at - 273.15
    kept = "of the reference rows, which are of room temperature"
    if one.at > ROOM:
        left = given.left
        kept = f"{100 * left.share:.4g} % of it: {left.document}" if left else "not stated: NO MARGIN"
    return name, number(celsius, 1), number(celsius * 1.8 + 32, 1), one.document or "no document", kept


def _expands(design: Design, given: Temperatures) -> Iterator[tuple[str, ...]]:
    d, rows, all_states = design.rack.definition, design.rack.rows, states(design.rack)[1:]

    def row(name: str, one: Expands | None, strains: list[float]) -> tuple[str, ...]:
        grows = "–" if one is None else number(one.per_kelvin(rows) * 1e6, 2)
        source = "not stated, and none is counted: an open question" if one is None else one.source(rows)
        return name, grows, *(number(strain * 1e6, 1) for strain in strains), source

    yield row("floor", given.floor, [0.0] * len(all_states))
    yield row("frame", given.frame, [state.frame for state in all_states])
    for kind in d.strap_type:
        number_of = next((n for n, strap in enumerate(d.strap) if strap.type == kind.name), None)
        if number_of is not None:
            yield row(f"strap {kind.name}", kind.expansion, [float(s.straps[number_of]) for s in all_states])

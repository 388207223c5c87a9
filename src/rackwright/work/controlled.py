"""What decides without giving a reading: the saw's stop, a die, the jig's bushings, thermocouples, the oven's survey.

Each is a row of the same table as the gauges (its kind, up to a comma, says what it is), with its interval and
uncertainty. Once the record holds one of a kind, every act that such a thing decides names the one used, and is refused
where that is unknown, past its day, withdrawn or found bad. Which kinds were asked of an act is recorded with it.

So is the rule that decides a reading: the r of the shop's file as frozen with the rack's revision.
"""

from __future__ import annotations

from collections.abc import Sequence

from rackwright.record import State
from rackwright.units import QuantityError, parse_number, parse_quantity
from rackwright.work.gates import Maybe, first, gauge_may_measure, no

__all__ = ["DECIDES", "SURVEY", "by_the_rule", "controlled", "means_named", "reads", "rule_of"]

SURVEY = "oven survey"  # its day is the record's alone: no file of the shop states another
FILM_GAUGE = "film gauge"
#: the act (or step) -> the kinds of thing that decide what comes of it; common practice, no source
DECIDES: dict[str, tuple[str, ...]] = {
    "cut": ("stop",), "bend": ("die",), "test_bend": ("die",), "fit_up": ("jig",), "drill": ("bushings",),
    "passport": ("bushings",), "assemble": ("jig",), "bake": ("thermocouples", SURVEY),
}  # fmt: skip


def controlled(state: State, act: str) -> tuple[str, ...]:
    """The kinds of what decides in this act that the record holds."""
    kept = {gauge.kind.partition(",")[0] for gauge in state.gauges.values()}
    return tuple(kind for kind in DECIDES.get(act, ()) if kind in kept)


def rule_of(state: State, serial: str) -> str | None:
    """The r of the shop's decision rule as frozen with a rack's revision; None for a freeze that states none."""
    rack = state.serials.get(serial)
    frozen = state.revisions.get(rack.revision) if rack else None
    return frozen.values.get("guard_band") if frozen else None


def by_the_rule(state: State, serial: str, r: str) -> Maybe:
    """A reading is decided by the rule that was agreed before anything was measured, and by no other."""
    rule = rule_of(state, serial)
    if rule is None or parse_number(rule) == parse_number(r):
        return None
    found = f"decided with a guard band of {r}, the shop's rule as frozen for {serial} is {rule}"
    return no(
        "RW512", serial, found, "measure by the rule of the frozen shop file; another rule needs a revision"
    )


def means_named(state: State, act: str, kinds: Sequence[str], named: Sequence[str], today: str) -> Maybe:
    """One of each kind is named, and each that is named may decide today."""
    for kind in kinds:
        if not any(_is(state, name, kind) for name in named):
            there = [name for name in state.gauges if _is(state, name, kind)]
            do = f"name the one used as {'jig' if act == 'assemble' else 'gauges'}=..., of {', '.join(there)}"
            return no("RW512", act, f"{act} names no {kind}, which the shop controls", do)
    return first(*(gauge_may_measure(state, name, today) for name in named))


def reads(state: State, gauge: str, dimension: str, kind: str, what: str = "") -> Maybe:
    """A gauge of the kind that is asked for, or one that states its uncertainty in a unit of what it is to read: a
    torque wrench reads no length, and a film gauge no other than a film's. Where none is stated, nothing is known."""
    known = state.gauges.get(gauge)
    if known is None or not known.uncertainty or known.kind.startswith(kind):
        return None
    do = f"use a {kind}, which {what} asks for" if what else f"use a {kind}"
    try:
        parse_quantity(known.uncertainty, dimension)
    except QuantityError:
        found = f"gauge {gauge} is a {known.kind}, to {known.uncertainty}: it reads no {dimension}"
        return no("RW512", gauge, found, do)
    if known.kind.startswith(FILM_GAUGE):
        return no("RW512", gauge, f"gauge {gauge} is a {known.kind}: it reads films alone", do)
    return None


def _is(state: State, name: str, kind: str) -> bool:
    return name in state.gauges and state.gauges[name].kind.partition(",")[0] == kind

"""The jig, the powder booth and the oven of a shop, as measured: tables [jig], [coat] and [oven] of `shop.toml`.

Lengths are whole nanometres, everything else SI floats. What is measured names its document or log; what is
absent is asked for, never assumed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from rackwright.fields import (
    Length,
    Mass,
    Name,
    Number,
    Quantity,
    Resistance,
    Signed,
    Temperature,
    Time,
    Whole,
)
from rackwright.fields import definition as _definition
from rackwright.located import Places
from rackwright.reference import Rows
from rackwright.reference.rows import HOW_KNOWN
from rackwright.trouble import Fault

__all__ = ["Booth", "Contributor", "HeatUp", "Jig", "Oven", "Probe", "jig_and_oven_faults"]

NotNegative = Annotated[int, Quantity("length", nm=True, low=0.0)]
Voltage = Annotated[float, Quantity("voltage", low=0.0, above=True)]
#: kinds of piece that a probe may be on
KINDS = ("post", "width", "depth", "block", "angle", "panel", "rail", "ring", "pad", "brace", "gusset")


@_definition
class Contributor:
    """One named part of the jig's stack-up on one rack, plus or minus, and how that is known.

    `common` is the same on every rack made in this jig and falls out between two of them. Only such a one may be
    `measured` once for all: then the measured value with its uncertainty stands in place of the tolerance.
    """

    name: Name
    tolerance: Length
    distribution: Literal["normal", "uniform", "triangular"]  # normal: the tolerance is three sigma
    common: bool = False
    measured: Signed | None = None
    uncertainty: NotNegative | None = None
    document: str
    how_known: str


@_definition
class Jig:
    """The drill jig: where its datum lies from the rack's, its metal, and between which temperatures it is used."""

    name: Name
    datum: str  # in words, as on the jig
    origin: tuple[Signed, Signed, Signed]  # of the rack, in the jig's axes, which are parallel to the rack's
    expansion: Name  # reference row of the jig's metal
    part_expansion: Name
    coldest: Temperature
    warmest: Temperature
    ream_allowance: Length  # left by the drill for the reamer, on the diameter
    drills: tuple[Length, ...]  # what the crib holds
    document: str
    contributor: tuple[Contributor, ...] = ()


@_definition
class Booth:
    """The powder booth and its ground check: at most this resistance, measured with at least this voltage."""

    name: Name
    ground_most: Resistance
    ground_voltage: Voltage
    document: str
    how_known: str


@_definition
class Probe:
    """One thermocouple of the bake: the column of its log, and the kind of piece it is on."""

    name: Name
    on: Name
    place: str


@_definition
class HeatUp:
    """One run with a probe on a piece: from it the oven's heat transfer coefficient is fitted."""

    on: Name  # kind of piece
    air: Temperature
    start: Temperature
    reached: Temperature
    time: Time
    document: str


@_definition
class Oven:
    """Usable size, load, survey and probes of the oven. Pieces hang side by side in planes along its length."""

    name: Name
    length: Length
    width: Length
    height: Length
    planes: Whole  # of hanging pieces, across the width
    spacing: Length  # between pieces
    fill: Number  # share of a plane that the shop's hanging patterns use
    most_mass: Mass  # cart and pieces
    cart_mass: Mass
    survey_setpoint: Temperature
    survey_coldest: Temperature
    survey_hottest: Temperature
    survey_document: str
    longest_gap: Time  # between two readings of a log; over a longer one nothing counts
    probe: tuple[Probe, ...] = ()
    heat_up: HeatUp | None = None
    survey_due: Name | None = (
        None  # of older files, read and not asked: the record's row of the survey has its day
    )


# --- what the fields alone do not say ------------------------------------------------------------


def jig_and_oven_faults(
    rows: Rows, jig: Jig | None, coat: Booth | None, oven: Oven | None, places: Places
) -> Iterator[Fault]:
    """Faults of the three tables, each at its place."""
    if jig is not None:
        yield from _jig_faults(rows, jig, places)
    if coat is not None and coat.how_known not in HOW_KNOWN:
        yield _how_known(places, ("coat", "how_known"), coat.how_known)
    if oven is not None:
        yield from _oven_faults(oven, places)


def _jig_faults(rows: Rows, jig: Jig, places: Places) -> Iterator[Fault]:
    for field in ("expansion", "part_expansion"):
        if getattr(jig, field) not in rows.expansions:
            yield Fault("RW108", places.where(("jig", field)), f"no expansion row {getattr(jig, field)!r}",
                        f"use one of {', '.join(rows.expansions)}")  # fmt: skip
    if jig.warmest < jig.coldest:
        yield Fault("RW106", places.where("jig.warmest"), "below `coldest`", "give the warmer of the two")
    if not jig.drills:
        yield Fault(
            "RW101", places.where("jig.drills"), "no drill is named", "list the crib's drill diameters"
        )
    seen: set[str] = set()
    for number, one in enumerate(jig.contributor):
        here = ("jig", "contributor", number)
        if one.name in seen:
            yield Fault(
                "RW107", places.where((*here, "name")), f"{one.name!r} is used twice", "give each its own"
            )
        seen.add(one.name)
        if one.how_known not in HOW_KNOWN:
            yield _how_known(places, (*here, "how_known"), one.how_known)
        if (one.measured is None) != (one.uncertainty is None):
            do = "give `measured` with its `uncertainty`, or neither"
            yield Fault("RW101", places.where(here), "a measured value without the other half", do)
        if one.measured is not None and not one.common:
            do = "measure it on each rack instead: a value of one rack says nothing about the next"
            yield Fault("RW106", places.where((*here, "measured")), "measured once, but not common", do)


def _oven_faults(oven: Oven, places: Places) -> Iterator[Fault]:
    if not 0 < oven.fill <= 1:
        yield Fault(
            "RW106", places.where("oven.fill"), f"found {oven.fill:g}", "give a share above 0, at most 1"
        )
    if oven.planes < 1:
        yield Fault("RW106", places.where("oven.planes"), "found 0", "give at least one plane")
    if oven.cart_mass >= oven.most_mass:
        yield Fault(
            "RW106", places.where("oven.cart_mass"), "the cart alone is too heavy", "give a lighter cart"
        )
    if not oven.survey_coldest <= oven.survey_setpoint <= oven.survey_hottest:
        do = "give coldest, setpoint and hottest of the survey"
        yield Fault(
            "RW106", places.where("oven.survey_coldest"), "coldest to hottest does not hold the setpoint", do
        )
    seen: set[str] = set()
    named: list[tuple[tuple[str | int, ...], str]]
    named = [(("oven", "probe", number, "on"), probe.on) for number, probe in enumerate(oven.probe)]
    if oven.heat_up is not None:
        named.append((("oven", "heat_up", "on"), oven.heat_up.on))
        if not oven.heat_up.start < oven.heat_up.reached < oven.heat_up.air or oven.heat_up.time <= 0:
            do = "give start < reached < air, and the time that took"
            yield Fault("RW106", places.where("oven.heat_up"), "the run does not warm towards the air", do)
    for path, kind in named:
        if kind not in KINDS:
            yield Fault(
                "RW108", places.where(path), f"{kind!r} is no kind of piece", f"use {', '.join(KINDS)}"
            )
    for number, probe in enumerate(oven.probe):
        if probe.name in seen:
            place = places.where(("oven", "probe", number, "name"))
            yield Fault("RW107", place, f"{probe.name!r} is used twice", "give each its own")
        seen.add(probe.name)


def _how_known(places: Places, path: tuple[str | int, ...], found: str) -> Fault:
    return Fault("RW111", places.where(path), f"found {found!r}", f"use one of {', '.join(HOW_KNOWN)}")

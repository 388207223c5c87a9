"""The dossier's section on the rack as built: measurements in place of nominal values, margins before and after.

A measurement is taken at the adverse end of its gauge's uncertainty; what is then better than nominal stays nominal
unless engineering accepted it by name. Pieces of other metal than drawn are proven with the design values of that, and
a rack that weighs otherwise than computed with what the scales found. The margins are those of the same checks on the
rack so measured; of what nothing here proves none are shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import floor

from rackwright.design import Design
from rackwright.papers.table import Block, Table, Text
from rackwright.pieces.as_built import nearer_end
from rackwright.pieces.oven_time import KnockDown
from rackwright.record import State
from rackwright.strength.margin import Margin
from rackwright.units import NM_PER_M
from rackwright.work.engineering.as_built import Taken, as_measured, taken
from rackwright.work.engineering.as_weighed import OnScales, on_scales
from rackwright.work.engineering.metal_as_made import NOT_ASSESSED, OtherMetal, not_assessed, other_metal
from rackwright.work.engineering.oven_time import Get, Heated, oven_time
from rackwright.work.papers.words import in_unit, ms, number

__all__ = ["as_built_blocks"]

MOVED = 1e-6  # a margin that differs by less is the same
SHOWN = 1e-3  # a change that shows on paper
MOST = 12  # margins that are shown beyond the governing ones


def as_built_blocks(state: State, design: Design, serial: str, get: Get | None) -> Iterator[Block]:
    """What was put in place of nominal values, then every governing margin as designed and as built."""
    every, other = taken(state, design, serial), other_metal(state, design, serial)
    weighed = on_scales(state, design, serial)
    yield from _metal(other)
    yield from _weighed(weighed)
    hot = oven_time(state, design, serial, get) if get else ()
    yield from _oven(design, hot)
    proven = other or (weighed and weighed.taken) or hot
    if not every:
        drawn = "" if proven else ": the margins are those of the drawing"
        yield Text(f"Nothing that enters the proof is measured yet{drawn}.")
    else:
        yield from _measured(design, every)
    if not_assessed(other):
        yield Text(
            f"Margins as built: {NOT_ASSESSED}. Those of the drawing say nothing of this rack.", "caution"
        )
    elif weighed and weighed.why_not:
        yield Text(
            f"Margins as weighed: {NOT_ASSESSED}. Those of the drawing say nothing of this rack.", "caution"
        )
    elif any(one.why_not for one in hot):
        yield Text(
            f"Margins after the oven: {NOT_ASSESSED}. Those above say nothing of this rack.", "caution"
        )
    elif every or proven:
        built = as_measured(state, design, serial, get)
        yield from _margins(design, built)
        if built.weighed:
            yield from _shaken(design, built)


def _metal(other: tuple[OtherMetal, ...]) -> Iterator[Block]:
    """By which design values each piece of other metal is proven."""
    if not other:
        return
    yield Table(
        "Metal in the proof, where it is not the metal drawn",
        ("piece", "made of", "proven by"),
        tuple((one.piece, one.made_of, f"{NOT_ASSESSED}: {one.why_not}" if one.why_not else ", ".join(one.rows))
              for one in other),
        align="iil",
        widths=(2, 3, 4),
        note="Pieces whose checks share a row are proven by the least of each strength of all metals among them.",
    )  # fmt: skip


def _oven(design: Design, hot: tuple[Heated, ...]) -> Iterator[Block]:
    """What the oven left by the record, beside what the definition's time leaves; the proof takes the less."""
    if not hot:
        return
    drawn = {(one.material, one.name): one for one in design.drawn.left}
    yield Table(
        "Strength after the oven, in the proof",
        ("material", "worst piece", "minutes", "property", "kept by the record", "by the definition's oven time"),
        tuple((one.material, one.piece, number(one.minutes, 1), down.name, _share(down),
               _share(drawn.get((down.material, down.name)))) for one in hot for down in one.down),
        align="iirlrr",
        widths=(2.2, 2.4, 0.9, 0.8, 1.3, 1.6),
        note="All bakes of the piece, every counted minute as if at the hottest reading; the rack is proven with the "
        "less of both. UNCONFIRMED like the curves: MIL-HDBK-5J figures 3.6.2.2.1(c) and (d), digitized.",
    )  # fmt: skip


def _share(one: KnockDown | None) -> str:
    if one is None:
        return "none stated"
    return f"not known: {one.why}" if one.share is None else f"{number(100 * one.share, 1)} %"


def _weighed(one: OnScales | None) -> Iterator[Block]:
    """Mass and centre as computed, as weighed and in the proof."""
    if one is None:
        return
    proof = (one.adverse.mass, one.adverse.x, one.adverse.y) if one.taken else one.computed
    rows = [
        (name, *(in_unit(value, unit, 2) for value in (drawn, found)), f"± {in_unit(spread, unit, 2)}",
         f"± {in_unit(band, unit, 2)}", in_unit(used, unit, 2))
        for name, unit, drawn, found, spread, band, used in zip(
            ("mass, bare", "centre of gravity x", "centre of gravity y"), ("lb", "in", "in"), one.computed, one.found,
            one.spread, one.band, proof, strict=True)
    ]  # fmt: skip
    yield Table(
        "Weight in the proof",
        ("", "computed", "weighed", "scales leave open", "band", "in the proof"),
        tuple(rows),
        align="lrrrrr",
        widths=(2, 1.2, 1.2, 1.4, 1.2, 1.2),
        note=f"Weighed in event {one.seq} on {one.gauge}: {one.words}. Band: one percent, common practice, no source.",
    )
    if not one.stated:
        yield Text(f"{one.gauge} states no uncertainty of mass: taken as read.", "caution")


def _shaken(design: Design, built: Design) -> Iterator[Block]:
    """What mass moves besides margins under load: natural frequencies, and the least margin in vibration."""
    rows = [(f"mode {n}", f"{was:.2f} Hz", f"{now:.2f} Hz")
            for n, (was, now) in enumerate(zip(design.modes_hz, built.modes_hz, strict=False), start=1)]  # fmt: skip
    least = [min((one.margin for one in each.vibration.margins if one.margin is not None), default=None)
             for each in (design, built)]  # fmt: skip
    if least != [None, None]:
        rows.append(("least margin in vibration", _three(least[0]), _three(least[1])))
    yield Table("In vibration", ("", "as designed", "as weighed"), tuple(rows), align="lrr", widths=(3, 1, 1))


def _measured(design: Design, every: tuple[Taken, ...]) -> Iterator[Block]:
    used = [one for one in every if one.value is not None]
    yield Text(
        f"{len(every)} lengths and hole positions are measured. {len(used)} of them stand in the proof below in the "
        "place of the drawing's value, at the adverse end of their gauge's uncertainty (a hole as near to the nearer "
        "end of its tube, a tube as long, as the reading allows). The others are in the rack's favour and stay nominal."
    )
    unsure = sum(one.uncertainty is None for one in every)
    if unsure:
        yield Text(
            f"{unsure} of them were read with a gauge that states no uncertainty: taken as read.", "caution"
        )
    yield _used(design, used)


def _used(design: Design, used: list[Taken]) -> Table:
    drawn = {f"{piece.id}/hole {bolt}": along for piece in design.pieces.sawn for bolt, (along, _) in
             nearer_end(piece).items()}  # fmt: skip
    drawn |= {f"{piece.id}/length": piece.length or 0 for piece in design.pieces.sawn}
    rows = []
    for one in used:
        nominal = drawn[one.characteristic] / NM_PER_M
        away = float(one.value or 0) - nominal
        spread = (
            "none stated" if one.uncertainty is None else in_unit(float(one.uncertainty), "in", 4, unit=False)
        )
        shown = (
            in_unit(v, "in", 4, unit=False)
            for v in (nominal, float(one.reading), float(one.value or 0), away)
        )
        at, read, value, off = shown
        rows.append((one.characteristic, at, read, spread, value, off, one.accepted or "–"))
    return Table(
        "Measurements in the proof, in",
        (
            "characteristic",
            "nominal",
            "reading",
            "uncertainty",
            "in the proof",
            "less nominal",
            "accepted by",
        ),
        tuple(rows),
        align="irrrrrl",
        widths=(5.6, 0.95, 0.95, 1.1, 0.95, 1.05, 1.5),
        note="Holes are measured from the low end of their tube. A document stands where engineering accepted a "
        "deviation by name; it is then taken as measured, in the rack's favour or not.",
    )


def _margins(design: Design, built: Design) -> Iterator[Block]:
    before = {one.id: one for one in design.strength.margins}
    after = {one.id: one for one in built.strength.margins}
    moved = [one for id, one in after.items() if id not in before or _moved(before[id], one)]
    yield Text(
        f"Of {len(after)} margins {len(moved)} are changed by this; the least of all is "
        f"{ms(_least(design))} as designed and {ms(_least(built))} as built."
    )
    least = {one.mode: one for one in design.strength.governing}
    rows = [(one.mode, _three(least[one.mode].margin) if one.mode in least else "–", _three(one.margin), one.piece)
            for one in built.strength.governing
            if one.mode not in least or _moved(least[one.mode], one, SHOWN)]  # fmt: skip
    if rows:
        yield Table(
            "Governing margins that change, by kind of check",
            ("check", "as designed", "as built", "as built at"),
            tuple(rows),
            align="lrri",
            widths=(3, 1, 1, 3),
            note="Those that change by a thousandth or more; cut off downward.",
        )
    falls = sorted(
        (one for one in moved if one.id in before), key=lambda one: (_change(before[one.id], one), one.id)
    )
    worst = [one for one in falls if _change(before[one.id], one) < 0][:MOST]
    if worst:
        rows = [(one.id, _three(before[one.id].margin), _three(one.margin), one.case or one.why_missing)
                for one in worst]  # fmt: skip
        yield Table(
            "The largest falls of single margins",
            ("margin", "as designed", "as built", "case"),
            tuple(rows),
            align="irri",
            widths=(4, 1, 1, 2.2),
            note="The deepest first, as a share of the load that the check bears.",
        )


def _least(design: Design) -> float | None:
    return min((one.margin for one in design.strength.margins if one.margin is not None), default=None)


def _three(margin: float | None) -> str:
    """A margin cut off downward to three places, where changes are small."""
    return "missing" if margin is None else f"{floor(margin * 1000) / 1000:+.3f}"


def _moved(was: Margin, now: Margin, by: float = MOVED) -> bool:
    if was.margin is None or now.margin is None:
        return was.margin != now.margin
    return abs(now.margin - was.margin) > by


def _change(was: Margin, now: Margin) -> float:
    """What the load multiplier loses or gains, as a share of it; a margin that got lost is the deepest fall."""
    if now.margin is None or was.margin is None:
        return -1.0
    return (now.margin - was.margin) / (1 + was.margin)

"""What is seen and measured of metal when it comes in: its marking, the wall at three places, and what else is asked.

The marking must name the heat or lot. Where the shop's specification row gives `wall_tolerance`,
`conductivity` or `read`, stock is accepted only when it was examined, and each value is a row of the acceptance beside
what is required, by its reading as recorded. Weight and hardness have no limit here; `read` asks that they were read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from rackwright.record import Appended, Refs, State, Stock
from rackwright.shop import Check, Shop
from rackwright.trouble import Refusal
from rackwright.work.gates import first, gauge_may_measure, no, person_may
from rackwright.work.station import Draft, Station, perform

__all__ = ["examine", "examined_checks", "may_be_examined", "nominal_wall"]

LEAST_PLACES = 3
INCH = 25_400_000  # nm
ROLES = ("receiving", "inspector")


def examine(
    station: Station, stock_id: str, marking: str, gauges: tuple[str, ...] = (),
    walls_nm: Mapping[str, int] | None = None, read: Mapping[str, str] | None = None, act_id: str = "",
) -> Appended:  # fmt: skip
    """`walls_nm`: place -> wall or thickness; `read`: conductivity (% IACS, a plain number), hardness, weight."""
    walls, others = dict(walls_nm or {}), dict(read or {})

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        answers = [person_may(state, station.person, role, station.today) for role in ROLES]
        refused = first(answers[0] if all(answers) else None,
                        may_be_examined(state, stock_id, bool(walls or others), gauges, station.today))  # fmt: skip
        if refused is not None or stock is None:
            return refused or []
        body: dict[str, object] = {"stock_id": stock_id, "marking": marking, "gauges": list(gauges), **others}
        if walls:
            body["walls"] = [{"place": place, "wall_nm": nm} for place, nm in walls.items()]
        return [Draft("examine", body, Refs.of(heats=[stock.heat], lots=[stock.lot], gauges=gauges))]

    return perform(station, "examine", decide, act_id)


def may_be_examined(
    state: State, stock_id: str, measured: bool, gauges: Sequence[str], today: str
) -> Refusal | None:
    """It is there and not accepted yet; what was `measured` names gauges in calibration."""
    stock = state.stock.get(stock_id)
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
    if stock.state not in ("received", "quarantined"):
        return no("RW517", stock_id, f"{stock_id} is {stock.state}", "quarantine it first, then examine it")
    if measured and not gauges:
        return no("RW515", stock_id, "values without what measured them", "name the gauges")
    return first(*(gauge_may_measure(state, gauge, today) for gauge in gauges))


def examined_checks(shop: Shop, stock: Stock) -> Iterator[Check]:
    """Rows of an acceptance: what was seen and measured, beside what the shop's specification row asks."""
    asked = next((row for row in shop.specification if row.stock == stock.stock_spec), None)
    seen = stock.examined
    tolerance, limits = (asked.wall_tolerance, asked.conductivity) if asked else (None, None)
    must = asked.read if asked else ()
    if "label" in must:
        yield Check("label", "put on and read back", stock.label or "none", bool(stock.label))
    if not seen:
        if tolerance is not None or limits is not None or {*must} - {"label"}:
            yield Check("examined", "marking, and what its specification row asks", "not examined", False)
        return
    marked = stock.heat or stock.lot
    yield Check("marking", marked, seen["marking"], marked in re.split(r"[\s,;]+", seen["marking"]))
    walls: tuple[Mapping[str, int | str], ...] = tuple(seen.get("walls", ()))
    wall = nominal_wall(stock.section)
    if tolerance is not None and wall is not None:
        if len(walls) < LEAST_PLACES:
            yield Check("wall", f"at {LEAST_PLACES} places", f"at {len(walls)}", False)
        required = f"{(wall - tolerance) / INCH:.4f} to {(wall + tolerance) / INCH:.4f} in"
        for one in walls:
            found = int(one["wall_nm"])
            yield Check(
                f"wall, {one['place']}", required, f"{found / INCH:.4f} in", abs(found - wall) <= tolerance
            )
    if limits is not None:
        low, high = limits
        text = seen.get("conductivity", "not measured")
        inside = text != "not measured" and low <= float(text) <= high
        yield Check("conductivity", f"{low:g} to {high:g} % IACS", text, inside)
    for name in ("conductivity", "hardness", "weight"):
        if name == "conductivity" and limits is not None:
            continue
        if name in seen or name in must:
            required = "read, no limit asked" if name in must else "no limit asked"
            yield Check(name, required, seen.get(name, "not measured"), name in seen)


def nominal_wall(section: str) -> int | None:
    """Wall of a square tube, leg of an angle, thickness of a plate or sheet, nm; None of what has none of them."""
    found = re.fullmatch(r"(?:SQ|L) [\d.x]*x([\d.]+)|(?:PLATE|SHEET) ([\d.]+)", section)
    return round(Fraction(found[1] or found[2]) * INCH) if found else None

"""The inside of a tube as bought, measured at its ends: what a spigot has to go into.

A person with the role for receiving measures across the flats at the ends that can be seen, of a bar that is cut at the
ends of its pieces, and the inside corner's radius, with a gauge in calibration. The gauge's uncertainty is kept as it
was stated then. Measured again, the later one holds; a remnant takes the measurement of its bar along, since nothing
better is known of the cut end.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from rackwright.making.mill import BarInside
from rackwright.record import Appended, Refs, State, Stock
from rackwright.trouble import Refusal
from rackwright.units import NM_PER_M, QuantityError, parse_quantity
from rackwright.work.gates import first, gauge_may_measure, no, person_may
from rackwright.work.people.founding import RECEIVING
from rackwright.work.station import Draft, Station, perform

__all__ = ["bars_in_hand", "measure_inside"]

LEAST_ENDS = 2
INCH = 25_400_000  # nm


def measure_inside(
    station: Station,
    stock_id: str,
    widths_nm: Mapping[str, int],
    corner_nm: int,
    gauge: str,
    act_id: str = "",
) -> Appended:
    """`widths_nm`: place -> width across flats, two or more; `corner_nm`: inside corner radius."""

    def decide(state: State) -> list[Draft] | Refusal:
        stock = state.stock.get(stock_id)
        refused = first(person_may(state, station.person, RECEIVING, station.today),
                        gauge_may_measure(state, gauge, station.today), _tube(stock, stock_id))  # fmt: skip
        if refused is not None or stock is None:
            return refused or []
        spread = _uncertainty(state.gauges[gauge].uncertainty)
        refused = first(_known(gauge, spread), _sizes(stock, widths_nm, corner_nm))
        if refused is not None or spread is None:
            return refused or []
        widths = [{"place": place, "width_nm": nm} for place, nm in widths_nm.items()]
        body = {"stock_id": stock_id, "widths": widths, "corner_nm": corner_nm, "gauge": gauge,
                "uncertainty_nm": spread}  # fmt: skip
        return [Draft("inside", body, Refs.of(heats=[stock.heat], gauges=[gauge]))]

    return perform(station, "inside", decide, act_id)


def _tube(stock: Stock | None, stock_id: str) -> Refusal | None:
    if stock is None:
        return no("RW503", stock_id, f"{stock_id} is not in the record", "receive it first")
    if not stock.section.startswith("SQ "):
        found = f"{stock_id} is {stock.section or stock.form}, no square tube"
        return no("RW517", stock_id, found, "measure the inside of a bar of square tube")
    if stock.state == "scrapped":
        return no("RW517", stock_id, f"{stock_id} is scrapped", "measure a bar that is there")
    return None


def _uncertainty(text: str) -> int | None:
    try:
        return round(parse_quantity(text, "length") * NM_PER_M)
    except QuantityError:
        return None


def _known(gauge: str, spread: int | None) -> Refusal | None:
    if spread is not None:
        return None
    found = f"gauge {gauge} states no uncertainty in a unit of length"
    return no(
        "RW512", gauge, found, "record it: rackwright log gauge uncertainty='0.001 in'; or use another gauge"
    )


def _sizes(stock: Stock | None, widths: Mapping[str, int], corner: int) -> Refusal | None:
    """Two ends, each within the tube's outside, and a radius that lies inside of them: a slip of units does not."""
    if stock is None or len(widths) < LEAST_ENDS:
        found = f"{len(widths)} width measured"
        return no("RW515", "widths", found, "measure at both ends: widths='end 1=1.249 in, end 2=1.250 in'")
    side = round(Fraction(stock.section.removeprefix("SQ ").partition("x")[0]) * INCH)
    for place, nm in widths.items():
        if not side < 2 * nm < 2 * side:
            found = f"{place}: {nm / INCH:.4g} in across the inside of {stock.section}"
            return no(
                "RW515",
                f"widths.{place}",
                found,
                f"measure again: between {side / 2 / INCH:g} and {side / INCH:g} in",
            )
        if not 0 < 2 * corner < nm:
            found = f"an inside corner radius of {corner / INCH:.4g} in in {nm / INCH:.4g} in across"
            return no("RW515", "corner", found, "measure again: more than 0 and less than half the width")
    return None


# --- for the mill ----------------------------------------------------------------------------------


def bars_in_hand(state: State, order: str) -> tuple[BarInside, ...]:
    """The bars that pieces of an order were cut from or are signed out for, in the order of their ids."""
    pieces: dict[str, list[str]] = {}
    for piece in state.pieces.values():
        if piece.job == order and piece.state not in ("scrapped", "replaced"):
            pieces.setdefault(piece.stock_id, []).append(piece.piece)
    for stock in state.stock.values():
        if stock.state == "issued" and stock.job == order:
            pieces.setdefault(stock.stock_id, []).extend(
                one for one in stock.planned if one not in state.pieces
            )
    return tuple(_bar(state.stock[id], tuple(sorted(of))) for id, of in sorted(pieces.items())
                 if state.stock[id].section.startswith("SQ "))  # fmt: skip


def _bar(stock: Stock, pieces: tuple[str, ...]) -> BarInside:
    bar = BarInside(stock.stock_id, stock.heat, stock.section, stock.stock_spec, pieces)
    if not stock.insides:
        return bar
    one = stock.insides[-1]
    return BarInside(bar.bar, bar.heat, bar.section, bar.stock, pieces, tuple(nm * 1e-9 for nm in one.widths_nm),
                     one.corner_nm * 1e-9, one.uncertainty_nm * 1e-9, one.gauge)  # fmt: skip

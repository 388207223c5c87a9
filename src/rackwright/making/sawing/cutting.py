"""An order's sawn pieces and the shop's stock as saw problems: one for each section and stock specification.

The saw solver knows no units, so lengths become whole steps of the planning grid, always on the safe side: a
piece with its blade width (upper measured value) is rounded up, a bar (measured less its uncertainty) down, trim,
clamp tail and least remnant up. A bound is therefore a bound of the grid problem; sheet and balance keep whole
nanometres. Costs are whole parts of a grid step of new material, so that no price enters the search: what the
answer costs in money is a factor on it.

Stock whose certificate fails a check is left out with the checks it failed. Pieces that are there already are kept:
what is left of a rack's posts then comes from the heat of those.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import lcm
from typing import Protocol

from rackwright.formulas.section import angle_area, tube_area
from rackwright.making.saw import Bar, Group, Problem
from rackwright.making.saw import Piece as SawPiece
from rackwright.making.sawing.mitre import mitre_words_of, piece_kerf
from rackwright.pieces.brace_pieces import tube_of
from rackwright.pieces.build import Pieces
from rackwright.pieces.model import Mitre, Piece
from rackwright.rack import Rack
from rackwright.shop import Check, Shop, StockBar, checks_of, form_fits
from rackwright.units import NM_PER_M, write_quantity

__all__ = [
    "BOUGHT",
    "Demand",
    "Kept",
    "LeftOut",
    "Need",
    "PlannedFrom",
    "Racked",
    "SawJob",
    "Slot",
    "left_out",
    "mass_per_metre",
    "planned_before",
    "purchase_units",
    "saw_jobs",
    "stop_setting",
]

BOUGHT = ""  # the heat of bars still to be bought: one heat, not yet known


class Racked(Protocol):
    """What is needed of a design here."""

    @property
    def rack(self) -> Rack: ...

    @property
    def pieces(self) -> Pieces: ...

    @property
    def asked(self) -> tuple[str, ...]: ...


Demand = Sequence[tuple[Racked, int]]


@dataclass(frozen=True, order=True)
class Slot:
    """One physical piece to be cut: of which rack of the order (from 1), of which design, which piece."""

    rack: int
    design: str
    piece: str
    part: str


@dataclass(frozen=True)
class Kept:
    """A piece of a rack of the order (from 1) that is there or signed out: not planned again."""

    rack: int
    piece: str
    heat: str


@dataclass(frozen=True)
class PlannedFrom:
    """The bar on the shelf that a piece of a rack of the order (from 1) was planned from."""

    rack: int
    piece: str
    bar: str


@dataclass(frozen=True)
class Need:
    """Pieces that the saw need not tell apart: one length, what its cut takes and, under the same-heat rule, one role;
    from `heat` alone where a rack has posts of it already."""

    name: str
    length_nm: int
    slots: tuple[Slot, ...]
    same_heat: bool
    heat: str | None = None
    kerf_nm: int = 0
    mitre: Mitre | None = None


@dataclass(frozen=True)
class SawJob:
    """One section's problem with what its names mean.

    `bars` are stock by id, `purchase` the lengths (nm) that can be bought, by the id of their bar.
    """

    section: str
    stock: str
    problem: Problem
    needs: Mapping[str, Need]
    bars: Mapping[str, StockBar]
    purchase: Mapping[str, int]
    kerf_nm: int
    trim_nm: int
    unit_value: Fraction | None  # money of one unit of the objective, None without a price

    def money(self, units: int) -> Fraction | None:
        """Exact amount of money that so many units of the objective are worth."""
        return None if self.unit_value is None else units * self.unit_value

    @cached_property
    def pieces(self) -> int:
        return sum(len(need.slots) for need in self.needs.values())


@dataclass(frozen=True)
class LeftOut:
    """A bar that may not be cut for this order, and the checks that it failed."""

    bar: StockBar
    failed: tuple[Check, ...]


# --- the problems --------------------------------------------------------------------------------


def saw_jobs(
    demand: Demand, stock: Sequence[StockBar] | None, shop: Shop, kept: Sequence[Kept] = ()
) -> tuple[SawJob, ...]:
    """The problems of an order, by section. Without stock everything is to be bought; `kept` is not cut again."""
    wanted: dict[tuple[str, str], list[tuple[Slot, Piece]]] = {}
    mass: dict[tuple[str, str], float | None] = {}
    there = {(one.rack, one.piece): one.heat for one in kept}
    for design, slot, piece in _sawn(demand):
        if (slot.rack, slot.piece) in there:
            continue
        key = (piece.section, piece.stock)
        wanted.setdefault(key, []).append((slot, piece))
        if key not in mass:
            mass[key] = mass_per_metre(design.rack, piece)
    out = {one.bar.id for one in left_out(demand, stock, shop)}
    usable = [bar for bar in stock or () if bar.id not in out]
    bound = _bound_heats(demand, there) if shop.style.posts_from_one_heat else {}
    return tuple(
        _job(
            key,
            wanted[key],
            [bar for bar in usable if (bar.section, bar.stock) == key],
            mass[key],
            shop,
            bound,
        )
        for key in sorted(wanted)
    )


def _bound_heats(demand: Demand, there: Mapping[tuple[int, str], str]) -> dict[int, str | None]:
    """By rack with posts that are there: the heat of them all, which the others must be of; None where they are of
    several, so that no choice can keep the rule any more."""
    heats: dict[int, set[str]] = {}
    for _, slot, piece in _sawn(demand):
        if piece.kind == "post" and (slot.rack, slot.piece) in there:
            heats.setdefault(slot.rack, set()).add(there[slot.rack, slot.piece])
    return {rack: next(iter(some)) if len(some) == 1 else None for rack, some in heats.items()}


def left_out(demand: Demand, stock: Sequence[StockBar] | None, shop: Shop) -> tuple[LeftOut, ...]:
    """Bars of the sections asked for that may not be used, in the order of the stock: of another specification,
    with a certificate that fails, or of another form than the row of allowables that its pieces are judged by."""
    asked: dict[str, set[str]] = {}
    forms: dict[tuple[str, str], set[str]] = {}
    for design, _, piece in _sawn(demand):
        asked.setdefault(piece.section, set()).add(piece.stock)
        forms.setdefault((piece.section, piece.stock), set()).add(
            design.rack.rows.materials[piece.material].form
        )
    found = []
    for bar in stock or ():
        if bar.section not in asked:
            continue
        if bar.stock in asked[bar.section]:
            checks = checks_of(shop, bar.certificate, bar.heat, bar.stock)
            if bar.certificate is not None:
                others = forms[bar.section, bar.stock] - {shop.form(bar.stock)}
                checks += tuple(form_fits(bar.certificate.form, form) for form in sorted(others))
        else:
            checks = (Check("stock", " or ".join(sorted(asked[bar.section])), bar.stock, False),)
        failed = tuple(check for check in checks if not check.ok)
        if failed:
            found.append(LeftOut(bar, failed))
    return tuple(found)


def _sawn(demand: Demand) -> Iterator[tuple[Racked, Slot, Piece]]:
    rack = 0
    for design, quantity in demand:
        for _ in range(quantity):
            rack += 1
            for piece in design.pieces.sawn:
                yield design, Slot(rack, design.rack.definition.part, piece.id, piece.part), piece


def _job(
    key: tuple[str, str],
    wanted: list[tuple[Slot, Piece]],
    bars: list[StockBar],
    mass: float | None,
    shop: Shop,
    bound: Mapping[int, str | None],
) -> SawJob:
    grid, saw = shop.style.grid, shop.saw
    needs = _needs(wanted, shop, bound)
    price = shop.price_of(key[1])
    new, remnant, bought = _rates(shop)
    purchase = {f"buy {_inches(nm)}": nm for nm in (price.purchase_lengths if price else ())}
    trim = _up(saw.mill_end_trim, grid)
    lengths = {bar.id: _down(bar.length_nm - saw.bar_length_uncertainty, grid) for bar in bars}
    opened = [
        Bar(bar.id, lengths[bar.id], lengths[bar.id] * new, 1, trim, bar.heat) if bar.mill_end
        else Bar(bar.id, lengths[bar.id], lengths[bar.id] * remnant, 1, 0, bar.heat)
        for bar in bars if lengths[bar.id] > 0
    ]  # fmt: skip
    for id, nm in purchase.items():
        length = _down(nm - saw.bar_length_uncertainty, grid)
        opened.append(Bar(id, length, length * bought, None, trim, BOUGHT))
    problem = Problem(
        bars=tuple(opened),
        pieces=tuple(
            SawPiece(need.name, _use(need, shop), len(need.slots), need.heat) for need in needs.values()
        ),
        groups=_groups(needs),
        tail_min=_up(saw.clamp_tail, grid),
        remnant_min=_up(saw.remnant_min, grid),
        remnant_credit=remnant,
    )
    value = None
    if price is not None and mass is not None:
        value = price.per_kilogram * Fraction(mass) * Fraction(grid, NM_PER_M) / new
    return SawJob(
        key[0], key[1], problem, needs, {bar.id: bar for bar in bars}, purchase, saw.planned_kerf, saw.mill_end_trim,
        value,
    )  # fmt: skip


def _needs(
    wanted: Iterable[tuple[Slot, Piece]], shop: Shop, bound: Mapping[int, str | None]
) -> dict[str, Need]:
    slots: dict[tuple[int, bool, str, str], list[Slot]] = {}
    first: dict[str, Piece] = {}
    for slot, piece in wanted:
        post = shop.style.posts_from_one_heat and piece.kind == "post"
        heat = bound.get(slot.rack) if post else None
        ends = mitre_words_of(piece)
        first.setdefault(ends, piece)
        key = (-(piece.length or 0), post and slot.rack not in bound, heat or "", ends)
        slots.setdefault(key, []).append(slot)
    needs = {}
    for (minus, same_heat, heat, ends), of_kind in sorted(slots.items()):
        name = f"{_inches(-minus)}{' post' if same_heat else ''}{f' of {heat}' if heat else ''}{ends}"
        needs[name] = Need(
            name, -minus, tuple(sorted(of_kind)), same_heat, heat or None,
            piece_kerf(first[ends], shop.saw.planned_kerf), first[ends].mitre,
        )  # fmt: skip
    return needs


def planned_before(job: SawJob, before: Mapping[Slot, str]) -> dict[str, dict[str, int]]:
    """By bar of the job, how many of each need it was planned for."""
    found: dict[str, dict[str, int]] = {}
    for need in job.needs.values():
        for slot in need.slots:
            if before.get(slot, "") in job.bars:
                cut = found.setdefault(before[slot], {})
                cut[need.name] = cut.get(need.name, 0) + 1
    return found


def _groups(needs: Mapping[str, Need]) -> tuple[Group, ...]:
    """From each heat whole racks' sets: of every length that is under the same-heat rule."""
    groups = []
    for need in needs.values():
        if need.same_heat:
            racks = {slot.rack for slot in need.slots}
            sets = lcm(*(sum(slot.rack == rack for slot in need.slots) for rack in racks))
            if sets > 1:
                groups.append(Group((need.name,), sets))
    return tuple(groups)


# --- money and grid ------------------------------------------------------------------------------


def _rates(shop: Shop) -> tuple[int, int, int]:
    """Whole units for a grid step of new, of remnant and of bought material."""
    share = Fraction(str(shop.stock_value.credit_share))
    surcharge = 1 + Fraction(str(shop.stock_value.purchase_surcharge))
    unit = lcm(share.denominator, surcharge.denominator)
    return unit, int(share * unit), int(surcharge * unit)


def purchase_units(job: SawJob, shop: Shop) -> dict[str, int]:
    """What each bar on offer costs to buy, in units of the objective: its whole length, surcharge included."""
    bought = _rates(shop)[2]
    return {id: _up(nm, shop.style.grid) * bought for id, nm in job.purchase.items()}


def _use(need: Need, shop: Shop) -> int:
    """Grid steps that a piece takes: the longer of its length and what its stop is set to, and its cut."""
    return _up(max(need.length_nm, stop_setting(need.length_nm, shop)) + need.kerf_nm, shop.style.grid)


def stop_setting(length: int, shop: Shop) -> int:
    """The length the stop is set to: to its resolution, halves up."""
    step = shop.saw.stop_resolution
    return (2 * length + step) // (2 * step) * step


def _up(length: int, grid: int) -> int:
    return -(-length // grid)


def _down(length: int, grid: int) -> int:
    return length // grid


def _inches(nm: int) -> str:
    return write_quantity(Fraction(nm, NM_PER_M), "in", "length")


def mass_per_metre(rack: Rack, piece: Piece) -> float | None:
    """Mass of the bar that a sawn piece is cut from, kg/m; None when its density is not known."""
    row = rack.rows.materials.get(piece.material)
    if row is None or row.density is None:
        return None
    d = rack.definition
    if piece.kind in ("post", "width", "depth", "brace"):
        tube = tube_of(rack, piece)
        side, wall, radius = tube.side * 1e-9, tube.wall * 1e-9, tube.corner_radius * 1e-9
        return row.density * float(tube_area(side, side, wall, radius))
    stock = d.rails.angle if piece.kind == "rail" and d.rails else d.shelf_make.angle
    post_leg, carry_leg, thickness = stock.post_leg * 1e-9, stock.carry_leg * 1e-9, stock.thickness * 1e-9
    return row.density * float(angle_area(post_leg, carry_leg, thickness, 0.0, 0.0))

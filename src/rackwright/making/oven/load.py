"""The oven load of an order: batches by what fits, what stays out, how long the slowest metal takes.

Pieces hang side by side in planes along the oven; a piece takes its two larger sizes with a spacing round them, and a
batch (`batches`) takes no more than the shop's share of the planes and no more mass than the cart carries. No plan can
do with fewer than area and mass ask of each coat.

How long: the heat transfer coefficient is fitted from the shop's run with a probe; a kind of piece then lags by its
volume over heated area (`formulas.oven`). The cold corner of the survey heats the slowest piece, the hot corner is
what the temper may see. It is an estimate for planning: the log of the bake decides.

Not in the oven: whatever stands less than the hottest metal that the finish allows, and what nobody says stands it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from rackwright.formulas.oven import biot_number, oven_coefficient, oven_time_constant, time_to_temperature
from rackwright.making.asked import Asked
from rackwright.making.coat import is_coated
from rackwright.making.oven.bake import degf
from rackwright.making.oven.batches import Batch, Hung, least, packed
from rackwright.making.sawing.cutting import Racked
from rackwright.pieces.model import Piece
from rackwright.pieces.oven_time import Bake, KnockDown, knock_down
from rackwright.pieces.surface import outside_area
from rackwright.rack import Rack
from rackwright.rack.model import CurePoint, Finish
from rackwright.shop.jig_and_oven import Oven
from rackwright.trouble import UNCONFIRMED, Refusal, Where

__all__ = ["Lag", "OvenPlan", "StaysOut", "oven_json", "oven_plan", "stays_out"]

BAKES = (1, 2, 3, 4)  # as planned, strip and recoat included
LUMPED = 0.1  # Biot number


def _sizes(piece: Piece) -> tuple[float, float, float]:
    """Sizes of the box around a piece with all its walls, m, largest first."""
    boxes = piece.walls or piece.boxes
    a, b, c = sorted(
        (max(x.hi[i] for x in boxes) - min(x.lo[i] for x in boxes) for i in range(3)), reverse=True
    )
    return a * 1e-9, b * 1e-9, c * 1e-9


def _hung(rack: int, piece: Piece, oven: Oven, finish: Finish) -> Hung:
    a, b, _ = _sizes(piece)
    gap = oven.spacing * 1e-9
    return Hung(
        rack, piece.id, (a + gap) * (b + gap), piece.mass, (finish.powder, finish.most_metal, finish.cure)
    )


def _fits(piece: Piece, oven: Oven) -> bool:
    a, b, c = _sizes(piece)
    long, high = sorted((oven.length * 1e-9, oven.height * 1e-9), reverse=True)
    alone = (a + oven.spacing * 1e-9) * (b + oven.spacing * 1e-9) <= _capacity(oven)
    return a <= long and b <= high and c <= oven.width * 1e-9 / oven.planes and alone and (
        piece.mass <= oven.most_mass - oven.cart_mass
    )  # fmt: skip


def _capacity(oven: Oven) -> float:
    return oven.planes * oven.length * oven.height * 1e-18 * oven.fill


# --- lag -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Lag:
    """A kind of piece in the oven: volume over heated area (m), time constant (s), Biot number; None: why."""

    kind: str
    ratio: float
    tau: float | None
    biot: float | None
    why: str = ""

    def reaches(self, metal: float, air: float, start: float) -> float | None:
        """Time (s) until the metal has a temperature; None if it never does."""
        if self.tau is None or air <= metal:
            return None
        return float(time_to_temperature(self.tau, air - start, air - metal)) if metal > start else 0.0


def _lags(rack: Rack, coated: Sequence[Piece], oven: Oven) -> tuple[Lag, ...]:
    """One for each kind, from its bulkiest piece."""
    bulk = {piece.kind: piece for piece in sorted(coated, key=lambda one: _ratio(rack, one) or 0.0)}
    run = oven.heat_up
    probe = bulk.get(run.on) if run else None
    h = None
    if run is not None and probe is not None and (ratio := _ratio(rack, probe)) is not None:
        row, heat = (
            rack.rows.materials[probe.material],
            rack.rows.thermals.get(rack.rows.materials[probe.material].alloy),
        )
        if heat is not None and row.density:
            h = float(oven_coefficient(row.density, heat.specific_heat_J_per_kg_K, ratio, run.time,
                                       run.air - run.start, run.air - run.reached))  # fmt: skip
    return tuple(_lag(rack, bulk[kind], h) for kind in sorted(bulk))


def _lag(rack: Rack, piece: Piece, h: float | None) -> Lag:
    row, ratio = rack.rows.materials[piece.material], _ratio(rack, piece) or 0.0
    heat = rack.rows.thermals.get(row.alloy)
    if h is None:
        return Lag(piece.kind, ratio, None, None, "no run with a probe to fit the oven from")
    if heat is None or not row.density:
        return Lag(piece.kind, ratio, None, None, f"no specific heat of {row.alloy} is on file")
    tau = float(oven_time_constant(row.density, heat.specific_heat_J_per_kg_K, ratio, h))
    return Lag(piece.kind, ratio, tau, float(biot_number(h, ratio, heat.conductivity_W_per_m_K)))


def _ratio(rack: Rack, piece: Piece) -> float | None:
    row = rack.rows.materials.get(piece.material)
    return piece.mass / row.density / outside_area(rack, piece) if row and row.density else None


# --- what stays out ------------------------------------------------------------------------------


@dataclass(frozen=True)
class StaysOut:
    """One thing that must not be in the oven, what it stands (K), and who says so."""

    name: str
    most: float | None
    known: str
    unconfirmed: bool


def stays_out(design: Racked, most_metal: float) -> tuple[StaysOut, ...]:
    """Nuts, anchors and protections that stand less than `most_metal` (K), or of which nobody says what they stand."""
    found = []
    for name in sorted({bolt.nut for bolt in design.pieces.bolts} - {""}):
        row = design.rack.rows.nuts[name]
        known = row.known_of("most_temperature")
        if row.most_temperature is None:
            found.append(StaysOut(f"nut {name}", None, "no document says what it stands", True))
        elif row.most_temperature < most_metal:
            found.append(
                StaysOut(f"nut {name} ({row.locking})", row.most_temperature, str(known), known.unconfirmed)
            )
    anchors = {
        f"{one.kind} {one.part}": one for bolt in design.pieces.bolts if (one := bolt.anchor) and one.part
    }
    for name, one in sorted(anchors.items()):
        if one.most is None or one.document is None:
            found.append(StaysOut(name, None, "no document says what it stands", True))
        elif one.most < most_metal:
            found.append(StaysOut(f"{name} ({one.locking or 'no locking'})", one.most, one.document, False))
    found += [
        StaysOut(
            f"{row.name}: {row.method}",
            row.most,
            row.document or "no document is named",
            row.document is None,
        )
        for row in design.rack.definition.protection
        if row.most < most_metal
    ]
    return tuple(found)


# --- the plan ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cycle:
    """One cure point as planned: when the slowest kind has it (s), the time in the oven, and what bakes may take."""

    design: str
    point: CurePoint
    slowest: str
    reached: float | None
    in_oven: float | None
    why: str
    after: tuple[tuple[int, tuple[KnockDown, ...]], ...]  # number of bakes -> what is kept


@dataclass(frozen=True)
class OvenPlan:
    """The oven's share of an order."""

    oven: Oven | None
    batches: tuple[Batch, ...] = ()
    at_least: int = 0
    out: tuple[StaysOut, ...] = ()
    lags: tuple[tuple[str, tuple[Lag, ...]], ...] = ()  # by design
    cycles: tuple[Cycle, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    asked: tuple[Asked, ...] = ()

    @property
    def marks(self) -> tuple[str, ...]:
        kept = [one for cycle in self.cycles for _, rows in cycle.after for one in rows]
        doubtful = any(one.unconfirmed for one in self.out) or any(one.marks for one in kept)
        return (UNCONFIRMED,) * doubtful


def oven_plan(demand: Iterable[tuple[Racked, int]], oven: Oven | None) -> OvenPlan:
    """Batches, times and what stays out for an order; what the shop or the definition must still say is asked."""
    coated = [(design, number, finish) for design, number in demand
              if (finish := design.rack.definition.finish) is not None]  # fmt: skip
    out = tuple(dict.fromkeys(
        one for design, _, finish in coated for one in stays_out(design, finish.most_metal)
    ))  # fmt: skip
    if not coated:
        return OvenPlan(oven, asked=(Asked("finish", "no design of the order names a powder"),))
    if oven is None:
        return OvenPlan(
            None, out=out, asked=(Asked("[oven]", "the shop names no oven: no batches, no times"),)
        )
    hung, refusals, lags, cycles, asked, first = [], list(_survey(coated, oven)), [], [], [], 1
    for design, number, finish in coated:
        pieces = [piece for piece in design.pieces.made if is_coated(finish, piece)]
        refusals += [_too_large(design, piece) for piece in pieces if not _fits(piece, oven)]
        fitting = [piece for piece in pieces if _fits(piece, oven)]
        hung += [
            _hung(rack, piece, oven, finish) for rack in range(first, first + number) for piece in fitting
        ]
        first += number
        of_design = _lags(
            design.rack, [one for one in pieces if one.material in design.rack.rows.materials], oven
        )
        lags.append((design.rack.definition.part, of_design))
        refusals += _probes(design, of_design, oven)
        cycles += [_cycle(design, pieces, point, of_design, oven) for point in finish.cure]
    if oven.heat_up is None:
        asked.append(Asked("oven.heat_up", "a run with a probe, from which the oven's time is estimated"))
    area, mass = _capacity(oven), oven.most_mass - oven.cart_mass
    return OvenPlan(oven, packed(hung, area, mass), least(hung, area, mass), out, tuple(lags), tuple(cycles),
                    tuple(refusals), tuple(asked))  # fmt: skip


def _cycle(
    design: Racked, pieces: Sequence[Piece], point: CurePoint, lags: Sequence[Lag], oven: Oven
) -> Cycle:
    part, start = design.rack.definition.part, oven.heat_up.start if oven.heat_up else 0.0
    known = [lag for lag in lags if lag.tau is not None]
    if not known:
        return Cycle(part, point, "", None, None, "no lag is known", ())
    slow = max(known, key=lambda lag: lag.tau or 0.0)
    reached = slow.reaches(point.metal, oven.survey_coldest, start)
    if reached is None:
        why = f"the coldest corner, {degf(oven.survey_coldest):.0f} degF, never brings metal to it"
        return Cycle(part, point, slow.kind, None, None, why, ())
    metals = sorted({piece.material for piece in pieces} & design.rack.rows.materials.keys())
    bake = Bake("as planned", reached + point.time, oven.survey_hottest)
    after = tuple((number, knock_down(design.rack.rows, metals, [bake] * number)) for number in BAKES)
    return Cycle(part, point, slow.kind, reached, reached + point.time, "", after)


def _survey(coated: Sequence[tuple[Racked, int, Finish]], oven: Oven) -> Iterable[Refusal]:
    for design, _, finish in coated:
        if oven.survey_hottest > finish.most_metal:
            found = f"the hottest corner of {oven.name} has {degf(oven.survey_hottest):.0f} degF"
            yield Refusal("RW432", design.rack.where("finish.most_metal"), found,
                          f"set it so that no metal is over {degf(finish.most_metal):.0f} degF")  # fmt: skip


def _probes(design: Racked, lags: Sequence[Lag], oven: Oven) -> Iterable[Refusal]:
    slow = max(lags, key=lambda lag: lag.ratio, default=None)
    if slow is not None and slow.kind not in {probe.on for probe in oven.probe}:
        found = f"{design.rack.definition.part}: no probe is on a {slow.kind}, the slowest metal"
        yield Refusal("RW434", Where("shop.toml", 0, "oven.probe"), found, f"name a probe on a {slow.kind}")


def _too_large(design: Racked, piece: Piece) -> Refusal:
    size = " x ".join(f"{one / 0.0254:.1f}" for one in _sizes(piece))
    return Refusal("RW433", design.rack.where(piece.path), f"{piece.id}, {size} in, does not fit the oven",
                   "send it out, or use a larger oven")  # fmt: skip


def oven_json(plan: OvenPlan) -> dict[str, Any]:
    """The oven plan as a document."""
    oven = plan.oven
    return {
        "oven": oven.name if oven else None,
        "survey": None if oven is None else {
            "setpoint_degF": round(degf(oven.survey_setpoint), 1), "coldest_degF": round(degf(oven.survey_coldest), 1),
            "hottest_degF": round(degf(oven.survey_hottest), 1), "document": oven.survey_document,
        },
        "probes": [{"name": one.name, "on": one.on, "place": one.place} for one in (oven.probe if oven else ())],
        "batches": [
            {
                "number": number, "powder": batch.powder, "racks": list(batch.racks), "area_m2": round(batch.area, 5),
                "mass_kg": round(batch.mass, 4),
                "pieces": [{"rack": one.rack, "piece": one.piece} for one in batch.pieces],
            }
            for number, batch in enumerate(plan.batches, start=1)
        ],
        "batches_at_least": plan.at_least,
        "not_in_the_oven": [
            {
                "name": one.name, "most_degF": None if one.most is None else round(degf(one.most), 1),
                "known": one.known, "unconfirmed": one.unconfirmed,
            }
            for one in plan.out
        ],
        "lags": {
            design: [
                {
                    "kind": one.kind, "volume_over_area_in": round(one.ratio / 0.0254, 5),
                    "time_constant_min": None if one.tau is None else round(one.tau / 60, 4),
                    "biot": None if one.biot is None else round(one.biot, 6),
                    "lumped": None if one.biot is None else one.biot < LUMPED, "why": one.why,
                }
                for one in lags
            ]
            for design, lags in plan.lags
        },
        "cycles": [_cycle_json(one) for one in plan.cycles],
        "refusals": [one.to_json() for one in plan.refusals],
        "asked": [one.to_json() for one in plan.asked],
        "marks": list(plan.marks),
    }  # fmt: skip


def _cycle_json(cycle: Cycle) -> dict[str, Any]:
    return {
        "design": cycle.design,
        "metal_degF": round(degf(cycle.point.metal), 2),
        "cure_min": round(cycle.point.time / 60, 3),
        "slowest": cycle.slowest or None,
        "reached_min": None if cycle.reached is None else round(cycle.reached / 60, 2),
        "in_oven_min": None if cycle.in_oven is None else round(cycle.in_oven / 60, 2),
        "why": cycle.why,
        "kept_after_bakes": {
            str(number): {
                f"{one.material} {one.name}": None if one.share is None else round(one.share, 4)
                for one in rows
            }
            for number, rows in cycle.after
        },
        "not_known": sorted({one.why for _, rows in cycle.after for one in rows if one.share is None}),
    }

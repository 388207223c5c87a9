"""The brake: how far to bend, with what force, and whether metal, tools and reaches stand it.

Overbend comes from the test bend's angle under load, else from the elastic-plastic estimate, which is low for metals
that harden and only a start for the first part. The force takes the tensile strength on the plate's certificate, since
a specification's least value would understate it; total and per length are held against the machine's chart with the
shop's reserve, for a short bend line can overload the tools while the total is small. The bend line lies across the
rolling direction (common practice; AC 43.13-1B table 4-6 says so of its radii). A flange must reach over the die:
0.7 V (trade rule of thumb, common practice). Where the shop gave the sections of its tools, the folds are ordered so
that no stroke meets punch, die or backgauge (`folding/`); a ring has one fold.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import pi

from rackwright.formulas.bend import bend_force, bend_thickness, loaded_angle, outer_strain, springback_ratio
from rackwright.making.asked import Asked
from rackwright.making.blank import Blank, Blanks, Step, usable
from rackwright.making.check import Check, check_json
from rackwright.making.folding import Fold, Folding, Strip, Tools, folding
from rackwright.shop import Shop, StockItem
from rackwright.shop.machines import Brake
from rackwright.shop.tools import ToolProfile
from rackwright.trouble import UNCONFIRMED

__all__ = ["CAUTIONS", "Bend", "bends", "blanks_json", "brake_json"]

FLANGE = 0.7  # of the die opening
CAUTIONS = (
    "A is the angle bent through, never the angle between the legs.",
    "Bend line across the rolling direction; look at the bend magnified, a cracked test bend is scrap.",
    "Hands outside the pinch, two-hand control or light curtain.",
)


@dataclass(frozen=True)
class Bend:
    """The one bend of a design's rings. Angles rad, forces N; None with a reason in `asked`."""

    design: str
    parts: tuple[tuple[str, int], ...]
    angle: float
    loaded: float | None
    loaded_how: str
    force: float | None  # without reserve
    force_with_reserve: float | None
    thickness_at_bend: float
    checks: tuple[Check, ...]
    steps: tuple[Step, ...]
    asked: tuple[Asked, ...]
    marks: tuple[str, ...]
    strip: Strip
    tools: Tools
    folding: Folding | None = None  # None while punch or die is asked for

    @property
    def overbend(self) -> float | None:
        return None if self.loaded is None else self.loaded - self.angle

    @property
    def ok(self) -> bool:
        return all(check.ok for check in self.checks) and not (self.folding and self.folding.blocked)


def bends(blanks: Blanks, items: Sequence[StockItem] | None, shop: Shop) -> tuple[Bend, ...]:
    """One bend for each design of the order that has rings, its blanks in the order of part numbers."""
    if shop.brake is None:
        return ()
    designs = dict.fromkeys(blank.design for blank in blanks.made)
    return tuple(
        _bend([blank for blank in blanks.made if blank.design == design], items, shop, shop.brake)
        for design in designs
        if any(blank.design == design and blank.angle > 0 for blank in blanks.made)
    )


def _bend(made: list[Blank], items: Sequence[StockItem] | None, shop: Shop, brake: Brake) -> Bend:
    first = made[0]
    flat, neutral, A = first.flat, first.neutral, first.angle
    plates = usable(items, flat.section, flat.stock, shop)
    R, t, width = neutral.radius * 1e-9, flat.thickness * 1e-9, flat.size[1] * 1e-9
    asked: list[Asked] = []
    loaded, how, spring, marks = _overbend(first, plates, shop, asked)
    steps: list[Step] = [*spring, ("outer_strain", {"R": R, "t": t})]
    thin = {"R": R, "K": neutral.K, "t": t}
    steps.append(("bend_thickness", thin))
    checks = [*_reach_checks(first, brake), *_radius_check(first, shop, asked)]
    force = reserved = None
    Ftu = _certified("Ftu", plates)
    if Ftu is None:
        asked.append(
            Asked("item.certificate", "the plate's tensile strength: the force of the brake follows from it")
        )
    else:
        values = {"c": brake.force_constant, "Ftu": Ftu[0], "w": width, "t": t, "V": brake.die_opening * 1e-9}
        force = float(bend_force(**values))
        reserved = force * (1 + brake.reserve)
        steps.append(("bend_force", values))
        checks.append(Check("force with reserve", reserved, brake.most, "N", True, brake.document))
        checks.append(Check("force per length with reserve", reserved / width, brake.most_per_length, "N/m", True,
                                brake.document))  # fmt: skip
    stretch = _certified("elongation", plates, highest=False)
    if stretch is None:
        asked.append(
            Asked("item.certificate", "the plate's elongation: the outer fibre's strain is held against it")
        )
    else:
        checks.append(Check("strain of the outer fibre", float(outer_strain(R, t)), stretch[0], "1", True,
                                f"elongation on certificate {stretch[1]}"))  # fmt: skip
    strip = Strip(first.length * 1e-9, t, neutral.K, (Fold(first.bend_at * 1e-9, A, R),))
    tools = _tools(brake, asked)
    order = None
    if tools.punch is not None and tools.die is not None:
        order = folding(strip, tools, (loaded or A,), square=(True, False))
    return Bend(
        first.design, tuple((blank.part, blank.quantity) for blank in made), A, loaded, how, force, reserved,
        float(bend_thickness(**thin)), tuple(checks), tuple(steps), tuple(asked),
        tuple(dict.fromkeys((*neutral.marks, *marks))), strip, tools, order,
    )  # fmt: skip


def _tools(brake: Brake, asked: list[Asked]) -> Tools:
    """The sections that the shop gave; what is not there is asked for."""
    wanted = {
        "punch": "the section of the punch with its holder, to see that no flange meets it",
        "die": "the section of the die with its holder",
        "backgauge": "travel and finger of the backgauge",
    }
    asked += [Asked(f"brake.{name}", why) for name, why in wanted.items() if getattr(brake, name) is None]
    stop = brake.backgauge
    gauge = None if stop is None else (
        stop.nearest * 1e-9, stop.farthest * 1e-9, stop.finger_height * 1e-9, stop.finger_length * 1e-9)  # fmt: skip
    return Tools(brake.die_opening * 1e-9, FLANGE, _polygon(brake.punch), _polygon(brake.die), gauge)


def _polygon(tool: ToolProfile | None) -> tuple[tuple[float, float], ...] | None:
    return None if tool is None else tuple((point.x * 1e-9, point.y * 1e-9) for point in tool.points)


def _certified(name: str, plates: Sequence[StockItem], highest: bool = True) -> tuple[float, str] | None:
    """The highest (or lowest) value on the certificates of the plates, and the certificate's number."""
    found: list[tuple[float, str]] = [
        (value, plate.certificate.number)
        for plate in plates
        if plate.certificate is not None and (value := getattr(plate.certificate, name)) is not None
    ]
    if not found:
        return None
    return max(found) if highest else min(found)


def _overbend(
    blank: Blank, plates: Sequence[StockItem], shop: Shop, asked: list[Asked]
) -> tuple[float | None, str, list[Step], tuple[str, ...]]:
    """The angle under load: from the test bend, else estimated."""
    A, t = blank.angle, blank.flat.thickness * 1e-9
    test = next((one for one in shop.bend_test if one.id == blank.neutral.test), None)
    if test is not None and test.loaded_angle is not None:
        values = {"A": A, "Ks": test.angle / test.loaded_angle}
        how = f"test bend {test.id}: {_deg(test.loaded_angle):.2f} deg under load, {_deg(test.angle):.2f} deg free"
        return float(loaded_angle(**values)), how, [("loaded_angle", values)], ()
    metal = next((row for row in shop.bend_metal if row.stock == blank.flat.stock), None)
    Fy = _certified("Fty", plates)
    if metal is None or metal.modulus is None or Fy is None:
        asked.append(
            Asked("bend_test.loaded_angle", "the angle under load; or a modulus row and a certificate's Fty")
        )
        return None, "", [], ()
    row = shop.rows.materials[metal.modulus]
    bent = {"Fy": Fy[0], "E": row.E or 0.0, "R": blank.neutral.radius * 1e-9, "t": t}
    values = {"A": A, "Ks": float(springback_ratio(**bent))}
    asked.append(
        Asked("bend_test.loaded_angle", "overbend is an estimate that is low for a metal that hardens")
    )
    how = f"estimate with Fty of certificate {Fy[1]} and E of {row.id}"
    marks = (UNCONFIRMED,) if row.known_of("E").unconfirmed else ()
    return float(loaded_angle(**values)), how, [("springback_ratio", bent), ("loaded_angle", values)], marks


def _reach_checks(blank: Blank, brake: Brake) -> Iterator[Check]:
    least = FLANGE * brake.die_opening * 1e-9
    source = "0.7 V, trade rule of thumb (common practice)"
    for name, reach in (
        ("square end to bend line", blank.bend_at),
        ("bend line to round end", blank.bend_from_tip),
    ):
        yield Check(name, reach * 1e-9, least, "m", False, source)


def _radius_check(blank: Blank, shop: Shop, asked: list[Asked]) -> Iterator[Check]:
    metal = next((row for row in shop.bend_metal if row.stock == blank.flat.stock), None)
    if metal is None or metal.least_radius is None:
        why = "no public row gives a least radius for this metal and thickness: a document, or trial bends"
        asked.append(Asked("bend_metal.least_radius", why))
    else:
        yield Check("inside radius", blank.neutral.radius * 1e-9, metal.least_radius * 1e-9, "m", False,
                        metal.least_radius_document or "")  # fmt: skip


def _deg(angle: float) -> float:
    return angle * 180 / pi


# --- as a document -------------------------------------------------------------------------------


def blanks_json(blanks: Blanks) -> dict[str, object]:
    """Blanks by part number. Positions from the square end, seen from outside the rack."""
    return {blank.part: _blank_json(blank) for blank in blanks.made}


def _blank_json(blank: Blank) -> dict[str, object]:
    neutral, flat = blank.neutral, blank.flat
    return {
        "design": blank.design, "title": blank.title, "quantity": blank.quantity, "section": flat.section,
        "stock": flat.stock, "thickness_nm": flat.thickness, "flat_length_nm": blank.length, "width_nm": flat.size[1],
        "bend_line_nm": {"from_square_end": blank.bend_at, "from_round_end": blank.bend_from_tip},
        "bend_zone_nm": list(blank.bend_zone), "bend_angle_deg": _deg(blank.angle), "bend": "towards the reader",
        "bend_line_to_grain": "across", "inside_radius_nm": neutral.radius, "K": neutral.K, "K_source": neutral.source,
        "test_bend": neutral.test or None, "marks": list(neutral.marks),
        "flat_of": blank.flat_of, "turned_over": blank.turned_over, "mirror_of": list(blank.mirror),
        "outline_nm": [
            {"from": list(one.start), "to": list(one.end), "centre": list(one.centre) if one.centre else None}
            for one in flat.outline
        ],
        "holes": [
            {"name": hole.name, "at_nm": list(hole.at), "diameter_nm": hole.diameter, "cut_nm": hole.cut or None,
             "edge_to_bend_nm": hole.clear, "finished_after_bend": hole.finished_after_bend}
            for hole in flat.holes
        ],
        "steps": [{"formula": name, "values_si": values} for name, values in blank.steps],
    }  # fmt: skip


def brake_json(blanks: Blanks, made: Sequence[Bend], shop: Shop) -> dict[str, object]:
    """The brake's part of the plan."""
    asked = [*blanks.asked, *(one for bend in made for one in bend.asked)]
    return {
        "machine": shop.brake.name if shop.brake else None,
        "blanks": blanks_json(blanks),
        "bends": {bend.design: _bend_json(bend) for bend in made},
        "asked": [one.to_json() for one in dict.fromkeys(asked)],
        "cautions": list(CAUTIONS),
    }


def _bend_json(bend: Bend) -> dict[str, object]:
    over = bend.overbend
    return {
        "parts": dict(bend.parts), "angle_deg": _deg(bend.angle),
        "angle_under_load_deg": None if bend.loaded is None else _deg(bend.loaded),
        "overbend_deg": None if over is None else _deg(over), "overbend_from": bend.loaded_how or None,
        "force_N": bend.force, "force_with_reserve_N": bend.force_with_reserve,
        "thickness_at_bend_m": bend.thickness_at_bend, "holds": bend.ok, "marks": list(bend.marks),
        "checks": {check.name: check_json(check) for check in bend.checks},
        "order": None if bend.folding is None else _order_json(bend.folding),
        "steps": [{"formula": name, "values_si": values} for name, values in bend.steps],
    }  # fmt: skip


def _order_json(order: Folding) -> dict[str, object]:
    """Folds are numbered from 1, from the flat's square end; distances from the bend's middle."""
    return {
        "strokes": [
            {"fold": step.fold + 1, "turned_over": step.pose.over,
             "end_at_backgauge": "last" if step.pose.last_at_back else "first", "backgauge_m": step.gauge,
             "flat_before_m": step.front, "flat_behind_m": step.back}
            for step in order.steps
        ],
        "handlings": order.handlings, "blocked": list(order.blocked),
    }  # fmt: skip

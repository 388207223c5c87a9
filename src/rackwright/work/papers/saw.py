"""The saw sheet of an order: every bar of the plan in the order of cutting, with stops, and what it all is worth."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import degrees

from rackwright.making.sawing.cut_sheet import Balance, CutBar, CuttingPlan
from rackwright.making.sawing.mitre import mitre_note, piece_kerf, turning_note
from rackwright.making.sawing.replan import PlannedBar
from rackwright.papers.house import Head, content_hash
from rackwright.papers.lengths import inches, length, millimetres
from rackwright.papers.saw_sheet import SawBar, SawCut, SawSheet, set_saw_sheet
from rackwright.papers.table import Facts, Table
from rackwright.pieces.brace_pieces import tube_of
from rackwright.pieces.model import Mitre
from rackwright.plan import Plan, money
from rackwright.trouble import Refusal, Stopped, Where
from rackwright.work.papers.words import DEMO, number

__all__ = ["Issue", "order_head", "rack_name", "remnant_id", "saw_sheet"]

CAUTIONS = (
    "Guard closed, clamped on both sides of the blade, no gloves at a turning blade.",
    "Set every piece against the stop; never tape from the sawn end, or the kerf adds up.",
    "Cut from the unmarked end: the mill's marking stays on the remnant. The longest piece of a bar comes first.",
    "48 in of aluminium is .017 in longer at 95 °F than at 68 °F: stops are as stated above, for no other temperature.",
    "Come to the stop setting from one side only, and do not bow thin wall in the clamp.",
    "Mark each piece with its label before the next cut; never two heats in one bin.",
    "A bar leaves the saw only with its remnant labelled. Aluminium and steel chips are kept apart.",
)


@dataclass(frozen=True)
class Issue:
    """A numbered sheet of a recorded plan: what it supersedes and why, what it does otherwise, bars signed out."""

    number: str
    supersedes: str
    reason: str
    changes: tuple[str, ...]
    issued: tuple[PlannedBar, ...]


def rack_name(serials: Sequence[str], rack: int) -> str:
    """The serial of a rack of the order (from 1), or `rack N` where serials are not given yet."""
    return serials[rack - 1] if serials else f"rack {rack}"


def remnant_id(bar: str) -> str:
    """The id that the rest of a bar goes back to the rack with."""
    return f"{bar}-R"


def order_head(plan: Plan, title: str, number: str, order: str, date: str, demo: bool) -> Head:
    """The head of a paper about a whole order; one design's revision and definition where there is but one.

    Raises Stopped with the faults of a design that cannot be built.
    """
    if plan.faults:
        raise Stopped(plan.faults)
    definitions = [design.rack.definition for design, _ in plan.demand]
    one = definitions[0] if len({d.part for d in definitions}) == 1 else None
    marks = (*((DEMO,) if demo else ()), *plan.marks)
    return Head(
        plan.shop.name, title, number, one.revision if one else "several", date,
        content_hash(one if one else definitions), marks,
        notes=tuple(dict.fromkeys(words for design, _ in plan.demand for words in design.asked)),
    )  # fmt: skip


def saw_sheet(
    plan: Plan,
    order: str,
    date: str,
    serials: Sequence[str] = (),
    demo: bool = False,
    issue: Issue | None = None,
) -> bytes:
    """The sheet, PDF. `serials` are those of the racks of the order in turn; none: racks go by their number. `issue`
    where it is of a recorded plan; bars that are signed out come first.

    A bar that is still to be bought has no heat yet: its id, heat and certificate come at receiving.

    Raises Stopped: a design's faults; RW402 when a piece finds no bar, since half a plan is not sawn.
    """
    missing = [slot for section in plan.saw for slot in section.missing]
    if missing:
        first = missing[0]
        found = f"{len(missing)} pieces find no bar, first {first.piece} of rack {first.rack}"
        raise Stopped(
            [Refusal("RW402", Where("saw sheet"), found, "receive bars, or give lengths to be bought")]
        )
    unit = plan.shop.style.unit
    return set_saw_sheet(
        SawSheet(
            order_head(plan, "Saw sheet", _number(order, issue), order, date, demo),
            _setup(plan, order, serials, issue),
            (
                *(_signed_out(plan, bar, serials) for bar in (issue.issued if issue else ())),
                *(_bar(plan, section, bar, serials) for section in plan.saw for bar in section.bars),
            ),
            _totals(plan),
            _balance(plan, unit),
            CAUTIONS,
            unit,
        )
    )


def _number(order: str, issue: Issue | None) -> str:
    if issue is not None:
        return issue.number
    return f"{order}-SAW" if order else "SAW"


def _signed_out(plan: Plan, bar: PlannedBar, serials: Sequence[str]) -> SawBar:
    """A bar that is with the sawyer: its pieces are those that it was signed out for."""
    kerf = plan.shop.saw.planned_kerf
    designs = dict(zip(serials, (design for design, n in plan.demand for _ in range(n)), strict=True))
    cuts = tuple(
        SawCut(piece.id, piece.part, serial, nm, plan.stops.setting(nm, bar.stock), piece_kerf(piece, kerf),
               _ends(plan, piece.mitre))
        for serial, piece, nm in (
            (serial, designs[serial].pieces.get(name), nm)
            for (serial, _, name), nm in ((id.partition("/"), nm) for id, nm in bar.pieces)
        )
    )  # fmt: skip
    trim = bar.measured_nm - bar.rest_nm - sum(cut.length_nm + cut.kerf_nm for cut in cuts)
    remnant = remnant_id(bar.bar) if bar.keeps_rest else ""
    return SawBar(bar.bar, bar.heat, f"{bar.section}, {bar.stock}", bar.measured_nm, trim, cuts, remnant,
                  "signed out already", "", _slack(plan, bar.rest_nm))  # fmt: skip


def _bar(plan: Plan, section: CuttingPlan, bar: CutBar, serials: Sequence[str]) -> SawBar:
    cuts = tuple(
        SawCut(cut.slot.piece, cut.slot.part, rack_name(serials, cut.slot.rack), cut.length_nm, cut.stop_nm,
               cut.kerf_nm, _ends(plan, cut.mitre))
        for cut in bar.cuts
    )  # fmt: skip
    bought = bar.kind == "purchase"
    return SawBar(
        f"BUY #{bar.bar.rpartition('#')[2]}" if bought else bar.bar,
        "at receiving" if bought else bar.heat,
        f"{section.section}, {section.stock}",
        bar.measured_nm,
        bar.trim_nm,
        cuts,
        remnant_id("(id of the bar)" if bought else bar.bar) if bar.keeps_rest else "",
        "" if bought else bar.location,
        "to be bought" if bought else f"certificate {bar.certificate}",
        _slack(plan, bar.rest_nm),
    )


def _ends(plan: Plan, mitre: Mitre | None) -> str:
    """What is set for mitred ends; "" for square ones."""
    return "" if mitre is None else mitre_note(mitre, length(mitre.short, plan.shop.style.unit))


def _mitres(plan: Plan) -> Iterator[tuple[str, str]]:
    """How far the saw swings, and what laying alike pieces end to end would save beyond the plan."""
    mitred = Counter(
        (piece.part, piece.mitre, tube_of(design.rack, piece).side)
        for design, n in plan.demand for piece in design.pieces.sawn if piece.mitre for _ in range(n)
    )  # fmt: skip
    if not mitred:
        return
    saw = plan.shop.saw
    swings = "; ".join(f"asked for: {one}" for one in plan.saw_asked)
    if saw.mitre_most is not None:
        swings = f"swings to {degrees(saw.mitre_most):g} deg from the square, {saw.mitre_document}"
    yield (
        "Mitres",
        f"{swings}. Angles are from the square, first end / last end; the stop takes tip to tip; a slanted "
        "cut takes kerf / cos of its angle along the bar, which the plan counts",
    )
    for (part, mitre, side), count in sorted(mitred.items(), key=lambda one: one[0][0]):
        how, saved = turning_note(mitre, side, count)
        if saved:
            words = f"{count} in one row, {how}, would share cuts and save up to {_exact(saved, plan.shop.style.unit)}"
            yield part, f"{words}; the plan does not count on it"


def _slack(plan: Plan, rest: int) -> int:
    """What is left beyond the clamp tail where the bar is as short as it may be; the kerf is at its upper value."""
    return rest - plan.shop.saw.bar_length_uncertainty - plan.shop.saw.clamp_tail


# --- set-up and totals ---------------------------------------------------------------------------


def _setup(plan: Plan, order: str, serials: Sequence[str], issue: Issue | None) -> Facts:
    saw, unit = plan.shop.saw, plan.shop.style.unit
    racks = ", ".join(
        f"{n} × {design.rack.definition.part} revision {design.rack.definition.revision}"
        for design, n in plan.demand
    )
    named = "; ".join(f"rack {n} is {serial}" for n, serial in enumerate(serials, start=1))
    rows = [
        ("Order", f"{order or 'no order number given'}: {racks}"),
        ("Serials", named or "not given: racks of the order go by their number"),
        ("Machine", f"saw {saw.name}"),
        ("Kerf", f"{_exact(saw.kerf, unit)} ± {_exact(saw.kerf_uncertainty, unit)}, {saw.kerf_known}; planned "
                 f"{_exact(saw.planned_kerf, unit)}"),
        ("Trim of a mill end", f"{_exact(saw.mill_end_trim, unit)}, the squaring cut included"),
        ("Clamp tail", f"{_exact(saw.clamp_tail, unit)} stay in the clamp behind the last cut"),
        ("Cut pieces", f"± {_exact(saw.cut_tolerance, unit)}; stop to {_exact(saw.stop_resolution, unit)}"),
        ("Stop", "; ".join(map(plan.stops.words, dict.fromkeys(line.stock for line in plan.parts if line.length_nm)))),
        ("Bars", f"lengths as measured, planned {_exact(saw.bar_length_uncertainty, unit)} shorter; rests from "
                 f"{_exact(saw.remnant_min, unit)} go back as remnants"),
    ]  # fmt: skip
    rows += _mitres(plan)
    if issue is not None and issue.supersedes:
        rows.insert(
            0, ("Supersedes", f"{issue.supersedes}, which is no longer to be sawn from: {issue.reason}")
        )
        rows.insert(1, ("Otherwise than there", "; ".join(issue.changes)))
    if plan.shop.style.posts_from_one_heat:
        rows.append(("House rule", "the posts of one rack come from one heat"))
    if plan.stock is None:
        rows.append(("Stock", "none was given: every bar is to be bought"))
    if plan.left_out:
        words = "; ".join(
            f"{one.bar.id} ({', '.join(f'{c.name} {c.found}' for c in one.failed)})" for one in plan.left_out
        )
        rows.append(("Not to be used", words))
    return Facts(tuple(rows))


def _totals(plan: Plan) -> Facts:
    """A line a section, then the whole: what it costs, the bound, the gap, and first fit beside it."""
    currency = plan.shop.currency
    rows = [(f"{section.section}", _worth(section, currency)) for section in plan.saw]
    priced = [section for section in plan.saw if section.objective is not None]
    if len(priced) == len(plan.saw):
        cost = sum((s.objective or Fraction(0) for s in priced), Fraction())
        bound = sum(((s.objective if s.answer.optimal else s.lower_bound) or Fraction(0) for s in priced),
                    Fraction())  # fmt: skip
        rows.append(("Stock value used", f"{money(cost, currency)}, after credit for remnants"))
        grid = _exact(plan.shop.style.grid, plan.shop.style.unit)
        least = money(bound, currency, down=bound != cost)
        rows.append(
            ("Proven lower bound", f"{least}: no plan of the planning grid ({grid}, upper kerf) costs less")
        )
        gap = float((cost - bound) / cost) if cost else 0.0
        rows.append(("Gap", f"{money(cost - bound, currency)}, {number(100 * gap, 2)} %"))
        firsts = [section.first_fit for section in priced]
        if None in firsts:
            rows.append(("First fit, for comparison", "finds no plan for the whole order"))
        else:
            first = sum((one or Fraction(0) for one in firsts), Fraction())
            saved = f"this plan saves {money(first - cost, currency)}" if first > cost else "the same"
            rows.append(("First fit, for comparison", f"{money(first, currency)}: {saved}"))
    if plan.stopped_by_clock:
        rows.append(("Search", "stopped by the clock: more time might give a better plan or bound"))
    buy = [
        f"{n} × {_exact(nm, plan.shop.style.unit)} of {s.section}, {s.stock}"
        for s in plan.saw
        for nm, n in s.buy
    ]
    rows.append(("To buy", "; ".join(buy) or "nothing"))
    return Facts(tuple(rows))


def _worth(section: CuttingPlan, currency: str) -> str:
    cost, bound = section.objective, section.lower_bound
    if cost is None:
        return f"no price for {section.stock}; gap {number(100 * section.gap, 2)} %"
    if section.answer.optimal:
        words = f"{money(cost, currency)}, proven least"
    else:
        words = f"{money(cost, currency)}, proven bound {money(bound, currency, down=True)}"
    first = section.first_fit
    if first is None:
        return f"{words}; first fit finds no plan"
    return f"{words}; first fit {money(first, currency)}"


def _balance(plan: Plan, unit: str) -> Table:
    named = [(f"{section.section}", section.balance) for section in plan.saw]
    rows = [_balance_row(name, balance, unit) for name, balance in (*named, ("all", plan.balance))]
    return Table(
        f"Balance of length, {unit}",
        ("section", "taken", "pieces", "kerf", "trim", "remnants", "scrap", "left over"),
        tuple(rows),
        align="lrrrrrrr",
        note="taken = pieces + kerf + trim + remnants + scrap, to the nanometre; kerf at its upper value.",
    )


def _balance_row(name: str, one: Balance, unit: str) -> tuple[str, ...]:
    values = (one.received, one.pieces, one.kerf, one.trim, one.remnant, one.scrap, one.open)
    return (name, *(_plain(nm, unit) for nm in values))


def _plain(nm: int, unit: str) -> str:
    return inches(nm, 4) if unit == "in" else millimetres(nm, 3)


def _exact(nm: int, unit: str) -> str:
    """A set-up length with its unit, without trailing zeros beyond three places."""
    text = _plain(nm, unit)
    return f"{text[:-1] if '.' in text and text.endswith('0') else text} {unit}"

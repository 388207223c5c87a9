"""The saw plan of an order, or a line of it, as its record stands: numbered, kept with its sheet, made anew when a cut
goes wrong.

What is cut stays cut; a bar that is signed out keeps the pieces that it was signed out for. Everything else is planned
from the bars that may be issued now, at the length that a person measured last: remnants of the visit, posts of a rack
from the heat of those that it has. Within the shop's slack of value no piece leaves the bar that it was planned from.
A spoiled piece is planned again once it is scrapped; one in doubt waits for its
disposition. The new plan supersedes the one before by number and says what it does otherwise, and why.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from hashlib import sha256
from itertools import groupby

from rackwright.design import Design
from rackwright.making.sawing.cut_sheet import CutBar
from rackwright.making.sawing.cutting import Kept, PlannedFrom
from rackwright.making.sawing.mitre import piece_kerf
from rackwright.making.sawing.replan import PlannedBar, SawWork, changes
from rackwright.making.sawing.stop import AtSaw
from rackwright.papers.lengths import length
from rackwright.pieces.model import Piece
from rackwright.plan import Plan, money
from rackwright.record import Appended, Refs, State, Stock
from rackwright.seal import canonical
from rackwright.shop import Shop, StockBar
from rackwright.trouble import Refusal
from rackwright.work.engineering.frozen import frozen
from rackwright.work.gates import first, no, not_held, order_known, person_may
from rackwright.work.metal.receiving import certificate_of
from rackwright.work.metal.sawing import piece_id
from rackwright.work.papers.asked import asked_of
from rackwright.work.papers.saw import Issue, saw_sheet
from rackwright.work.people.founding import LEAD
from rackwright.work.station import Draft, Station, perform

__all__ = ["Remaining", "plan_saw", "remaining"]

BARS = ("bar", "remnant")


@dataclass(frozen=True)
class Remaining:
    """What is still to be sawn of an order: a plan of it, the bars that are signed out, and what may not be cut."""

    plan: Plan
    serials: tuple[str, ...]
    made: tuple[str, ...]
    issued: tuple[PlannedBar, ...]
    unfit: dict[str, str]  # bar -> what became of it

    @property
    def inputs(self) -> str:
        """SHA-256 of what the plan is made from."""
        designs = [design.rack.definition for design, _ in self.plan.demand]
        said = {
            "made": list(self.made),
            "issued": [
                [one.bar, one.measured_nm, *sorted(piece for piece, _ in one.pieces)] for one in self.issued
            ],
            "stock": [[bar.id, bar.length_nm, bar.heat] for bar in self.plan.stock or ()],
            "at saw": str(self.plan.at_saw),
            "serials": list(self.serials),
            "designs": [f"{one.part} {one.revision}" for one in designs],
        }
        if asked := [words for design, _ in self.plan.demand for words in design.asked]:
            said["asked"] = asked
        return sha256(canonical(said)).hexdigest()

    def work(self, number: str, order: str, supersedes: str) -> SawWork:
        planned = tuple(
            _planned(section.section, section.stock, bar, self.serials)
            for section in self.plan.saw
            for bar in section.bars
        )
        return SawWork(number, order, supersedes, (*self.issued, *planned), self.made)


def _planned(section: str, stock: str, bar: CutBar, serials: tuple[str, ...]) -> PlannedBar:
    pieces = tuple((piece_id(serials[cut.slot.rack - 1], cut.slot.piece), cut.length_nm) for cut in bar.cuts)
    return PlannedBar(
        bar.bar, section, stock, bar.heat, bar.measured_nm, pieces, bar.rest_nm, bar.keeps_rest, False
    )


# --- from the record -----------------------------------------------------------------------------


def remaining(
    station: Station, state: State, order: str, shop: Shop, at_saw: AtSaw | None = None,
    old: SawWork | None = None, line: str = "",
) -> Remaining:  # fmt: skip
    """The rest of an order or a `line` of it, near to its `old` plan. `shop` where none was frozen. Raises Stopped as
    `frozen`."""
    racks = state.racks(order, line)
    demand: list[tuple[Design, int]] = []
    for revision, some in groupby(rack.revision for rack in racks):
        held = frozen(station.record, revision, state)
        demand.append((asked_of(held.design, state, order, line), len(list(some))))
        shop = held.shop or shop
    designs = [design for design, quantity in demand for _ in range(quantity)]
    sawn = {
        piece_id(rack.serial, piece.id): (number, piece)
        for number, (rack, design) in enumerate(zip(racks, designs, strict=True), 1)
        for piece in design.pieces.sawn
    }
    there = {id: state.pieces[id].heat for id in sawn if id in state.pieces}
    there = {id: heat for id, heat in there.items() if state.pieces[id].state != "scrapped"}
    issued, out = [], dict[str, str]()
    for stock in state.stock.values():
        if stock.state == "issued" and stock.job == order:
            pieces = {id: sawn[id][1] for id in stock.planned if id in sawn and id not in there}
            if line and not pieces:
                continue  # signed out for another line
            issued.append(_issued(stock, pieces, shop))
            out |= dict.fromkeys(pieces, stock.heat)
    kept = tuple(Kept(sawn[id][0], sawn[id][1].id, heat) for id, heat in (there | out).items())
    before = tuple(
        PlannedFrom(sawn[id][0], sawn[id][1].id, bar)
        for id, bar in (old.bar_of if old else {}).items()
        if id in sawn
    )
    plan = Plan(tuple(demand), _usable(state), shop, at_saw=at_saw, kept=kept, before=before)
    return Remaining(plan, tuple(rack.serial for rack in racks), tuple(there), tuple(issued), _unfit(state))


def _issued(stock: Stock, pieces: Mapping[str, Piece], shop: Shop) -> PlannedBar:
    """A bar that is signed out, cut as it was signed out, the longest first."""
    measured, kerf = _measured(stock), shop.saw.planned_kerf
    lengths = {id: piece.length or 0 for id, piece in pieces.items()}
    longest = tuple(sorted(lengths.items(), key=lambda one: (-one[1], one[0])))
    trim = shop.saw.mill_end_trim if _is_bar(stock) else 0
    rest = measured - trim - sum(lengths[id] + piece_kerf(piece, kerf) for id, piece in pieces.items())
    keeps = rest >= shop.saw.remnant_min
    return PlannedBar(
        stock.stock_id, stock.section, stock.stock_spec, stock.heat, measured, longest, rest, keeps, True
    )


def _is_bar(stock: Stock) -> bool:
    """Was its first end never sawn?"""
    return stock.form == "bar" and not stock.parent


def _measured(stock: Stock) -> int:
    """What a person measured last, where that is less than the books say."""
    return stock.length_nm if stock.counted_nm is None else min(stock.length_nm, stock.counted_nm)


def _usable(state: State) -> tuple[StockBar, ...]:
    unfit = _unfit(state)
    return tuple(
        StockBar(
            one.stock_id, one.section, one.stock_spec, "bar" if _is_bar(one) else "remnant", _measured(one),
            one.heat, certificate_of(one.certificate), one.place,
        )
        for one in state.stock.values()
        if one.form in BARS and one.length_nm and one.stock_id not in unfit
    )  # fmt: skip


def _unfit(state: State) -> dict[str, str]:
    """What keeps a bar from being planned, in words that follow its id."""
    found = {}
    for one in state.stock.values():
        held = not_held(state, stock_id=one.stock_id, heat=one.heat)
        if one.form not in BARS:
            continue
        if one.state != "accepted":
            taken = f" for {one.job}" if one.state == "issued" else ""
            found[one.stock_id] = (
                f"is {one.state.replace('_', ' ')}{taken}{f': {one.reason}' if one.reason else ''}"
            )
        elif held is not None:
            found[one.stock_id] = f"is held: {held.found}"
    return found


# --- the act -------------------------------------------------------------------------------------


def plan_saw(
    station: Station, order: str, shop: Shop, reason: str = "", at_saw: AtSaw | None = None, act_id: str = "",
    line: str = "",
) -> Appended:  # fmt: skip
    """The next saw plan of an order, or of one `line` of it, with its sheet. `shop` where none was frozen; `at_saw` as
    measured, for the stops. A bar is signed out to one revision: racks of several are planned line by line.

    Refused: RW516 the person, RW503 an order without serials, RW511 a bar that is signed out holds less than it was
    signed out for, RW402 a piece finds no bar, RW517 nothing is left to saw, nothing has changed, or a plan is made
    anew without a reason. Raises Stopped as `frozen`.
    """
    made: dict[
        tuple[str, str], tuple[bytes, bytes, tuple[str, ...]]
    ] = {}  # where another station wrote first

    def decide(state: State) -> list[Draft] | Refusal:
        refused = first(
            person_may(state, station.person, LEAD, station.today), _order_with_serials(state, order, line)
        )
        if refused is not None:
            return refused
        before = state.saw_plans.get(order, ())
        last = next((one for one in reversed(before) if one.line in ("", line)), None)
        old = SawWork.from_json(json.loads(station.record.get_file(last.file))) if last else None
        rest = remaining(station, state, order, shop, at_saw, old, line)
        number = f"{order}-SAW-{len(before) + 1}"
        refused = first(_needed(rest, order, last.inputs if last else "", reason, bool(last)), *_hold(rest))
        if refused is not None:
            return refused
        if (number, rest.inputs) not in made:
            no_bar = _no_bar(rest, order)
            if no_bar is not None:
                return no_bar
            work = rest.work(number, order, last.plan if last else "")
            named = state.orders[order].named(line) if line else order
            lines = _changes(state, old, work, rest) if old else ()
            issue = Issue(number, work.supersedes, reason, lines, rest.issued)
            drawn = saw_sheet(rest.plan, named, station.today, rest.serials, state.demo, issue)
            made[number, rest.inputs] = canonical(work.to_json()), drawn, lines
        plan, sheet, lines = made[number, rest.inputs]
        body: dict[str, object] = {
            "plan": number, "order": order, "file": station.record.put_file(plan),
            "sheet": station.record.put_file(sheet), "inputs": rest.inputs, "reason": reason,
        }  # fmt: skip
        body |= {"line": line} if line else {}
        if last:
            body |= {"supersedes": last.plan, "changes": list(lines)}
        files = [str(body["file"]), str(body["sheet"])]
        return [Draft("saw_plan", body, Refs.of(serials=rest.serials, files=files))]

    return perform(station, "saw_plan", decide, act_id)


def _order_with_serials(state: State, order: str, line: str) -> Refusal | None:
    """Its racks are numbered, and are of one revision: a bar is signed out to no more."""
    if order not in state.orders:
        return order_known(state, order)
    racks, what = state.racks(order, line), f"{order}{line and f' line {line}'}"
    if not racks:
        return no(
            "RW503", order, f"the racks of {what} have no serials", "record them: rackwright log serial"
        )
    if not line and any(one.line for one in state.saw_plans.get(order, ())):
        return no("RW517", order, f"{order} is planned line by line", "name the line")
    revisions, lines = {rack.revision for rack in racks}, dict.fromkeys(rack.line for rack in racks)
    if len(revisions) > 1 and len(lines) > 1:
        found = f"the racks of {what} are of {', '.join(sorted(revisions))}, and a bar is signed out to one"
        return no("RW517", order, found, f"plan a line at a time: line={next(iter(lines))}")
    return None


def _needed(rest: Remaining, order: str, inputs: str, reason: str, again: bool) -> Refusal | None:
    if not rest.issued and not rest.plan.jobs:
        return no("RW517", order, f"every sawn piece of {order} is cut", "nothing is left to plan")
    if again and rest.inputs == inputs:
        return no("RW517", order, "nothing has changed since the last saw plan", "use that one")
    if again and not reason.strip():
        return no("RW517", order, "no reason is given for another saw plan", "give the reason")
    return None


def _hold(rest: Remaining) -> list[Refusal | None]:
    """Do the bars that are signed out still hold what they were signed out for?"""
    tail = rest.plan.shop.saw.clamp_tail + rest.plan.shop.saw.bar_length_uncertainty
    return [
        no("RW511", bar.bar, f"{bar.bar} is too short for the {len(bar.pieces)} pieces that it was signed out for",
           "return it, then plan again")
        for bar in rest.issued
        if bar.rest_nm < tail
    ]  # fmt: skip


def _no_bar(rest: Remaining, order: str) -> Refusal | None:
    missing = [slot for section in rest.plan.saw for slot in section.missing]
    if not missing:
        return None
    unit = rest.plan.shop.style.unit
    buy = [
        f"{number} x {length(nm, unit)} {unit} of {one.job.section}"
        for one in rest.plan.lacking
        for nm, number in one.buy
    ]
    asked = [one.asked for one in rest.plan.lacking if one.asked]
    do = f"buy {', '.join(buy)}" if buy else f"asked for: {'; '.join(asked)}"
    first_one = piece_id(rest.serials[missing[0].rack - 1], missing[0].piece)
    return no("RW402", order, f"{len(missing)} pieces find no bar, first {first_one}", do)


def _changes(state: State, old: SawWork, new: SawWork, rest: Remaining) -> tuple[str, ...]:
    lost = {
        id: f"the one from {one.stock_id} was scrapped{f', {one.reason}' if one.reason else ''}"
        for id, one in state.pieces.items()
        if one.state == "scrapped"
    }
    became = {
        bar: words for bar, words in rest.unfit.items() if not words.startswith(("is cut", "is issued"))
    }
    unit = rest.plan.shop.style.unit
    said = changes(old, new, lost, became, lambda nm: f"{length(nm, unit)} {unit}")
    return (*said, *_price_of_staying(rest.plan))


def _price_of_staying(plan: Plan) -> tuple[str, ...]:
    """What it costs that pieces stay on the bars that they were planned from, where it costs anything."""
    paid = sum((section.level_price or Fraction(0) for section in plan.saw), Fraction(0))
    if not paid:
        return ()
    share = plan.shop.stock_value.change_share or 0
    return (f"that they do costs {money(paid, plan.shop.currency)} more than the cheapest plan: "
            f"{share:.2%} of its value may",)  # fmt: skip

"""`rackwright plan FILE…`: what an order of racks is cut from, at least stock value, with a proven bound."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rackwright.making.nest import Short
    from rackwright.making.saw import Levels
    from rackwright.making.sawing.cut_sheet import CutBar, CuttingPlan
    from rackwright.making.sawing.purchase import Lacking
    from rackwright.plan import Plan

__all__ = ["plan"]


@click.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True)
@click.option(
    "--quantity", type=click.IntRange(1, 1000), multiple=True,
    help="Racks of each FILE; given once for all, or once for each in turn.  [default: 1]",
)  # fmt: skip
@click.option(
    "--stock", metavar="FILE", help="Bars on the shelf (stock.toml). Without it everything is bought."
)
@click.option(
    "--shop", metavar="DIR", help="The shop's folder; else the nearest one above FILE, or RACKWRIGHT_SHOP."
)
@click.option(
    "--effort", type=click.IntRange(0, 10**9), help="Work of the search; the same effort gives the same plan."
)
@click.option(
    "--seconds", type=click.FloatRange(0.1, 86_400), help="Stop after this long, instead of --effort."
)
@click.option("--metal-at", metavar="T", help="Measured of the bars, as '95 degF': stops are set for it.")
@click.option("--scale-at", metavar="T", help="Measured of a stop's scale that does not compensate itself.")
@click.option(
    "--nest",
    type=click.IntRange(0, 10**5),
    help="Reports that the nesting library may give a plate; 0: without it.",
)
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
def plan(
    files: tuple[str, ...], quantity: tuple[int, ...], stock: str | None, shop: str | None, effort: int | None,
    seconds: float | None, metal_at: str | None, scale_at: str | None, nest: int | None,
    as_json: bool,
) -> int:  # fmt: skip
    """Plan the cutting of racks: which piece from which bar, what to buy, what may not be used.

    FILE is a standard or a variation. Bars are used only when their certificate shows the least values of their
    specification. Lengths are as measured less their uncertainty, the kerf at its upper value.

    \b
    optimal    the plan meets the proven bound: no other costs less
    feasible   gap = (cost - bound) / cost
    Exit 1 when a piece finds no bar, or with --stock no plate.
    """
    from rackwright.answers import plan_json
    from rackwright.design import Design
    from rackwright.faces.acts.values import at_saw
    from rackwright.plan import EFFORT, Plan
    from rackwright.trouble import Refusal, Stopped, Where
    from rackwright.work.load import find_shop, load_rack, load_stock_items
    from rackwright.work.metal.nesting import REPORTS
    from rackwright.work.metal.planning import order_plan, plan_in_time
    from rackwright.work.stations.bending import shop_as_bent

    if effort is not None and seconds is not None:
        raise click.UsageError("Give --effort or --seconds, not both.")
    numbers = _quantities(files, quantity)
    demand = tuple(
        (Design(load_rack(file, shop)), number) for file, number in zip(files, numbers, strict=True)
    )
    house = shop_as_bent(find_shop(Path(files[0]), shop))
    bars, items = (None, None) if stock is None else load_stock_items(stock)
    made = Plan(
        demand,
        bars,
        house,
        EFFORT if effort is None else effort,
        items=items,
        at_saw=at_saw(metal_at, scale_at),
    )
    if made.faults:
        raise Stopped(made.faults)
    made = order_plan(made, find_shop(Path(files[0]), shop), REPORTS if nest is None else nest)
    if seconds is not None:
        made = plan_in_time(made, seconds, lambda words: click.echo(words, err=True))
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(plan_json(made))
    else:
        _print(made, stock)
    place = Where(stock, field="bar") if stock else Where("shop.toml", field="price.purchase_lengths")
    long = {line.part: line.length_nm for line in made.parts}
    for section in made.saw:
        for part, number in Counter(slot.part for slot in section.missing).items():
            each = _length(long[part] or 0, made)
            what = f"{number} of {part} ({section.section}, {section.stock}), {each} long, find no bar"
            do = "receive such bars, or give the lengths that they can be bought in (shop.toml, price)"
            click.echo(str(Refusal("RW402", place, what, do)), err=True)
    for job in made.plate.jobs if stock else ():
        for part, number in Counter(slot.part for slot in job.missing).items():
            what = f"{number} of {part} ({job.section}, {job.stock}) find no plate"
            do = _plates_to_buy(next(one for one in job.short if one.part == part), made)
            click.echo(str(Refusal("RW412", Where(stock or "", field="item"), what, do)), err=True)
    return 0 if made.feasible else 1


def _plates_to_buy(short: Short, plan: Plan) -> str:
    """The cheapest way out: so many plates like those known, or the least size that holds a blank."""
    sizes = [" x ".join(_length(side, plan) for side in size) for size in (short.least, short.like) if size]
    if short.buy is None:
        return f"receive plate of a good certificate, at least {sizes[0]}, along the grain first"
    return f"receive {short.buy} more of {sizes[1]} with a good certificate"


def _quantities(files: tuple[str, ...], quantity: tuple[int, ...]) -> list[int]:
    if len(quantity) <= 1:
        return [quantity[0] if quantity else 1] * len(files)
    if len(quantity) != len(files):
        raise click.UsageError(f"--quantity is given {len(quantity)} times for {len(files)} files.")
    return list(quantity)


# --- for people ----------------------------------------------------------------------------------


def _print(plan: Plan, stock: str | None) -> None:
    from rackwright.trouble import DEFERENCE

    order = ", ".join(
        f"{n} x {d.rack.definition.part} revision {d.rack.definition.revision}" for d, n in plan.demand
    )
    click.echo(f"{order}, at {plan.shop.name}")
    if plan.marks:
        click.echo(", ".join(plan.marks))
    if stock is None:
        click.echo("no stock was given: every bar is to be bought")
    if plan.stopped_by_clock:
        click.echo("the search was stopped by the clock")
    _print_parts(plan)
    for section, least in zip(plan.saw, plan.least_levels, strict=True):
        _print_section(plan, section, least)
    _print_stations(plan)
    if plan.left_out:
        click.echo("\nnot used:")
        for one in plan.left_out:
            click.echo(f"  {one.bar.id}, {one.bar.section}: {'; '.join(map(str, one.failed))}")
    buy = [(section, nm, n) for section in plan.saw for nm, n in section.buy]
    click.echo("\nto buy:" if buy else "\nto buy: nothing")
    for section, nm, n in buy:
        click.echo(f"  {n} x {_length(nm, plan)} {section.section}, {section.stock}")
    for lacking in plan.lacking:
        _print_lacking(plan, lacking)
    _print_totals(plan)
    click.echo(f"\n{DEFERENCE}")


def _print_lacking(plan: Plan, one: Lacking) -> None:
    """What the shelf alone lacks of a section, and the least money that makes up for it."""
    from rackwright.plan import money

    least = _length(one.shortage.least_use * plan.shop.style.grid, plan)
    click.echo(
        f"\nthe shelf alone lacks of {one.job.section}, {one.job.stock}: at least {least}, kerf included"
    )
    for short in one.shortage.pieces:
        need = one.job.needs[short.piece]
        words = f"  {short.number} x {_length(need.length_nm, plan)}"
        if need.same_heat:
            held = ", ".join(f"{heat} holds {n}" for heat, n in short.by_heat)
            words += f", posts of a rack from one heat: {held or 'no heat holds one'}"
        click.echo(words)
    if one.purchase is None:
        click.echo(f"  asked for: {one.asked}")
        return
    bars = ", ".join(f"{n} x {_length(nm, plan)}" for nm, n in one.buy)
    currency, proven = plan.shop.currency, one.purchase.proven
    cost = "no price" if one.cost is None else money(one.cost, currency)
    least_cost = "proven least" if proven else f"at least {money(one.least_cost, currency, down=True)}"
    click.echo(f"  the cheapest purchase: {bars}, {cost} with surcharge, {least_cost}")


def _print_stations(plan: Plan) -> None:
    """Rings, plates and blocks in a line or two each, and what is still asked for."""
    flats: dict[str, list[str]] = {}
    for blank in plan.blanks.made:
        flats.setdefault(blank.flat_of, []).append(
            f"{blank.part}{' turned over' if blank.turned_over else ''}"
        )
    for first in plan.blanks.made:
        if first.part in flats:
            long, line, neutral = _length(first.length, plan), _length(first.bend_at, plan), first.neutral
            click.echo(
                f"\nring blank {long} long, bend line {line} from its square end: {', '.join(flats[first.part])}"
            )
            click.echo(
                f"  K {neutral.K:.4f}, inside radius {_length(neutral.radius, plan)}, by {neutral.source}"
            )
    for bend in plan.brake:
        for check in bend.checks:
            if not check.ok:
                click.echo(f"  {bend.design}: {check.name} does not hold")
        for why in bend.folding.blocked if bend.folding else ():
            click.echo(f"  {bend.design}: no order of bends: {why}")
    for job in plan.plate.jobs:
        if job.layouts:
            opened, bound = len(job.layouts), job.plates_bound
            click.echo(
                f"\n{job.section}, {job.stock}: {opened} opened, at least {bound} by area, density {job.density:.1%}, "
                f"at most {job.density_bound:.1%} by area; laid by {job.packer}"
            )
    hours = {"jet": plan.plate.time, "mill": plan.mill.time}
    known = ", ".join(f"{name} {time / 3600:.2f} h" for name, time in hours.items() if time)
    click.echo(f"\nmachine time: {known}" if known else "\nmachine time: not known")
    if plan.mill.time_from:
        click.echo(f"  mill: by {plan.mill.time_from}")
    for block in plan.mill.lines:
        for check in (*block.checks, *(block.fit.checks if block.fit else ())):
            if block.same_as == block.part and not check.ok:
                click.echo(f"  {block.part}: {check.name} does not hold")
    asked = [
        *plan.saw_asked,
        *plan.blanks.asked,
        *(one for bend in plan.brake for one in bend.asked),
        *plan.plate.asked,
        *plan.mill.asked,
    ]
    for one in dict.fromkeys(asked):
        click.echo(f"  asked for: {one}")


def _print_totals(plan: Plan) -> None:
    from rackwright.plan import money

    total = plan.balance
    parts = {"pieces": total.pieces, "kerf": total.kerf, "trim": total.trim, "remnants": total.remnant,
             "scrap": total.scrap}  # fmt: skip
    words = " + ".join(f"{_length(nm, plan)} {word}" for word, nm in parts.items())
    click.echo(f"\nreceived {_length(total.received, plan)} = {words}")
    if plan.feasible:
        unpriced = [section.section for section in plan.saw if section.objective is None]
        known = [section.objective for section in plan.saw if section.objective is not None]
        rest = f", without {', '.join(unpriced)}: no price" if unpriced else ""
        click.echo(f"stock value used: {money(sum(known, Fraction()), plan.shop.currency)}{rest}")
    _print_price(plan)


def _print_price(plan: Plan) -> None:
    """The price with its sums and band, or what it still asks for."""
    from rackwright.making.price import KINDS
    from rackwright.plan import money

    price, band, currency = plan.price, plan.band, plan.shop.currency
    sums = ", ".join(f"{kind} {money(price.sum_of(kind), currency)}" for kind in KINDS)
    mark = f" ({', '.join(price.marks)})" if price.marks else ""
    total = money(price.total, currency) if price.total is not None else "not known"
    each = f", {money(price.per_rack, currency)} a rack" if price.per_rack is not None else ""
    click.echo(f"\nprice{mark}: {total}{each}; {sums}")
    if band is not None and band.deviations:
        spread = f"{money(band.low, currency)} to {money(band.high, currency)}"
        worst = f"{money(band.worst_low, currency)} to {money(band.worst_high, currency)}"
        without = f"; no spread is stated of {', '.join(band.without)}" if band.without else ""
        click.echo(f"  the band of it {spread}; all at their worst {worst}{without}")
    elif band is not None:
        click.echo("  no band: the shop states no spread of its costs ([[spread]])")
    for plate in price.plates:
        full, credit, net = (money(one, currency) for one in (plate.full, plate.credit, plate.net))
        click.echo(
            f"  plates of {plate.name}: {plate.plates} opened {full}, credit for what goes back {credit}, net {net}"
        )
    for one in price.asked:
        click.echo(f"  asked for: {one}")
    for question in price.questions:
        click.echo(f"  open, blocks the quote: {question.id}: {question.text}")


def _print_parts(plan: Plan) -> None:
    rows = []
    for line in plan.parts:
        length = "" if line.length_nm is None else _length(line.length_nm, plan)
        rows.append((line.part, str(line.quantity), line.section, length, line.stock))
    click.echo()
    _table("part< quantity> section< cut_length> stock<", rows)


def _print_section(plan: Plan, section: CuttingPlan, least: Levels) -> None:
    click.echo(f"\n{section.section}, {section.stock}: {section.status}")
    if not section.missing:
        click.echo(_cost(plan, section))
        click.echo(_levels(section, least))
    rows = [
        (bar.bar, bar.heat, bar.certificate, bar.location, _length(bar.measured_nm, plan), _cuts(bar, plan),
         f"{_length(bar.rest_nm, plan)} {'remnant' if bar.keeps_rest else 'scrap'}")
        for bar in section.bars
    ]  # fmt: skip
    _table("bar< heat< certificate< at< length> cuts,_in_order< rest>", rows)


def _cost(plan: Plan, section: CuttingPlan) -> str:
    """What the plan costs, the proven bound, and what first fit would have cost, in one line."""
    from rackwright.plan import money

    currency, cost, first = plan.shop.currency, section.objective, section.first_fit
    gap = f"gap {100 * section.gap:.2f} %"
    if cost is None:
        return f"no price for {section.stock}; {gap}"
    proven = section.answer.optimal
    paid = section.level_price or Fraction(0)
    bound = money(cost - paid if proven else section.lower_bound, currency, down=not proven)
    words = f"stock value {money(cost, currency)}, proven bound {bound} ({section.answer.bound_how}), {gap}"
    words += f", {money(paid, currency)} of it paid for fewer bars and stop moves" if paid else ""
    if first is None:
        return f"{words}; first fit finds no plan"
    return (
        f"{words}; first fit costs {f'{money(first - cost, currency)} more' if first > cost else 'the same'}"
    )


def _levels(section: CuttingPlan, least: Levels) -> str:
    """Bars, stop moves and heats a rack, each with what no plan goes below."""
    answer, heats = section.answer, [len(some) for some in section.heats.values()]

    def level(found: int, bound: int, what: str) -> str:
        return (
            f"{found} {what}{'s' * (found != 1)} ({'the fewest' if found == bound else f'at least {bound}'})"
        )

    words = f"{level(answer.bars_opened, least.bars, 'bar')}, {level(answer.stop_moves, least.stop_moves, 'stop move')}"
    return f"{words}, {level(max(heats), 1, 'heat')} in a rack at most" if heats else words


def _cuts(bar: CutBar, plan: Plan) -> str:
    """`2 x 40.500 (rack 1), 3 x 21.000 (racks 1, 3)`, in the order of cutting."""
    by_length: dict[int, list[int]] = {}
    for cut in bar.cuts:
        by_length.setdefault(cut.length_nm, []).append(cut.slot.rack)
    words = []
    for nm, of_racks in by_length.items():
        racks = sorted(set(of_racks))
        names = f"rack{'s' if len(racks) > 1 else ''} {', '.join(map(str, racks))}"
        words.append(f"{len(of_racks)} x {_length(nm, plan, unit=False)} ({names})")
    return ", ".join(words)


def _length(nm: int, plan: Plan, unit: bool = True) -> str:
    in_inches = plan.shop.style.unit == "in"
    text = f"{nm / 25_400_000:.3f}" if in_inches else f"{nm / 1_000_000:.2f}"
    return f"{text} {plan.shop.style.unit}" if unit else text


def _table(heads: str, rows: Sequence[tuple[str, ...]]) -> None:
    """Columns as wide as their longest cell, empty ones left out. Heads end in < or >: left or right."""
    names = [(head[:-1].replace("_", " "), head[-1]) for head in heads.split()]
    kept = [i for i in range(len(names)) if any(row[i] for row in rows)]
    wide = {i: max(len(names[i][0]), *(len(row[i]) for row in rows)) for i in kept}
    for row in [tuple(name for name, _ in names), *rows]:
        click.echo(("  " + "  ".join(f"{row[i]:{names[i][1]}{wide[i]}}" for i in kept)).rstrip())

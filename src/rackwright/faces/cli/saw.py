"""`rackwright saw INSTANCE.json`: plan any set of bars and pieces, with a proven bound."""

from __future__ import annotations

import math
import time
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from rackwright.making.saw import Answer
    from rackwright.making.sawing.instance import Instance

__all__ = ["saw"]

LACK_EFFORT = 300  # work on what is short and what to buy, when the search is over
PROCESSES = 3  # sections are searched side by side, in at most so many processes


def _number(context: click.Context, parameter: click.Parameter, value: float) -> float:
    if math.isnan(value):
        raise click.BadParameter("nan is not a time", context, parameter)
    return value


@click.command()
@click.argument("instance", metavar="INSTANCE.json")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")
@click.option(
    "--seconds", type=click.FloatRange(0.1, 86_400), default=10.0, show_default=True, callback=_number,
    help="Stop after this long; sooner when the optimum is proven.",
)  # fmt: skip
def saw(instance: str, as_json: bool, seconds: float) -> int:
    """Plan which pieces are cut from which bars at least cost, with a proven lower bound.

    INSTANCE.json has whole numbers only, in the plain form (stock and pieces by length) or in the form
    saw-1 (sections, heats, trim, clamp tail, remnants). `-` reads standard input.

    \b
    status     optimal: the objective meets the bound; feasible: gap = (objective - bound) / objective;
               infeasible (exit 1): `short` says which lengths are missing in which section, and
               `purchase` which of the bars of kind purchase to buy, as many as needed, at least cost
    first_fit  what plain first-fit decreasing would cost
    """
    from rackwright.faces.cli.files import read_bytes
    from rackwright.making.sawing.answer import answer_document, lacks
    from rackwright.making.sawing.instance import read_instance
    from rackwright.trouble import Refusal, Stopped, Where

    start = time.monotonic()
    found, faults = read_instance(read_bytes(instance), instance)
    if found is None:
        raise Stopped(faults)
    answers = _search(found, start + seconds, start)
    lack = lacks(found, answers, LACK_EFFORT)
    document = answer_document(found, answers, time.monotonic() - start, lack)
    if as_json:
        from rackwright.faces.cli.main import print_json

        print_json(document)
    else:
        _print(document, found)
    bought = {row["section"]: row["buy"] for row in document.get("purchase", [])}
    for row in document.get("short", []):
        place = f" in section {row['section']}" if row["section"] else ""
        what = f"{row['missing']} of length {row['length']} have no place{place}"
        if "most_by_heat" in row:
            held = ", ".join(f"{heat} has room for {n}" for heat, n in row["most_by_heat"].items())
            what += f"; they come in sets of one heat: {held or 'no heat has room for one'}"
        do = "buy as listed under `purchase`" if bought.get(row["section"]) else "add stock that they fit"
        click.echo(str(Refusal("RW402", Where(instance), what, do)), err=True)
    return 1 if document["status"] == "infeasible" else 0


def _search(instance: Instance, deadline: float, start: float) -> list[Answer]:
    """The best answer by section: first fit at once, then whatever the processes find until the deadline."""
    from rackwright.making.saw import best_of, first_answer
    from rackwright.work.run import run_until

    best = [first_answer(section.problem) for section in instance.sections]
    open_ones = [n for n, answer in enumerate(best) if not answer.closed]
    shares = [open_ones[p::PROCESSES] for p in range(min(PROCESSES, len(open_ones)))]
    searches = [(_share, ([(n, instance.sections[n].problem) for n in share], False)) for share in shares]
    if len(shares) == 1:  # the second processor tries the exact end at once
        searches.append((_share, (searches[0][1][0], True)))
    told = [0.0]

    def hear(_: int, found: tuple[int, Answer]) -> bool:
        section, answer = found
        best[section] = best_of(best[section], answer)
        if time.monotonic() - told[0] > 1.0:
            told[0] = time.monotonic()
            _progress(best, time.monotonic() - start)
        return all(answer.closed for answer in best)

    outcomes = run_until(deadline, searches, hear)
    for outcome in outcomes:
        if outcome.error:
            click.echo(f"a search ended early: {outcome.error}", err=True)
    return best


def _share(problems: Sequence[tuple[int, Any]], exact_first: bool) -> Iterator[tuple[int, Answer]]:
    """The searches of several sections, in turns."""
    from rackwright.making.saw import improve

    running = [(n, improve(problem, exact_first=exact_first)) for n, problem in problems]
    while running:
        for entry in list(running):
            n, search = entry
            answer = next(search, None)
            if answer is None:
                running.remove(entry)
            else:
                yield n, answer


def _progress(best: Sequence[Answer], seconds: float) -> None:
    objective, bound = sum(a.objective for a in best), sum(a.lower_bound for a in best)
    missing = sum(n for a in best for _, n in a.missing)
    state = f"{missing} pieces have no bar yet" if missing else f"objective {objective}"
    click.echo(f"saw {seconds:6.1f} s  {state}  bound {bound}", err=True)


def _print(document: dict[str, Any], instance: Instance) -> None:
    from rackwright.trouble import DEFERENCE

    click.echo(f"{document['instance']}: {document['status']} after {document['seconds']} s")
    if document["status"] != "infeasible":
        gap = f"{100 * document['gap']:.3f} %"
        how = ", ".join(document["bound_how"])
        click.echo(f"objective {document['objective']}  bound {document['lower_bound']} ({how})  gap {gap}")
        counts = f"bars {document['bars_opened']}  stop moves {document['stop_moves']}"
        click.echo(f"first fit {document['first_fit']}  {counts}")
    parts = document["balance"]
    click.echo(
        "opened {opened} = use {use} + trim {trim} + scrap {scrap} + remnants {remnants}".format(**parts)
    )
    for bar in document["bars"]:
        place = "" if instance.plain else f"{bar['section']:>8} {bar['id']:>16} {bar['heat']:>10} "
        cut = "  ".join(f"{n} x {name}" for name, n in bar["cut"].items())
        click.echo(f"{place}{bar['length']:>9} x {bar['bars']:<4} leftover {bar['leftover']:>8}   {cut}")
        for one in bar.get("mitred", ()):
            angles = " and ".join(f"{angle:g}" for angle in one["mitre_deg"])
            words = f"    {one['piece']}: {angles} deg, long side {one['long']}"
            if "short" in one:
                words += f", short side {one['short']}; turning every other one would save {one['saved_by_turning']}"
            click.echo(words)
    for row in document.get("purchase", []):
        place = f"section {row['section']}: " if row["section"] else ""
        if row["buy"] is None:
            click.echo(f"{place}asked for: {row['asked_for']}")
            continue
        bars = ", ".join(f"{bar['count']} x {bar['length']} ({bar['id']})" for bar in row["buy"])
        least = "proven least" if row["cost"] == row["cost_at_least"] else f"at least {row['cost_at_least']}"
        click.echo(f"{place}buy {bars}: cost {row['cost']}, {least}")
    click.echo(DEFERENCE)

"""The part of `prove`'s tables that the installer reads: places on the floor, chains of the straps, what is not firm.

From the JSON document, like all of `prove_text`.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click

from rackwright.faces.cli.show import one_line, table

__all__ = ["write_chains", "write_places", "write_reasons"]

Document = dict[str, Any]
SHOWN = 12  # reasons of a kind


def write_places(interface: Document, length: Callable[[float], str]) -> None:
    """Where the rack meets the floor."""
    if not interface:
        return
    stated = all(one["station_buttock_waterline_m"] for one in interface.values())
    names = "station> buttock_line> waterline>" if stated else "x> y> z>"
    click.echo(
        f"\nplaces on the floor{'' if stated else ', rack axes: the origin in the aircraft is not stated'}"
    )
    rows = []
    for name, one in interface.items():
        at = one["station_buttock_waterline_m"] if stated else one["at_rack_m"]
        rows.append((name, *(length(value) for value in at), one_line(one["what"])))
    table(f"at< {names} what_is_there<", rows)


def write_chains(chains: Document) -> None:
    """The weakest link of every strap's chain, and in which case it is the weakest."""
    if not chains:
        return
    click.echo("\nweakest link of each strap's chain, ring to track")
    rows = []
    for strap, one in chains.items():
        cases = [case for case, row in one["by_case"].items() if row["link"] == one["weakest"]]
        margin = "none" if one["margin"] is None else f"{one['margin']:+.3f}"
        gone = ", ".join(one["without_margin"])
        rows.append(
            (one_line(strap), one["weakest"] or "no link has a margin", margin, ", ".join(cases), gone)
        )
    table("strap< weakest_link< margin> in_cases< without_margin<", rows)


def write_reasons(reasons: list[Document]) -> None:
    """What keeps this result from supporting a released report."""
    if not reasons:
        return
    click.echo("\nwhat keeps this from supporting a released report")
    for kind in dict.fromkeys(one["kind"] for one in reasons):
        of_kind = [one for one in reasons if one["kind"] == kind]
        if kind == "allowable":
            click.echo(
                f"  allowable: {len(of_kind)} rows are UNCONFIRMED, as marked above: --json lists them"
            )
            continue
        for one in of_kind[:SHOWN]:
            click.echo(f"  {kind}: {one_line(one['about'])}: {one['text']}")
        if len(of_kind) > SHOWN:
            click.echo(f"  and {len(of_kind) - SHOWN} more of kind {kind}: --json lists all")

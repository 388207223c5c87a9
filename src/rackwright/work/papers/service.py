"""The dossier's section on a rack after its release: as designed, as built, as maintained, and what was done to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rackwright.design import Design
from rackwright.papers.table import Block, Table, Text
from rackwright.record import Event, State
from rackwright.work.engineering.oven_time import Get
from rackwright.work.service.standing import standing

__all__ = ["service_blocks"]


def service_blocks(
    events: Sequence[Event], state: State, serial: str, design: Design, get: Get
) -> Iterator[Block]:
    """Nothing for a rack that nothing happened to since its release."""
    if serial not in state.service and serial not in state.carried:
        return
    found = standing(events, serial, design, get)
    yield Text(f"{serial} is {found.state}, {found.where}.")
    yield Table(
        "As designed, as built, as maintained",
        ("what", "as designed", "as built", "as maintained"),
        tuple((row.what, row.designed, row.built, row.maintained) for row in found.rows),
        align="llll",
        widths=(1.5, 2.6, 2.6, 3.3),
        note="As maintained: what stands in each place today, what the rack carries, and what all bakes together may "
        "have left of its strength: Fty with Fcy and Fbry, Ftu with Fsu and Fbru, in proportion; UNCONFIRMED like the "
        "curves. Evidence, never an approval.",
    )
    yield Table(
        "Pieces that are not those that were built in",
        ("place", "drawn", "as built", "as maintained", "heat", "was"),
        tuple((one.place, one.drawn, one.built, one.piece.removeprefix(f"{serial}/"), one.heat, "; ".join(one.was))
              for one in found.pieces if one.changed),
        align="illiil",
        widths=(1.5, 2, 1.6, 1.6, 1.6, 3),
    )  # fmt: skip
    yield Table(
        "What was done since the release",
        ("event", "day", "what", "by"),
        found.history,
        align="rlll",
        widths=(0.6, 1.1, 6.6, 1.2),
        note="Documents are references that a person gave; recording them here approves nothing.",
    )
    for words in found.left:
        yield Text(f"Waits before service: {words}.", "caution")

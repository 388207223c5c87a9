"""Which metals meet where, and whether each unlike pair has a protection by name.

A pair of unlike metals in a wet place is a cell; the less noble one is eaten. The families used here and the
rule that every unlike pair needs a named protection are common practice; the drawing decides what will do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rackwright.pieces.model import Bolt, Piece
from rackwright.rack.model import Metal, Protection, Rack
from rackwright.trouble import Fault

__all__ = ["HARDWARE", "metal_of", "metals_at", "pairs", "protection_of", "unprotected"]

HARDWARE: Metal = "cadmium-plated steel"  # AN bolts, washers and nuts as the standards plate them


def metal_of(piece: Piece) -> Metal:
    return "stainless" if piece.kind == "ring" else "aluminium"


def pairs(pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> dict[tuple[Metal, Metal], list[str]]:
    """Unlike pairs, in the order of their names, with the bolts at which they meet."""
    metals = {piece.id: metal_of(piece) for piece in pieces}
    found: dict[tuple[Metal, Metal], list[str]] = {}
    for bolt in bolts:
        here = metals_at(bolt, metals)
        for one in here:
            for other in here:
                if one < other:
                    found.setdefault((one, other), []).append(bolt.id)
    return found


def metals_at(bolt: Bolt, metals: Mapping[str, Metal]) -> set[Metal]:
    """The metals that meet at a bolt: of its pieces (`metals` by id), of itself, of what it turns into."""
    own = {bolt.anchor.metal} if bolt.anchor and bolt.anchor.metal else set()
    return {metals[piece] for piece in bolt.joins if piece in metals} | {HARDWARE} | own


def protection_of(rack: Rack, pair: tuple[Metal, Metal]) -> Protection | None:
    return next((row for row in rack.definition.protection if set(row.between) == set(pair)), None)


def unprotected(rack: Rack, pieces: Sequence[Piece], bolts: Sequence[Bolt]) -> list[Fault]:
    """A fault for each unlike pair without a named protection."""
    return [
        Fault("RW208", rack.where("protection"), f"{one} meets {other} at {len(at)} bolts (first {at[0]}) unprotected",
              f'add [[protection]] with between = ["{one}", "{other}"] and its method')
        for (one, other), at in sorted(pairs(pieces, bolts).items())
        if protection_of(rack, (one, other)) is None
    ]  # fmt: skip

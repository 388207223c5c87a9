"""What the record holds of an operation on a rack: a sign, yes or no, for each piece, reading or rack that it takes."""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass

from rackwright.making.inspected import characteristics_of
from rackwright.making.operations import Operation
from rackwright.making.route import STAGES, pieces_taken
from rackwright.making.sawing.cutting import Racked
from rackwright.pieces.characteristics import RACK
from rackwright.record import State
from rackwright.shop import Shop
from rackwright.work.metal.sawing import piece_id

__all__ = ["Progress"]


@dataclass(frozen=True)
class Progress:
    """Of all racks; `measured` are (piece or serial, characteristic)."""

    state: State
    shop: Shop
    measured: Set[tuple[str, str]]

    @classmethod
    def of(cls, state: State, shop: Shop) -> Progress:
        return cls(state, shop, {(m.piece or m.serial, m.characteristic) for m in state.measurements})

    def signs(self, operation: Operation, design: Racked, serial: str) -> Iterator[bool]:
        """None where nothing is recorded of such an operation."""
        rack = self.state.serials[serial]
        if operation.id == "weigh":
            yield rack.weighed is not None
        elif operation.id == "release":
            yield rack.state in ("released", "shipped")
        elif operation.id in STAGES:
            for one in characteristics_of(design, self.shop):
                if one.stage == STAGES[operation.id]:
                    about = serial if one.piece == RACK else piece_id(serial, one.piece)
                    yield (about, one.name) in self.measured
        elif operation.id not in ("receive", "deburr_parts"):
            for piece in pieces_taken(operation, design):
                yield self._piece(piece_id(serial, piece.id), operation.id)

    def _piece(self, name: str, operation: str) -> bool:
        made = self.state.pieces.get(name)
        if made is None or made.state in ("scrapped", "replaced"):
            return False
        if operation in ("issue", "saw", "waterjet"):
            return True
        return made.state == "assembled" if operation == "assemble" else operation in made.done

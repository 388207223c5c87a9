"""Corner blocks on the mill: from the blank, in two setups, to a piece that is measured.

    block.py         one part number: blank with its grain, solid, holes
    hands.py         which are the same piece, which mirror images
    operation.py     tasks and operations; one operation from its task, tool and machine
    tooling.py       which tool of the shop takes a task, and what is asked for where none does
    setups.py        the tasks of each setup in their order, and the time of the whole
    rates.py         the time from logged rates, where there is no tool list
    checks.py        reach, roots, drills, power, thin walls
    spigot_fit.py    the spigot in its tube by ISO 286; bars_in_hand.py: in the bars as measured
    plan.py          the blocks of an order; document.py: as a document

No machine code is written: the sheet says what a machinist sets, and the machinist proves it on the first piece.
"""

from rackwright.making.mill.bars_in_hand import BarFit, BarInside
from rackwright.making.mill.block import BlockHole, BlockLine
from rackwright.making.mill.document import mill_json
from rackwright.making.mill.operation import Operation
from rackwright.making.mill.plan import CAUTIONS, MillPlan, mill_plan
from rackwright.making.mill.setups import Setup
from rackwright.making.mill.spigot_fit import SpigotFit

__all__ = [
    "CAUTIONS",
    "BarFit",
    "BarInside",
    "BlockHole",
    "BlockLine",
    "MillPlan",
    "Operation",
    "Setup",
    "SpigotFit",
    "mill_json",
    "mill_plan",
]

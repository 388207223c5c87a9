"""The saw: which pieces from which bars, at least cost, with a proven bound. Whole numbers, no units.

Read in this order: `problem` (what is asked, what an answer is), `check` (is an answer sound), `greedy`
(first fit), `bounds`, `knapsack` (the most valuable pattern), `master` and `colgen` (the linear bound),
`dive` (whole plans from it), `enumeration` and `pool` (exact ends), `neighbourhood` (parts cut anew),
`openings` and `mixes` (which bars to open: by branching, and where leftovers earn nothing), `feasible` (can it be
done at all), `order` (in what order to cut), `improve` (all of it as a generator of ever better answers), `levels`
(fewer bars and stop moves at that value), `nearest` (planned anew, few pieces on another bar), `shortage` (what is
short, what to buy). May import `trouble` only; a change of the rules of cutting starts in `problem` and `check`.
"""

from rackwright.making.saw.check import Balance, balance, faults_of, verify
from rackwright.making.saw.improve import best_of, first_answer, improve
from rackwright.making.saw.levels import Levels, least_levels, levelled
from rackwright.making.saw.nearest import Pins, nearest, staying
from rackwright.making.saw.problem import Answer, Bar, BarPlan, Group, Piece, Problem
from rackwright.making.saw.shortage import Purchase, Short, Shortage, cheapest_purchase, shortage

__all__ = [
    "Answer", "Balance", "Bar", "BarPlan", "Group", "Levels", "Piece", "Pins", "Problem", "Purchase", "Short",
    "Shortage", "balance", "best_of", "cheapest_purchase", "faults_of", "first_answer", "improve", "least_levels",
    "levelled", "nearest", "shortage", "staying", "verify",
]  # fmt: skip

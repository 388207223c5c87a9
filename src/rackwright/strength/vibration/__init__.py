"""Vibration of one rack: modes over a range of states, distance from harmonics, response to sine on random.

    vibration = vibrate(at_rest(rack, pieces, model))

    states.py       what acts, and each natural frequency as a range; how far it stays from harmonics
    spectrum.py     random and sine input, and the response of modes to it: arrays only
    quantities.py   what is read off a moving rack
    answer.py       what the question is answered with
    moving.py       a moving rack as the linear parts of checks read it
    in_vibration.py the ends of every demand's range, as the judges of checks see them
    margins.py      which checks are put to it, and their margins
    respond.py      the whole answer: peaks of every quantity, judged where a document allows something; margins
    to_json.py      the answer as a person's document

May import: `strength.frame`, `strength.checks` and what `strength` may. Nothing here is a margin of `strength.analyse`:
vibration has rows of its own, and what is not judged is NOT ASSESSED, with the reason in words.
"""

from rackwright.strength.vibration.answer import Vibration
from rackwright.strength.vibration.in_vibration import AtRest
from rackwright.strength.vibration.margins import at_rest
from rackwright.strength.vibration.respond import vibrate
from rackwright.strength.vibration.states import every_part_acting

__all__ = ["AtRest", "Vibration", "at_rest", "every_part_acting", "vibrate"]

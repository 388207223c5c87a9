"""Vibration of one rack: modes over a range of states, distance from harmonics, response to sine on random.

    vibration = vibrate(rack, pieces, model)

    states.py       what acts, and each natural frequency as a range; how far it stays from harmonics
    spectrum.py     random and sine input, and the response of modes to it: arrays only
    quantities.py   what is read off a moving rack
    answer.py       what the question is answered with
    respond.py      the whole answer: peaks of every quantity, judged where a document allows something
    to_json.py      the answer as a person's document

May import: `strength.frame`, `strength.idealise`, `strength.bodies` and what `strength` may. Nothing here is a margin
of `strength.analyse`: vibration has rows of its own, and a row without a documented allowable is NOT ASSESSED.
"""

from rackwright.strength.vibration.answer import Vibration
from rackwright.strength.vibration.respond import vibrate

__all__ = ["Vibration", "vibrate"]

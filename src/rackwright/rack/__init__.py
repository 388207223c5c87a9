"""What a rack is: standard and variation, equipment, aircraft interface, orientation, open questions.

May import: formulas, reference, fields, located, units, trouble.
`model.py` is the frozen data (its tables by chapter in `build_up.py`, `brace.py`, `equipment.py`, `installation.py`,
`interface.py`, `finish.py`), `read.py` the way in, `vary.py` lays a variation over its standard, `check.py`
judges sense, `questions.py` lists what a document must still say, `orient.py` turns between aircraft and
rack axes. A new thing that a customer may ask for starts in `model.py`.
"""

from rackwright.rack.model import CORNERS, Change, Definition, Equipment, Rack
from rackwright.rack.orient import aircraft_axes
from rackwright.rack.questions import Question, open_questions
from rackwright.rack.read import Source, base_of, read_definition, read_rack

__all__ = [
    "CORNERS",
    "Change",
    "Definition",
    "Equipment",
    "Question",
    "Rack",
    "Source",
    "aircraft_axes",
    "base_of",
    "open_questions",
    "read_definition",
    "read_rack",
]

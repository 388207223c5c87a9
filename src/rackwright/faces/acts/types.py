"""What can be recorded from the command line: each type's keys, an example, and the act that its gate decides in.

A new type is one row of the table of its part of the job (`rows/`) and one function `do_TYPE`.
"""

from __future__ import annotations

from rackwright.faces.acts.rows.metal import METAL
from rackwright.faces.acts.rows.office import OFFICE
from rackwright.faces.acts.rows.people import PEOPLE
from rackwright.faces.acts.rows.racks import RACKS
from rackwright.faces.acts.rows.stations import STATIONS
from rackwright.faces.acts.rows.wrong import WRONG
from rackwright.faces.acts.type import Type

__all__ = ["TYPES", "Type"]

#: in the order in which a job comes to them
TYPES: dict[str, Type] = {**PEOPLE, **OFFICE, **METAL, **STATIONS, **RACKS, **WRONG}

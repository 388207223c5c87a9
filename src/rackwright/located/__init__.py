"""Text in, values with places out: the one door for every TOML, JSON and CSV file a user gives.

May import: units, trouble.
`document.py` holds what the doors share (limits, `Document`, `Places`); `toml.py`, `json.py` and `table.py` are the
doors. A reader takes `values` for its model and asks `places` for the `Where` of each fault. Nothing here
opens a file: a face or `reference` hands over the bytes.
"""

from rackwright.located.document import MAX_BYTES, MAX_DEPTH, Document, Path, Places
from rackwright.located.json import read_json
from rackwright.located.table import Row, read_table
from rackwright.located.toml import read_toml

__all__ = [
    "MAX_BYTES",
    "MAX_DEPTH",
    "Document",
    "Path",
    "Places",
    "Row",
    "read_json",
    "read_table",
    "read_toml",
]

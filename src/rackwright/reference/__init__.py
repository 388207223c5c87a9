"""Sourced rows shipped as TOML, and their one reader.

May import: units, trouble, located.
A new material, section, fastener, plate, load-factor rule or table row goes into the TOML file of its kind,
with its source and how it is known. This is the only pure room that opens files: those shipped beside it.
`rows.py` says what a row is, `read.py` reads them, `own.py` lays a shop's own over the shipped ones. Values are SI
floats; a value without a source is None, and a row from memory or transcribed without comparison is `unconfirmed`.
"""

from rackwright.reference.own import Texts, over, read_own
from rackwright.reference.read import Rows, content_hash, read_rows, shipped

__all__ = ["Rows", "Texts", "content_hash", "over", "read_own", "read_rows", "shipped"]

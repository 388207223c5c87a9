"""Sourced rows shipped as TOML, and their one reader.

May import: units, trouble, located.
A new material, section, fastener, plate, load-factor rule or table row goes into the TOML file of its kind,
with its source and how it is known. This is the only pure room that opens files: those shipped beside it.
`rows.py` says what a row is, `read.py` reads the shipped rows and a shop's own. Values are SI floats; a value
without a source is None, and a row from memory or transcribed without comparison is `unconfirmed`.
"""

from rackwright.reference.read import (
    Rows,
    bolts,
    content_hash,
    edge_rules,
    expansions,
    exposures,
    factors,
    grips,
    k_factors,
    load_rules,
    materials,
    merge,
    nuts,
    panel_grids,
    paragraphs,
    read_rows,
    rivets,
    shipped,
    thermals,
    torques,
    washers,
)

__all__ = [
    "Rows",
    "bolts",
    "content_hash",
    "edge_rules",
    "expansions",
    "exposures",
    "factors",
    "grips",
    "k_factors",
    "load_rules",
    "materials",
    "merge",
    "nuts",
    "panel_grids",
    "paragraphs",
    "read_rows",
    "rivets",
    "shipped",
    "thermals",
    "torques",
    "washers",
]

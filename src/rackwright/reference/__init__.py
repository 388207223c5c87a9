"""Sourced rows shipped as TOML, and their one reader.

May import: units, trouble, located.
A new material, section, fastener, plate, load-factor rule or table row goes into the TOML file of its kind,
with its source and how it is known. This is the only pure room that opens files: those shipped beside it.
"""

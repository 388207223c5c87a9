"""How metal is made, in the words that certificates and handbook rows share: the same size by another way is another
metal. Stands beside `units` and `trouble`: the gates of the record read it where no engineering library is."""

from __future__ import annotations

__all__ = ["of_form"]

WAYS = ("drawn", "extruded", "sheet", "plate", "rolled", "cold-finished", "forged", "cast")


def of_form(printed: str, form: str) -> bool:
    """Does the form that a certificate prints belong to the row of allowables of this form? Drawn and extruded tube
    look the same and are not: the form decides the row. Nothing printed belongs to none."""
    ways = [way for way in WAYS if way in printed.lower()]
    return bool(ways) and all(way in form.lower() for way in ways)

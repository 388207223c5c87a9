"""Many objects at once: while they are made, nothing searches for cycles among them.

Python's collector goes through everything that lives again and again while a great deal is made; events and what they
come to hold no cycles. At a million events it took two thirds of the time of an audit.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["in_bulk"]


@contextmanager
def in_bulk() -> Iterator[None]:
    """The collector rests inside; memory that is let go is free at once all the same."""
    rested = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if rested:
            gc.enable()

"""Independent parts of one long question: done one after another, unless the caller has a way to share them out."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol, TypeVar

__all__ = ["Each", "in_turn"]

T = TypeVar("T")


class Each(Protocol):
    """work(0) … work(count - 1), in that order; the answers do not depend on who made them."""

    def __call__(self, work: Callable[[int], T], count: int) -> list[T]: ...


def in_turn(work: Callable[[int], T], count: int) -> list[T]:
    """By this process alone."""
    return [work(n) for n in range(count)]

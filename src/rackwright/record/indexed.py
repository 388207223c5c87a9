"""Tables that are asked by more than the id: what bears this label, which bar is out for this piece.

A row is found by every key that it bears at the moment. A look through all of the stock would do the same, but an audit
asks such a question at every act, and its time would grow with the square of the shop.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, ClassVar, Generic, TypeVar

__all__ = ["Indexed", "Key"]

Row = TypeVar("Row")
Key = tuple[str, ...]  # the kind of question, then what is asked for


class Indexed(dict[str, Row], ABC, Generic[Row]):
    """Rows by id, in the order in which they came; rows are set one at a time and never taken out."""

    row: ClassVar[type]  # what its rows are

    def __init__(self, rows: Mapping[str, Row] | None = None) -> None:
        super().__init__()
        self._ids: dict[Key, dict[str, None]] = {}
        for id, row in (rows or {}).items():
            self[id] = row

    @staticmethod
    @abstractmethod
    def borne(row: Any) -> Iterable[Key]:
        """What a row is found by."""

    def __setitem__(self, id: str, row: Row) -> None:
        before = self.get(id)
        old, now = () if before is None else tuple(self.borne(before)), tuple(self.borne(row))
        if old != now:  # most changes of a row leave what it is found by
            for key in old:
                del self._ids[key][id]
            for key in now:
                self._ids.setdefault(key, {})[id] = None
        super().__setitem__(id, row)

    def ids(self, *key: str) -> tuple[str, ...]:
        """Of the rows that bear this now."""
        return tuple(self._ids.get(key, ()))

    def bearing(self, *key: str) -> Iterator[Row]:
        """The rows that bear this now."""
        return (self[id] for id in self.ids(*key))

    def __reduce__(self) -> tuple[Any, ...]:
        return type(self), (dict(self),)

"""What was worked out of the last few objects, found again as long as it is the same object."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

Of = TypeVar("Of")
Made = TypeVar("Made")


class Lately(Generic[Of, Made]):
    """Remembers what `make` gave for the last `most` objects that were asked for. It keeps those objects alive."""

    def __init__(self, make: Callable[[Of], Made], most: int) -> None:
        self._make = make
        self._most = most
        self._found: dict[int, tuple[Of, Made]] = {}

    def of(self, item: Of) -> Made:
        found = self._found.pop(id(item), None) or (item, self._make(item))
        self._found[id(item)] = found
        if len(self._found) > self._most:
            del self._found[next(iter(self._found))]
        return found[1]

    def __contains__(self, item: Of) -> bool:
        return id(item) in self._found

    def __len__(self) -> int:
        return len(self._found)

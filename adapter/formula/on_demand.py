"""A value that is worked out when it is first asked for, and kept."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

T = TypeVar("T")


class OnDemand(Generic[T]):
    """Call it for the value. Two of them are equal when their values are."""

    __slots__ = ("_value", "_work_out")
    _value: T

    def __init__(self, work_out: Callable[[], T]) -> None:
        self._work_out: Callable[[], T] | None = work_out

    @property
    def known(self) -> bool:
        """Whether it has been worked out."""
        return self._work_out is None

    def __call__(self) -> T:
        work_out = self._work_out
        if work_out is not None:
            self._value = work_out()
            self._work_out = None
        return self._value

    def __eq__(self, other: object) -> bool:
        return self() == other() if isinstance(other, OnDemand) else NotImplemented

    __hash__ = None  # type: ignore[assignment]

"""One test over many rows: it goes through all of them and names every row that fails, not only the first."""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Iterable
from typing import Any

import pytest

Check = Callable[..., None]


def each(names: str, rows: Iterable[Any], label: Callable[[Any], object] = str) -> Callable[[Check], Check]:
    """As `pytest.mark.parametrize(names, rows)`, but one test: it calls the check with every row, then reports.

    Anything a row raises counts as its fault, so nothing passes that would have failed as a test of its own. No rows
    at all is a fault too. `label` names a row in the report.
    """
    keys = [name.strip() for name in names.split(",")]
    todo = list(rows)

    def decorated(check: Check) -> Check:
        @functools.wraps(check)
        def test(**fixtures: Any) -> None:
            if not todo:
                pytest.fail("there are no rows to check", pytrace=False)
            faults = [fault for row in todo if (fault := fault_of(row, fixtures))]
            if faults:
                pytest.fail(f"{len(faults)} of {len(todo)} rows:\n" + "\n".join(faults), pytrace=False)

        def fault_of(row: Any, fixtures: dict[str, Any]) -> str:
            values = dict(zip(keys, row if len(keys) > 1 else [row], strict=True))
            try:
                check(**values, **fixtures)
            except Exception as fault:
                return f"{label(row)}: {type(fault).__name__}: {fault}"
            return ""

        signature = inspect.signature(check)
        kept = [parameter for name, parameter in signature.parameters.items() if name not in keys]
        test.__signature__ = signature.replace(parameters=kept)  # type: ignore[attr-defined]
        return test

    return decorated

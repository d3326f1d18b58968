"""Several bakes from one store, as a person puts them together: which formulas, how many of each, what is wished."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from adapter.formula.problems import InputProblem
from adapter.swaps.bakes import Bakes, checked_count, plan_bakes
from adapter.work.asking import Asked, Asking, asked_data, asked_from_data
from adapter.work.formula_list import SAMPLE, Entry, named_entry

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from adapter.formula.pantry import Pantry
    from adapter.swaps.ruled_out import Without
    from adapter.swaps.swapper import Swapper

BY = "by "
START_DATE = "such as by 2031-06-16"


@dataclass
class Several:
    """What is to be baked: formulas in the order in which they were marked, with counts. Wishes are of all of them."""

    counts: dict[Entry, int] = field(default_factory=dict)
    asked: Asked = field(default_factory=lambda: Asked(ways=1))
    by: date | None = None

    def put(self, entry: Entry, count: int) -> None:
        """So many of a formula; none takes it out. Raises InputProblem."""
        if checked_count(count):
            self.counts[entry] = count
        else:
            self.counts.pop(entry, None)

    @property
    def of_samples(self) -> bool:
        """Whether all of them are samples, which are baked from the sample store."""
        return bool(self.counts) and all(entry.group == SAMPLE for entry in self.counts)

    def wish(self, typed: str, read: Callable[[Entry], Swapper], pantry: Pantry | None) -> None:
        """A wish as it is typed: "without milk", "salt=1.6", "by 2031-06-16". Raises InputProblem."""
        text = typed.strip()
        if text.lower().startswith(BY):
            try:
                self.by = date.fromisoformat(text[len(BY) :].strip())
            except ValueError:
                raise InputProblem(f"{text[:40]!r} names no day", right=START_DATE) from None
            return
        entry = next(iter(self.counts), None)
        if entry is None:
            raise InputProblem("nothing is to be baked yet", right="+ on a formula of the list")
        self.asked = Asking(read(entry), pantry, _words()).added(self.asked, text)

    def plan(self, read: Callable[[Entry], Swapper], pantry: Pantry | None) -> Bakes:
        """One programme over all. Raises InputProblem without a store, and for a formula that cannot be read."""
        if pantry is None:
            raise InputProblem("several bakes need a store", right="keep one: F2 in the list of formulas")
        words = _words()
        asking = [Asking(read(entry), pantry, words) for entry in self.counts]
        wishes = [each.wishes(self.asked) for each in asking]
        return plan_bakes([each.swapper for each in asking], list(self.counts.values()), wishes, self.by)


def kept_text(several: Several) -> str:
    """What is marked and wished, to be found again at the next start."""
    counts = [[_kept_place(entry), count] for entry, count in several.counts.items()]
    by = None if several.by is None else several.by.isoformat()
    return json.dumps({"counts": counts, "asked": asked_data(several.asked), "by": by})


def kept_again(text: str, entries: Iterable[Entry]) -> Several:
    """The same again, of what is still there: nothing marked where the text is of another shape."""
    found = Several()
    try:
        data = json.loads(text)
        by = None if data["by"] is None else date.fromisoformat(data["by"])
        asked = asked_from_data(data["asked"])
        counts = {str(place): int(count) for place, count in data["counts"]}
        here = {_kept_place(entry): entry for entry in entries if entry.place is not None}
        for place, count in counts.items():
            path = Path(place)
            entry = here.get(place) or (named_entry(path) if path.is_absolute() and path.is_file() else None)
            if entry is not None:
                found.put(entry, count)
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError, OSError, InputProblem):
        return Several()
    found.asked, found.by = asked, by
    return found


def _kept_place(entry: Entry) -> str:
    """The file of a formula of the baker's; of a sample its name."""
    return str(entry.path.absolute()) if entry.path is not None else "" if entry.place is None else entry.place.name


def count_typed(text: str) -> int:
    """A count as it is typed. Raises InputProblem."""
    try:
        return checked_count(int(text.strip()))
    except ValueError:
        raise InputProblem(f"{text[:20]!r} is no count", right="a whole number, 0 takes it out") from None


def _words() -> Mapping[str, Without]:
    from adapter.files.places import own_table_folders
    from adapter.swaps.ruled_out import load_without

    return load_without(own_table_folders())

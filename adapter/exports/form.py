"""What a form is in which a formula, or a comparison of variants, can be written: its suffix, its title, its text."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from adapter.dough.readings.measured import Measured
    from adapter.files.stamp import Stamp
    from adapter.formula.pantry import Pantry
    from adapter.words.timetable import TimetableRow


@dataclass(frozen=True, slots=True)
class ForReaders:
    """What a form for readers tells besides: sentences for those who lack something, and why a rule's swap is made.

    `reasons` are by the id of the rule; `cups` adds cups and spoons to the grams; `timetable`
    is that of the day, where one is planned.
    """

    options: Sequence[str] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)
    cups: bool = False
    timetable: Sequence[TimetableRow] = ()


@dataclass(frozen=True, slots=True)
class FormulaForm:
    """One form of a formula. Forms are listed by `place`.

    `for_readers` says that the text uses what is told to readers, `for_calendars` that it uses the day's timetable.
    `write_over` writes it into a file that may be there already, where that keeps something of the file; without it, a
    file is written whole.
    """

    suffix: str
    title: str
    place: int
    text: Callable[[Measured, ForReaders], str]
    for_readers: bool = False
    for_calendars: bool = False
    write_over: Callable[[Measured, Path, Stamp | None], Stamp] | None = None


@dataclass(frozen=True, slots=True)
class ComparisonForm:
    """One form of several variants beside each other, with what the pantry lacks for each where there is one."""

    suffix: str
    title: str
    place: int
    text: Callable[[Sequence[Measured], Pantry | None], str]

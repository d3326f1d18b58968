"""The work on a formula as plain data and back: every variant with its steps, the holds, and their files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from adapter.files.stamp import Stamp
from adapter.formula.catalogue import Catalogue
from adapter.formula.model import Formula
from adapter.formula.plain_text import shown
from adapter.formula.problems import InputProblem
from adapter.swaps.bench import Work
from adapter.swaps.variant import Variant
from adapter.work.asking import Asked, asked_data, asked_from_data
from adapter.work.formula_data import Pool, Restored, safely, text

Data = dict[str, Any]
LogForm = tuple[tuple[str, str], ...]
"""What is typed for the bake log and not written down yet: question and text."""


@dataclass(frozen=True, slots=True)
class Home:
    """Where a variant stands on disk, and the formula as it stands there."""

    path: Path
    stamp: Stamp
    formula: Formula


def stands_somewhere(formula: Formula, home: Home | None, opened: Formula) -> bool:
    """Whether a formula stands in its file as it is, or is as it was opened. What was begun with nothing stands nowhere
    until it is saved."""
    return formula == home.formula if home is not None else bool(opened.lines) and formula == opened


@dataclass(frozen=True, slots=True)
class KeptWork:
    """Work with where it came from: the formula as it was opened, its file, and the home of each variant.

    `day` is what is set for its next bake, as plain data: what it says is read where it is used (day_choices).
    `asked` is what was asked of the loaf.
    """

    work: Work
    opened: Formula
    opened_from: Path | None
    homes: tuple[Home | None, ...]
    log_form: LogForm = ()
    day: Data = field(default_factory=dict)
    asked: Asked | None = None

    @property
    def is_saved(self) -> bool:
        """Whether every variant stands in a file as it is, or is the formula as it was opened."""
        return all(
            stands_somewhere(variant.formula, home, self.opened)
            for variant, home in zip(self.work.variants, self.homes, strict=True)
        )


def work_to_data(kept: KeptWork) -> Data:
    """Dicts, lists, texts and numbers only. What the formulas of all variants share stands once."""
    pool = Pool()
    formulas: list[Data] = []
    places: dict[int, int] = {}

    def place(formula: Formula) -> int:
        if id(formula) not in places:
            places[id(formula)] = len(formulas)
            formulas.append(pool.formula(formula))
        return places[id(formula)]

    work = kept.work
    data: Data = {
        "variants": [
            {"formulas": [place(formula) for formula in variant.formulas], "at": variant.at}
            for variant in work.variants
        ],
        "shown": work.shown,
        "holds": list(work.holds),
        "opened": place(kept.opened),
        "opened_from": None if kept.opened_from is None else str(kept.opened_from),
        "homes": [None if home is None else _home_data(home, place(home.formula)) for home in kept.homes],
        "log_form": dict(kept.log_form),
        "day": kept.day,
        "asked": None if kept.asked is None else asked_data(kept.asked),
    }
    return {**data, "formulas": formulas, **pool.data()}


def work_from_data(data: Any, catalogue: Catalogue) -> KeptWork:
    """The work again. Raises InputProblem for data of another shape, or an ingredient that is no longer there."""
    return safely(lambda: _kept(data, catalogue))


def _kept(data: Data, catalogue: Catalogue) -> KeptWork:
    restored = Restored(data)
    for name in sorted(restored.ingredients()):
        if name not in catalogue.ingredients:
            raise InputProblem(f"'{shown(name)}' is no longer in the tables", right="put it back into your own tables")
    formulas = restored.formulas(data["formulas"])
    variants = tuple(_variant(item, formulas) for item in data["variants"])
    opened = formulas[data["opened"]]
    begun = [opened, *(variant.formulas[0] for variant in variants)]
    if not all(formula.lines or any(each is formula for each in begun) for formula in formulas):
        raise ValueError("a formula has lost its lines")
    at = int(data["shown"])
    homes = tuple(_home(item, formulas) for item in data["homes"])
    if not variants or not 0 <= at < len(variants) or len(homes) != len(variants):
        raise ValueError("its variants do not fit together")
    source = data["opened_from"]
    work = Work(variants, at, tuple(text(hold) for hold in data["holds"]))
    form = tuple((text(key), text(typed)) for key, typed in data.get("log_form", {}).items())
    day = data.get("day", {})
    if not isinstance(day, dict):
        raise ValueError("its day is no table")
    asked = None if data.get("asked") is None else asked_from_data(data["asked"])
    return KeptWork(work, opened, None if source is None else Path(text(source)), homes, form, day, asked)


def _home_data(home: Home, formula: int) -> Data:
    stamp = home.stamp
    return {"path": str(home.path), "stamp": [stamp.mtime_ns, stamp.size, stamp.digest], "formula": formula}


def _variant(data: Any, formulas: Sequence[Formula]) -> Variant:
    taken = tuple(formulas[place] for place in data["formulas"])
    at = int(data["at"])
    if not 0 <= at < len(taken):
        raise ValueError("a variant has lost its place")
    return Variant(taken, at)


def _home(data: Any, formulas: Sequence[Formula]) -> Home | None:
    if data is None:
        return None
    mtime_ns, size, digest = data["stamp"]
    return Home(Path(text(data["path"])), Stamp(int(mtime_ns), int(size), text(digest)), formulas[data["formula"]])
